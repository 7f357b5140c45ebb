"""Test the copied spellings of a lost text against the survivors' copies, and from page to page.

Arrives: the dossier and the copyist's rules. Leaves: a ``Shift`` for every test that can be made, with
those that are finds marked. Start reading at ``shifted``.

Spellings vary from text to text without any change; how much, the survivors show among themselves. What
is found is more than that, at a false-discovery rate over all rules and both tests of a text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.beta import normal_quantile
from fidelity.confusions.measure import benjamini_hochberg
from fidelity.confusions.order_tests import SHARE_OF_AN_END, Floats, permutation_p
from fidelity.copyist.tagging import normalise
from fidelity.dossier import Dossier
from fidelity.letters import decode, without_stops
from fidelity.readings.steps import Step, printed
from fidelity.terms import Shift
from fidelity.trial.spellings import (
    FARTHEST,
    FEWEST_PAGES,
    Difference,
    Pages,
    RuleCounts,
    Spellings,
    Stretch,
    stretches,
)

SHIFTED, INSIDE, ALTOGETHER = "spelling shifted", "shifted inside the text", "spellings altogether"
LONGEST_RULE = 3  # letters on a side; more is no spelling
FEWEST = 10  # words spelled either way, in all and in the lost text; with fewer a share says nothing
LEAST_FACTOR = 1.5  # of the odds; a smaller shift, however sure, changes few probabilities
ALARM = 0.02  # false-discovery rate of an alarm: it costs proposals, so it is raised more seldom than a find
# What is no find may be a shift all the same. So many rules shift, before looking, and by about a factor of
# four and a half (e^1.5) of the odds; choices.
BEFORE_LOOKING, SHIFT_SPREAD = 0.02, 1.5
ORDINARY = 0.2  # s.d. of the log-odds from text to text, before looking (as the forecast has it for texts)
ORDINARY_WORTH = 4.0  # so many comparisons of survivors that is worth; a choice
NOTHING = 1e-12  # stands for a variance of 0 where one divides
SEED = 1  # of the permutations: each test has the same, so that one test more changes no other
PARTS = 3  # of a single survivor, compared with each other as if they were texts


@dataclass(frozen=True)
class _Ground:
    """The pages of one lost text beside those of the survivors.

    Attributes:
        text: id of the lost text.
        pages: of all texts.
        here, among: which of them are the lost text's, and the survivors'.
        survivors: how many these are.
    """

    text: str
    pages: Sequence[Stretch]
    here: Pages
    among: Pages
    survivors: int

    def parts(self, cut: int) -> list[Pages]:
        """Give the pages of the lost text before and after a change."""
        numbers = np.flatnonzero(self.here)
        return [np.isin(np.arange(len(self.pages)), some) for some in (numbers[:cut], numbers[cut:])]

    def span(self, part: Pages) -> tuple[int, int]:
        """Give the offsets in the copy at which a part begins and ends."""
        numbers = np.flatnonzero(part).tolist()
        return self.pages[numbers[0]].start, self.pages[numbers[-1]].end


@dataclass(frozen=True)
class _Test:
    """One test of one rule in one lost text, not yet corrected for their number."""

    counts: RuleCounts
    shift: Shift
    cut: int = 0  # pages of the lost text before the change


def shifted(dossier: Dossier, rules: Sequence[Step]) -> list[Shift]:
    """Test every rule for a shift between the survivors and each lost text, and inside the text.

    Args:
        dossier: survivors and lost texts.
        rules: his operations seen in the survivors, original letters, written letters, folded.
    """
    pages = [page for one in dossier.survivors for page in stretches(one.id, one.copy)]
    pages += [page for one in dossier.lost for page in stretches(one.id, one.copy)]
    spellings = _spellings(dossier, pages)
    asked = sorted({rule for rule in rules if _is_spelling(rule)})
    counted = [(rule, counts) for rule in asked if (counts := spellings.of(rule)) is not None]
    survivors = _sets(pages, [one.id for one in dossier.survivors])
    pooled, own = _ordinary(counted, survivors)
    among = np.logical_or.reduce(survivors)
    found: list[Shift] = []
    for lost in dossier.lost:
        here = np.array([page.text == lost.id for page in pages])
        ground = _Ground(lost.id, pages, here, among, len(survivors))
        tests = [
            test
            for rule, counts in counted
            for test in _tests_of(rule, counts, ground, max(pooled, own.get(rule, 0.0)))
        ]
        found += _judged(tests, ground)
    return found


def _is_spelling(rule: Step) -> bool:
    """Tell whether a rule concerns letters inside words."""
    both = "".join(rule)
    short = max(map(len, rule)) <= LONGEST_RULE
    return short and rule[0] != rule[1] and without_stops(both) == both and not any(map(str.isspace, both))


def _spellings(dossier: Dossier, pages: Sequence[Stretch]) -> Spellings:
    """Give the words of all his copies, and those of the survivors' originals."""
    folds = dossier.folds
    copies = {one.id: folds.fold(one.copy.letters) for one in dossier.survivors}
    copies |= {one.id: folds.fold(one.copy.letters) for one in dossier.lost}
    originals = {one.id: normalise(one.original.letters, folds) for one in dossier.survivors}
    words = {name: set(without_stops(text).split()) for name, text in originals.items()}
    times = Counter(word for some in words.values() for word in some)
    only_in = {word: name for name, some in words.items() for word in some if times[word] == 1}
    return Spellings(copies, pages, times, only_in if len(words) > 1 else None)


