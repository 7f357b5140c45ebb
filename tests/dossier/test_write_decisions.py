"""Writing decisions: nothing is lost, whoever else writes and whatever fails."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from fidelity.dossier.decisions import DECISIONS, EARLIER, read_rows
from fidelity.dossier.lock import locked
from fidelity.dossier.write_decisions import LOCK, write_decision
from fidelity.errors import DataError
from fidelity.terms.decisions import Decision, Ruling
from tests.fuzz.killed import kill_writers

ROOT = Path(__file__).resolve().parents[2]
NOBODY = 65534  # the number of a user who owns nothing


def decided(locus: str, reason: str = "") -> Decision:
    return Decision("X", locus, Ruling.KEPT, "wær", reason=reason, when="2024-03-31")


def reasons(file: Path) -> list[str]:
    rows = read_rows(file)
    return [rows.cell(row, "reason") for row in rows.decisions]


def test_a_second_decision_takes_the_place_of_the_first(tmp_path: Path) -> None:
    """The line that is replaced stands among the earlier ones, and no lock and no half file is left."""
    write_decision(tmp_path, decided("1.1", "first"))
    write_decision(tmp_path, decided("1.2", "other"))
    (old,) = write_decision(tmp_path, decided("1.1", "second"))
    assert old["reason"] == "first"
    assert reasons(tmp_path / DECISIONS) == ["other", "second"]
    assert reasons(tmp_path / EARLIER) == ["first"]
    assert {one.name for one in tmp_path.iterdir()} == {DECISIONS, EARLIER}


def test_what_the_program_does_not_know_is_kept(tmp_path: Path) -> None:
    """Remarks, columns of the editor's own, delimiter, byte-order mark and line ends stay as they are."""
    before = "\ufeff# my list\r\nwhen;mood;decision;text;locus;transmitted\r\n;;;\r\n"
    line = "2024-01-01;glad;open;X;X 1.1;wær\r\n"
    (tmp_path / DECISIONS).write_bytes((before + line).encode())
    write_decision(tmp_path, decided("1.2", "so; be it"))
    write_decision(tmp_path, decided("1.1"))
    written = (tmp_path / DECISIONS).read_bytes().decode()
    head = before.replace("transmitted", "transmitted;original;value;reason;who")
    new = '2024-03-31;;kept;X;1.2;wær;;;"so; be it";\r\n2024-03-31;;kept;X;1.1;wær;;;;\r\n'
    assert written == head + new
    rows = read_rows(tmp_path / EARLIER)
    assert rows.record(rows.decisions[0])["mood"] == "glad"


def test_a_file_that_runs_on_is_not_written_to(tmp_path: Path) -> None:
    """After an open quotation mark a new line would be part of the old one; the file stays as it is."""
    text = 'text,locus,transmitted,decision,when\nX,1.1,"wær,kept,2024-03-31\n'
    (tmp_path / DECISIONS).write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match="not closed"):
        write_decision(tmp_path, decided("1.2"))
    assert (tmp_path / DECISIONS).read_text(encoding="utf-8") == text


