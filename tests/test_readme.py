"""What the README says of signs, folders and JSON is what the program does."""

from __future__ import annotations

import doctest
import re
import shutil
from pathlib import Path

import pytest

from fidelity.apparatus.entries_texts import state_in_words
from fidelity.dossier.form import FORM
from fidelity.terms import State
from fidelity.witnesses import leiden
from fidelity.witnesses.leiden import LEIDEN_PROFILES
from fidelity.witnesses.read import read_witness

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo_pairs" / "wickenby_short"
README = (ROOT / "README.md").read_text(encoding="utf-8")
_ROWS = README.split("<!-- signs -->")[1].split("<!-- /signs -->")[0].strip().split("\n")[2:]
SIGNS = [
    (sample, counted.strip())
    for written, _, counted in (row.strip("|").split("|") for row in _ROWS)
    for _, sample in re.findall("(``?) ?(.+?) ?\\1(?!`)", written)
]

IN_WORDS = {state: state_in_words(state, 1).removeprefix("1 ") for state in State}  # as the screen has them


@pytest.mark.parametrize(("sample", "counted"), SIGNS)
def test_a_sign_counts_as_the_readme_says(sample: str, counted: str) -> None:
    """Each sign of the README's list is read as the list says, under both profiles."""
    said = counted.split("; ")
    for profile, state in zip(LEIDEN_PROFILES, said * (3 - len(said)), strict=True):
        witness = read_witness(f"on {sample} on", profile=profile)
        inside = range(3, len(witness) - 3)
        if state == "blanks":
            assert {witness.letters[at] for at in range(2, len(witness) - 2)} == {" "}
        elif state == "another hand's":
            assert {witness.hand(at) for at in inside} == {"added"}
        else:
            assert {IN_WORDS[witness.state(at)] for at in inside} == {state}
            assert witness.hand_names == ("main",)
        assert {witness.state(at) for at in (0, len(witness) - 1)} == {State.CLEAR}


def test_every_sign_stands_in_the_readme() -> None:
    """No sign that the program reads is missing from the list, and no state that a sign gives."""
    shown = "".join(sample for sample, _ in SIGNS)
    signs = {*leiden._CLOSED_BY, *leiden._CLOSED_BY.values()}
    assert {sign for sign in signs if sign not in shown} == set()
    assert set(IN_WORDS.values()) <= {word for _, counted in SIGNS for word in counted.split("; ")}


def test_lines_of_the_readme_fit_a_screen() -> None:
    """Prose is wrapped at 120 letters; only the rows of tables may be longer."""
    long = [line for line in README.split("\n") if len(line) > 120 and not line.startswith("|")]
    assert long == []


def test_links_in_the_readme_lead_somewhere() -> None:
    """Each link within the README names one of its headings."""
    headings = {
        re.sub(r"[^\w -]", "", title).strip().lower().replace(" ", "-")
        for title in re.findall(r"^#+ (.*)$", README, re.MULTILINE)
    }
    assert set(re.findall(r"\]\(#([^)]+)\)", README)) <= headings


def test_every_table_of_a_dossier_is_met_in_the_readme() -> None:
    """The kinds of entry are named in the README, as a word."""
    assert {name for name in FORM if not re.search(name, README, re.IGNORECASE)} == set()


def test_the_cells_of_the_readme_give_what_it_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run one after the other on the demo as it is laid out, the cells give what stands below them."""
    cells = README.split("<!-- python -->")[1].split("<!-- /python -->")[0].replace("```", "")
    shutil.copytree(DEMO, tmp_path / "my_demo" / DEMO.name)
    monkeypatch.chdir(tmp_path)
    example = doctest.DocTestParser().get_doctest(cells, {}, "README.md", "README.md", 0)
    assert len(example.examples) >= 10
    told: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    runner.run(example, out=told.append)
    assert told == []
