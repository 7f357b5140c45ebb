"""The short demo gives what it gave before, and the same bytes whatever is around it."""

from __future__ import annotations

import difflib
import os
import shutil
import subprocess
import sys
from pathlib import Path

from fidelity.witnesses.data import data_folder
from tests.golden.results import ACTUAL, NAME, kept, results, save, scrubbed

MOST_LINES = 12  # of a file's difference; the whole can be seen with any program for comparing folders
MOST_WIDE = 160  # letters of such a line
LARGEST = 1_000_000  # bytes; what is kept is to be read by people


def changes(before: str, now: str) -> list[str]:
    """Give the first lines in which two texts differ."""
    found = difflib.unified_diff(before.splitlines(), now.splitlines(), "kept", "now", lineterm="", n=0)
    return [line[:MOST_WIDE] for _, line in zip(range(MOST_LINES), found, strict=False)]


def test_as_it_was(tmp_path: Path) -> None:
    """Tables, summary, page and edition file say what they said; else it is shown and saved."""
    now, before = results(tmp_path / "results"), kept()
    differing = {name for name in {*now, *before} if now.get(name) != before.get(name)}
    shutil.rmtree(ACTUAL.parent, ignore_errors=True)
    save({name: now[name] for name in differing if name in now}, ACTUAL)
    told = [
        "\n".join([name, *changes(before.get(name, ""), now.get(name, ""))]) for name in sorted(differing)
    ]
    what_to_do = f"All of it: {ACTUAL}. If it is meant: python -m tests.golden.renew"
    assert not differing, "\n\n".join([*told, what_to_do])


def test_what_is_kept_can_be_read() -> None:
    """What is kept is less than a megabyte, holds the page and the tables, and no payload."""
    texts = kept()
    assert sum(len(text.encode("utf-8")) for text in texts.values()) < LARGEST
    assert {"report.html", "summary.json", "readings.csv", "texts/X.txt"} <= set(texts)
    assert max(len(line) for line in texts["report.html"].splitlines()) < 20_000


def test_only_what_may_change_is_left_out(tmp_path: Path) -> None:
    """Of a page the payloads go, with version and dates; every word, address and text alternative stays."""
    file = tmp_path / "page.html"
    payload = "A" * 200
    file.write_text(
        f"<style>@font-face {{ src: url(data:font/woff2;base64,{payload}) }}</style><p id='a'>þæs 1,041</p>"
        f"<svg viewBox='0 0 1 1' aria-label=\"drift\"><path d='{payload}'/></svg>"
        f"<img src='data:x;base64,{payload}'><script>go()</script>",
        encoding="utf-8",
    )
    text = scrubbed(file)
    assert payload not in text and "go()" not in text
    assert all(word in text for word in ("<p id='a'>þæs 1,041</p>", 'aria-label="drift"', "<img src="))


def test_same_bytes_whatever_is_around(tmp_path: Path) -> None:
    """Another seed of hashing, another folder, working folder and time zone: the same bytes in every file."""
    found = []
    for seed, folder, zone in (("1", "one", "Asia/Tokyo"), ("2", "another_place", "America/Lima")):
        work = tmp_path / folder
        shutil.copytree(data_folder("demo_pairs") / NAME, work / f"dossier_{folder}")
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C", "PYTHONUTF8": "1"}
        command = [sys.executable, "-m", "fidelity", "audit", f"dossier_{folder}", "--out", f"out_{folder}"]
        done = subprocess.run(
            command, cwd=work, env=environment, capture_output=True, text=True, encoding="utf-8", check=False
        )
        assert done.returncode == 0, done.stderr
        out = work / f"out_{folder}"
        files = sorted(file for file in out.rglob("*") if file.is_file())
        found.append({file.relative_to(out).as_posix(): file.read_bytes() for file in files})
    first, second = found
    assert sorted(first) == sorted(second)
    assert [name for name in first if first[name] != second[name]] == []
    assert len(first) > 40
