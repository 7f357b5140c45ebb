"""Print the apparatus of the lost texts as plain text, to be pasted into a paper.

Arrives: an audit, and the collated witnesses of its lost texts. Leaves: ``apparatus.txt``: by locus, the
lemma with its witnesses, the other readings, what is proposed and how sure it is. Start reading at
``printed_apparatus``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from itertools import groupby

from fidelity.apparatus.cautions import IN_ONE_LINE, cautions
from fidelity.apparatus.collated import CollatedText, collated_texts
from fidelity.apparatus.concerns import Said, adopted_in, said_of
from fidelity.apparatus.edition_places import said_by_segment
from fidelity.apparatus.edition_readings import NOBODY_NAMED, PROGRAM, with_reading
from fidelity.apparatus.edition_text import MAIN, EditionText, Group
from fidelity.apparatus.moved_words import Moved, moved_words
from fidelity.apparatus.printed_head import SIGNS, entry, settings_in_words, sigla_of, wrapped
from fidelity.apparatus.segments import Segment
from fidelity.apparatus.sentences import ALL_BUT_SURE, believed
from fidelity.apparatus.tei_names import TeiNames
from fidelity.judge import Audit
from fidelity.letters import decode, encode
from fidelity.terms import LOST_LETTER, OPE_CODICUM, ProposedReading
from fidelity.terms.decisions import Ruling
from fidelity.variants.citations import in_short
from fidelity.witnesses.write import signed

LONGEST_PLACE = 16  # letters of a place for which the column of places is made wide: "12r:13.4-12v:2.1"


def printed_apparatus(audit: Audit, texts: Sequence[CollatedText] | None = None) -> str:
    """Give the apparatus of all lost texts as plain text.

    Args:
        audit: what was found.
        texts: the lost texts with their witnesses, if they are collated already.
    """
    if texts is None:
        texts = collated_texts(audit.dossier)
    lines = ["APPARATUS OF PROPOSED READINGS", "", *wrapped(IN_ONE_LINE), "", "Signs", ""]
    lines += [line for sign, told in SIGNS for line in entry(sign, told)]
    for text in texts:
        edition = EditionText(text, TeiNames())
        title = ": ".join(filter(None, [text.id, text.name]))
        lines += ["", "", title, "=" * len(title), "", *sigla_of(edition), ""]
        lines += _places(audit, edition)
    lines += ["", "", "Cautions", ""]
    for number, caution in enumerate(cautions(audit), start=1):
        lines += entry(f"{number}.", caution)
    settings = settings_in_words(audit.dossier.settings)
    lines += ["", *wrapped(f"Made by {PROGRAM} {version(PROGRAM)}. Settings: {settings}.")]
    return "\n".join(lines) + "\n"


def _places(audit: Audit, edition: EditionText) -> Iterator[str]:
    """Give every place of the apparatus of one text, each on a line of its own, places in a column."""
    said = said_by_segment(edition, list(said_of(audit, edition.collated.id)))
    cut = [(one, here) for one, here in said if one.is_place]
    moved = moved_words(edition, [segment for segment, _ in cut])
    of_text = _OfText(edition, moved, adopted_in(audit, edition.collated.id), _partners(audit))
    places = [_Place(of_text, segment, here) for segment, here in cut]
    told = [(edition.cited_here(one.segment), str(one)) for one in places if one.readings]
    if not told:
        yield "No place has another reading, and none is proposed."
    width = 2 + max((len(cited) for cited, _ in told if len(cited) <= LONGEST_PLACE), default=0)
    for cited, one in told:
        yield from wrapped(one, f"{cited:<{width - 2}}  ", " " * width)


def _partners(audit: Audit) -> Mapping[int, str]:
    """Give what proposals move with them, as printed, by the number of the proposal."""
    return {one.reading: one.moves for one in audit.parallels.pairs if one.reading and one.moves}


@dataclass(frozen=True)
class _OfText:
    """What is known of a text when its places are printed.

    Attributes:
        edition: the witnesses.
        moved: words that witnesses have elsewhere.
        adopted: by the editor.
        partners: number of a proposal -> what it moves with it.
    """

    edition: EditionText
    moved: Moved
    adopted: Sequence[ProposedReading]
    partners: Mapping[int, str]


class _Place:
    """One place of the printed apparatus."""

    def __init__(self, text: _OfText, segment: Segment, here: Sequence[Said]) -> None:
        self.edition, self.text, self.segment, self.here = text.edition, text, segment, here
        self.groups = text.edition.groups(segment)
        self.adopted = self._adopted()
        with_it = with_reading(self.groups, self.adopted) if self.adopted else None
        is_so = with_it is not None and self._words(self.groups[with_it]) == _shown(self.adopted)
        self.lemma = with_it if is_so else None  # the witnesses that have what the editor adopted
        self.readings = [*self._of_witnesses(), *self._said()]

    def __str__(self) -> str:
        return f"{self._lemma()}] {'; '.join(self.readings)}"

    def _sigla(self, group: Group) -> str:
        """Give the sigla of some witnesses."""
        sigla = self.edition.collation.sigla
        return " ".join(sigla[column] for column in group.columns)

    def _words(self, group: Group) -> str:
        """Print what some witnesses have, with the signs of the transcript."""
        witness = self.edition.letters[group.columns[0]].witness
        return _shown("".join(signed(witness, *group.span)))

    def _lemma(self) -> str:
        """Give what the copy has, with those who have the same; or what the editor adopted."""
        first = self.groups[0]
        if self.adopted:
            has = "" if self.lemma is None else f" {self._witnesses(self.lemma)},"
            return f"{_shown(self.adopted)}{has} adopted by {', '.join(self._adopting())}"
        if not first.letters.strip():
            before = self.edition.collated.copy.letters[: first.span[0]].split()[-1:]
            return _shown("".join(before)) or "(beginning)"
        words = self._words(first)
        if any(one.decision and one.decision.decision.ruling is Ruling.CRUX for one in self.here):
            words = f"†{words}†"
        return f"{words} {self._sigla(first)}"

    def _adopted(self) -> str:
        """Give the letters of the place as the editor reads them; "" if he adopted nothing here."""
        span = self.edition.span(MAIN, self.segment)
        if span is None or not self._adopting():
            return ""
        start, letters = span[0], self.edition.collated.copy.letters
        written = []
        for one in sorted(self.text.adopted, key=lambda one: one.copy_span):
            if start <= one.copy_span[0] and one.copy_span[1] <= span[1]:
                written += [letters[start : one.copy_span[0]], encode(one.proposed)]
                start = one.copy_span[1]
        return "".join([*written, letters[start : span[1]]]).strip() if written else ""

    def _adopting(self) -> list[str]:
        """Give who adopted a reading here."""
        uses = [one.decision.decision for one in self.here if one.decision]
        return list(dict.fromkeys(one.who or NOBODY_NAMED for one in uses if one.ruling is Ruling.ADOPTED))

    def _of_witnesses(self) -> Iterator[str]:
        """Give the readings of witnesses, those of the lemma apart."""
        first = self.groups[0]
        adds = not first.letters.strip()
        if self.adopted:
            yield f"{self._words(first)} {self._sigla(first)}"
        for at, group in enumerate(self.groups[1:], start=1):
            if at == self.lemma:
                continue
            if group.letters.strip() and not group.letters.replace(LOST_LETTER, "").strip():
                continue  # of what is lost altogether a witness says nothing
            elsewhere = self.text.moved.get((self.segment.first, group.columns[0]), "")
            elsewhere = elsewhere.removeprefix(f"{self.edition.collated.id} ")
            if not group.letters.strip():
                said = f"transp. to {elsewhere}" if elsewhere else "om."
            else:
                said = f"add. {self._words(group)}" if adds else self._words(group)
                said += f" (transp. from {elsewhere})" if elsewhere else ""
            yield f"{said} {self._witnesses(at)}"
        if adds and len(self.groups) > 1:
            yield f"not in {self._sigla(first)}"

    def _witnesses(self, at: int) -> str:
        """Give the sigla of some witnesses, and that the program proposes what they have."""
        return " ".join([self._sigla(self.groups[at]), *self._of_the_program(at)])

    def _of_the_program(self, at: int) -> Iterator[str]:
        """Say that the program proposes what some witnesses have."""
        for one in (each.proposal for each in self.here):
            if one and self._group_of(one) == at:
                yield f"(cod.{_litt(one)} {'; '.join([_figure(one), *self._partner(one)])})"

    def _group_of(self, one: ProposedReading) -> int | None:
        """Give which witnesses have a proposed reading letter for letter."""
        if one.ground != OPE_CODICUM or not one.is_proposal:
            return None
        return with_reading(self.groups, self.edition.put(one.copy_span, encode(one.proposed), self.segment))

    def _why(self, one: ProposedReading) -> str:
        """Give the steps of a proposal, and what it moves with it, in brackets."""
        steps = [*([", ".join(one.steps)] if one.steps else []), *self._partner(one)]
        return f" ({'; '.join(steps)})" if steps else ""

    def _partner(self, one: ProposedReading) -> list[str]:
        """Give what a proposal moves with it, the other part of a pair."""
        return [f"with {self.text.partners[one.number]}"] if one.number in self.text.partners else []

    def _said(self) -> Iterator[str]:
        """Give what is proposed, conjectured and decided; what is proposed twice stands once."""
        known: set[str] = set()
        for each in self.here:
            if (one := each.proposal) and self._group_of(one) is None:
                words = _shown(self.edition.put(one.copy_span, encode(one.proposed), self.segment))
                if not one.is_proposal:
                    yield f"susp. {_figure(one)}"
                elif words not in known:
                    known.add(words)
                    ground = " ope codicum" if one.ground == OPE_CODICUM else ""
                    yield f"{words or 'om.'} prop.{_litt(one)}{ground} {_figure(one)}{self._why(one)}"
            if each.conjecture:
                made, judged = each.conjecture[0], each.conjecture[1].reading
                words = _shown(self.edition.put(judged.copy_span, encode(judged.proposed), self.segment))
                yield f"{words or 'om.'} conj. {made.by or NOBODY_NAMED} ({_figure(judged)})"
            if each.decision and each.decision.decision.ruling is not Ruling.ADOPTED:
                use = each.decision.decision
                told = f" ({use.reason})" if use.reason else ""
                yield f"{use.ruling} by {use.who or NOBODY_NAMED}{told}"


def _litt(one: ProposedReading) -> str:
    """Say that a letter alone is proposed; "" if the word is."""
    return " litt." if one.single else ""


def _figure(one: ProposedReading) -> str:
    """Give the probability as it may be shown, to three digits."""
    shown = believed(one)
    if isinstance(shown, float):
        return format(shown, ".3g") if shown < ALL_BUT_SURE else f">{ALL_BUT_SURE:g}"
    return shown


def _shown(letters: str) -> str:
    """Print letters: blanks single, borders of fields and losses by their signs, long stretches in short."""
    parted = " | ".join(" ".join(field.split()) for field in decode(letters).split("\t"))
    lost = (
        f"[{'.' * len(list(run))}]" if is_lost else "".join(run)
        for is_lost, run in groupby(parted, LOST_LETTER.__eq__)
    )
    return in_short("".join(lost).strip())
