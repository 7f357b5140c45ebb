"""Set his copy of a lost text beside all its other witnesses, as an edition of it needs them.

Arrives: a dossier. Leaves: for a lost text a ``CollatedText``: his copy, his other copies, every other
witness, aligned, each under its siglum. Start reading at ``collated_text``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, repeat

from fidelity.dossier import Dossier, LostText, OtherWitness
from fidelity.errors import DataError
from fidelity.sources.collate import Given, collate
from fidelity.terms import Witness
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.collation import Collation
from fidelity.witnesses.folds import NO_FOLDS, Folds

ANOTHER_WITNESS = "Another witness of the text."


@dataclass(frozen=True)
class Described:
    """A witness of a lost text, and what is said of it.

    Attributes:
        siglum: how it is cited.
        witness: its text.
        what: what it is, in words.
        date: as printed; "" if none is given.
        dependence: where it was copied from another witness.
        numbered: whether its lines bear the numbers of the lines they answer.
        refused: why it could not be set beside the others; "" if it could.
        name: what manuscript or book it is, as the dossier calls it; "" if it does not.
    """

    siglum: str
    witness: Witness
    what: str
    date: str = ""
    dependence: tuple[DependentStretch, ...] = ()
    numbered: bool = False
    refused: str = ""
    name: str = ""


@dataclass(frozen=True)
class CollatedText:
    """A lost text in all its witnesses.

    Attributes:
        id: of the text.
        collation: of the witnesses that could be set side by side, his copy the first.
        described: every witness, his copy the first, those that could not be collated too.
        folds: letterforms counted as equal.
        name: of the lost manuscript, as the dossier calls it; "" if it does not.
    """

    id: str
    collation: Collation
    described: tuple[Described, ...]
    folds: Folds = NO_FOLDS
    name: str = ""

    @property
    def copy(self) -> Witness:
        """His copy, by which places are cited."""
        return self.collation.witnesses[0]


def collated_texts(dossier: Dossier) -> list[CollatedText]:
    """Set every lost text beside all its witnesses, in the dossier's order."""
    return [collated_text(dossier, lost) for lost in dossier.lost]


def collated_text(dossier: Dossier, lost: LostText) -> CollatedText:
    """Collate his copy of a lost text with his other copies of it and all other witnesses.

    A witness that has nothing in common with the copy is described and left out.

    Args:
        dossier: with the witnesses.
        lost: the text.
    """
    every = list(_described(dossier, lost))
    main = Given(every[0].siglum, every[0].witness)
    others = [Given(one.siglum, one.witness, one.numbered) for one in every[1:]]
    try:
        found = collate(main, others, lost.id, dossier.folds)
        return CollatedText(lost.id, found, tuple(every), dossier.folds, lost.name)
    except DataError:
        return _without_strangers(dossier, lost, every)


def _without_strangers(dossier: Dossier, lost: LostText, every: list[Described]) -> CollatedText:
    """Collate those witnesses that can be collated one after the other."""
    main = Given(every[0].siglum, every[0].witness)
    kept: list[Given] = []
    told = [every[0]]
    found = collate(main, [], lost.id, dossier.folds)
    for one in every[1:]:
        given = Given(one.siglum, one.witness, one.numbered)
        try:
            found = collate(main, [*kept, given], lost.id, dossier.folds)
        except DataError as error:
            told.append(Described(**{**vars(one), "refused": error.faults[0].what}))
            continue
        kept.append(given)
        told.append(one)
    return CollatedText(lost.id, found, tuple(told), dossier.folds, lost.name)


def _described(dossier: Dossier, lost: LostText) -> Iterator[Described]:
    """Describe all witnesses of a lost text: his copy, his other copies, the others."""
    own, who = dossier.copyist_siglum, dossier.copyist_name or "the copyist"
    yield Described(
        own,
        lost.copy,
        f"The copy by {who}, from which the text is known.",
        dossier.copyist_dates,
        dossier.dependence.get((lost.id, own), ()),
        name=next(iter(lost.copy_names), ""),
    )
    others = [one for one in dossier.witnesses if one.of == lost.id]
    taken = {own, *(one.witness.siglum for one in others)}
    number = 1
    for copy, name in zip(lost.other_copies, chain(lost.copy_names[1:], repeat("")), strict=False):
        number += 1
        while f"{own}{number}" in taken:
            number += 1
        what = f"Another copy by {who}."
        yield Described(f"{own}{number}", copy, what, dossier.copyist_dates, name=name)
    for one in others:
        yield Described(
            one.witness.siglum,
            one.witness,
            _kind(one),
            one.date,
            dossier.dependence.get((lost.id, one.witness.siglum), ()),
            one.numbered,
            name=one.name,
        )


def _kind(one: OtherWitness) -> str:
    """Say what another witness is."""
    if one.from_original:
        return "Another man's transcript of the same original."
    return ANOTHER_WITNESS
