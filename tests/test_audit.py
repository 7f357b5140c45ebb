"""The whole chain on the two demo dossiers: what must be found, and what must not be claimed."""

from __future__ import annotations

import csv
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest
from lxml import etree
from rapidfuzz.distance import Levenshtein

import fidelity
from fidelity.alignment.align import align_witnesses
from fidelity.apparatus.collated import collated_text
from fidelity.apparatus.edition import edition
from fidelity.audit import Audit, hold_out_survivors, learner_of, readings_of
from fidelity.confusions.measure import evidence
from fidelity.copyist.tagging import normalise, tag_alignment
from fidelity.readings.apply import apply_readings
from fidelity.terms import TAKEN, Cause, Phenomenon
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.tei import read_tei
from tests.apparatus.test_edition import check_witnesses
from tests.tei_schema import faults

ROOT = Path(__file__).resolve().parent.parent
KEY = ROOT / "tests" / "demo_key"


@cache
def audited(name: str) -> Audit:
    return fidelity.audit(ROOT / "demo_pairs" / name)


def test_the_commonest_confusion_of_the_short_demo() -> None:
    """ꞅ→r stands first, thirteen times, of 41 chances: those skipped, replaced or in Latin are none."""
    first = audited("wickenby_short").confusions[0]
    assert (first.original, first.copy, first.folded) == ("ꞅ", "r", "s→r")
    assert (first.count, first.chances) == (13, 41)
    assert first.systematic


def test_other_confusions_of_the_short_demo() -> None:
    """ꞃ→n five times, ƿ→p four, ꞇ→c four, þ→p and a→u once, as planted (OE letters only)."""
    counts = {(c.original, c.copy): c.count for c in audited("wickenby_short").confusions}
    planted = {("ꞃ", "n"): 5, ("ƿ", "p"): 4, ("ꞇ", "c"): 4, ("þ", "p"): 1, ("a", "u"): 1}
    assert {pair: counts.get(pair) for pair in planted} == planted


def test_a_letter_never_met_gives_no_evidence() -> None:
    """The survivors have no ð: of ð→d the tool says "no evidence", never "never"."""
    counts = audited("wickenby_short").counts
    assert evidence(counts, "ð", "d") == "no evidence"
    assert "0 of" in evidence(counts, "m", "x")


def test_base_rate_of_the_short_demo() -> None:
    """Of the r he wrote for English letters a quarter were ꞅ, though ꞅ→r is his commonest fault."""
    first = audited("wickenby_short").confusions[0]
    assert first.p_original_given_copy == pytest.approx(13 / (13 + 39), abs=0.01)
    assert first.rate > first.p_original_given_copy


@pytest.mark.parametrize(
    ("name", "lacking"),
    [
        ("wickenby_short", {Cause.MODERNISED, Cause.NASAL_STROKE}),
        ("wickenby_long", {Cause.MODERNISED, Cause.NASAL_STROKE, Cause.LATER_HAND, Cause.SUPPLIED}),
    ],
)
def test_what_was_not_tested_is_listed_and_claimed_nowhere(name: str, lacking: set[Cause]) -> None:
    """Tests that lack their input are listed with what they need, as are those not made yet; none fits."""
    found = audited(name)
    listed = {Cause(line.split(":")[0]) for line in found.skipped if not line.startswith("drift")}
    assert listed == lacking | {Cause.IMPORTED, Cause.ASSIMILATION}
    assert all(" needs " in line or "later version" in line for line in found.skipped)
    given = {variant.cause for variant in found.variants}
    rivals = {cause for variant in found.variants for cause in variant.other_causes}
    assert not listed & (given | rivals)
    with_help = {"ope_codicum"} if found.dossier.witnesses else set()
    assert {reading.ground for reading in found.readings} <= {"ope_ingenii", *with_help}


@pytest.mark.parametrize("name", ["wickenby_short", "wickenby_long"])
def test_the_edition_is_valid_and_holds_every_witness(name: str, schema: etree.RelaxNG) -> None:
    """The edition file of a demo is valid TEI, and the copy and every other witness are had back from it."""
    found = audited(name)
    document = edition(found)
    assert faults(schema, document) == []
    for lost in found.dossier.lost:
        collated = collated_text(found.dossier, lost)
        check_witnesses(document, collated)
        assert read_tei(document)[0].letters == lost.copy.letters