WRITER = """
import sys
from pathlib import Path
from fidelity.dossier.write_decisions import write_decision
from fidelity.terms.decisions import Decision, Ruling
for number in range(int(sys.argv[3])):
    one = Decision("X", f"{sys.argv[2]}.{number}", Ruling.KEPT, "wær", when="2024-03-31")
    write_decision(Path(sys.argv[1]), one)
"""


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Two processes with a hundred decisions each: two hundred lines."""
    command = [sys.executable, "-c", WRITER, str(tmp_path)]
    both = [subprocess.Popen([*command, line, "100"], cwd=ROOT) for line in ("1", "2")]
    assert [one.wait() for one in both] == [0, 0]
    rows = read_rows(tmp_path / DECISIONS)
    loci = {rows.cell(row, "locus") for row in rows.decisions}
    assert loci == {f"{line}.{number}" for line in (1, 2) for number in range(100)}
    assert len(rows.decisions) == 200
    assert [one.name for one in tmp_path.iterdir()] == [DECISIONS]


def test_killed_writers_lose_nothing(tmp_path: Path) -> None:
    """Thirty writers killed at random moments: all they said they had written is there."""
    kept = kill_writers(tmp_path, kills=30, seed=3)
    assert (kept.kills, kept.lost) == (30, [])
    assert kept.written > 0
    write_decision(tmp_path, decided("9.9"))  # and the next has no lock in its way
    assert not [one for one in tmp_path.iterdir() if one.name not in (DECISIONS, EARLIER)]


def test_a_lock_that_is_held_is_waited_for(tmp_path: Path) -> None:
    """Who holds it is named if it takes too long; if not, the decision is written."""
    with locked(tmp_path / LOCK):
        with pytest.raises(DataError, match=f"process {os.getpid()} on") as raised:
            write_decision(tmp_path, decided("1.1"), waited=0.05)
        assert LOCK in raised.value.faults[0].remedy
        writing = threading.Thread(target=write_decision, args=(tmp_path, decided("1.1")))
        writing.start()
        time.sleep(0.05)
        assert not (tmp_path / DECISIONS).exists()
    writing.join()
    assert len(read_rows(tmp_path / DECISIONS).decisions) == 1


@pytest.mark.parametrize("change", [{"process": 2**22 + 1}, {"began": "0"}])
def test_a_lock_of_the_dead_is_taken_away(tmp_path: Path, change: dict[str, object]) -> None:
    """A process that no longer runs, or whose number another process has now."""
    with locked(tmp_path / LOCK):
        signed = json.loads((tmp_path / LOCK).read_bytes())
    if "began" in change and signed["began"] is None:
        pytest.skip("the system does not say when a process began")
    (tmp_path / LOCK).write_text(json.dumps(signed | change), encoding="utf-8")
    write_decision(tmp_path, decided("1.1"), waited=1)
    assert [one.name for one in tmp_path.iterdir()] == [DECISIONS]


def test_a_lock_of_another_machine_is_left_alone(tmp_path: Path) -> None:
    """Nobody here can tell whether its maker runs."""
    with locked(tmp_path / LOCK):
        signed = json.loads((tmp_path / LOCK).read_bytes())
    (tmp_path / LOCK).write_text(json.dumps(signed | {"machine": "elsewhere"}), encoding="utf-8")
    with pytest.raises(DataError, match="on elsewhere"):
        write_decision(tmp_path, decided("1.1"), waited=0.05)


def test_a_lock_without_a_name_is_taken_away_in_time(tmp_path: Path) -> None:
    """Its maker was killed before it signed: after ten seconds it is left behind, before it is not."""
    lock = tmp_path / LOCK
    lock.touch()
    with pytest.raises(DataError, match="another run is writing"):
        write_decision(tmp_path, decided("1.1"), waited=0.05)
    old = time.time() - 11
    os.utime(lock, (old, old))
    write_decision(tmp_path, decided("1.1"), waited=0.05)
    assert not lock.exists()


def test_a_writer_that_lost_its_lock_writes_nothing(tmp_path: Path) -> None:
    """Whose lock was deleted by hand says so instead of writing over another's decision."""
    write_decision(tmp_path, decided("1.1"))
    (tmp_path / "x.csv").write_text("", encoding="utf-8")
    from fidelity.dossier.write_decisions import _put

    with pytest.raises(DataError, match="taken the lock away"):
        _put(tmp_path / "x.csv", read_rows(tmp_path / DECISIONS), lambda: False)
    assert (tmp_path / "x.csv").read_bytes() == b""
    assert not list(tmp_path.glob("*.new"))


TRIED = """
import sys
from pathlib import Path
from fidelity.dossier.write_decisions import write_decision
from fidelity.errors import DataError
from fidelity.terms.decisions import Decision, Ruling
one = Decision("X", "1.9", Ruling.KEPT, "wær", reason="x" * int(sys.argv[2]), when="2024-03-31")
if len(sys.argv) > 3:
    import os
    os.setuid(int(sys.argv[3]))
try:
    write_decision(Path(sys.argv[1]), one)
except DataError as error:
    print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a folder cannot be made read-only there")
def test_a_read_only_folder_is_told(tmp_path: Path) -> None:
    """What cannot be written is said, with what to do; the decisions stay."""
    write_decision(tmp_path, decided("1.1"))
    before = (tmp_path / DECISIONS).read_bytes()
    user = [str(NOBODY)] if os.getuid() == 0 else []  # nothing is read-only for the one who may do all
    for folder in (tmp_path, *tmp_path.parents):
        if folder.owner() == tmp_path.owner() and folder != Path("/"):
            folder.chmod(folder.stat().st_mode | 0o055)
    tmp_path.chmod(0o555)
    try:
        command = [sys.executable, "-c", TRIED, str(tmp_path), "1", *user]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    finally:
        tmp_path.chmod(0o755)
    assert "cannot be written: Permission denied" in done.stdout, done.stderr
    assert "make the folder writable" in done.stdout
    assert (tmp_path / DECISIONS).read_bytes() == before


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Mount a disk of 64 kB."""
    disk = tmp_path / "disk"
    disk.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(disk)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        pytest.skip(f"no small disk can be mounted: {error}")
    if done.returncode:
        pytest.skip(f"no small disk can be mounted: {done.stderr.strip()}")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_is_told(small_disk: Path) -> None:
    """Half-written files are taken away, the decisions stay, and with room it goes on."""
    write_decision(small_disk, decided("1.1", "a" * 15_000))
    before = (small_disk / DECISIONS).read_bytes()
    with pytest.raises(DataError, match="No space left on device") as raised:
        write_decision(small_disk, decided("1.2", "b" * 45_000))
    assert "make room" in raised.value.faults[0].remedy
    assert (small_disk / DECISIONS).read_bytes() == before
    assert [one.name for one in small_disk.iterdir()] == [DECISIONS]
    with pytest.raises(DataError, match="No space left on device"):
        write_decision(small_disk, decided("1.1", "c" * 60_000))  # would replace the first
    assert (small_disk / DECISIONS).read_bytes() == before
    write_decision(small_disk, decided("1.3"))
    assert len(read_rows(small_disk / DECISIONS).decisions) == 2
