"""The transcribers' own mistakes: what two readers of one transcript both missed.

Arrives: a transcript as it was before it was checked, and as two readers, each by himself, left it after
comparing it with the manuscript. Leaves: how many mistakes each found, how many both, and Polya's
estimate of how many nobody found. Start reading at ``polya_missed``.

Every mistake of a transcriber counts in a comparison as one of the copyist. Two transcripts made apart
from one another do not tell how many there are: where they differ one is wrong, but which, only the
manuscript says, and where both are wrong alike nothing shows. What tells it is a transcript that was
read twice: then a change made by a reader is a mistake found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import Survivor
from fidelity.terms import Witness
from fidelity.variants.collect import collect
from fidelity.witnesses.folds import Folds


@dataclass(frozen=True)
class Proofreading:
    """What the checking of one transcript tells.

    Attributes:
        text: id of the survivor whose original was transcribed.
        letters: letters of the transcript, spaces left out.
        first, second: mistakes found by the one reader and the other.
        both: found by both.
        missed: estimate of those that neither found; None where no mistake was found by both.
    """

    text: str
    letters: int
    first: int
    second: int
    both: int
    missed: float | None


def polya_missed(first: int, second: int, both: int) -> float | None:
    """Estimate how many mistakes two readers both missed: (A - C)(B - C) / C.

    Polya 1976, American Mathematical Monthly 83:42 (the same as Chandra Sekar & Deming 1949): if the
    readers miss independently and every mistake is as easily seen as any other, there are AB / C in all.
    Mistakes that are hard to see are missed by both, so that the estimate is rather too low.

    Args:
        first, second: how many each found.
        both: how many were found by both.

    Returns:
        The estimate; None where no mistake was found by both, since then anything is possible.

    >>> polya_missed(30, 25, 5)
    100.0
    """
    if both <= 0:
        return 0.0 if not first and not second else None
    return (first - both) * (second - both) / both


def proofreadings(survivors: Sequence[Survivor], folds: Folds) -> list[Proofreading]:
    """Say what the checking of the originals' transcripts tells, where there was any."""
    return [
        proofreading(one.id, one.unchecked, one.checked[0], one.checked[1], folds)
        for one in survivors
        if one.unchecked is not None and len(one.checked) == 2
    ]


def proofreading(
    text: str, unchecked: Witness, first: Witness, second: Witness, folds: Folds
) -> Proofreading:
    """Count the changes that two readers made in a transcript.

    A change is one stretch of letters changed together; both found a mistake where their changes touch
    the same letters, even if they put different ones.

    Args:
        text: id of the survivor.
        unchecked: the transcript before it was checked.
        first, second: the transcript as each reader left it.
        folds: letterforms counted as equal.
    """
    changes = [
        [
            variant.original_span
            for variant in collect(align_witnesses(unchecked, version, folds), text, folds)
        ]
        for version in (first, second)
    ]
    both = sum(any(_touch(one, other) for other in changes[1]) for one in changes[0])
    found = [len(spans) for spans in changes]
    both = min(both, *found)
    letters = sum(not letter.isspace() for letter in unchecked.letters)
    return Proofreading(text, letters, found[0], found[1], both, polya_missed(found[0], found[1], both))


def _touch(one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Tell whether two stretches share a letter, or are the same place between two letters."""
    return one == other or (one[0] < other[1] and other[0] < one[1])
