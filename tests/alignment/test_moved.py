"""Words, lines and passages that stand elsewhere in the copy."""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.likeness import ENOUGH_BITS, PIECE, likeness_around, weight_of
from fidelity.alignment.moved import _folded, find_moved, with_moved
from fidelity.alignment.unpaired import unpaired_stretches
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, Moved, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds, load_folds
from tests.alignment.made_copies import made_pair, made_text

BOUNDS = (
    "of þam clife on þa greatan ac ofer þone feld. of þære ac on wulfstanes beorh. of þam beorge west"
    " on þone hwitan stan. of þam stane suþ on þa hæselræwe eft on ellenford"
)


def aligned(original: str, copy: str, folds: Folds = NO_FOLDS) -> Alignment:
    """Align two strings of letters; the moved blocks are those that the steps leave unpaired."""
    return with_moved(align_witnesses(Witness("E", original), Witness("C", copy), folds), folds)


def found(alignment: Alignment) -> list[tuple[str, str]]:
    """Give the letters of the moved blocks in both texts."""
    original, copy = alignment.original.letters, alignment.copy.letters
    return [(original[slice(*one.original_span)], copy[slice(*one.copy_span)]) for one in alignment.moved]


def moved_in(text: str, start: int, end: int, to: int) -> str:
    """Put the words from ``start`` to ``end`` where ``to`` is; all are word borders."""
    block, rest = text[start:end], text[:start] + text[end:]
    to -= len(block) if to > start else 0
    return rest[:to] + block + rest[to:]


def border(text: str, at: int) -> int:
    """Give where the next word begins."""
    return text.index(" ", at) + 1


@pytest.mark.parametrize(
    ("original", "copy", "block"),
    [
        ("cnuca on strangum ecede. and smyre", "cnuca on ecede strangum. and smyre", "ecede"),
        ("genim þonne betonican and rudan cnuca", "genim betonican and rudan þonne cnuca", "þonne"),
        ("sele on neahtnestig drincan .iii. dagas. eft", "sele drincan .iii. dagas on neahtnestig. eft",
         "on neahtnestig"),
    ],
)  # fmt: skip
def test_a_word_or_two(original: str, copy: str, block: str) -> None:
    """A word moved over its neighbours needs no more than a few letters to be known again."""
    assert found(aligned(original, copy)) == [(block, block)]


def test_the_same_stretch_but_for_some_slips() -> None:
    """A passage moved with slips in it is one block; its own steps tell the slips."""
    passage = "of þam stane suþ on þa hæselræwe eft"
    copy = "of þam rtane suþ on þa hæselræwe ept " + BOUNDS.replace(passage + " ", "")
    [block] = aligned(BOUNDS, copy).moved
    changed = [(BOUNDS[a:b], copy[c:d]) for a, b, c, d, kind in block.steps.tolist() if kind]
    assert changed == [("s", "r"), ("f", "p")]
    assert block.slips == 2


def test_folded_letters_are_no_slips() -> None:
    """What counts as the same letter is kept in a moved block too."""
    insular = BOUNDS.replace("s", "ꞅ")
    copy = moved_in(BOUNDS, border(BOUNDS, 30), border(BOUNDS, 70), border(BOUNDS, 130))
    [block] = aligned(insular, copy, Folds({"ꞅ": "s"})).moved
    assert block.slips == 0


@given(st.text("ꞅꞇsta⁊", max_size=20))
def test_whole_texts_are_folded_as_parts_are(text: str) -> None:
    """Folding a whole text letter after letter gives what folding it place after place gives."""
    folds = load_folds(["insular"], [("a", "ꞅ"), ("t", "æ")])  # a stands for ꞅ, which stands for s
    assert _folded(text, folds) == folds.fold(text)


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("letters", [20, 45, 1500])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_planted_moves_are_found(noise: float, letters: int, formulaic: bool) -> None:
    """Three words, a line or a page moved by one line to a few pages: found in the places it was moved in."""
    hits = 0
    for seed in range(4):
        draw = random.Random(seed)
        pair = made_pair(12_000, noise, formulaic=formulaic, seed=seed)
        start = border(pair.copy, draw.randrange(3_000, 5_000))
        end = border(pair.copy, start + letters)
        to = border(pair.copy, draw.choice([start - 60, end + 60, end + 300, end + 3_000]))
        copy = moved_in(pair.copy, start, end, to)
        low, high = min(start, to), max(end, to)
        blocks = aligned(pair.original, copy).moved
        hits += any(low - 5 <= block.copy_span[0] and block.copy_span[1] <= high + 5 for block in blocks)
    assert hits >= 3


