"""Where in the manuscript each letter of an original stands: on which page, in which script.

Arrives: a witness and the passages of it that are in another script. Leaves: ``Places``, which
cuts any span of letters at page and script borders. Start reading at ``places_of``.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fidelity.dossier import Passage
from fidelity.terms import Witness

FAR_END = 2**62  # beyond the end of any text


@dataclass(frozen=True)
class Places:
    """The stretches of an original that are one page, one script and one language.

    Attributes:
        starts: first offset of each stretch, ascending, the first 0.
        pages: page of each, with the siglum.
        scripts: script of each; "" where it is not known.
        languages: language tag of each; "" where it is not known.
    """

    starts: tuple[int, ...]
    pages: tuple[str, ...]
    scripts: tuple[str, ...]
    languages: tuple[str, ...] = ("",)

    def page(self, offset: int) -> str:
        """Give the page a letter stands on, told apart by script: the unit errors cluster by."""
        return self.page_of(bisect_right(self.starts, offset) - 1)

    def stretches(self, offsets: NDArray[np.intp]) -> NDArray[np.intp]:
        """Give the number of the stretch each letter stands in."""
        return np.searchsorted(np.array(self.starts, dtype=np.intp), offsets, side="right") - 1

    def page_of(self, stretch: int) -> str:
        """Give the page of a stretch, as ``page`` does."""
        return _key(self.pages[stretch], self.scripts[stretch])

    def script(self, offset: int) -> str:
        """Give the script a letter is written in."""
        return self.scripts[bisect_right(self.starts, offset) - 1]

    def language(self, offset: int) -> str:
        """Give the language a letter is written in; "" where it is not known."""
        return self.languages[bisect_right(self.starts, offset) - 1]

    def in_other_languages(self, languages: Collection[str]) -> list[tuple[int, int]]:
        """Give the spans, half-open, that are known to be in none of these languages."""
        ends = [*self.starts[1:], FAR_END]
        return [
            (start, end)
            for start, end, language in zip(self.starts, ends, self.languages, strict=True)
            if language and language not in languages
        ]

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
    """Give the stretches of a witness that are one page, one script and one language."""
    stretches: list[tuple[int, str, str, str]] = []
    for line, start in enumerate(witness.lines):
        page = f"{witness.siglum} {witness.pages[line]}".rstrip()
        for offset, script, language in _hands_in(witness, line, start, passages):
            if not stretches or (page, script, language) != stretches[-1][1:]:
                stretches.append((offset, page, script, language))
    starts, pages, scripts, languages = zip(*stretches, strict=True)
    return Places((0, *starts[1:]), pages, scripts, languages)


def _hands_in(
    witness: Witness, line: int, start: int, passages: Sequence[Passage]
) -> Iterator[tuple[int, str, str]]:
    """Give where in a line another script or language begins; fields of an entry may differ."""
    here = [passage for passage in passages if passage.lines[0] <= line < passage.lines[1]]
    whole = [passage for passage in here if not passage.field]
    if len(whole) == len(here):
        yield start, *_of(whole, witness)
        return
    offset = start
    fields = witness.letters[start : witness.line_span(line)[1]].split("\t")
    for name, text in zip(witness.fields, fields, strict=False):
        yield offset, *_of([passage for passage in here if passage.field == name] + whole, witness)
        offset += len(text) + 1


def _of(passages: Sequence[Passage], witness: Witness) -> tuple[str, str]:
    """Give script and language: the first passage that says, else the witness's own."""
    script = next((passage.script for passage in passages if passage.script), witness.script)
    return script, next((passage.language for passage in passages if passage.language), witness.language)
