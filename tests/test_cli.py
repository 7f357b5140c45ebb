"""The commands: each is a thin face of the library function of its name."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

import fidelity
from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.entries_trial import TRIAL_TABLES, trial_rows
from fidelity.apparatus.folder import write_audit
from fidelity.apparatus.side_by_side import LEGEND, LEGEND_MOVED
from fidelity.apparatus.summary import summary, trial_summary
from fidelity.apparatus.tables import json_text
from fidelity.cli import main
from tests.apparatus.made import made_audit, made_dossier, made_trial

COMMANDS = sorted(main.commands.items())
DEMO = Path(__file__).parent.parent / "demo_pairs" / "wickenby_short"


def run(*words: object) -> Result:
    """Run a command as on the command line."""
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


def fake(monkeypatch: pytest.MonkeyPatch, name: str, result: object) -> list[tuple[object, ...]]:
    """Let a library function give this result; give the arguments it is called with."""
    calls: list[tuple[object, ...]] = []

    def called(*args: object, **named: object) -> object:
        calls.append((*(arg for arg in args if not callable(arg)), *sorted(named.items())))
        if isinstance(result, Exception):
            raise result
        return result

    monkeypatch.setattr(fidelity, name, called)
    return calls


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    """Give an original and a copy as files."""
    original, copy = tmp_path / "original.txt", tmp_path / "copy.txt"
    original.write_text("þiꞅ ꞅynꝺon þa\nlanꝺᵹemæꞃa ꞇo\n", encoding="utf-8")
    copy.write_text("þis ryndon þa\nland gemæra to\n", encoding="utf-8")
    return original, copy


def test_commands_are_those_of_the_library() -> None:
    """Every command has a library function of its name, and the other way round."""
    assert sorted(main.commands) == sorted(fidelity.__all__)


@pytest.mark.parametrize(("name", "command"), COMMANDS)
def test_every_command_and_option_has_help(name: str, command: click.Command) -> None:
    """Each command says what it does, names its arguments, shows an example, and explains each option."""
    shown = run(name, "--help").output
    assert f"Example:\n    fidelity {name} " in shown
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help
        else:
            told = shown.split("\n\n", 1)[1]
            assert (parameter.metavar or parameter.name or "").strip("[]").upper() in told
    assert "--json" in shown


def test_commands_stand_in_the_order_of_the_work() -> None:
    """The list of commands begins with what a newcomer needs first."""
    assert main.list_commands(click.Context(main))[:3] == ["demo", "new", "check"]
    assert len(run("--help").output.split("\n")) < 40


def test_help_needs_nothing_heavy() -> None:
    """Printing help imports none of the large libraries, so that it answers at once."""
    heavy = "{'numpy', 'scipy', 'pandas', 'jinja2', 'tabulate', 'rapidfuzz', 'matplotlib', 'fontTools'}"
    code = (
        "import sys; from fidelity.cli import main; main(['audit', '--help'], standalone_mode=False);"
        f"sys.exit(', '.join({heavy} & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stderr == ""
    assert done.returncode == 0


NOT_TO_COMPARE = (  # large libraries, and rooms of the package with other work
    *(
        "matplotlib",
        "scipy",
        "pandas",
        "lxml",
        "jinja2",
        "tabulate",
        "rapidfuzz",
        "regex",
        "tomllib",
        "zipfile",
        "json",
    ),
    *(
        "fidelity.readings",
        "fidelity.trial",
        "fidelity.sources",
        "fidelity.audit",
        "fidelity.copyist.model",
        "fidelity.confusions.habits",
    ),
    *("fidelity.dossier.read", "fidelity.dossier.form", "fidelity.dossier.places"),
    *("fidelity.witnesses.tables", "fidelity.witnesses.leiden", "fidelity.witnesses.not_texts_packed"),
    *("fidelity.witnesses.xml_kinds", "fidelity.witnesses.spreadsheets"),
)


def test_comparing_two_texts_needs_nothing_of_other_work(tmp_path: Path) -> None:
    """Two plain texts in old letters are compared without what only other texts and commands need."""
    for name, text in (("original", "[fol. 3r]\nþa lanꝺᵹemæꞃa\n⁊ ofer þone ꝼeld"), ("copy", "þa landgemæpa")):
        (tmp_path / name).write_text(text, encoding="utf-8")
    code = (
        "import sys; from fidelity.cli import main;"
        "main(['compare', *sys.argv[1:], '--fold', 'insular'], standalone_mode=False);"
        f"sys.exit(', '.join(set({NOT_TO_COMPARE}) & set(sys.modules)) or 0)"
    )
    files = [str(tmp_path / "original"), str(tmp_path / "copy")]
    done = subprocess.run(
        [sys.executable, "-c", code, *files], capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.stderr == ""
    assert "Score card" in done.stdout
    assert done.returncode == 0


def test_version() -> None:
    """The version is that of the installed program."""
    assert run("--version").output.strip().endswith(version("fidelity"))


def test_audit_writes_and_tells(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The audit is written, and its gist printed with the readings beside what is transmitted."""
    calls = fake(monkeypatch, "audit", made_audit())
    result = run("audit", "D", "--out", tmp_path / "out")
    assert result.exit_code == 0
    assert calls == [(Path("D"),)]
    assert (tmp_path / "out" / "report.html").exists()
    words = ["Erasmus Wickenby went wrong", "In the blind test", "Score card", "Commonest confusions"]
    words += ["Patterns to review", "Blind test", "Proposed readings", "proposed readings, to be judged"]
    for part in [*words, str(tmp_path / "out")]:
        assert part in result.output.replace("\n", " ")
    line = next(line for line in result.output.split("\n") if line.startswith("X 3v:1.2  wær"))
    assert line.split() == [
        "X",
        "3v:1.2",
        "wær",
        "wæs",
        "wær",
        "0.712",
        "42",
        "of",
        "60",
        "right",
        "misreading",
        "s→r",
    ]
    assert result.stderr == ""


