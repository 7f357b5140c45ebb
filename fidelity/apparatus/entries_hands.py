"""Turn what is known of other hands into rows.

Arrives: an audit. Leaves: the rows of ``layers.csv``, ``layer_shares.csv``, ``hand_candidates.csv``,
``hand_searches.csv`` and ``letterform_mixtures.csv``. Start reading at ``HAND_TABLES``. In words:
``hands_in_words.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

from fidelity.apparatus.cells import ALL, Row, significant
from fidelity.apparatus.hands_in_words import hands_sentences
from fidelity.judge import Audit
from fidelity.terms import Hands
from fidelity.terms.hands import Candidate, Layer, LayerShare

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
