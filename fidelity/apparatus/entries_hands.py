"""Turn what is known of other hands into rows, and into sentences.

Arrives: an audit. Leaves: the rows of ``layers.csv``, ``layer_shares.csv``, ``hand_candidates.csv``,
``hand_searches.csv`` and ``letterform_mixtures.csv``; sentences for page, screen and cautions. Start reading
at ``HAND_TABLES``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from fidelity.apparatus.cells import ALL, Row, significant
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
    Layer,
    LayerShare,
    Tried,
)

LAYER_COLUMNS = (
    *("text", "locus", "original", "copy", "hand", "layer", "done", "how", "same"),
    *("script", "language", "after", "until", "copy_locus"),
)
SHARE_COLUMNS = ("text", "hand", "layer", "done", "count", "of", "share", "low", "high", "method")
CANDIDATE_COLUMNS = (
    *("text", "lost", "locus", "words", "grounds", "why", "position", "passage"),
    *("tried", "tried_right", "right_low", "right_high", "until", "start", "end"),
)
SEARCH_COLUMNS = ("text", "lost", "grounds", "looked", "what", "words", "found")
MIXTURE_COLUMNS = ("text", "lost", "locus", "word", "letters", "usual", "marked")
QUESTION = (
    "Each is a question to a palaeographer, not a verdict, and nothing is taken out of the text for it."
)
LOOKED_FOR: Mapping[str, str] = {
    MARKED: "the copy's own marks",
    OPENING: "the words that additions begin with",
    LANGUAGE: "language",
    FORMS: "letterforms",
}


def layer_row(one: Layer) -> Row:
    """Give what he did with one stretch of another hand, or one that is cancelled."""
    return {
        "text": one.text,
        "locus": str(one.locus),
        "original": one.original,
        "copy": one.copy,
        "hand": one.hand,
        "layer": one.layer,
        "done": one.done,
        "how": one.how,
        "same": one.same,
        "script": one.script,
        "language": one.language,
        "after": one.after,
        "until": str(one.last_locus or ""),
        "copy_locus": str(one.copy_locus or ""),
    }


def share_row(one: LayerShare) -> Row:
    """Give how often he did one thing; share and limits 0-1."""
    return {
        "text": one.text,
        "hand": one.hand,
        "layer": one.layer,
        "done": one.done,
        "count": one.count,
        "of": one.of,
        "share": significant(one.count / one.of),
        "low": significant(one.low),
        "high": significant(one.high),
        "method": one.method,
    }


def candidate_row(one: Candidate) -> Row:
    """Give words that may be another hand's; start and end count letters from 0."""
    tried = one.tried
    return {
        "text": one.text,
        "lost": one.lost,
        "locus": str(one.locus),
        "words": one.words,
        "grounds": one.kinds,
        "why": one.why,
        "position": one.position,
        "passage": one.passage,
        "tried": tried.candidates if tried else 0,
        "tried_right": tried.right if tried else 0,
        "right_low": significant(tried.low) if tried else 0.0,
        "right_high": significant(tried.high) if tried else 1.0,
        "until": str(one.last_locus or ""),
        "start": one.span[0],
        "end": one.span[1],
    }


def _search_rows(hands: Hands) -> list[Row]:
    return [
        {
            "text": one.text,
            "lost": one.lost,
            "grounds": one.kind,
            "looked": one.looked,
            "what": one.what,
            "words": one.words,
            "found": one.found,
        }
        for one in hands.searches
    ]


def _mixture_rows(hands: Hands) -> list[Row]:
    return [
        {
            "text": one.text,
            "lost": one.lost,
            "locus": str(one.locus),
            "word": one.word,
            "letters": one.letters,
            "usual": one.usual,
            "marked": one.marked,
        }
        for one in hands.mixtures
    ]


HAND_TABLES: Mapping[str, tuple[tuple[str, ...], Callable[[Hands], list[Row]]]] = {
    "layers": (LAYER_COLUMNS, lambda hands: list(map(layer_row, hands.layers))),
    "layer_shares": (SHARE_COLUMNS, lambda hands: list(map(share_row, hands.shares))),
    "hand_candidates": (CANDIDATE_COLUMNS, lambda hands: list(map(candidate_row, hands.candidates))),
    "hand_searches": (SEARCH_COLUMNS, _search_rows),
    "letterform_mixtures": (MIXTURE_COLUMNS, _mixture_rows),
}


def hands_facts(audit: Audit) -> dict[str, object]:
    """Give everything about other hands, as JSON has it."""
    tables = {name: rows(audit.hands) for name, (_, rows) in HAND_TABLES.items()}
    return {**tables, "tried": tried_rows(audit.hands), "in_words": hands_sentences(audit.hands)}


def hands_summary(hands: Hands) -> dict[str, object]:
    """Give in short what is known of other hands, as ``summary.json`` has it."""
    return {
        "layers": [share_row(one) for one in hands.shares if one.text == ALL],
        "candidates": dict(sorted(Counter(one.text for one in hands.candidates).items())),
        "tried": tried_rows(hands),
        "left_out": hands.left_out,
        "additions_in_trial": hands.additions,
        "additions_found": hands.additions_found,
        "letterform_mixtures": len(hands.mixtures),
        "looked_for": _search_rows(hands),
        "in_words": hands_sentences(hands),
    }


def tried_rows(hands: Hands) -> list[Row]:
    """Give what each kind of ground was worth in the survivors; limits 0-1."""
    return [
        {
            "grounds": one.kinds,
            "candidates": one.candidates,
            "right": one.right,
            "low": significant(one.low),
            "high": significant(one.high),
        }
        for one in hands.tried
    ]


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
    told = "; ".join(map(told_trial, hands.tried))
    if hands.additions:
        yield (
            f"Tried on his copies of the survivors, a {hands.left_out} left out in turn, the words that"
            f" additions begin with and language found {hands.additions_found:,} of {hands.additions:,}"
            f" additions copied as text. Of the candidates, by their grounds: {told or 'there were none'}."
        )
    elif told:
        yield f"Tried on the survivors, of the candidates by their grounds: {told}."


def told_trial(one: Tried) -> str:
    """Say how many candidates on the same grounds were another hand's.

    >>> told_trial(Tried(("opening", "language"), 14, 2, 0.03, 0.38))
    'opening and language: 2 of 14 were another hand’s (a share of 0.03 to 0.38)'
    """
    were = "were" if one.candidates > 1 else "was"
    return (
        f"{' and '.join(one.kinds)}: {one.right:,} of {one.candidates:,} {were} another hand’s"
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
