"""A dossier is read whole, with all its texts and what is declared of them."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from fidelity.dossier import Dossier, Passage, read_dossier
from fidelity.dossier.texts import line_range
from fidelity.errors import DataError
from fidelity.settings import Settings
from fidelity.terms import Circumstance
from fidelity.terms.parallels import OwnRule

SMALLEST = """\
[copyist]
name = "Erasmus Wickenby"

[[survivor]]
id = "E"
original = "E/original.txt"
copy = "E/copy.txt"
"""
FULL = """\
[copyist]
name = "Erasmus Wickenby"
dates = "1698-1757"

[fold]
sets = ["insular", "wynn"]
pairs = [["ę", "æ"]]

[[survivor]]
id = "E"
original = "E/original.txt"
copy = ["E/copy.txt", "E/draft.txt"]
script = "insular"
language = "ang"
passages = [
    { lines = "1-2", script = "caroline", language = "la" },
]

[[survivor]]
id = "G"
original = "G/original.tsv"
copy = "G/copy.tsv"
copy_profile = "leiden"
passages = [{ field = "lemma", language = "la" }]

[[lost]]
id = "X"
copy = "X/copy.txt"
script = "insular"
language = "ang"

[[witness]]
siglum = "K"
of = "X"
file = "K.txt"
numbered = true
depends_on = "C"
date = "s. xi"

[[reference]]
files = ["reference/other.txt"]
language = "ang"

[[words]]
files = ["words.tsv"]

[images]
pattern = "https://example.org/{folio}.jpg"

[settings]
beam = 30
confidence = 0.9

[[rule]]
from = "r"
to = "s"
where = ["place=last", "text=X"]
decided = ["1.2"]
by = "E. Ditor"
"""
TEXTS = {
    "E/original.txt": "Regnante domino\nnostro\nꞅynꝺon þa lanꝺᵹemæꞃa\n",
    "E/copy.txt": "Regnante domino\nnostro\nryndon þa land gemæra\n",
    "E/draft.txt": "Regnante\n",
    "G/original.tsv": "lemma\tgloss\nalnus\taloꞃ\n",
    "G/copy.tsv": "lemma\tgloss\nalnus\t[---]\n",
    "X/copy.txt": "Ic wær on fyre\n",
    "K.txt": "X.1\tIc wæs on fyre\n",
    "reference/other.txt": "nu ic on hæꞃꝼeꞅꞇe\n",
    "words.tsv": "form\tmodern\nwær\twas\n",
}


def lay_out(folder: Path, toml: str) -> Path:
    """Write a dossier with all texts; give its folder."""
    for name, text in {"dossier.toml": toml, **TEXTS}.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def full(tmp_path: Path) -> Dossier:
    """A dossier with everything in it."""
    return read_dossier(lay_out(tmp_path, FULL))


def test_survivors_and_lost_texts(full: Dossier) -> None:
    """Each text is read under its id, with the script and language declared."""
    e, g = full.survivors
    assert (full.copyist_name, full.copyist_dates) == ("Erasmus Wickenby", "1698-1757")
    assert (e.id, e.original.siglum, e.copy.siglum) == ("E", "E", "E")
    assert (e.original.script, e.original.language, e.original.file) == ("insular", "ang", "E/original.txt")
    assert (e.copy.script, e.copy.language) == ("", "ang")
    assert e.copy.letters == "Regnante domino nostro ryndon þa land gemæra"
    assert g.original.fields == ("lemma", "gloss")
    assert not g.original.states and g.copy.states
    (x,) = full.lost
    assert (x.id, x.copy.siglum, x.copy.script, x.copy.language) == ("X", "X", "insular", "ang")


def test_passages_in_another_script(full: Dossier) -> None:
    """Passages are found in the original by line or by field."""
    e, g = full.survivors
    assert e.passages == (Passage((0, 2), "", "caroline", "la"),)
    assert g.passages == (Passage((0, 1), "lemma", "", "la"),)


def test_other_evidence(full: Dossier) -> None:
    """Witnesses, reference texts, folds, settings and the rest are in the dossier."""
    (k,) = full.witnesses
    assert (k.of, k.witness.siglum, k.depends_on, k.date) == ("X", "K", "C", "s. xi")
    assert k.witness.labels == ("X.1",)
    assert [text.siglum for text in full.references] == ["other"]
    assert full.folds.same("ꞅ", "s") and full.folds.same("ę", "æ") and full.folds.same("ƿ", "w")
    assert full.settings == Settings(beam=30, confidence=0.9)
    assert full.image_pattern == "https://example.org/{folio}.jpg"
    assert full.words == (("wær", "was"),)
    where = ((Circumstance.PLACE, "last"), (Circumstance.TEXT, "X"))
    assert full.rules == (OwnRule("r", "s", where, decided=(("X", 5),), by="E. Ditor"),)


def test_inputs_are_every_file_read_with_its_digest(full: Dossier) -> None:
    """Every file that was read is named, in order, with the SHA-256 of its bytes."""
    read = [*TEXTS, "dossier.toml"]
    assert [name for name, _ in full.inputs] == sorted(read)
    for name, digest in full.inputs:
        assert digest == hashlib.sha256((full.folder / name).read_bytes()).hexdigest()


def test_notes_say_what_is_not_used(full: Dossier) -> None:
    """Every table is used."""
    assert not [note for note in full.notes if "not used" in note]


def test_folder_or_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder and its dossier.toml are the same dossier, from wherever it is named."""
    folder = lay_out(tmp_path, SMALLEST)
    assert read_dossier(folder) == read_dossier(folder / "dossier.toml")
    monkeypatch.chdir(folder)
    assert read_dossier(Path()).inputs == read_dossier(folder).inputs


