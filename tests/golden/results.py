"""Give the results of the short demo as texts that can be kept: what may change without meaning is left out.

Arrives: nothing. Leaves: the texts by file name, or the files that are kept. Start reading at
``results``. Left out are the program's version (each output names it), dates, and of the page the
payloads of letters and pictures, which other versions of fontTools and matplotlib draw in other bytes,
its look and its script, which are files of the project themselves. Pictures by themselves are not kept.
"""

from __future__ import annotations

import re
from importlib.metadata import version
from pathlib import Path

from fidelity.apparatus.folder import write_audit
from fidelity.audit import audit
from fidelity.witnesses.data import data_folder

NAME = "wickenby_short"
HERE = Path(__file__).parent
KEPT = HERE / NAME
ACTUAL = HERE / "actual" / NAME
TEXTS = {".csv", ".html", ".json", ".tsv", ".txt", ".xml"}
# What is left out of any file, and what stands for it.
_ANYWHERE = (
    (re.compile(rf"\b{re.escape(version('fidelity'))}\b"), "VERSION"),
    (re.compile(r"\b20\d\d-\d\d-\d\d\b"), "DATE"),  # no text of the demo has a date of our century
)
_OF_PAGES = (
    (re.compile(r"(?<=base64,)[A-Za-z0-9+/=]{100,}"), "LEFT_OUT"),
    (re.compile(r"(?s)(?<=<style>).*?(?=</style>)"), "LEFT OUT"),
    (re.compile(r"(?s)(?<=<script>).*?(?=</script>)"), "LEFT OUT"),
    (re.compile(r"'sha256-[^']*'"), "'sha256-LEFT_OUT'"),
    (re.compile(r"(?s)(<svg\b[^>]*>).*?(?=</svg>)"), r"\1LEFT OUT"),
)


def results(folder: Path) -> dict[str, str]:
    """Audit the short demo into a folder, and give what is to be kept, by the name of its file."""
    write_audit(audit(data_folder("demo_pairs") / NAME), folder)
    files = sorted(file for file in folder.rglob("*") if file.suffix in TEXTS)
    return {file.relative_to(folder).as_posix(): scrubbed(file) for file in files}


def kept() -> dict[str, str]:
    """Give what is kept, by the name of its file."""
    files = sorted(file for file in KEPT.rglob("*") if file.is_file())
    return {file.relative_to(KEPT).as_posix(): read(file) for file in files}


def scrubbed(file: Path) -> str:
    """Give a file's text without what may change.

    >>> scrubbed.__name__  # what it leaves out is tried in test_golden.py
    'scrubbed'
    """
    text = read(file)
    for pattern, instead in _ANYWHERE + (_OF_PAGES if file.suffix == ".html" else ()):
        text = pattern.sub(instead, text)
    return text


def read(file: Path) -> str:
    """Give a file's text, its line ends as they are."""
    return file.read_bytes().decode("utf-8")


def save(texts: dict[str, str], folder: Path) -> None:
    """Write texts into a folder."""
    for name, text in texts.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text.encode("utf-8"))
