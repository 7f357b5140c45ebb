"""What the tests of the pages share: the browser, the rules of accessibility, and the pages themselves.

Where there is no Chromium, or npm cannot give axe-core, tests are skipped and say why.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from fidelity.apparatus.folder import write_audit
from fidelity.apparatus.trial_page import trial_page
from tests.apparatus.made import made_audit
from tests.browser.chromium import Chromium, chromium_here
from tests.scenario.laid_out import audited

HERE = Path(__file__).parent
LONGEST = 60  # seconds; two thirds of a megabyte are fetched
ONCE = ("ci", "--ignore-scripts", "--no-audit", "--no-fund", "--fetch-retries=1", "--fetch-timeout=20000")
WANTED = ("package.json", "package-lock.json")  # name axe-core, its version and its digest


@pytest.fixture(scope="session")
def browser() -> Iterator[Chromium]:
    """Give a running Chromium."""
    program = chromium_here()
    if not program:
        pytest.skip("no Chromium: install one (Debian: apt install chromium)")
    with Chromium(program) as running:
        yield running


@pytest.fixture(scope="session")
def axe(request: pytest.FixtureRequest) -> str:
    """Give the script of axe-core, fetched once by npm and kept with the other things pytest keeps."""
    assert request.config.cache
    lock = (HERE / "package-lock.json").read_bytes()
    kept = request.config.cache.mkdir("axe")
    script = kept / "node_modules" / "axe-core" / "axe.min.js"
    if not script.exists() or (kept / "package-lock.json").read_bytes() != lock:
        _fetch(kept)
    return script.read_text(encoding="utf-8")


def _fetch(kept: Path) -> None:
    """Let npm fetch what the lock file names, and put it in its place whole; skip if it cannot."""
    npm = shutil.which("npm")
    if not npm:
        pytest.skip("no npm to fetch axe-core with: install one (Debian: apt install npm)")
    with TemporaryDirectory(dir=kept.parent) as folder:
        for name in WANTED:
            shutil.copy(HERE / name, folder)
        try:
            done = subprocess.run(
                [npm, *ONCE], cwd=folder, capture_output=True, text=True, check=False, timeout=LONGEST
            )
        except subprocess.TimeoutExpired:
            pytest.skip(f"npm could not fetch axe-core in {LONGEST} seconds")
        if done.returncode:
            pytest.skip(f"npm could not fetch axe-core: {done.stderr.strip()[-300:]}")
        shutil.rmtree(kept)
        Path(folder).rename(kept)
        Path(folder).mkdir()  # there must be something to take away


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Give the pages that are looked at: the short demo's, its blind test's, and one made by hand."""
    folder = tmp_path_factory.mktemp("pages")
    demo, made = audited(), made_audit()
    assert demo.trial
    write_audit(demo, folder / "demo")
    write_audit(made, folder / "made")
    trial = folder / "trial.html"
    trial.write_text(trial_page(demo.trial, demo.dossier), encoding="utf-8")
    return {"demo": folder / "demo/report.html", "made": folder / "made/report.html", "trial": trial}
