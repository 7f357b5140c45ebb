"""The editor's decisions over whole runs: they are applied, told when stale, and never lost."""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.apparatus.applied import left_alone
from fidelity.apparatus.sentences import three_sentences
from fidelity.apparatus.summary import summary
from fidelity.audit import learner_of
from fidelity.cli import main
from fidelity.dossier import Dossier, read_dossier
from fidelity.errors import DataError, UsageError
from fidelity.judge import Audit, judge
from fidelity.terms import Variant
from fidelity.terms.decisions import Decision, Ruling
from tests.fuzz.killed import kill_audits

DEMO = Path(__file__).resolve().parent.parent / "demo_pairs" / "wickenby_short"
TOLD: dict[str, Any] = {"reason": "as I see it", "who": "E. Ditor"}
ROWS = (  # of every kind one, on the short demo
    ("E 5.1", "not_his", "", ""),
    ("E 6.1", "cause", "interpolation", ""),
    ("E 5.13", "pair", "ac.", "ac"),
    ("X 7.1", "adopted", "sece", ""),
    ("X 6.6", "kept", "", ""),
    ("X 11.11", "crux", "", ""),
    ("X 13.3", "open", "", ""),
)


def table(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


def contents(folder: Path) -> dict[str, bytes]:
    files = (one for one in folder.rglob("*") if one.is_file())
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in files}


def correct(file: Path, *pairs: tuple[str, str]) -> None:
    """Correct a transcript."""
    text = file.read_text(encoding="utf-8")
    for before, after in pairs:
        assert before in text
        text = text.replace(before, after)
    file.write_text(text, encoding="utf-8")


class Runs:
    """A dossier audited as it comes, with a decision of every kind, and after a page was corrected."""

    def __init__(self, room: Path) -> None:
        self.dossier, self.room = room / "dossier", room
        shutil.copytree(DEMO, self.dossier)
        self.plain = self.audited("plain")
        for locus, decision, value, transmitted in ROWS:
            fidelity.decide(self.dossier, locus, decision, value, transmitted=transmitted, **TOLD)
        self.written = (self.dossier / "decisions.csv").read_bytes()
        self.decided = self.audited("decided")
        self.again = self.audited("again")
        correct(self.dossier / "E" / "copy.txt", ("\nfield on", "\nfeld on"), ("ryndon", "syndon"))
        correct(self.dossier / "X" / "copy.txt", ("be þæne ecge", "be þære ecge"))
        self.corrected = self.audited("corrected")

    def audited(self, name: str) -> Audit:
        return fidelity.audit(self.dossier, out=self.room / name)


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> Runs:
    return Runs(tmp_path_factory.mktemp("runs"))


def confusion(found: Audit, original: str, copy: str) -> tuple[int, int]:
    (one,) = (one for one in found.confusions if (one.original, one.copy) == (original, copy))
    return one.count, one.chances


def score(found: Audit, measure: str) -> tuple[int, int]:
    (one,) = (one for one in found.scores if (one.text, one.measure) == ("all", measure))
    return one.errors, one.chances


def at(found: Audit, locus: str) -> list[Variant]:
    return [one for one in found.variants if str(one.locus) == locus]


def test_what_is_not_his_is_counted_nowhere(runs: Runs) -> None:
    """Stneamer for ꞅꞇꞃeameꞅ: one ꞅ→r and one ꞃ→n fewer, each with its chance, and no letter that is his.

    13 of 41 ꞅ become 12 of 40.
    """
    assert confusion(runs.plain, "ꞅ", "r") == (13, 41)
    assert confusion(runs.decided, "ꞅ", "r") == (12, 40)
    before, after = (confusion(one, "ꞃ", "n") for one in (runs.plain, runs.decided))
    assert after[0] == before[0] - 1 == 4
    assert {one.set_aside for one in at(runs.decided, "E 5.1")} == {"the editor: as I see it"}
    assert at(runs.plain, "E 5.1")[0].set_aside == ""
    assert not any("E 5.1" in map(str, one.loci) for one in runs.decided.confusions)


def test_the_score_card_without_what_is_not_his(demo: Dossier) -> None:
    """Of the letters two errors and their two chances go, of the words one error."""
    decision = Decision("E", "5.1", Ruling.NOT_HIS, "stneamer", "ꞅꞇꞃeameꞅ")
    before, after = judge(demo), judge(replace(demo, decisions=(decision,)))
    letters, words = score(before, "letters"), score(before, "words")
    assert score(after, "letters") == (letters[0] - 2, letters[1] - 2)
    assert score(after, "words") == (words[0] - 1, words[1])
    causes = {"letter_confusion": -2}
    for measure in {one.measure for one in before.scores} - {"letters", "words"}:
        errors = score(after, measure)[0] - score(before, measure)[0]
        assert errors == causes.get(measure, 0), measure