def test_audit_as_json_is_the_summary(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """With --json the summary is printed, and where the files are."""
    fake(monkeypatch, "audit", made_audit())
    printed = json.loads(run("audit", "D", "--out", tmp_path / "out", "--json").output)
    files = printed.pop("files")
    assert printed == json.loads(json_text(summary(made_audit())))
    assert all(Path(file).exists() for file in files)


def test_trial_prints_its_tables(monkeypatch: pytest.MonkeyPatch) -> None:
    """The blind test is told in sentences and tables, mistakes with reasons; as JSON with every proposal."""
    calls = fake(monkeypatch, "trial", made_trial())
    shown = run("trial", "D").output
    for part in (
        "Of 4 wrong places 2 went unseen",
        "Brier score and its parts",
        "word memory",
        "E 1r:2.1 “gemæra”: “s” for “r” proposed with 0.55 (letter); the copy was right (so at 3 places).",
        "Why: he wrote r for s in 2 of 9 chances",
    ):
        assert part in " ".join(shown.split())
    assert shown.index("lanꝺ") < shown.index("∅")  # good words in good places come first
    assert "To read: there/trial.html" in run("trial", "D", "--out", "there").output
    decided = ("without_decisions", False)
    assert calls == [(Path("D"), ("out", None), decided), (Path("D"), ("out", Path("there")), decided)]
    assert "1 of 2 readings proposed" in shown.replace("\n", " ")
    assert "Brier score 0.182" in shown or "Brier score 0.183" in shown
    printed = json.loads(run("trial", "D", "--json").output)
    assert printed.pop("readings") == trial_rows(made_trial())
    assert printed == json.loads(json_text(trial_summary(made_trial())))


def test_trial_writes_its_page(tmp_path: Path) -> None:
    """The page and every table are written, twice the same bytes; what is not a blind test is left alone."""
    out = tmp_path / "out"
    shown = run("trial", DEMO, "--out", out).output
    assert f"To read: {out / 'trial.html'}" in shown
    first = {file.relative_to(out).as_posix(): file.read_bytes() for file in out.rglob("*.*")}
    pictures = {f"pictures/reliability.{kind}" for kind in ("svg", "pdf", "png")}
    assert set(first) == {f"{name}.csv" for name in TRIAL_TABLES} | {"trial.html", "trial.json"} | pictures
    fidelity.trial(DEMO, out=out)
    assert {file.relative_to(out).as_posix(): file.read_bytes() for file in out.rglob("*.*")} == first
    assert json.loads(first["trial.json"])["files"] == sorted(first)
    (tmp_path / "notes").mkdir()
    (tmp_path / "notes" / "mine.txt").write_text("X 3: look again")
    refused = run("trial", DEMO, "--out", tmp_path / "notes")
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "holds something else" in refused.stderr


def test_patterns_lists_what_to_review(monkeypatch: pytest.MonkeyPatch) -> None:
    """The review list is printed, worst first, as long as asked for; JSON has its tables."""
    made = made_audit()
    calls = fake(monkeypatch, "patterns", made)
    whole, first = run("patterns", "somewhere"), run("patterns", "somewhere", "--most", 1)
    assert "2. words divided" in whole.output
    assert "2. words divided" not in first.output
    as_json = json.loads(run("patterns", "somewhere", "--json").output)
    assert list(as_json) == ["patterns", "look_at", "habits", "circumstances"]
    assert [row["pattern"] for row in as_json["patterns"]] == [one.pattern for one in made.patterns]
    assert len(json.loads(run("patterns", "somewhere", "--json", "--most", 1).output)["patterns"]) == 1
    assert calls == [(Path("somewhere"),)] * 4
    assert run("patterns", "somewhere", "--most", 0).exit_code == 2


def test_patterns_of_the_demo() -> None:
    """In the demo the worst is ꞅ for r, thirteen of 41, in print, and nothing is proposed."""
    found = fidelity.patterns(DEMO)
    assert found.patterns[0].letters == ("ꞅ", "r")
    assert (found.patterns[0].count, found.patterns[0].chances) == (13, 41)
    habit = found.habits[0]
    assert ("C010", "one-way", True) in [(one.id, one.direction, one.his_script) for one in habit.in_print]
    assert not found.readings
    shown = run("patterns", DEMO).output
    assert "X 6.6 þæne (þære)" in shown


def test_check_lists_the_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dossier without fault is shown with the size of its texts and its notes."""
    fake(monkeypatch, "check", made_dossier())
    shown = run("check", "D").output
    assert "copy of a lost original" in shown
    assert made_dossier().notes[0] in shown
    assert [row["letters"] for row in json.loads(run("check", "D", "--json").output)["texts"]] == [23, 23, 37]


def test_new_lays_out_a_dossier(tmp_path: Path) -> None:
    """The files laid out are named, and are there."""
    files = json.loads(run("new", tmp_path / "wickenby", "--json").output)["files"]
    assert files
    assert all(Path(file).exists() for file in files)
    again = run("new", tmp_path / "wickenby")
    assert (again.exit_code, again.stdout) == (1, "")


def test_demo_tells_what_it_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each demo dossier's result is told in three sentences with the place of its page."""
    calls = fake(monkeypatch, "demo", [(Path("there/results"), made_audit())])
    shown = run("demo").output
    assert calls == [(Path("fidelity_demo"),)]
    assert "To read: there/results/report.html" in shown
    assert "Erasmus Wickenby went wrong" in shown
    assert json.loads(run("demo", "--json").output)[0]["folder"] == "there/results"


def test_compare_shows_score_confusions_and_patterns(pair: tuple[Path, Path]) -> None:
    """Two files are compared with the folds that are named; JSON has the rows of the tables."""
    shown = run("compare", *pair, "--fold", "insular").output
    for part in (
        "The copyist went wrong at 1 of 23 letters",
        "Score card",
        "Commonest confusions",
        "words divided",
    ):
        assert part in shown
    printed = json.loads(run("compare", *pair, "--fold", "insular", "--json").output)
    assert list(printed) == ["scores", "confusions", "patterns", "variants"]
    assert [(one["original"], one["copy"]) for one in printed["variants"]] == [("ꞅ", "r"), ("", " ")]
    assert tuple(printed["variants"][0]) == TABLES["variants"].columns
    without = json.loads(run("compare", *pair, "--json").output)
    assert len(without["variants"]) > len(printed["variants"])


def test_align_shows_both_texts(pair: tuple[Path, Path]) -> None:
    """The signs are explained, and original and copy stand above each other in the width asked for."""
    shown = run("align", *pair, "--fold", "insular", "--width", "60", "--context", "0").output
    assert shown.startswith("\n".join(LEGEND))
    blocks = shown.split("\n")[len(LEGEND) + 1 :]
    assert [line.split() for line in blocks[:3]] == [
        ["original", "1.1", "þiꞅ", "ꞅynꝺon", "þa"],
        ["×"],
        ["copy", "1.1", "þis", "ryndon", "þa"],
    ]
    assert max(map(len, blocks)) <= 60


def test_align_as_json_gives_back_both_texts(pair: tuple[Path, Path]) -> None:
    """The steps hold every letter of both texts."""
    steps = json.loads(run("align", *pair, "--fold", "insular", "--json").output)["steps"]
    assert "".join(step["original"] for step in steps) == "þiꞅ ꞅynꝺon þa lanꝺᵹemæꞃa ꞇo"
    assert "".join(step["copy"] for step in steps) == "þis ryndon þa land gemæra to"
    assert {step["kind"] for step in steps} == {"kept", "changed"}


def test_align_checks_itself(pair: tuple[Path, Path]) -> None:
    """With --check the stretches aligned in full are told in words, and in JSON; without, nothing is said."""
    shown = run("align", *pair, "--fold", "insular", "--check").output
    assert "Check: the whole text" in shown and "no better alignment was found" in " ".join(shown.split())
    assert "Check" not in run("align", *pair, "--fold", "insular").output
    facts = json.loads(run("align", *pair, "--fold", "insular", "--check", "--json").output)
    assert list(facts) == ["cost", "rounds", "steps", "moved", "doubts", "check"]
    assert facts["check"]["cost"] == facts["check"]["least"] and facts["check"]["stretches"] == 1
    assert json.loads(run("align", *pair, "--json").output)["check"] is None


def test_align_tells_what_was_moved_and_what_is_in_doubt(tmp_path: Path) -> None:
    """Moved words and rival readings are told on the screen, with their signs explained, and in JSON."""
    original, copy = tmp_path / "original.txt", tmp_path / "copy.txt"
    original.write_text("genim þonne betonican and rudan\nnim se se wudu\n", encoding="utf-8")
    copy.write_text("genim betonican and rudan þonne\nnim se wudu\n", encoding="utf-8")
    shown = run("align", original, copy).output
    assert "\n".join(LEGEND_MOVED) in shown
    told = " ".join(shown.split())
    assert "moved: stood after “genim” in the original, original 1.2; stands after “betonican and" in told
    assert "rudan” in the copy, copy 1.5: þonne" in told
    assert "“se” (original 2." in told and "was left out" in told
    facts = json.loads(run("align", original, copy, "--json").output)
    assert [(one["original"], one["copy_locus"]) for one in facts["moved"]] == [("þonne", "copy 1.5")]
    assert [one["phenomenon"] for one in facts["doubts"]] == ["omission"]


def test_align_says_when_nothing_differs(pair: tuple[Path, Path]) -> None:
    """A text against itself shows no difference, and says so."""
    assert run("align", pair[0], pair[0]).output == "There is no difference.\n"


def test_apply_lists_every_change(tmp_path: Path) -> None:
    """What was put in is printed, and as JSON; the texts are written."""
    write_audit(made_audit(), tmp_path / "out")
    shown = run("apply", tmp_path / "out", "--at-least", "0.5", "--to", tmp_path / "texts").output
    assert "X 3v:1.2  wær" in shown
    assert str(tmp_path / "texts" / "X.txt") in shown
    printed = json.loads(
        run("apply", tmp_path / "out", "--at-least", "0.6", "--to", tmp_path / "t2", "--json").output
    )
    assert [change["reading"] for change in printed["changes"]] == [1]
    none = run("apply", tmp_path / "out", "--at-least", "0.99", "--to", tmp_path / "t3").output
    assert "nothing was changed" in none


def test_progress_is_silent_in_a_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    """Progress is told on a terminal, and not where standard error is no terminal."""

    def tells(_: Path, progress: Callable[[str], None], **__: object) -> object:
        progress("aligning E")
        return made_trial()

    monkeypatch.setattr(fidelity, "trial", tells)
    assert run("trial", "D").stderr == ""
    monkeypatch.setattr(
        "fidelity.cli_dossier.progress", lambda: lambda message: click.echo(message, err=True)
    )
    assert run("trial", "D").stderr == "aligning E\n"


def test_progress_is_told_on_a_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where standard error is a terminal each stage is announced."""
    from fidelity.cli_options import progress

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    progress()("aligning E")
    assert capsys.readouterr().err == "aligning E …\n"


def test_the_whole_chain(tmp_path: Path) -> None:
    """The demo dossier is audited twice to the same bytes, and its proposals are applied."""
    for name in ("one", "two"):
        words = [sys.executable, "-m", "fidelity", "audit", str(DEMO), "--out", str(tmp_path / name)]
        done = subprocess.run(words, capture_output=True, text=True, encoding="utf-8", check=False)
        assert (done.returncode, done.stderr) == (0, "")
        assert "Erasmus Wickenby" in done.stdout
    one, two = (
        {file.relative_to(tmp_path / name): file.read_bytes() for file in (tmp_path / name).rglob("*.*")}
        for name in ("one", "two")
    )
    assert one == two
    assert (tmp_path / "one" / "texts" / "X.txt").read_bytes() == (DEMO / "X" / "copy.txt").read_bytes()
    result = run("apply", tmp_path / "one", "--at-least", "0", "--to", tmp_path / "texts")
    assert result.exit_code == 0
    lines = (tmp_path / "texts" / "X.txt").read_text(encoding="utf-8").split("\n")
    assert len(lines) == len((DEMO / "X" / "copy.txt").read_text(encoding="utf-8").split("\n"))
