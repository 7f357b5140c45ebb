"""The witnesses of a dossier set side by side by ``attest``, with the short demo and the long one."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.apparatus.screen_attest import attest_screen
from fidelity.cli import main
from fidelity.errors import DataError, UsageError
from fidelity.witnesses.data import data_folder
from tests.scenario.laid_out import SHORT, audited, laid_out


def test_a_dossier_has_what_the_audit_has() -> None:
    """The readings are those of attestation.csv; C, K and W are counted."""
    found = fidelity.attest(SHORT)
    assert found.readings == audited().attestation
    assert found.sources == 3
    assert not any(note.startswith("Note") for note in found.cautions)  # of K and W there is none


def test_the_command_prints_every_place_and_who_has_no_vote() -> None:
    """Text and JSON have the places; a reading that ends in a stop is told with one stop."""
    done = CliRunner().invoke(main, ["attest", str(laid_out("KWT"))])
    assert done.exit_code == 0
    told = " ".join(done.output.split())
    assert "No vote: C, copied from K (8.8-10.9, found, not declared); it has cwed. No vote: T" in told
    assert "No vote: T, copied from C (declared); it has pende." in told
    rows = json.loads(CliRunner().invoke(main, ["attest", str(SHORT), "--json"]).output)["readings"]
    assert [row["reading"] for row in rows if row["locus"] == "X 15.3"] == ["pyrige", "pintreow"]


def test_a_note_on_a_witness_is_told() -> None:
    """A witness that cannot be collated is named, and what concerns no witness is left to the audit."""
    folder = laid_out("W")
    file = folder / "dossier.toml"
    verses = "quod licet iovi non licet bovi immo vero quisque suum pondus fert semper\n" * 3
    (folder / "W.txt").write_text(verses, encoding="utf-8")
    text = file.read_text(encoding="utf-8").replace('file = "W.txt"\nnumbered = true', 'file = "W.txt"')
    file.write_text(text, encoding="utf-8")
    found = fidelity.attest(folder)
    assert found.readings == () and found.cautions[0] == "There is no place at which the witnesses differ."
    (note,) = [one for one in found.cautions if one.startswith("Note")]
    assert "W (W.txt) has nothing in common" in note
    assert "nothing in common" in attest_screen(found, 200)


def test_without_another_witness_it_says_what_to_do() -> None:
    """A dossier that names none, and options that a dossier settles itself, are refused."""
    with pytest.raises(DataError, match="names no other witness of a lost text"):
        fidelity.attest(data_folder("demo_pairs") / "wickenby_long")
    with pytest.raises(UsageError, match="a dossier says itself"):
        fidelity.attest(SHORT, rate=4)
    assert CliRunner().invoke(main, ["attest", str(SHORT), "--fold", "insular"]).exit_code == 2
