"""Stretches taken from another witness: the demo's, planted ones, and what must not be taken for one."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.apparatus.entries_imported import imported_place_rows, imported_rows
from fidelity.apparatus.folder import write_audit
from fidelity.apparatus.screen_imported import imported_screen
from fidelity.cli import main
from fidelity.dossier import OtherWitness
from fidelity.judge import Audit, judge
from fidelity.settings import Settings
from fidelity.sources.imported import imported, judged, stretches, survivors_of
from fidelity.sources.thirds import Third
from fidelity.taken import dependent_stretches, noted, with_imported
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.imported import Imported, PeculiarLocus, Sharing, Verdict
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.imported import edges_hold, found_in
from tests.planted_import import archetype, copyist, witness

SHORT = data_folder("demo_pairs") / "wickenby_short"


@cache
def short_demo() -> Audit:
    """Judge the short demo, and look for what is taken from elsewhere."""
    return with_imported(judge(SHORT))


def of(siglum: str, found: Audit | None = None) -> Imported:
    """Give what was found of X and one witness."""
    (one,) = [one for one in (found or short_demo()).imported if (one.text, one.siglum) == ("X", siglum)]
    return one


def places_of(siglum: str) -> dict[str, PeculiarLocus]:
    """Give the proved places of a witness by their words in it."""
    return {one.words: one for one in of(siglum).places if one.proved}


def test_item_5_the_stretch_is_found() -> None:
    """X 8-10 is taken from K: from songanges to scealtne."""
    row = imported_rows([of("K")])[0]
    assert row["verdict"] == "imported stretch"
    assert (row["from"], row["to"]) == ("X 8.8", "X 10.9")
    assert (row["shared"], row["not_shared"]) == (4, 0)
    assert row["p_value"] is not None and float(str(row["p_value"])) <= 0.05
    assert row["p_if_common_ancestor"] == pytest.approx(6 / 126, abs=1e-5)


def test_item_5_four_errors_proved_by_w() -> None:
    """Four indicative errors are shared, all proved K's own by W; haligum weighs least of them."""
    shared = [one for one in of("K").counted if one.sharing is Sharing.SHARED]
    assert [(one.words, one.third_siglum) for one in shared] == [
        *(("songanges", "W"), ("haligum", "W"), ("sceaþa", "W"), ("scealtne", "W")),
    ]
    assert [one.third_words for one in shared][::2] == ["sunganges", "sceaþa þas duru onl▯"]
    weights = {one.words: one.coincidence for one in shared}
    assert weights["haligum"] == max(weights.values())


def test_item_5_the_edges() -> None:
    """It begins after K's line 3 and ends before its line 14, where K's errors are not shared."""
    stretch = of("K").stretch
    assert stretch is not None
    assert 2 <= int(stretch.widest[0].line) <= 8 and 10 <= int(stretch.widest[1].line) <= 16


def test_item_5_no_error_of_k_elsewhere_is_shared() -> None:
    """Of K's errors elsewhere (feste, weorð, hæle, riftre, fint) none is in the copy."""
    places = places_of("K")
    for word in ("feste", "weorð", "hæle", "riftre", "fint"):
        assert places[word].sharing is Sharing.NOT_SHARED
    assert imported_rows([of("K")])[0]["shared_outside"] == 0


def test_item_5_without_a_third_nothing_is_proved() -> None:
    """Where W is lost (loccan) the direction is unknown, and nothing hangs on it."""
    (loccan,) = [one for one in of("K").places if one.words == "loccan"]
    assert not loccan.proved and not loccan.counts
    rows = imported_place_rows([of("K")])
    assert {row["proved"] for row in rows if row["witness_words"] == "loccan"} == {"direction unknown"}


def test_item_5_his_habits_go_on_inside_and_are_no_evidence() -> None:
    """His own s→r (rlupan) and ð→d (cwed) stand inside the stretch and are named, not counted."""
    found = of("K")
    assert found.own_habits == ("X 8.10 ð→d", "X 10.4 s→r")
    assert not any("lupan" in one.words for one in found.counted)


def test_nothing_is_taken_from_w() -> None:
    """The scraps are no source of the copy."""
    assert of("W").verdict in (Verdict.NO_SIGN, Verdict.TOO_LITTLE)


@pytest.mark.parametrize("his", ["X", "C"])
def test_a_copy_of_the_copy_is_not_asked(his: str) -> None:
    """A transcript that was made from the copy is neither asked about nor a third."""
    found = short_demo()
    copy = found.dossier.lost[0].copy
    transcript = OtherWitness("X", replace(copy, siglum="T"), depends_on=his)
    more = replace(found.dossier, witnesses=(*found.dossier.witnesses, transcript))
    again = imported(more, survivors_of(more, found.counts, found.variants, found.scores))
    assert [one.siglum for one in again] == ["K", "W"]
    assert again[0].places == of("K").places


