"""Everything found in one run over a dossier: the records from which every table and page is made.

Arrives: nothing; ``judge.py`` and ``audit.py`` fill it. Leaves: ``Audit``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.drift import Course
from fidelity.dossier import Dossier
from fidelity.in_notebook import Records, Tabled
from fidelity.terms import (
    Alignment,
    Confusion,
    Flagged,
    FlagRate,
    Habit,
    Hands,
    Outlook,
    Pattern,
    ProposedReading,
    Recheck,
    Rescued,
    RulePlace,
    RuleUse,
    Score,
    Shift,
    Trial,
    Variant,
)
from fidelity.terms.attestation import AttestedReading
from fidelity.terms.conjecture import JudgedUnit
from fidelity.terms.copies import CopiesFound
from fidelity.terms.decisions import DecisionUse
from fidelity.terms.imported import Imported
from fidelity.terms.parallels import Parallels
from fidelity.variants.places import Places, places_of

if TYPE_CHECKING:
    from fidelity.trial.proofreading import Proofreading

Progress = Callable[[str], None]  # told what is being done now, in a few words


@dataclass(frozen=True, repr=False)
class Audit(Tabled):
    """Everything found in one run over a dossier.

    Attributes:
        dossier: what went in.
        alignments: one for each survivor, in the dossier's order.
        variants: every difference, in order of the survivors' texts.
        counts: what each letter was answered by.
        confusions: every letter confusion, most frequent first.
        scores: by survivor and measure, then all together.
        patterns: to review, worst first.
        readings: proposals for the lost texts, in order of the texts.
        trial: the blind test; None where the survivors do not allow one.
        course: his rates page by page, and whether they change as he goes on.
        outlook: how many errors the lost texts must be expected to hold.
        proofread: what the checking of the originals' transcripts tells.
        skipped: tests that were not made, with the reason.
        notes: what the user should know about this run.
        habits: confusions told in full; empty until ``told_in_full``.
        mended: slips that he corrected himself; they do not stand in his final text.
        rules: the rules behind the proposals, run over the lost texts and the survivors.
        rule_places: where a rule is followed at one place and not at another like it.
        shifts: in what the lost texts lie outside the survivors' evidence.
        decisions: what became of each of the editor's decisions, the survivors' first.
        decided: the places of the lost texts that the editor decided and for which there is no proposal.
        conjectures: the places for which the editor has conjectures, with all rivals.
        rechecks: places of the survivors whose reading moves the result; empty until ``told_in_full``.
        rescued: what the copies keep and the survivors have lost; as above.
        copies: several copies of one text beside each other.
        flagged: his own marks in all copies, beside what the originals have.
        attestation: what all witnesses of the lost texts read where they differ.
        flag_rates: how honest, or how right, they are in the survivors.
        hands: what he did with other hands, and where a lost text may have some; filled by an audit.
        parallels: what is known of pairs, totals and lists; empty without readings.
        imported: what the copies have from other witnesses.
    """

    dossier: Dossier
    alignments: tuple[Alignment, ...]
    variants: tuple[Variant, ...]
    counts: AnswerCounts
    confusions: tuple[Confusion, ...]
    scores: tuple[Score, ...]
    patterns: tuple[Pattern, ...]
    readings: tuple[ProposedReading, ...]
    trial: Trial | None
    course: Course = field(default_factory=Course)
    outlook: Outlook = field(default_factory=Outlook)
    proofread: tuple[Proofreading, ...] = ()
    skipped: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    habits: tuple[Habit, ...] = ()
    mended: tuple[Variant, ...] = ()
    rules: tuple[RuleUse, ...] = ()
    rule_places: tuple[RulePlace, ...] = ()
    shifts: tuple[Shift, ...] = ()
    decisions: tuple[DecisionUse, ...] = ()
    decided: tuple[ProposedReading, ...] = ()
    conjectures: tuple[JudgedUnit, ...] = ()
    rechecks: tuple[Recheck, ...] = ()
    rescued: tuple[Rescued, ...] = ()
    copies: CopiesFound = field(default_factory=CopiesFound)
    flagged: tuple[Flagged, ...] = ()
    flag_rates: tuple[FlagRate, ...] = ()
    hands: Hands = field(default_factory=Hands)
    parallels: Parallels = field(default_factory=Parallels)
    imported: tuple[Imported, ...] = ()
    attestation: tuple[AttestedReading, ...] = ()

    def __post_init__(self) -> None:
        """Let its lists show themselves as tables; they are tuples all the same."""
        for name in _LISTS:
            object.__setattr__(self, name, Records(getattr(self, name)))

    def __repr__(self) -> str:
        found = f"{len(self.variants):,} variants, {len(self.readings):,} readings"
        return f"<Audit of {self.dossier!r}: {found}>"

    @property
    def by_survivor(self) -> dict[str, Alignment]:
        """The alignments by id of the survivor, in the dossier's order."""
        return dict(zip((one.id for one in self.dossier.survivors), self.alignments, strict=True))

    @property
    def places(self) -> dict[str, Places]:
        """Scripts and languages of the survivors' originals, letter by letter, by id of the survivor."""
        return {one.id: places_of(one.original, one.passages) for one in self.dossier.survivors}


# Those of which each record makes a row by itself; the other tables need the whole audit.
_LISTS = (
    *("variants", "confusions", "scores", "patterns", "readings", "rules", "rule_places", "shifts"),
    *("mended", "decided", "decisions", "flagged", "flag_rates", "imported", "attestation"),
)
