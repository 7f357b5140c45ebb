"""Everything known of one place: in a lost text its readings, in a survivor what he did there.

Arrives: a dossier, a place as it is cited, perhaps a reading. Leaves: a ``PlaceFound``. Start reading at
``place``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fidelity.audit import audit_to_ask
from fidelity.dossier import Dossier
from fidelity.dossier.cited import Place
from fidelity.dossier.conjectures import conjecture_at, place_in, texts_to_cite
from fidelity.dossier.word_places import WordPlace, words_at
from fidelity.hands.survivors import layers_in
from fidelity.in_notebook import Tabled
from fidelity.judge import Audit, Progress, judge
from fidelity.letters import decode
from fidelity.readings.copies_seen import places_of_copies
from fidelity.readings.evidence import EvidenceBook
from fidelity.terms import Alignment, Mark, StepEvidence, Variant, Witness
from fidelity.terms.conjecture import JudgedUnit
from fidelity.terms.copies import CopyPlace
from fidelity.terms.decisions import Decision
from fidelity.terms.hands import Candidate, Layer
from fidelity.variants.answers import answered
from fidelity.variants.places import places_of

MOST_ELSEWHERE = 5  # other places of the same cause that are cited


@dataclass(frozen=True)
class Done:
    """What the copyist did at a place of a survivor.

    Attributes:
        variant: the difference, with its cause and the other causes that fit.
        steps: how often he made each of its operations on letters, this place among them.
        same_cause: other places with the same cause, as printed, the first of them.
        same_cause_count: how many there are.
    """

    variant: Variant
    steps: tuple[StepEvidence, ...]
    same_cause: tuple[str, ...]
    same_cause_count: int


@dataclass(frozen=True)
class PlaceFound(Tabled):
    """Everything known of one place.

    Attributes:
        place: where.
        lost: whether it is in a lost text.
        lines: the lines it stands in with one before and one after: how each is cited, and its letters.
        transmitted: what stands there, as printed: in the copy of a lost text, in a survivor's original.
        copied: of a survivor what the copy has there, as printed.
        units: of a lost text the stretches that have something to tell, with all their readings.
        silent: how many further stretches there are, of which nothing is to be told.
        done: of a survivor what he did there.
        audit: by which it was judged; of a survivor without blind test and readings.
        decisions: what the editor decided of words in it.
        marks: what the copyist himself marked there in his copy.
        copies: where his copies of it, or another's, differ, or are wrong alike.
        candidates: of a lost text the words there that may be another hand's.
        layers: of a survivor what is another hand's there, or cancelled.
    """

    place: Place
    lost: bool
    lines: tuple[tuple[str, str], ...]
    transmitted: str
    audit: Audit
    copied: str = ""
    units: tuple[JudgedUnit, ...] = ()
    silent: int = 0
    done: tuple[Done, ...] = ()
    decisions: tuple[Decision, ...] = ()
    marks: tuple[Mark, ...] = ()
    copies: tuple[CopyPlace, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    layers: tuple[Layer, ...] = ()


def place(
    dossier: Path | Dossier, locus: str, reading: str | None = None, progress: Progress = lambda _: None
) -> PlaceFound:
    """Give everything known of one place.

    Args:
        dossier: the folder (or its ``dossier.toml``), or a dossier already read.
        locus: the place as scholars cite it: text, page, line and word, or a range; the text may be left out
            where one text is lost.
        reading: what the original would have read there, to be judged beside the dossier's conjectures.
        progress: told in a few words what is being done.

    Raises:
        DataError: something in the dossier cannot be used, or there is no such place.
        UsageError: no place is named, or not of which text.
    """
    if isinstance(dossier, Path):
        progress("reading the dossier")
        from fidelity.dossier.read import read_dossier  # not needed for one already read

        dossier = read_dossier(dossier)
    where = place_in(dossier, locus)
    lost = {text.id: text.copy for text in dossier.lost}
    conjectures = [one for one in dossier.conjectures if one.text == where.text]
    if reading is not None:
        conjectures.append(conjecture_at(where, reading, lost))
    witness = texts_to_cite(dossier.survivors, dossier.lost)[where.text]
    if where.text not in lost:
        return _in_survivor(where, witness, judge(dossier, progress))
    audit, rivals = audit_to_ask(replace(dossier, conjectures=()), progress)
    progress(f"judging the readings of {where}")
    units = rivals(where.text).units(where.span, conjectures)
    audit = replace(audit, dossier=dossier)
    telling = [unit for unit in units if len(units) == 1 or _tells(unit, dossier.settings.rival_from)]
    return PlaceFound(
        where,
        lost=True,
        lines=tuple(_lines(where, witness)),
        transmitted=decode(witness.letters[slice(*where.span)]),
        audit=audit,
        units=tuple(telling),
        silent=len(units) - len(telling),
        decisions=tuple(_decided(where, witness, dossier)),
        marks=_marked(witness, where.span),
        copies=tuple(filter(_at(where), audit.copies.places)),
        candidates=tuple(filter(_at(where), audit.hands.candidates)),
    )


def _at(where: Place) -> Callable[[CopyPlace | Candidate], bool]:
    """Give what tells whether something stands at a place."""
    return lambda one: one.text == where.text and _meet(one.span, where.span)


def _tells(unit: JudgedUnit, rival_from: float) -> bool:
    """Tell whether there is something to be told of a unit: a proposal, a conjecture, a rival of weight."""
    rivals = [one for one in unit.rivals if one.sort != "transmitted"]
    weighty = any(one.reading.probability >= rival_from or one.conjectures for one in rivals)
    return bool(unit.proposals) or weighty or any(one.conjectures for one in unit.rivals)


def _lines(where: Place, witness: Witness) -> Iterator[tuple[str, str]]:
    """Give the lines of a place, with one before and one after."""
    first, last = witness.line_of(where.span[0]), witness.line_of(where.span[1] - 1)
    for line in range(max(first - 1, 0), min(last + 2, len(witness.lines))):
        yield witness.labels[line], witness.text_of_line(line)


def _in_survivor(where: Place, witness: Witness, audit: Audit) -> PlaceFound:
    """Say what the copyist did at a place of a survivor."""
    alignments = audit.by_survivor
    settings = audit.dossier.settings
    book = EvidenceBook(alignments, audit.variants, audit.counts, audit.dossier.folds, settings.confidence)
    alignment = alignments[where.text]
    here = [one for one in audit.variants if one.text == where.text and _touches(one, where.span)]
    start, end = _written(alignment, where.span, here)
    passages = next(one.passages for one in audit.dossier.survivors if one.id == where.text)
    places = places_of(witness, passages)
    return PlaceFound(
        where,
        lost=False,
        lines=tuple(_lines(where, witness)),
        transmitted=decode(witness.letters[slice(*where.span)]),
        audit=audit,
        copied=decode(alignment.copy.letters[start:end]).strip(),
        done=tuple(_done(one, audit.variants, book, settings.parallels) for one in here),
        decisions=tuple(_decided(where, witness, audit.dossier)),
        marks=_marked(alignment.copy, (start, end)),
        copies=places_of_copies(audit.dossier, audit.alignments, audit.variants, where.text, (start, end)),
        layers=tuple(
            one
            for one in layers_in(alignment, where.text, places, audit.dossier.folds, audit.mended)
            if one.span[0] < where.span[1] and where.span[0] < one.span[1]
        ),
    )


def _written(alignment: Alignment, span: tuple[int, int], here: Sequence[Variant]) -> tuple[int, int]:
    """Give the span of the copy for a place; where no letter answers, what is told to stand for its words.

    Signs for letters he could not read answer none, and yet he wrote them.
    """
    start, end = answered(alignment, span)
    if alignment.copy.letters[start:end].strip():
        return start, end
    within = [one for one in here if span[0] <= one.original_span[0] and one.original_span[1] <= span[1]]
    told = [one.copy_span for one in within if one.copy_span[0] < one.copy_span[1] and not one.moved]
    return (min(one[0] for one in told), max(one[1] for one in told)) if told else (start, end)


def _marked(copy: Witness, span: tuple[int, int]) -> tuple[Mark, ...]:
    """Give what the copyist marked in a span of his copy."""
    return tuple(one for one in copy.marks if one.start < span[1] and span[0] < one.end)


def _decided(where: Place, witness: Witness, dossier: Dossier) -> Iterator[Decision]:
    """Give the editor's decisions on words of a place."""
    for one in dossier.decisions:
        words = words_at(witness, one.text, one.locus) if one.text == where.text else None
        if isinstance(words, WordPlace) and words.span[0] < where.span[1] and where.span[0] < words.span[1]:
            yield one


