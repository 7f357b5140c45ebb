"""Whatever the readers are given, nothing comes out but a text or a FidelityError with its place."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.witnesses.read import read_witness
from tests.fuzz.run import Tally, fuzz, inputs, lay_out, try_one
from tests.fuzz.seeds import DOSSIER, READERS

COUNT = 2_000
ROOT = Path(__file__).resolve().parent.parent.parent


def test_spoilt_and_harmful_inputs(tmp_path: Path) -> None:
    """Of 2,000 inputs each is read or refused with a FidelityError; of every reader some are read."""
    tally = fuzz(COUNT, 1, tmp_path)
    assert tally.wrong == []
    assert sum(tally.read.values()) + sum(tally.refused.values()) == COUNT
    assert all(tally.read[name] and tally.refused[name] for name in READERS)


def test_memory_is_bounded(tmp_path: Path) -> None:
    """All harmful inputs (entity bombs, deep nesting, long lines) are dealt with in 2 GB of memory."""
    words = [sys.executable, "-m", "tests.fuzz.run", "--count", "150", "--seed", "2"]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert not list(tmp_path.iterdir())


def test_the_same_seed_gives_the_same_inputs() -> None:
    """A find can be made again from count and seed."""
    assert list(inputs(300, 5))[-50:] == list(inputs(300, 5))[-50:]
    assert list(inputs(300, 5))[-50:] != list(inputs(300, 6))[-50:]


@pytest.mark.parametrize("name", READERS)
def test_sound_inputs_are_read(tmp_path: Path, name: str) -> None:
    """What the fuzz begins with is sound: each reader reads its own."""
    lay_out(tmp_path)
    tally = Tally()
    try_one(name, READERS[name][2].encode(), tmp_path, tally)
    assert tally.read[name] == 1


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("circle.txt", "cannot be followed"),
        ("o" * 300 + ".txt", "cannot be followed"),
        ("link.txt", "leaves the dossier by a link"),
        ("../o.txt", "leaves the dossier"),
        ("/etc/hostname", "leaves the dossier"),
    ],
)
def test_paths_that_lead_astray(tmp_path: Path, name: str, what: str) -> None:
    """A link in a circle and a path outside the dossier are refused, each at its line."""
    lay_out(tmp_path)
    (tmp_path / "dossier.toml").write_text(DOSSIER.replace("o.txt", name), encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_dossier(tmp_path)
    (fault,) = caught.value.faults
    assert what in fault.what
    assert fault.line == 8


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("a = " + "[" * 15_000, "too deep"),
        ("[" + "a." * 15_000 + "a]", "more than 20,000 letters"),
    ],
)
def test_dossiers_that_would_take_for_ever(tmp_path: Path, text: str, what: str) -> None:
    """Lists in lists without end, and keys of thousands of parts, are refused before they are read."""
    (tmp_path / "dossier.toml").write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match=what):
        read_dossier(tmp_path)


def test_entities_are_neither_expanded_nor_fetched(tmp_path: Path) -> None:
    """A document that declares entities is refused before anything is read through them."""
    secret = tmp_path / "secret.txt"
    secret.write_text("lanꝺ", encoding="utf-8")
    file = tmp_path / "E.xml"
    file.write_text(f'<!DOCTYPE a [<!ENTITY a SYSTEM "{secret.as_uri()}">]>\n<ab>&a;</ab>', encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_witness(file)
    assert "lanꝺ" not in str(caught.value)
    assert "entities" in str(caught.value)
