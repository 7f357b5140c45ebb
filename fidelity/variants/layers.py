"""What is in the original but not in its main hand's text, and what the copy makes of it.

Arrives: an alignment and its differences. Leaves: the differences, and beside them the places where
the copy shows as text what another hand added, what was cancelled, or what is lost and was put back
by the transcriber: there the letters agree, and yet the copyist changed something. Start reading at
``with_layers``.

An addition left out by the copyist is a difference too; that an addition was reproduced, or left
out, says nothing against him, but it decides what may be later in a lost text. An overlooked dot of
expunction is the classic case (Lindsay 1924, Palaeographia Latina III, p. 65).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fidelity.letters import decode, whole_words
from fidelity.terms import LOST_LETTER, Alignment, Phenomenon, State, StepKind, Variant, Witness
from fidelity.variants.citations import Citations

# What a letter of the original is to his text; the last is another hand's, and cancelled.
MAIN, LATER, CANCELLED, RESTORED, NEVER_WRITTEN, LATER_CANCELLED = range(6)
BY_HANDS = frozenset({LATER, CANCELLED, LATER_CANCELLED})
_LAYER_OF_STATE = {
    State.DELETED: CANCELLED,
    State.RESTORED: RESTORED,
    State.SUPPLIED: NEVER_WRITTEN,
}
BRACKETS = ("()", "[]", "{}", "⟨⟩", "<>")  # by which a copy in plain text may keep something apart
_BRACKETS = frozenset("".join(BRACKETS))
REPRODUCED_FROM = 0.5  # share of a stretch that must be answered for it to be reproduced (half, as for words)


@dataclass(frozen=True)
class Stretch:
    """Neighbouring letters of an original that are of one layer, half-open.

    Attributes:
        start, end: its offsets, white space at its ends left out.
        layer: ``LATER``, ``CANCELLED``, ``RESTORED``, ``NEVER_WRITTEN`` or ``LATER_CANCELLED``.
    """

    start: int
    end: int
    layer: int


def layers_of(witness: Witness) -> NDArray[np.int8]:
    """Give for each letter the layer it belongs to; another hand goes before a state."""
    layers = np.zeros(len(witness), dtype=np.int8)
    if witness.states:
        states = np.frombuffer(witness.states, dtype=np.uint8)
        for state, layer in _LAYER_OF_STATE.items():
            if state not in witness.trusted_states:
                layers[states == state] = layer
    if witness.hands:
        later = np.frombuffer(witness.hands, dtype=np.uint8) > 0
        layers[later] = np.where(layers[later] == CANCELLED, LATER_CANCELLED, LATER)
    return layers


def stretches_of(witness: Witness) -> list[Stretch]:
    """Give the stretches of an original that are not plainly its main hand's text, in order."""
    if not witness.states and not witness.hands:
        return []
    layers = layers_of(witness)
    edges = np.flatnonzero(np.diff(layers)) + 1
    starts, ends = [0, *edges.tolist()], [*edges.tolist(), len(layers)]
    found = []
    for start, end in zip(starts, ends, strict=True):
        inside = witness.letters[start:end]
        bare = inside.strip()
        if bare and layers[start] != MAIN and set(bare) != {LOST_LETTER}:
            first = start + len(inside) - len(inside.lstrip())
            found.append(Stretch(first, first + len(bare), int(layers[start])))
    return found


def with_layers(
    variants: Sequence[Variant], alignment: Alignment, text: str, first_number: int = 1
) -> list[Variant]:
    """Add what the copy makes of the original's layers to the differences, in order of place.

    Args:
        variants: the differences letter by letter.
        alignment: of original and copy.
        text: id of the survivor.
        first_number: number of the first variant, if the differences have none.
    """
    stretches = stretches_of(alignment.original)
    if not stretches:
        return list(variants)
    never = [(one.start, one.end) for one in stretches if one.layer == NEVER_WRITTEN]
    kept = [variant for variant in variants if not _is_right_omission(variant, never)]
    brackets: set[int] = set()
    kept += _reproduced(stretches, alignment, text, brackets)
    kept = [
        one for one in kept if one.original or one.copy not in _BRACKETS or one.copy_span[0] not in brackets
    ]
    first = min((variant.number for variant in variants), default=first_number)
    kept.sort(key=lambda variant: (variant.original_span, variant.copy_span))
    return [replace(variant, number=first + at) for at, variant in enumerate(kept)]