def _meet(one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Tell whether two spans of letters have letters in common."""
    return one[0] < other[1] and other[0] < one[1]


def _touches(variant: Variant, span: tuple[int, int]) -> bool:
    """Tell whether a difference lies in a span; what was put in between two words lies in both."""
    start, end = variant.original_span
    return span[0] <= start <= span[1] if start == end else start < span[1] and span[0] < end


def _done(one: Variant, variants: Sequence[Variant], book: EvidenceBook, most: int) -> Done:
    """Say of a difference how often he did the same elsewhere."""
    letters = book.folds.fold(book.alignments[one.text].original.letters)
    steps: dict[str, StepEvidence] = {}
    at = one.original_span[0]
    for original, written in one.pairs:
        step = book.folds.fold(original), book.folds.fold(written)
        if step[0] != step[1] and not one.moved:
            around = max(at - 60, 0)  # letters before and after: a word is shorter
            found = book.of(step, letters[around : at + 60], at - around, most + 1)
            here = str(one.locus)
            parallels = tuple(place for place in found.parallels if place != here)[:most]
            steps[found.step] = replace(found, parallels=parallels)
        at += len(original)
    alike = [str(other.locus) for other in variants if other.cause is one.cause and other is not one]
    return Done(one, tuple(steps.values()), tuple(dict.fromkeys(alike))[:MOST_ELSEWHERE], len(alike))


__all__ = ["Done", "PlaceFound", "place"]
