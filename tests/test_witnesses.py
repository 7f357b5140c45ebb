"""Other witnesses of the demo's lost text, from dossier to proposals; items of its scenario are named."""

from __future__ import annotations

import csv
import json
import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest

import fidelity
from fidelity.judge import Audit
from fidelity.readings.other_witnesses import OtherWitnesses, of_the_unit_alone
from fidelity.readings.traditions import traditions_of, witness_rate
from fidelity.sources.descent import Voice
from fidelity.terms import LOST_LETTER, ProposedReading
from fidelity.terms.attestation import DependentStretch
from fidelity.witnesses.data import data_folder
from tests.benchmarks.plain_copies import dossier_of
from tests.benchmarks.witnesses import Way, with_witnesses
from tests.planted_plain import plain_copies

WITH_T = '\n[[witness]]\nsiglum = "T"\nof = "X"\nfile = "T.txt"\ndepends_on = "C"\ndate = "1762"\n'
FROM_K = 'depends_on = [{ siglum = "K", from = "X 8", to = "10" }]\n'


def laid_out(without: str = "", with_t: bool = False, from_k: bool = False) -> Path:
    """Lay out the short demo dossier, some of its witnesses left out or T, a copy of C, added."""
    folder = Path(mkdtemp()) / "dossier"
    shutil.copytree(data_folder("demo_pairs") / "wickenby_short", folder)
    file = folder / "dossier.toml"
    parts = file.read_text(encoding="utf-8").split("[[witness]]")
    parts = [parts[0], *(part for part in parts[1:] if f'siglum = "{without}"' not in part)]
    text = "[[witness]]".join(parts)
    if from_k:
        text = text.replace('copy = "X/copy.txt"\n', 'copy = "X/copy.txt"\n' + FROM_K)
    if with_t:
        copied = (folder / "X" / "copy.txt").read_text(encoding="utf-8").replace("þæ", "thæ")
        (folder / "T.txt").write_text(copied, encoding="utf-8")
        text += WITH_T
    file.write_text(text, encoding="utf-8")
    return folder


@cache
def audited(without: str = "", with_t: bool = False, from_k: bool = False) -> Audit:
    """Audit the demo, some of its witnesses left out or T, a copy of C, added."""
    return fidelity.audit(laid_out(without, with_t, from_k))


def at(audit: Audit, locus: str) -> list[ProposedReading]:
    """Give what is proposed at a place."""
    return [one for one in audit.readings if str(one.locus) == f"X {locus}"]


def test_x15_is_decided_by_w() -> None:
    """Scenario, item 4: with W X.15 is ope codicum, pirus · pyrige."""
    found = audited()
    (lemma,) = at(found, "15.1")
    (gloss,) = at(found, "15.3")
    assert (lemma.proposed, lemma.ground, lemma.verdict) == ("pirus", "ope_codicum", "proposed")
    assert (gloss.proposed, gloss.ground, gloss.verdict) == ("pyrige", "ope_codicum", "proposed")
    assert gloss.beside == ("W reads pyrige",)


def test_x15_is_undecided_without_w() -> None:
    """Scenario, item 4: without W nothing at X.15 is ope codicum, and no reading of a word is settled."""
    found = audited(without="W")
    here = at(found, "15.1") + at(found, "15.3")
    assert {one.ground for one in here} <= {"ope_ingenii"}
    assert not [one for one in here if not one.single and one.verdict == "proposed"]


def test_t_has_no_vote() -> None:
    """T, copied from C, changes no probability; the table says that it is set aside, and why."""
    with_t, without = audited(with_t=True), audited()
    probabilities = [
        [(str(one.locus), one.proposed, one.probability) for one in some.readings]
        for some in (with_t, without)
    ]
    assert probabilities[0] == probabilities[1]
    repeats = [one for one in with_t.attestation if "T" in one.witnesses]
    assert repeats
    assert all(("T", "copied from C (declared)") in one.set_aside for one in repeats)
    assert all("T" not in one.lines for one in with_t.attestation)
    own = next(one for one in with_t.attestation if one.reading == "thæne")
    assert own.lines == ()


