"""What must hold between alignments, whatever the right one may be: no oracle is needed.

The programme is tried alone, with costs that are given (``programmes.py``), and then the whole
alignment with all that comes before and after it.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

import edlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.channel import GAP_OPEN, SWAP_COST, AnswerTotals, LetterChannel, gap_costs
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, StepKind, Witness
from tests.alignment.made_copies import made_pair, made_text
from tests.alignment.programmes import (
    NEVER,
    ListedChannel,
    costs_of,
    path_cost,
    random_channel,
    solved,
    unit_channel,
)

LETTERS = "abmn "
STRETCH = st.text(LETTERS, max_size=14)
TINY = st.text("ab ", max_size=4)
SEED = st.integers(0, 2**32)
GAP = st.sampled_from([0.2, 2.0, 8.0])
Steps = tuple[tuple[int, int, int, int], ...]


def align(original: str, copy: str) -> Alignment:
    """Align two strings of letters."""
    return align_witnesses(Witness("O", original), Witness("C", copy))


def total(original: str, copy: str, channel: ListedChannel) -> float:
    """Give the least cost that the programme finds."""
    return path_cost(solved(original, copy, channel), original, copy, channel)


def mirrored(channel: ListedChannel, *, backwards: bool = False) -> ListedChannel:
    """Give a channel in which copy and original, or beginning and end, have changed places."""
    if backwards:
        longer = {(o[::-1], c[::-1]): cost for (o, c), cost in channel.longer.items()}
        return ListedChannel(channel.original_letters, channel.copy_letters, channel.singles, longer)
    singles, longer = (
        {(c, o): cost for (o, c), cost in costs.items()} for costs in (channel.singles, channel.longer)
    )
    return ListedChannel(channel.copy_letters, channel.original_letters, singles, longer)


@settings(max_examples=60)
@given(STRETCH, STRETCH, SEED, GAP)
def test_copy_and_original_may_change_places(original: str, copy: str, seed: int, gap: float) -> None:
    """With the costs mirrored, aligning the copy with its original costs the same."""
    channel = random_channel(original, copy, seed)
    with costs_of(gap, 1.5):
        there, back = total(original, copy, channel), total(copy, original, mirrored(channel))
    assert there == pytest.approx(back, abs=1e-9)


@settings(max_examples=60)
@given(STRETCH, STRETCH, SEED, GAP)
def test_texts_may_be_read_backwards(original: str, copy: str, seed: int, gap: float) -> None:
    """From the end to the beginning it costs the same."""
    channel = random_channel(original, copy, seed)
    with costs_of(gap, 1.5):
        forth = total(original, copy, channel)
        back = total(original[::-1], copy[::-1], mirrored(channel, backwards=True))
    assert forth == pytest.approx(back, abs=1e-9)


@settings(max_examples=60)
@given(STRETCH, STRETCH, STRETCH, STRETCH, SEED, GAP)
def test_two_texts_in_one_cost_no_more(
    original: str, copy: str, more: str, more_copy: str, seed: int, gap: float
) -> None:
    """Under fixed costs two texts aligned as one cost at most what they cost one by one."""
    channel = random_channel(original + more, copy + more_copy, seed)
    with costs_of(gap, 1.5):
        apart = total(original, copy, channel) + total(more, more_copy, channel)
        assert total(original + more, copy + more_copy, channel) <= apart + 1e-9


@settings(max_examples=60)
@given(STRETCH, STRETCH, SEED)
def test_dearer_operations_make_nothing_cheaper(original: str, copy: str, seed: int) -> None:
    """Taking an operation of several letters away, or a gap's cheapness, never lowers the cost."""
    channel = random_channel(original, copy, seed)
    fewer = ListedChannel(channel.original_letters, channel.copy_letters, channel.singles)
    with costs_of(2.0, 1.5):
        rich, poor = total(original, copy, channel), total(original, copy, fewer)
    with costs_of(NEVER, NEVER):
        poorest = total(original, copy, fewer)
    assert rich <= poor + 1e-9 and poor <= poorest + 1e-9


