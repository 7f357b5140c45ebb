"""Everything known of one place: an editor's conjectures among their rivals, and what the copyist did.

The table of right readings is the demo's own scenario: the places of the lost text X that it calls findable,
with what the invented original reads there.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import fidelity
from fidelity.apparatus.entries_place import conjecture_rows, place_facts, rival_rows, rows_of_conjectures
from fidelity.apparatus.page import page
from fidelity.apparatus.screen_place import place_screen
from fidelity.apparatus.summary import summary
from fidelity.audit import audit_to_ask
from fidelity.cli import main
from fidelity.dossier import Dossier, read_dossier
from fidelity.dossier.conjectures import conjecture_at, place_in
from fidelity.errors import DataError, UsageError
from fidelity.judge import Audit
from fidelity.readings.select import word_probabilities
from fidelity.terms.conjecture import Conjecture, JudgedUnit, Rival
from fidelity.trial.rivals import RivalsOf
from fidelity.witnesses.data import data_folder
from tests.alone import short_alone

SHORT = short_alone()
FINDABLE = {  # the demo's own scenario: words that are none, then words that are words
    **{"X 4.7": "loccas", "X 12.15": "siþas", "X 11.5": "wermodes", "X 10.4": "slupan", "X 17.3": "stypel"},
    **{"X 13.3": "wulf", "X 2.3": "wende"},
    **{"X 1.2": "wæs", "X 5.2": "læte", "X 6.6": "þære", "X 7.5": "hwæs", "X 3.6": "here"},
}
ABSURD = "xqzkvxqzkv"  # of it as many letters as are written
LEAST_FIRST_OR_SECOND = 0.8  # of the findable places


def made(dossier: Dossier, place: str, reading: str, by: str = "") -> Conjecture:
    """Make a conjecture on a place of the demo."""
    return conjecture_at(place_in(dossier, place), reading, {one.id: one.copy for one in dossier.lost}, by)


@pytest.fixture(scope="module")
def demo() -> Dossier:
    """Give the short demo with the right reading of each findable place, and one that is absurd."""
    dossier = read_dossier(SHORT)
    lost = dossier.lost[0].copy.letters
    right = [made(dossier, place, reading, "right") for place, reading in FINDABLE.items()]
    sizes = [len(lost[slice(*one.span)].rstrip(".")) for one in right]
    absurd = [
        made(dossier, one.cited, ABSURD[:size], "absurd") for one, size in zip(right, sizes, strict=True)
    ]
    return replace(dossier, conjectures=(*right, *absurd))


@pytest.fixture(scope="module")
def judged(demo: Dossier) -> Audit:
    """Audit it."""
    return audit_to_ask(demo)[0]


def told(audit: Audit, by: str) -> list[tuple[JudgedUnit, Rival]]:
    """Give the conjectures of one kind with what became of them."""
    found = [(unit, rival) for unit in audit.conjectures for rival in unit.rivals]
    return [pair for pair in found if any(one.by == by for one in pair[1].conjectures)]


def test_right_readings_rank_first_or_second(judged: Audit) -> None:
    """In four findable places of five only one reading, at most, is held more probable than the right one."""
    ranks = [rival.rank for _, rival in told(judged, "right")]
    assert len(ranks) == len(FINDABLE)
    assert sum(rank <= 2 for rank in ranks) >= LEAST_FIRST_OR_SECOND * len(ranks)


def test_absurd_readings_rank_last_with_a_reason(judged: Audit) -> None:
    """As many letters as are written, and no way from them to what is written."""
    absurd = told(judged, "absurd")
    assert len(absurd) == len(FINDABLE)
    for _, rival in absurd:
        assert rival.rank == rival.of
        assert rival.reading.probability < 0.01
        reasons = "; ".join(rival.why)
        assert "never seen" in reasons
        assert "not a known word" in reasons
        assert "too far from what is written" in reasons


def test_probabilities_of_a_unit_sum_to_at_most_one(judged: Audit) -> None:
    """Conjectures share one total with their rivals, the transmitted reading among them."""
    for unit in judged.conjectures:
        assert 0 < sum(one.reading.probability for one in unit.rivals) <= 1 + 1e-9
        assert [one.rank for one in unit.rivals] == sorted(one.rank for one in unit.rivals)
        assert [one.sort for one in unit.rivals].count("transmitted") == 1


def test_a_conjecture_changes_no_proposal(demo: Dossier, judged: Audit) -> None:
    """What the audit proposes is the same with conjectures and without."""
    assert judged.readings == audit_to_ask(replace(demo, conjectures=()))[0].readings


def test_a_place_agrees_with_the_readings_proposed_there(demo: Dossier) -> None:
    """Where a whole word is proposed, the place has the same probability, range and evidence."""
    audit, rivals = audit_to_ask(replace(demo, conjectures=()))
    words = [one for one in audit.readings if one.is_proposal and not one.single]
    assert words
    for reading in words:
        (unit,) = rivals(reading.text).units(reading.copy_span, ())
        (same,) = [one for one in unit.rivals if one.reading.proposed == reading.proposed]
        assert same.reading == reading
        assert f"no. {reading.number} of readings.csv" in "; ".join(same.why)
        rest = {one.reading.proposed: one.reading.probability for one in unit.rivals}
        for text, p in reading.alternatives:
            assert rest[text] == pytest.approx(p)
    entries = {one.span for one in audit.parallels.pairs if one.undecided}  # marks on several units
    for mark in (one for one in audit.readings if not one.is_proposal and one.copy_span not in entries):
        (unit,) = rivals(mark.text).units(mark.copy_span, ())
        rest = {one.reading.proposed: one.reading.probability for one in unit.rivals}
        assert all(rest[text] == pytest.approx(p) for text, p in mark.alternatives)


def test_conjectures_over_parts_and_several_words(demo: Dossier) -> None:
    """Two that read the same are one rival; what is written ranks as such; kept words are not judged."""
    asked = [
        made(demo, "X 1.2", "wæs", "one"),
        made(demo, "X 1.2", "wæs", "other"),
        made(demo, "X 2.1", "wæter"),
        made(demo, "X 7.4-5", "mæge hwæs"),
    ]
    audit = audit_to_ask(replace(demo, conjectures=tuple(asked)))[0]
    rows = {(row["locus"], row["by"]): row for row in conjecture_rows(audit)}
    assert len(rows) == 4
    one, other = dict(rows["X 1.2", "one"]), dict(rows["X 1.2", "other"])
    assert one | {"by": ""} == other | {"by": ""}
    written = rows["X 2.1", ""]
    assert (written["why"], written["steps"]) == (("as the copy has it",), ())
    several = rows["X 7.4-5", ""]
    assert (several["transmitted"], several["steps"]) == ("hwær", ("s→r",))
    assert several["reading"] == "hwæs"


def test_rows_tell_all_of_a_conjecture(judged: Audit, demo: Dossier) -> None:
    """One row for each, in the order of the dossier, with its range, steps and reasons."""
    rows = conjecture_rows(judged)
    assert [row["reading"] for row in rows] == [one.reading for one in demo.conjectures]
    wende = rows[list(FINDABLE).index("X 2.3")]
    assert (wende["transmitted"], wende["by"], wende["steps"]) == ("pende", "right", ("w→p",))
    assert 0 <= float(str(wende["probability_low"])) <= float(str(wende["probability_high"])) <= 1
    assert int(str(wende["rank"])) <= int(str(wende["of"]))


def test_json_has_the_figures_of_the_screen(demo: Dossier) -> None:
    """Probability, rank and evidence are the same, and no line is wider than the screen."""
    found = fidelity.place(replace(demo, conjectures=()), "X 1.2", "wæs")
    screen, facts = place_screen(found, 80), json.loads(json.dumps(place_facts(found)))
    assert all(len(line) <= 80 for line in screen.split("\n"))
    ((row,), (unit,)) = facts["conjectures"], facts["units"]
    flat = " ".join(screen.split())
    assert f"rank {row['rank']} of {row['of']}, said {row['probability']:.3g}" in flat
    for reading in unit["readings"]:
        assert f"{reading['probability']:.3g}" in flat
        assert all(step in flat for step in reading["evidence"])
        assert all(" ".join(cited.split()) in flat for cited in reading["same_rule_elsewhere"])
    rows = rows_of_conjectures(found.units, found.audit.dossier)
    assert json.loads(json.dumps(rows)) == facts["conjectures"]


def test_a_line_tells_of_the_words_that_have_something_to_tell() -> None:
    """The others are counted, and every caution stands below."""
    found = fidelity.place(SHORT, "X l. 6")
    assert {str(unit.locus) for unit in found.units} >= {"X 6.6"}
    assert found.silent > 0
    screen = place_screen(found, 80)
    assert "there is nothing to tell" in screen
    assert "to be judged by an editor" in screen
    assert "no. 6" in screen or "þære" in screen


def test_a_gap_holds_known_words_or_none_of_these(tmp_path: Path) -> None:
    """What the copyist left blank only known words can fill; a conjecture stands among them."""
    shutil.copytree(SHORT, tmp_path / "demo")
    (tmp_path / "demo" / "X" / "copy.txt").write_text("ic wær on f[...]te geboren\n", encoding="utf-8")
    file = tmp_path / "demo" / "dossier.toml"
    text = file.read_text(encoding="utf-8").split("# Brockhurst")[0]
    file.write_text(text.replace('"X/copy.txt"', '"X/copy.txt"\nprofile = "leiden"'), encoding="utf-8")
    (unit,) = fidelity.place(tmp_path / "demo", "1.4", "fæste").units
    assert "known words that agree with what he read" in unit.note
    (given,) = [one for one in unit.rivals if one.conjectures]
    assert given.reading.proposed == "fæste" and given.why
    (unit,) = fidelity.place(tmp_path / "demo", "1.4", "fxte").units
    assert in_their_order(unit)
    assert unit.rivals[-1].rank == unit.rivals[0].of  # what no known word is comes last, and by itself


def in_their_order(unit: JudgedUnit) -> bool:
    """Tell whether ranks go up as probabilities go down, and no two readings have the same."""
    ranks = [one.rank for one in unit.rivals]
    said = [one.reading.probability for one in unit.rivals]
    return ranks == sorted(set(ranks)) and said == sorted(said, reverse=True)


def test_his_signs_for_what_he_could_not_read_are_shown(tmp_path: Path) -> None:
    """They answer no letter of the original, and yet they are no omission: he marked the place."""
    shutil.copytree(SHORT, tmp_path / "demo")
    copy = tmp_path / "demo" / "E" / "copy.txt"
    lines = copy.read_text(encoding="utf-8").splitlines()
    words = lines[4].split(" ")
    lines[4] = " ".join([*words[:2], "...", *words[3:]])
    copy.write_text("\n".join(lines) + "\n", encoding="utf-8")
    file = tmp_path / "demo" / "dossier.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text + '\n[his_marks]\nletter_unread = ["."]\n', encoding="utf-8")
    screen = place_screen(fidelity.place(tmp_path / "demo", "E 5.3"), 100)
    assert "His own mark ...: he could not read what stands for it." in screen
    assert "Copy: ▯▯▯" in screen


def test_the_readme_shows_what_is_printed() -> None:
    """The example in the README is the demo's, to the letter."""
    readme = (Path(__file__).resolve().parent.parent / "README.md").read_text(encoding="utf-8")
    example = readme.split("```text\n")[1].split("```")[0]
    demo = data_folder("demo_pairs") / "wickenby_short"
    assert example in place_screen(fidelity.place(demo, "X 12.15", "siþas"), 100) + "\n"