def test_k_and_the_copy_are_one_vote_where_it_was_copied_from_k() -> None:
    """Where X.8-10 comes from K, declared or found, K and C together do not outweigh W."""
    declared, found = audited(from_k=True), audited()
    one = next(one for one in declared.attestation if one.reading == "songanges")
    two = next(one for one in found.attestation if one.reading == "songanges")
    assert one.lines == two.lines == ("K",)
    assert one.set_aside == (("C", "copied from K (8.1-10.10, declared)"),)
    assert two.set_aside == (("C", "copied from K (8.8-10.9, found, not declared)"),)
    assert one.likelihood_ratio == pytest.approx(1.0, abs=0.01)  # K against W
    for audit in (declared, found):
        (here,) = at(audit, "8.8")  # one against one: it is for the editor
        assert (here.transmitted, here.proposed, here.ground) == ("songanges", "sunganges", "ope_codicum")
        assert here.verdict == "possible"
    outside = next(one for one in declared.attestation if one.reading == "fæste")
    assert outside.lines == ("C", "W")


def test_a_stretch_that_was_found_counts_as_one_that_was_declared() -> None:
    """What is found to be taken from K has the same effect, and the table says that it was only found."""
    found = audited()
    start = found.dossier.lost[0].copy.letters.index("cwed.")
    place = start, start + len("cwed.")
    stretch = DependentStretch("K", (230, 401), "8.1-10.10", found=True)
    known = traditions_of(found.dossier, found.alignments, {"X": [stretch]})
    beside = OtherWitnesses(known.by_text).lost("X")
    assert beside is not None
    telling = beside.at(*place)
    assert telling is not None
    assert "C, copied from K (8.1-10.10, found, not declared), has no vote" in telling.told


def test_places_without_another_witness_are_as_they_were() -> None:
    """In X.5-7 and X.11-12, which no witness has, nothing is changed by there being witnesses elsewhere."""
    alone = fidelity.audit(_without_witnesses())
    for line in ("5", "6", "7", "11", "12"):
        here = [[one for one in some.readings if one.locus.line == line] for some in (audited(), alone)]
        assert [(one.proposed, one.probability) for one in here[0]] == [
            (one.proposed, one.probability) for one in here[1]
        ]
    assert alone.attestation == ()


def _without_witnesses() -> Path:
    folder = laid_out(without="K")
    file = folder / "dossier.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[witness]]")], encoding="utf-8")
    return folder


def test_a_place_says_what_the_audit_says() -> None:
    """The readings of a place have the probabilities that the audit gives them."""
    found = fidelity.place(laid_out(), "X 15.3")
    rival = next(one for one in found.units[0].rivals if one.reading.proposed == "pyrige")
    (proposal,) = at(audited(), "15.3")
    assert rival.reading.probability == pytest.approx(proposal.probability)
    assert rival.reading.ground == "ope_codicum"
    assert sum(one.reading.probability for one in found.units[0].rivals) <= 1 + 1e-9


def test_the_files_tell_of_it(tmp_path: Path) -> None:
    """attestation.csv, the summary and the page name the lines, the votes set aside, and the caution."""
    from fidelity.apparatus.folder import write_audit

    write_audit(audited(with_t=True), tmp_path / "out")
    with (tmp_path / "out" / "attestation.csv").open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    wende = next(row for row in rows if row["reading"] == "wende")
    assert (wende["locus"], wende["witnesses"], wende["independent_lines"]) == ("X 2.3", "K; W", "2")
    assert "assumed" in wende["assumptions"]
    pende = next(row for row in rows if row["reading"] == "pende")
    assert pende["set_aside"] == "T: copied from C (declared)"
    told = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["attestation"]
    assert told["without_a_vote"] == [
        "C: copied from K (8.8-10.9, found, not declared)",
        "T: copied from C (declared)",
    ]
    assert told["proposed_ope_codicum"] == sum(
        one.ground == "ope_codicum" for one in audited(with_t=True).readings
    )
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "What the witnesses read" in page
    assert "it does not announce the truth" in page


