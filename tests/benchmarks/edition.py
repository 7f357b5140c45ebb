"""How long it takes to write the edition file, and to have the copy back from it, and in how much memory.

Arrives: letters of a lost text, proposals for it. Leaves: seconds and memory, as ratios to lxml building and
writing out the same elements. Run it from the project's root as ``python -m tests.benchmarks.edition``; start
reading at ``main``.
"""

from __future__ import annotations

import argparse
import copy
import resource
import time
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from lxml import etree
from tabulate import tabulate

from fidelity.apparatus.collated import collated_text
from fidelity.apparatus.edition import edition
from fidelity.apparatus.edition_witness import witness_of
from fidelity.apparatus.printed_apparatus import printed_apparatus
from fidelity.audit import Audit
from fidelity.dossier import LostText, OtherWitness
from fidelity.terms import Locus, ProposedReading
from fidelity.witnesses.read import read_witness
from tests.alignment.made_copies import made_texts
from tests.apparatus.made import made_audit
from tests.benchmarks.judging import in_lines

LETTERS, PROPOSALS = 500_000, 20_000
NOISE = 0.02  # of the other witness
MEGABYTE = 1024  # kilobytes, in which the system counts memory

Found = TypeVar("Found")


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--letters", type=int, default=LETTERS)
    asked.add_argument("--proposals", type=int, default=PROPOSALS)
    asked.add_argument("--witness", action="store_true", help="with another witness of all of the text")
    given = asked.parse_args()
    audit = made(given.letters, given.proposals, given.witness)
    before = peak()
    rows: list[tuple[str, float, float]] = []
    texts, seconds = timed(lambda: [collated_text(audit.dossier, audit.dossier.lost[0])])
    rows.append(("witnesses set side by side", seconds, peak() - before))
    document, seconds = timed(lambda: edition(audit, texts))
    rows.append(("apparatus.xml", seconds, peak() - before))
    rows.append(("apparatus.txt", timed(lambda: printed_apparatus(audit, texts))[1], peak() - before))
    rows.append(("the copy had back", timed(lambda: witness_of(document, "X", "C"))[1], peak() - before))
    tree = etree.fromstring(document.encode(), etree.XMLParser(huge_tree=True))
    seconds = timed(lambda: by_lxml(tree))[1]
    rows.append(("lxml: the same elements built and written", seconds, peak() - before))
    beside = rows[-1][1]
    print(f"{len(document):,} characters, {sum(1 for _ in tree.iter()):,} elements")
    print(
        tabulate(
            [[*row, row[1] / beside] for row in rows],
            ["", "seconds", "peak, MB more", "times lxml"],
            floatfmt=".2f",
        )
    )


def made(letters: int, proposals: int, with_witness: bool) -> Audit:
    """Make an audit of a lost text with so many proposals, evenly spread."""
    (pair,) = made_texts(letters, NOISE, 1, seed=1)
    text = read_witness(in_lines(pair.original), siglum="X")
    words = text.letters.split(" ")
    readings: list[ProposedReading] = []
    offset, every = 0, max(len(words) // proposals, 1)
    for at, word in enumerate(words):
        if at % every == 0 and len(readings) < proposals and len(word) > 1:
            number = len(readings) + 1
            span = offset, offset + len(word)
            one = ProposedReading(number, "X", Locus("X", "1", 1), span, word, word[:-1] + "s", 0.5)
            readings.append(replace(one, steps=("s→r",), borne_out=True, tried=10, tried_right=5))
        offset += len(word) + 1
    others = (OtherWitness("X", read_witness(in_lines(pair.copy), siglum="K")),) if with_witness else ()
    audit = made_audit()
    dossier = replace(audit.dossier, lost=(LostText("X", text),), witnesses=others)
    return replace(audit, dossier=dossier, readings=tuple(readings), conjectures=(), decisions=(), decided=())


def by_lxml(tree: etree._Element) -> bytes:
    """Build the same elements by lxml, and write them out."""

    def built(parent: etree._Element, one: etree._Element) -> None:
        child = etree.SubElement(parent, one.tag, dict(one.attrib))
        child.text, child.tail = one.text, one.tail
        for inner in one:
            built(child, inner)

    root = etree.Element(tree.tag, nsmap=copy.copy(tree.nsmap))
    for one in tree:
        built(root, one)
    return etree.tostring(root, encoding="utf-8")


def timed(work: Callable[[], Found]) -> tuple[Found, float]:
    """Do something and give the seconds of the processor it took."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def peak() -> float:
    """Give the most memory taken so far, in megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / MEGABYTE


if __name__ == "__main__":
    main()
