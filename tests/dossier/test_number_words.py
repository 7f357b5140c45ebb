"""Number words that a dossier declares: read, refused at their cells, and reckoned with throughout."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from fidelity.cli import main
from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.judge import judge
from fidelity.pairs import Pairs
from fidelity.terms import Cause
from fidelity.terms.parallels import PairKind

ORIGINAL = "a hous and .v. fyue horſ\nþe toun and .vii. seuene swerd\nþis wode and .v. fyue ship\n"
COPY = "a hous and .ii. tuo horſ\nþe toun and .vii. seuene swerd\nþis wode and .v. fyue ship\n"
LOST = "a tre and .ii. tuo leues\n"
NUMBERS = '[[parallel]]\nnumbers = "numbers.tsv"\n'


def dossier_with(folder: Path, table: str, more: str = NUMBERS) -> Path:
    """Write a dossier in a language of which no number words are known."""
    for name, text in (("o.txt", ORIGINAL), ("c.txt", COPY), ("z.txt", LOST), ("numbers.tsv", table)):
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "dossier.toml").write_text(
        '[copyist]\nname = "he"\n[[survivor]]\nid = "E"\noriginal = "o.txt"\ncopy = "c.txt"\n'
        f'language = "enm"\n[[lost]]\nid = "Z"\ncopy = "z.txt"\nlanguage = "enm"\n{more}',
        encoding="utf-8",
    )
    return folder


def test_numeral_and_declared_word_are_changed_together(tmp_path: Path) -> None:
    """Without the table the word is another word by itself; with it the pair is one coupled change."""
    table = "value\tword\n5\tfyue\n2\tTuo\n7\tseuene\n"
    found = judge(read_dossier(dossier_with(tmp_path, table)))
    assert {one.cause for one in found.variants} == {Cause.COUPLED}
    (score,) = [one for one in found.scores if one.measure == Cause.COUPLED and one.text == "E"]
    assert score.errors and score.chances == 2  # letters of a pair changed as a whole offer no chance
    pairs = Pairs(found, ())
    (rate,) = [one for one in pairs.rates if one.kind is PairKind.NUMBER]
    assert (rate.pairs, rate.changed, rate.coupled) == (3, 1, 1)
    (pair,) = pairs.parallels(()).pairs
    assert (pair.transmitted, pair.may_be) == (".ii. tuo", (".u. fyue",))
    assert not any("number words" in note for note in found.notes)
    found = judge(read_dossier(dossier_with(tmp_path, table, "")))
    assert Cause.COUPLED not in {one.cause for one in found.variants}
    assert [
        note for note in found.notes if note.startswith("no number words are known for enm; numerals are")
    ]


@pytest.mark.parametrize(
    ("table", "what", "line", "column"),
    [
        ("value\tworde\n5\tfyue\n", "there is no column word", 1, 1),
        ("value\tword\n5\tfyue\nv\tsix\n", "v is no whole number", 3, 1),
        ("value\tword\n0\tnone\n", "0 is no whole number", 2, 1),
        ("value\tword\n25\tfyue and twenti\n", "“fyue and twenti” is more than one word", 2, 4),
        ("value\tword\n5\t\n", "there is no word", 2, 3),
        ("value\tword\n5\tfyue\n6\tFyue\n", "Fyue is 5 already", 3, 3),
    ],
)
def test_what_is_no_table_of_number_words(
    tmp_path: Path, table: str, what: str, line: int, column: int
) -> None:
    """Each fault is told at its cell."""
    with pytest.raises(DataError) as caught:
        read_dossier(dossier_with(tmp_path, table))
    (fault,) = caught.value.faults
    assert (fault.what, fault.line, fault.column) == (what, line, column)
    assert fault.remedy and fault.file and fault.file.name == "numbers.tsv"


def test_declared_totals_that_test_nothing_are_named(tmp_path: Path) -> None:
    """One that stands in no lost text, and one that has no sum to announce."""
    more = '[[parallel]]\ntotals = ["in all", "a tre"]\n'
    notes = judge(read_dossier(dossier_with(tmp_path, "", more))).notes
    assert "[[parallel]]: “in all” (totals) stands in no lost text" in notes
    assert any("“a tre” (totals) stands in Z, but nowhere with a number after it" in one for one in notes)


def test_check_tells_of_numbers_before_anything_is_compared(tmp_path: Path) -> None:
    """An editor learns when he checks the dossier, not after an audit."""
    room = dossier_with(tmp_path, "", "")
    told = CliRunner().invoke(main, ["check", str(room)]).output
    assert "no number words are known for enm" in told
