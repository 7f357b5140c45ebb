"""Let one writer at a time at a file, also where a writer was killed.

Arrives: the path of a lock file. Leaves: a stretch of work during which no other process of this
program writes. Start reading at ``locked``.

The lock is a file that only one process can make (O_EXCL); in it stands who made it. One whose
maker no longer runs is taken away, by one process only: whoever would do so must first hold a second
lock that is named for the first one's contents.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import secrets
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from fidelity.errors import DataError

WAITED = 30.0  # seconds until a lock that somebody holds is a fault; a decision takes a hundredth of one
UNSIGNED = 10.0  # seconds after which a lock without a maker's name is one whose maker was killed
PAUSES = (0.002, 0.02)  # seconds between two tries, drawn at random so that two do not go on in step
_STILL_ACTIVE = 259  # of a Windows process


@contextmanager
def locked(lock: Path, waited: float = WAITED) -> Iterator[Callable[[], bool]]:
    """Hold a lock file while something is written.

    Args:
        lock: the file; it is there only as long as somebody writes.
        waited: seconds to wait for another that holds it.

    Yields:
        What tells whether the lock is still this process's own.

    Raises:
        DataError: another process holds it all the time, or it cannot be made.
    """
    mine = _signature()
    _take(lock, mine, time.monotonic() + waited)
    try:
        yield lambda: _read(lock) == mine
    finally:
        if _read(lock) == mine:
            with suppress(OSError):
                lock.unlink()


def _take(lock: Path, mine: bytes, until: float) -> None:
    """Make the lock file, waiting for others and taking away what the dead have left."""
    while not _made(lock, mine):
        theirs = _read(lock)
        if theirs is not None and _is_left_behind(lock, theirs):
            _take_away(lock, theirs, until)
        elif time.monotonic() > until:
            remedy = f"wait until it is done; if it is not running, delete {lock.name}"
            raise DataError(f"{_who(theirs)} is writing to this folder", file=lock, remedy=remedy)
        else:
            time.sleep(random.uniform(*PAUSES))  # noqa: S311


def _made(lock: Path, mine: bytes) -> bool:
    """Make the lock file with who made it; False where there is one."""
    try:
        opened = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644)
    except FileExistsError:
        return False
    except PermissionError as error:
        if sys.platform == "win32" and lock.exists():  # it is just being deleted
            return False
        raise cannot_write(lock, error) from error
    except OSError as error:
        raise cannot_write(lock, error) from error
    try:
        if os.write(opened, mine) != len(mine):
            raise OSError("no room left for a lock file")
    except OSError as error:
        lock.unlink(missing_ok=True)
        raise cannot_write(lock, error) from error
    finally:
        os.close(opened)
    return True


def cannot_write(file: Path, error: OSError) -> DataError:
    """Say that a file cannot be written, and what may help."""
    remedies = {
        "PermissionError": "make the folder writable, or close the file in the other program",
        "FileNotFoundError": "name a folder that is there",
    }
    remedy = remedies.get(type(error).__name__, "make room on the disk, or see why it cannot be written")
    return DataError(f"cannot be written: {error.strerror or error}", file=file, remedy=remedy)


def _signature() -> bytes:
    """Say who makes a lock: process, machine, when the process began, and a word never used again."""
    told = {"process": os.getpid(), "machine": socket.gethostname(), "began": _began(os.getpid())}
    return json.dumps(told | {"word": secrets.token_hex(8)}).encode("utf-8")


def _read(lock: Path) -> bytes | None:
    """Give what stands in a lock; None where there is none."""
    try:
        return lock.read_bytes()
    except OSError:
        return None


def _is_left_behind(lock: Path, theirs: bytes) -> bool:
    """Tell whether the maker of a lock no longer runs; of another machine's nobody here knows."""
    try:
        told = json.loads(theirs)
        process, machine, began = int(told["process"]), told["machine"], told["began"]
    except (ValueError, KeyError, TypeError):  # killed between making and signing it, or about to sign
        with suppress(OSError):
            return time.time() - lock.stat().st_mtime > UNSIGNED
        return False
    if machine != socket.gethostname():
        return False
    return not _runs(process) or (began is not None and began != _began(process))


def _take_away(lock: Path, theirs: bytes, until: float) -> None:
    """Take away a lock that was left behind, unless another has done so meanwhile."""
    name = f"{lock.name[:40]}.{hashlib.sha256(lock.name.encode() + theirs).hexdigest()[:12]}"
    second, mine = lock.with_name(name), _signature()
    _take(second, mine, until)
    try:
        if _read(lock) == theirs:
            lock.unlink(missing_ok=True)
    finally:
        second.unlink(missing_ok=True)


def _who(theirs: bytes | None) -> str:
    """Name the holder of a lock."""
    try:
        told = json.loads(theirs or b"")
        return f"another run (process {told['process']} on {told['machine']})"
    except (ValueError, KeyError, TypeError):
        return "another run"


def _runs(process: int) -> bool:
    """Tell whether a process runs."""
    if sys.platform == "win32":  # there os.kill ends the process, whatever the signal
        import ctypes

        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(0x1000, False, process)
        code = ctypes.c_ulong()
        found = bool(handle) and bool(kernel.GetExitCodeProcess(handle, ctypes.byref(code)))
        kernel.CloseHandle(handle)
        return found and code.value == _STILL_ACTIVE
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _began(process: int) -> str | None:
    """Give when a process began, where the system tells: a number may be given to another later."""
    try:
        told = Path(f"/proc/{process}/stat").read_text(encoding="utf-8", errors="replace")
        fields = told.rpartition(")")[2].split()
        return None if fields[0] == "Z" else fields[19]  # a zombie writes no more
    except (OSError, IndexError):
        return None
