"""Words paired by the editor: they answer each other, and both texts are given back exactly."""

from __future__ import annotations

import random

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.paired import with_pairs
from fidelity.copyist.tagging import word_spans
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.variants.collect import collect
from fidelity.variants.moves import steps_without_moved
from fidelity.witnesses.folds import Folds

WORDS = ("se", "cyning", "on", "stræte", "and", "dæge", "wæs", "þær", "lande", "mid", "ofer", "wudu", "ac")
Span = tuple[int, int]


def answered(alignment: Alignment, span: Span) -> list[Span]:
    """Give the spans of the copy that answer letters of a span of the original, step by step."""
    found = []
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        first, last = max(o0, span[0]), min(o1, span[1])
        if first < last and c1 > c0:
            run = kind == StepKind.KEPT
            found.append((c0 + first - o0, c0 + last - o0) if run else (c0, c1))
    return found


def check(alignment: Alignment) -> None:
    """See that the steps cover both texts in order, and that what is kept is equal."""
    o = c = 0
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        assert (o0, c0) == (o, c)
        assert o1 > o0 or c1 > c0
        if kind == StepKind.KEPT:
            assert alignment.original.letters[o0:o1] == alignment.copy.letters[c0:c1]
        o, c = o1, c1
    assert (o, c) == (len(alignment.original), len(alignment.copy))


def garbled(rng: random.Random) -> tuple[Witness, Witness]:
    """Make a text, and a copy in which words are left out, put in and changed."""
    words = rng.choices(WORDS, k=30)
    copied = []
    for word in words:
        chance = rng.random()
        if chance < 0.1:
            continue
        if chance < 0.2:
            copied.append(rng.choice(WORDS))
        copied.append(word.replace(rng.choice(word), rng.choice("abc"), 1) if chance > 0.7 else word)
    return Witness("E", " ".join(words)), Witness("E", " ".join(copied))


def test_any_pair_gives_both_texts_back() -> None:
    """Whatever words are paired, the steps cover both texts, and the pair's words answer each other alone."""
    rng = random.Random(1)
    for _ in range(150):
        original, copy = garbled(rng)
        found = align_witnesses(original, copy)
        spans = [sorted(rng.sample(word_spans(text.letters), 2)) for text in (original, copy)]
        pairs = list(zip(*spans, strict=True))[: rng.choice((1, 2))]
        paired = with_pairs(found, pairs, Folds())
        check(paired)
        for original_span, copy_span in pairs:
            inside = answered(paired, original_span)
            assert inside
            assert all(copy_span[0] <= start and end <= copy_span[1] for start, end in inside)
        assert steps_without_moved(paired)
        collect(paired, "E", Folds())


def test_no_pair_changes_nothing() -> None:
    """Without a pair it is the same alignment."""
    found = align_witnesses(Witness("E", "on stræte"), Witness("E", "on stnæte"))
    assert with_pairs(found, [], Folds()) is found


def test_a_pair_that_was_found_anyway_changes_nothing() -> None:
    """Pairing what answers already leaves steps and cost as they were."""
    original = Witness("E", "se cyning wæs on stræte and on dæge mid him ofer lande")
    copy = Witness("E", "se cyning wæs on stnæte and on dæge mid hym ofer lande")
    found = align_witnesses(original, copy)
    paired = with_pairs(found, [((17, 23), (17, 23))], Folds())
    assert paired.steps.tolist() == found.steps.tolist()
    assert abs(paired.cost - found.cost) < 1e-9


def test_only_the_stretch_between_kept_words_is_done_anew() -> None:
    """The first of two like words answers instead of the second; what stands further off stays."""
    original = Witness("E", "on þa greatan ac of þære ac ofer þone feld mid him")
    copy = Witness("E", "on þa greatan ac ofer þone feld myd him")
    found = align_witnesses(original, copy)
    first = with_pairs(found, [((14, 16), (14, 16))], Folds())
    second = with_pairs(found, [((25, 27), (14, 16))], Folds())
    assert answered(first, (25, 27)) == []
    assert answered(second, (14, 16)) == []
    for paired in (first, second):
        kept = [one for one in collect(paired, "E", Folds()) if one.original_span[0] > 27]
        assert [(one.original, one.copy) for one in kept] == [("i", "y")]
