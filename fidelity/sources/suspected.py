"""Witnesses that may be copies of others, though nobody has said so.

Arrives: what all witnesses have at every place. Leaves: ``SuspectedCopy``s. Start reading at
``suspected_copies``.

A witness is a copy of another if it has all the errors of that one and at least one more (Maas, *Textual
Criticism*, § 8). What is an error is not known here: what counts is a *peculiar reading*, one in which a
witness stands alone against two others or more that agree, the supposed copy apart. So it is never proved in
this way, and a copyist who mends an easy slip hides it: the witness keeps its vote, and the suspicion is
told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from fidelity.sources.tradition import Tradition, settled, whole_readings
from fidelity.terms.attestation import SuspectedCopy

FEWEST_SHARED = 3  # peculiar readings; two slips may be met twice by chance (chosen)
AGAINST = 2  # others that agree; of two witnesses that differ nobody can say which of them errs
SILENT = -1

Readings = npt.NDArray[np.int64]


def suspected_copies(tradition: Tradition) -> list[SuspectedCopy]:
    """Give the pairs of witnesses of which one may be a copy of the other; declared copies are left out."""
    sigla = tradition.collation.sigla
    table = _readings(tradition)
    declared = {siglum for siglum, some in tradition.dependence.items() if some}
    found = []
    for copy in range(len(sigla)):
        for source in range(len(sigla)):
            if copy == source or {sigla[copy], sigla[source]} & declared:
                continue
            told = _suspected(table, copy, source)
            if told and (told[1] or copy > source):
                found.append(SuspectedCopy(tradition.collation.text, sigla[copy], sigla[source], *told))
    return found


def _readings(tradition: Tradition) -> Readings:
    """Number the reading of each witness at each place where they differ; declared copies are silent."""
    sigla = {siglum: at for at, siglum in enumerate(tradition.collation.sigla)}
    rows = []
    for locus in tradition.collation.loci:
        testimonies = tradition.testimonies(locus)
        readings = whole_readings(testimonies)
        if len(readings) < 2:
            continue
        row = [SILENT] * len(sigla)
        copied = {one.siglum for one in testimonies if one.source}
        for siglum, reading in settled(testimonies, readings):
            if siglum not in copied:
                row[sigla[siglum]] = readings.index(reading)
        rows.append(row)
    return np.array(rows, dtype=np.int64).reshape(len(rows), len(sigla))


def _suspected(table: Readings, copy: int, source: int) -> tuple[int, int] | None:
    """Count the peculiar readings that a supposed copy shares, and has more; None where none is suspected."""
    others = [at for at in range(table.shape[1]) if at not in (copy, source)]
    if len(others) < AGAINST:
        return None
    both = (table[:, copy] != SILENT) & (table[:, source] != SILENT)
    of_source = both & _alone(table, source, others)
    if of_source.sum() < FEWEST_SHARED or (table[of_source, copy] != table[of_source, source]).any():
        return None
    own = both & _alone(table, copy, [*others, source])
    return int(of_source.sum()), int(own.sum())


def _alone(table: Readings, one: int, others: Sequence[int]) -> npt.NDArray[np.bool_]:
    """Tell where a witness stands against these others, of which two or more are extant and agree."""
    rest = table[:, others]
    extant = rest != SILENT
    highest, lowest = (
        rest.max(axis=1, initial=SILENT),
        np.where(extant, rest, rest.max(initial=0)).min(axis=1),
    )
    alone: npt.NDArray[np.bool_] = (extant.sum(axis=1) >= AGAINST) & (highest == lowest)
    alone &= highest != table[:, one]
    alone &= table[:, one] != SILENT
    return alone


def told_of(suspects: Sequence[SuspectedCopy]) -> Iterator[str]:
    """Say of each suspicion what it rests on, and that nothing was done about it."""
    from fidelity.sources.attestation import suspicion

    for one in suspects:
        until = "if it is, say so (depends_on): until then it has a vote of its own"
        yield f"{one.text}: {suspicion(one)}; {until}"