@pytest.mark.parametrize("noise", [0.02, 0.1, 0.3])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_edit_totals_of_long_texts(noise: float, formulaic: bool) -> None:
    """At unit cost the programme's total over five hundred letters is edlib's and rapidfuzz's."""
    pair = made_pair(500, noise, formulaic=formulaic)
    with costs_of(NEVER, NEVER):
        found = total(pair.original, pair.copy, unit_channel(pair.original, pair.copy))
    assert found == Levenshtein.distance(pair.original, pair.copy)
    assert found == edlib.align(pair.original, pair.copy)["editDistance"]


def every_path(original: str, copy: str, at: int = 0, at_copy: int = 0) -> Iterator[Steps]:
    """Give every way through two texts in steps of up to three letters a side, or gaps of any length."""
    if (at, at_copy) == (len(original), len(copy)):
        yield ()
    for o1 in range(at, len(original) + 1):
        for c1 in range(at_copy, len(copy) + 1):
            if max(o1 - at, c1 - at_copy) > 3 and min(o1 - at, c1 - at_copy) > 0:
                continue
            if (o1, c1) != (at, at_copy):
                step = (at, o1, at_copy, c1)
                yield from ((step, *rest) for rest in every_path(original, copy, o1, c1))


@settings(max_examples=40)
@given(TINY, TINY, SEED, st.booleans())
def test_the_path_is_one_of_the_best(original: str, copy: str, seed: int, unit: bool) -> None:
    """Of all alignments of two tiny texts, the one found is among those that cost least."""
    channel = unit_channel(original, copy) if unit else random_channel(original, copy, seed)
    with costs_of(NEVER if unit else 1.0, NEVER if unit else 0.5):
        found = tuple(solved(original, copy, channel))
        costs = {path: path_cost(list(path), original, copy, channel) for path in every_path(original, copy)}
    best = {path for path, cost in costs.items() if cost <= min(costs.values()) + 1e-9}
    assert found in best


def test_there_are_ties_among_the_best() -> None:
    """The tiny texts above do have several best alignments: baa for ba can lose either a."""
    channel = unit_channel("baa", "ba")
    with costs_of(NEVER, NEVER):
        costs = {path: path_cost(list(path), "baa", "ba", channel) for path in every_path("baa", "ba")}
    assert sorted(costs.values())[:3] == [1.0, 1.0, 2.0]


@settings(max_examples=25)
@given(st.integers(1, 1500), st.booleans(), st.integers(0, 99))
def test_a_made_text_against_itself(letters: int, formulaic: bool, seed: int) -> None:
    """However often its formulas return, a text is its own perfect copy: one kept step."""
    text = made_text(letters, formulaic=formulaic, seed=seed)
    assert align(text, text).steps.tolist() == [[0, len(text), 0, len(text), StepKind.KEPT]]


def shuffled_pair(seed: int) -> tuple[str, str]:
    """Give a made pair with passages of the copy left out, written twice and moved."""
    draw = random.Random(seed)
    pair = made_pair(
        draw.choice([200, 700, 2000]),
        draw.choice([0.0, 0.03, 0.15]),
        formulaic=draw.random() < 0.5,
        seed=seed,
    )
    parts = [pair.copy[at : at + 90] for at in range(0, len(pair.copy), 90)]
    for _ in range(draw.randint(0, 4)):
        taken = parts.pop(draw.randrange(len(parts)))
        for _ in range(draw.choice([0, 1, 2])):
            parts.insert(draw.randint(0, len(parts)), taken)
    return pair.original, "".join(parts)


@pytest.mark.parametrize("seed", range(25))
def test_both_texts_come_back(seed: int) -> None:
    """Whatever was left out, moved and repeated, the steps cover both texts and say what they do."""
    original, copy = shuffled_pair(seed)
    try:
        steps = align(original, copy).steps.tolist()
    except UnrelatedTextsError:
        assert len(original) < 400  # two lines of three are gone
        return
    ends = [[0, 0], *([o1, c1] for _, o1, _, c1, _ in steps)]
    assert ends[:-1] == [[o0, c0] for o0, _, c0, _, _ in steps]
    assert ends[-1] == [len(original), len(copy)]
    kept = [(o0, o1, c0, c1) for o0, o1, c0, c1, kind in steps if kind == StepKind.KEPT]
    assert all(original[o0:o1] == copy[c0:c1] for o0, o1, c0, c1 in kept)


def channel_of(alignment: Alignment) -> LetterChannel:
    """Give the channel that an alignment was made with."""
    assert alignment.counted is None or isinstance(alignment.counted, AnswerTotals)
    letters, written = alignment.original.letters, alignment.copy.letters
    return LetterChannel(letters, written, str.__eq__, alignment.counted)


