"""Make the long demo dossier: invented texts, and an invented copyist who copies them badly.

Arrives: a seed, and the tables of ``tests/demo_key/source/``. Leaves: ``demo_pairs/wickenby_long/``
without its dossier.toml, the lost original, and the key of every change planted. The same seed
gives the same bytes. Start reading at ``make``; run ``python -m tests.make_long_demo [--to DIR]``.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from random import Random

from tests.demo_key.invented_copyist import LINES_A_PAGE, Key, copy_text
from tests.demo_key.invented_text import Composer, Text, glossary

ROOT = Path(__file__).resolve().parents[1]
DOSSIER = "demo_pairs/wickenby_long"
KEY = "tests/demo_key"

SEED = 1752  # the year his volume ends; of the seeds tried, one that gives each text faults of most kinds
LINES_A_COPY_PAGE = 31  # his own pages hold more

LEECHBOOK = Text("L", {"recipe": 80, "charm": 12, "farm": 8}, 700)
CARTULARY = Text("H", {"bounds": 88, "farm": 12}, 500)
LOST = Text("Y", {"recipe": 46, "riddle": 18, "charm": 14, "bounds": 14, "farm": 8}, 500, "lost")
SAYINGS = Text("reference", {"maxim": 50, "farm": 20, "will": 30}, 600, "ref")


def paged(lines: list[str], length: int, mark: str) -> str:
    """Set page marks between the lines: folios with two sides, or plain pages."""
    out = []
    for number, line in enumerate(lines):
        page, first = divmod(number, length)
        if not first:
            out.append(f"[fol. {page // 2 + 1}{'rv'[page % 2]}]" if mark == "fol" else f"[p. {page + 1}]")
        out.append(line)
    return "\n".join(out) + "\n"


def make() -> dict[str, str]:
    """Make every file of the long dossier: path from the root of the project, and content."""
    files: dict[str, str] = {}
    key: Key = []
    for text in (LEECHBOOK, CARTULARY, LOST):
        lines = Composer(text, Random(f"{SEED} {text.name}")).lines()
        copied, changes = copy_text(
            text.name, lines, Random(f"{SEED} copy {text.name}"), line_skip=text is LEECHBOOK
        )
        key += changes
        where = f"{DOSSIER}/{text.name}"
        files[f"{where}/copy.txt"] = paged(copied, LINES_A_COPY_PAGE, "p")
        if text is LOST:
            files[f"{KEY}/long_original.txt"] = "\n".join(lines) + "\n"
        else:
            files[f"{where}/original.txt"] = paged(lines, LINES_A_PAGE, "fol")
    entries = glossary(Random(f"{SEED} G"))
    copied, changes = copy_text("G", entries, Random(f"{SEED} copy G"))
    key += changes
    for name, rows in (("original", entries), ("copy", [row.replace(" ", "\t") for row in copied])):
        files[f"{DOSSIER}/G/{name}.tsv"] = "\n".join(["lemma\tgloss", *rows]) + "\n"
    sayings = Composer(SAYINGS, Random(f"{SEED} {SAYINGS.name}")).lines()
    files[f"{DOSSIER}/reference/sayings.txt"] = "\n".join(sayings) + "\n"
    header = ("text", "line", "word", "original", "copy", "mechanism", "letters")
    files[f"{KEY}/long_key.tsv"] = "".join("\t".join(row) + "\n" for row in (header, *key))
    return files


def main() -> None:
    """Write the long dossier's texts and keys again."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--to", type=Path, default=ROOT, metavar="DIR", help="instead of the project itself")
    to: Path = parser.parse_args().to
    for path, content in make().items():
        (to / path).parent.mkdir(parents=True, exist_ok=True)
        (to / path).write_text(content, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
