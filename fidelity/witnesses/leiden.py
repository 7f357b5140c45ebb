"""Understand the Leiden signs: what is lost, unclear, restored, supplied, cancelled, added.

Arrives: a manuscript line with signs. Leaves: its letters without them, the state of each letter
and the hand. Start reading at ``understand_signs``.

The signs (Leiden conventions, 1931; the list of the Duke Databank of Documentary Papyri):
[abc] lost and restored; [...] lost, as many letters as dots; [---] or [– –] lost, extent unknown;
(abc) abbreviation resolved; a dot under a letter, unclear; ⟨abc⟩ or <abc> never written,
supplied; {abc} superfluous; ⟦abc⟧ or [[abc]] cancelled in the manuscript; ⸌abc⸍, \\abc/ or `abc´
added above the line. From memory of editions of papyri: [c. 4], [ca. 4], [±4], [+4+], [..4..] as
many letters lost as the number says, though it be a guess; (vac. 3) a space as wide as three
letters, (vac.) one as wide as one. Other numbers in [ ] are refused.

A sign is closed in the line it is opened in. Where one stands inside another, the outer one
gives the state: what is lost is not seen, whatever it is thought to have been. But what is
cancelled is no letter of the text, in whatever it stands.

That is the documentary use (profile "leiden"). Editors of literary texts often write [abc] for
what they delete (Brill's typographic guide): profile "leiden_literary". Dots or dashes alone in
[ ] are lost letters there too. Which of the two a text follows is told, never guessed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

from fidelity.errors import Fault
from fidelity.letters import decode, encode
from fidelity.terms import LOST_LETTER, State
from fidelity.witnesses.leiden_numbers import blank_space, number_inside, number_lost
from fidelity.witnesses.plain import Line, Row

UNCLEAR_DOT = "\u0323"
MAIN_HAND, ADDED = 0, 1  # indices into the Witness's hand_names

_CLOSED_BY = {
    "[": "]", "(": ")", "{": "}", "<": ">", "⟨": "⟩", "〈": "〉", "⟦": "⟧", "〚": "〛", "⸌": "⸍", "\\": "/",
    "`": "´", "[[": "]]",
}  # fmt: skip
_STATE_OF = {
    "[": State.RESTORED, "(": State.EXPANDED, "<": State.SUPPLIED, "⟨": State.SUPPLIED,
    "〈": State.SUPPLIED, "⟦": State.DELETED, "〚": State.DELETED, "[[": State.DELETED,
}  # fmt: skip
_STATES_OF = {"leiden": _STATE_OF, "leiden_literary": {**_STATE_OF, "[": State.DELETED}}
LEIDEN_PROFILES = tuple(_STATES_OF)
_READ = frozenset({State.RESTORED, State.EXPANDED})  # in what is deleted a number is a number
_ADDITION = frozenset("⸌\\`")
_CLOSERS = frozenset(_CLOSED_BY.values()) - {"/"}  # a stroke that closes nothing is a virgule, a letter
_SIGNS = _CLOSERS | _CLOSED_BY.keys()
_NEEDS_READING = re.compile("[" + re.escape("".join(_SIGNS)) + "\u0323\u1e00-\u1eff\U000f0000-\U0010fffd]")

# What is lost, directly inside [ ]: dots alone, dashes alone, and among letters two dots or more.
_ALL_DOTS = re.compile(r"\s*\.[.\s]*(?=\])")
_ALL_DASHES = re.compile(r"\s*[-–—][-–—\s]*(?=\])")
_DASHES = r"(?:-{2,}|[–—])(?:\s*(?:-{2,}|[–—]))*"
_BLANK_AT_BORDER = re.compile(r"(?:(?<=\t)|^)[^\S\t]+|[^\S\t]+(?=\t|$)")
LOST_INSIDE = re.compile(rf"(?P<dots>\.{{2,}})|(?P<dashes>{_DASHES})|…")

_DOUBLE = re.compile(r"\[\[[^\[\]]+\]\]")


class _Open(NamedTuple):
    """A sign that has been opened, and what it makes of the letters inside it."""

    sign: str
    at: int
    state: State | None
    hand: int
    all_dots: bool = False
    dashes_to: int = 0  # where the dashes end that are all that stands in it
    number: int = 0  # of lost letters, where it is all that stands in it
    number_to: int = 0  # where it ends


class _Marks:
    """The letters of a line as they come out of its signs."""

    def __init__(self) -> None:
        self.letters: list[str] = []
        self.states = bytearray()
        self.hands = bytearray()

    def add(self, letters: str, state: State, hand: int) -> None:
        self.letters.append(letters)
        self.states += bytes([state]) * len(letters)
        self.hands += bytes([hand]) * len(letters)

    def blank_space(self, letters: int, around: _Open | None) -> None:
        """Add a space left in the manuscript in place of the blank before it."""
        if self.letters and self.letters[-1][-1:] == " " and not self.states[-1] and not self.hands[-1]:
            self.letters[-1] = self.letters[-1][:-1]
            del self.states[-1], self.hands[-1]
        state = around.state if around and around.state is not None else State.CLEAR
        self.add(" " * letters, state, around.hand if around else MAIN_HAND)

    def line(self) -> Line:
        """Give the line; blanks at its end that no sign marks are dropped, as in plain text."""
        letters = "".join(self.letters)
        end = len(letters)
        while end and letters[end - 1].isspace() and letters[end - 1] != "\t":
            if self.states[end - 1] or self.hands[end - 1]:
                break
            end -= 1
        return Line(letters[:end], bytes(self.states[:end]), bytes(self.hands[:end]))


def understand_signs(row: Row, file: Path | None, faults: list[Fault], profile: str = "leiden") -> Line:
    """Read the Leiden signs of one manuscript line.

    Args:
        row: the line as written.
        file: where it comes from, for the faults.
        faults: is added to: signs unbalanced, wrongly nested or empty.
        profile: one of ``LEIDEN_PROFILES``: what [abc] means.

    >>> line = understand_signs(Row(1, "", 0, "moꞃ[ᵹen] (and) [..]", "1", ""), None, [])
    >>> line.letters, list(line.states)
    ('moꞃᵹen and ▯▯', [0, 0, 0, 2, 2, 2, 0, 4, 4, 4, 0, 6, 6])
    """
    text = row.text
    if not _NEEDS_READING.search(text):
        return Line(text)
    marks, states = _Marks(), _STATES_OF[profile]
    opened: list[_Open] = []
    at = 0
    while at < len(text):
        if not opened and (end := _end_of_clear(text, at)) > at:
            marks.add(text[at:end], State.CLEAR, MAIN_HAND)
            at = end
            continue
        sign = _sign_at(text, at, opened)
        if sign == "(" and (blank := blank_space(text, at)):
            marks.blank_space(blank.letters, opened[-1] if opened else None)
            at = blank.end
            continue
        if sign in _CLOSED_BY:
            opened.append(_opened(text, at, sign, opened, states))
            if sign in "([" and opened[-1].state in _READ and not opened[-1].number:
                wrong = number_inside(text, at + 1, sign)
                faults += [row.fault(wrong[1], file, wrong[0], wrong[2])] if wrong else []
        elif sign in _CLOSERS or (sign == "/" and opened and opened[-1].sign == "\\"):
            faults += _close(row, opened, at, sign, file)
        elif lost := _lost_at(text, at, opened):
            marks.add(LOST_LETTER * lost.letters, lost.state, opened[-1].hand)
            at = lost.end
            continue
        else:
            faults += _add_letter(marks, row, at, opened, file)
        at += len(sign)
    for still in opened:
        remedy = f"close it with {_CLOSED_BY[still.sign]} in the same line (and open it anew in the next)"
        faults.append(row.fault(f"{still.sign} is not closed in this line", file, still.at, remedy))
    line = marks.line()
    if not line.letters:
        faults.append(row.fault("there is no letter in this line", file, 0, "leave the line out"))
    return line


def without_blanks_at_borders(line: Line) -> Line:
    """Drop the blanks beside the borders of the fields of an entry, unless a sign marks them.

    A table's cells are read without them; here they are those that stood inside of braces.

    >>> without_blanks_at_borders(Line("a \\tb")).letters
    'a\\tb'
    """
    if not _BLANK_AT_BORDER.search(line.letters):
        return line
    size = len(line.letters)
    marked = [
        any(pair) for pair in zip(line.states.ljust(size, b"\0"), line.hands.ljust(size, b"\0"), strict=True)
    ]
    dropped: set[int] = set()
    for blanks in _BLANK_AT_BORDER.finditer(line.letters):
        before = blanks.start() == 0 or line.letters[blanks.start() - 1] == "\t"
        offsets = list(range(*blanks.span()))
        if before:  # the first marked blank ends what is dropped, seen from the border
            dropped.update(takewhile(lambda at: not marked[at], offsets))
        if blanks.end() == size or line.letters[blanks.end()] == "\t":
            dropped.update(takewhile(lambda at: not marked[at], reversed(offsets)))
    kept = [at for at in range(size) if at not in dropped]
    return Line(
        "".join(line.letters[at] for at in kept),
        bytes(line.states[at] for at in kept) if line.states else b"",
        bytes(line.hands[at] for at in kept) if line.hands else b"",
    )


def only_lost(inside: str) -> bool:
    """Tell whether what stands inside [ ] is nothing but dots or dashes: lost, not restored."""
    return any(lost.match(inside + "]") for lost in (_ALL_DOTS, _ALL_DASHES))


def _sign_at(text: str, at: int, opened: list[_Open]) -> str:
    """Give the sign or letter at a place: [[ and ]] around what is cancelled are one sign each."""
    if text[at] == "[" and _DOUBLE.match(text, at):
        return "[["
    if text[at] == "]" and opened and opened[-1].sign == "[[":
        return "]]"
    return text[at]


def _opened(text: str, at: int, sign: str, opened: list[_Open], states: Mapping[str, State]) -> _Open:
    """Open a sign; inside another it keeps that one's state and hand, but for what is cancelled."""
    outer = opened[-1] if opened else None
    state = states.get(sign)
    if outer and outer.state is not None and state is not State.DELETED:
        state = outer.state
    hand = ADDED if sign in _ADDITION or (outer and outer.hand == ADDED) else MAIN_HAND
    if sign != "[":
        return _Open(sign, at, state, hand)
    number, number_to = number_lost(text, at + 1)
    if number:
        return _Open(sign, at, state, hand, number=number, number_to=number_to)
    dashes = _ALL_DASHES.match(text, at + 1)
    return _Open(sign, at, state, hand, bool(_ALL_DOTS.match(text, at + 1)), dashes.end() if dashes else 0)


