"""The records that pass from stage to stage, under the trade's own names.

All are frozen. Offsets are in letters (grapheme clusters, see ``letters.py``), from 0, half-open.
Texts inside records are in letters; ``letters.decode`` gives them back for printing, and every
field meant for print is already decoded where its docstring says "as printed".
"""

from fidelity.terms.findings import (
    CORRUPT,
    DECIDED,
    GAP,
    OPE_CODICUM,
    OPE_INGENII,
    POSSIBLE,
    PROPOSED,
    SUSPECT,
    TAKEN,
    Pattern,
    ProposedReading,
    Score,
    StepEvidence,
    Undoing,
    Undone,
)
from fidelity.terms.flagged import Flagged, FlagRate
from fidelity.terms.habits import Circumstance, CircumstanceRate, Habit, InPrint, Tendency
from fidelity.terms.hands import Hands
from fidelity.terms.marks import Mark, MarkKind
from fidelity.terms.outlook import Drift, Forecast, Limits, Outlook, PageRate
from fidelity.terms.recheck import Recheck, Rescued
from fidelity.terms.rule_seen import RuleFound, RulePlaceSeen, RuleSeen
from fidelity.terms.rules import RulePlace, RuleUse, Shift
from fidelity.terms.trial import (
    ALL_KINDS,
    Band,
    BrierParts,
    MethodScore,
    Mistake,
    Precision,
    Suspects,
    Trial,
    TrialReading,
    Unseen,
    UnseenShare,
    kinds_of,
)
from fidelity.terms.variation import Alignment, Cause, Confusion, Moved, Phenomenon, StepKind, Variant
from fidelity.terms.witness import LOST_LETTER, Locus, State, Witness

__all__ = [
    "ALL_KINDS",
    "CORRUPT",
    "DECIDED",
    "GAP",
    "LOST_LETTER",
    "OPE_CODICUM",
    "OPE_INGENII",
    "POSSIBLE",
    "PROPOSED",
    "SUSPECT",
    "TAKEN",
    "Alignment",
    "Band",
    "BrierParts",
    "Cause",
    "Circumstance",
    "CircumstanceRate",
    "Confusion",
    "Drift",
    "FlagRate",
    "Flagged",
    "Forecast",
    "Habit",
    "Hands",
    "InPrint",
    "Limits",
    "Locus",
    "Mark",
    "MarkKind",
    "MethodScore",
    "Mistake",
    "Moved",
    "Outlook",
    "PageRate",
    "Pattern",
    "Phenomenon",
    "Precision",
    "ProposedReading",
    "Recheck",
    "Rescued",
    "RuleFound",
    "RulePlace",
    "RulePlaceSeen",
    "RuleSeen",
    "RuleUse",
    "Score",
    "Shift",
    "State",
    "StepEvidence",
    "StepKind",
    "Suspects",
    "Tendency",
    "Trial",
    "TrialReading",
    "Undoing",
    "Undone",
    "Unseen",
    "UnseenShare",
    "Variant",
    "Witness",
    "kinds_of",
]