def test_a_survivor_tells_what_he_did_there() -> None:
    """Original and copy, what happened, why, and how often he did the same elsewhere."""
    found = fidelity.place(SHORT, "B 3.3")
    assert (found.transmitted, found.copied) == ("miꞅꞇe.", "mirte.")
    (done,) = found.done
    assert str(done.variant.cause) == "letter_confusion"
    (step,) = done.steps
    assert step.step == "s→r"
    assert step.count > 10
    assert str(done.variant.locus) not in step.parallels
    facts = place_facts(found)
    assert facts["copy"] == "mirte."
    screen = " ".join(place_screen(found, 80).split())
    assert f"{step.count} of {step.chances} chances" in screen
    kept = fidelity.place(SHORT, "B 2.1")
    assert not kept.done
    assert "without a difference" in place_screen(kept, 80)


def test_errors_name_the_nearest() -> None:
    """A wrong text, line, word or reading ends with code 1 and says what there is; in JSON too."""
    cases = [
        (["Q 1.2"], "did you mean"),
        (["X 99"], "the nearest is X 17"),
        (["X 1.99"], "the nearest is X 1.6"),
        (["X 1", "--reading", "wæs"], "is X 1.2"),
        (["B 3.3", "--reading", "miste"], "lost texts: X"),
        (["X 1.2", "--reading", " "], "write what the original would have read"),
    ]
    for words, nearest in cases:
        done = CliRunner().invoke(main, ["place", str(SHORT), *words])
        assert done.exit_code == 1
        assert nearest in done.stderr
        as_json = CliRunner().invoke(main, ["place", str(SHORT), *words, "--json"])
        assert nearest in json.loads(as_json.stdout)["faults"][0]["remedy"]
    assert CliRunner().invoke(main, ["place", str(SHORT), " "]).exit_code == 2
    with pytest.raises(DataError):
        fidelity.place(SHORT, "X 99")
    with pytest.raises(UsageError):
        fidelity.place(SHORT, "")


