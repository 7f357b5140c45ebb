"""Where in the manuscript each letter of an original stands: on which page, in which script.

Arrives: a witness and the passages of it that are in another script. Leaves: ``Places``, which
cuts any span of letters at page and script borders. Start reading at ``places_of``.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fidelity.dossier import Passage
from fidelity.terms import Witness


@dataclass(frozen=True)
class Places:
    """The stretches of an original that are one page and one script.

    Attributes:
        starts: first offset of each stretch, ascending, the first 0.
        pages: page of each, with the siglum.
        scripts: script of each; "" where it is not known.
    """

    starts: tuple[int, ...]
    pages: tuple[str, ...]
    scripts: tuple[str, ...]

    def page(self, offset: int) -> str:
        """Give the page a letter stands on, told apart by script: the unit errors cluster by."""
        at = bisect_right(self.starts, offset) - 1
        return _key(self.pages[at], self.scripts[at])

    def script(self, offset: int) -> str:
        """Give the script a letter is written in."""
        return self.scripts[bisect_right(self.starts, offset) - 1]

    def spans(self, start: int, end: int) -> Iterator[tuple[int, int, str]]:
        """Cut a span at page and script borders; gives start, end and page of each part."""
        at = bisect_right(self.starts, start) - 1
        while start < end:
            stop = self.starts[at + 1] if at + 1 < len(self.starts) else end
            if stop > start:
                yield start, min(stop, end), _key(self.pages[at], self.scripts[at])
            start = max(stop, start)
            at += 1


def _key(page: str, script: str) -> str:
    return f"{page} ({script})" if script else page


def places_of(witness: Witness, passages: Sequence[Passage] = ()) -> Places:
    """Give the stretches of a witness that are one page and one script."""
    starts, pages, scripts = [0], [witness.page_of(0)], [""]
    for line, start in enumerate(witness.lines):
        page = f"{witness.siglum} {witness.pages[line]}".rstrip()
        for offset, script in _scripts_in(witness, line, start, passages):
            if offset == 0:
                pages[0], scripts[0] = page, script
            elif (page, script) != (pages[-1], scripts[-1]):
                starts.append(offset)
                pages.append(page)
                scripts.append(script)
    return Places(tuple(starts), tuple(pages), tuple(scripts))


def _scripts_in(
    witness: Witness, line: int, start: int, passages: Sequence[Passage]
) -> Iterator[tuple[int, str]]:
    """Give where in a line another script begins; fields of an entry may differ."""
    here = [passage for passage in passages if passage.script and passage.lines[0] <= line < passage.lines[1]]
    whole = next((passage.script for passage in here if not passage.field), witness.script)
    if not any(passage.field for passage in here):
        yield start, whole
        return
    offset = start
    for name, text in zip(
        witness.fields, witness.letters[start:].split("\t", len(witness.fields)), strict=False
    ):
        yield offset, next((passage.script for passage in here if passage.field == name), whole)
        offset += len(text) + 1