def _sets(pages: Sequence[Stretch], survivors: Sequence[str]) -> list[Pages]:
    """Give the pages of each survivor; a single one is cut into parts that stand for texts."""
    sets = [np.array([page.text == text for page in pages]) for text in survivors]
    if len(sets) > 1:
        return sets
    numbers = np.array_split(np.flatnonzero(sets[0]), PARTS)
    return [np.isin(np.arange(len(pages)), part) for part in numbers if len(part)]


def _ordinary(
    counted: Sequence[tuple[Step, RuleCounts]], survivors: Sequence[Pages]
) -> tuple[float, Mapping[Step, float]]:
    """Estimate how much the log-odds of a spelling vary from text to text: over all rules, and each rule's.

    By moments: the square of a survivor's difference from the others is its variance from pages, and
    that between texts (DerSimonian & Laird 1986, Controlled Clinical Trials 7:177-188, from memory).
    """
    total, weights = ORDINARY_WORTH * ORDINARY**2, ORDINARY_WORTH
    own: dict[Step, float] = {}
    if len(survivors) < 2:
        return ORDINARY**2, own
    among = np.logical_or.reduce(survivors)
    for rule, counts in counted:
        found = [counts.difference(one, among & ~one) for one in survivors]
        several = [
            ((one.log_odds**2 - one.variance) / (1 + 1 / (len(survivors) - 1)), one.variance)
            for one in found
            if _can_be_told(one) and one.variance < inf
        ]
        for between, variance in several:
            worth = (ORDINARY**2 / (ORDINARY**2 + variance)) ** 2
            total, weights = total + worth * between, weights + worth
        if several:
            own[rule] = sum(between for between, _ in several) / len(several)
    return max(total / weights, 0.0), own


def _can_be_told(one: Difference) -> bool:
    """Tell whether a spelling and its rival stand often enough to be compared."""
    return min(one.either, one.otherwise, one.places) >= FEWEST


def _tests_of(rule: Step, counts: RuleCounts, ground: _Ground, between: float) -> Iterator[_Test]:
    """Make the tests of one rule in one lost text that can be made."""
    text, here = ground.text, ground.here
    it = counts.difference(here, ground.among)
    example = " / ".join(map(decode, counts.example))
    if _can_be_told(it):
        between *= 1 + 1 / ground.survivors
        chance = it.chance_of_shift(between, BEFORE_LOOKING, SHIFT_SPREAD)
        shift = Shift(text, SHIFTED, printed(rule), it.first, it.second, p_value=it.p_value(between))
        yield _Test(counts, replace(shift, factor=it.factor, example=example, chance=chance))
    spelled, places = counts.standing(here)
    if int(here.sum()) >= FEWEST_PAGES and min(spelled, places - spelled) >= FEWEST:
        excess, variance = counts.course(here)
        value, cut = _change(excess[None, :], variance[None, :])
        p = _p_of_change(excess, variance, float(value[0]))
        shift = Shift(text, INSIDE, printed(rule), spelled / places, p_value=p, example=example)
        yield _Test(counts, shift, int(cut[0]))


