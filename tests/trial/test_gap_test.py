"""From signs in his copies to readings: the short demo with marks put into its copies, from end to end."""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from fidelity.apparatus.applied import AS_TRANSMITTED, apply_folder
from fidelity.apparatus.folder import write_audit
from fidelity.audit import audit
from fidelity.judge import Audit
from fidelity.place import place
from fidelity.terms import GAP, MarkKind, TrialReading
from fidelity.terms.witness import Locus
from fidelity.trial.support import Supporter
from fidelity.witnesses.data import data_folder
from tests.trial.test_support import trial_of

SHORT = data_folder("demo_pairs") / "wickenby_short"
TABLE = """
[his_marks]
letter_unread = ["."]
doubtful = ["(?)"]
vouched = ["[sic]"]
"""
CHANGES = {  # what stands in the copies, and what is put there with his marks
    "B/copy.txt": {"þone fot": "þo.. fot", "calþe.": "calþe(?).", "hworcan.": "hworcan(?)."},
    "E/copy.txt": {"ryndon": "ryndon(?)", "broces": "broces[sic]", "on þa greatan": "on þa(?) greatan"},
    "X/copy.txt": {"genim wermoder": "g...m wermoder", "drincan": "dri..an", "swide": "swide(?)"},
}


def marked_demo(folder: Path) -> Path:
    """Lay out the short demo with marks of his in it."""
    there = folder / "demo"
    shutil.copytree(SHORT, there)
    for name, changes in CHANGES.items():
        text = (there / name).read_text(encoding="utf-8")
        for before, after in changes.items():
            assert before in text
            text = text.replace(before, after, 1)
        (there / name).write_text(text, encoding="utf-8")
    toml = there / "dossier.toml"
    toml.write_text(toml.read_text(encoding="utf-8") + TABLE, encoding="utf-8")
    return there


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Audit]:
    """Audit the demo with his marks."""
    folder = marked_demo(tmp_path_factory.mktemp("marks"))
    return folder, audit(folder)


def test_gaps_of_the_lost_text_are_filled(found: tuple[Path, Audit]) -> None:
    """By known words, with none of these among their rivals, and numbered in the order of the text."""
    _, audited = found
    gaps = [one for one in audited.readings if one.kind == GAP]
    assert [(str(one.locus), one.transmitted, one.proposed) for one in gaps] == [
        ("X 11.4", "g▯▯▯m", "genim"),
        ("X 12.12", "dri▯▯an", "drincan"),
    ]
    for one in gaps:
        rivals = dict(one.alternatives)
        assert one.probability + sum(rivals.values()) <= 1 + 1e-9
        assert "none of these" in rivals
        assert "letters as lost" in one.note
        assert (one.probability_low, one.probability_high) == _range(audited, one.probability)
    assert [one.number for one in audited.readings] == list(range(1, len(audited.readings) + 1))


def _range(audited: Audit, p: float) -> tuple[float, float]:
    support = Supporter(audited.trial).of(p, GAP, single=False)
    return support.low, support.high


def test_gaps_are_tried_blind_apart_from_all_else(found: tuple[Path, Audit]) -> None:
    """Their figures stand by themselves, and no figure of all kinds takes them in."""
    trial = found[1].trial
    assert trial is not None
    assert [(str(one.locus), one.proposed, one.right) for one in trial.gaps] == [("B 8.3", "þone", True)]
    assert all(one.kind != GAP for one in trial.readings)
    (half, *_) = [one for one in trial.kind_precisions if one.kind == GAP]
    assert half.wrong_places == 2  # the one in B, and the gap that the demo has in G
    everything = [one for one in trial.precisions if one.at_least == half.at_least]
    assert everything[0].proposals == sum(one.probability >= half.at_least for one in trial.readings)


def test_what_was_tried_elsewhere_says_nothing_of_gaps() -> None:
    """Three hundred other proposals bear no gap out; three gaps leave a wide range."""
    other = [
        TrialReading("A", Locus("A", "1"), "x", "y", "y", 0.8, at % 5 > 0, False, page=f"A {at % 9}")
        for at in range(300)
    ]
    none = Supporter(trial_of(other)).of(0.8, GAP, single=False)
    assert (none.tried, none.low, none.high) == (0, 0.0, 1.0)
    gaps = [TrialReading("A", Locus("A", "1"), "x", "y", "y", 0.8, True, False, kind=GAP) for _ in range(3)]
    some = Supporter(replace(trial_of(other), gaps=tuple(gaps))).of(0.8, GAP, single=False)
    assert (some.tried, some.right, some.kind) == (3, 3, GAP)
    assert some.low < 0.5


def test_doubts_bear_on_readings_and_are_told(found: tuple[Path, Audit]) -> None:
    """The evidence of a reading of a queried word says what his queries are worth."""
    _, audited = found
    at = audited.dossier.lost[0].copy.letters.index("swide")
    here = [one for one in audited.readings if one.copy_span[0] <= at + 3 < one.copy_span[1] + 1]
    told = [clause for one in here for clause in one.beside]
    for clause in told:
        assert clause.startswith("he queries the word; of 4 words of the survivors so marked 3 are wrong")
    rates = {one.measure: (one.count, one.chances) for one in audited.flag_rates}
    assert rates["queried words that are wrong"] == (3, 4)
    assert rates["vouched words that are right"] == (1, 1)
    assert rates["gaps whose number of letters is right"] == (1, 1)


def test_tables_summary_and_page_tell_of_his_marks(found: tuple[Path, Audit], tmp_path: Path) -> None:
    """Each mark has a row; the page has a section; the summary counts."""
    _, audited = found
    write_audit(audited, tmp_path / "out")
    with (tmp_path / "out" / "flagged.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    kinds = [row["kind"] for row in rows if row["text"] == "X"]
    assert kinds == [str(one) for one in (MarkKind.DOUBT, MarkKind.UNREAD, MarkKind.UNREAD)]
    assert [row["original"] for row in rows if row["text"] == "X"] == ["", "", ""]
    facts = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert facts["his_marks"]["by_text"]["X"] == {"doubt": 1, "unread": 2}
    assert "His own marks" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_a_place_tells_of_the_marks_on_it(found: tuple[Path, Audit]) -> None:
    """Of a queried word that he queries it; of a gap which words may have stood there."""
    folder, _ = found
    queried = place(folder, "X 2.6")
    assert [one.sign for one in queried.marks] == ["(?)"]
    gap = place(folder, "X 11.4", "genim")
    (unit,) = gap.units
    assert unit.proposals[0].kind == GAP
    assert unit.rivals[0].reading.proposed == "genim"
    assert unit.rivals[0].conjectures
    assert sum(one.reading.probability for one in unit.rivals) == pytest.approx(1, abs=0.2)


def test_the_copy_stays_as_transmitted_and_can_be_edited(found: tuple[Path, Audit], tmp_path: Path) -> None:
    """The results keep the copy with its signs, to the letter; applying puts words into its gaps."""
    folder, audited = found
    write_audit(audited, tmp_path / "out")
    written = (tmp_path / "out" / "texts" / "X.txt").read_text(encoding="utf-8")
    assert written == (folder / "X" / "copy.txt").read_text(encoding="utf-8")
    apply_folder(tmp_path / "out", 0.3, tmp_path / "edited")
    edited = (tmp_path / "edited" / "X.txt").read_text(encoding="utf-8")
    likely = [one for one in audited.readings if one.kind == GAP and one.probability >= 0.3]
    assert likely
    assert all(one.proposed in edited for one in likely)
    assert (tmp_path / "edited" / f"X{AS_TRANSMITTED}.txt").read_text(encoding="utf-8") == written