def test_the_audit_writes_a_row_for_each_conjecture(tmp_path: Path) -> None:
    """From the dossier.toml to conjectures.csv, with the same figures as the place."""
    shutil.copytree(SHORT, tmp_path / "demo")
    with (tmp_path / "demo" / "dossier.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[conjecture]]\ntext = "X"\nlocus = "1.2"\nreading = "wæs"\nby = "an editor"\n')
    fidelity.audit(tmp_path / "demo", out=tmp_path / "out")
    with (tmp_path / "out" / "conjectures.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    shown = CliRunner().invoke(main, ["place", str(tmp_path / "demo"), "X", "1.2", "--json"])
    ((told_there,),) = [json.loads(shown.stdout)["conjectures"]]
    assert (row["reading"], row["by"], row["steps"]) == ("wæs", "an editor", "s→r")
    assert float(row["probability"]) == told_there["probability"]
    assert (row["rank"], row["of"]) == (str(told_there["rank"]), str(told_there["of"]))
    assert re.search("less probable than the transmitted", row["why"])
    summed = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["conjectures"]
    assert summed == shown_there(shown)
    html = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    section = html.split('<section id="conjectures"')[1].split("</section>")[0]
    assert "<td>an editor</td>" in section
    assert ">wæs</td>" in section
    assert ">conjecture</th>" in section
    assert 'href="#conjectures"' in html


def shown_there(shown: Result) -> object:
    """Give the conjectures that a place tells in JSON."""
    return json.loads(shown.stdout)["conjectures"]


def test_without_conjectures_the_page_has_no_such_section(judged: Audit) -> None:
    """Nor the summary a block."""
    none = replace(judged, conjectures=())
    assert "conjectures" not in summary(none)
    assert 'id="conjectures"' not in page(none)
    assert 'id="conjectures"' in page(judged)


class _Sure:
    """A calibration that believes every reading a good deal, whatever speaks against it."""

    def probability(self, _: object) -> float:
        return 0.4


def test_rivals_that_are_believed_too_much_share_one_total(demo: Dossier) -> None:
    """Three readings of 0.4 each cannot stand beside each other: all are drawn down, and it is said."""
    rivals = audit_to_ask(replace(demo, conjectures=()))[1]("X")
    sure = replace(rivals.grounds.proposer, calibration=_Sure())  # type: ignore[arg-type]
    asked = [made(demo, "X 1.2", reading) for reading in ("wæs", "wæt", "wæl", "wen")]
    (unit,) = RivalsOf(replace(rivals.grounds, proposer=sure)).units(asked[0].span, asked)
    assert sum(one.reading.probability for one in unit.rivals) == pytest.approx(1)
    assert "share one total" in unit.note
    assert len({one.reading.probability for one in unit.rivals if one.sort != "transmitted"}) == 1


def test_equally_probable_readings_are_said_to_be_so(demo: Dossier) -> None:
    """Their order is the audit's, by their letters; none of them is called less probable than another."""
    rivals = audit_to_ask(replace(demo, conjectures=()))[1]("X")
    sure = replace(rivals.grounds.proposer, calibration=_Sure())  # type: ignore[arg-type]
    spans = rivals.units_at.spans(0, len(rivals.grounds.copy))
    span = next(one for one in spans if len(rivals.units_at.unit(one).words) == 2)
    (unit,) = RivalsOf(replace(rivals.grounds, proposer=sure)).units(span, ())
    equal = [one for one in unit.rivals if one.sort != "transmitted"]
    texts = [one.reading.proposed for one in equal]
    assert len(equal) > 1
    judged = rivals.units_at.unit(unit.span)
    audits = [one.proposed for one, _ in word_probabilities(judged, _Sure())]  # type: ignore[arg-type]
    assert texts == audits == sorted(texts)
    for one in equal:
        assert {one.reading.proposed, *one.equals} == set(texts)
        others = [f"less probable than {text} " for text in texts]
        assert not any(reason.startswith(tuple(others)) for reason in one.why)
    assert any(f"equally probable as {texts[0]}" in reason for reason in equal[1].why)
    found = replace(fidelity.place(replace(demo, conjectures=()), str(unit.locus)), units=(unit,))
    assert f"Equally probable, whatever their order: {', '.join(texts)}." in place_screen(found, 200)


def test_a_reading_that_nothing_restores_is_not_called_a_restoration(demo: Dossier) -> None:
    """A candidate was judged for another reason, and the reason is given."""
    _, rivals = audit_to_ask(replace(demo, conjectures=()))
    of_text = rivals("X")
    spans = of_text.units_at.spans(0, len(of_text.grounds.copy))
    every = [one for span in spans for unit in of_text.units(span, ()) for one in unit.rivals]
    assert not any("among none" in reason for one in every for reason in one.why)
    near = "judged as a known word near what is written, though no restoration"
    told = [one.why[0] for one in every if one.sort == "candidate"]
    assert any(reason.startswith(near) for reason in told)
    assert "a restoration of the line leads to it" in told


def test_a_place_is_not_elsewhere(demo: Dossier) -> None:
    """Its own letter, proposed by itself, is no other place of the same rule."""
    found = fidelity.place(replace(demo, conjectures=()), "X 13.3")
    (wulf,) = [row for row in rival_rows(found.units[0]) if row["proposed"] == "wulf"]
    cited = wulf["same_rule_elsewhere"]
    assert isinstance(cited, tuple)
    assert cited
    assert not any(str(one).startswith("X 13.3 ") for one in cited)


def test_what_the_copy_has_lost_is_said_to_be_left_out(tmp_path: Path) -> None:
    """Not that it has nothing; and where there was no chance no rate is given."""
    shutil.copytree(SHORT, tmp_path / "demo")
    copy = tmp_path / "demo" / "E" / "copy.txt"
    lines = copy.read_text(encoding="utf-8").splitlines()
    copy.write_text("\n".join([*lines[:4], *lines[5:]]) + "\n", encoding="utf-8")
    dossier = read_dossier(tmp_path / "demo")
    found = fidelity.place(dossier, "E 5.3")
    screen = place_screen(found, 100)
    assert "Copy: (left out in the copy)" in screen
    (done,) = found.done
    never = replace(done, steps=tuple(replace(step, count=0, chances=0) for step in done.steps))
    screen = place_screen(replace(found, done=(never,)), 100)
    assert "there was no chance to see it" in screen
    assert "0 of 0" not in screen


def test_what_was_given_up_early_is_said_to_be_so(demo: Dossier) -> None:
    """All that a reading needs was seen, yet no restoration that was carried on holds it."""
    narrow = replace(demo, conjectures=(), settings=replace(demo.settings, beam=1))
    rivals = audit_to_ask(narrow)[1]("X")
    given = made(demo, "X 4.7", "lottas")
    (unit,) = rivals.units(given.span, [given])
    rival = unit.judged(given)
    assert all(step.count for step in rival.reading.evidence)
    assert any(reason.startswith("given up early") for reason in rival.why)


def test_a_place_tells_what_was_decided(tmp_path: Path) -> None:
    """The editor's decision stands at the head of what is known, with who, when and why."""
    folder = tmp_path / "dossier"
    shutil.copytree(SHORT, folder)
    fidelity.decide(folder, "X 4.7", "adopted", "loccas", reason="a plural", who="E. Ditor")
    (decision,) = fidelity.place(folder, "X 4.7").decisions
    assert (decision.value, decision.who, decision.reason) == ("loccas", "E. Ditor", "a plural")
    assert fidelity.place(folder, "X 4.6").decisions == ()
    shown = CliRunner().invoke(main, ["place", str(folder), "X 4.7"]).output
    assert "adopted loccas (E. Ditor" in shown


def test_words_a_conjecture_leaves_alone_are_not_judged_with_it() -> None:
    """The same word changed, cited by itself or with its neighbours, is as probable."""
    alone = fidelity.place(SHORT, "X 4.7", "loccas").units[0]
    among = fidelity.place(SHORT, "X 4.6-7", "fægran loccas").units
    (said,) = (one.reading.probability for one in alone.rivals if one.conjectures)
    assert [one.reading.probability for unit in among for one in unit.rivals if one.conjectures] == [said]