@pytest.mark.parametrize("noise", [0.02, 0.1])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_slips_and_skips_are_no_moves(noise: float, formulaic: bool) -> None:
    """Where nothing was moved, nothing is said to have been: in 60,000 letters, one block at most."""
    blocks = 0
    for seed in range(3):
        pair = made_pair(20_000, noise, formulaic=formulaic, seed=seed)
        blocks += len(aligned(pair.original, pair.copy).moved)
    assert blocks <= 1


def test_a_common_word_is_weak_evidence() -> None:
    """A common word left out here and put in pages later is no move; a rare word is."""
    text = made_text(30_000, formulaic=False, seed=4).replace(" du ", " and ")
    start, to = text.index(" and ", 5_000), border(text, 9_000)
    assert found(aligned(text, moved_in(text, start + 1, start + 5, to))) == []
    text = text[:start] + " neahtnestig " + text[start + 5 :]
    [(block, _)] = found(aligned(text, moved_in(text, start + 1, start + 13, to)))
    assert block == "neahtnestig"


def test_formulas_are_no_moves() -> None:
    """A formula lacking in one entry and put into another far off is not called moved."""
    names = [word for word in made_text(4_000, formulaic=False, seed=2).split() if len(word) > 3]
    entries = [f"{one} and {other} in villa que dicitur" for one, other in pairwise(names)]
    original = " ".join(entries)
    short = entries[10].removesuffix(" in villa que dicitur")
    copy = " ".join([*entries[:10], short, *entries[11:120], "in villa que dicitur", *entries[120:]])
    assert found(aligned(original, copy)) == []


def test_what_stands_beside_it_already_was_written_twice() -> None:
    """A word lost where it stood twice and another written twice are two repeats, not a move."""
    original = "nim se se wudu and lege on þone stan be þam wege"
    copy = "nim se wudu and lege on þone stan be se be þam wege"
    assert found(aligned(original, copy.replace("be se be", "be be"))) == []


def test_two_lines_of_one_gap() -> None:
    """Of what was left out together, two parts may have gone to different places."""
    text = made_text(6_000, formulaic=False, seed=9)
    start, middle = border(text, 2_000), border(text, 2_060)
    end = border(text, 2_120)
    first, second, rest = text[start:middle], text[middle:end], text[:start] + text[end:]
    one, other = border(rest, 500), border(rest, 5_000)
    copy = rest[:one] + second + rest[one:other] + first + rest[other:]
    assert [block.strip() for block, _ in found(aligned(text, copy))] == [first.strip(), second.strip()]


def test_a_skip_within_a_moved_passage() -> None:
    """A passage that lost a line on its way is one block all the same, with the loss among its steps."""
    text = made_text(6_000, formulaic=False, seed=3)
    start, end = border(text, 2_000), border(text, 2_400)
    passage = text[start:end]
    lost = slice(border(passage, 150), border(passage, 200))
    rest = text[:start] + text[end:]
    to = border(rest, 4_500)
    copy = rest[:to] + passage[: lost.start] + passage[lost.stop :] + rest[to:]
    [block] = aligned(text, copy).moved
    assert text[slice(*block.original_span)] == passage.strip()
    assert block.slips == lost.stop - lost.start
    assert StepKind.SKIPPED in block.steps[:, 4].tolist()


def shuffled(seed: int) -> tuple[str, str]:
    """Give a made pair with passages of the copy left out, written twice and moved."""
    draw = random.Random(seed)
    pair = made_pair(3_000, draw.choice([0.0, 0.05, 0.2]), formulaic=draw.random() < 0.5, seed=seed)
    size = draw.choice([15, 60, 300])
    parts = [pair.copy[at : at + size] for at in range(0, len(pair.copy), size)]
    for _ in range(draw.randint(0, 4)):
        taken = parts.pop(draw.randrange(len(parts)))
        for _ in range(draw.choice([0, 1, 2])):
            parts.insert(draw.randint(0, len(parts)), taken)
    return pair.original, "".join(parts)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000))
