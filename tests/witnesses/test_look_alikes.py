"""Letters that are perhaps not meant: pointed out with their place, never changed."""

from __future__ import annotations

import tomllib
import unicodedata
from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.letters import encode
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import NO_FOLDS, load_folds
from fidelity.witnesses.look_alikes import (
    MOST_NOTES,
    look_alike_letters,
    look_alikes_in,
    notes_on,
    notes_on_files,
    private_letters_in,
)


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("on lаnd", [(1, 5)]),  # Cyrillic a in a Latin word
        ("on\nnyhtu\u0304 strοet", [(2, 10)]),  # Greek o; the letter with its macron is one column
        ("а land", [(1, 1)]),  # alone, in a text that is else Latin
        ("land", []),
        ("λόγος ο est", []),  # a text that really uses Greek
        ("λόγος est vοx", [(1, 12)]),  # but not inside a Latin word
        ("земля", []),  # no Latin text at all
    ],
)
def test_where_look_alikes_are_seen(text: str, places: list[tuple[int, int]]) -> None:
    """A letter of another script is seen in Latin words, and alone where its script is not in use."""
    assert [(one.line, one.column) for one in look_alikes_in(text)] == places


def test_table_is_of_other_scripts_and_in_nfc() -> None:
    """Every row of the table is one letter of another script, in NFC, beside a Latin one (UTS #39)."""
    for letter, latin in look_alike_letters().items():
        assert unicodedata.normalize("NFC", letter) == letter
        assert not unicodedata.name(letter).startswith("LATIN")
        assert unicodedata.name(latin).startswith("LATIN")
    for row in published_table("look_alikes.tsv", ("letter", "codepoint", "unicode_name")):
        assert row["codepoint"] == f"U+{ord(row['letter']):04X}"
        assert row["unicode_name"] == unicodedata.name(row["letter"])


def test_notes_name_place_letter_and_remedy() -> None:
    """A note gives file, line, column, the code point and what to do."""
    (note,) = notes_on("on lаnd", "E.txt", NO_FOLDS)
    assert note.startswith("E.txt:1:5: ")
    assert "U+0430" in note
    assert "Latin a " in note


def test_many_notes_are_cut() -> None:
    """A text typed on the wrong keyboard does not bury the other notes."""
    notes = notes_on("lаnd " * 50, "E.txt", NO_FOLDS)
    assert len(notes) == MOST_NOTES + 1
    assert "40 more" in notes[-1]


def test_private_letters_are_told_once_until_a_fold_explains_them() -> None:
    """A private letter is told at its first place only, with the fold to declare; a fold ends it."""
    text = "a\ue8b7b\ue8b7\n\uf1a5"
    assert [(one.line, one.column) for one in private_letters_in(text, NO_FOLDS)] == [(1, 2), (2, 1)]
    folds = load_folds([], [("\ue8b7", "n"), ("\uf1a5", "us")])
    assert private_letters_in(text, folds) == []
    told: set[str] = set()
    assert len(notes_on(text, "E", NO_FOLDS, told)) == 2
    assert notes_on(text, "F", NO_FOLDS, told) == []
    advice = notes_on(text, "E", NO_FOLDS)[0].rpartition(": ")[2]
    assert advice == '["\\uE8B7", ""]'
    with pytest.raises(DataError, match="empty side"):  # it says what is to be filled in, and is no fold yet
        load_folds([], [tuple(tomllib.loads(f"pair = {advice}")["pair"])])


def test_a_dossier_has_them_among_its_notes(tmp_path: Path) -> None:
    """They are notes of the dossier, not faults: the texts are read as they stand."""
    (tmp_path / "o.txt").write_text("on þære ealdan stræte\n", encoding="utf-8")
    (tmp_path / "c.txt").write_text("on þære eаldan st\ue8b7æte\n", encoding="utf-8")
    toml = '[copyist]\nname = "Wickenby"\n[[survivor]]\nid = "E"\noriginal = "o.txt"\ncopy = "c.txt"\n'
    (tmp_path / "dossier.toml").write_text(toml, encoding="utf-8")
    dossier = read_dossier(tmp_path)
    assert [note.split(": ")[0] for note in dossier.notes] == ["c.txt:1:10", "c.txt:1:18"]
    assert dossier.survivors[0].copy.letters == "on þære eаldan st\ue8b7æte"
    (tmp_path / "dossier.toml").write_text(toml + '[fold]\npairs = [["\\ue8b7", "r"]]\n', encoding="utf-8")
    assert len(read_dossier(tmp_path).notes) == 1


def notes_on_file(folder: Path, name: str, text: str, encoding: str = "utf-8") -> list[str]:
    """Give place and letter of each note on a file."""
    (folder / name).write_bytes(text.encode(encoding))
    return [" ".join(note.split(" ")[:2]) for note in notes_on_files(folder, [name], NO_FOLDS)]


