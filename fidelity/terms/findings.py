"""What a run finds: scores, patterns and proposed readings; the blind test is in ``trial.py``.

Probabilities and limits of intervals are shares 0-1.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fidelity.in_notebook import Shown
from fidelity.terms.decisions import Ruling
from fidelity.terms.variation import Cause, Phenomenon
from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class StepEvidence:
    """What the survivors show of one assumed operation.

    Attributes:
        step: original→copy, as printed.
        count, chances: how often he did it, out of how many chances.
        low, high: limits of the interval for count / chances, clustered by page.
        parallels: where he did it, in like surroundings first, as printed.
        counterexamples: where he copied the same letters right, likewise.
    """

    step: str
    count: int
    chances: int
    low: float
    high: float
    parallels: tuple[str, ...] = ()
    counterexamples: tuple[str, ...] = ()


PROPOSED, POSSIBLE, SUSPECT = "proposed", "possible", "suspect"  # verdicts
OPE_INGENII, OPE_CODICUM = "ope_ingenii", "ope_codicum"  # grounds: by conjecture, with a witness's help
CORRUPT = "corrupt"  # the kind of a place that is only suspect
GAP = "gap"  # the kind of a reading for letters that he could not read
TAKEN = "taken"  # the kind of a reading for what he took from another witness: no slip of his
DECIDED = "decision"  # the kind of a place that the editor decided and for which nothing was proposed
# Verdicts without a reading: the last three are the editor's.
NONE_PROPOSED = frozenset({SUSPECT, str(Ruling.KEPT), str(Ruling.OPEN), str(Ruling.CRUX)})


@dataclass(frozen=True)
class ProposedReading(Shown):
    """What may have stood in the lost original where the copy has something else.

    Attributes:
        number: from 1 within the run.
        text: id of the lost text.
        locus: place in the copy.
        copy_span: offsets in the copy of the letters that would be replaced.
        transmitted: what the copy has, as printed.
        proposed: the proposed reading, as printed.
        probability: that the original read exactly so, calibrated on the survivors, 0-1.
        ground: "ope_ingenii" (by conjecture) or "ope_codicum" (another copy of the text has it).
        verdict: "proposed" where it is more probable than not, "possible" where it is less; "suspect"
            where the place is corrupt more probably than not and no reading of it is settled: then
            nothing is proposed, and the probability is that it is corrupt.
        kind: "misreading", "habit", "division", "letter", "taken", ...
        steps: the copyist's assumed operations, original→copy, as printed.
        parallels: places in the survivors where he did the same.
        counterexamples: places in the survivors where he copied the same letters right.
        alternatives: rivals with their probabilities, "as transmitted" among them.
        same_rule_elsewhere: other places of this text where the same operation would apply.
        count: how often he did the (rarest) operation, in the survivors.
        chances: out of how many chances.
        context: the word or words of the copy it stands in, as printed.
        passage: the same with a few words before and after, as printed.
        attested: whether the words it makes stand in the survivors' originals or the references.
        by_witness: whether another witness has it: the blind test, which tries none, says nothing of it.
        single: whether it is for one letter of a word that is not settled.
        tried, tried_right: proposals believed about as much in the blind test, and how many of
            them were right.
        tried_kind: what kind these were of; "" where there were too few of its kind, so that all were asked.
        tried_of_kind, right_of_kind: of these, where all were asked, those of its kind.
        probability_low, probability_high: what they support, 0-1; 0 to 1 where none was tried.
        borne_out: whether they bear out the figure, so that it may stand without that range.
        low, high: limits of the interval for count / chances, clustered by page.
        evidence: the same for each operation by itself.
        note: what has been done to the probability, in plain words; "" if nothing.
        decision: what the editor decided of it; "" if nothing.
        beside: what is known of the place beside the copy, each in a clause, its bearing reckoned in.
    """

    number: int
    text: str
    locus: Locus
    copy_span: tuple[int, int]
    transmitted: str
    proposed: str
    probability: float
    ground: str = OPE_INGENII
    verdict: str = "proposed"
    kind: str = "misreading"
    steps: tuple[str, ...] = ()
    parallels: tuple[str, ...] = ()
    counterexamples: tuple[str, ...] = ()
    alternatives: tuple[tuple[str, float], ...] = field(default=())
    same_rule_elsewhere: tuple[str, ...] = ()
    count: int = 0
    chances: int = 0
    context: str = ""
    passage: str = ""
    attested: bool = False
    by_witness: bool = False
    single: bool = False
    tried: int = 0
    tried_right: int = 0
    tried_kind: str = ""
    tried_of_kind: int = 0
    right_of_kind: int = 0
    probability_low: float = 0.0
    probability_high: float = 1.0
    borne_out: bool = False
    low: float = 0.0
    high: float = 1.0
    evidence: tuple[StepEvidence, ...] = ()
    note: str = ""
    decision: str = ""
    beside: tuple[str, ...] = ()

    @property
    def is_proposal(self) -> bool:
        """Whether it proposes a reading, however improbable; a place that is only suspect proposes none."""
        return self.verdict not in NONE_PROPOSED

    @property
    def is_decided(self) -> bool:
        """Whether the editor has settled it; what he left open is as it was."""
        return self.decision not in ("", Ruling.OPEN)


@dataclass(frozen=True)
class Score(Shown):
    """How often one kind of thing went wrong in one survivor, or in all.

    Attributes:
        text: id of the survivor, or "all".
        measure: "letters", "words", "division", a cause, or where he corrected himself
            "letters_before_correction" and "words_before_correction".
        errors: how often it went wrong.
        chances: how often it might have (each measure's own rule: ``variants/chances.py``).
        low, high: limits of the interval for errors / chances, a share 0-1.
        method: how the interval was made.
    """

    text: str
    measure: str
    errors: int
    chances: int
    low: float
    high: float
    method: str


@dataclass(frozen=True)
class Undone:
    """A word of a lost text's copy that undoing one error would make a known word.

    Attributes:
        locus: place in the copy.
        transmitted: what the copy has, as printed.
        undone: what it would be, normalised.
        is_word: whether the copy's own word is a known word too.
        unlike: whether in the survivors he never made this error at such a place of a word.
    """

    locus: Locus
    transmitted: str
    undone: str
    is_word: bool
    unlike: bool = False


@dataclass(frozen=True)
class Undoing:
    """What undoing a kind of error, once in a word, would do to the words of the lost texts.

    Attributes:
        unknown_to_known: places where the copy's word is no known word and would become one.
        known_to_known: places where one known word would become another: nothing shows there.
        looks: all these places, those first where the copy has no known word, and of these the places
            like those at which he made the error.
    """

    unknown_to_known: int
    known_to_known: int
    looks: tuple[Undone, ...] = ()


@dataclass(frozen=True)
class Pattern(Shown):
    """A kind of error to review, with where it happens.

    Attributes:
        pattern: in plain words or letters ("ꞅ→r", "word division added").
        phenomenon, cause: as in ``Variant``.
        count, chances: how often, and out of how many.
        low, high: limits of the interval for count / chances, a share 0-1.
        expected_in_lost: how many of them the lost texts must be expected to hold; None where
            there is no lost text or no way to count its chances.
        where: first loci, as printed.
        example: one of them in its words, original → copy, as printed.
        places_in_lost: at how many places of the lost texts that is; None as before.
        examples: several of them with their loci, as printed, in different words first.
        judged: at how many of the places the copy's word could be looked up.
        made_word: at how many of these it is a known word, so that nothing shows the error.
        undoing: what undoing it would do to the words of the lost texts; None where it cannot be
            undone word by word.
        systematic: whether it is a confusion beyond chance.
        letters: of a confusion the original's letters and what he wrote, as printed; else None.
    """

    pattern: str
    phenomenon: Phenomenon
    cause: Cause
    count: int
    chances: int
    low: float
    high: float
    expected_in_lost: float | None
    where: tuple[str, ...]
    example: str
    places_in_lost: int | None = None
    examples: tuple[str, ...] = ()
    judged: int = 0
    made_word: int = 0
    undoing: Undoing | None = None
    systematic: bool = False
    letters: tuple[str, str] | None = None
