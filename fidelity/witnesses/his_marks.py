"""The signs by which a copyist marks what he could not read, doubted or vouched for, as declared.

Arrives: the signs. Leaves: where they stand in a text. Start reading at ``HisMarks``, then ``found_in``;
``taken_out.py`` takes them out of a copy.

Nothing is guessed: a query mark is a letter like any other unless the dossier says that it is his doubt.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import NamedTuple

from fidelity.letters import decode, encode
from fidelity.terms import LOST_LETTER, MarkKind, State, Witness

STOPS = frozenset(".,:;·!?-–—'’")  # signs that texts have anyway: one by itself is no lost letter
_FIRST_STAND_IN, _FILLER = 0x10FF00, chr(0x10FFFD)  # beyond any number of composite letters a run has


class Found(NamedTuple):
    """One sign in a text: its span in letters, what it says, the sign, and what stands in its place."""

    start: int
    end: int
    kind: MarkKind
    sign: str
    put: str = ""
    state: State = State.CLEAR


@dataclass(frozen=True)
class HisMarks:
    """The signs of one copyist; each is given as text.

    Attributes:
        letter_unread: signs of which each stands for one letter that he could not read.
        some_unread: signs for letters that he could not read, nobody knows how many.
        blanks: whether two blanks or more together are a space that he left.
        doubtful: signs of a doubt about the word they touch, or stand after.
        vouched: signs that say that the word stands so in the original.
        line_doubtful: words in the margin, at the beginning or end of a line, that doubt something in it.
        stands_before: signs of doubt or vouching that, standing alone, belong to the word after them.
        unclear: whether letters that a copy marks as unclear were marked so by himself.
    """

    letter_unread: tuple[str, ...] = ()
    some_unread: tuple[str, ...] = ()
    blanks: bool = False
    doubtful: tuple[str, ...] = ()
    vouched: tuple[str, ...] = ()
    line_doubtful: tuple[str, ...] = ()
    stands_before: tuple[str, ...] = ()
    unclear: bool = False

    def __bool__(self) -> bool:
        return bool(self.kind_of or self.blanks or self.unclear)

    def given(self) -> dict[str, object]:
        """Give what is declared, as a dossier has it; what is not is left out."""
        return {key: list(one) if isinstance(one, tuple) else one for key, one in asdict(self).items() if one}

    @cached_property
    def kind_of(self) -> dict[str, MarkKind]:
        """Give what each sign says, in letters, the longest signs first."""
        kinds = {
            MarkKind.UNREAD: (*self.letter_unread, *self.some_unread),
            MarkKind.DOUBT: self.doubtful,
            MarkKind.VOUCHED: self.vouched,
            MarkKind.LINE_DOUBT: self.line_doubtful,
        }
        pairs = [(encode(sign), kind) for kind, signs in kinds.items() for sign in signs]
        return dict(sorted(pairs, key=lambda pair: (-len(pair[0]), pair[0])))

    @cached_property
    def on_words(self) -> list[str]:
        """Give the signs that are on words or lines, the longest first."""
        return [sign for sign, kind in self.kind_of.items() if kind is not MarkKind.UNREAD]

    @cached_property
    def single(self) -> frozenset[str]:
        """Give the signs that stand for one letter each, in letters."""
        return frozenset(map(encode, self.letter_unread))

    @cached_property
    def before(self) -> frozenset[str]:
        """Give the signs that belong to the word after them, in letters."""
        return frozenset(map(encode, self.stands_before))


NO_MARKS = HisMarks()


def _pattern(sign: str, kind: MarkKind) -> str:
    """Give where a sign may stand: one that begins or ends with a letter is no part of a word."""
    before = r"(?<![^\W_])" if sign[0].isalnum() else ""
    after = r"(?![^\W_])" if sign[-1].isalnum() else ""
    found = before + re.escape(sign) + after
    if kind is MarkKind.LINE_DOUBT:  # a word of its own; that it stands at the line's edge is looked up
        return rf"(?<!\S){found}(?!\S)"
    return found


def with_stand_ins(letters: str, marks: HisMarks) -> str:
    """Put stand-ins for signs on words in a line, so that no bracket of theirs is taken for an editor's sign.

    A sign keeps its length, so that faults are shown at their places.
    """
    signs = marks.on_words
    if not signs:
        return letters
    number = {sign: at for at, sign in enumerate(signs)}
    pattern = "|".join(_pattern(sign, marks.kind_of[sign]) for sign in signs)

    def stand_in(found: re.Match[str]) -> str:
        sign = found.group()
        inside = letters[: found.start()].strip() and letters[found.end() :].strip()
        if inside and marks.kind_of[sign] is MarkKind.LINE_DOUBT:
            return sign
        return chr(_FIRST_STAND_IN + number[sign]) + _FILLER * (len(sign) - 1)

    return re.sub(pattern, stand_in, letters)


def found_in(witness: Witness, marks: HisMarks) -> list[Found]:
    """Give the signs in a copy, in order; where two might begin, the longer one is taken."""
    found = [*_signs(witness, marks), *(_unclear(witness) if marks.unclear else ())]
    kept: list[Found] = []
    for one in sorted(found, key=lambda each: (each.start, -each.end)):
        if not kept or one.start >= kept[-1].end:
            kept.append(one)
    return kept


def _signs(witness: Witness, marks: HisMarks) -> Iterator[Found]:
    """Find signs by the letters."""
    letters = witness.letters
    parts = [f"(?P<at{at}>{_one(sign, marks)})" for at, sign in enumerate(marks.kind_of)]
    if marks.blanks:
        parts.append("(?P<blank>  +)")
    stand_ins = f"[{chr(_FIRST_STAND_IN)}-{chr(_FIRST_STAND_IN + len(marks.on_words))}]{_FILLER}*"
    signs = list(marks.kind_of)
    for match in re.finditer("|".join([*parts, f"(?P<stand_in>{stand_ins})"]), letters):
        start, end = match.span()
        name = match.lastgroup or ""
        if name == "blank":
            yield from _blank(witness, start, end)
            continue
        sign = (
            marks.on_words[ord(letters[start]) - _FIRST_STAND_IN]
            if name == "stand_in"
            else signs[int(name[2:])]
        )
        kind = marks.kind_of[sign]
        if kind is MarkKind.LINE_DOUBT and name != "stand_in" and not _at_edge(witness, start, end):
            continue
        if kind is not MarkKind.UNREAD:
            yield Found(start, end, kind, sign)
        elif sign in marks.single:
            count = end - start
            if count > 1 or sign not in STOPS:
                yield Found(start, end, kind, letters[start:end], LOST_LETTER * count, State.LOST)
        else:
            yield Found(start, end, kind, sign, LOST_LETTER, State.LOST_UNKNOWN)


def _one(sign: str, marks: HisMarks) -> str:
    """Give the pattern of a sign, or of a run of signs that stand for one letter each."""
    pattern = _pattern(sign, marks.kind_of[sign])
    return f"(?:{re.escape(sign)})+" if sign in marks.single else pattern


def _blank(witness: Witness, start: int, end: int) -> Iterator[Found]:
    """Give a space he left: one blank on either side stays, so that it stands as a word would."""
    if witness.states and any(witness.states[start:end]):
        return  # a space of the manuscript's own, as its transcriber marks it
    line = witness.line_of(start)
    first, last = witness.line_span(line)
    put = ("" if start == first else " ") + LOST_LETTER + ("" if end >= last else " ")
    yield Found(start, end, MarkKind.BLANK, witness.letters[start:end], put, State.LOST_UNKNOWN)


def _at_edge(witness: Witness, start: int, end: int) -> bool:
    """Tell whether a sign is the first or the last word of its line."""
    first, last = witness.line_span(witness.line_of(start))
    return not witness.letters[first:start].strip() or not witness.letters[end:last].strip()


def _unclear(witness: Witness) -> Iterator[Found]:
    """Give the runs of letters that he marked as unclear: the letters stay."""
    for run in re.finditer(rb"\x01+", witness.states):  # State.UNCLEAR
        for word in re.finditer(r"\S+", witness.letters[run.start() : run.end()]):
            start, end = run.start() + word.start(), run.start() + word.end()
            yield Found(start, end, MarkKind.DOUBT, "", witness.letters[start:end])


def printed_sign(sign: str) -> str:
    """Give a sign as printed; letters marked as unclear have none of their own."""
    return decode(sign) if sign.strip() else f"{len(sign)} blanks" if sign else "unclear"


def signs_met(texts: Sequence[Witness]) -> frozenset[str]:
    """Give the signs that stand in any of these copies, in letters."""
    return frozenset(mark.sign for text in texts for mark in text.marks)
