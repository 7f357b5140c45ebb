"""Other ways through an alignment that are as good."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.doubt import LONGEST, Rivals, rivals_of
from fidelity.alignment.rival_costs import MOST_WAYS, RivalCosts, Stretch, ways_as_good
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds
from tests.alignment.test_relations import every_path

TEXT = "of þam clife on þa greatan ac of þære ac ofer þone feld. nim wudu and genim minor sele"


def aligned(original: str, copy: str, folds: Folds = NO_FOLDS) -> Alignment:
    """Align two strings of letters."""
    return align_witnesses(Witness("E", original), Witness("C", copy), folds)


def rivals(original: str, copy: str) -> list[list[list[tuple[str, str]]]]:
    """Give for each stretch with rivals what differs in each of its ways."""
    return [changes(original, copy, found) for found in rivals_of(aligned(original, copy), NO_FOLDS)]


def changes(original: str, copy: str, found: Rivals) -> list[list[tuple[str, str]]]:
    """Give what differs in each way."""
    return [
        [(original[a:b], copy[c:d]) for a, b, c, d, kind in way if kind != StepKind.KEPT]
        for way in found.ways
    ]


def test_a_gap_moves_along_equal_letters() -> None:
    """Of a word that stood twice either may be lacking, of two like letters either; else there is one way."""
    [[(gap,), *_]] = rivals("nim se se wudu and", "nim se wudu and")
    assert gap[0].strip() == "se" and gap[1] == ""
    assert rivals("wyrttruma and", "wyrtruma and") == [[[("t", "")]]]
    assert rivals("wyrtruma and", "wyrttruma and") == [[[("", "t")]]]
    assert rivals("nim wudu and", "nim wdu and") == []


@pytest.mark.parametrize(("original", "copy"), [("se se wudu", "se wudu"), ("wudu se se", "wudu se")])
def test_a_gap_at_either_end_of_a_text(original: str, copy: str) -> None:
    """Where a text begins or ends, a gap moves as anywhere."""
    assert rivals(original, copy)


@pytest.mark.parametrize(
    ("original", "copy", "one", "other"),
    [
        ("rn wudu and genim", "m wudu and genim", {("r", ""), ("n", "m")}, {("r", "m"), ("n", "")}),
        ("m wudu and genim", "rn wudu and genim", {("m", "n"), ("", "r")}, {("m", "r"), ("", "n")}),
    ],
)
def test_several_letters_for_fewer(
    original: str, copy: str, one: set[tuple[str, str]], other: set[tuple[str, str]]
) -> None:
    """Which of two letters was left out, and which written otherwise, cannot be told from one place."""
    [[way]] = rivals(original, copy)
    assert set(way) in (one, other)


def test_its_own_choice_is_no_evidence() -> None:
    """One place does not decide for itself; five others in which i was left out decide for it."""
    assert rivals("genim wudu and minor sele", "gemm wudu and minor sele")
    more = "minor sele mid finole. ".replace("i", "")
    assert rivals("minor sele mid finole. genim wudu and", more + "gemm wudu and") == []


def test_a_learned_operation_has_no_rivals() -> None:
    """Where rn is written m again and again, it is one operation, and no other way is as good."""
    original = "corn earn morne þorn horn bearn stearn be þam ealdan wege on þa stræte"
    assert rivals(original, original.replace("rn", "m")) == []


def test_nothing_is_claimed_of_long_changes() -> None:
    """Letters for fewer letters have rivals in a short stretch, and none in one beyond the limit."""
    for length, claimed in ((4, True), (LONGEST + 2, False)):
        changed = "xyzvwqk" * 4
        steps = [(0, len(TEXT), 0, len(TEXT), 0)]
        at = len(TEXT)
        for _ in range(length):
            steps.append((at, at + 1, at - 1 if len(steps) > 1 else at, at, 1))
            at += 1
        rows = [(o, p, max(c, len(TEXT)), max(d, len(TEXT)), 1) for o, p, c, d, _ in steps[1:]]
        rows[0] = (len(TEXT), len(TEXT) + 1, len(TEXT), len(TEXT), 1)
        original, copy = TEXT + changed[:length], TEXT + "j" * (length - 1)
        table = np.array([steps[0], *rows], dtype=np.int32)
        given = Alignment(Witness("E", original), Witness("C", copy), table, 0.0, 1)
        assert bool(list(rivals_of(given, NO_FOLDS))) is claimed


def test_declared_expansions_are_kept() -> None:
    """In a rival, too, a sign answered by what it stands for is no difference."""
    folds = Folds({"ꞅ": "s"}, (("⁊", "and"),))
    original, copy = "nim wudu ⁊ꞅe rn beorh", "nim wudu andse m beorh"
    for found in rivals_of(aligned(original, copy, folds), folds):
        for way in changes(original, copy, found):
            assert not any("⁊" in gone or "ꞅ" in gone for gone, _ in way)


@st.composite
def slips(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a few words and a copy with slips."""
    words = draw(st.lists(st.sampled_from(TEXT.split()), min_size=3, max_size=9))
    original = copy = " ".join(words)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(copy) - 1))
        copy = copy[:at] + draw(st.text("aemn ", max_size=2)) + copy[at + draw(st.integers(0, 2)) :]
        assume(copy)
    return original, copy


