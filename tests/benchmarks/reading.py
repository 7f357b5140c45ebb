"""How long reading takes, beside the least that anyone must do: ten million bytes of each kind.

Run with ``python -m tests.benchmarks.reading``. Plain text is measured against splitting it into
grapheme clusters with one regular expression; TEI against a bare pass of the XML parser. Both are
measured in turn several times in one run, and medians are given: once each in a process of its own,
as a command reads a file, and once in one process, where the memory that one leaves helps the other.
"""

from __future__ import annotations

import io
import multiprocessing
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import regex
from lxml import etree

from fidelity.witnesses.read import read_witness

SIZE = 10_000_000  # bytes
TIMES = 5
LINES = [
    "Þiꞅ ꞅınꝺon þa lanꝺᵹemæꞃa ꞇo Hallowmeꞃe æꞃeꞅꞇ oꝼ þam ealꝺan ꝼoꞃꝺa",
    "anꝺlanᵹ þæꞃe ꝺıce on þone ꞅꞇan þanon on þa hean æce",
    "⁊ þonne ꞅuð oð hıꞇ cymð ꞇo þam mylenꞅꞇꞃeame nyhtū dagū",
]
TEI_LINES = [
    "Þiꞅ ꞅınꝺon þa <hi rend='red'>lanꝺ</hi>ᵹemæꞃa ꞇo Hallowmeꞃe æꞃeꞅꞇ oꝼ þam ealꝺan ꝼoꞃꝺa",
    "anꝺlanᵹ þæꞃe <unclear>ꝺıce</unclear> on þone ꞅꞇan þanon on þa hean <supplied>æce</supplied>",
    "⁊ þonne ꞅuð oð hıꞇ cymð ꞇo þā <ex>m</ex>ylenꞅꞇꞃeame <gap quantity='3' unit='chars'/> dagum",
]


def plain_text() -> str:
    """Give ten million bytes of plain text, a page mark every thirty lines."""
    return _filled(LINES, "[fol. {}r]\n", lambda _, line: line + "\n")


def tei_text() -> str:
    """Give ten million bytes of TEI, a page beginning every thirty lines."""
    body = _filled(TEI_LINES, '<pb n="{}r"/>\n', lambda number, line: f'<lb n="{number}"/>{line}\n')
    return f'<TEI xmlns="http://www.tei-c.org/ns/1.0"><text><body><p>{body}</p></body></text></TEI>'


def _filled(lines: list[str], page: str, written: Callable[[int, str], str]) -> str:
    parts = []
    size = number = 0
    while size < SIZE:
        if number % 30 == 0:
            parts.append(page.format(number // 30 + 1))
        parts.append(written(number % 30 + 1, lines[number % len(lines)]))
        size += len(parts[-1].encode())
        number += 1
    return "".join(parts)


def bare_parse(file: Path) -> float:
    """Give the seconds of a bare pass of the XML parser."""
    data = file.read_bytes()
    start = time.perf_counter()
    for _, element in etree.iterparse(io.BytesIO(data)):
        del element
    return time.perf_counter() - start


def bare_split(file: Path) -> float:
    """Give the seconds of splitting a text into grapheme clusters."""
    text = file.read_text(encoding="utf-8")
    start = time.perf_counter()
    regex.findall(r"\X", text)
    return time.perf_counter() - start


def reading(file: Path) -> float:
    """Give the seconds of reading a file whole."""
    start = time.perf_counter()
    read_witness(file)
    return time.perf_counter() - start


def compare(name: str, file: Path, least: Callable[[Path], float]) -> None:
    """Measure both in turn and print the medians and their ratio."""
    with multiprocessing.get_context("spawn").Pool(1, maxtasksperchild=1) as pool:
        apart = [(pool.apply(least, (file,)), pool.apply(reading, (file,))) for _ in range(TIMES)]
    together = [(least(file), reading(file)) for _ in range(TIMES)]
    for where, pairs in (("processes of their own", apart), ("one process", together)):
        bare, read = (statistics.median(each) for each in zip(*pairs, strict=True))
        print(f"{name:10} {where:22} least {bare:6.3f} s   reading {read:6.3f} s   ratio {read / bare:5.2f}")


def main() -> None:
    """Measure reading of plain text and of TEI."""
    with tempfile.TemporaryDirectory() as folder:
        plain_file, tei_file = Path(folder) / "plain.txt", Path(folder) / "tei.xml"
        plain_file.write_text(plain_text(), encoding="utf-8")
        tei_file.write_text(tei_text(), encoding="utf-8")
        compare("plain text", plain_file, bare_split)
        compare("TEI", tei_file, bare_parse)


if __name__ == "__main__":
    main()