def _change(excess: Floats, variance: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """Give the greatest score of a change after some page, row by row, and after which."""
    pages = excess.shape[1]
    end = max(2, int(SHARE_OF_AN_END * pages))
    cut = slice(end - 1, pages - end)
    first, before = excess.cumsum(axis=1)[:, cut], variance.cumsum(axis=1)
    total, before = before[:, -1:], before[:, cut]
    spread = before * (total - before) / np.maximum(total, NOTHING)
    score = np.where(spread > 0, first**2 / np.maximum(spread, NOTHING), 0.0)
    return score.max(axis=1), score.argmax(axis=1) + end


def _p_of_change(excess: Floats, variance: Floats, seen: float) -> float:
    """Give the probability of such a score, pages permuted as wholes."""
    rng = np.random.default_rng(SEED)

    def draw(number: int) -> Floats:
        orders = rng.permuted(np.tile(np.arange(len(excess)), (number, 1)), axis=1)
        return _change(excess[orders], variance[orders])[0]

    return permutation_p(seen, draw, len(excess))


def _judged(tests: Sequence[_Test], ground: _Ground) -> list[Shift]:
    """Correct the tests of a text for their number, and say how great the shifts found are.

    Where a rule changes inside the text, its parts are told apart, and the whole is not a find as well.
    """
    if not tests:
        return []
    q_values = benjamini_hochberg([one.shift.p_value or 0.0 for one in tests])
    shifts: list[Shift] = []
    for one, q in zip(tests, q_values, strict=True):
        found = replace(one.shift, q_value=q, found=q <= ALARM)
        if found.kind == INSIDE:
            shifts += _in_parts(one, found, ground)
        else:
            is_find = found.found and found.factor >= LEAST_FACTOR
            shifts.append(replace(found, found=is_find, chance=1.0 if is_find else found.chance))
    inside = {one.what for one in shifts if one.found and one.kind == INSIDE}
    shifts = [
        replace(one, found=False, chance=0.0) if one.kind == SHIFTED and one.what in inside else one
        for one in shifts
    ]
    shifts.sort(key=lambda one: (not one.found, one.q_value or 0.0, one.kind, one.what, one.span or (0, 0)))
    return [_altogether([one.shift for one in tests], ground.text), *shifts]


def _in_parts(test: _Test, shift: Shift, ground: _Ground) -> Iterator[Shift]:
    """Give the two parts of a text before and after a change, each beside the survivors."""
    parts = ground.parts(test.cut)
    if not shift.found:
        yield shift
        return
    apart = test.counts.difference(*parts).factor
    for part in parts:
        it = test.counts.difference(part, ground.among)
        known = it.places > 0
        spelled, places = test.counts.standing(part)
        yield replace(
            shift,
            share=it.first if known else spelled / max(places, 1),
            survivor_share=it.second if known else None,
            factor=it.factor if known else apart,
            span=ground.span(part),
            found=apart >= LEAST_FACTOR,
            chance=float(apart >= LEAST_FACTOR),
        )


def _altogether(tested: Sequence[Shift], text: str) -> Shift:
    """Take the tests against the survivors together: the share of rules that differ much, and Fisher's way.

    The squares of the normal deviates that belong to the p-values are summed (Lancaster 1961, Australian
    J. of Statistics 3:20-33, from memory). A rule and its opposite are tested on the same words: one of
    them is taken. No proposal is touched for this alone.
    """
    from scipy.special import gammaincc  # slow to import, and needed only with a lost text

    rules = {frozenset(one.what.split("→")): one for one in tested if one.kind == SHIFTED}
    if not rules:
        return Shift(text, ALTOGETHER, "", 0.0)
    deviates = [normal_quantile(max(1 - (one.p_value or 0.0) / 2, 0.5)) for one in rules.values()]
    squares = sum(min(each, FARTHEST) ** 2 for each in deviates)
    p = float(gammaincc(len(rules) / 2, squares / 2))
    share = sum(one.factor >= LEAST_FACTOR for one in rules.values()) / len(rules)
    return Shift(text, ALTOGETHER, "", share, p_value=p, found=p <= ALARM, example=f"of {len(rules)} rules")
