"""What the survivors show of the marks a copyist set in his copies: whether he was right to set them.

Probabilities and limits of intervals are shares 0-1.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.in_notebook import Shown
from fidelity.terms.marks import MarkKind
from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class Flagged(Shown):
    """One mark of his, beside what the original has there.

    Attributes:
        text: id of the survivor, or of the lost text.
        locus: place in the copy.
        kind: what the mark says.
        sign: as he wrote it, as printed.
        span: offsets in the copy of the letters it is on.
        copy: the words it is on, as printed; of a gap the word it stands in.
        original: what the original has for them, as printed; "" where it is lost, or cannot be told.
        shown: how many letters he marked as unread; None where he did not say.
        lost: how many letters the original has there; None where that cannot be told.
        right: whether he was: of a gap whether the number is right, of a doubt whether something is
            wrong, of a vouched word whether it stands so; None where that cannot be told.
        page: of the copy, with the text's id.
    """

    text: str
    locus: Locus
    kind: MarkKind
    sign: str
    span: tuple[int, int]
    copy: str
    original: str = ""
    shown: int | None = None
    lost: int | None = None
    right: bool | None = None
    page: str = ""


@dataclass(frozen=True)
class FlagRate(Shown):
    """How honest, or how right, his marks are in the survivors.

    Attributes:
        measure: in words, as printed.
        count, chances: how often, and out of how many.
        low, high: limits of the interval for count / chances, a share 0-1, clustered by page; None where
            the figure is no share.
        method: how the interval was made.
    """

    measure: str
    count: int
    chances: int
    low: float | None
    high: float | None
    method: str
