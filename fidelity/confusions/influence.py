"""Which places move the result most, were the transcript wrong there.

Arrives: what every letter was answered by, the differences, the copies of the lost texts. Leaves:
``Recheck``s, weightiest first. Start reading at ``rechecks``.

A handful of slips in our own transcripts can make or break a "systematic" confusion, and with it what is
suspected in the lost texts. Each difference of letters is taken back, as if the copy agreed there after all;
where one is not enough to change what a confusion is, as many of its places as it takes, which share the
weight. A letter that its transcriber called unclear is not counted: there it is asked what it would change
if it were clear.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fidelity.confusions.count import AnswerCounts, answers_of, is_letter_event
from fidelity.confusions.kept import bare_word
from fidelity.confusions.measure import systematic_pairs
from fidelity.confusions.slips import Pair, Seen
from fidelity.letters import NOTHING, decode, encode
from fidelity.settings import Settings
from fidelity.terms import Recheck, Variant, Witness
from fidelity.variants.places import Places

MOST_TAKEN_BACK = 4  # places of one confusion; were more of them wrong, the transcript would be at fault
UNCLEAR = "unclear"


@dataclass(frozen=True)
class Headline:
    """The figures that are looked at.

    Attributes:
        systematic: the confusions beyond chance.
        suspected: letters per 1,000 of the lost texts that these must be expected to have changed.
        errors: letters per 1,000 that he answered wrongly in the survivors.
    """

    systematic: frozenset[Pair]
    suspected: float
    errors: float

    def moved(self, other: Headline) -> float:
        """Give by how many letters per 1,000 the figures differ."""
        return abs(self.suspected - other.suspected) + abs(self.errors - other.errors)


@dataclass(frozen=True)
class _Place:
    """One answer of one variant: which, in which word, where its page is counted, and how it is cited."""

    variant: Variant
    pair: Pair
    word: str
    counted_on: str
    page: str


@dataclass(frozen=True)
class _Asked:
    """The lost texts, and what makes a confusion systematic.

    Attributes:
        written: letter -> how often it stands in the copies.
        text: the copies' letters.
        settings: of the run.
    """

    written: Mapping[str, int]
    text: str
    settings: Settings

    def headline(self, counts: AnswerCounts) -> Headline:
        return headline(counts, self.written, self.text, self.settings)


def rechecks(
    counts: AnswerCounts,
    variants: Sequence[Variant],
    originals: Mapping[str, tuple[Witness, Places]],
    copies: Sequence[str],
    settings: Settings,
) -> list[Recheck]:
    """Give the places whose reading moves the result, weightiest first.

    Args:
        counts: what each letter was answered by.
        variants: of all survivors, causes decided.
        originals: by id of the survivor, with pages and scripts.
        copies: letters of the copies of the lost texts; where there is none, of the survivors.
        settings: what makes a confusion systematic.
    """
    text = "".join(copies)
    asked = _Asked(Counter(text), text, settings)
    now = asked.headline(counts)
    counted, unclear = _by_pair(variants, originals)
    found: list[Recheck] = []
    for pair in sorted({*counted, *unclear}):
        ours = sorted(counted.get(pair, ()), key=lambda one: _rarity(one, counted[pair]))
        found += _taken_back(pair, ours, counts, now, asked)
        found += _made_clear(pair, unclear.get(pair, ()), counts, now, asked)
    return sorted(found, key=lambda one: (-one.weight, one.text, one.locus, one.confusion))


def headline(counts: AnswerCounts, written: Mapping[str, int], text: str, settings: Settings) -> Headline:
    """Give the headline figures.

    Args:
        counts: what each letter was answered by.
        written: letter -> how often it stands in the lost texts' copies.
        text: these copies' letters.
        settings: what makes a confusion systematic.
    """
    seen, found = Seen(counts), systematic_pairs(counts, settings)
    letters = max(sum(count for letter, count in written.items() if not letter.isspace()), 1)
    changed = sum(_expected(pair, seen, written, text) for pair in found)
    wrong = sum(sum(by_page.values()) for pair, by_page in counts.answers.items() if not seen.is_right(pair))
    chances = max(seen.all_chances, 1)
    return Headline(found, 1000 * changed / letters, 1000 * wrong / chances)


def _expected(pair: Pair, seen: Seen, written: Mapping[str, int], text: str) -> float:
    """Give at how many places of the lost texts this confusion must be expected to have happened."""
    original, copy = pair
    if not copy:
        return seen.rate(pair) * (written.get(original, 0) if len(original) == 1 else text.count(original))
    return seen.share_of_written(pair) * (written.get(copy, 0) if len(copy) == 1 else text.count(copy))


def _by_pair(
    variants: Sequence[Variant], originals: Mapping[str, tuple[Witness, Places]]
) -> tuple[dict[Pair, list[_Place]], dict[Pair, list[_Place]]]:
    """Give the places of each confusion: those counted, and those not counted as they are unclear."""
    counted: defaultdict[Pair, list[_Place]] = defaultdict(list)
    unclear: defaultdict[Pair, list[_Place]] = defaultdict(list)
    for variant in variants:
        for place in _places(variant, *originals[variant.text]):
            if not variant.set_aside:
                counted[place.pair].append(place)
            elif variant.set_aside.startswith(UNCLEAR):
                unclear[place.pair].append(place)
    return dict(counted), dict(unclear)


def _places(variant: Variant, original: Witness, places: Places) -> Iterator[_Place]:
    """Give the answers a variant is made of."""
    start, end = variant.original_span
    if start < end and is_letter_event(variant):
        word = bare_word(encode(variant.original_words).lower())
        page = original.pages[original.line_of(start)]
        for _, letters, written in answers_of(variant):
            yield _Place(variant, (letters, written), word, places.page(start), page)


def _rarity(one: _Place, others: Sequence[_Place]) -> tuple[int, int]:
    """Order the places of a confusion: what stands alone in its word first, then in order of the texts."""
    return sum(other.word == one.word for other in others), one.variant.number


def _taken_back(
    pair: Pair, places: Sequence[_Place], counts: AnswerCounts, now: Headline, asked: _Asked
) -> Iterator[Recheck]:
    """Weigh the places of one confusion, each as one of so many as change most between them.

    Those that come after them weigh what they still add.
    """
    steps: list[Headline] = [now]
    rest = counts
    for at, place in enumerate(places[:MOST_TAKEN_BACK]):
        alone = place.word not in {other.word for other in places[at + 1 :]}
        rest = changed(rest, pair, place.counted_on, -1, place.word if alone else "")
        steps.append(asked.headline(rest))
    moved = [now.moved(one) for one in steps]
    together = max(range(1, len(steps)), key=lambda n: (moved[n] / n, -n), default=0)
    for at, place in enumerate(places):
        if at < together:
            weight = moved[together] / together
        elif at + 1 < len(moved):
            weight = max(moved[at + 1] - moved[at], 0.0)
        else:
            weight = abs(steps[1].errors - now.errors)
        told = _told(pair, now, steps[together], together)
        yield _recheck(place, len(places), weight, told, counted=True)


def _made_clear(
    pair: Pair, places: Sequence[_Place], counts: AnswerCounts, now: Headline, asked: _Asked
) -> Iterator[Recheck]:
    """Weigh places that are not counted, since the original or the copy is unclear there."""
    count = sum(counts.answers.get(pair, {}).values())
    for place in places:
        then = asked.headline(changed(counts, pair, place.counted_on, 1, place.word))
        yield _recheck(place, count, now.moved(then), _told(pair, now, then, 1), counted=False)


def changed(counts: AnswerCounts, pair: Pair, page: str, by: int, word: str) -> AnswerCounts:
    """Give the counts with one place of a confusion more or fewer: fewer, and he copied it right.

    Args:
        counts: as they are.
        pair: the confusion, in letters.
        page: where.
        by: 1 or -1.
        word: that it happens in, or no more happens in; "" where the words stay.
    """
    answers = {key: dict(by_page) for key, by_page in counts.answers.items() if key == pair}
    by_page = answers.setdefault(pair, {})
    by_page[page] = max(by_page.get(page, 0) + by, 0)
    chances, original = {}, pair[0]
    if by > 0:
        chances = {letter: dict(counts.chances.get(letter, {})) for letter in {*original, original}}
        for of_letter in chances.values():
            of_letter[page] = of_letter.get(page, 0) + 1
    elif len(original) == 1:
        same = dict(counts.answers.get((original, original), {}))
        same[page] = same.get(page, 0) + 1
        answers[original, original] = same
    words = counts.words.get(pair, frozenset())
    kept = words | {word} if by > 0 else words - {word}
    return replace(
        counts,
        answers={**counts.answers, **answers},
        chances={**counts.chances, **chances},
        words={**counts.words, pair: frozenset(kept)},
    )


def _told(pair: Pair, now: Headline, then: Headline, number: int) -> str:
    """Say what becomes of a confusion, and of others that are judged beside it."""
    was, would = pair in now.systematic, pair in then.systematic
    places = "it" if number == 1 else f"{number} such places"
    if was and not would:
        told = [f"without {places} it is no longer systematic"]
    elif would and not was:
        told = ["with it it is systematic"]
    else:
        told = ["systematic in any case" if was else "not systematic in any case"]
    for others, what in (
        (now.systematic - then.systematic, "would no longer be systematic"),
        (then.systematic - now.systematic, "would be systematic"),
    ):
        if names := ", ".join(map(printed_pair, sorted(others - {pair}))):
            told.append(f"{names} {what}")
    return "; ".join(told)


def printed_pair(pair: Pair) -> str:
    """Print a confusion, original→copy; nothing is ∅."""
    return "→".join(decode(side) or NOTHING for side in pair)


def _recheck(place: _Place, count: int, weight: float, changes: str, counted: bool) -> Recheck:
    one = place.variant
    return Recheck(
        text=one.text,
        locus=one.locus,
        original_words=one.original_words,
        copy_words=one.copy_words,
        confusion=printed_pair(place.pair),
        count=count,
        counted=counted,
        changes=changes,
        weight=weight,
        copy_locus=one.copy_locus,
        page=place.page,
    )
