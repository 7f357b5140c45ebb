"""The interval of a share whose occasions come in clusters.

Arrives: right and all occasions, cluster by cluster. Leaves: the limits of the share. Start reading
at ``share_interval``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from fidelity.confusions.beta import normal_quantile, student_quantile
from fidelity.confusions.intervals import jeffreys

ENOUGH_CLUSTERS = 5  # below, the spread between clusters is not known well enough for Student's t on it


def share_interval(
    right: Mapping[str, int],
    occasions: Mapping[str, int],
    confidence: float,
    larger: Mapping[str, str] | None = None,
) -> tuple[float, float]:
    """Give the interval of a share, allowing for clusters (pages) that differ.

    The variance of the ratio estimate between clusters (Cochran 1977, Sampling Techniques, sec.
    2.11 and 9A; from memory) gives the design effect, at least 1, widened by Student's t for few
    clusters (Korn & Graubard 1998, from memory); Jeffreys' interval on the effective numbers.
    Do not trust it below about five clusters: it is then too narrow if they differ much.

    Where pages stand in several survivors, these may differ too: of the two design effects the
    larger counts, with Student's t for the survivors where there are five or more of them, else
    for the pages (with three survivors it would widen every interval to say nothing).

    Args:
        right: cluster -> how many were right.
        occasions: cluster -> how many there were.
        confidence: coverage, 0-1.
        larger: cluster -> the larger cluster (survivor) it is part of, where there are such.

    Returns:
        Low and high, shares 0-1; (0, 1) where there were no occasions.

    >>> low, high = share_interval({"1r": 8, "1v": 9, "2r": 9}, {"1r": 10, "1v": 10, "2r": 10}, 0.95)
    >>> round(low, 1), round(high, 1)
    (0.5, 1.0)
    """
    total = sum(occasions.values())
    if not total:
        return 0.0, 1.0
    share = sum(right.values()) / total
    clusters = len([size for size in occasions.values() if size])
    effect = design_effect(right, occasions)
    if larger:
        groups = Counter[str](), Counter[str]()
        for name, size in occasions.items():
            groups[0][larger[name]] += right.get(name, 0)
            groups[1][larger[name]] += size
        between, number = design_effect(*groups), len(+groups[1])
        if between > effect:
            effect, clusters = between, number if number >= ENOUGH_CLUSTERS else clusters
    upper = (1 + confidence) / 2
    if clusters > 1:
        effect *= (student_quantile(clusters - 1, upper) / normal_quantile(upper)) ** 2
    return jeffreys(share * total / effect, total / effect, confidence)


def design_effect(right: Mapping[str, int], occasions: Mapping[str, int]) -> float:
    """Give how many times the variance of a share is what it would be without clusters, at least 1.

    Args:
        right: cluster -> how many were right.
        occasions: cluster -> how many there were.

    >>> design_effect({"1r": 10, "1v": 0}, {"1r": 10, "1v": 10}), design_effect({"1r": 3}, {"1r": 9})
    (20.0, 1.0)
    """
    total = sum(occasions.values())
    clusters = len([size for size in occasions.values() if size])
    share = sum(right.values()) / total if total else 0.0
    if clusters < 2 or not 0 < share < 1:
        return 1.0
    squares = sum((right.get(name, 0) - share * size) ** 2 for name, size in occasions.items())
    variance = squares / total**2 * clusters / (clusters - 1)
    return max(variance / (share * (1 - share) / total), 1.0)
