"""Set the copyist's own marks beside what the originals have: his gaps, doubts and vouchings.

Arrives: the copies, and of the survivors their alignments and tagged letters. Leaves: every word of the
survivors with the marks on it and whether it is wrong, every gap with what it stands for, and the marks of
all copies as ``Flagged``. Start reading at ``seen_in``.

A word is wrong if its letters are not the original's; stops are not asked. Words with a gap in them are kept
apart: what he could not read he did not miswrite.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fidelity.copyist.tagging import Tagged, normalise, word_spans
from fidelity.letters import decode, whole_words, without_stops
from fidelity.terms import LOST_LETTER, Alignment, Flagged, Mark, MarkKind, State, StepKind, Witness
from fidelity.terms.marks import GAPS, ON_WORDS
from fidelity.variants.moves import steps_without_moved
from fidelity.variants.set_aside import evidence_of
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.his_marks import printed_sign

Span = tuple[int, int]
LEIDEN_SIGNS = {State.LOST: "[{}]", State.LOST_UNKNOWN: "[---]"}  # of gaps that no mark of the dossier's made


@dataclass(frozen=True)
class WordSeen:
    """A word of a survivor's copy: where it begins, its page, the marks on it, whether it is wrong."""

    survivor: int
    start: int
    page: str
    kinds: frozenset[MarkKind]
    wrong: bool


@dataclass(frozen=True)
class Gap:
    """A run of letters that he could not read.

    Attributes:
        span: of the letters that stand for it.
        word: of the word it stands in; of a gap that stands alone the same.
        shown: how many letters he marked; None where he did not say.
        kind: ``UNREAD`` or ``BLANK``.
        sign: as he wrote it, in letters.
    """

    span: Span
    word: Span
    shown: int | None
    kind: MarkKind
    sign: str


@dataclass(frozen=True)
class GapSeen:
    """A gap in a survivor's copy.

    Attributes:
        survivor: index of the survivor.
        gap: the gap.
        page: of the copy, with the survivor's id.
        original: what the original has for the word, normalised; None where that cannot be told.
        printed: the same as the original writes it, as printed; "" likewise.
        lost: how many letters the original has for the gap; None likewise.
    """

    survivor: int
    gap: Gap
    page: str
    original: str | None = None
    printed: str = ""
    lost: int | None = None


@dataclass(frozen=True)
class Seen:
    """What the survivors show of his marks."""

    words: tuple[WordSeen, ...] = ()
    gaps: tuple[GapSeen, ...] = ()
    flagged: tuple[Flagged, ...] = ()

    def without(self, left_out: Sequence[tuple[int, int, int]]) -> Seen:
        """Give the same without what is left out: index of a survivor, and a span of copied letters."""

        def there(survivor: int, at: int) -> bool:
            return not any(one == survivor and start <= at < end for one, start, end in left_out)

        words = tuple(one for one in self.words if there(one.survivor, one.start))
        gaps = tuple(one for one in self.gaps if there(one.survivor, one.gap.span[0]))
        return Seen(words, gaps, self.flagged)


def has_marks(copy: Witness) -> bool:
    """Tell whether a copy has marks of his, or gaps."""
    return bool(copy.marks) or LOST_LETTER in copy.letters


def gaps_in(copy: Witness) -> list[Gap]:
    """Give the gaps of a copy, in order: those of his signs, and those an editor's sign shows."""
    by_mark = {(one.start, one.end): one for one in copy.marks if one.kind in GAPS}
    found = []
    at = copy.letters.find(LOST_LETTER)
    while at >= 0:
        end = next((end for start, end in by_mark if start == at), _end_of_run(copy, at))
        mark = by_mark.get((at, end))
        unknown = copy.state(at) is State.LOST_UNKNOWN
        sign = mark.sign if mark else LEIDEN_SIGNS.get(copy.state(at), "{}").format("." * (end - at))
        kind = mark.kind if mark else MarkKind.UNREAD
        found.append(
            Gap((at, end), whole_words(copy.letters, at, end), None if unknown else end - at, kind, sign)
        )
        at = copy.letters.find(LOST_LETTER, end)
    return found


def _end_of_run(copy: Witness, at: int) -> int:
    """Give where lost letters of one state end; a letter that stands for an unknown number is one gap."""
    end = at + 1
    if copy.state(at) is State.LOST_UNKNOWN:
        return end
    while end < len(copy) and copy.letters[end] == LOST_LETTER and copy.state(end) is copy.state(at):
        end += 1
    return end


class _KeptLetters:
    """Which letters of a copy are kept from the original, and where they stand there."""

    def __init__(self, alignment: Alignment) -> None:
        self.alignment = alignment
        self.good = evidence_of(alignment.original)
        self.copied: list[int] = []
        self.original: list[int] = []
        for o0, o1, c0, c1, kind in steps_without_moved(alignment):
            if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
                self.copied += range(c0, c1)
                self.original += range(o0, o1)

    def around(self, span: Span) -> tuple[Span, Span]:
        """Give the stretch between the nearest kept letters, in the copy and in the original."""
        copy, original = self.alignment.copy.letters, self.alignment.original.letters
        before, after = bisect_left(self.copied, span[0]) - 1, bisect_left(self.copied, span[1])
        c0, o0 = (self.copied[before] + 1, self.original[before] + 1) if before >= 0 else (0, 0)
        ends = (self.copied[after], self.original[after]) if after < len(self.copied) else None
        c1, o1 = ends or (len(copy), len(original))
        return (c0, c1), (o0, o1)