def test_blocks_are_what_they_say(seed: int) -> None:
    """Blocks overlap in neither text; their steps cover both spans; what is kept is equal and outweighs."""
    original, copy = shuffled(seed)
    try:
        alignment = aligned(original, copy)
    except UnrelatedTextsError:
        return
    told: set[int] = set()
    told_copy: set[int] = set()
    for block in alignment.moved:
        rows = block.steps.tolist()
        assert (rows[0][0], rows[-1][1]) == block.original_span
        assert (rows[0][2], rows[-1][3]) == block.copy_span
        assert all(a[1] == b[0] and a[3] == b[2] for a, b in pairwise(rows))
        kept = [(original[a:b], copy[c:d]) for a, b, c, d, kind in rows if kind == StepKind.KEPT]
        assert all(gone == come for gone, come in kept)
        assert sum(len(gone) for gone, _ in kept) > block.slips
        spans = set(range(*block.original_span)), set(range(*block.copy_span))
        assert not spans[0] & told and not spans[1] & told_copy
        told |= spans[0]
        told_copy |= spans[1]
    assert [one.original_span for one in alignment.moved] == sorted(
        one.original_span for one in alignment.moved
    )


def test_steps_stay_as_they_are() -> None:
    """The steps of the alignment keep the order of both texts, moved blocks or not."""
    copy = moved_in(BOUNDS, border(BOUNDS, 30), border(BOUNDS, 70), border(BOUNDS, 130))
    alignment = aligned(BOUNDS, copy)
    plain = find_moved(alignment.steps, BOUNDS, copy)
    assert alignment.moved and [one.copy_span for one in plain] == [one.copy_span for one in alignment.moved]
    ends = [(row[1], row[3]) for row in alignment.steps.tolist()]
    starts = [(row[0], row[2]) for row in alignment.steps.tolist()]
    assert starts[1:] == ends[:-1] and ends[-1] == (len(BOUNDS), len(copy))
    assert isinstance(alignment.moved[0], Moved)


def test_nothing_unpaired_nothing_moved() -> None:
    """Texts without differences have no unpaired stretches; empty ones are no matter."""
    steps = np.array([(0, 5, 0, 5, 0)], dtype=np.int32)
    left_out, put_in = unpaired_stretches(steps)
    assert not len(left_out.starts) and not len(put_in.starts)
    assert find_moved(steps, "stane", "stane") == ()
    assert find_moved(steps[:0], "", "") == ()


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.sampled_from([50, PIECE, 3 * PIECE + 7]))
def test_a_likeness_is_followed_as_far_as_it_goes(seed: int, letters: int) -> None:
    """From a run in its middle a copied stretch is followed to both ends, however many pieces that takes."""
    pair = made_pair(letters, 0.03, seed=seed)
    first, second = pair.original, pair.copy
    steps = align_witnesses(Witness("E", first), Witness("C", second)).steps.tolist()
    a, b, c, _, _ = max(steps, key=lambda row: row[1] - row[0] if row[4] == StepKind.KEPT else -1)
    rows = likeness_around(first, second, (a, c, b - a), ((0, len(first)), (0, len(second))))
    kept = sum(row[1] - row[0] for row in rows if row[4] == StepKind.KEPT)
    wanted = sum(row[1] - row[0] for row in steps if row[4] == StepKind.KEPT)
    longest_gap = max((max(row[1] - row[0], row[3] - row[2]) for row in steps if row[4]), default=0)
    if longest_gap < 8:  # a likeness ends at a long gap
        assert kept >= 0.95 * wanted


def test_what_recurs_weighs_little() -> None:
    """A stretch weighs the less the oftener it stands elsewhere; a long peculiar one more than enough."""
    formula = "in nomine domini nostri "
    once, often = made_text(5_000, formulaic=False, seed=1), made_text(5_000, formulaic=False, seed=1)
    for at in range(9):
        often = often[: 500 * at] + formula + often[500 * at :]
    weights = []
    for text in (once, often):
        rows = [(len(text), len(text) + len(formula), 0, len(formula), 0)]
        weights.append(weight_of(rows, text + formula))
    assert weights[1] < 10 < weights[0] <= 2 * ENOUGH_BITS


def test_steps_looked_at_in_parts_leave_the_same_unpaired(monkeypatch: pytest.MonkeyPatch) -> None:
    """However the steps are parted to spare memory, the unpaired stretches are the same."""
    pair = made_pair(4_000, 0.2, seed=3)
    steps = align_witnesses(Witness("E", pair.original), Witness("C", pair.copy)).steps
    whole = unpaired_stretches(steps)
    for size in (1, 7, 100):
        monkeypatch.setattr("fidelity.alignment.unpaired.PART", size)
        for side, expected in zip(unpaired_stretches(steps), whole, strict=True):
            assert side.starts.tolist() == expected.starts.tolist()
            assert side.ends.tolist() == expected.ends.tolist()
            assert side.opposite.tolist() == expected.opposite.tolist()
            assert side.gaps.tolist() == expected.gaps.tolist()
    assert len(whole[0].starts) > 10
