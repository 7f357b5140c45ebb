"""Start a headless Chromium and speak to it through its own pipe: no driver, no port, no network.

Arrives: nothing. Leaves: answers of the browser, and what it reported meanwhile. Chromium started with
``--remote-debugging-pipe`` reads commands from file descriptor 3 and writes answers to 4, each a piece
of JSON that ends in a zero byte (the DevTools protocol). Start reading at ``Chromium``.
"""

from __future__ import annotations

import json
import os
import select
import shutil
import signal
import tempfile
import time
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome")  # as Debian, others and the vendor call it
PATIENCE = 120.0  # seconds after which a browser that says nothing has failed; an answer takes milliseconds
FLAGS = (
    "--headless",
    "--no-sandbox",  # its sandbox wants rights that containers do not give; only files of ours are opened
    "--remote-debugging-pipe",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-extensions",
    "--no-default-browser-check",
    "--no-first-run",
    "--hide-scrollbars",
    "--force-color-profile=srgb",
    "--log-level=3",
)


def chromium_here() -> str | None:
    """Give the path of a Chromium on this machine, if there is one that can be spoken to."""
    if not hasattr(os, "posix_spawn"):
        return None
    return next((found for name in NAMES if (found := shutil.which(name))), None)


class Chromium:
    """A running browser. Close it, or use it in a ``with`` statement."""

    def __init__(self, program: str) -> None:
        """Start the browser with a new, empty profile."""
        self.events: list[dict[str, Any]] = []
        self._profile = tempfile.TemporaryDirectory(prefix="chromium_", ignore_cleanup_errors=True)
        read_by_it, self._to = _high_pipe()
        self._from, written_by_it = _high_pipe()
        silent = os.open(os.devnull, os.O_RDWR)
        self._process = os.posix_spawn(
            program,
            [program, *FLAGS, f"--user-data-dir={self._profile.name}", "about:blank"],
            os.environ,
            file_actions=[
                *((os.POSIX_SPAWN_DUP2, silent, at) for at in (0, 1, 2)),
                (os.POSIX_SPAWN_DUP2, read_by_it, 3),
                (os.POSIX_SPAWN_DUP2, written_by_it, 4),
            ],
        )
        for one in (read_by_it, written_by_it, silent):
            os.close(one)
        self._rest = b""
        self._number = 0

    def __enter__(self) -> Chromium:
        """Give the browser itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the browser."""
        self.close()

    def ask(self, method: str, session: str = "", **params: object) -> dict[str, Any]:
        """Send a command and give its answer; what is reported meanwhile is added to ``events``.

        Args:
            method: name of the command.
            session: the tab it is for; empty for the browser itself.
            params: what the command wants.

        Raises:
            RuntimeError: the browser refuses.
        """
        self._number += 1
        number = self._number
        message = {"id": number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        self._send(json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return dict(answer["result"])
            self.events.append(answer)

    def listen(self) -> None:
        """Wait for the next thing that the browser reports, and add it to ``events``."""
        self.events.append(self._next())

    def close(self) -> None:
        """End the browser and take its profile away."""
        try:
            self.ask("Browser.close")
        except (OSError, RuntimeError):
            os.kill(self._process, signal.SIGKILL)
        for one in (self._to, self._from):
            os.close(one)
        until = time.monotonic() + PATIENCE
        while os.waitpid(self._process, os.WNOHANG) == (0, 0):
            if time.monotonic() > until:
                os.kill(self._process, signal.SIGKILL)
            time.sleep(0.02)
        self._profile.cleanup()

    def _send(self, message: bytes) -> None:
        """Write a whole message, however long."""
        while message:
            message = message[os.write(self._to, message) :]

    def _next(self) -> dict[str, Any]:
        """Give the next message of the browser."""
        pieces = [self._rest]
        while b"\0" not in pieces[-1]:
            ready, _, _ = select.select([self._from], [], [], PATIENCE)
            piece = os.read(self._from, 1 << 20) if ready else b""
            if not piece:
                raise RuntimeError("the browser has ended" if ready else "the browser does not answer")
            pieces.append(piece)
        whole, self._rest = b"".join(pieces).split(b"\0", 1)
        return dict(json.loads(whole))


def program_or_end() -> Path:
    """Give the browser's path, or end the program that asks with what to do."""
    found = chromium_here()
    if not found:
        raise SystemExit("no Chromium found: install one (Debian: apt install chromium)")
    return Path(found)


def _high_pipe() -> tuple[int, int]:
    """Make a pipe whose ends lie above the descriptors that the browser expects."""
    import fcntl  # not on Windows, where these tests are skipped

    ends = os.pipe()
    high = [fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in ends]
    for end in ends:
        os.close(end)
    return high[0], high[1]
