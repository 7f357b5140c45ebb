"""Write the text of an edition: what all witnesses have, and at each place the apparatus.

Arrives: the witnesses of a lost text, and what is said of its places. Leaves: the text as TEI, by parallel
segmentation. Start reading at ``text_of``, then ``_Places.place``.

In a place the lemma is what the copy transmits, or what the editor adopted; the copy's own reading then
follows. Readings of witnesses have ``@wit``; what is proposed or conjectured has none. An adopted reading
that a witness has is that witness's, and has no ``@resp``: the note on the decision has it, and points there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from xml.sax.saxutils import quoteattr

from fidelity.apparatus.concerns import Said
from fidelity.apparatus.edition_readings import ReadingsOfPlace, with_reading
from fidelity.apparatus.edition_text import MAIN, EditionText, Group
from fidelity.apparatus.segments import Segment, segments_of, stripped
from fidelity.apparatus.tei_letters import WitnessLetters, space_element
from fidelity.apparatus.tei_names import TeiNames
from fidelity.letters import encode
from fidelity.readings.apply import edited_copy
from fidelity.terms import ProposedReading
from fidelity.terms.collation import Span
from fidelity.terms.decisions import Ruling


def text_of(
    edition: EditionText, said: Sequence[Said], adopted: Sequence[ProposedReading], names: TeiNames
) -> Iterator[str]:
    """Give the text of an edition, piece by piece.

    Args:
        edition: the witnesses.
        said: of the places of the copy.
        adopted: readings that the editor adopted: they are lemmata.
        names: the xml:ids of the document.
    """
    places = _Places(edition, adopted, names)
    columns = range(len(edition.letters))
    blank = True
    for segment, here in said_by_segment(edition, said):
        yield places.begins(segment, blank)
        blank = segment.blank
        if segment.is_place:
            yield places.place(segment, here)
        else:
            there = [one for one in columns if edition.spans[segment.first][one] is not None]
            yield edition.together(there, segment)
        if segment.tab:
            yield space_element(1, tab=True)
        yield edition.last_signs(segment)
        yield places.breaks_off(segment.end, within_word=True)
        if segment.blank:
            yield " "


def said_by_segment(edition: EditionText, said: Sequence[Said]) -> Iterator[tuple[Segment, list[Said]]]:
    """Cut a text into segments, each with what is said of it.

    Args:
        edition: the witnesses.
        said: of the places of the copy.
    """
    waiting = sorted(said, key=lambda one: one.concern.span[0])
    at, whole = 0, len(edition.collated.copy)
    for segment in segments_of(edition.spans, edition.letters, [one.concern for one in said]):
        span, start = edition.span(MAIN, segment), at
        if segment.is_place and span is not None and span[0] < span[1]:
            while at < len(waiting) and (waiting[at].concern.span[0] < span[1] or span[1] == whole):
                at += 1
        yield segment, sorted(waiting[start:at], key=_is_of_a_letter)


def _is_of_a_letter(one: Said) -> bool:
    """Tell whether a letter alone is proposed: that gives way to a proposal of the same for the word."""
    return one.proposal is not None and one.proposal.single


@dataclass(frozen=True)
class _Adopted:
    """The copy with the adopted readings in it.

    Attributes:
        letters: of that text.
        spans: what each reading replaces in the copy.
        shifts: the first letter of each, and how many letters it adds.
        last: how many letters the copy had without them.
    """

    letters: WitnessLetters
    spans: tuple[Span, ...]
    shifts: tuple[tuple[int, int], ...]
    last: int

    def offset(self, offset: int) -> int:
        """Give where a letter of the copy that no reading touches has come to stand."""
        return offset + sum(more for start, more in self.shifts if start < offset)

    def _whole(self, span: Span) -> Span:
        """Give where a place has come to stand; what is put in after the last letter belongs to the last."""
        end = len(self.letters.witness) if span[1] == self.last else self.offset(span[1])
        return self.offset(span[0]), end

    def words(self, span: Span, segment: Segment) -> str:
        """Give the letters of a place with the adopted readings in them."""
        return self.letters.witness.letters[slice(*stripped(self.letters, self._whole(span), segment))]

    def in_segment(self, span: Span, segment: Segment) -> str:
        """Write the words of a place with the adopted readings in them."""
        whole = self._whole(span)
        start, end = stripped(self.letters, whole, segment)
        written = []
        for sign in self.letters.signs(*whole):
            if sign.offset > whole[0]:
                upto = min(sign.offset, end)
                written += [self.letters.xml(start, upto), sign.xml]
                start = upto
        return "".join([*written, self.letters.xml(start, end)])


class _Places:
    """Writes the places of one text."""

    def __init__(self, edition: EditionText, adopted: Sequence[ProposedReading], names: TeiNames) -> None:
        self.edition, self.names = edition, names
        self._adopted = self._with(adopted) if adopted else None

    def _with(self, adopted: Sequence[ProposedReading]) -> _Adopted:
        """Put the adopted readings into the copy."""
        collated, name = self.edition.collated, self.edition.letters[MAIN].name
        edited, changes = edited_copy(collated.copy, adopted, 1.0, collated.folds)
        spans = tuple(one.copy_span for one in changes)
        more = [len(encode(one.proposed)) - one.copy_span[1] + one.copy_span[0] for one in changes]
        shifts = tuple((start, added) for (start, _), added in zip(spans, more, strict=True))
        return _Adopted(WitnessLetters(edited, name, is_main=True), spans, shifts, len(collated.copy))

    def begins(self, segment: Segment, blank: bool) -> str:
        """Give what stands before a segment: who breaks off, who begins again, where lines begin.

        Args:
            segment: the segment.
            blank: whether a blank before it holds for all witnesses, so that a new line may stand for it.
        """
        edition, first = self.edition, segment.first
        others = range(MAIN + 1, len(edition.letters))
        return "".join(
            [
                self.breaks_off(first, within_word=False),
                edition.first_signs(MAIN, segment)
                if blank
                else edition.first_signs(MAIN, segment).lstrip("\n"),
                self._turns(first, ("<witStart", "<lacunaEnd"), others),
                *(edition.first_signs(column, segment) for column in others),
            ]
        )

    def breaks_off(self, at: int, within_word: bool) -> str:
        """Give the place at which witnesses break off before a locus, with or without a division."""
        others = range(MAIN + 1, len(self.edition.letters))
        some = [one for one in others if self.edition.ends_within_word(one, at) is within_word]
        return self._turns(at, ("<witEnd", "<lacunaStart"), some)

    def _turns(self, at: int, kinds: tuple[str, ...], columns: Sequence[int]) -> str:
        """Give the place at which some witnesses break off, or begin."""
        turns = [(self.edition.turn(one, at), self.edition.letters[one].name) for one in columns]
        written = [f'<rdg wit="#{name}">{turn}</rdg>' for turn, name in turns if turn.startswith(kinds)]
        return f"<app>{''.join(written)}</app>" if written else ""

    def place(self, segment: Segment, here: Sequence[Said]) -> str:
        """Give one place of the apparatus: lemma, readings of witnesses, other readings, notes."""
        groups = self.edition.groups(segment)
        put = partial(self.edition.put, segment=segment)
        adopted = self._adopted_in(segment)
        has = with_reading(groups, adopted[0]) if adopted else None
        found = ReadingsOfPlace(self.edition.collated.id, self.names, groups, put, has)
        for one in here:
            found.add(one)
        if adopted and has is not None and groups[has].xml == adopted[1]:
            lemma = self._of_witnesses(groups[has], found.pointed.get(has, ""), "lem", ' type="adopted"')
        else:
            has, lemma = None, self._adopted_lemma(adopted[1], here, found) if adopted else ""
        written = [
            self._of_witnesses(group, found.pointed.get(at, ""), "rdg" if at or adopted else "lem")
            for at, group in enumerate(groups)
            if at != has
        ]
        inside = "\n".join([*filter(None, [lemma]), *written, *found.readings, *found.notes])
        return f"<app n={quoteattr(self.edition.cited(segment))}>\n{inside}\n</app>"

    def _of_witnesses(self, group: Group, name: str, element: str, about: str = "") -> str:
        """Give the reading of some witnesses."""
        wit = " ".join(f"#{self.edition.letters[column].name}" for column in group.columns)
        opening = f"<{element}" + (f' xml:id="{name}"' if name else "") + f' wit="{wit}"{about}'
        return f"{opening}>{group.xml}</{element}>" if group.xml else f"{opening}/>"

    def _adopted_in(self, segment: Segment) -> tuple[str, str] | None:
        """Give the words of a place as the editor reads them, in letters and as TEI; None if he has none."""
        span = self.edition.span(MAIN, segment)
        if self._adopted is None or span is None or span[0] == span[1]:
            return None
        if not any(span[0] <= start and end <= span[1] for start, end in self._adopted.spans):
            return None
        return self._adopted.words(span, segment), self._adopted.in_segment(span, segment)

    @staticmethod
    def _adopted_lemma(written: str, here: Sequence[Said], found: ReadingsOfPlace) -> str:
        """Give what the editor adopted, and no witness has in the same lines, as the lemma, in his name."""
        decisions = [one.decision.decision for one in here if one.decision]
        who = dict.fromkeys(found.person(one.who) for one in decisions if one.ruling is Ruling.ADOPTED)
        resp = f' resp="{" ".join(who)}"' if who else ""
        return f'<lem type="adopted"{resp}>{written}</lem>'