def seen_in(
    survivors: Sequence[tuple[str, Alignment, Tagged]], lost: Sequence[tuple[str, Witness]], folds: Folds
) -> Seen:
    """Set the marks of all copies beside what the originals have.

    Args:
        survivors: id, alignment and tagged letters of each.
        lost: id and copy of each lost text.
        folds: letterforms counted as equal.
    """
    if not any(has_marks(one) for one in [*(a.copy for _, a, _ in survivors), *(c for _, c in lost)]):
        return Seen()
    words, gaps, flagged = list[WordSeen](), list[GapSeen](), list[Flagged]()
    for number, (text, alignment, tagged) in enumerate(survivors):
        ours = list(_words(number, text, alignment.copy, tagged))
        here = list(_gaps(number, text, alignment, folds))
        words += ours
        gaps += here
        flagged += _flagged(text, alignment.copy, tagged, ours, here)
    for text, copy in lost:
        some = [GapSeen(-1, gap, _page(text, copy, gap.span[0])) for gap in gaps_in(copy)]
        flagged += _flagged(text, copy, None, (), some)
    return Seen(tuple(words), tuple(gaps), tuple(flagged))


def _page(text: str, copy: Witness, at: int) -> str:
    return f"{text} {copy.pages[copy.line_of(at)]}".rstrip()


def kinds_on(copy: Witness, start: int, end: int) -> frozenset[MarkKind]:
    """Give the kinds of the marks on the letters of a span, gaps apart."""
    return frozenset(
        one.kind for one in copy.marks if one.kind in ON_WORDS and one.start < end and start < one.end
    )


def _words(number: int, text: str, copy: Witness, tagged: Tagged) -> Iterator[WordSeen]:
    """Give the words of a survivor's copy whose original is known, those with a gap left out."""
    marked = [one for one in copy.marks if one.kind in ON_WORDS]
    for start, end in word_spans(tagged.copied):
        written = without_stops(tagged.copied[start:end])
        if not written or LOST_LETTER in written or not all(tagged.trusted[start:end]):
            continue
        kinds = frozenset(one.kind for one in marked if one.start < end and start < one.end)
        wrong = without_stops(tagged.original(start, end)) != written
        yield WordSeen(number, start, _page(text, copy, start), kinds, wrong)


def _gaps(number: int, text: str, alignment: Alignment, folds: Folds) -> Iterator[GapSeen]:
    """Give the gaps of a survivor's copy with what the original has for them."""
    copy, original = alignment.copy, alignment.original
    if LOST_LETTER not in copy.letters:
        return
    kept = _KeptLetters(alignment)
    for gap in gaps_in(copy):
        page = _page(text, copy, gap.span[0])
        (c0, c1), (o0, o1) = kept.around(gap.span)
        (_, _), (w0, w1) = kept.around(gap.word)
        inside = copy.letters[c0 : gap.span[0]] + copy.letters[gap.span[1] : c1]
        alone = LOST_LETTER not in inside
        words = original.letters[w0:w1].strip()
        if not kept.good[w0:w1].all() or LOST_LETTER in words or not words:
            yield GapSeen(number, gap, page)
            continue
        lost = _letters(original.letters[o0:o1]) - _letters(inside)
        meant = " ".join(normalise(words, folds).split())
        yield GapSeen(number, gap, page, meant, decode(words), max(lost, 0) if alone else None)


def _letters(text: str) -> int:
    return sum(not letter.isspace() for letter in text)


def _flagged(
    text: str, copy: Witness, tagged: Tagged | None, words: Sequence[WordSeen], gaps: Sequence[GapSeen]
) -> list[Flagged]:
    """Give the marks of one copy, in order."""
    found = [_gap_flagged(text, copy, one) for one in gaps]
    wrong = {one.start: one.wrong for one in words}
    for mark in copy.marks:
        if mark.kind in ON_WORDS:
            found.append(_word_flagged(text, copy, tagged, mark, wrong))
    return sorted(found, key=lambda one: (one.span, one.kind))


def _gap_flagged(text: str, copy: Witness, seen: GapSeen) -> Flagged:
    gap = seen.gap
    known = gap.shown is not None and seen.lost is not None
    return Flagged(
        text=text,
        locus=copy.locus(gap.span[0]),
        kind=gap.kind,
        sign=printed_sign(gap.sign),
        span=gap.span,
        copy=decode(copy.letters[slice(*gap.word)]),
        original=seen.printed,
        shown=gap.shown,
        lost=seen.lost,
        right=gap.shown == seen.lost if known else None,
        page=seen.page,
    )


def _word_flagged(
    text: str, copy: Witness, tagged: Tagged | None, mark: Mark, wrong: dict[int, bool]
) -> Flagged:
    judged = [wrong[start] for start in range(mark.start, mark.end) if start in wrong]
    doubts = mark.kind is not MarkKind.VOUCHED
    return Flagged(
        text=text,
        locus=copy.locus(mark.start),
        kind=mark.kind,
        sign=printed_sign(mark.sign),
        span=(mark.start, mark.end),
        copy=decode(copy.letters[mark.start : mark.end]),
        original=decode(tagged.original(mark.start, mark.end)) if tagged and judged else "",
        right=any(judged) is doubts if judged else None,
        page=_page(text, copy, mark.start),
    )
