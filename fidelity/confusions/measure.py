"""Tell the copyist's habits from his chance slips.

Arrives: ``AnswerCounts``, what each letter of the originals was answered by. Leaves: one ``Confusion``
for each wrong answer: its rate and interval, how often chance slips alone would have given it, and
whether it is systematic. Start reading at ``measure``.

What a chance slip is. Some letters slip oftener than others, some are oftener written by mistake,
but what a slipping letter turns into does not depend on what it was (quasi-independence: Goodman
1968, JASA 63:1091-1131, from memory): n chances give n x (general slip rate) x (the letter's factor)
x (the written letter's factor) wrong answers of one kind. All three are learned from the other wrong
answers, the tested pair and those already found beyond chance, most frequent first, left out.

The test. The tested count x against the m slips its expectation e rests on: given their sum, x is
binomial (two Poisson rates: Przyborowski & Wilenski 1940, Biometrika 31:313-323, from memory). The
exact probability of x or more is the incomplete beta function I(x, m) at e / (e + m). Slips are taken
to be independent; a word miswritten over and over is not, so a habit must stand in several words.

Longer pairs (rn -> m). Expected is what the single letters would give or, if more, what slips of the
same shape (two letters for one) give in this copy: slips side by side are not independent.

Many tests. Benjamini & Hochberg 1995 over all pairs that could have been seen, seen or not; single
letters are one family, each shape of longer pairs another, with far more possible pairs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fidelity.confusions.beta import beta_tails
from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.intervals import clustered, dispersion, page_chances, rule_of_three
from fidelity.confusions.slips import SINGLE, Judge, Pair, Seen, Shape, Slips, longer_slips
from fidelity.errors import UsageError
from fidelity.letters import decode
from fidelity.settings import Settings
from fidelity.terms import Confusion

Judged = tuple[float, float, float]  # expected count, p, q


def measure(counts: AnswerCounts, settings: Settings, folded: Callable[[str], str]) -> list[Confusion]:
    """Judge every wrong answer: how often, out of how many chances, and whether it is a habit.

    Args:
        counts: what each letter was answered by, page by page.
        settings: false-discovery rate, confidence, and how many different words make a habit.
        folded: puts letters into the form the declared folds count as equal (ꞅ as s).

    Returns:
        One confusion for each wrong pair seen; the most frequent first, ties in letter order.
    """
    seen = Seen(counts)
    judged = _judged(seen, settings)
    pooled = dispersion(counts)
    found = [_confusion(pair, seen, judged[pair], pooled, settings, folded) for pair in judged]
    return sorted(found, key=lambda confusion: (-confusion.count, confusion.original, confusion.copy))


def systematic_pairs(counts: AnswerCounts, settings: Settings) -> frozenset[Pair]:
    """Give the wrong answers that are a habit, as ``measure`` judges them, in letters."""
    seen = Seen(counts)
    judged = _judged(seen, settings)
    return frozenset(pair for pair in judged if _is_systematic(pair, seen, judged[pair][2], settings))


def _judged(seen: Seen, settings: Settings) -> dict[Pair, Judged]:
    """Test every wrong pair seen, family by family."""
    slips = Slips(seen)
    judged: dict[Pair, Judged] = {}
    for shape in sorted(seen.families):  # single letters first: the longer pairs need their slips
        judge = slips.judge if shape == SINGLE else longer_slips(seen, shape, slips)
        judged |= _judge(seen, shape, judge, settings.false_discovery)
    return judged


def _is_systematic(pair: Pair, seen: Seen, q_value: float, settings: Settings) -> bool:
    """Tell whether a pair is beyond chance, and in words enough."""
    words = seen.counts.words.get(pair, frozenset())
    return q_value <= settings.false_discovery and len(words) >= settings.systematic_words


def benjamini_hochberg(p_values: Sequence[float], total: int | None = None) -> list[float]:
    """Turn p-values into false-discovery rates (Benjamini & Hochberg 1995, JRSS B 57:289-300).

    Args:
        p_values: of the tests made, in any order.
        total: how many tests could have been made; the others count as p = 1.

    Returns:
        For each p-value the least false-discovery rate at which it is still a find.

    >>> [round(q, 3) for q in benjamini_hochberg([0.01, 0.04, 0.03], total=4)]
    [0.04, 0.053, 0.053]
    """
    total = len(p_values) if total is None else total
    if total < len(p_values):
        raise UsageError(f"{len(p_values)} tests of {total}", remedy="give the number of all possible tests")
    p = np.asarray(p_values, dtype=np.float64)
    order = np.argsort(p, kind="stable")
    stepped = p[order] * total / np.arange(1, len(p) + 1)
    q = np.empty_like(p)
    q[order] = np.minimum(np.minimum.accumulate(stepped[::-1])[::-1], 1.0)
    return [float(value) for value in np.maximum(q, p)]  # equal but for the last digit


def evidence(counts: AnswerCounts, original_letter: str, copy_letter: str, confidence: float = 0.95) -> str:
    """Say what the survivors tell of one confusion ("" for nothing written), seen or not.

    Returns:
        "no evidence" where the letter was never met; else "0 of n" with the exact upper limit
        (``rule_of_three``; "never" is no answer), or "k of n" with rate and interval, per 1,000.
    """
    chances = page_chances(counts.chances.get(original_letter, {}))
    by_page = counts.answers.get((original_letter, copy_letter), {})
    count = sum(by_page.values())
    if chances.total == 0:
        return "no evidence"
    if count == 0:
        return f"0 of {chances.total}: up to {1000 * rule_of_three(chances.total, confidence):.3g} per 1,000"
    low, high, _ = clustered(by_page, chances, confidence, dispersion(counts))
    rate = 1000 * count / chances.total
    return f"{count} of {chances.total}: {rate:.3g} per 1,000 ({1000 * low:.3g} to {1000 * high:.3g})"


def _judge(seen: Seen, shape: Shape, judge: Judge, level: float) -> dict[Pair, Judged]:
    """Test one family of pairs, leaving what is found to be beyond chance out of the margins.

    The most frequent find swells the margins most and goes first, with those at least half as frequent.
    """
    pairs = seen.families[shape]
    count = np.array([seen.count[pair] for pair in pairs], dtype=np.float64)
    left_out = np.zeros(len(pairs), dtype=np.bool_)
    while True:
        expected, behind = judge(left_out)
        p = beta_tails(count, behind, expected / (expected + behind)).tolist()
        q = benjamini_hochberg(p, seen.possible(shape))
        new = (np.array(q) <= level) & ~left_out
        if not new.any():
            return dict(zip(pairs, zip(expected.tolist(), p, q, strict=True), strict=True))
        left_out |= new & (2 * count >= count[new].max())


def _confusion(
    pair: Pair, seen: Seen, judged: Judged, pooled: float, settings: Settings, folded: Callable[[str], str]
) -> Confusion:
    """Put together the record of one wrong pair, as printed."""
    expected, p_value, q_value = judged
    limits = clustered(seen.counts.answers[pair], seen.pages[pair[0]], settings.confidence, pooled)
    return Confusion(
        original=decode(pair[0]),
        copy=decode(pair[1]),
        folded=f"{decode(folded(pair[0]))}→{decode(folded(pair[1]))}",
        count=seen.count[pair],
        chances=seen.pages[pair[0]].total,
        low=limits.low,
        high=limits.high,
        expected=expected,
        p_value=p_value,
        q_value=q_value,
        systematic=_is_systematic(pair, seen, q_value, settings),
        p_original_given_copy=seen.share_of_written(pair),
        loci=tuple(seen.counts.loci.get(pair, ())),
    )