def test_what_is_not_his_teaches_nothing(runs: Runs) -> None:
    """The word's letters are not trusted, so that neither model nor blind test asks them."""
    word = "stneamer"
    for found, trusted in ((runs.plain, True), (runs.decided, False)):
        tagged = learner_of(found).tagged[0]
        start = tagged.copied.index(word)
        assert all(tagged.trusted[start : start + len(word)]) is trusted


def test_a_cause_is_the_editors(runs: Runs) -> None:
    """The cause is the one decided, the program's own a rival, and the evidence says who decided."""
    (before,), (after,) = at(runs.plain, "E 6.1"), at(runs.decided, "E 6.1")
    assert (str(after.cause), after.other_causes[0]) == ("interpolation", before.cause)
    assert after.evidence == "the editor decided: as I see it"
    assert score(runs.decided, "interpolation")[0] == score(runs.plain, "interpolation")[0] + 1
    assert score(runs.decided, str(before.cause))[0] == score(runs.plain, str(before.cause))[0] - 1


def test_words_are_paired_as_the_editor_says(runs: Runs) -> None:
    """The first oak answers instead of the second: what was left out is what stands after it."""
    gone = [
        [one.original for one in found.variants if "þæꞃe" in one.original]
        for found in (runs.plain, runs.decided)
    ]
    assert gone[0] == [" ac. oꝼ þæꞃe"]
    assert gone[1] == [". oꝼ þæꞃe ac"]
    for alignment in runs.decided.alignments:
        steps = alignment.steps.tolist()
        assert steps[0][0] == steps[0][2] == 0
        assert all(one[1] == two[0] and one[3] == two[2] for one, two in pairwise(steps))
        assert (steps[-1][1], steps[-1][3]) == (len(alignment.original), len(alignment.copy))


def test_decisions_stand_beside_the_proposals(runs: Runs) -> None:
    """A decided place has a row, its proposal's or one of its own, with kind and verdict said plainly."""
    rows = {row["locus"]: row for row in table(runs.room / "decided" / "readings.csv") if row["decision"]}
    assert {locus: row["decision"] for locus, row in rows.items()} == {
        "X 7.1": "adopted",
        "X 6.6": "kept",
        "X 11.11": "crux",
        "X 13.3": "open",
    }
    own = [row for row in rows.values() if row["kind"] == "decision"]
    assert own
    for row in own:
        assert (row["verdict"], row["probability"]) == (row["decision"], "")
        assert row["proposed"] == ("sece" if row["decision"] == "adopted" else "")


def test_decided_places_are_no_proposals(runs: Runs) -> None:
    """They are counted by themselves, in the summary and in the sentences, and not among the proposals."""
    settled = [one for one in runs.decided.readings if one.is_decided]
    assert {one.decision for one in settled} >= {"adopted", "crux"}
    left = [one for one in runs.decided.readings if one.is_proposal and not one.is_decided]
    counted = json.loads((runs.room / "decided" / "summary.json").read_text(encoding="utf-8"))
    every = counted["readings"]["all"]
    assert every["readings"] == len(left)
    assert sum(every["decided"].values()) == len(settled)
    assert "decided" not in summary(runs.plain)["readings"]["all"]  # type: ignore[index]
    told = three_sentences(runs.decided)[-1]
    assert f"For X {len(left)} readings are proposed" in told
    assert "3 places more are decided by the editor, and not counted here." in told
    assert "decided" not in three_sentences(runs.plain)[-1]


def test_apply_does_what_was_decided(runs: Runs, tmp_path: Path) -> None:
    """Adopted readings are put in and kept places left, whatever the probability; these are no changes."""
    for name, at_least in (("none", 1.0), ("all", 0.0)):
        fidelity.apply(runs.room / "decided", at_least, tmp_path / name)
        text = (tmp_path / name / "X.txt").read_text(encoding="utf-8")
        assert "\nsece gif" in text
        assert "be þæne ecge" in text
        assert " .iu. " in text
        changes = {row["locus"]: row for row in table(tmp_path / name / "changes.csv") if row["decision"]}
        told = {
            locus: (row["transmitted"], row["proposed"], row["decision"]) for locus, row in changes.items()
        }
        assert told["X 7.1"] == ("rece", "sece", "adopted")
        assert set(told) <= {"X 7.1", "X 13.3"}
        left = [(row["locus"], row["decision"]) for row in left_alone(runs.room / "decided")]
        assert left == [("X 6.6", "kept"), ("X 11.11", "crux")]
    assert "lupus · pulf" in (tmp_path / "none" / "X.txt").read_text(encoding="utf-8")
    assert "lupus · wulf" in (tmp_path / "all" / "X.txt").read_text(
        encoding="utf-8"
    )  # open: as probable as it is


