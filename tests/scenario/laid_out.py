"""The short demo laid out with some of its witnesses, audited once for all the tests that ask for it."""

from __future__ import annotations

import csv
import re
import shutil
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import fidelity
from fidelity.judge import Audit
from fidelity.terms import ProposedReading
from fidelity.witnesses.data import data_folder

SHORT = data_folder("demo_pairs") / "wickenby_short"
KEY = Path(__file__).parent.parent / "demo_key"
T = '\n[[witness]]\nsiglum = "T"\nof = "X"\nfile = "T.txt"\ndepends_on = "C"\ndate = "1762"\n'


def laid_out(witnesses: Iterable[str] = "KW", more: str = "") -> Path:
    """Lay the demo out with some of its witnesses (T is made here), and with more in its dossier."""
    folder = Path(mkdtemp()) / "dossier"
    shutil.copytree(SHORT, folder)
    file = folder / "dossier.toml"
    first, *parts = file.read_text(encoding="utf-8").split("[[witness]]")
    kept = [part for part in parts if any(f'siglum = "{one}"' in part for one in witnesses)]
    text = "[[witness]]".join([first, *kept])
    if "T" in witnesses:
        copied = (folder / "X" / "copy.txt").read_text(encoding="utf-8")
        # he wrote þæne for the only þære of X: every þæ, so that T has a reading of its own
        (folder / "T.txt").write_text(copied.replace("þæ", "thæ"), encoding="utf-8")
        text += T
    file.write_text(text + more, encoding="utf-8")
    return folder


@cache
def audited(witnesses: str = "KW", more: str = "", adopted: str = "") -> Audit:
    """Audit the demo so laid out, once; where wanted with a reading adopted at X 1.2."""
    folder = laid_out(witnesses, more)
    if adopted:
        fidelity.decide(folder, "X 1.2", "adopted", adopted, reason="the verb asks for it", who="E. Ditor")
    return fidelity.audit(folder)


def planted(text: str) -> list[dict[str, str]]:
    """Give the changes planted in one text."""
    with (KEY / "answer_key.tsv").open(encoding="utf-8") as rows:
        return [row for row in csv.DictReader(rows, delimiter="\t") if row["locus"].startswith(f"{text}.")]


def at(audit: Audit, word: str) -> list[ProposedReading]:
    """Give what is proposed of a word of X that stands there once, and of letters in it."""
    letters = audit.dossier.lost[0].copy.letters
    (place,) = re.finditer(rf"\b{word}\b", letters)
    start, end = place.span()
    return [one for one in audit.readings if one.copy_span[0] < end and one.copy_span[1] > start]


def on_line(audit: Audit, line: str) -> list[ProposedReading]:
    """Give what is proposed on a line of X."""
    return [one for one in audit.readings if one.locus.line == line]


def flowing(screen: str) -> str:
    """Give a screen without its line ends."""
    return " ".join(screen.split())
