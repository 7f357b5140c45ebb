"""Print the apparatus of the lost texts as plain text, to be pasted into a paper.

Arrives: an audit, and the collated witnesses of its lost texts. Leaves: ``apparatus.txt``: by locus, the
lemma with its witnesses, the other readings, what is proposed and how sure it is. Start reading at
``printed_apparatus``.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from itertools import groupby

from fidelity.apparatus.cautions import IN_ONE_LINE, cautions
from fidelity.apparatus.collated import CollatedText, collated_text
from fidelity.apparatus.concerns import Said, adopted_in, said_of
from fidelity.apparatus.edition_places import said_by_segment
from fidelity.apparatus.edition_readings import NOBODY_NAMED, PROGRAM, with_reading
from fidelity.apparatus.edition_text import MAIN, EditionText, Group
from fidelity.apparatus.moved_words import Moved, moved_words
from fidelity.apparatus.segments import Segment
from fidelity.apparatus.sentences import ALL_BUT_SURE, believed
from fidelity.apparatus.tei_names import TeiNames
from fidelity.judge import Audit
from fidelity.letters import decode, encode
from fidelity.sources.tradition import ground_of
from fidelity.terms import LOST_LETTER, OPE_CODICUM, ProposedReading
from fidelity.terms.decisions import Ruling
from fidelity.variants.citations import in_short
from fidelity.witnesses.write import signed

WIDTH = 78  # letters to a line, so that a paper or a letter takes it as it is
INDENT = "    "
SIGNS = (
    ("]", "ends the lemma: what the copy transmits, or what the editor adopted"),
    ("om.", "the witness leaves the words out"),
    ("add.", "the witness adds the words after the lemma"),
    ("transp.", "the witness has the words at the place named"),
    (
        "prop.",
        "proposed reading of the program, ope ingenii unless said otherwise: a conjecture, in no witness",
    ),
    ("cod.", "the program proposes this reading of witnesses, ope codicum"),
    ("conj.", "conjectured by the person named"),
    ("0.62", "probability that the lost original read so; 0.38-0.7: the range that the blind test allows"),
    ("susp.", "corrupt more probably than not, nothing proposed; the figure is that of its being corrupt"),
    ("† †", "past mending, as the editor decided"),
    ("[..]", "lost letters, a dot for each; [---] lost, nobody knows how many; [abc] lost and restored"),
    ("⟨abc⟩", "supplied; (abc) abbreviation written out; ⟦abc⟧ cancelled; ạ unclear; ⸌abc⸍ in another hand"),
    ("|", "parts the fields of an entry"),
)


def printed_apparatus(audit: Audit, texts: Sequence[CollatedText] | None = None) -> str:
    """Give the apparatus of all lost texts as plain text.

    Args:
        audit: what was found.
        texts: the lost texts with their witnesses, if they are collated already.
    """
    if texts is None:
        texts = [collated_text(audit.dossier, lost) for lost in audit.dossier.lost]
    lines = ["APPARATUS OF PROPOSED READINGS", "", *_wrapped(IN_ONE_LINE), "", "Signs", ""]
    lines += [line for sign, told in SIGNS for line in _entry(sign, told)]
    for text in texts:
        lines += ["", "", text.id, "=" * len(text.id), "", *_sigla(text), ""]
        lines += _places(audit, text)
    lines += ["", "", "Cautions", ""]
    for number, caution in enumerate(cautions(audit), start=1):
        lines += _entry(f"{number}.", caution)
    settings = "; ".join(f"{name} {value}" for name, value in audit.dossier.settings.colophon().items())
    lines += ["", *_wrapped(f"Made by {PROGRAM} {version(PROGRAM)}. Settings: {settings}.")]
    return "\n".join(lines) + "\n"


def _wrapped(text: str, first: str = "", then: str = "") -> list[str]:
    """Wrap a text; words longer than a line stay whole."""
    return textwrap.wrap(
        *(text, WIDTH),
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _entry(sign: str, told: str) -> list[str]:
    """Give a sign with what it means."""
    return _wrapped(told, f"{sign:<9}", " " * 9)


def _sigla(text: CollatedText) -> Iterator[str]:
    """Give the witnesses by siglum: what they are, when, from what they were copied."""
    for one in text.described:
        told = [one.what.removesuffix(".")]
        told += [one.date] if one.date else []
        told += [f"copied from {each.source} ({ground_of(each)})" for each in one.dependence]
        told += [f"not set beside the others: {one.refused}"] if one.refused else []
        yield from _entry(one.siglum, "; ".join(told))


def _places(audit: Audit, text: CollatedText) -> Iterator[str]:
    """Give every place of the apparatus of one text, each on a line of its own."""
    edition = EditionText(text, TeiNames())
    cut = [
        (one, here) for one, here in said_by_segment(edition, list(said_of(audit, text.id))) if one.is_place
    ]
    moved = moved_words(edition, [segment for segment, _ in cut])
    adopted, is_empty = adopted_in(audit, text.id), True
    for segment, here in cut:
        printed = _Place(edition, segment, here, moved, adopted)
        if not printed.readings:
            continue
        is_empty = False
        cited = edition.cited(segment).removeprefix(f"{text.id} ")
        yield from _wrapped(f"{cited}{INDENT}{printed}", "", INDENT)
    if is_empty:
        yield "No place has another reading, and none is proposed."


class _Place:
    """One place of the printed apparatus."""

    def __init__(
        self,
        edition: EditionText,
        segment: Segment,
        here: Sequence[Said],
        moved: Moved,
        adopted: Sequence[ProposedReading],
    ) -> None:
        self.edition, self.segment, self.here, self.moved = edition, segment, here, moved
        self.groups = edition.groups(segment)
        self.adopted = adopted
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
        if adopted := self._adopted():
            return adopted
        if not first.letters.strip():
            before = self.edition.collated.copy.letters[: first.span[0]].split()[-1:]
            return _shown("".join(before)) or "(beginning)"
        words = self._words(first)
        if any(one.decision and one.decision.decision.ruling is Ruling.CRUX for one in self.here):
            words = f"†{words}†"
        return f"{words} {self._sigla(first)}"

    def _adopted(self) -> str:
        """Give what the editor adopted, and that he did; "" if he adopted nothing here."""
        span = self.edition.span(MAIN, self.segment)
        uses = [one.decision.decision for one in self.here if one.decision]
        who = [one.who or NOBODY_NAMED for one in uses if one.ruling is Ruling.ADOPTED]
        if span is None or not who:
            return ""
        start, letters = span[0], self.edition.collated.copy.letters
        written = []
        for one in sorted(self.adopted, key=lambda one: one.copy_span):
            if start <= one.copy_span[0] and one.copy_span[1] <= span[1]:
                written += [letters[start : one.copy_span[0]], encode(one.proposed)]
                start = one.copy_span[1]
        words = _shown("".join([*written, letters[start : span[1]]]))
        return f"{words} adopted by {', '.join(dict.fromkeys(who))}" if written else ""

    def _of_witnesses(self) -> Iterator[str]:
        """Give the readings of witnesses, those of the lemma apart."""
        first = self.groups[0]
        adds = not first.letters.strip()
        if self._adopted():
            yield f"{self._words(first)} {self._sigla(first)}"
        for at, group in enumerate(self.groups[1:], start=1):
            if group.letters.strip() and not group.letters.replace(LOST_LETTER, "").strip():
                continue  # of what is lost altogether a witness says nothing
            elsewhere = self.moved.get((self.segment.first, group.columns[0]), "")
            elsewhere = elsewhere.removeprefix(f"{self.edition.collated.id} ")
            if not group.letters.strip():
                said = f"transp. to {elsewhere}" if elsewhere else "om."
            else:
                said = f"add. {self._words(group)}" if adds else self._words(group)
                said += f" (transp. from {elsewhere})" if elsewhere else ""
            yield " ".join([said, self._sigla(group), *self._of_the_program(at)])
        if adds and len(self.groups) > 1:
            yield f"not in {self._sigla(first)}"

    def _of_the_program(self, at: int) -> Iterator[str]:
        """Say that the program proposes what some witnesses have."""
        for one in (each.proposal for each in self.here):
            if one and self._group_of(one) == at:
                yield f"(cod. {_figure(one)})"

    def _group_of(self, one: ProposedReading) -> int | None:
        """Give which witnesses have a proposed reading letter for letter."""
        if one.ground != OPE_CODICUM or not one.is_proposal:
            return None
        return with_reading(self.groups, self.edition.put(one.copy_span, encode(one.proposed), self.segment))

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
                    steps = f" ({', '.join(one.steps)})" if one.steps else ""
                    yield f"{words or 'om.'} prop.{ground} {_figure(one)}{steps}"
            if each.conjecture:
                made, judged = each.conjecture[0], each.conjecture[1].reading
                words = _shown(self.edition.put(judged.copy_span, encode(judged.proposed), self.segment))
                yield f"{words or 'om.'} conj. {made.by or NOBODY_NAMED} ({_figure(judged)})"
            if each.decision and each.decision.decision.ruling is not Ruling.ADOPTED:
                use = each.decision.decision
                told = f" ({use.reason})" if use.reason else ""
                yield f"{use.ruling} by {use.who or NOBODY_NAMED}{told}"


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