def test_adopted_and_kept_readings_are_evidence(runs: Runs) -> None:
    """Only the decided words are trusted, with what the original had for each of their letters."""
    assert learner_of(runs.plain).decided == ()
    learner = learner_of(runs.decided)
    (tagged,) = learner.decided
    trusted = "".join(
        letter if sure else " " for letter, sure in zip(tagged.copied, tagged.trusted, strict=True)
    )
    assert trusted.split() == ["þæne", "rece"]
    start = tagged.copied.index("rece")
    assert tagged.original(start, start + 4) == "sece"
    assert sorted(learner.decided_words) == ["sece", "þæne"]
    model = learner.model_of(learner.tagged)
    assert model.memory.seen("rece") == {"sece": 1}
    (note,) = (one for one in runs.decided.notes if one.startswith("decisions used as evidence"))
    assert note == "decisions used as evidence: 2 (1 adopted, 1 kept), in the blind test too"


def test_the_same_bytes_when_nothing_changed(runs: Runs) -> None:
    """Twice audited, twice the same files; and decisions.csv is read, never written."""
    assert contents(runs.room / "decided") == contents(runs.room / "again")
    assert (runs.dossier / "decisions.csv").read_bytes() == runs.written


def test_after_a_page_was_corrected(runs: Runs) -> None:
    """Decisions on other words are applied as before, those whose words changed are named and not used.

    With ryndon corrected 12 of 40 ꞅ become 11 of 40; field has become feld, and there is nothing there.
    """
    uses = {
        row["locus"]: (row["applied"], row["why"]) for row in table(runs.room / "corrected" / "decisions.csv")
    }
    assert uses == {
        "E 5.1": ("yes", ""),
        "E 6.1": ("stale", "the copy now has “feld”"),
        "E 5.13": ("yes", ""),
        "X 7.1": ("yes", ""),
        "X 6.6": ("stale", "the copy now has “þære”"),
        "X 11.11": ("yes", ""),
        "X 13.3": ("yes", ""),
    }
    assert confusion(runs.corrected, "ꞅ", "r") == (11, 40)
    assert score(runs.corrected, "interpolation") == score(runs.plain, "interpolation")
    notes = "\n".join(runs.corrected.notes)
    assert "decisions of the editor: 7, of which 5 applied, 2 stale, 0 without effect" in notes
    assert "the decision on E 6.1 (cause) is stale and was not used: the copy now has “feld”" in notes
    assert "the decision on X 6.6 (kept) is stale and was not used: the copy now has “þære”" in notes
    assert "decisions used as evidence: 1 (1 adopted, 0 kept)" in notes
    assert (runs.dossier / "decisions.csv").read_bytes() == runs.written


def test_the_blind_test_may_leave_decisions_aside(runs: Runs) -> None:
    """Without decisions it is the test of the dossier as if none had been made."""
    undone = fidelity.trial(runs.dossier, without_decisions=True)
    (runs.dossier / "decisions.csv").rename(runs.dossier / "aside.csv")
    try:
        assert fidelity.trial(runs.dossier) == replace(undone, decisions="")
    finally:
        (runs.dossier / "aside.csv").rename(runs.dossier / "decisions.csv")
    assert fidelity.trial(runs.dossier) != undone


@pytest.fixture(scope="module")
def demo() -> Dossier:
    return read_dossier(DEMO)


def uses_of(demo: Dossier, *decisions: Decision) -> list[tuple[str, str]]:
    numbered = tuple(replace(one, line=at) for at, one in enumerate(decisions, start=2))
    found = judge(replace(demo, decisions=numbered))
    return [(one.applied, one.why) for one in found.decisions]


def test_of_two_decisions_on_one_place_the_last_counts(demo: Dossier) -> None:
    """A table written by hand may have two; the first is told to be without effect."""
    one = Decision("E", "6.1", Ruling.CAUSE, "field", "ꝼelꝺ", "minims")
    assert uses_of(demo, one, replace(one, value="interpolation")) == [
        ("no", "line 3 decides the same place"),
        ("yes", ""),
    ]


def test_pairs_that_cross_are_told(demo: Dossier) -> None:
    """Two pairs in another order in the copy cannot both be; the second is not applied."""
    first = Decision("E", "5.13", Ruling.PAIR, "ac", "", "ac.")
    second = Decision("E", "5.15", Ruling.PAIR, "greatan", "", "þæꞃe")
    assert uses_of(demo, first, second) == [
        ("yes", ""),
        ("no", "another decision pairs words across these"),
    ]


