"""Tests on what a manuscript and its transcriber mark: hands, damage, forms, stops, abbreviations.

Arrives: a variant and the facts. Leaves: what made the test fit, as printed, or "". Start reading at
``later_hand``. None of these is an error of the eye.
"""

from __future__ import annotations

from fidelity.causes.facts import Facts, both, shown, step
from fidelity.confusions.count import is_other_form
from fidelity.letters import decode, is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Phenomenon, State, Variant
from fidelity.variants.layers import REPRODUCED_FROM
from fidelity.witnesses.folds import abbreviation_expansions, has_stroke, without_stroke

LONGEST_ABBREVIATED = 4  # letters; a longer stretch with a sign in it was not changed for the sign
AS_A_RULE, AS_A_RULE_FROM = 0.8, 10  # of so many strokes: no copyist overlooks nearly all (chosen)
BESIDE_A_GAP = 3  # letters kept between a gap and what else of the word is missing (chosen)
NASALS = frozenset("mn")


def _span(variant: Variant) -> tuple[int, int]:
    """Give the original's letters a variant is about; of an addition those that stand at its place."""
    start, end = variant.original_span
    return start, max(end, start + 1)


def later_hand(variant: Variant, facts: Facts) -> str:
    """The difference disappears when the original is read with, or without, additions and deletions.

    So does an expunged letter that the copy shows (Lindsay 1924, Palaeographia Latina III, p. 65).
    """
    original = facts.alignment.original
    if not (original.hands or original.states):
        return ""
    start, end = _span(variant)
    inside = [at for at in range(start, min(end, len(original))) if not original.letters[at].isspace()]
    if not inside:
        return ""
    if variant.phenomenon is Phenomenon.OMISSION:
        done = "left out"
    elif variant.phenomenon is Phenomenon.ADDITION and _is_layer(variant, facts):
        done = "copied as text"
    else:
        return ""
    if original.hands and all(original.hands[at] for at in inside):
        return f"by another hand ({original.hand(inside[0])}), {done}"
    if original.states and all(original.states[at] == State.DELETED for at in inside):
        return f"cancelled in the original, {done}"
    return ""


def _is_layer(variant: Variant, facts: Facts) -> bool:
    """Tell whether what was added stands in the original after all, in another layer, whole or in part."""
    start = variant.original_span[0]
    from rapidfuzz.distance import Levenshtein  # slow to import; few originals have layers

    added = facts.both(variant)[1].strip()
    original, end = facts.alignment.original, start
    while end < len(original) and (
        original.hands[end : end + 1] > b"\0" or original.state(end) is State.DELETED
    ):
        end += 1
    if added in facts.folds.fold(original.letters[start:end]):
        return True
    there = facts.folds.fold(original.letters[start : start + len(added)])
    return Levenshtein.normalized_similarity(there, added) >= REPRODUCED_FROM


def letterform(variant: Variant, facts: Facts) -> str:
    """The letters differ in form only (published letterforms), no fold being declared."""
    same = all(is_other_form(o, c) for o, c in variant.pairs)
    return f"{step(*both(variant))}: forms of one letter" if same else ""


def supplied(variant: Variant, facts: Facts) -> str:
    """The copy has letters where the original's are lost, or were put back by the transcriber."""
    original, copy = both(variant)
    if not copy.strip(LOST_LETTER + " "):
        return ""
    if LOST_LETTER in original:
        return f"{shown(original)} lost in the original, {shown(copy)} in the copy"
    witness, (start, end) = facts.alignment.original, _span(variant)
    states = set(witness.states[start:end]) - witness.trusted_states
    if State.RESTORED in states and original:
        return f"lost in the original, put back by the transcriber: {shown(original)}"
    if variant.phenomenon is Phenomenon.ADDITION and states == {State.SUPPLIED}:
        return "never in the original, supplied by its transcriber too"
    return ""