def test_no_dossier(tmp_path: Path) -> None:
    """A folder without a dossier.toml is refused with what to do."""
    with pytest.raises(DataError, match="no such dossier") as caught:
        read_dossier(tmp_path)
    assert "fidelity new" in caught.value.faults[0].remedy


@pytest.mark.parametrize(
    ("written", "lines"),
    [
        ("12r:1", (0, 1)),
        ("12r:1-12v:1", (0, 3)),
        ("12r:1-2", (0, 2)),
        (" 12r:2 – 12v:1 ", (1, 3)),
        ("a-b", (3, 4)),
        ("12v:1-a-b", (2, 4)),
        ("12v:1-12r:1", None),
        ("9", None),
    ],
)
def test_line_range(written: str, lines: tuple[int, int] | None) -> None:
    """Lines are found as they are cited, with a dash between first and last, whatever labels hold."""
    assert line_range(written, ("12r:1", "12r:2", "12v:1", "a-b")) == lines


def test_sides_of_choices(tmp_path: Path) -> None:
    """A dossier says which side of TEI choices is read; the manuscript's where it says nothing."""
    text = "<ab><lb/>on <choice><sic>þæne</sic><corr>þære</corr></choice> stræte</ab>"
    for choice, word in (("", "þæne"), ('choice = ["corr"]\n', "þære")):
        folder = tmp_path / word
        folder.mkdir()
        (folder / "o.xml").write_text(text, encoding="utf-8")
        (folder / "c.txt").write_text("on þæne stræte\n", encoding="utf-8")
        entry = f'[[survivor]]\nid = "E"\noriginal = "o.xml"\ncopy = "c.txt"\n{choice}'
        (folder / "dossier.toml").write_text(f'[copyist]\nname = "N. N."\n{entry}', encoding="utf-8")
        dossier = read_dossier(folder)
        assert dossier.survivors[0].original.letters == f"on {word} stræte"
        assert any("choice" in note or word in note or "sic" in note for note in dossier.notes)
    (folder / "dossier.toml").write_text(
        f'[copyist]\nname = "N. N."\n{entry.replace("corr", "core")}', encoding="utf-8"
    )
    with pytest.raises(DataError, match="choice"):
        read_dossier(folder)


def test_original_and_copy_may_be_cited_differently(tmp_path: Path) -> None:
    """What is said of one of the two alone goes before what is said of both."""
    toml = SMALLEST + "numbered = true\ncopy_numbered = false\n"
    folder = lay_out(tmp_path, toml)
    (folder / "E/original.txt").write_text("3.1\tlupus\n3.2\twulf\n", encoding="utf-8")
    (folder / "E/copy.txt").write_text("lupus\nwulf\n", encoding="utf-8")
    (survivor,) = read_dossier(folder).survivors
    assert (survivor.original.labels, survivor.original.letters) == (("3.1", "3.2"), "lupus wulf")
    assert (survivor.copy.labels, survivor.copy.letters) == (("1", "2"), "lupus wulf")


def test_quires_are_ranges_of_pages(tmp_path: Path) -> None:
    """A quire is given by its first and last page; the pages between are those of the original, in order."""
    (tmp_path / "o.txt").write_text("".join(f"[fol. {n}{s}]\nlupus\n" for n in (1, 2, 3) for s in "rv"))
    (tmp_path / "c.txt").write_text("lupus\n" * 6)
    named = '[copyist]\nname = "W"\n[[survivor]]\nid = "E"\noriginal = "o.txt"\ncopy = "c.txt"\n'
    (tmp_path / "dossier.toml").write_text(named + 'quires = ["1r-2v", "3r–3v"]\n', encoding="utf-8")
    (survivor,) = read_dossier(tmp_path).survivors
    assert survivor.quires == (("1r", "1v", "2r", "2v"), ("3r", "3v"))


def test_a_transcript_that_was_read_twice(tmp_path: Path) -> None:
    """The transcript before checking and as two readers left it are read, and are among the inputs."""
    for name in ("o", "c", "before", "first", "second"):
        (tmp_path / f"{name}.txt").write_text(f"lupus {name}\n")
    (tmp_path / "dossier.toml").write_text(
        '[copyist]\nname = "W"\n[[survivor]]\nid = "E"\noriginal = "o.txt"\ncopy = "c.txt"\n'
        'original_unchecked = "before.txt"\noriginal_checked = ["first.txt", "second.txt"]\n'
    )
    dossier = read_dossier(tmp_path)
    (survivor,) = dossier.survivors
    assert survivor.unchecked is not None
    assert survivor.unchecked.letters == "lupus before"
    assert [version.letters for version in survivor.checked] == ["lupus first", "lupus second"]
    assert "first.txt" in dict(dossier.inputs)
