"""What the editor has decided himself, and what became of it in a run.

Offsets are in letters, from 0, half-open.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from fidelity.in_notebook import Shown

BY_EDITOR = "the editor: "  # opens the reason of what is set aside by a decision
DECIDED_BY_EDITOR = "the editor decided"  # opens the evidence of a cause that the editor decided


class Ruling(StrEnum):
    """What can be decided of a place."""

    PAIR = "pair"  # these words of the original answer those of the copy
    NOT_HIS = "not_his"  # what differs there is not the copyist's doing
    CAUSE = "cause"  # why it differs
    ADOPTED = "adopted"  # the original had this reading
    KEPT = "kept"  # the original had what is transmitted
    OPEN = "open"  # nothing is settled
    CRUX = "crux"  # corrupt, and past mending


OF_SURVIVORS = (Ruling.PAIR, Ruling.NOT_HIS, Ruling.CAUSE)
OF_LOST_TEXTS = (Ruling.ADOPTED, Ruling.KEPT, Ruling.OPEN, Ruling.CRUX)
WITHDRAWN = (
    "withdrawn"  # said of a decision that is taken back: none itself, it stands among the earlier ones
)
WITH_VALUE = (Ruling.PAIR, Ruling.CAUSE, Ruling.ADOPTED)


@dataclass(frozen=True)
class Decision:
    """One decision of the editor.

    Attributes:
        text: id of a survivor or of a lost text.
        locus: the place without the text's id, as printed: "12r:3.4", or the first and the last word
            of several, "12r:3.4-12r:3.6".
        ruling: what was decided.
        transmitted: the copy's words when it was decided, as printed.
        original: the original's words then, as printed; "" for a lost text.
        value: the original's words (pair), a cause, or the reading adopted; else "".
        reason, who: as the editor gave them.
        when: the date, as ISO 8601 has it.
        line: where it stands in its file, from 1.
    """

    text: str
    locus: str
    ruling: Ruling
    transmitted: str
    original: str = ""
    value: str = ""
    reason: str = ""
    who: str = ""
    when: str = ""
    line: int = 0


APPLIED, STALE, NOT_APPLIED = "yes", "stale", "no"


@dataclass(frozen=True)
class DecisionUse(Shown):
    """A decision and what became of it.

    Attributes:
        decision: the decision.
        applied: "yes"; "stale", where other words now stand there; "no", where it changes nothing.
        why: the reason, if it was not applied.
        span: of a lost text, the letters of the copy it is about.
        variants: of a survivor, the places (original span, copy span) of the differences it is about.
    """

    decision: Decision
    applied: str = APPLIED
    why: str = ""
    span: tuple[int, int] = (0, 0)
    variants: frozenset[tuple[tuple[int, int], tuple[int, int]]] = field(default=frozenset())