def test_without_a_third_witness_too_little_is_known() -> None:
    """With K alone no reading can be proved its own, and the note says so."""
    found = short_demo()
    alone = replace(found.dossier, witnesses=found.dossier.witnesses[:1])
    (one,) = imported(alone, survivors_of(alone, found.counts, found.variants, found.scores))
    assert one.verdict is Verdict.TOO_LITTLE and "no third" in one.note


def test_a_witness_of_something_else_is_told() -> None:
    """A witness that has nothing in common with the copy is named, and the run goes on."""
    found = short_demo()
    other = Witness(
        "Z", "quod erat demonstrandum ut supra dictum est in libro secundo capitulo nono et decimo"
    )
    survivors = survivors_of(found.dossier, found.counts, found.variants, found.scores)
    copy = found.dossier.lost[0].copy
    one = judged("X", copy, other, [], survivors, found.dossier.folds, Settings())
    assert one.verdict is Verdict.TOO_LITTLE and one.note.startswith("not compared")


def test_stretches_by_text() -> None:
    """The stretches of each text are given in letters of its copy, with the witness."""
    copy = short_demo().dossier.lost[0].copy
    ((start, end, siglum),) = stretches(short_demo().imported, certain_only=True)["X"]
    assert siglum == "K"
    assert copy.letters[start:end].startswith("songanges") and "rlupan" in copy.letters[start:end]
    ((low, high, _),) = stretches(short_demo().imported)["X"]
    assert low <= start and end <= high


def test_readings_inside_are_made_against_the_witness() -> None:
    """A proposal in the stretch says that it is a reading of K, one outside says nothing."""
    copy = short_demo().dossier.lost[0].copy
    readings = []
    for number, word in enumerate(("rlupan", "pende"), start=1):
        at = copy.letters.index(word)
        readings.append(
            ProposedReading(number, "X", Locus("X", "1"), (at, at + len(word)), word, "?", 0.5, note="so")
        )

    def told(has: str | None) -> str:
        inside, outside = noted(readings, short_demo().imported, lambda *_: has)
        assert outside.note == "so"
        return inside.note

    assert told(None) == "so; in the stretch taken from K: this is a reading of K, not of the lost original"
    assert "which has slupan: this is a reading of K" in told("slupan")
    assert "which has the same as the copy: no slip of his" in told("rlupan")
    assert noted(readings, (), lambda *_: None) == tuple(readings)


def told_of(has: dict[str, str | None], transcript: bool) -> ProposedReading:
    """Give a proposal in the stretch taken from K where witnesses, W perhaps a transcript, have this."""
    found = short_demo()
    copy = found.dossier.lost[0].copy
    at = copy.letters.index("rlupan")
    reading = ProposedReading(
        1,
        "X",
        Locus("X", "1"),
        (at, at + 6),
        "rlupan",
        "slupan",
        0.9,
        steps=("s→r",),
        chances=20,
        tried=96,
        tried_right=96,
    )
    beside = [
        replace(one, from_original=transcript and one.witness.siglum == "W")
        for one in found.dossier.witnesses
    ]
    (told,) = noted([reading], found.imported, lambda *asked: has[asked[-1]], beside)
    return told


def test_what_he_took_is_no_slip_of_his() -> None:
    """Where K has the same as the copy no steps lead to it, and nothing tried is like it."""
    told = told_of({"K": "rlupan", "W": "slupan"}, transcript=False)
    assert (told.kind, told.steps, told.chances, told.tried, told.tried_right) == ("taken", (), 0, 0, 0)
    assert told.note.endswith("no slip of his, and no copy tells what the lost original had")
    slip = told_of({"K": "slupan", "W": "slupan"}, transcript=False)
    assert (slip.kind, slip.steps, slip.tried) == ("misreading", ("s→r",), 96)


@pytest.mark.parametrize(
    ("has", "transcript", "note"),
    [
        ({"K": "rlupan", "W": "slupan"}, True, "no slip of his; W, {}, has it"),
        ({"K": "rlupan", "W": "gan"}, True, "no slip of his; W, {}, has gan"),
        ({"K": "slupan", "W": "slupan"}, True, "this is a reading of K; W, {}, has it as well"),
        (
            {"K": "slupan", "W": "gan"},
            True,
            "this is a reading of K, not of the lost original; W, {}, has gan",
        ),
        ({"K": "slupan", "W": "slupan"}, False, "this is a reading of K, not of the lost original"),
        ({"K": "slupan", "W": "gan"}, False, "this is a reading of K, not of the lost original"),
        ({"K": "slupan", "W": None}, True, "this is a reading of K, not of the lost original"),
    ],
)
def test_another_transcript_tells_of_the_lost_original(
    has: dict[str, str | None], transcript: bool, note: str
) -> None:
    """What another transcript of the lost original has in the stretch is told, and what others have."""
    assert told_of(has, transcript).note.endswith(note.format("another transcript of the lost original"))