@settings(deadline=None, max_examples=150)
@given(slips())
def test_rivals_are_alignments(pair: tuple[str, str]) -> None:
    """Every way goes from the beginning to the end of its stretch, keeps equal letters, and is another."""
    original, copy = pair
    try:
        alignment = aligned(original, copy)
    except UnrelatedTextsError:
        return
    for found in rivals_of(alignment, NO_FOLDS):
        given_way = [tuple(row) for row in alignment.steps[found.first : found.last].tolist()]
        assert found.ways
        for way in found.ways:
            assert list(way) != given_way
            assert (way[0][0], way[0][2]) == (given_way[0][0], given_way[0][2])
            assert (way[-1][1], way[-1][3]) == (given_way[-1][1], given_way[-1][3])
            assert all((one[1], one[3]) == (other[0], other[2]) for one, other in pairwise(way))
            assert all(original[a:b] == copy[c:d] for a, b, c, d, kind in way if kind == StepKind.KEPT)


@settings(deadline=None, max_examples=60)
@given(st.text("abi", min_size=1, max_size=4), st.text("abi", min_size=1, max_size=4))
def test_every_way_as_good_is_found(original: str, copy: str) -> None:
    """Of all ways through two tiny stretches, those that cost what the given one does are all given."""
    made = aligned("bibo abi alia. " * 3, "bibo abi alia. bio abi aia. bibo bi aliia. ")
    costs = RivalCosts(made, NO_FOLDS)
    stretch = Stretch(original, copy, Counter(), 3)
    paths = {path: costs.cost_of(path, stretch) for path in every_path(original, copy)}
    best = min(paths, key=lambda path: (paths[path], path))
    wanted = {path for path, cost in paths.items() if abs(cost - paths[best]) <= 1e-6}
    found = set(ways_as_good(stretch, best, costs))
    assert found == wanted or len(found) == MOST_WAYS


@settings(deadline=None, max_examples=60)
@given(slips())
def test_costs_are_those_of_the_channel(pair: tuple[str, str]) -> None:
    """With nothing left out, single letters cost what the channel says; with it, never less."""
    original, copy = pair
    try:
        costs = RivalCosts(aligned(original, copy), NO_FOLDS)
    except UnrelatedTextsError:
        return
    for letter in sorted(set(original)):
        for written in ["", *sorted(set(copy))]:
            plain = costs.single(letter, written, Counter())
            assert plain == costs.channel.cost(letter, written)
            assert costs.single(letter, written, Counter({(letter, written): 1})) >= plain - 1e-9


def test_an_alignment_without_steps() -> None:
    """Two empty texts, and equal ones, leave no doubt."""
    empty = Alignment(Witness("E", ""), Witness("C", ""), np.zeros((0, 5), dtype=np.int32), 0.0, 1)
    assert list(rivals_of(empty, NO_FOLDS)) == []
    assert rivals(TEXT, TEXT) == []
