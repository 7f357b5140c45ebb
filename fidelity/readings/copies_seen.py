"""Several copies of one text: everything that is told of them in a run.

Arrives: a dossier, the survivors' alignments, their differences. Leaves: ``CopiesSeen``: places, rates,
notes, and what knows them when readings are judged. Start reading at ``copies_seen``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from fidelity.dossier import Dossier
from fidelity.readings.beside import BesideRounds
from fidelity.terms import Alignment, Variant
from fidelity.terms.copies import CopiesFound, CopyPlace


@dataclass(frozen=True)
class CopiesSeen:
    """What is told of several copies, and what knows them.

    Attributes:
        found: what is told.
        beside: what knows them when readings are judged.
    """

    found: CopiesFound = field(default_factory=CopiesFound)
    beside: tuple[BesideRounds, ...] = ()


def copies_seen(dossier: Dossier, alignments: Sequence[Alignment], variants: Sequence[Variant]) -> CopiesSeen:
    """Compare all copies of each text, and learn what the other copies are worth.

    Args:
        dossier: with the lost texts.
        alignments: of the survivors with their first copies, in the dossier's order.
        variants: of all survivors, causes decided.
    """
    if not _several(dossier):
        return CopiesSeen()
    from fidelity.readings.copies_beside import CopiesBeside  # few dossiers have several copies of a text
    from fidelity.readings.copies_compared import compare_copies  # as above
    from fidelity.readings.copies_rates import notes_on, rates_of  # as above

    compared = compare_copies(dossier, alignments, variants)
    beside = CopiesBeside(compared, alignments, dossier.folds)
    found = CopiesFound(
        tuple(place for one in compared for place in one.places),
        tuple(rates_of(compared, beside, dossier.settings.confidence)),
        tuple(notes_on(compared, beside)),
    )
    return CopiesSeen(found, (beside,))


def places_of_copies(
    dossier: Dossier,
    alignments: Sequence[Alignment],
    variants: Sequence[Variant],
    text: str,
    span: tuple[int, int],
) -> tuple[CopyPlace, ...]:
    """Give the places at which a survivor's copies differ, or are wrong alike, in a span of the first."""
    alone = replace(
        dossier,
        survivors=tuple(one for one in dossier.survivors if one.id == text),
        lost=(),
        witnesses=tuple(one for one in dossier.witnesses if one.of == text),
    )
    if not _several(alone):
        return ()
    from fidelity.readings.copies_compared import compare_copies  # as above

    ours = [one for one, of in zip(alignments, dossier.survivors, strict=True) if of.id == text]
    found = [place for one in compare_copies(alone, ours, variants) for place in one.places]
    return tuple(one for one in found if one.span[0] <= span[1] and span[0] <= one.span[1])


def _several(dossier: Dossier) -> bool:
    """Tell whether there is any text with another copy."""
    if any(one.from_original for one in dossier.witnesses):
        return True
    return any(one.other_copies for one in dossier.survivors) or any(one.other_copies for one in dossier.lost)