def test_a_survivor_beside_its_original() -> None:
    """In a survivor the original itself shows where the copy follows another witness against it."""
    by = copyist(3)
    words = archetype()[by.rest : by.rest + 1_500]
    errors = range(20, 1_480, 20)
    kept = [word + "x" if at in errors else word for at, word in enumerate(words)]
    mixed = [*words[:600], *kept[600:900], *words[900:]]
    texts = witness("X", mixed), witness("K", kept)
    third = [Third(witness("E", words), is_original=True)]
    one = judged("E", *texts, third, by.survivors, NO_FOLDS, Settings())
    assert one.verdict is Verdict.IMPORTED and not one.lost and one.stretch is not None
    assert one.stretch.last - one.stretch.first + 1 == len(range(600, 900, 20))
    assert {place.sharing for place in one.counted} == {Sharing.SHARED, Sharing.NOT_SHARED}


def test_copied_throughout_is_no_stretch() -> None:
    """A copy that has all of a witness's errors shares them throughout."""
    by = copyist(3)
    words = archetype()[by.rest : by.rest + 1_500]
    kept = [word + "x" if at % 30 == 7 else word for at, word in enumerate(words)]
    texts = witness("X", kept), witness("K", kept)
    third = [Third(witness("W", words))]
    assert judged("X", *texts, third, by.survivors, NO_FOLDS, Settings()).verdict is Verdict.THROUGHOUT


@pytest.mark.parametrize("seed", [10, 20, 30])
def test_planted_and_not_planted(seed: int) -> None:
    """A stretch planted in a simulated text is found with its edges; where none is, none is."""
    planted = found_in(seed, planted=True)
    if planted.inside >= 4:
        assert planted.result.verdict is Verdict.IMPORTED and edges_hold(planted)
    assert found_in(seed, planted=False).result.verdict is not Verdict.IMPORTED


def test_the_same_run_gives_the_same() -> None:
    """What is drawn at random depends on the settings' seed alone."""
    again = with_imported(judge(SHORT))
    assert again.imported == short_demo().imported


def test_the_command_prints_rows_and_words() -> None:
    """The command gives the tables as JSON, and in words the verdict and its grounds."""
    rows = json.loads(CliRunner().invoke(main, ["imported", str(SHORT), "--json"]).stdout)
    assert [row["verdict"] for row in rows["imported"]] == ["imported stretch", "no sign"]
    assert len(rows["imported_places"]) == sum(len(one.places) for one in short_demo().imported)
    told = " ".join(CliRunner().invoke(main, ["imported", str(SHORT)]).stdout.split())
    assert "X 8.8 to X 10.9 seem to be taken from K" in told and "Against it: nothing." in told


def test_without_other_witnesses_the_command_says_so() -> None:
    """A dossier that names no other witness is told what would be needed."""
    found = with_imported(
        replace(short_demo(), dossier=replace(short_demo().dossier, witnesses=()), imported=())
    )
    assert found.imported == ()
    assert "[[witness]]" in imported_screen((), 80)


def test_the_page_and_the_summary_tell_it(tmp_path: Path) -> None:
    """The results hold both tables, a section of the page and a caution."""
    out = tmp_path / "out"
    write_audit(short_demo(), out)
    assert (out / "imported.csv").read_text(encoding="utf-8").count("imported stretch") == 1
    assert "Taken from elsewhere" in (out / "report.html").read_text(encoding="utf-8")
    facts = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert "independent" in facts["imported"]["caution"]
    assert facts["imported"]["by_text_and_witness"][0]["witness"] == "K"


def test_the_function_of_the_same_name() -> None:
    """``fidelity.imported`` gives what the command prints."""
    assert fidelity.imported(SHORT).imported == short_demo().imported


def test_lines_cited_alike_answer_each_other() -> None:
    """A fragment whose lines are numbered is held against the lines it answers and no others."""
    from fidelity.sources.facing import face

    copy = read_witness("a first line here\nsecond line of it\nthird and last line", siglum="X")
    part = read_witness("X.1\ta first lime here\nX.3\tthird and last lime", siglum="K", numbered=True)
    facing = face(part, copy, NO_FOLDS, "X")
    letters = [
        part.letters[slice(*first)] + copy.letters[slice(*second)]
        for first, second, _ in facing.differences(NO_FOLDS)
    ]
    assert letters == ["mn", "mn"]
    at = part.letters.index("third")
    there = facing.answer((at, at + 5))
    assert there is not None and copy.letters[slice(*there)] == "third"


def test_the_attestation_is_told_of_the_stretch() -> None:
    """What is found to be taken from K is given to the attestation, so that K is no second vote there."""
    ((one,),) = dependent_stretches(short_demo()).values()
    copy = short_demo().dossier.lost[0].copy
    assert (one.source, one.printed, one.found) == ("K", "8.8-10.9", True)
    assert "haligum" in copy.letters[slice(*one.span)]
