"""What a dossier holds, once it is read: survivors, lost texts, other witnesses, what was declared.

Arrives: nothing. Leaves: the records, of which ``Dossier`` holds all others. Reading them is the work
of ``read.py``; two texts can be compared without it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fidelity.in_notebook import Tabled
from fidelity.settings import Settings
from fidelity.terms import Witness
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.conjecture import Conjecture
from fidelity.terms.decisions import Decision
from fidelity.terms.parallels import NOTHING_DECLARED, Declared, OwnRule
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
        name: what manuscript it is, in words; "" if that is not said.
        copy_names: what his copies are, in words, in their order, as far as that is said.
    """

    id: str
    original: Witness
    copy: Witness
    passages: tuple[Passage, ...] = ()
    quires: tuple[tuple[str, ...], ...] = ()
    unchecked: Witness | None = None
    checked: tuple[Witness, ...] = ()
    other_copies: tuple[Witness, ...] = ()
    name: str = ""
    copy_names: tuple[str, ...] = ()


@dataclass(frozen=True)
class LostText:
    """A manuscript that is lost, and his copy of it.

    The copy's ``script`` and ``language`` are those presumed of the lost original; ``other_copies`` are his
    other copies of it. ``name`` says in words what the manuscript was, ``copy_names`` what his copies are,
    in their order, as far as the dossier tells.
    """

    id: str
    copy: Witness
    other_copies: tuple[Witness, ...] = ()
    name: str = ""
    copy_names: tuple[str, ...] = ()


@dataclass(frozen=True)
class OtherWitness:
    """Another witness of one of the texts.

    Attributes:
        of: id of the text it transmits.
        witness: its text; ``witness.siglum`` cites it.
        depends_on: siglum of the witness all of it was copied from; "" where there is none.
        date: as printed.
        numbered: whether its lines bear the numbers of the lines they answer in the text.
        from_original: whether it is another man's transcript of the same original as his.
        name: what manuscript or book it is, in words; "" if that is not said.
    """

    of: str
    witness: Witness
    depends_on: str = ""
    date: str = ""
    numbered: bool = False
    from_original: bool = False
    name: str = ""


@dataclass(frozen=True, repr=False)
class Dossier(Tabled):
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
        rules: an editor's rules, to be run over everything.
        conjectures: an editor's readings for the lost texts.
        decisions: the editor's own decisions, from ``decisions.csv``.
        copyist_siglum: how his own copies are cited among other witnesses.
        dependence: (id of a text, siglum) -> where that witness was copied from another.
        his_marks: the signs by which he marks what he could not read, doubted or vouched for.
        parallels: what is declared of fields that answer one another.
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
    rules: tuple[OwnRule, ...] = ()
    conjectures: tuple[Conjecture, ...] = ()
    decisions: tuple[Decision, ...] = ()
    his_marks: HisMarks = NO_MARKS
    parallels: Declared = NOTHING_DECLARED
    copyist_siglum: str = "C"
    dependence: Mapping[tuple[str, str], tuple[DependentStretch, ...]] = field(default_factory=dict)

    def __repr__(self) -> str:
        survivors, lost = (" ".join(one.id for one in some) or "none" for some in (self.survivors, self.lost))
        who = f" {self.copyist_name}" if self.copyist_name else ""
        return f"<Dossier{who}: survivors {survivors}, lost {lost}>"