@pytest.mark.parametrize("name", ["wickenby_short", "wickenby_long"])
def test_the_lost_original_is_out_of_reach(name: str) -> None:
    """No file of the demo, and nothing that was read, holds the lines of the lost originals."""
    key = KEY / ("X_original.txt" if "short" in name else "long_original.txt")
    lost_lines = {
        line for line in key.read_text(encoding="utf-8").splitlines() if "ꞅ" in line and len(line) > 30
    }
    for file in (ROOT / "demo_pairs").rglob("*"):
        if file.is_file():
            there = set(file.read_text(encoding="utf-8").splitlines())
            assert len(lost_lines & there) <= len(lost_lines) // 50, file  # formulae may be common


def test_planted_changes_are_found_in_the_long_demo() -> None:
    """Of what the key says was planted in the survivors nearly all is found at its line, cause and all."""
    found = audited("wickenby_long")
    originals = {s.id: s.original for s in found.dossier.survivors}
    at_line = defaultdict(set)
    for variant in found.variants:
        line = originals[variant.text].line_of(variant.original_span[0]) + 1
        cause = "division" if variant.phenomenon is Phenomenon.DIVISION else str(variant.cause)
        at_line[variant.text, line].add(cause)
    with (KEY / "long_key.tsv").open(encoding="utf-8") as lines:
        key = [row for row in csv.DictReader(lines, delimiter="\t") if row["text"] in originals]
    met = [at_line[row["text"], int(row["line"])] for row in key]
    assert sum(bool(causes) for causes in met) >= len(key) - 2
    told = [
        (row["mechanism"], causes) for row, causes in zip(key, met, strict=True) if row["mechanism"] != "slip"
    ]
    assert sum(mechanism in causes for mechanism, causes in told) >= 0.95 * len(told)


def test_proposals_for_the_long_demo() -> None:
    """Applying all at 0.5 or more takes wrong letters away; those at 0.9 are right nine times in ten."""
    found = audited("wickenby_long")
    (lost,) = found.dossier.lost
    folds = found.dossier.folds
    original = read_witness(KEY / "long_original.txt")
    truth = " ".join(normalise(original.letters, folds).split())
    before = Levenshtein.distance(" ".join(lost.copy.letters.split()), truth)
    text, changes = apply_readings(lost.copy, found.readings, 0.5, folds)
    lines = [line for line in text.splitlines() if not line.startswith("[")]
    after = Levenshtein.distance(" ".join(" ".join(lines).split()), truth)
    assert changes
    assert after <= 0.7 * before
    tagged = tag_alignment(align_witnesses(original, lost.copy, folds), folds)
    sure = [r for r in found.readings if r.probability >= 0.9 and r.kind != "letter"]
    right = [r for r in sure if tagged.original(*r.copy_span) == folds.fold(r.proposed)]
    assert len(sure) >= 50
    assert len(right) >= 0.9 * len(sure)


@pytest.mark.parametrize("name", ["wickenby_short", "wickenby_long"])
def test_every_proposal_replays(name: str) -> None:
    """Each proposal names letters that stand in the copy; rivals and proposal sum to at most 1."""
    found = audited(name)
    copies = {lost.id: lost.copy for lost in found.dossier.lost}
    for reading in found.readings:
        start, end = reading.copy_span
        assert copies[reading.text].letters[start:end] == reading.transmitted
        assert reading.proposed != reading.transmitted
        shared = sum(p for _, p in reading.alternatives)
        assert shared + (reading.probability if reading.is_proposal else 0) <= 1 + 1e-9
        assert reading.transmitted in {text for text, _ in reading.alternatives}
        assert bool(reading.steps) is (reading.is_proposal and reading.kind != TAKEN)
        assert 0 <= reading.count <= reading.chances


