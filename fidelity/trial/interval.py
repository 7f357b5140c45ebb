"""The interval of a share whose occasions come in clusters.

Arrives: right and all occasions, cluster by cluster. Leaves: the limits of the share. Start reading
at ``share_interval``.
"""

from __future__ import annotations

from collections.abc import Mapping

from fidelity.confusions.beta import normal_quantile, student_quantile
from fidelity.confusions.intervals import jeffreys


def share_interval(
    right: Mapping[str, int], occasions: Mapping[str, int], confidence: float
) -> tuple[float, float]:
    """Give the interval of a share, allowing for clusters (pages) that differ.

    The variance of the ratio estimate between clusters (Cochran 1977, Sampling Techniques, sec.
    2.11 and 9A; from memory) gives the design effect, at least 1, widened by Student's t for few
    clusters (Korn & Graubard 1998, from memory); Jeffreys' interval on the effective numbers.
    Do not trust it below about five clusters: it is then too narrow if they differ much.

    Args:
        right: cluster -> how many were right.
        occasions: cluster -> how many there were.
        confidence: coverage, 0-1.

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
    effect = 1.0
    if clusters > 1 and 0 < share < 1:
        squares = sum((right.get(name, 0) - share * size) ** 2 for name, size in occasions.items())
        variance = squares / total**2 * clusters / (clusters - 1)
        effect = max(variance / (share * (1 - share) / total), 1.0)
    upper = (1 + confidence) / 2
    if clusters > 1:
        effect *= (student_quantile(clusters - 1, upper) / normal_quantile(upper)) ** 2
    return jeffreys(share * total / effect, total / effect, confidence)