def test_in_tei_only_the_text_is_looked_at(tmp_path: Path) -> None:
    """Names, attributes, header, comments are no text; a word goes on over markup; places are right."""
    tei = (
        '<?xml version="1.0"?>\r\n<TEI xmlns="http://www.tei-c.org/ns/1.0"><teiHeader>l\u0430nd \ue8b7'
        "</teiHeader><text><body><!-- l\u0430nd \ue8b7 --><ab n='l\u0430nd \ue8b7' rend=\"a>\u0430\">\r\n"
        "on e<hi>\u0430</hi>l <g>\ue8b7</g> nyhtu\u0304 d&#x430;n <lb/>\u03bf<unclear/><w>\ue8b7</w>&#xE8B8;"
        "<![CDATA[<b\u0430d>]]></ab></body></text></TEI>"
    )
    found = notes_on_file(tmp_path, "E.xml", tei)
    row = tei.split("\r\n")[2]
    column = {
        what: len(encode(row[: row.index(what)])) + 1 for what in ("\u0430", "&#x430;", "\u03bf", "b\u0430d")
    }
    assert found == [
        f"E.xml:3:{column[chr(0x430)]}: \u0430",
        f"E.xml:3:{column['&#x430;']}: \u0430",
        f"E.xml:3:{column[chr(0x3BF)]}: \u03bf",
        f"E.xml:3:{column['b' + chr(0x430) + 'd'] + 1}: \u0430",
        f"E.xml:3:{len(encode(row[: row.index(chr(0xE8B7))])) + 1}: U+E8B7",
        f"E.xml:3:{len(encode(row[: row.index('&#xE8B8;')])) + 1}: U+E8B8",
    ]
    declared = tei.replace('version="1.0"', 'version="1.0" encoding="UTF-16"')
    assert notes_on_file(tmp_path, "E.xml", declared, "utf-16") == found


def test_in_page_xml_the_text_of_lines_is_looked_at(tmp_path: Path) -> None:
    """Words of a line and the text of a region say it again and are not looked at."""
    text = "<TextEquiv><Unicode>\nl\u0430nd \ue8b7</Unicode></TextEquiv>"
    page = (
        '<PcGts><Metadata>l\u0430nd</Metadata><Page imageFilename="\u0430b.tif"><TextRegion id="a\u0430">'
        f"<TextLine><Word>{text}</Word>{text}</TextLine>{text}</TextRegion></Page></PcGts>"
    )
    assert notes_on_file(tmp_path, "E.xml", page) == ["E.xml:3:2: \u0430", "E.xml:3:6: U+E8B7"]


def test_in_alto_the_content_is_looked_at(tmp_path: Path) -> None:
    """The text of ALTO stands in attributes: these are looked at, and no others."""
    alto = (
        "<alto><Layout><Page><PrintSpace><TextBlock ID='a\u0430'>\n<TextLine>"
        "<String SUBS_CONTENT='l\u0430nd'"
        " CONTENT='l\u0430nd'/><SP/>\n<String CONTENT=\"&#xE8B7;\"/></TextLine>"
        "</TextBlock></PrintSpace></Page></Layout></alto>"
    )
    at = alto.split("\n")[1].index(" CONTENT='") + len(" CONTENT='") + 2
    assert notes_on_file(tmp_path, "E.xml", alto) == [f"E.xml:2:{at}: \u0430", "E.xml:3:18: U+E8B7"]


def test_in_tables_they_are_told_with_their_place(tmp_path: Path) -> None:
    """A table is looked at as it is written."""
    assert notes_on_file(tmp_path, "G.tsv", "lemma\tgloss\nacer\thl\u0456n\ue8b7\n") == [
        "G.tsv:2:8: \u0456",
        "G.tsv:2:10: U+E8B7",
    ]


@pytest.mark.parametrize(
    ("letter", "advice"),
    [("\U000f1234", '["\\U000F1234", ""]'), ("\U00101234", '["\\U00101234", ""]')],
)
def test_private_letters_beyond_the_first_plane(letter: str, advice: str) -> None:
    """Letters of planes 15 and 16 are private as well (Unicode, chapter 23.5)."""
    (note,) = notes_on(f"st{letter}n", "E.txt", NO_FOLDS)
    assert note.startswith("E.txt:1:3: U+") and note.endswith(advice)
    assert notes_on(f"st{letter}n", "E.txt", load_folds([], [(letter, "a")])) == []


def test_private_letters_that_the_header_maps_to(tmp_path: Path) -> None:
    """A glyph of a TEI text that its header maps to a private letter is told where it is first used."""
    glyphs = (
        '<glyph xml:id="w"><mapping type="PUA">U+E8B7</mapping></glyph>'
        '<glyph xml:id="v"><mapping type="standardized">v</mapping><mapping>&#xE8B8;</mapping></glyph>'
        '<glyph xml:id="s"><mapping type="Unicode">ꝰ</mapping><mapping>\ue8b9</mapping></glyph>'
        '<char xml:id="unused"><mapping>\ue8ba</mapping></char><char xml:id="empty"/>'
    )
    tei = (
        f"<TEI><teiHeader><encodingDesc><charDecl>{glyphs}</charDecl></encodingDesc></teiHeader>\n"
        '<text><ab>st<g ref="#v"/><g ref="#w"/><g ref="#s"/>\n<g ref="#w"/></ab></text></TEI>'
    )
    assert notes_on_file(tmp_path, "E.xml", tei) == ["E.xml:2:13: U+E8B8", "E.xml:2:26: U+E8B7"]


@pytest.mark.parametrize("text", ["Wi\u00fe \u00e6fter", "\u01bfulf \u00a3"])
def test_letters_encoded_twice(text: str) -> None:
    """UTF-8 that was taken for Latin-1 and saved anew is told at its first place."""
    spoilt = text.encode().decode("latin-1")
    (note,) = notes_on(f"stan\n{spoilt}", "E.txt", NO_FOLDS)
    at = next(at for at, letter in enumerate(text, 1) if letter > "\x7f")
    assert note.startswith(f"E.txt:2:{at}: ") and "looks doubly encoded" in note
    assert f", {text[at - 1]} as UTF-8" in note


@pytest.mark.parametrize("text", ["Ælfꞃıc Ær Æ· Æ” Â Ãn Åsa Ä» Å¶"])
def test_capitals_are_not_taken_for_it(text: str) -> None:
    """Capitals before letters, points and quotation marks are what they are."""
    assert notes_on(text, "E.txt", NO_FOLDS) == []
