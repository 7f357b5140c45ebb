"""Show on the screen what is known of other hands.

Arrives: an audit with ``hands``. Leaves: text that fits the screen. Start reading at ``hands_screen``. The
figures are those of ``entries_hands.py``, which JSON and the files have too.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.entries_hands import HAND_TABLES
from fidelity.apparatus.hands_in_words import LOOKED_FOR, QUESTION, hands_sentences, worth
from fidelity.apparatus.tables import paragraphs, titled
from fidelity.judge import Audit
from fidelity.terms.hands import Candidate, Layer

_LAYERS = ("locus", "original", "copy", "hand", "layer", "done", "how")
_MIXTURES = ("locus", "word", "letters", "usual", "marked")


def hands_screen(audit: Audit, width: int) -> str:
    """Show what he did with other hands, and where a lost text may have had some."""
    hands = audit.hands
    rows = {name: make(hands) for name, (_, make) in HAND_TABLES.items()}
    parts = [paragraphs(hands_sentences(hands), width)]
    if hands.layers:
        parts.append(
            titled(
                "In the originals of the survivors, and what the copies have", _LAYERS, rows["layers"], width
            )
        )
    looked = [
        f"{one.text}, by {LOOKED_FOR[one.kind]}: {one.what}; found: {one.found}."
        for one in hands.searches
        if one.lost
    ]
    if looked:
        parts.append(paragraphs(["What was looked for", "", *looked], width))
    if hands.candidates:
        lines = [line for one in hands.candidates for line in candidate_lines(one)]
        parts.append(paragraphs(["Words that may be another hand's", "", *lines, "", QUESTION], width))
    if hands.mixtures:
        parts.append(
            titled("Words with letterforms of two scripts", _MIXTURES, rows["letterform_mixtures"], width)
        )
    return "\n\n".join(parts)


def candidate_lines(one: Candidate) -> list[str]:
    """Tell of one candidate: its words, where, why, and what such grounds were worth."""
    where = "" if one.lost else ", in the original, not marked there"
    return [
        f"{one.locus} “{one.words}”{where} ({one.position}): {'; '.join(one.why)}; {worth(one)}."
        f" Passage: … {one.passage} …"
    ]


def hands_at(candidates: Sequence[Candidate], layers: Sequence[Layer]) -> list[str]:
    """Say at one place what is known of other hands: in a lost text a question, in a survivor what he did."""
    told = [f"Another hand? {line} {QUESTION}" for one in candidates for line in candidate_lines(one)]
    for layer in layers:
        how = f" ({layer.how})" if layer.how else ""
        who = f"by another hand ({layer.hand})" if layer.layer != "cancelled" else "cancelled"
        told.append(f"{layer.locus} “{layer.original}” is {who} in the original: {layer.done}{how}.")
    return told
