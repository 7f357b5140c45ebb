"""Say what a decision will change, before it is written; one that changes nothing is a fault.

Arrives: a decision as it would stand in the file, and what stands there now. Leaves: sentences for the
editor, or a fault. Start reading at ``effect_on_lost`` and ``effect_on_survivor``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fidelity.dossier.word_places import WordPlace, stand_at, words_at
from fidelity.errors import DataError
from fidelity.terms import Alignment, Variant, Witness
from fidelity.terms.decisions import Decision, Ruling
from fidelity.variants.citations import in_short
from fidelity.variants.collect import collect
from fidelity.variants.decided import with_decided_differences, with_decided_pairs
from fidelity.variants.layers import with_layers
from fidelity.variants.withdrawing import told_in_short
from fidelity.witnesses.folds import Folds

Span = tuple[int, int]
OF_LOST = {  # what each decision on a lost text does
    Ruling.KEPT: "{words} stays as it is transmitted, whatever is proposed",
    Ruling.OPEN: "{words} is open: what is proposed there stays proposed",
    Ruling.CRUX: "{words} is past mending: nothing is put in there",
    Ruling.ADOPTED: "{words} → {value}, whatever its probability",
}
NOT_AGAIN = "decide otherwise, or give another reason"


@dataclass(frozen=True)
class Pairing:
    """A survivor and its alignment, by which decisions are tried before they are written.

    Attributes:
        text: id of the survivor.
        found: the alignment as it was found.
        folds: letterforms counted as equal.
        earlier: the decisions that stand, without one on the same place.
    """

    text: str
    found: Alignment
    folds: Folds
    earlier: tuple[Decision, ...]

    def paired(self, *more: Decision) -> tuple[Alignment, list[Variant]]:
        """Give the alignment as the editor pairs it, and its differences."""
        alignment, _ = with_decided_pairs([*self.earlier, *more], self.found, self.text, self.folds)
        variants = with_layers(collect(alignment, self.text, self.folds), alignment, self.text)
        return alignment, variants


def refuse_repeated(decision: Decision, there: Sequence[Decision]) -> None:
    """Refuse a decision that stands already, word for word; the date does not matter."""
    for one in there:
        if replace(one, line=0, when="") == replace(decision, line=0, when=""):
            what = f"{decision.text} {decision.locus} is decided so already, in line {one.line}"
            raise DataError(f"{what}: {told_in_short(one)}", remedy=NOT_AGAIN)


def effect_on_lost(decision: Decision, copy: Witness, earlier: Sequence[Decision]) -> Iterator[str]:
    """Say what a decision on a lost text changes.

    Args:
        decision: as it would be written.
        copy: of the lost text.
        earlier: the decisions on other places of the dossier.

    Raises:
        DataError: it adopts what is transmitted.
    """
    words = decision.transmitted
    if decision.ruling is Ruling.ADOPTED and decision.value.split() == words.split():
        what = f"{decision.text} {decision.locus}: “{words}” is what is transmitted there"
        raise DataError(what, remedy="decide kept, if it is to stay")
    yield OF_LOST[decision.ruling].format(words=words, value=decision.value)
    mine = _span_of(decision, copy)
    for one in earlier:
        span = _span_of(one, copy) if one.text == decision.text else None
        if mine and span and mine[0] < span[1] and span[0] < mine[1]:
            yield _overridden(one, "it decides some of the same words")


def _span_of(decision: Decision, copy: Witness) -> Span | None:
    """Find the words of a decision, as long as they stand."""
    place = words_at(copy, decision.text, decision.locus)
    found = stand_at(copy, place, decision.transmitted) if isinstance(place, WordPlace) else None
    return found.span if found else None


def effect_on_survivor(decision: Decision, pairing: Pairing) -> Iterator[str]:
    """Say what a decision on a survivor changes.

    Args:
        decision: as it would be written.
        pairing: the survivor as it stands.

    Raises:
        DataError: it changes nothing.
    """
    alignment, before = pairing.paired()
    if decision.ruling is Ruling.PAIR:
        alignment, after = pairing.paired(decision)
        old, new = (_as_printed(one) for one in (before, after))
        if old == new:
            what = f"“{decision.transmitted}” answers “{decision.value}” already"
            remedy = "nothing need be decided; `fidelity align` shows what answers what"
            raise DataError(f"{decision.text} {decision.locus}: {what}", remedy=remedy)
        yield f"“{decision.transmitted}” answers “{decision.value}”"
        for name, some in (("no more", _without(old, new)), ("instead", _without(new, old))):
            if some:
                yield f"differences {name}: {'; '.join(some)}"
    else:
        yield from _of_differences(decision, pairing.text, alignment, before)
    yield from _overridden_on_survivor(decision, pairing, before)


def _of_differences(
    decision: Decision, text: str, alignment: Alignment, variants: Sequence[Variant]
) -> Iterator[str]:
    """Say which differences a decision is about, and what becomes of them."""
    about = _about(decision, text, alignment, variants)
    if decision.ruling is Ruling.NOT_HIS:
        if about and all(one.set_aside for one in about):
            what = f"what differs there is set aside already ({about[0].set_aside})"
            raise DataError(f"{text} {decision.locus}: {what}", remedy="nothing need be decided")
        about = [one for one in about if not one.set_aside]
    told = "; ".join(_as_printed(about))
    if decision.ruling is Ruling.NOT_HIS:
        yield f"counted nowhere any more, and nothing is learned from it: {told}"
    else:
        yield f"the cause is {decision.value.replace('_', ' ')}: {told}"


def _about(decision: Decision, text: str, alignment: Alignment, variants: Sequence[Variant]) -> list[Variant]:
    """Give the differences a decision is about."""
    _, uses = with_decided_differences([decision], alignment, text, variants)
    spans = {spans for use in uses for spans in use.variants}
    return [one for one in variants if (one.original_span, one.copy_span) in spans]


def _overridden_on_survivor(
    decision: Decision, pairing: Pairing, variants: Sequence[Variant]
) -> Iterator[str]:
    """Say which other decisions the new one leaves without effect, or takes differences from."""
    alignment, before = pairing.paired()
    paired, after = pairing.paired(decision)
    mine = {one.number for one in _about(decision, pairing.text, alignment, variants)}
    for one in pairing.earlier:
        if one.text != pairing.text or one.ruling is Ruling.PAIR:
            continue
        there = {each.number for each in _about(one, pairing.text, alignment, before)}
        if one.ruling is decision.ruling and there & mine:
            yield _overridden(one, "it is about some of the same differences")
        elif there and not _about(one, pairing.text, paired, after):
            yield _overridden(one, "its words stand paired otherwise then")


def _overridden(one: Decision, why: str) -> str:
    """Say that an earlier decision gives way."""
    return f"overrides line {one.line} of decisions.csv ({told_in_short(one)}): {why}, and the later stands"


def _as_printed(variants: Sequence[Variant]) -> list[str]:
    """Cite differences with their letters."""
    return [f"{one.locus} {in_words(one.original)} → {in_words(one.copy)}" for one in variants]


def in_words(printed: str) -> str:
    """Show printed letters in a sentence, a space and nothing too.

    >>> in_words(""), in_words(" "), in_words(" oꝼ  þam")
    ('nothing', 'a space', 'oꝼ þam')
    """
    return in_short(" ".join(printed.split())) or ("a space" if printed else "nothing")


def _without(some: Sequence[str], others: Sequence[str]) -> list[str]:
    """Give those that are not among the others."""
    return [one for one in some if one not in others]
