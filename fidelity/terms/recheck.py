"""A place to look at again on the photograph, since the result hangs on it; and what only the copy keeps.

Start reading at ``Recheck``.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class Recheck:
    """A place of a survivor whose reading moves the result.

    Attributes:
        text: id of the survivor.
        locus: place in the original.
        original_words, copy_words: what stands there, as printed.
        confusion: what would be one fewer, or one more, as printed ("c→e").
        count: how often it stands in all survivors.
        counted: whether the place is counted now; if not, it would be, were its letters clear.
        changes: what becomes of the confusion, in plain words.
        weight: by how many letters per 1,000 the headline figures move, its share of it: his errors in
            the survivors, and what systematic confusions must be expected to have put into the lost texts.
        copy_locus: place in the copy, if known.
        page: the page of the original it stands on; "" where it has none.
    """

    text: str
    locus: Locus
    original_words: str
    copy_words: str
    confusion: str
    count: int
    counted: bool
    changes: str
    weight: float
    copy_locus: Locus | None = None
    page: str = ""


@dataclass(frozen=True)
class Rescued:
    """A stretch that the survivor has lost and the copy keeps.

    Attributes:
        text: id of the survivor.
        locus, copy_locus: place in the original, and in the copy.
        original: what stands in the original, or was restored there, as printed.
        copy: what the copy has, as printed.
        state: of the original's letters: "lost", "restored", or "lost, partly restored".
        agrees: whether the restoration is what the copy has, by the declared folds; None where nothing,
            or not all, was restored.
    """

    text: str
    locus: Locus
    original: str
    copy: str
    state: str
    agrees: bool | None
    copy_locus: Locus
