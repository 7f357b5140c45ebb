"""How long reading takes, beside the least that anyone must do: ten million bytes of each kind.

Run with ``python -m tests.benchmarks.reading``. Plain text is measured against splitting it into
grapheme clusters with one regular expression; TEI against a bare pass of the XML parser. Each is
measured in turn several times in one run, and medians are given.
"""

from __future__ import annotations

import io
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


def _bare_parse(data: bytes) -> None:
    for _, element in etree.iterparse(io.BytesIO(data)):
        del element


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def compare(name: str, reading: Callable[[], object], least: Callable[[], object]) -> None:
    """Measure both in turn and print the medians and their ratio."""
    pairs = [(_seconds(least), _seconds(reading)) for _ in range(TIMES)]
    bare, read = (statistics.median(each) for each in zip(*pairs, strict=True))
    print(f"{name:12} least {bare:6.3f} s   reading {read:6.3f} s   ratio {read / bare:5.2f}")


def main() -> None:
    """Measure reading of plain text and of TEI."""
    plain, tei = plain_text(), tei_text()
    with tempfile.TemporaryDirectory() as folder:
        plain_file, tei_file = Path(folder) / "plain.txt", Path(folder) / "tei.xml"
        plain_file.write_text(plain, encoding="utf-8")
        tei_file.write_text(tei, encoding="utf-8")
        data = tei.encode()
        compare("plain text", lambda: read_witness(plain_file), lambda: regex.findall(r"\X", plain))
        compare("TEI", lambda: read_witness(tei_file), lambda: _bare_parse(data))


if __name__ == "__main__":
    main()