def _end_of_clear(text: str, at: int) -> int:
    """Give where the letters end that need no reading."""
    found = _NEEDS_READING.search(text, at)
    return found.start() if found else len(text)


def _close(row: Row, opened: list[_Open], at: int, sign: str, file: Path | None) -> Iterator[Fault]:
    """Close the sign opened last, or say why it cannot be closed here."""
    if not opened:
        yield row.fault(f"{sign} closes nothing", file, at, "open it before, or leave it out")
        return
    last = opened.pop()
    if _CLOSED_BY[last.sign] != sign:
        what = f"{sign} cannot close {last.sign} (opened {at - last.at} letters before)"
        yield row.fault(what, file, at, f"close {last.sign} with {_CLOSED_BY[last.sign]} first")
    elif last.at + len(last.sign) == at:
        yield row.fault(f"nothing stands between {last.sign} and {sign}", file, last.at, "leave them out")


class _LostHere(NamedTuple):
    """Lost letters that begin at a place: how many, where the text goes on, whether that is all."""

    letters: int
    end: int
    state: State = State.LOST


def _lost_at(text: str, at: int, opened: list[_Open]) -> _LostHere | None:
    """Tell whether lost letters begin here: dots and dashes directly inside [ ]."""
    if not opened or opened[-1].sign != "[":
        return None
    around = opened[-1]
    if around.number:
        return _LostHere(around.number, around.number_to)
    if around.dashes_to:
        return _LostHere(1, around.dashes_to, State.LOST_UNKNOWN)
    if around.all_dots and text[at] == ".":
        return _LostHere(1, at + 1)
    found = LOST_INSIDE.match(text, at)
    if not found or found.group() == "…":
        return None
    if found["dashes"]:
        return _LostHere(1, found.end(), State.LOST_UNKNOWN)
    return _LostHere(len(found["dots"]), found.end())


