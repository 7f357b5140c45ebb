"""The benchmark on real copies: it shows the program no truth, and scores what it says by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import Tagged, tag_alignment
from fidelity.dossier import read_dossier
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.witnesses.folds import NO_FOLDS
from tests.benchmarks import real_copies, real_sets, restoring
from tests.benchmarks.score_rows import band_rows, brier, level_rows
from tests.benchmarks.scoring import is_right, judged

ORIGINAL, COPY = "wæs on þam felda and stan swa", "wær on þam felda an d scan rwa"


def truth() -> Tagged:
    """Give what the original has at each letter of the copy."""
    return tag_alignment(align_witnesses(Witness("O", ORIGINAL), Witness("C", COPY)), NO_FOLDS)


def proposal(transmitted: str, proposed: str, probability: float, at: int | None = None) -> ProposedReading:
    """Propose letters for letters of the copy, where they stand first if nowhere else."""
    start = COPY.index(transmitted) if at is None else at
    span = (start, start + len(transmitted))
    return ProposedReading(1, "L000", Locus("L000", "1", 1), span, transmitted, proposed, probability)


@pytest.mark.parametrize(
    ("transmitted", "proposed", "right"),
    [
        ("wær", "wæs", True),
        ("wær", "wet", False),
        ("felda", "felde", False),
        ("an d", "and", True),
        ("scan", "stan", True),
        ("c", "t", True),  # one letter of a word
        ("c", "o", False),
        ("c", "tt", False),  # nearer by one letter, but it changes two
    ],
)
def test_right_and_wrong(transmitted: str, proposed: str, right: bool) -> None:
    """Whole words are right to the letter; letters if they bring their word nearer by their full size."""
    assert is_right(COPY, truth(), proposal(transmitted, proposed, 0.9)) is right


def test_a_division_within_words() -> None:
    """Leaving out a division brings both its words nearer to the original's one."""
    between = COPY.index("an d") + 2
    assert is_right(COPY, truth(), proposal(" ", "", 0.9, at=between))
    assert not is_right(COPY, truth(), proposal(" ", "", 0.9, at=3))


def test_scores_by_hand() -> None:
    """Of four wrong words wær and scan are restored at .5, wær alone at .9; "an d" and rwa are not."""
    readings = [
        proposal("wær", "wæs", 0.9),
        proposal("scan", "stan", 0.6),
        proposal("rwa", "hwa", 0.55),
        proposal("felda", "felde", 0.3),
    ]
    found = judged(COPY_WITNESS, truth(), readings)
    assert (found.wrong_words, found.restored) == (4, (2, 1, 1))
    assert found.right == (True, True, False, False)
    [half, _, nine] = level_rows([found])
    assert half["precision"] == pytest.approx(2 / 3)
    assert nine["precision"] == 1.0
    assert nine["restored"] == pytest.approx(1 / 4)
    assert brier([found]) == pytest.approx((0.01 + 0.16 + 0.3025 + 0.09) / 4)
    bands = {row["from"]: (row["proposals"], row["found"]) for row in band_rows([found])}
    assert bands == {0.2: (1, 0.0), 0.5: (1, 0.0), 0.6: (1, 1.0), 0.9: (1, 1.0)}


COPY_WITNESS = Witness("C", COPY)


def test_nothing_proposed() -> None:
    """Without proposals there is no score, and no word is restored."""
    found = judged(COPY_WITNESS, truth(), [])
    assert brier([found]) is None
    assert [row["precision"] for row in level_rows([found])] == [None] * 3
    assert band_rows([found]) == []


def test_the_truth_is_not_in_the_dossier(tmp_path: Path) -> None:
    """What the program is shown holds survivors, copies and references, and no lost original."""
    task = real_sets.Task([("on þam felda", "on þam fclda")], ["wær on"], ["seo ea"], ["wæs on"])
    real_sets.lay_out(task, tmp_path)
    written = {file.name: file.read_text(encoding="utf-8") for file in tmp_path.iterdir()}
    assert not any("wæs" in text for text in written.values())
    dossier = read_dossier(tmp_path)
    assert [one.copy.letters for one in dossier.lost] == ["wær on"]
    assert [one.original.letters for one in dossier.survivors] == ["on þam felda"]
    assert [one.letters for one in dossier.references] == ["seo ea"]


def test_simple_methods_never_see_the_truth() -> None:
    """They learn from survivors and references: the same, whatever the lost originals are."""
    survivors = [("wæs on þam felda and wæs þær " * 3, "wær on þam felda and wær þær " * 3)]
    one, other = (real_sets.Task(survivors, ["wær"], [], [text]) for text in ("wæs", "xxx"))
    words = ["wær", "felda", "felds", "þær"]
    answers = [
        {name: [method(word) for word in words] for name, method in real_copies.simple_methods(task).items()}
        for task in (one, other)
    ]
    assert answers[0] == answers[1]
    assert answers[0]["word memory"] == ["wæs", "felda", "felds", "þær"]
    assert answers[0]["nearest form"][2] == "felda"
    assert answers[0]["as transmitted"] == words


def test_restoring_is_measured_on_the_lost_texts_alone(capsys: pytest.CaptureFixture[str]) -> None:
    """Speeds are told for the lost text once, twice and four times over, whole and line by line."""
    survivors = [("wæs on þam felda\nand wæs þær\n" * 3, "wær on þam felda\nand wær þær\n" * 3)]
    task = real_sets.Task(survivors, ["wær þær\non felda"], [], ["wæs þær\non felda"])
    _, [(letters, lines)], _, _ = restoring.learned(task)
    [(longer, starts)] = restoring.repeated([(letters, lines)], 2)
    assert longer == "wær þær on felda wær þær on felda"
    assert [longer[start : start + 3] for start in starts] == ["wær", "on ", "wær", "on "]
    measured = restoring.measure(task)
    assert [speed.letters for speed in measured.speeds] == [16, 33, 67]
    assert (measured.words, measured.known) == (4, 6)
    restoring.show_tables("a few words", measured, print)
    assert "4 words with 6" in capsys.readouterr().out


def test_it_says_that_it_was_skipped(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the texts are not, it says so in plain words and ends well."""
    monkeypatch.setenv(real_sets.VARIABLE, str(tmp_path / "nowhere"))
    monkeypatch.setattr("sys.argv", ["real_copies", "prints"])
    real_copies.main()
    assert "prints: skipped" in capsys.readouterr().out
