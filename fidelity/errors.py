"""What can be wrong with what we are given, said so that it can be mended.

Every kind carries what is wrong, where (file, line, column), and what to do. ``cli.py`` catches
``FidelityError`` once; anything else that is raised is a fault of this program and keeps its
traceback.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

SHOWN = 70  # letters of a line that are shown around a fault: with indent and "…" they fit 80 columns
MORE = "…"
_CONTROL = r"[\x00-\x08\x0a-\x1f\x7f-\x9f]"  # compiled when there is a fault to show


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong in what was given.

    Attributes:
        what: what is wrong, in one clause.
        file: the file it was found in, if any.
        line: line number from 1, or None.
        column: column in letters from 1, or None.
        source: the text of that line, to set a caret under the place; may be empty.
        remedy: what to do about it.
    """

    what: str
    file: Path | None = None
    line: int | None = None
    column: int | None = None
    source: str = ""
    remedy: str = ""

    @property
    def excerpt(self) -> tuple[str, str]:
        """The part of the line that a screen can show, and under it the caret; "" where there is none."""
        if not self.source:
            return "", ""
        line, caret = _around(self.source, (self.column or 1) - 1)
        return line, caret if self.column is not None else ""

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part is not None)
        if self.file is None and self.line is not None:
            place = f"line {self.line}" + (f", column {self.column}" if self.column is not None else "")
        lines = [f"{place}: {self.what}" if place else self.what]
        if self.source and self.column is not None:
            lines += [f"    {line}" for line in self.excerpt]
        if self.remedy:
            lines.append(f"  -> {self.remedy}")
        return "\n".join(lines)


def _around(source: str, at: int) -> tuple[str, str]:
    """Give the part of a line that a screen can show, and under it a caret at a letter.

    A tab stands in both, so that the caret is under its letter wherever the screen's tabs stop. Other
    control characters are shown as U+FFFD, since they would steer the screen.

    >>> print(*_around("on þæꞃe stræte", 5), sep="\\n")
    on þæꞃe stræte
         ^
    """
    letters = _letters(source)
    begin = max(0, min(at - SHOWN // 2, len(letters) - SHOWN))
    end = begin + SHOWN
    before, after = MORE * (begin > 0), MORE * (end < len(letters))
    from fidelity.letters import decode

    tabs = "".join(letter if letter == "\t" else " " for letter in letters[begin:at].ljust(at - begin))
    shown = re.sub(_CONTROL, "\ufffd", decode(letters[begin:end]))
    return before + shown + after, " " * len(before) + tabs + "^"


@lru_cache(maxsize=1)  # a long line often has many faults, which come one after the other
def _letters(source: str) -> str:
    """Put a line into letters, since columns count those."""
    from fidelity.letters import encode  # which itself has faults to tell, and so imports this module

    return encode(source)


class FidelityError(Exception):
    """Something given to the tool cannot be used; the message says what, where and what to do."""

    exit_code = 1

    def __init__(
        self, what: str | None = None, *, faults: list[Fault] | None = None, **where: object
    ) -> None:
        self.faults = list(faults or [])
        if what is not None:
            self.faults.insert(0, Fault(what, **where))  # type: ignore[arg-type]
        super().__init__("\n".join(str(fault) for fault in self.faults))


class DataError(FidelityError):
    """A text, table or dossier is not fit to be used."""


class UnrelatedTextsError(DataError):
    """Two texts given as original and copy have nothing in common."""


class UsageError(FidelityError):
    """A command or function was asked for something it cannot mean."""

    exit_code = 2
