"""A stretch taken from another witness, made by hand, every figure known.

Arrives: nothing. Leaves: an ``Imported``. Start reading at ``made_imported``.
"""

from __future__ import annotations

from fidelity.terms import Locus
from fidelity.terms.imported import Imported, PeculiarLocus, Sharing, Stretch, Verdict


def made_imported() -> tuple[Imported, ...]:
    """Make two shared places, one that is not, and one where no third is extant."""

    def place(word: int, sharing: Sharing, third: str = "W") -> PeculiarLocus:
        here = Locus("X", "1", word)
        copy = "o" if sharing is Sharing.SHARED else "u"
        return PeculiarLocus(
            locus=here,
            copy_span=(word, word + 1),
            witness_locus=Locus("K", "1", word),
            reading="o",
            copy=copy,
            third="u" if third else "",
            third_siglum=third,
            words="songanges",
            third_words="sunganges" if third else "",
            sharing=sharing,
            last_locus=here,
            coincidence=0.01,
            kind="letter",
            direction=4.0,
        )

    places = (
        place(1, Sharing.SHARED),
        place(2, Sharing.SHARED),
        place(3, Sharing.NOT_SHARED),
        place(4, Sharing.NOT_SHARED, third=""),
    )
    edges = Locus("X", "1", 1), Locus("X", "1", 3)
    stretch = Stretch(0, 1, 0, 1, 0, 1, (1, 3), (0, 3), edges)
    return (
        Imported(
            "X", "K", Verdict.IMPORTED, places, stretch, 9.2, 0.01, 0.04, 0.3, 0.33, ("X 1.2 s→r",), 0.9
        ),
        Imported("X", "W", Verdict.TOO_LITTLE, note="only 0 places"),
    )