def _add_letter(marks: _Marks, row: Row, at: int, opened: list[_Open], file: Path | None) -> Iterator[Fault]:
    """Add one letter with the state that the outermost sign, or a dot under it, gives."""
    letter, unclear, on_sign = _without_dot(row.text[at])
    if on_sign:
        yield row.fault(f"a mark stands on the sign {on_sign}", file, at, "put it on a letter")
    if letter == "\t" and opened:
        what = f"{opened[-1].sign} is open at the end of a field"
        yield row.fault(what, file, opened[-1].at, "close it in the field")
    if letter == "…" and opened and opened[-1].sign == "[":
        yield row.fault("… does not say how many letters are lost", file, at, "write a dot for each letter")
    given = opened[-1].state if opened else None
    state = given if given is not None else State.UNCLEAR if unclear else State.CLEAR
    marks.add(letter, state, opened[-1].hand if opened else MAIN_HAND)


@lru_cache(maxsize=10_000)  # a script has a few hundred letters
def _without_dot(letter: str) -> tuple[str, bool, str]:
    """Take the dot below from a letter; tell whether there was one, and the sign it stands on."""
    parts = unicodedata.normalize("NFD", decode(letter))
    on_sign = parts[0] if len(parts) > 1 and parts[0] in _SIGNS else ""
    if UNCLEAR_DOT not in parts:
        return letter, False, on_sign
    return encode(parts.replace(UNCLEAR_DOT, "")), True, on_sign
