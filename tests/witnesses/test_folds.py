"""Folds, and the published tables of letterforms and confusions."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError
from fidelity.letters import encode
from fidelity.witnesses.data import data_folder, published_table
from fidelity.witnesses.folds import (
    NO_FOLDS,
    Folds,
    abbreviation_expansions,
    fold_sets,
    known_scripts,
    letterform_value,
    load_folds,
    published_confusions,
    published_pairs,
)


def test_insular_letters_are_folded_by_a_named_set() -> None:
    """Insular letterforms stand for the plain letters; the number of letters stays."""
    folds = load_folds(["insular"])
    assert folds.fold("ꞅꞇꞃeameꞅ ᵹeꝼoꞃ") == "streames gefor"
    assert folds.same("ꞅ", "s") and folds.same("s", "ꞅ")
    assert not folds.same("ꞅ", "r")


@pytest.mark.parametrize("name", fold_sets())
def test_every_published_set_can_be_used(name: str) -> None:
    """No published set contradicts itself, and none changes the number of letters."""
    folds = load_folds([name])
    assert folds.letters or folds.expansions
    for written, stands_for in folds.letters.items():
        assert (len(written), len(stands_for)) == (1, 1)
        assert folds.fold(written) == folds.fold(stands_for)


@given(st.text("abꞅꞇſþ ū⁊"))
def test_folding_twice_changes_nothing_more(text: str) -> None:
    """A folded text is stable, and as long as it was."""
    folds = Folds({"ꞅ": "s", "ſ": "s", "ꞇ": "t"})
    letters = encode(text)
    assert folds.fold(folds.fold(letters)) == folds.fold(letters)
    assert len(folds.fold(letters)) == len(letters)


def test_expansions_are_same_in_one_direction() -> None:
    """A sign may be answered by its expansion, in whatever letterforms; not the reverse."""
    folds = load_folds(["insular"], [("⁊", "and"), ("ꝥ", "þæꞇ")])
    assert folds.same("⁊", "anꝺ")
    assert folds.same("ꝥ", "þæt")
    assert not folds.same("and", "⁊")
    assert folds.fold("⁊") == "⁊"


def test_several_letters_for_one() -> None:
    """Two letters may be answered by one."""
    assert load_folds([], [("ae", "æ")]).same("ae", "æ")


def test_no_folds() -> None:
    """Without folds only equal letters are the same."""
    assert NO_FOLDS.same("a", "a") and not NO_FOLDS.same("ꞅ", "s")


def test_composite_letters_fold_as_one() -> None:
    """A letter with a mark over it is one letter in a fold."""
    folds = load_folds([], [("ę̄", "ę")])
    assert folds.fold(encode("ę̄c")) == "ęc"


def test_chains_are_followed() -> None:
    """A letter that stands for another that is itself folded stands for the last."""
    assert load_folds([], [("ẛ", "ſ"), ("ſ", "s")]).letters == {"ẛ": "s", "ſ": "s"}


def test_unknown_set_names_the_known_ones() -> None:
    """An unknown set is refused with the nearest name and all known names."""
    with pytest.raises(DataError) as caught:
        load_folds(["insulare", "gothick"])
    first, second = caught.value.faults
    assert "unknown fold set 'insulare'" in first.what
    assert "did you mean insular?" in first.remedy
    for name in fold_sets():
        assert name in second.remedy


def test_letter_folded_to_two_is_refused() -> None:
    """A letter cannot stand for two letters; folds cannot go in a circle; no side is empty."""
    with pytest.raises(DataError, match="ę is to stand both for æ and for e"):
        load_folds([], [("ę", "æ"), ("ę", "e")])
    with pytest.raises(DataError, match="circle"):
        load_folds([], [("þ", "ð"), ("ð", "þ")])
    with pytest.raises(DataError, match="empty side"):
        load_folds([], [("", "þ")])


def test_same_fold_twice_is_no_contradiction() -> None:
    """A pair that a set has already, and a letter folded to itself, are let pass."""
    assert load_folds(["insular"], [("ꞅ", "s"), ("a", "a")]) == load_folds(["insular"])


def test_published_pairs_in_their_directions() -> None:
    """S read as r is published with its direction (vHMML School, Insular Scripts, sec. 1)."""
    pairs = published_pairs("insular")
    assert ("ꞅ", "ꞃ") in pairs
    assert pairs < published_pairs()
    assert published_pairs("no such script") == frozenset()


def test_pairs_without_direction_hold_both_ways() -> None:
    """Lindsay (1896, VI 3) names n and insular s without a direction: both are given."""
    pairs = published_pairs("insular")
    assert {("ꞅ", "n"), ("n", "ꞅ")} <= pairs
    undirected = [
        row for row in published_table("letter_confusions.tsv", ("id",)) if row["direction"] == "pair"
    ]
    for row in undirected:
        one, other = encode(row["original"]), encode(row["misread"])
        assert {(one, other), (other, one)} <= published_pairs(row["script"])


def test_published_confusions_can_be_cited() -> None:
    """Every published confusion names its source and whether it was read."""
    (found,) = (
        confusion
        for confusion in published_confusions("insular")
        if (confusion.original, confusion.misread) == ("ᵹ", "z")
    )
    assert "Lindsay 1896" in found.source
    for confusion in published_confusions():
        assert confusion.source and confusion.basis
        assert confusion.original or confusion.misread


def test_known_scripts() -> None:
    """The scripts of the confusion table are the scripts a dossier may name."""
    assert {"insular", "caroline", "gothic_textualis"} <= set(known_scripts())


@pytest.mark.parametrize(
    ("letter", "value"), [("ꞅ", "s"), ("ſ", "s"), ("ı", "i"), ("ƿ", "ƿ"), ("þ", "þ"), ("ꝿ", "ꝿ")]
)
def test_letterforms(letter: str, value: str) -> None:
    """Letterforms give their letter; letters of their own (ƿ, þ) and turned g stay."""
    assert letterform_value(letter) == value


@pytest.mark.parametrize(
    ("sign", "expansions"),
    [
        ("⁊", ("and", "et", "ond")),
        ("ꝑ", ("per",)),
        ("ꝫ", ("et", "que")),
        ("ꝰ", ("us",)),
        ("ū", ("um", "un")),
        ("ę̄", ()),
        ("a", ()),
        ("ꝥ", ("þæt",)),
    ],
)
def test_abbreviations(sign: str, expansions: tuple[str, ...]) -> None:
    """Abbreviation signs and strokes above a letter give what they may stand for."""
    assert abbreviation_expansions(encode(sign)) == expansions


def test_data_folders() -> None:
    """The published tables are found; an unknown folder is an error that says what to do."""
    assert (data_folder("confusion_tables") / "folds.tsv").is_file()
    with pytest.raises(DataError, match="install fidelity again"):
        data_folder("no_such_tables")


def test_data_folder_inside_a_wheel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the package carries its data inside itself, they are found there, else beside it."""
    package = tmp_path / "fidelity"
    (tmp_path / "demo_pairs").mkdir()
    (package / "_data" / "confusion_tables").mkdir(parents=True)
    monkeypatch.setattr("fidelity.witnesses.data._PACKAGE", package)
    assert data_folder("confusion_tables") == package / "_data" / "confusion_tables"
    assert data_folder("demo_pairs") == tmp_path / "demo_pairs"


def test_published_table_must_have_its_columns() -> None:
    """A table without a column that is needed is refused by name."""
    with pytest.raises(DataError, match="lacks nothing_such"):
        published_table("folds.tsv", ("set", "nothing_such"))
    with pytest.raises(DataError, match="missing"):
        published_table("none.tsv", ())
