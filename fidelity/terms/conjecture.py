"""An editor's conjecture, and what becomes of it among the rivals of its place.

Offsets are in letters, from 0, half-open; probabilities are shares 0-1.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.in_notebook import Shown
from fidelity.terms.findings import ProposedReading
from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class Conjecture:
    """A reading that an editor, or somebody before him, would put in a place of a lost text.

    Attributes:
        text: id of the lost text.
        locus: the first word it replaces.
        cited: the whole place, as printed.
        span: offsets in the copy of the words it replaces.
        reading: what the original would have read there, as printed.
        by: who made it; "" where nobody is named.
        note: as the editor wrote it.
    """

    text: str
    locus: Locus
    cited: str
    span: tuple[int, int]
    reading: str
    by: str = ""
    note: str = ""


@dataclass(frozen=True)
class Rival:
    """One of the readings that stand against each other at a place.

    Attributes:
        reading: its probability, the operations it needs and all evidence; of the transmitted reading
            ``proposed`` is ``transmitted``.
        sort: "transmitted", "candidate" or "conjecture" (what only a conjecture brought in).
        rank: from 1, among all readings of the place: those listed, and all other restorations of it.
        of: how many these are.
        conjectures: those that read so.
        why: why it is or is not proposed, each reason in a clause.
        beyond: restorations that rank above it though they were not judged for a proposal, as printed.
        equals: readings equally probable, as printed: differences below a thousandth say nothing.
    """

    reading: ProposedReading
    sort: str
    rank: int
    of: int
    conjectures: tuple[Conjecture, ...] = ()
    why: tuple[str, ...] = ()
    beyond: tuple[str, ...] = ()
    equals: tuple[str, ...] = ()


@dataclass(frozen=True)
class JudgedUnit(Shown):
    """All readings of one stretch of a lost text between word divisions that are sure.

    Attributes:
        text: id of the lost text.
        locus: its first word.
        span: offsets in the copy.
        transmitted: what the copy has, as printed.
        passage: the same with a few words before and after, as printed.
        rivals: every reading that was judged, the most probable first; together they are at most 1.
        proposals: what the audit proposes in it, single letters and marks of corruption among them.
        note: what was done to the probabilities so that they share one total; "" if nothing.
    """

    text: str
    locus: Locus
    span: tuple[int, int]
    transmitted: str
    passage: str
    rivals: tuple[Rival, ...]
    proposals: tuple[ProposedReading, ...] = ()
    note: str = ""

    def judged(self, conjecture: Conjecture) -> Rival:
        """Give what became of a conjecture."""
        return next(one for one in self.rivals if conjecture in one.conjectures)
