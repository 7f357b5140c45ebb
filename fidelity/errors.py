"""What can be wrong with what we are given, said so that it can be mended.

Every kind carries what is wrong, where (file, line, column), and what to do. ``cli.py`` catches
``FidelityError`` once; anything else that is raised is a fault of this program and keeps its
traceback.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


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

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part is not None)
        if self.file is None and self.line is not None:
            place = f"line {self.line}" + (f", column {self.column}" if self.column is not None else "")
        lines = [f"{place}: {self.what}" if place else self.what]
        if self.source and self.column is not None:
            lines += [f"    {self.source}", "    " + " " * (self.column - 1) + "^"]
        if self.remedy:
            lines.append(f"  -> {self.remedy}")
        return "\n".join(lines)


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
