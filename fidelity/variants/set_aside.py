"""Which letters of a pair of texts are no evidence of how the copyist copied.

Arrives: an alignment. Leaves: for each letter of the original whether it and its answer are the
scribe's and the copyist's own, clear; and for a variant, why it is set aside. Start reading at
``evidence_in``.

A letter that the transcriber restored says what he thinks stood there, a letter of another hand
says nothing of the scribe who was copied: neither may be counted as copied right or wrong. The
same holds of letters of the copy that its transcriber restored, or that another hand wrote.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from fidelity.terms import Alignment, Cause, Phenomenon, State, StepKind, Variant, Witness
from fidelity.terms.decisions import BY_EDITOR, DECIDED_BY_EDITOR

ANOTHER_HAND = "another hand"
LOST = frozenset({"lost", "lost unknown"})  # reasons for which what the copy supplies is counted by itself
# In a copy a gap is what the copyist left, not what its transcriber did.
HIS_OWN = frozenset({State.LOST, State.LOST_UNKNOWN})

Mask = npt.NDArray[np.bool_]
Codes = npt.NDArray[np.uint32]  # letters as numbers


def codes_of(letters: str) -> Codes:
    """Give letters as numbers."""
    return np.frombuffer(letters.encode("utf-32-le"), dtype=np.uint32)


def evidence_of(witness: Witness, besides: frozenset[State] = frozenset(), any_hand: bool = False) -> Mask:
    """Tell for each letter of a text whether it is clear and in the main hand.

    Args:
        witness: the text; its trusted states count as clear.
        besides: further states that count as clear.
        any_hand: whether letters of other hands are asked for as well.

    Returns:
        Booleans of shape (letters,).
    """
    good = np.ones(len(witness.letters), dtype=np.bool_)
    if witness.states:
        kept = [State.CLEAR, *witness.trusted_states, *besides]
        good &= np.isin(np.frombuffer(witness.states, dtype=np.uint8), [int(state) for state in kept])
    if witness.hands and not any_hand:
        good &= np.frombuffer(witness.hands, dtype=np.uint8) == 0
    return good


def evidence_in(alignment: Alignment, any_hand: bool = False) -> Mask | None:
    """Tell for each letter of the original whether it and what answers it are evidence.

    Args:
        alignment: of a survivor.
        any_hand: whether letters of the original in other hands than the main one are asked for as well.

    Returns:
        Booleans of shape (letters of the original,); None where all are.
    """
    original, copy = alignment.original, alignment.copy
    if not (original.states or original.hands or copy.states or copy.hands):
        return None
    good = evidence_of(original, any_hand=any_hand)
    written = evidence_of(copy, HIS_OWN)
    if not written.all():
        for o0, o1, c0, c1, kind in alignment.steps.tolist():
            if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
                good[o0:o1] &= written[c0:c1]
            elif not written[c0:c1].all():
                good[o0:o1] = False
    return good


def with_reasons(variants: Sequence[Variant], alignment: Alignment) -> list[Variant]:
    """Say of each variant of one survivor whether it is set aside, and why."""
    original, copy = alignment.original, alignment.copy
    if not (original.states or original.hands or copy.states or copy.hands):
        return list(variants)
    good, written = evidence_of(original), evidence_of(copy, HIS_OWN)
    return [
        replace(
            variant,
            set_aside=_reason(original, variant.original_span, good, "")
            or _reason(copy, variant.copy_span, written, " in the copy"),
        )
        for variant in variants
    ]


def _reason(witness: Witness, span: tuple[int, int], good: Mask, where: str) -> str:
    """Give the commonest reason why the letters of a span are no evidence; "" where they are.

    Within a word one such letter is enough; a stretch of several words must mostly be so.
    """
    start, end = span
    bad = [at for at in range(start, end) if not good[at] and not witness.letters[at].isspace()]
    stretch = witness.letters[start:end]
    letters = sum(not letter.isspace() for letter in stretch)
    if not bad or (" " in stretch.strip() and 2 * len(bad) < letters):
        return ""
    reasons: Counter[str] = Counter()
    for at in bad:
        state = witness.state(at)
        marked = state is not State.CLEAR and state not in witness.trusted_states
        reasons[state.name.lower().replace("_", " ") if marked else ANOTHER_HAND] += 1
    return reasons.most_common(1)[0][0] + where


def by_editor(variant: Variant) -> bool:
    """Tell whether a variant is set aside because the editor says that it is not the copyist's."""
    return variant.set_aside.startswith(BY_EDITOR)


def cause_by_editor(variant: Variant) -> bool:
    """Tell whether the cause of a variant is the editor's word, not the program's."""
    return variant.evidence.startswith(DECIDED_BY_EDITOR)


def counts_as_his(variant: Variant) -> bool:
    """Tell whether a variant is counted, among the copyist's errors or by itself.

    Of another hand's additions those are counted that he copied as text: left out they are no error.
    """
    if by_editor(variant):
        return False
    if variant.cause is Cause.LATER_HAND:
        return variant.phenomenon is Phenomenon.ADDITION
    return not variant.set_aside or (variant.cause is Cause.SUPPLIED and variant.set_aside in LOST)


def set_aside_by_editor(variants: Sequence[Variant], text: str) -> list[tuple[int, int]]:
    """Give the letters of a survivor's original that the editor set aside, and those that they hang on."""
    aside = [one.original_span for one in variants if one.text == text and by_editor(one)]
    return [(max(start - 1, 0), end + 1) for start, end in aside]