def cost_of(steps: Sequence[Sequence[int]], original: str, copy: str, channel: LetterChannel) -> float:
    """Add up what some steps cost, each in the cheapest way that makes it."""
    cost = 0.0
    for o0, o1, c0, c1, *_ in steps:
        o, c = original[o0:o1], copy[c0:c1]
        if o == c:
            cost += sum(channel.cost(letter, letter) for letter in o)
            continue
        ways = [channel.cost(o, c)]
        if not o or not c:
            ways.append(GAP_OPEN + sum(gap_costs(o + c)))
        if len(o) == 2 and o == c[::-1]:
            ways.append(SWAP_COST)
        cost += min(ways)
    return cost


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("letters", [1, 300, 5_000])
def test_the_cost_reported_is_the_cost(letters: int, noise: float) -> None:
    """Added up anew, step by step, the cost of an alignment is what it says."""
    pair = made_pair(letters, noise, seed=3)
    alignment = align(pair.original, pair.copy)
    anew = cost_of(alignment.steps.tolist(), pair.original, pair.copy, channel_of(alignment))
    assert alignment.cost == pytest.approx(anew, rel=1e-9)


@pytest.mark.parametrize("noise", [0.02, 0.1, 0.2])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_the_round_kept_is_the_best(noise: float, formulaic: bool) -> None:
    """Of all rounds of learning, the one that is kept brought the whole down furthest."""
    pair = made_pair(4_000, noise, formulaic=formulaic, seed=2)
    alignment = align(pair.original, pair.copy)
    assert len(alignment.objectives) == alignment.rounds > 1
    assert alignment.objectives[-1] == pytest.approx(min(alignment.objectives), rel=1e-12)
    assert alignment.cost <= alignment.objectives[-1]


@pytest.mark.parametrize(("noise", "above"), [(0.02, 0.0), (0.05, 0.0), (0.1, 0.001), (0.2, 0.001)])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
@pytest.mark.parametrize("seed", [1, 2])
def test_it_costs_no_more_than_the_full_programme(
    noise: float, above: float, formulaic: bool, seed: int
) -> None:
    """With anchors it costs as little as without; at 10-20 % wrong letters at most a thousandth more."""
    pair = made_pair(600, noise, formulaic=formulaic, seed=seed)
    alignment = align(pair.original, pair.copy)
    channel = channel_of(alignment)
    found = cost_of(alignment.steps.tolist(), pair.original, pair.copy, channel)
    path = solved(pair.original, pair.copy, channel)  # type: ignore[arg-type]  # it has the same face
    least = cost_of(path, pair.original, pair.copy, channel)
    assert least * (1 - 1e-9) <= found <= least * (1 + above + 1e-9)


def edits(alignment: Alignment) -> int:
    """Give how many letters an alignment changes, leaves out or puts in, by its own steps."""
    return sum(
        max(o1 - o0, c1 - c0) for o0, o1, c0, c1, kind in alignment.steps.tolist() if kind != StepKind.KEPT
    )


@pytest.mark.parametrize("noise", [0.005, 0.02, 0.05, 0.1])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_edits_are_no_fewer_than_the_distance(noise: float, formulaic: bool) -> None:
    """No alignment needs fewer edits than the edit distance, and a good one hardly more."""
    pair = made_pair(12_000, noise, formulaic=formulaic, seed=5)
    found = edits(align(pair.original, pair.copy))
    least = Levenshtein.distance(pair.original, pair.copy)
    assert least <= found <= 1.1 * least


@settings(max_examples=25)
@given(st.integers(0, 99), st.permutations("aceilmnorstu"))
def test_letters_may_be_renamed(seed: int, others: list[str]) -> None:
    """What the letters are called makes no difference to which answers which, nor to the cost."""
    pair = made_pair(600, 0.04, seed=seed)
    names = str.maketrans("aceilmnorstu", "".join(others))
    as_it_is = align(pair.original, pair.copy)
    renamed = align(pair.original.translate(names), pair.copy.translate(names))
    assert renamed.cost == pytest.approx(as_it_is.cost, rel=1e-3)
    assert edits(renamed) == pytest.approx(edits(as_it_is), abs=2)
