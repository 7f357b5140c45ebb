"""An editor's rules and what is declared of parallels: read at their places, or refused there."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError, Fault
from fidelity.terms import Circumstance
from fidelity.terms.parallels import OwnRule
from tests.dossier.test_conjectures import dossier_in

RULE = '[[rule]]\nfrom = "r"\nto = "s"\n'


def the_fault(folder: Path, more: str) -> tuple[Fault, str]:
    """Give the only fault, and the line it is shown in."""
    room = dossier_in(folder, more)
    with pytest.raises(DataError) as caught:
        read_dossier(room)
    (fault,) = caught.value.faults
    text = (room / "dossier.toml").read_text(encoding="utf-8").split("\n")
    assert fault.line is not None and fault.remedy
    return fault, text[fault.line - 1]


def test_a_rule_is_taken_at_its_places(tmp_path: Path) -> None:
    """Every r of the words named is a place decided; a division may be a rule."""
    more = (
        RULE + 'where = ["place=last", "text=X"]\ntext = "X"\ndecided = ["X 1.2", "2.4"]\nby = "E. Ditor"\n'
    )
    more += '[[rule]]\nfrom = " "\nto = ""\nreason = "he parts words"\n'
    first, second = read_dossier(dossier_in(tmp_path, more)).rules
    where = ((Circumstance.PLACE, "last"), (Circumstance.TEXT, "X"))
    assert first == OwnRule("r", "s", where, ("X",), (("X", 5), ("X", 33)), "", "E. Ditor")
    assert second == OwnRule(" ", "", reason="he parts words")


@pytest.mark.parametrize(
    ("more", "what", "shown"),
    [
        ('[[rule]]\nfrom = "r"\n', "[rule] lacks to", "[[rule]]"),
        ('[[rule]]\nfrom = "r"\nto = "r"\n', "from and to are the same", 'to = "r"'),
        ('[[rule]]\nfrom = ""\nto = "e"\n', "it would apply everywhere", 'from = ""'),
        (RULE + 'letter = "x"\n', "unknown key 'letter'", 'letter = "x"'),
        (RULE + 'where = "beside=e"\n', "unknown circumstance 'beside=e'", 'where = "beside=e"'),
        (RULE + 'where = ["place=middle"]\n', "unknown place 'middle'", 'where = ["place=middle"]'),
        (RULE + 'where = "after=st"\n', "it names one letter", 'where = "after=st"'),
        (RULE + 'where = "word=fyne"\n', "the word has no 'r'", 'where = "word=fyne"'),
        (RULE + 'where = "text=Q"\n', "no text of the dossier is so", 'where = "text=Q"'),
        (RULE + 'where = "script=gothic"\n', "no text of the dossier is so", 'where = "script=gothic"'),
        (RULE + 'where = ["after=e", "after=a"]\n', "cannot both hold", 'where = ["after=e", "after=a"]'),
        (RULE + 'text = "E"\n', "the original of E survives", 'text = "E"'),
        (RULE + 'text = "Q"\n', "no lost text Q", 'text = "Q"'),
        (RULE + 'decided = ["X 1.1"]\n', "'r' does not stand there", 'decided = ["X 1.1"]'),
        (RULE + 'decided = ["X 9.1"]\n', "no line 9", 'decided = ["X 9.1"]'),
        ("[[parallel]]\n", "[[parallel]] says nothing", "[[parallel]]"),
        ('[[parallel]]\ntotals = ["a"]\nfields = ["b", "c"]\n', "says fields and totals", "[[parallel]]"),
        ('[[parallel]]\nfields = ["lemma"]\n', "one field answers nothing", 'fields = ["lemma"]'),
        ('[[parallel]]\nparted_by = "·"\ntext = "Q"\n', "no lost text Q", 'text = "Q"'),
        ('[[parallel]]\nparted_by = "·"\nlines = "1-2"\n', "of which text", 'lines = "1-2"'),
        ('[[parallel]]\nparted_by = "·"\ntext = "X"\nlines = "1-7"\n', "X has no lines 1-7", 'lines = "1-7"'),
        ('[[parallel]]\ntotals = ["a"]\ntext = "X"\n', "nothing to say of totals", 'text = "X"'),
        ('[[parallel]]\npairs = "x.txt"\n', "has no columns one and other", 'pairs = "x.txt"'),
    ],
)
def test_what_can_never_hold_is_refused(tmp_path: Path, more: str, what: str, shown: str) -> None:
    """A rule that cannot apply and a parallel that says nothing are faults, each in its line."""
    fault, line = the_fault(tmp_path, more)
    assert what in fault.what and line == shown


def test_fields_that_no_table_has(tmp_path: Path) -> None:
    """Each unknown field is a fault of its own, with the fields there are."""
    room = dossier_in(tmp_path, '[[parallel]]\nfields = ["lemma", "gloss"]\n')
    with pytest.raises(DataError) as caught:
        read_dossier(room)
    assert [fault.what for fault in caught.value.faults] == [
        "no table has a field lemma",
        "no table has a field gloss",
    ]


def test_what_is_declared_of_parallels(tmp_path: Path) -> None:
    """Pairs from a table, words for a total, what parts the fields of lines."""
    (tmp_path / "pairs.tsv").write_text("one\tother\npirus\tpyrige\nacer\t\n", encoding="utf-8")
    more = '[[parallel]]\npairs = ["pairs.tsv"]\n[[parallel]]\ntotals = ["yn al"]\n'
    more += '[[parallel]]\nparted_by = "·"\ntext = "X"\nlines = "2"\n[[parallel]]\nparted_by = ":"\n'
    declared = read_dossier(dossier_in(tmp_path, more)).parallels
    assert declared.pairs == (("pirus", "pyrige"),)
    assert declared.totals == ("yn al",)
    assert declared.parted == (("X", (1, 2), "·"), ("", None, ":"))
