"""What a dossier holds, once it is read: survivors, lost texts, other witnesses, what was declared.

Arrives: nothing. Leaves: the records, of which ``Dossier`` holds all others. Reading them is the work
of ``read.py``; two texts can be compared without it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fidelity.settings import Settings
from fidelity.terms import Witness
from fidelity.terms.conjecture import Conjecture
from fidelity.terms.decisions import Decision
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.his_marks import NO_MARKS, HisMarks

DOSSIER_FILE = "dossier.toml"


@dataclass(frozen=True)
class Passage:
    """A stretch of an original in another script or language than the rest.

    Attributes:
        lines: indices of its lines in the original, half-open.
        field: the parallel field it is confined to; "" for all of the line.
        script: the script there; "" as the rest.
        language: BCP 47 tag; "" as the rest.
    """

    lines: tuple[int, int]
    field: str = ""
    script: str = ""
    language: str = ""


@dataclass(frozen=True)
class Survivor:
    """A manuscript that survives, and his copy of it: from such pairs his habits are learned.

    Attributes:
        id: how it is cited.
        original, copy: the two texts.
        passages: where the original is in another script or language.
        quires: the pages of each of the original's quires, as far as the editor knows them.
        unchecked: the original's transcript before it was checked against the manuscript.
        checked: the same as each of two readers left it.
        other_copies: his other copies of it; ``copy`` is the one he named first.
    """

    id: str
    original: Witness
    copy: Witness
    passages: tuple[Passage, ...] = ()
    quires: tuple[tuple[str, ...], ...] = ()
    unchecked: Witness | None = None
    checked: tuple[Witness, ...] = ()
    other_copies: tuple[Witness, ...] = ()


@dataclass(frozen=True)
class LostText:
    """A manuscript that is lost, and his copy of it.

    The copy's ``script`` and ``language`` are those presumed of the lost original; ``other_copies`` are his
    other copies of it.
    """

    id: str
    copy: Witness
    other_copies: tuple[Witness, ...] = ()


@dataclass(frozen=True)
class OtherWitness:
    """Another witness of one of the texts.

    Attributes:
        of: id of the text it transmits.
        witness: its text; ``witness.siglum`` cites it.
        depends_on: siglum of the witness it was copied from; "" where it is independent.
        date: as printed.
        from_original: whether it is another man's transcript of the same original as his.
    """

    of: str
    witness: Witness
    depends_on: str = ""
    date: str = ""
    from_original: bool = False


@dataclass(frozen=True)
class Dossier:
    """All that is given about one copyist.

    Attributes:
        folder: the folder of the dossier.
        copyist_name: who he was.
        copyist_dates: when he lived, as printed.
        folds: which letters count as equal.
        survivors: originals that survive with his copies, at least one.
        lost: his copies of originals that are lost.
        witnesses: other witnesses of any of these texts.
        references: further texts in the originals' language.
        settings: how a run is done.
        inputs: path within the dossier and SHA-256 of every file that was read, by path.
        notes: what the reader should know of how the dossier was taken.
        words: from tables of word forms, (form, later form of the same word), in letters.
        image_pattern: turns a locus into a link to its photograph; "" where there is none.
        rules: an editor's rules, as they stand in the dossier.
        conjectures: an editor's readings for the lost texts.
        decisions: the editor's own decisions, from ``decisions.csv``.
        his_marks: the signs by which he marks what he could not read, doubted or vouched for.
    """

    folder: Path
    copyist_name: str
    copyist_dates: str
    folds: Folds
    survivors: tuple[Survivor, ...]
    lost: tuple[LostText, ...]
    witnesses: tuple[OtherWitness, ...]
    references: tuple[Witness, ...]
    settings: Settings
    inputs: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    words: tuple[tuple[str, str], ...] = ()
    image_pattern: str = ""
    rules: tuple[Mapping[str, Any], ...] = ()
    conjectures: tuple[Conjecture, ...] = ()
    decisions: tuple[Decision, ...] = ()
    his_marks: HisMarks = NO_MARKS