def test_a_suspect_place_has_no_proposal() -> None:
    """It is corrupt more probably than not, names what stands there, and is never put into a text.

    Such marks are made where, blind, they were right as often as not; where they are not wanted, none is.
    """
    found = audited("wickenby_long")
    assert found.trial is not None
    marked = found.trial.suspects
    assert marked is not None
    assert marked.places > 20
    assert marked.hold == (2 * marked.corrupt >= marked.places)
    learner = learner_of(found)
    held = hold_out_survivors(found, learner, lambda _: None)
    suspects = [one for one in found.readings if not one.is_proposal]
    assert bool(suspects) == marked.hold
    _, readings = readings_of(found, learner, held, lambda _: None, mark_suspects=not marked.hold)
    others = [one for one in readings if not one.is_proposal]
    assert bool(others) != marked.hold
    suspects += others
    assert all(one.verdict == "suspect" and one.kind == "corrupt" and not one.proposed for one in suspects)
    for one in suspects:
        assert one.probability >= 0.5
        assert dict(one.alternatives)[one.transmitted] == pytest.approx(1 - one.probability)
    copy = found.dossier.lost[0].copy
    own = [one for one in suspects if one.text == copy.siglum]
    assert apply_readings(copy, own, at_least=0.0)[1] == []


def test_passages_in_another_language_teach_nothing() -> None:
    """The Latin of the charter and the lemmas are scored, but the model of an English text is not theirs."""
    found = audited("wickenby_long")
    assert any("passages in la" in note for note in found.notes)
    assert found.trial is not None
    glossary = next(s for s in found.dossier.survivors if s.id == "G")
    lemmas = {
        line.split("\t")[0] for line in map(glossary.copy.text_of_line, range(len(glossary.copy.lines)))
    }
    tested = {one.transmitted for one in found.trial.readings if one.survivor == "G" and not one.single}
    assert not tested & lemmas
    assert any(variant.text == "G" and variant.locus.word == 1 for variant in found.variants)


def test_counts_never_exceed_chances() -> None:
    """In no score, confusion or pattern are there more errors than chances."""
    for name in ("wickenby_short", "wickenby_long"):
        found = audited(name)
        assert all(score.errors <= score.chances for score in found.scores)
        assert all(confusion.count <= confusion.chances for confusion in found.confusions)
        assert all(pattern.count <= pattern.chances for pattern in found.patterns)
        limits = [(one.low, one.high) for one in found.scores]
        limits += [(one.low, one.high) for one in found.confusions]
        limits += [(one.low, one.high) for one in found.patterns]
        assert all(0 <= low <= high <= 1 for low, high in limits)


def test_ranges_are_what_the_blind_test_bears_out() -> None:
    """Each proposal's range is from like proposals of the blind test; a figure stands within its range."""
    found = audited("wickenby_long")
    assert found.trial is not None
    kinds = {one.kind for one in found.trial.readings}
    assert {"habit", "misreading"} <= kinds
    proposed = [one for one in found.readings if one.is_proposal]
    for one in proposed:
        near = [
            other
            for other in found.trial.readings
            if other.single == one.single and abs(other.probability - one.probability) <= 0.11
        ]
        assert one.tried <= len(near)
        assert one.tried_right <= sum(other.right for other in near)
        if one.tried and (one.tried_kind or not one.tried_of_kind):  # else its kind has its say in the range
            assert one.probability_low <= one.tried_right / one.tried <= one.probability_high
        if one.borne_out:
            assert one.probability_low <= one.probability <= one.probability_high
    assert {one.borne_out for one in proposed} == {True, False}


def test_habits_and_misreadings_are_kinds_of_their_own() -> None:
    """In the long demo th for þ was planted as a habit, letters misread: so they are named and scored."""
    found = audited("wickenby_long")
    assert found.trial is not None
    habits = [one for one in found.trial.readings if one.kind == "habit" and one.right]
    assert sum("þ" in one.proposed and "th" in one.transmitted for one in habits) > 0.9 * len(habits) > 20
    scored = {one.kind: one for one in found.trial.kind_precisions if one.at_least == 0.5}
    for kind in ("habit", "misreading"):
        assert scored[kind].proposals == sum(
            one.kind == kind and one.probability >= 0.5 for one in found.trial.readings
        )
        assert scored[kind].wrong_places > 50