def test_a_witness_seen_on_a_survivor_has_a_rate_of_its_own() -> None:
    """K also transmits B, with two letters wrong: its rate is drawn from there towards what is assumed."""
    folder = laid_out()
    original = (folder / "B" / "original.txt").read_text(encoding="utf-8").replace("⸌", "").replace("⸍", "")
    lines = [line for line in original.replace("[", "").replace("]", "").split("\n") if line]
    lines[0] = lines[0].replace("leaꝼ", "laaꝼ")
    lines[1] = lines[1].replace("hnol", "hnul")
    (folder / "B" / "K.txt").write_text("\n".join(lines), encoding="utf-8")
    with (folder / "dossier.toml").open("a", encoding="utf-8") as opened:
        opened.write('\n[[witness]]\nsiglum = "K"\nof = "B"\nfile = "B/K.txt"\n')
    dossier = fidelity.check(folder)
    rate = witness_rate(dossier, "K")
    wrong, total = (int(word) for word in rate.basis.split(" in ")[0].split(" of "))
    assert wrong == 2
    assert rate.basis.endswith("in B")
    assert rate.per_1000 == pytest.approx(1000 * (2 + 5.0) / (total + 1000))
    assert witness_rate(dossier, "W").basis == "assumed"


def test_a_copy_of_the_copy_is_suspected_though_nobody_has_said_so() -> None:
    """Of two witnesses of a plain copy the one made from it shares its errors and is named, the other not."""
    case = plain_copies(101)
    way = Way("both", (5.0,), of_copy=True)
    texts = (case.lost.original, case.lost.copy)
    found = fidelity.audit(with_witnesses(dossier_of(case, "none"), way, *texts, seed=101))
    suspected = [note for note in found.notes if "may be a copy of" in note]
    assert len(suspected) == 1
    assert suspected[0].startswith("L: K1 may be a copy of C (it agrees with ")
    assert any("K1 may be a copy of C" in one.assumptions for one in found.attestation)


def test_a_witness_of_another_text_is_left_out_with_a_note() -> None:
    """What cannot be collated ends no audit: it is told, and has no effect."""
    folder = laid_out(without="K")
    verses = "quod licet iovi non licet bovi immo vero quisque suum pondus fert semper\n" * 3
    (folder / "W.txt").write_text(verses, encoding="utf-8")
    file = folder / "dossier.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('file = "W.txt"\nnumbered = true', 'file = "W.txt"'), encoding="utf-8")
    found = fidelity.audit(folder)
    assert found.attestation == ()
    assert any("W (W.txt) has nothing in common" in note for note in found.notes)


def test_word_answers_word_at_a_place_of_several() -> None:
    """Where all witnesses have as many words, each word is judged by itself; else the place is one."""
    voices = [Voice("C", "iiii foure"), Voice("T", "vi sixe"), Voice("U", None)]
    alone = of_the_unit_alone(voices, ("", " foure"), ".iiii.")
    assert alone is not None and [one.reading for one in alone] == ["iiii", "vi", None]
    second = of_the_unit_alone(voices, (".iiii. ", ""), "foure")
    assert second is not None and [one.reading for one in second] == ["foure", "sixe", None]
    assert of_the_unit_alone([*voices, Voice("W", "vi")], ("", " foure"), ".iiii.") is None
    assert of_the_unit_alone([*voices, Voice("W", "v" + LOST_LETTER)], ("", " foure"), ".iiii.") is None
    assert of_the_unit_alone(voices, ("", ""), ".iiii. foure") is None
