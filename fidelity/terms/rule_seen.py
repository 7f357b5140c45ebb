"""What the survivors show of one rule, wherever it might have been followed.

Start reading at ``RuleSeen``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from fidelity.in_notebook import Tabled
from fidelity.terms.findings import Undoing
from fidelity.terms.habits import CircumstanceRate, InPrint
from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class RulePlaceSeen:
    """One place of a survivor where the rule was followed, or where it was not.

    Attributes:
        locus: place in the original.
        original_word, copy_words: the original's word in its own letterforms, without stops, and what the
            copy has, as printed; "" where it was copied right.
        cause: why it happened; "" where it was copied right.
        normalised: the original's word as words are compared, as printed.
    """

    locus: Locus
    original_word: str
    copy_words: str
    cause: str
    normalised: str = ""


@dataclass(frozen=True)
class RuleSeen(Tabled):
    """A rule, original letters → written letters, and all the survivors show of it.

    Attributes:
        original, copy: the letters, as printed; "" for none written.
        under: the circumstance it is looked at under, in plain words; "" for everywhere.
        count, chances: how often he followed it, out of how many chances.
        low, high: limits of the interval of their share, 0-1.
        systematic: whether it is beyond chance, everywhere taken together.
        q_value: false-discovery rate at which it is; None where it was never seen.
        p_original_given_copy: of all places where he wrote these letters, the share in which the original
            had those; None where it was never seen.
        rates: by circumstance and value; none under a circumstance.
        done: where he followed it, in order.
        right: where he did not, in order.
        in_print: published parallels.
        undoing: what undoing it would do to the words of the lost texts; None where there are none, and
            under a circumstance.
        stated: what the dossier says of it, if the editor gives it as a rule, as printed.
    """

    original: str
    copy: str
    under: str
    count: int
    chances: int
    low: float
    high: float
    systematic: bool
    q_value: float | None
    p_original_given_copy: float | None
    rates: tuple[CircumstanceRate, ...]
    done: tuple[RulePlaceSeen, ...]
    right: tuple[RulePlaceSeen, ...]
    in_print: tuple[InPrint, ...]
    undoing: Undoing | None = None
    stated: tuple[str, ...] = ()


class RuleFound(NamedTuple):
    """A rule looked at, and how sure its limits are; a notebook shows the rule.

    Attributes:
        seen: what the survivors show of it.
        confidence: of the limits of its share, 0-1.
    """

    seen: RuleSeen
    confidence: float

    def _repr_html_(self) -> str:
        return self.seen._repr_html_()