def test_where_nothing_differs_nothing_is_decided(demo: Dossier) -> None:
    """A decision on words that are alike is without effect; one on other words is stale."""
    alike = Decision("E", "1.2", Ruling.NOT_HIS, "domino", "domino")
    other = Decision("E", "1.3", Ruling.NOT_HIS, "nostro", "vestro")
    far = Decision("E", "1.4", Ruling.PAIR, "cyning", "in", "in")
    line = "Regnante domino nostro in perpetuum. Ego ceolnumd minister per remedio"
    assert uses_of(demo, alike, other, far) == [
        ("stale", f"“cyning” does not stand near this place in the copy, which has “{line}”"),
        ("no", "original and copy do not differ there"),
        ("stale", "the original now has “nostro”"),
    ]


@pytest.mark.parametrize(
    ("arguments", "error", "what"),
    [
        (("X 99.1", "kept"), DataError, "the nearest is X 17"),
        (("X 1.99", "kept"), DataError, "the nearest is X 1.6"),
        (("Q 1.1", "kept"), DataError, "there is no text Q in the dossier"),
        (("X 1.1", "keep"), UsageError, "did you mean kept?"),
        (("X 1.1", "pair", "Ic"), UsageError, "X is a lost text"),
        (("E 6.1", "cause", "minim"), DataError, "did you mean minims?"),
        (("X 1.1", "adopted"), DataError, "give the reading"),
        (("X 1.1", "kept", "Ic"), DataError, "only pair, cause, adopted have a value"),
        (("E 1.2", "not_his"), DataError, "original and copy do not differ there"),
        (("E 6.1", "pair", "cyning"), DataError, "does not stand near"),
    ],
)
def test_what_cannot_be_decided_is_told(
    tmp_path: Path, arguments: tuple[str, ...], error: type[Exception], what: str
) -> None:
    """Nothing is written then."""
    shutil.copytree(DEMO, tmp_path / "dossier")
    with pytest.raises(error, match=what.replace("?", r"\?")):
        fidelity.decide(tmp_path / "dossier", *arguments, **TOLD)
    assert not (tmp_path / "dossier" / "decisions.csv").exists()


def test_killed_audits_leave_decisions_and_results_whole(runs: Runs) -> None:
    """A few audits killed at random moments: the dossier is as it was, the results are all there or none."""
    kept = kill_audits(runs.dossier, runs.room / "killed", kills=4, seed=5)
    assert (kept.kills, kept.lost) == (4, [])


def test_the_command_says_what_it_wrote(tmp_path: Path) -> None:
    """The words are filled in; a second decision on the place is told to have replaced the first."""
    shutil.copytree(DEMO, tmp_path / "dossier")
    line = [
        "decide",
        str(tmp_path / "dossier"),
        "X 1.1-2",
        "adopted",
        "Ic wæs",
        "--reason",
        "r",
        "--who",
        "w",
    ]
    assert CliRunner().invoke(main, line).output == (
        "Changes: Ic wær → Ic wæs, whatever its probability.\nX 1.1-1.2 (Ic wær): adopted Ic wæs\n"
    )
    line[2:5] = ["X 1.1-1.2", "kept", ""]
    told = json.loads(CliRunner().invoke(main, [*line, "--json"]).output)
    assert (told["transmitted"], told["decision"], told["replaced"][0]["value"]) == (
        "Ic wær",
        "kept",
        "Ic wæs",
    )
    (row,) = table(tmp_path / "dossier" / "decisions.csv")
    assert row["decision"] == "kept"
    assert CliRunner().invoke(main, [*line[:3], "keep", *line[4:]]).exit_code == 2
    assert CliRunner().invoke(main, [*line[:2], "X 99.9", *line[3:]]).exit_code == 1


def test_a_blind_test_says_whether_decisions_were_in_force(tmp_path: Path) -> None:
    """With decisions it says how many; without them, that they were left aside."""
    shutil.copytree(DEMO, tmp_path / "dossier")
    fidelity.decide(tmp_path / "dossier", "E 5.1", "not_his", reason="our misprint", who="E. Ditor")
    told = fidelity.trial(tmp_path / "dossier").decisions
    assert told == "1 decision of the editor was in force."
    assert "left aside" in fidelity.trial(tmp_path / "dossier", without_decisions=True).decisions


def test_a_stop_stays_where_an_adopted_reading_has_none(tmp_path: Path) -> None:
    """The copy's stop is kept beside the word that is adopted, as it is for a conjecture."""
    shutil.copytree(DEMO, tmp_path / "dossier")
    copy = fidelity.check(tmp_path / "dossier").lost[0].copy
    at = next(at for at, word in enumerate(copy.letters.split()) if word.endswith("."))
    word = copy.letters.split()[at]
    start = copy.letters.index(word)
    made = fidelity.decide(tmp_path / "dossier", str(copy.locus(start)), "adopted", "stan", reason="so")
    assert made.decision.value == "stan."
    assert made.decision.transmitted == word
