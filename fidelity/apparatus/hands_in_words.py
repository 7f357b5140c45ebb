"""Say what he did with other hands, what was looked for in the lost texts, and what finds are worth.

Arrives: what is known of other hands. Leaves: sentences for page, screen and cautions. Start reading at
``hands_sentences``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fidelity.apparatus.cells import ALL
from fidelity.judge import Audit
from fidelity.terms import Hands
from fidelity.terms.hands import (
    ADDED,
    CANCELLED,
    CHANGED,
    FORMS,
    KEPT_APART,
    LANGUAGE,
    LEFT_OUT,
    MARKED,
    OPENING,
    REPRODUCED,
    Candidate,
    LayerShare,
    Tried,
)

QUESTION = (
    "Each is a question to a palaeographer, not a verdict, and nothing is taken out of the text for it."
)
LOOKED_FOR: Mapping[str, str] = {
    MARKED: "the copy's own marks",
    OPENING: "the words that additions begin with",
    LANGUAGE: "language",
    FORMS: "letterforms",
}


def hands_sentences(hands: Hands) -> list[str]:
    """Say what he did with other hands, what was found in the lost texts, and what such finds are worth."""
    return [*_on_layers(hands.shares), *_on_lost(hands), *_on_trial(hands)]


def _on_layers(shares: Sequence[LayerShare]) -> Iterator[str]:
    """Say what he did with additions and with what was cancelled."""
    every = [one for one in shares if one.text == ALL]
    if not every:
        yield "No original of a survivor has anything marked as another hand's or as cancelled."
    for layer in dict.fromkeys(one.layer for one in every):
        own = {one.done: one for one in every if one.layer == layer}
        as_text = own[REPRODUCED]
        told = ", ".join(f"{_count(own[done].count)} {done}" for done in (KEPT_APART, LEFT_OUT, CHANGED))
        yield (
            f"Of {_stretches(layer, as_text.of)} in the survivors' originals he copied"
            f" {_count(as_text.count)} as text (limits of the share: {as_text.low:.2g}-{as_text.high:.2g});"
            f" {told}. None of them counts as an error of his."
        )


def _count(number: int) -> str:
    return f"{number:,}" if number else "none"


def _stretches(layer: str, number: int) -> str:
    """Say how many stretches there are of a layer.

    >>> _stretches("added", 3), _stretches("cancelled", 1)
    ('3 additions by other hands', 'one cancelled stretch')
    """
    one, more = {
        ADDED: ("addition by another hand", "additions by other hands"),
        CANCELLED: ("cancelled stretch", "cancelled stretches"),
    }.get(layer, ("cancelled addition", "cancelled additions"))
    return f"{number:,} {more}" if number > 1 else f"one {one}"


def _on_lost(hands: Hands) -> Iterator[str]:
    """Say what was looked for in each lost text, and found."""
    for text in dict.fromkeys(one.text for one in hands.searches if one.lost):
        searches = [one for one in hands.searches if one.lost and one.text == text]
        found = sum(one.lost and one.text == text for one in hands.candidates)
        count = (
            "no word looks"
            if not found
            else f"{found:,} stretches look"
            if found > 1
            else "one stretch looks"
        )
        looked = ", ".join(LOOKED_FOR[one.kind] for one in searches if one.looked)
        not_looked = "; ".join(f"{LOOKED_FOR[one.kind]}: {one.what}" for one in searches if not one.looked)
        yield (
            f"In {text} {count} like a later hand's. Looked for by {looked}."
            + (f" Not looked for by {not_looked}." if not_looked else "")
            + (f" {QUESTION}" if found else "")
        )


def _on_trial(hands: Hands) -> Iterator[str]:
    """Say what such candidates are worth, tried on the survivors."""
    if not hands.left_out:
        return
    told = "; ".join(told_trial(one) for one in hands.tried if FORMS not in one.kinds)
    if hands.additions:
        yield (
            f"Tried on his copies of the survivors, a {hands.left_out} left out in turn, the words that"
            f" additions begin with and language found {hands.additions_found:,} of {hands.additions:,}"
            f" additions copied as text. Of the candidates, by their grounds: {told or 'there were none'}."
        )
    elif told:
        yield f"Tried on the survivors, of the candidates by their grounds: {told}."
    if forms := "; ".join(told_trial(one) for one in hands.tried if FORMS in one.kinds):
        yield f"Tried on the survivors' originals, which alone keep letterforms apart: {forms}."


def told_trial(one: Tried) -> str:
    """Say how many candidates on the same grounds were another hand's.

    >>> told_trial(Tried(("opening", "language"), 14, 2, 0.03, 0.38))
    "the words that additions begin with and language: 2 of 14 were another hand's (a share of 0.03 to 0.38)"
    """
    were = "were" if one.candidates > 1 else "was"
    grounds = " and ".join(LOOKED_FOR[kind] for kind in one.kinds)
    return (
        f"{grounds}: {one.right:,} of {one.candidates:,} {were} another hand's"
        f" (a share of {one.low:.2g} to {one.high:.2g})"
    )


def worth(one: Candidate) -> str:
    """Say beside a candidate what its grounds were worth where the hands are known."""
    if one.tried is None:
        return "such grounds made no candidate in the survivors: untried"
    return "in the survivors, " + told_trial(one.tried)


def layer_caution(audit: Audit) -> str:
    """Say what merged layers mean for the lost texts; "" where no survivor has any, and no lost text."""
    hands = audit.hands
    if not hands.layers and not any(one.lost for one in hands.candidates):
        return ""
    text = "What his copies show as one hand may be in part a later one's, which no copy can tell."
    added = [one for one in hands.layers if one.layer != CANCELLED]
    as_text = sum(one.done == REPRODUCED for one in added)
    question = (
        "What looks like an addition in a lost text is a question to a palaeographer (hand_candidates.csv;"
        " what was looked for: hand_searches.csv); what does not may be one all the same."
    )
    if not as_text:
        return f"{text} {question}"
    number = (
        "the one addition by another hand" if len(added) == 1 else f"{len(added):,} additions by other hands"
    )
    return (
        f"{text} Of {number} in the survivors he copied {as_text:,} as text: no line of a lost text is sure"
        f" to be the first hand's. {question}"
    )
