"""Put a decision of the editor on record: find its place, note what stands there, write it down.

Arrives: a dossier, a locus, what is decided. Leaves: ``decisions.csv`` with it. Start reading at
``decide_place``.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from pathlib import Path

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import Dossier, LostText, Survivor, read_dossier
from fidelity.dossier.conjectures import place_in, with_stops
from fidelity.dossier.decisions import DECISIONS, value_fault
from fidelity.dossier.lock import WAITED
from fidelity.dossier.word_places import WordPlace, as_printed, nearest, words_at
from fidelity.dossier.write_decisions import write_decision
from fidelity.errors import DataError, UsageError
from fidelity.terms import Alignment, Variant
from fidelity.terms.decisions import APPLIED, OF_LOST_TEXTS, OF_SURVIVORS, Decision, Ruling
from fidelity.variants.collect import collect
from fidelity.variants.corrections import final_text
from fidelity.variants.decided import answering, at_place, with_decided_differences, with_decided_pairs
from fidelity.variants.layers import with_layers


@dataclass(frozen=True)
class Decided:
    """A decision that was written down.

    Attributes:
        decision: as it stands in the file now.
        replaced: the lines that stood there for the same place, by column; they are kept apart.
        file: where it was written.
    """

    decision: Decision
    replaced: tuple[dict[str, str], ...]
    file: Path


@dataclass(frozen=True)
class Wanted:
    """What an editor decides, before its place is looked up.

    Attributes:
        locus: text and place.
        ruling: one of ``Ruling``, by name.
        value: the reading, the cause, or the original's words.
        reason, who: the editor's.
        transmitted: the copy's words, where they are not those that answer the place now; else "".
        when: the date, as ISO 8601 has it; "" for today.
    """

    locus: str
    ruling: str
    value: str = ""
    reason: str = ""
    who: str = ""
    transmitted: str = ""
    when: str = ""


def decide_place(folder: Path, wanted: Wanted, waited: float = WAITED) -> Decided:
    """Write a decision down with the words that now stand at its place, and the date.

    Args:
        folder: of the dossier, or its ``dossier.toml``.
        wanted: what is decided.
        waited: seconds to wait for another writer.

    Raises:
        DataError: the dossier has faults, the text, place or value is unknown, or the file cannot be
            written. Nothing is changed then.
        UsageError: there is no such decision, or it cannot be made on such a text.
    """
    dossier = read_dossier(folder)
    cited = place_in(dossier, wanted.locus)
    texts: list[Survivor | LostText] = [*dossier.survivors, *dossier.lost]
    text = next(one for one in texts if one.id == cited.text)
    ruling = _ruling(wanted, text)
    if fault := value_fault(ruling, wanted.value):
        what, known, remedy = fault
        raise DataError(what, remedy=f"{nearest(wanted.value, known)} {remedy}".strip())
    lost = isinstance(text, LostText)
    witness = text.copy if isinstance(text, LostText) else text.original
    place = words_at(witness, text.id, str(cited))
    if not isinstance(place, WordPlace):
        label = wanted.locus.removeprefix(text.id + " ").rpartition(".")[0]
        remedy = place or nearest(label, witness.labels)
        raise DataError(f"there is no place {wanted.locus}", remedy=remedy)
    there, value = as_printed(witness.letters[slice(*place.span)]), wanted.value.strip()
    decision = Decision(
        text=text.id,
        locus=place.locus,
        ruling=ruling,
        transmitted=there if lost else wanted.transmitted,
        original="" if lost else there,
        value=with_stops(value, there) if value and ruling is Ruling.ADOPTED else value,
        reason=wanted.reason.strip(),
        who=wanted.who.strip(),
        when=wanted.when or datetime.date.today().isoformat(),
    )
    if isinstance(text, Survivor):
        decision = _with_answer(decision, place, text, dossier)

    def same(other: str, locus: str) -> bool:
        found = words_at(witness, other, locus) if other == text.id else None
        return isinstance(found, WordPlace) and (found.first, found.last) == (place.first, place.last)

    replaced = write_decision(dossier.folder, decision, same, waited)
    return Decided(decision, tuple(replaced), dossier.folder / DECISIONS)


def _ruling(wanted: Wanted, text: Survivor | LostText) -> Ruling:
    """Take what is decided by its name."""
    allowed = OF_LOST_TEXTS if isinstance(text, LostText) else OF_SURVIVORS
    if wanted.ruling in list(allowed):
        return Ruling(wanted.ruling)
    what = "lost text" if isinstance(text, LostText) else "survivor"
    remedy = f"of a {what} can be decided: {', '.join(allowed)}"
    if wanted.ruling in list(Ruling):
        raise UsageError(f"{text.id} is a {what}: {wanted.ruling} cannot be decided of it", remedy=remedy)
    near = nearest(wanted.ruling, list(map(str, allowed)))
    raise UsageError(f"{wanted.ruling} is no decision", remedy=f"{near} {remedy}")


def _with_answer(decision: Decision, place: WordPlace, survivor: Survivor, dossier: Dossier) -> Decision:
    """Add the words of the copy, and see that the decision would be applied."""
    copy, _ = final_text(survivor.copy)
    found = align_witnesses(survivor.original, copy, dossier.folds)
    earlier = [one for one in dossier.decisions if one.locus != decision.locus or one.text != decision.text]
    alignment, _ = with_decided_pairs(earlier, found, survivor.id, dossier.folds)
    variants = with_layers(collect(alignment, survivor.id, dossier.folds), alignment, survivor.id)
    if not decision.transmitted:
        decision = replace(decision, transmitted=_answer(alignment, place, variants))
    if decision.ruling is Ruling.PAIR:
        _, uses = with_decided_pairs([*earlier, decision], found, survivor.id, dossier.folds)
    else:
        _, uses = with_decided_differences([decision], alignment, survivor.id, variants)
    for use in uses:
        if use.decision is decision and use.applied != APPLIED:
            remedy = "see the place with `fidelity align`; --transmitted names other words of the copy"
            raise DataError(f"{survivor.id} {place.locus}: {use.why}", remedy=remedy)
    return decision


def _answer(alignment: Alignment, place: WordPlace, variants: list[Variant]) -> str:
    """Give the words of the copy that answer a place; of what was moved, where it now stands."""
    moved = [one for one in at_place(variants, alignment.original, place) if one.moved]
    if moved:
        return moved[0].copy_words
    return as_printed(alignment.copy.letters[slice(*answering(alignment, *place.span))])