def _is_right_omission(variant: Variant, never: Sequence[tuple[int, int]]) -> bool:
    """Tell whether the copy only lacks what the manuscript never had (the transcriber supplied it)."""
    start, end = variant.original_span
    return variant.phenomenon is Phenomenon.OMISSION and any(a <= start and end <= b for a, b in never)


def _reproduced(
    stretches: Sequence[Stretch], alignment: Alignment, text: str, brackets: set[int]
) -> Iterator[Variant]:
    """Give the stretches that the copy shows as text of the main hand.

    Where the copy sets one in brackets, it does not; ``brackets`` are told where these stand in the copy.
    """
    steps = alignment.steps.tolist()
    ends = [step[1] for step in steps]
    marked = bool(alignment.copy.states or alignment.copy.hands)
    layers = layers_of(alignment.copy) if marked else np.zeros(0, dtype=np.int8)
    cited = Citations(alignment.original, text), Citations(alignment.copy)
    for stretch in stretches:
        spans = list(_answers(stretch, steps, bisect_right(ends, stretch.start)))
        answered = sum(size for _, size in spans)
        if answered < REPRODUCED_FROM * (stretch.end - stretch.start):
            continue
        kept_apart = marked and not any(
            layers[at] == MAIN and not alignment.copy.letters[at].isspace()
            for (start, end), _ in spans
            for at in range(start, end)
        )
        here = spans[0][0][0], spans[-1][0][1]
        if in_brackets(alignment.copy, here):
            brackets.update(range(here[0] - 2, here[0]), range(here[1], here[1] + 2))
        elif not kept_apart:  # not marked in the copy as an addition, or as cancelled, as in the original
            yield _variant(stretch, alignment, cited, here)


def in_brackets(copy: Witness, span: tuple[int, int]) -> bool:
    """Tell whether brackets stand around a span of a copy, or at its ends.

    >>> copy = Witness("B", "betonican (i. uetonica) and rudan")
    >>> in_brackets(copy, (11, 22)), in_brackets(copy, (10, 23)), in_brackets(copy, (0, 9))
    (True, True, False)
    """
    inside = copy.letters[slice(*span)].strip()
    before, after = copy.letters[: span[0]].rstrip()[-1:], copy.letters[span[1] :].lstrip()[:1]
    return before + after in BRACKETS or inside[:1] + inside[-1:] in BRACKETS


def _answers(
    stretch: Stretch, steps: Sequence[Sequence[int]], first: int
) -> Iterator[tuple[tuple[int, int], int]]:
    """Give the spans of the copy that keep letters of a stretch, with how many letters they keep."""
    for at in range(first, len(steps)):
        o0, o1, c0, c1, kind = steps[at]
        if o0 >= stretch.end:
            return
        if kind == StepKind.KEPT:
            start, end = max(o0, stretch.start), min(o1, stretch.end)
            even = o1 - o0 == c1 - c0
            yield (c0 + start - o0, c0 + end - o0) if even else (c0, c1), end - start


def _variant(
    stretch: Stretch, alignment: Alignment, cited: tuple[Citations, Citations], copy_span: tuple[int, int]
) -> Variant:
    """Make the variant of a stretch shown as text.

    To the main hand's text as it stands the letters are an addition, whoever else wrote them or put
    them back; of letters that are lost the transcriber's restoration is given beside the copy's.
    """
    original, copy = alignment.original, alignment.copy
    restored = stretch.layer == RESTORED
    span = (stretch.start, stretch.end) if restored else (stretch.start, stretch.start)
    gone, come = original.letters[slice(*span)], copy.letters[slice(*copy_span)]
    locus, last_locus = cited[0].ends(stretch.start, stretch.end)
    copy_locus, copy_last_locus = cited[1].ends(*copy_span)
    return Variant(
        number=0,
        text=cited[0].text,
        locus=locus,
        original=decode(gone),
        copy=decode(come),
        original_words=_words_around(original.letters, stretch.start, stretch.end),
        copy_words=_words_around(copy.letters, *copy_span),
        original_span=span,
        copy_span=copy_span,
        phenomenon=Phenomenon.ADDITION,
        hand=original.hand(stretch.start),
        pairs=((gone, come),),
        last_locus=last_locus,
        copy_locus=copy_locus,
        copy_last_locus=copy_last_locus,
    )


def _words_around(letters: str, start: int, end: int) -> str:
    """Give the words a span stands in, as printed."""
    return decode(letters[slice(*whole_words(letters, start, end))])
