"""What each witness of a lost text has in a segment, as TEI, witnesses that have the same together.

Arrives: the collated witnesses of a text. Leaves: for a segment the text that all have, or the readings with
their witnesses; where one breaks off and begins again. Start reading at ``EditionText``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from fidelity.apparatus.collated import CollatedText
from fidelity.apparatus.segments import Segment, Spans, stripped
from fidelity.apparatus.tei_letters import WitnessLetters
from fidelity.apparatus.tei_names import TeiNames
from fidelity.terms import LOST_LETTER
from fidelity.terms.collation import Span
from fidelity.variants.citations import Citations

MAIN = 0  # column of his copy, by which places are cited


@dataclass(frozen=True)
class Group:
    """Witnesses that have the same in a segment.

    Attributes:
        columns: which they are.
        letters: what they have, a blank after it left out if it stands for all; of one that breaks off within
            the segment all that it has.
        span: of these letters in the first of them.
        xml: the same as TEI, line beginnings in it.
    """

    columns: tuple[int, ...]
    letters: str
    span: Span
    xml: str


class EditionText:
    """A lost text in all its witnesses, to be written as TEI.

    Args:
        collated: the witnesses.
        names: the xml:ids of the document.
    """

    def __init__(self, collated: CollatedText, names: TeiNames) -> None:
        self.collated, self.collation = collated, collated.collation
        pairs = zip(self.collation.sigla, self.collation.witnesses, strict=True)
        self.letters = [
            WitnessLetters(witness, names.name(collated.id, siglum), is_main=column == MAIN)
            for column, (siglum, witness) in enumerate(pairs)
        ]
        self._citations = Citations(collated.copy, collated.id)
        self._leads: set[tuple[int, int]] = set()
        self.spans = list(self._without_leads())
        self._reach = [self._reach_of(column) for column in range(len(self.letters))]
        self._ends = [self._end_of(column) for column in range(len(self.letters))]

    def _without_leads(self) -> Iterator[Spans]:
        """Give the spans of the witnesses, without a blank with which one begins again after a lacuna."""
        before: Spans = tuple((0, 0) for _ in self.letters)
        for at, locus in enumerate(self.collation.loci):
            spans = list(locus.spans)
            for column, span in enumerate(spans):
                letters = self.letters[column]
                if column == MAIN or span is None or before[column] is not None or span[0] == span[1]:
                    continue
                if letters.is_folded_blank(span[0]) and not letters.signs(span[0], span[0] + 1):
                    self._leads.add((at, column))
                    spans[column] = span[0] + 1, span[1]
            before = locus.spans
            yield tuple(spans)

    def _reach_of(self, column: int) -> Span:
        """Give the first and the last locus at which a witness is extant."""
        there = [at for at, spans in enumerate(self.spans) if spans[column] is not None]
        return there[0], there[-1]

    def _end_of(self, column: int) -> int:
        """Give the locus at which a witness has its last letter."""
        whole = len(self.letters[column].witness)
        ends = ((at, spans[column]) for at, spans in enumerate(self.spans))
        return next(at for at, span in ends if span is not None and span[1] == whole)

    def cited(self, segment: Segment) -> str:
        """Cite the words of the copy that a segment holds; where it has none, the word before."""
        span = self.span(MAIN, segment)
        if span is None or not self.collated.copy.letters[slice(*span)].strip():
            return str(self.collation.loci[segment.first].locus)
        first, last = self._citations.ends(*span)
        return str(first) if last is None else f"{first}-{str(replace(last, text='')).strip()}"

    def cited_here(self, segment: Segment) -> str:
        """Cite the same without the id of the text."""
        return self.cited(segment).removeprefix(f"{self.collated.id} ")

    def extant(self, column: int) -> list[str]:
        """Cite the stretches of which a witness has something; none are cited if that is all of the text.

        Words that it has lost altogether do not count, for of them it says nothing.
        """
        there = [self._says_something(column, at) for at in range(len(self.spans))]
        if all(there):
            return []
        found = []
        for is_there, run in groupby(range(len(there)), there.__getitem__):
            loci = list(run)
            of_copy = [at for at in loci if (span := self.spans[at][MAIN]) and span[0] < span[1]] or loci
            ends = (replace(self.collation.loci[of_copy[at]].locus, text="") for at in (0, -1))
            found += ["-".join(dict.fromkeys(str(one).strip() for one in ends))] if is_there else []
        return found

    def _says_something(self, column: int, at: int) -> bool:
        """Tell whether a witness is extant at a locus, and has not lost all that it had there."""
        span = self.spans[at][column]
        if span is None:
            return False
        letters = self.letters[column].witness.letters[slice(*span)]
        return LOST_LETTER not in letters or bool(letters.replace(LOST_LETTER, "").strip())

    def span(self, column: int, segment: Segment) -> Span | None:
        """Give the letters of a witness in a segment; None where it is not extant in all of it."""
        spans = [self.spans[at][column] for at in range(segment.first, segment.end)]
        there = [span for span in spans if span is not None]
        return (there[0][0], there[-1][1]) if there else None

    def breaks_off(self, column: int, segment: Segment) -> bool:
        """Tell whether a witness is extant in a part of the segment only."""
        return None in (self.spans[at][column] for at in range(segment.first, segment.end))

    def groups(self, segment: Segment) -> list[Group]:
        """Give the readings of a segment, each with its witnesses, the copy's first."""
        alike: defaultdict[object, list[int]] = defaultdict(list)
        for column, letters in enumerate(self.letters):
            span = self.span(column, segment)
            if span is None and column != MAIN:
                continue
            if span is None or self.breaks_off(column, segment):
                alike[column].append(column)
            else:
                alike[letters.as_compared(*stripped(letters, span, segment))].append(column)
        return [self._group(tuple(columns), segment) for columns in alike.values()]

    def _group(self, columns: tuple[int, ...], segment: Segment) -> Group:
        """Write what some witnesses have."""
        first = columns[0]
        span = self.span(first, segment)
        if span is None or self.breaks_off(first, segment):
            span = span or (0, 0)
            own = self.letters[first].witness.letters[slice(*span)]
            return Group(columns, own, span, "".join(self._with_lacunae(first, segment)))
        span = stripped(self.letters[first], span, segment)
        letters = self.letters[first].witness.letters[slice(*span)]
        return Group(columns, letters, span, self.together(columns, segment))

    def together(self, columns: Sequence[int], segment: Segment) -> str:
        """Write letters that several witnesses have, with the signs of each of them.

        Signs before the first letter stand before the segment.
        """
        found = []
        for column in columns:
            whole = self.span(column, segment) or (0, 0)
            found += [
                (sign.offset - whole[0], column, sign.order, sign.xml)
                for sign in self.letters[column].signs(*whole)
                if sign.offset > whole[0]
            ]
        one = self.letters[columns[0]]
        start, end = stripped(one, self.span(columns[0], segment) or (0, 0), segment)
        written, done = [], start
        for offset, _, _, sign_xml in sorted(found):
            upto = min(start + offset, end)
            if upto > done:
                written.append(one.xml(done, upto))
                done = upto
            written.append(sign_xml)
        if end > done:
            written.append(one.xml(done, end))
        return "".join(written)

    def put(self, span: Span, reading: str, segment: Segment) -> str:
        """Give the words of a place with a reading in them that replaces some letters of the copy."""
        start, end = stripped(self.letters[MAIN], self.span(MAIN, segment) or (0, 0), segment)
        letters = self.collated.copy.letters
        return letters[start : span[0]] + reading + letters[span[1] : max(end, span[1])]

    def _with_lacunae(self, column: int, segment: Segment) -> Iterator[str]:
        """Write what a witness has that breaks off within a segment, or begins in it."""
        letters, is_main = self.letters[column], column == MAIN
        for at in range(segment.first, segment.end):
            if at > segment.first or is_main:
                yield self.turn(column, at)
            if span := self.spans[at][column]:
                inside = Segment(at, at + 1, segment.is_place)
                if at > segment.first:
                    yield from (sign.xml for sign in letters.signs(span[0], min(span[0] + 1, span[1])))
                last = (
                    replace(inside, blank=segment.blank, tab=segment.tab) if at == segment.end - 1 else inside
                )
                yield self.together([column], last)
        if is_main and self.spans[segment.end - 1][MAIN] is None:
            yield self.turn(column, segment.end)

    def turn(self, column: int, at: int) -> str:
        """Give the element that says that a witness breaks off, or begins, before a locus; "" if neither."""
        first, last = self._reach[column]
        if not 0 < at < len(self.spans):
            return ""
        before, after = (self.spans[one][column] is not None for one in (at - 1, at))
        if before == after:
            return ""
        if after:
            lead = " " if (at, column) in self._leads else ""
            return ("<witStart/>" if at == first else "<lacunaEnd/>") + lead
        return "<witEnd/>" if at > last else "<lacunaStart/>"

    def ends_within_word(self, column: int, at: int) -> bool:
        """Tell whether a witness that breaks off before a locus does so without a division."""
        span = self.spans[at - 1][column]
        return span is not None and not self.letters[column].is_divided(span[1])

    def first_signs(self, column: int, segment: Segment) -> str:
        """Give the signs before the first letter of a segment."""
        span = self.spans[segment.first][column]
        whole = self.span(column, segment)
        if span is None or whole is None or whole[0] == whole[1]:
            return ""
        return "".join(sign.xml for sign in self.letters[column].signs(whole[0], whole[0] + 1))

    def last_signs(self, segment: Segment) -> str:
        """Give what stands after the last letter of those witnesses whose text ends in a segment."""
        ended = [column for column, at in enumerate(self._ends) if segment.first <= at < segment.end]
        return "".join(sign.xml for column in ended for sign in self.letters[column].last_signs())
