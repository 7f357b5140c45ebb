"""Take a copyist's marks out of his copy, and put them back.

Arrives: a copy with the signs that the dossier declares. Leaves: the copy with the letters he wrote, lost
letters where he could read none, and his marks beside them. Start reading at ``taken_out``; ``as_written``
gives the text back to the letter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fidelity.errors import DataError
from fidelity.letters import is_punctuation, whole_words
from fidelity.terms import LOST_LETTER, Mark, MarkKind, State, Witness
from fidelity.witnesses.his_marks import Found, HisMarks, found_in


def taken_out(copy: Witness, marks: HisMarks) -> Witness:
    """Give a copy without the copyist's signs, and with his marks.

    Args:
        copy: as it was read.
        marks: the signs that are his.

    Raises:
        DataError: nothing but a sign stands in a line.

    >>> from fidelity.witnesses.read import read_witness
    >>> read = read_witness("þa sta.. (?) ymb", siglum="E")
    >>> copy = taken_out(read, HisMarks(letter_unread=(".",), doubtful=("(?)",)))
    >>> copy.letters, [(str(one.kind), one.start, one.end) for one in copy.marks]
    ('þa sta▯▯ ymb', [('unread', 6, 8), ('doubt', 3, 8)])
    """
    found: list[tuple[Found, tuple[int, int]]] = []
    for one in found_in(copy, marks):
        found.append((one, _with_a_blank(copy, one, found[-1][1][1] if found else 0)))
    if not found:
        return copy
    pieces, states, hands = list[str](), list[bytes](), list[bytes]()
    made = list[Mark]()
    done = size = 0
    for one, (start, end) in found:
        pieces += [copy.letters[done:start], one.put]
        states += [copy.states[done:start] or bytes(start - done), _states(one)]
        hands += [copy.hands[done:start], copy.hands[start : start + 1] * len(one.put)]
        at = size + start - done
        size = at + len(one.put)
        taken = copy.letters[start:end]
        taken = taken if not one.sign else taken.replace(copy.letters[one.start : one.end], one.sign)
        own = copy.states[start:end], copy.hands[start:end]
        marked, hand = (each if any(each) else b"" for each in own)
        line = copy.line_of(one.start)
        made.append(Mark(one.kind, at, size, one.sign, at, size, taken, marked, hand, line))
        done = end
    letters = "".join([*pieces, copy.letters[done:]])
    joined = b"".join([*states, copy.states[done:] or bytes(len(copy) - done)])
    lines = tuple(start + _shift(made, line) for line, start in enumerate(copy.lines))
    without = replace(
        copy,
        letters=letters,
        lines=lines,
        states=joined if any(joined) else b"",
        hands=b"".join([*hands, copy.hands[done:]]),
    )
    _check_lines(copy, without)
    return replace(without, marks=tuple(_placed(one, without, marks) for one in made))


def _states(one: Found) -> bytes:
    """Give the states of what is put for a sign."""
    return bytes(one.state if letter == LOST_LETTER else State.CLEAR for letter in one.put)


def _shift(marks: Sequence[Mark], line: int) -> int:
    """Give by how many letters the beginning of a line moves."""
    return sum(one.to - one.at - len(one.taken) for one in marks if one.line < line)


def _with_a_blank(copy: Witness, one: Found, done: int) -> tuple[int, int]:
    """Give the span to take out for a sign: where it stands alone, a blank beside it too.

    Letters before ``done`` are taken out with the sign before.
    """
    start, end = one.start, one.end
    if one.put or not one.sign:
        return (start, end)
    first, last = copy.line_span(copy.line_of(start))
    letters = copy.letters
    alone_before = start == first or letters[start - 1].isspace()
    rest = letters[end:last].split(maxsplit=1)[:1] if end < last and not letters[end].isspace() else []
    alone_after = not rest or all(map(is_punctuation, rest[0]))
    if alone_before and alone_after:
        if start > max(first, done) and letters[start - 1] == " " and letters[start - 2 : start - 1] != " ":
            return (start - 1, end)
        if end < last and letters[end] == " " and letters[end + 1 : end + 2] != " ":
            return (start, end + 1)
    return (start, end)


def _placed(mark: Mark, copy: Witness, marks: HisMarks) -> Mark:
    """Say of a mark which letters it is on, in the copy without signs."""
    if mark.kind in (MarkKind.UNREAD, MarkKind.BLANK):
        inside = [at for at in range(mark.at, mark.to) if copy.letters[at] == LOST_LETTER]
        return replace(mark, start=inside[0], end=inside[-1] + 1)
    first, last = copy.line_span(mark.line)
    if mark.kind is MarkKind.LINE_DOUBT:
        return replace(mark, start=first, end=last)
    if mark.to > mark.at:
        start, end = whole_words(copy.letters, mark.at, mark.at)
        return replace(mark, start=start, end=end)
    touches = not mark.taken[:1].isspace() and not mark.taken[-1:].isspace()
    before, after = mark.at - 1, mark.at
    joined = touches and after < last and not copy.letters[after].isspace()
    follows = joined and (before < first or copy.letters[before].isspace())
    forward = follows or (mark.sign in marks.before and not touches)
    some_before, some_after = copy.letters[first:after].strip(), copy.letters[after:last].strip()
    forward = bool(some_after) and (forward or not some_before)
    at = _next(copy.letters, after) if forward else _last(copy.letters, before)
    start, end = whole_words(copy.letters, at, at)
    return replace(mark, start=start, end=end)


def _next(letters: str, at: int) -> int:
    while letters[at].isspace():
        at += 1
    return at


def _last(letters: str, at: int) -> int:
    while letters[at].isspace():
        at -= 1
    return at


def _check_lines(copy: Witness, without: Witness) -> None:
    """Refuse a line that holds nothing but signs: it has no letter to be cited."""
    for line, label in enumerate(copy.labels):
        start, end = without.line_span(line)
        if not without.letters[start:end].strip():
            file = Path(copy.file) if copy.file else None
            what = f"nothing but a sign of the copyist's stands in line {label}"
            raise DataError(what, file=file, remedy="put it beside the line, or the word, that it is about")


def as_written(copy: Witness) -> Witness:
    """Give a copy with the copyist's signs where he wrote them, letter for letter as it was read."""
    if not copy.marks:
        return copy
    pieces, states, hands = list[str](), list[bytes](), list[bytes]()
    done = 0
    for mark in copy.marks:
        size = len(mark.taken)
        pieces += [copy.letters[done : mark.at], mark.taken]
        between = copy.states[done : mark.at] or bytes(mark.at - done)
        states += [between, mark.states or bytes(size)]
        hands += [copy.hands[done : mark.at], (mark.hands or bytes(size)) if copy.hands else b""]
        done = mark.to
    rest = copy.states[done:] or bytes(len(copy) - done)
    joined = b"".join([*states, rest])
    lines = tuple(start - _shift(copy.marks, line) for line, start in enumerate(copy.lines))
    return replace(
        copy,
        letters="".join([*pieces, copy.letters[done:]]),
        lines=lines,
        states=joined if any(joined) else b"",
        hands=b"".join([*hands, copy.hands[done:]]),
        marks=(),
    )
