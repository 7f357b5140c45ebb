"""What was read as text and is perhaps a sign is told, and never read as the sign."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.witnesses.hints import hints_on
from fidelity.witnesses.read import read_witness


def notes_of(
    folder: Path, original: str, copy: str = "stan\n", ending: str = "txt", more: str = ""
) -> list[str]:
    """Give the notes on a dossier of one survivor."""
    (folder / f"o.{ending}").write_text(original, encoding="utf-8")
    (folder / f"c.{ending if ending != 'xml' else 'txt'}").write_text(copy, encoding="utf-8")
    (folder / "dossier.toml").write_text(
        '[copyist]\nname = "Erasmus Wickenby"\n[[survivor]]\nid = "B"\n'
        f'original = "o.{ending}"\ncopy = "c.{ending if ending != "xml" else "txt"}"\n{more}\n'
    )
    return list(read_dossier(folder).notes)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("st[an]\na[n]d\n[..] þa", "3 places look like editorial signs, such as t[an] in line 1"),
        ("[fol. 2r]\nsṭaṇ ạt", "3 places look like editorial signs, such as ṭ in line 2r:1"),
        ("[---] ⟨a⟩ [c. 4]", "3 places"),
        ("⟦a⟧ ⸌b⸍", ""),  # two may be a slip
        ("[a] [b] [c] [d]", ""),
    ],
)
def test_editorial_signs_without_a_profile(text: str, told: str) -> None:
    """Three signs or more in a text without a profile are told with the first place; the text stays."""
    witness = read_witness(text)
    notes = " ".join(hints_on(witness))
    assert notes.startswith(told) and bool(notes) == bool(told)


@pytest.mark.parametrize("mark", ["[12r]", "[ 3 ]", "[12ra]", "[col. b]"])
def test_perhaps_a_page_mark(tmp_path: Path, mark: str) -> None:
    """A number or a column alone in brackets on its line is told; it stays a line of the text."""
    (note,) = notes_of(tmp_path, f"stan\n{mark}\n")
    assert note.startswith(f"o.txt: line 2: {mark} looks like a page mark and is read as text")


def test_no_hints_where_a_profile_is_declared(tmp_path: Path) -> None:
    """With a profile the signs have been understood."""
    assert notes_of(tmp_path, "st[an] a[n]d [..]\n", more='profile = "leiden"') == []


def test_lines_of_layouts_are_looked_at(tmp_path: Path) -> None:
    """The same holds of the lines of PAGE XML."""
    text = "st[an] a[n]d [..]"
    line = f"<TextLine><TextEquiv><Unicode>{text}</Unicode></TextEquiv></TextLine>"
    page = f"<PcGts xmlns='p'><Page><TextRegion>{line}</TextRegion></Page></PcGts>"
    assert any("look like editorial signs" in note for note in notes_of(tmp_path, page, ending="xml"))


def test_a_profile_of_tei_is_told(tmp_path: Path) -> None:
    """TEI has elements for what the signs mark, so that a profile has no effect; it is told."""
    notes = notes_of(tmp_path, "<ab>stan</ab>", ending="xml", more='original_profile = "leiden"')
    assert [note for note in notes if "profile leiden is without effect" in note]


def test_both_sides_of_a_choice_are_a_fault(tmp_path: Path) -> None:
    """Of sic and corr one can be read; which is the editor's to say."""
    with pytest.raises(DataError, match="names both sic and corr"):
        notes_of(tmp_path, "<ab>stan</ab>", ending="xml", more='choice = ["corr", "sic"]')


def test_fields_of_original_and_copy_are_compared(tmp_path: Path) -> None:
    """Fields with other names are told; fewer, or the same in another order, are a fault."""
    header = "lemma,gloss\nacer,hlin\n"
    assert notes_of(tmp_path, header, header, "csv") == []
    (note,) = notes_of(tmp_path, header, "lemma,word\nacer,hlin\n", "csv")
    assert "lemma, gloss; lemma, word" in note
    for other in ("gloss,lemma\nhlin,acer\n", "lemma\nacer\n"):
        with pytest.raises(DataError, match="have other fields"):
            notes_of(tmp_path, header, other, "csv")
