"""Kill what writes, again and again at random moments: no word of the editor may be lost.

    python -m tests.fuzz.killed --writes 200 --audits 200 --seed 1

prints how often a writer of decisions and an audit were killed, in what state the files were left,
and what was lost, which must be nothing. The same seed draws the same moments.

A decision is lost if its writer had said that it was written and it stands in neither file. An
audit must leave the decisions as they were, and of its results all or nothing.
"""

from __future__ import annotations

import argparse
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from fidelity.dossier.decisions import DECISIONS, EARLIER, read_rows
from fidelity.dossier.write_decisions import LOCK

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_pairs" / "wickenby_short"
LONGEST_WRITING = 0.15  # seconds until a writer is killed; a decision takes about a tenth of that
LONGEST_FOLDER = 0.05  # seconds after a folder of results was begun until an audit is killed
MANY = 10_000  # decisions a writer would write if it were let


@dataclass
class Kept:
    """What was found after so many kills.

    Attributes:
        kills: how often somebody was killed at work.
        written: decisions of which it was said that they were written.
        left: what the killed left behind: locks, files half-written.
        lost: what is not there and should be.
    """

    kills: int = 0
    written: int = 0
    left: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)


def kill_writers(folder: Path, kills: int, seed: int) -> Kept:
    """Kill writers of decisions so many times; each goes on where the one before was killed."""
    rng = random.Random(seed)
    kept, said, next_number = Kept(), set[int](), 0
    command = [sys.executable, "-m", "tests.fuzz.killed_writer", str(folder)]
    while kept.kills < kills:
        arguments = [*command, str(next_number), str(next_number + MANY)]
        with subprocess.Popen(arguments, cwd=ROOT, stdout=subprocess.PIPE, text=True) as writer:
            assert writer.stdout is not None
            assert writer.stdout.readline() == "ready\n"
            time.sleep(rng.uniform(0, LONGEST_WRITING))
            writer.kill()
            told = [int(line) for line in writer.stdout.read().split("\n") if line.isdecimal()]
        kept.kills += 1
        said.update(told)
        _look(folder, said, kept)
        next_number = max(_numbers(folder / DECISIONS) | said, default=-1) + 1
    kept.written = len(said)
    return kept


def _numbers(file: Path) -> set[int]:
    """Give the numbers of the decisions in a file, by their reasons."""
    rows = read_rows(file)
    reasons = [rows.cell(row, "reason") for row in rows.decisions]
    return {int(reason.removeprefix("no. ").removesuffix(";")) for reason in reasons}


def _look(folder: Path, said: set[int], kept: Kept) -> None:
    """Look for every decision that was written, and at what was left behind."""
    there = _numbers(folder / DECISIONS) | _numbers(folder / EARLIER)
    kept.lost += [f"decision {number}" for number in sorted(said - there)]
    kept.left["lock"] += (folder / LOCK).exists()
    kept.left["half-written file"] += len(list(folder.glob("*.new")))


def kill_audits(folder: Path, out: Path, kills: int, seed: int) -> Kept:
    """Kill audits so many times; what they find in their way is complete, or is not there.

    Args:
        folder: a dossier with decisions.
        out: where the results go; an audit that was let finish is written there first.
        kills: how often.
        seed: of the moments.
    """
    rng, kept = random.Random(seed), Kept()
    command = [sys.executable, "-m", "fidelity", "audit", str(folder), "--out", str(out)]
    began = time.monotonic()
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    whole = time.monotonic() - began
    results, decisions = _contents(out), _contents(folder)
    while kept.kills < kills:
        with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as one:
            if kept.kills % 2:  # as it writes, which is but a small part of its time
                while one.poll() is None and not list(out.parent.glob(f".{out.name}.*")):
                    time.sleep(0.001)
                time.sleep(rng.uniform(0, LONGEST_FOLDER))
            else:
                time.sleep(rng.uniform(0, whole))
            kept.kills += one.poll() is None
            one.kill()
        if _contents(folder) != decisions:
            kept.lost.append(f"the dossier changed at kill {kept.kills}")
        now = _contents(out) if out.exists() else {}
        if now and now != results:
            kept.lost.append(f"half of the results at kill {kept.kills}")
        kept.left["no results"] += not now
        for left in out.parent.glob(f".{out.name}.*"):
            kept.left["half-written folder"] += 1
            shutil.rmtree(left)
    return kept


def _contents(folder: Path) -> dict[str, bytes]:
    """Give every file under a folder."""
    return {str(one.relative_to(folder)): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


def main(arguments: Sequence[str] | None = None) -> int:
    """Kill, look, and say what was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--writes", type=int, default=200)
    parser.add_argument("--audits", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    lost = 0
    with tempfile.TemporaryDirectory() as room:
        dossier = Path(room) / "dossier"
        shutil.copytree(DEMO, dossier)
        (Path(room) / "writing").mkdir()
        (dossier / DECISIONS).write_text(
            "text,locus,transmitted,original,decision,value,reason,who,when\n"
            "X,7.1,rece,,adopted,sece,,,2024-03-31\n",
            encoding="utf-8",
        )
        for what in ("writers of decisions", "audits"):
            if what == "audits":
                kept = kill_audits(dossier, Path(room) / "results", options.audits, options.seed)
            else:
                kept = kill_writers(Path(room) / "writing", options.writes, options.seed)
            left = ", ".join(f"{name} {count}" for name, count in kept.left.items())
            print(f"{what}: {kept.kills} killed; {kept.written} decisions written; left behind: {left}")
            print(f"lost: {len(kept.lost)} {'; '.join(kept.lost[:5])}", flush=True)
            lost += len(kept.lost)
    return bool(lost)


if __name__ == "__main__":
    sys.exit(main())