def left_illegible(variant: Variant, facts: Facts) -> str:
    """The copy marks a gap where the original has letters, or passes over what is lost there."""
    original, copy = both(variant)
    if not original.strip():
        return ""
    if LOST_LETTER in copy:
        return f"a gap in the copy for {shown(original)}"
    if variant.phenomenon is not Phenomenon.OMISSION:
        return ""
    if State.RESTORED in facts.alignment.original.states[slice(*variant.original_span)]:
        return f"{shown(original)} is lost in the original and left out"
    at = variant.copy_span[0]
    beside = facts.alignment.copy.letters[max(at - BESIDE_A_GAP, 0) : at + BESIDE_A_GAP]
    in_word = LOST_LETTER in beside and LOST_LETTER in variant.copy_words and " " not in original
    return f"{shown(original)} beside a gap in the copy" if in_word else ""


def capital(variant: Variant, facts: Facts) -> str:
    """The letters are equal but for capitals."""
    original, copy = facts.both(variant)
    return step(original, copy) if original != copy and original.lower() == copy.lower() else ""


def punctuation(variant: Variant, facts: Facts) -> str:
    """Only stops were changed, left out or put in."""
    letters = "".join(both(variant))
    only = not letters.isspace() and all(is_punctuation(x) or x.isspace() for x in letters)
    return step(*both(variant)) if only else ""


def expansion(variant: Variant, facts: Facts) -> str:
    """The original has an abbreviation that the copy writes out, rightly or wrongly."""
    original, copy = both(variant)
    if not copy.strip() or nasal_stroke(variant, facts):
        return ""
    signs = [letter for o, _ in variant.pairs for letter in o if abbreviation_expansions(letter)]
    if signs and len(original) <= LONGEST_ABBREVIATED:
        known = abbreviation_expansions(signs[0])
        return f"{shown(signs[0])} may stand for {', '.join(map(decode, known))}"
    witness = facts.alignment.original
    if State.EXPANDED in set(witness.states[slice(*variant.original_span)]) - witness.trusted_states:
        return f"{shown(original)} is an abbreviation that the transcriber resolved"
    return ""


def nasal_stroke(variant: Variant, facts: Facts) -> str:
    """A stroke for m or n was overlooked, or seen where there is none: ū for u, u for ū.

    Where the transcriber resolved the abbreviation, an m or n that he so marked and the copy lacks.
    """
    if variant.phenomenon not in (Phenomenon.SUBSTITUTION, Phenomenon.OMISSION):
        return ""
    original, copy = facts.both(variant)
    if not (original.isascii() and copy.isascii()):  # a letter with a stroke is not among those of ASCII
        bare_original, bare_copy = ("".join(map(without_stroke, side)) for side in (original, copy))
        if bare_original == bare_copy and original != copy and not _marks_of_length(variant, facts):
            return f"stroke {'overlooked' if original != bare_original else 'put in'}: {step(original, copy)}"
    start, end = variant.original_span
    states = facts.alignment.original.states[start:end]
    if states and not copy and set(original) <= NASALS and set(states) == {State.EXPANDED}:
        return f"{shown(original)} was written as a stroke and is left out"
    return ""


def _marks_of_length(variant: Variant, facts: Facts) -> bool:
    """Tell whether strokes are left out as a rule: then they are an edition's marks of length."""
    strokes = [original for original, _ in variant.pairs if has_stroke(original[:1] or " ")]
    return any(
        facts.vocabulary.written[one] >= AS_A_RULE_FROM
        and facts.dropped[one] >= AS_A_RULE * facts.vocabulary.written[one]
        for one in strokes
    )


def has_strokes(alignment: Alignment) -> bool:
    """Tell whether nasal strokes can be seen: transcribed in either text, or resolved and marked so."""
    original = alignment.original
    letters = set(original.letters) | set(alignment.copy.letters)
    return State.EXPANDED in original.states or any(map(has_stroke, letters))
