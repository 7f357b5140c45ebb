"""Put a decision of the editor on record: find its place, note what stands there, write it down.

Arrives: a dossier, a locus, what is decided. Leaves: ``decisions.csv`` with it. Start reading at
``decide_place``.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import LostText, Survivor, read_dossier
from fidelity.dossier.cited import Place
from fidelity.dossier.conjectures import place_in, with_stops
from fidelity.dossier.decisions import DECISIONS, value_fault
from fidelity.dossier.lock import WAITED
from fidelity.dossier.word_places import WordPlace, as_printed, nearest, words_at
from fidelity.dossier.write_decisions import write_decision
from fidelity.errors import DataError, UsageError
from fidelity.terms import LOST_LETTER, Alignment, Variant, Witness
from fidelity.terms.decisions import (
    APPLIED,
    OF_LOST_TEXTS,
    OF_SURVIVORS,
    WITHDRAWN,
    Decision,
    Ruling,
)
from fidelity.variants.corrections import final_text
from fidelity.variants.decided import answering, at_place, with_decided_differences, with_decided_pairs
from fidelity.variants.effect import Pairing, effect_on_lost, effect_on_survivor, refuse_repeated
from fidelity.variants.withdrawing import Decided, Tell, Wanted, same_place, withdraw

__all__ = ["Decided", "Wanted", "decide_place"]


def decide_place(
    folder: Path, wanted: Wanted, waited: float = WAITED, tell: Tell = lambda _: None
) -> Decided:
    """Write a decision down with the words that now stand at its place, and the date.

    Args:
        folder: of the dossier, or its ``dossier.toml``.
        wanted: what is decided; "withdrawn" takes back what was decided of the place.
        waited: seconds to wait for another writer.
        tell: told what will change, a sentence at a time, before anything is written.

    Raises:
        DataError: the dossier has faults, the text, place or value is unknown, the decision would change
            nothing, or the file cannot be written. Nothing is changed then.
        UsageError: there is no such decision, it cannot be made on such a text, or no reason is given.
    """
    if not wanted.reason.strip():
        raise UsageError("a decision without a reason", remedy="say in a few words why you decide so")
    dossier = read_dossier(folder)
    if wanted.ruling == WITHDRAWN:
        return withdraw(dossier, wanted, waited, tell)
    cited = place_in(dossier, wanted.locus)
    texts: list[Survivor | LostText] = [*dossier.survivors, *dossier.lost]
    text = next(one for one in texts if one.id == cited.text)
    ruling = _ruling(wanted, text)
    if fault := value_fault(ruling, wanted.value):
        raise _faulty_value(fault, wanted)
    place = _words_of(cited, text)
    decision = _as_it_stands(wanted, ruling, text, place)
    refuse_repeated(decision, dossier.decisions)
    earlier = tuple(
        one for one in dossier.decisions if one.locus != decision.locus or one.text != decision.text
    )
    if isinstance(text, Survivor):
        copy, _ = final_text(text.copy)
        found = align_witnesses(text.original, copy, dossier.folds)
        pairing = Pairing(text.id, found, dossier.folds, earlier)
        decision = _with_answer(decision, place, pairing)
        refuse_repeated(decision, dossier.decisions)
        changes = tuple(effect_on_survivor(decision, pairing))
    else:
        changes = tuple(effect_on_lost(decision, text.copy, earlier))
    for one in changes:
        tell(one)
    replaced = write_decision(dossier.folder, decision, same_place(decision, _cited_text(text)), waited)
    return Decided(decision, tuple(replaced), dossier.folder / DECISIONS, changes)


def _cited_text(text: Survivor | LostText) -> Witness:
    """Give the text by which places are cited."""
    return text.copy if isinstance(text, LostText) else text.original


def _words_of(cited: Place, text: Survivor | LostText) -> WordPlace:
    """Find the words of a place."""
    witness = _cited_text(text)
    place = words_at(witness, text.id, str(cited))
    if not isinstance(place, WordPlace):
        label = str(cited).removeprefix(text.id + " ").rpartition(".")[0]
        raise DataError(f"there is no place {cited}", remedy=place or nearest(label, witness.labels))
    return place


def _as_it_stands(wanted: Wanted, ruling: Ruling, text: Survivor | LostText, place: WordPlace) -> Decision:
    """Make the decision, with the words that stand at its place now."""
    lost = isinstance(text, LostText)
    there, value = as_printed(_cited_text(text).letters[slice(*place.span)]), wanted.value.strip()
    return Decision(
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


def _faulty_value(fault: tuple[str, Sequence[str], str], wanted: Wanted) -> DataError:
    """Say what is wrong with a value, what was meant perhaps, and everything there is."""
    what, known, remedy = fault
    listed = f"known: {', '.join(known)}" if known else ""
    return DataError(what, remedy=" ".join(filter(None, (nearest(wanted.value, known), listed, remedy))))


def _ruling(wanted: Wanted, text: Survivor | LostText) -> Ruling:
    """Take what is decided by its name."""
    allowed = OF_LOST_TEXTS if isinstance(text, LostText) else OF_SURVIVORS
    if wanted.ruling in list(allowed):
        return Ruling(wanted.ruling)
    what = "lost text" if isinstance(text, LostText) else "survivor"
    remedy = f"of a {what} can be decided: {', '.join((*allowed, WITHDRAWN))}"
    if wanted.ruling in list(Ruling):
        raise UsageError(f"{text.id} is a {what}: {wanted.ruling} cannot be decided of it", remedy=remedy)
    near = nearest(wanted.ruling, [*map(str, allowed), WITHDRAWN])
    raise UsageError(f"{wanted.ruling} is no decision", remedy=f"{near} {remedy}")


def _with_answer(decision: Decision, place: WordPlace, pairing: Pairing) -> Decision:
    """Add the words of the copy, and see that the decision would be applied."""
    alignment, variants = pairing.paired()
    text = pairing.text
    if not decision.transmitted:
        decision = replace(decision, transmitted=_answer(alignment, place, variants))
    if decision.ruling is Ruling.PAIR:
        _, uses = with_decided_pairs([*pairing.earlier, decision], pairing.found, text, pairing.folds)
    else:
        _, uses = with_decided_differences([decision], alignment, text, variants)
    for use in uses:
        if use.decision is decision and use.applied != APPLIED:
            stands = f" ({decision.original} : {decision.transmitted or 'nothing'})"
            remedy = "see the place with `fidelity align`; --transmitted names other words of the copy"
            raise DataError(f"{text} {place.locus}{stands}: {use.why}", remedy=remedy)
    return decision


def _answer(alignment: Alignment, place: WordPlace, variants: list[Variant]) -> str:
    """Give the words of the copy that answer a place; of what was moved, where it now stands."""
    here = at_place(variants, alignment.original, place)
    moved = [one for one in here if one.moved]
    if moved:
        return moved[0].copy_words
    answer = as_printed(alignment.copy.letters[slice(*answering(alignment, *place.span))])
    signs = [one.copy_words for one in here if LOST_LETTER in one.copy]  # no letter, and yet he wrote them
    return answer or (signs[0] if signs else "")
