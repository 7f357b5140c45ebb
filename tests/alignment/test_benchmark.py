"""The benchmark of the alignment: its made copies, its verdicts, and its ways of looking."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.terms import Witness
from tests.alignment.made_copies import OPERATIONS, made_pair, made_text, vocabulary, with_operations
from tests.benchmarks import alignment as benchmark
from tests.benchmarks.alignment_limits import compared, judged_limits
from tests.benchmarks.alignment_runs import OURS, interleaved
from tests.benchmarks.run_on import answers, paired, starts_of

ROOT = Path(__file__).resolve().parents[2]
COMPILED = [*ROOT.glob("fidelity/alignment/*.so"), *ROOT.glob("fidelity/alignment/*.pyd")]


@pytest.mark.parametrize("noise", [0.02, 0.2])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_as_much_goes_wrong_as_was_asked_for(noise: float, formulaic: bool) -> None:
    """A made copy is as far from its original as its noise says; its eye-skips come on top."""
    pair = made_pair(20_000, noise, formulaic=formulaic)
    assert len(pair.original) == 20_000
    distance = Levenshtein.distance(pair.original, pair.copy)
    assert 0.85 * noise <= distance / 20_000 <= 1.1 * noise + 0.02


def test_made_texts_are_always_the_same() -> None:
    """The same seed gives the same texts, another seed others."""
    assert made_pair(3_000, 0.05, seed=4) == made_pair(3_000, 0.05, seed=4)
    assert made_text(3_000, formulaic=False, seed=4) != made_text(3_000, formulaic=False, seed=5)
    assert len(set(vocabulary())) >= 2_000


def test_formulas_return() -> None:
    """In a formulaic text a long stretch stands many times, in a plain one hardly any does twice."""

    def repeated(formulaic: bool) -> float:
        text = made_text(30_000, formulaic=formulaic, seed=1)
        stretches = Counter(text[at : at + 32] for at in range(len(text) - 32))
        return sum(count for count in stretches.values() if count > 1) / len(text)

    assert repeated(True) > 0.4 and repeated(False) < 0.02


def test_operations_are_planted_as_often_as_asked() -> None:
    """Over a long text every operation is planted at nearly its rate, and its letters are no rare ones."""
    pair = with_operations(100_000, 0.01, 0.02, seed=2)
    assert set(pair.planted) == set(OPERATIONS)
    assert all(pair.planted[one] <= pair.chances[one] for one in OPERATIONS)
    assert min(pair.chances.values()) >= 100_000 / 500
    assert sum(pair.planted.values()) == pytest.approx(0.02 * sum(pair.chances.values()), rel=0.2)


def row(letters: int, loop: str, ours: float, **more: Any) -> dict[str, Any]:
    """Give a row of a report as the benchmark makes it, in milliseconds and megabytes."""
    times = {OURS: {"milliseconds": ours}, "rapidfuzz": {"left_out": "would take long"}}
    times |= {"rapidfuzz, hint": {"milliseconds": 30.0}, "edlib path": {"milliseconds": 100.0}}
    kind = {"letters": letters, "text": "plain", "noise": 2.0, "loop": loop}
    return kind | {"times": times, "extra_mb": 60.0, "result_mb": 1.0, "cost_above": 0.0, **more}


def test_limits_are_judged_by_what_was_measured() -> None:
    """Each promise that a run measured is named with its limit and whether it is met; no other is."""
    rows = [row(100_000, "compiled", 19.0), row(100_000, "interpreted", 151.0, cost_above=0.01)]
    rows += [row(1_000_000, "compiled", 100.0, extra_mb=102.0), row(10_000_000, "compiled", 1_000.0)]
    startup = [
        {"process": "python -c pass", "over_bare": 1.0},
        {"process": "fidelity --help", "over_bare": 6.1},
    ]
    operations = [{"letters": 100_000, "found": 11.0, "false": 0.6}]
    judged = judged_limits({"rows": rows, "startup": startup, "operations": operations})
    assert {one["figure"]: one["met"] for one in judged} == {
        "100,000 plain 2 % compiled: rapidfuzz/ours": "yes",
        "100,000 plain 2 % compiled: edlib/ours": "yes",
        "100,000 plain 2 % interpreted: rapidfuzz/ours": "yes",
        "100,000 plain 2 % interpreted: edlib/ours": "no",
        "1,000,000 plain 2 % compiled: rapidfuzz/ours": "no",
        "1,000,000 plain 2 % compiled: edlib/ours": "no",
        "10,000,000 plain 2 % compiled: over 1,000,000": "yes",
        "1,000,000 plain 2 % compiled: extra MB without result (largest)": "no",
        "100,000 plain 2 % interpreted: extra MB without result (largest)": "yes",
        "100,000 plain 2 % compiled: cost above (largest)": "yes",
        "100,000 plain 2 % interpreted: cost above (largest)": "no",
        "fidelity --help, over bare": "no",
        "operations at 100,000: found": "yes",
        "operations at 100,000: false": "no",
    }


def test_two_runs_are_compared() -> None:
    """Rows that both runs have are set side by side, the newer over the older."""
    older = {"rows": [row(100_000, "compiled", 20.0), row(1_000, "compiled", 1.0)]}
    newer = {"rows": [row(100_000, "compiled", 10.0), row(10_000, "compiled", 1.0)]}
    lines = compared(newer, older).splitlines()[2:]
    assert len(lines) == 1 and lines[0].split()[-5:] == ["0.500", "-", "1.000", "1.000", "0.000"]


def test_calls_take_turns() -> None:
    """Each call is made as often as the others, in turn, and no result outlives its turn."""
    made: list[str] = []
    taken = interleaved({"one": lambda: made.append("one"), "two": lambda: made.append("two")})
    assert made[:4] == ["one", "two", "one", "two"]
    assert len(taken["one"]) == len(taken["two"]) == len(made) / 2


@pytest.mark.parametrize("interpreted", [False, True])
def test_what_is_compiled_can_be_hidden(interpreted: bool) -> None:
    """A process that hides what is compiled runs the sources alone and says so."""
    case = {"letters": 300, "noise": 0.02, "formulaic": False}
    hidden = ["tests.benchmarks.interpreted"] if interpreted else []
    command = [sys.executable, "-m", *hidden, "tests.benchmarks.alignment_runs", "times", json.dumps(case)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    assert found["figures"][OURS]["milliseconds"] > 0
    is_compiled = any(ROOT.glob("fidelity/alignment/inner.*.so")) or any(
        ROOT.glob("fidelity/alignment/*.pyd")
    )
    assert bool(found["compiled"]) == (is_compiled and not interpreted)


def test_verses_are_followed_through_a_run_on_text() -> None:
    """A verse is paired with the one whose letters it answers, also when it stands for another's copy."""
    verses = ["gang þriwa ymb þin hus", "beluc þin geat mid halgum wordum", "wes wacor ær sunne scine"]
    assert starts_of(verses) == [0, 23, 56]
    original, copy = (Witness(name, " ".join(verses)) for name in ("O", "C"))
    found = answers(align_witnesses(original, copy), starts_of(verses), starts_of(verses))
    assert [set(counts) for counts in found] == [{0}, {1}, {2}]
    well = paired(list(zip(verses, verses, strict=True)))
    assert (well["own"], well["wrong"], well["none"]) == (3, 0, 0)
    badly = paired(list(zip(verses, [verses[1], "", verses[2]], strict=True)))
    assert (badly["parts"], badly["own"], badly["wrong"]) == (2, 1, 1)
    assert badly["examples"][0][:2] == [1, 2]


@pytest.mark.skipif(not COMPILED, reason="the inner loop is not compiled here")
def test_a_whole_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run gives a row for each size, text and noise, and a file with which another is compared."""
    file = tmp_path / "run.json"
    shown: list[str] = []
    monkeypatch.chdir(ROOT)
    fixed = ["alignment", "--sizes", "400", "--noise", "5", "--plain", "--out", str(file)]
    monkeypatch.setattr(sys, "argv", fixed)
    benchmark.main(shown.append)
    report = json.loads(file.read_text(encoding="utf-8"))
    [only] = report["rows"]
    assert (only["letters"], only["text"], only["noise"], only["loop"]) == (400, "plain", 5, "compiled")
    assert set(only["times"]) == {OURS, *benchmark.PEERS}
    assert 0 <= only["extra_mb"] < 100 and 0 < only["result_mb"] < 0.1
    assert only["cost_above"] == 0 and only["checked_letters"] > 300
    monkeypatch.setattr(sys, "argv", ["alignment", "--sizes", "--against", str(file)])
    benchmark.main(shown.append)
    assert "this run over the earlier one" in shown[-1]
