"""How often a man errs with the eye and with the pen, and mends: as far as several copies show it.

Arrives: ``Compared`` copies and what they are worth. Leaves: ``CopyRate``s with intervals clustered by page,
and notes. Start reading at ``rates_of``.

Errors of the first copy are the eye's. Of another copy that was made from the first, what is wrong in it and
not in the first is the pen's: he was reading his own hand. Of one made from the original anew it is the eye's
again; where that is undecided it is called what it is, an error of the other copy.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fidelity.confusions.intervals import clustered
from fidelity.readings.copies_beside import CopiesBeside
from fidelity.readings.copies_compared import Compared, Word
from fidelity.readings.copies_worth import Worth
from fidelity.readings.steps import printed, steps_between
from fidelity.terms.copies import HIS, Beside, CopyRate, MadeFrom

ALL = "all"
MOST_CONFUSIONS = 10  # of the eye, and of the pen
EYE, PEN, OTHERS = (
    "errors of the eye (first copy)",
    "slips of the pen (other copy)",
    "errors of the other copy",
)
MENDED, SHARED = (
    "errors of the first copy mended in the other",
    "errors of the first copy shared by the other",
)
OTHER_RIGHT, FIRST_RIGHT = "the copies differ, the other is right", "the copies differ, the first is right"


def rates_of(compared: Sequence[Compared], beside: CopiesBeside, confidence: float) -> Iterator[CopyRate]:
    """Give the rates of each survivor's other copies, then of all by one man together.

    Args:
        compared: every other copy beside the first.
        beside: what knows what they are worth.
        confidence: of the intervals, 0-1.
    """
    survivors = [one for one in compared if one.survivor is not None]
    for one in survivors:
        worth = beside.worth_in([one])
        yield from _rates(one.text, one.other_copy, _counted(one.words), worth, confidence)
    for maker in dict.fromkeys(one.maker for one in survivors):
        some = [one for one in survivors if one.maker == maker]
        words = [word for one in some for word in _counted(one.words)]
        yield from _rates(ALL, name_of(some), words, beside.worth(maker), confidence)
        yield from _confusions(name_of(some), words, beside.worth(maker), confidence)


def name_of(some: Sequence[Compared]) -> str:
    """Name the other copies of several texts by one man.

    His own are named by the number of the copy where their files differ.
    """
    if some[0].by != HIS:
        return some[0].by
    return some[0].other_copy if len(some) == 1 else f"his copies, no. {some[0].number + 1} of each text"


def _counted(words: Iterable[Word]) -> list[Word]:
    return [word for word in words if word.counted]


def _rates(
    text: str, name: str, words: Sequence[Word], worth: Worth, confidence: float
) -> Iterator[CopyRate]:
    """Give the rates of some words."""

    def rate(measure: str, happened: Iterable[Word], chances: Iterable[Word]) -> CopyRate:
        pages, all_pages = (Counter(word.page for word in some) for some in (happened, chances))
        low, high, method = clustered(pages, all_pages, confidence) if all_pages else (0.0, 1.0, "none")
        return CopyRate(text, name, measure, pages.total(), all_pages.total(), low, high, method)

    wrong = [word for word in words if word.original != word.first]
    by_what = {what: [word for word in words if word.place and word.place.what is what] for what in Beside}
    mended = by_what[Beside.FIRST_WRONG]
    new = [*by_what[Beside.OTHER_WRONG], *by_what[Beside.BOTH_OTHERWISE]]
    found = worth.dependence
    yield rate(EYE, wrong, words)
    if found.made_from is MadeFrom.FIRST:
        yield rate(
            PEN, new, [word for word in words if not word.place or word.place.what is not Beside.FIRST_WRONG]
        )
    yield rate(OTHERS, [*new, *by_what[Beside.BOTH_ALIKE]], words)
    yield rate(MENDED, mended, wrong)
    shared = rate(SHARED, by_what[Beside.BOTH_ALIKE], wrong)
    yield _with_verdict(shared, worth)
    yield rate(OTHER_RIGHT, mended, [*mended, *new])
    yield rate(FIRST_RIGHT, by_what[Beside.OTHER_WRONG], [*mended, *new])


def _with_verdict(rate: CopyRate, worth: Worth) -> CopyRate:
    """Add to the shared errors what coincidence would give, and what that says."""
    found = worth.dependence
    return replace(rate, expected=found.expected, p_value=found.p_value, made_from=found.made_from)


def _confusions(name: str, words: Sequence[Word], worth: Worth, confidence: float) -> Iterator[CopyRate]:
    """Give the commonest confusions of the eye, and of the pen (or of the other copy)."""
    pen = worth.dependence.made_from is MadeFrom.FIRST
    eye = [(word, word.original or "", word.first) for word in words]
    other = [
        (word, word.first if pen else word.original or "", word.other)
        for word in words
        if not (pen and word.place and word.place.what is Beside.FIRST_WRONG)
    ]
    for who, some in (("eye", eye), ("pen" if pen else "other copy", other)):
        counts: Counter[tuple[str, str]] = Counter()
        pages: dict[tuple[str, str], Counter[str]] = {}
        for word, read, written in some:
            for step in steps_between(read, written) if read != written else ():
                counts[step] += 1
                pages.setdefault(step, Counter())[word.page] += 1
        order = sorted(counts, key=lambda step: (-counts[step], step))
        for step in order[:MOST_CONFUSIONS]:
            chances = Counter[str]()
            for word, read, _ in some:
                chances[word.page] += read.count(step[0]) if step[0] else len(read)
            for page, count in pages[step].items():
                chances[page] = max(chances[page], count)
            low, high, method = clustered(pages[step], chances, confidence)
            measure = f"{who}: {printed(step)}"
            yield CopyRate(ALL, name, measure, counts[step], chances.total(), low, high, method)


def notes_on(compared: Sequence[Compared], beside: CopiesBeside) -> Iterator[str]:
    """Say of the other copies by each man from what they seem to be made, and what follows."""
    for maker in dict.fromkeys(one.maker for one in compared):
        some = [one for one in compared if one.maker == maker]
        worth, texts = beside.worth(maker), [one.text for one in some if one.survivor is not None]
        name, found = name_of(some), worth.dependence
        if not texts:
            yield f"{name}: no survivor has such a copy; what it is worth is presumed, and little"
            continue
        shared = f"{found.shared} of {found.errors} errors of the first copy, coincidence would give"
        told = f"{shared} {found.expected:.1f} (p = {found.p_value:.2g})"
        if found.made_from is MadeFrom.UNDECIDED:
            yield f"{name}: whether made from the first copy or from the original is undecided: shares {told}"
        elif worth.is_evidence:
            yield f"{name}: made from {found.made_from}, as it seems: shares {told}"
        else:
            yield f"{name}: shares {told}: it seems to depend on the first copy, and is no evidence"
