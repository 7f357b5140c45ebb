"""What became of every stretch of the originals that another hand wrote, or that was cancelled.

Arrives: the alignment of a survivor. Leaves: one ``Layer`` for each stretch, and how often he did what.
Start reading at ``layers_in``.

A stretch counts as *reproduced* where the copy keeps half of its letters or more as text like the rest; as
*kept apart* where what it keeps is marked there: by a hand or a state of its own, by brackets around it, or
as cancelled too; as *changed* where the copy has something else at its place; as *left out* else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fidelity.confusions.intervals import clustered
from fidelity.letters import decode
from fidelity.terms import LOST_LETTER, Alignment, State, StepKind, Variant, Witness
from fidelity.terms.hands import (
    ADDED,
    BOTH,
    CANCELLED,
    CHANGED,
    DONE,
    KEPT_APART,
    LEFT_OUT,
    REPRODUCED,
    Layer,
    LayerShare,
)
from fidelity.terms.variation import Cause
from fidelity.variants.citations import Citations
from fidelity.variants.layers import BRACKETS, MAIN, REPRODUCED_FROM, in_brackets, layers_of
from fidelity.variants.places import Places
from fidelity.witnesses.folds import Folds

Span = tuple[int, int]


@dataclass(frozen=True)
class Stretch:
    """Neighbouring letters that one other hand wrote, or that were cancelled, half-open.

    Attributes:
        start, end: its offsets.
        hand: index of the hand in the witness; 0 is the main hand.
        cancelled: whether it was cancelled.
    """

    start: int
    end: int
    hand: int
    cancelled: bool

    @property
    def layer(self) -> str:
        """Say what it is to the main hand's text."""
        if not self.cancelled:
            return ADDED
        return BOTH if self.hand else CANCELLED


@dataclass(frozen=True)
class _Answer:
    """What a copy has for a stretch: the spans that keep its letters, and those that change them."""

    kept: tuple[Span, ...]
    kept_letters: int
    changed: tuple[Span, ...]
    elsewhere: bool = False

    @property
    def spans(self) -> list[Span]:
        """Give all spans in the order of the copy, the empty ones left out."""
        return sorted(span for span in (*self.kept, *self.changed) if span[0] < span[1])


def stretches_by_hand(witness: Witness) -> list[Stretch]:
    """Give the stretches of other hands and those cancelled, each of one hand, in order.

    A blank of the main hand's parts two stretches; a line end does not.
    """
    if not witness.hands and State.DELETED not in witness.states:
        return []
    hands, cancelled = hands_and_cancelled(witness)
    line_ends = frozenset(start - 1 for start in witness.lines[1:])
    found: list[Stretch] = []
    for at in np.flatnonzero((hands > 0) | cancelled).tolist():
        if witness.letters[at].isspace():
            continue
        one = Stretch(at, at + 1, int(hands[at]), bool(cancelled[at]))
        last = found[-1] if found else None
        if last and (last.hand, last.cancelled) == (one.hand, one.cancelled):
            between = range(last.end, at)
            if all(
                x in line_ends or ((hands[x] or cancelled[x]) and witness.letters[x].isspace())
                for x in between
            ):
                found[-1] = replace(last, end=at + 1)
                continue
        found.append(one)
    return [one for one in found if set(witness.letters[one.start : one.end]) != {LOST_LETTER}]


def hands_and_cancelled(witness: Witness) -> tuple[np.ndarray, np.ndarray]:
    """Give for each letter the index of its hand, and whether it is cancelled."""
    nothing = np.zeros(len(witness), dtype=np.uint8)
    hands = np.frombuffer(witness.hands, dtype=np.uint8) if witness.hands else nothing
    states = np.frombuffer(witness.states, dtype=np.uint8) if witness.states else nothing
    return hands, states == State.DELETED


def layers_in(
    alignment: Alignment, text: str, places: Places, folds: Folds, mended: Sequence[Variant] = ()
) -> list[Layer]:
    """Give what the copy did with each stretch of one survivor, in order.

    Args:
        alignment: of original and copy.
        text: id of the survivor.
        places: pages, scripts and languages of the original.
        folds: letterforms counted as equal.
        mended: what the copyist cancelled himself: where the original has the same cancelled, he kept it so.
    """
    own = {one.original_span[0] for one in mended if one.text == text and one.cause is Cause.LATER_HAND}
    return [
        _layer(stretch, alignment, text, places, folds, own)
        for stretch in stretches_by_hand(alignment.original)
    ]


def _layer(
    stretch: Stretch, alignment: Alignment, text: str, places: Places, folds: Folds, mended: Collection[int]
) -> Layer:
    """Say what the copy did with one stretch."""
    original, copy = alignment.original, alignment.copy
    answer = _answer(stretch, alignment)
    done, how = _done(stretch, answer, alignment)
    if stretch.cancelled and stretch.start in mended:
        done, how = KEPT_APART, "cancelled in the copy too"
    spans = answer.spans if done != LEFT_OUT else []
    here = (spans[0][0], spans[-1][1]) if spans else (0, 0)
    letters = original.letters[stretch.start : stretch.end]
    locus, last = Citations(original, text).ends(stretch.start, stretch.end)
    written = copy.letters[slice(*here)].strip()
    bare_written = written.strip("".join(BRACKETS)) if how == BRACKETED else written
    return Layer(
        text=text,
        locus=locus,
        last_locus=last,
        original=decode(letters),
        copy=decode(written),
        hand=original.hand_names[stretch.hand],
        layer=stretch.layer,
        done=done,
        how=how,
        same=folds.fold(letters.strip()) == folds.fold(bare_written) if spans else None,
        script=places.script(stretch.start),
        language=places.language(stretch.start),
        after=decode(_word_before(original, stretch.start)),
        copy_locus=Citations(copy).locus(here[0]) if spans else None,
        span=(stretch.start, stretch.end),
        copy_span=here,
        page=places.page(stretch.start),
    )


BRACKETED = "in brackets"


def _done(stretch: Stretch, answer: _Answer, alignment: Alignment) -> tuple[str, str]:
    """Say what was done with a stretch, and by what it is kept apart."""
    copy = alignment.copy
    size = _letters(alignment.original.letters[stretch.start : stretch.end])
    changed = sum(_letters(copy.letters[start:end]) for start, end in answer.changed)
    if answer.kept_letters < REPRODUCED_FROM * size and changed < REPRODUCED_FROM * size:
        return LEFT_OUT, ""
    how = _kept_apart(copy, answer.spans)
    if how:
        return KEPT_APART, how
    elsewhere = "at another place" if answer.elsewhere else ""
    return (REPRODUCED if answer.kept_letters >= REPRODUCED_FROM * size else CHANGED), elsewhere


def _kept_apart(copy: Witness, spans: Sequence[Span]) -> str:
    """Say by what a copy keeps spans apart from its text; "" where it does not."""
    inside = [at for start, end in spans for at in range(start, end) if not copy.letters[at].isspace()]
    if not inside:
        return ""
    if copy.hands and all(copy.hands[at] for at in inside):
        return f"as another hand's ({copy.hand(inside[0])})"
    if copy.states and bool((layers_of(copy)[inside] != MAIN).all()):
        return f"marked as {copy.state(inside[0]).name.lower()}"
    return BRACKETED if in_brackets(copy, (spans[0][0], spans[-1][1])) else ""


def _letters(text: str) -> int:
    """Count letters, blanks and lost ones apart."""
    return sum(not (letter.isspace() or letter == LOST_LETTER) for letter in text)


def _word_before(witness: Witness, start: int) -> str:
    """Give the word before an offset in its line and field; "" where there is none."""
    line = witness.letters[witness.lines[witness.line_of(start)] : start]
    words = line.rsplit("\t", 1)[-1].split()
    return words[-1] if words else ""


def _answer(stretch: Stretch, alignment: Alignment) -> _Answer:
    """Find what the copy has for a stretch, at its place or where it was moved to."""
    for block in alignment.moved:
        start, end = block.original_span
        if start < stretch.end and stretch.start < end:
            answer = _answered(stretch, block.steps, alignment)
            if answer.kept:
                return _Answer(answer.kept, answer.kept_letters, answer.changed, elsewhere=True)
    return _answered(stretch, alignment.steps, alignment)


def _answered(stretch: Stretch, steps: np.ndarray, alignment: Alignment) -> _Answer:
    """Find by these steps what the copy has for a stretch."""
    near = np.flatnonzero((steps[:, 1] >= stretch.start - 1) & (steps[:, 0] <= stretch.end + 1))
    kept: list[Span] = []
    changed: list[Span] = []
    put_in: list[Span] = []
    letters = 0
    for o0, o1, c0, c1, kind in steps[near].tolist():
        if o0 == o1:
            if stretch.start - 1 <= o0 <= stretch.end + 1 and c0 < c1:
                put_in.append((c0, c1))
            continue
        if o1 <= stretch.start or o0 >= stretch.end:
            continue
        if kind == StepKind.KEPT:
            start, end = max(o0, stretch.start), min(o1, stretch.end)
            kept.append((c0 + start - o0, c0 + end - o0) if o1 - o0 == c1 - c0 else (c0, c1))
            letters += _letters(alignment.original.letters[start:end])
        elif c0 < c1:
            changed.append((c0, c1))
    size = _letters(alignment.original.letters[stretch.start : stretch.end])
    if letters < REPRODUCED_FROM * size:  # what stands there instead may be put in beside letters left out
        every = sorted([*kept, *changed, *put_in])
        whole = (every[0][0], every[-1][1]) if every else (0, 0)
        changed = [whole] if _is_words(alignment.copy.letters, whole) else changed
    return _Answer(tuple(kept), letters, tuple(changed))


def _is_words(letters: str, span: Span) -> bool:
    """Tell whether a span of a copy is whole words, white space at its ends apart."""
    start, end = span
    inside = letters[start:end]
    begins = start == 0 or letters[start - 1].isspace() or inside[:1].isspace()
    ends = end == len(letters) or letters[end].isspace() or inside[-1:].isspace()
    return bool(inside.strip()) and begins and ends


def shares_of(layers: Sequence[Layer], confidence: float) -> list[LayerShare]:
    """Count what he did, survivor by survivor and hand by hand, then over all ("all").

    Args:
        layers: of all survivors.
        confidence: coverage of the intervals, 0-1.
    """
    groups: dict[tuple[str, str, str], list[Layer]] = {}
    for one in layers:
        groups.setdefault((one.text, one.hand, one.layer), []).append(one)
    for one in layers:
        groups.setdefault(("all", "", one.layer), []).append(one)
    return [share for key, group in groups.items() for share in _shares(key, group, confidence)]


def _shares(key: tuple[str, str, str], group: Sequence[Layer], confidence: float) -> Iterator[LayerShare]:
    """Give the share of everything that he may have done with stretches of one kind."""
    offered = Counter(one.page for one in group)
    for done in DONE:
        counted = Counter(one.page for one in group if one.done == done)
        low, high, method = clustered(counted, offered, confidence)
        yield LayerShare(*key, done, counted.total(), len(group), low, high, method)
