"""Decide why each variant happened: ordered tests, the first that fits is the cause.

Arrives: variants with their phenomenon, and what is known of this copyist. Leaves: the same
variants with a cause, the other tests that fit, and whether the copy's word is a word. Start
reading at ``decide``; ``TESTS`` is the list.

Tests whose input is missing are not made: they stand in ``NOT_MADE`` with what they would need.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from fidelity.causes.repeats import is_dittography, is_eye_skip, is_haplography, is_line_skip
from fidelity.confusions.count import is_other_form
from fidelity.copyist.tagging import normalise
from fidelity.letters import encode, is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Cause, Phenomenon, Variant
from fidelity.variants.events import MINIMS
from fidelity.variants.places import Places
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import Folds, abbreviation_expansions, published_pairs

HABIT_SHARE = 0.1  # of chances: a conventional exchange done so often is a habit; so is one beyond chance
OWN_HABIT_SHARE, OWN_HABIT_COUNT = 0.3, 10  # an exchange no convention names, done as a rule (chosen)
LONGEST_ABBREVIATED = 4  # letters; a longer stretch with a sign in it was not changed for the sign
STROKES_APART = 1  # minims miscounted by one stroke still count as minims (trade practice)


@dataclass(frozen=True)
class Facts:
    """What the tests may use about one survivor and about the copyist.

    Attributes:
        alignment: the survivor's.
        folds: letterforms counted as equal.
        places: pages and scripts of the original.
        shares: folded (original, written) -> (count, chances), over all survivors.
        systematic: folded pairs found systematic beyond chance.
        words: the originals' known words, normalised.
    """

    alignment: Alignment
    folds: Folds
    places: Places
    shares: Mapping[tuple[str, str], tuple[int, int]] = field(default_factory=dict)
    systematic: frozenset[tuple[str, str]] = frozenset()
    words: Collection[str] = frozenset()

    def folded(self, variant: Variant) -> list[tuple[str, str]]:
        """Give the answers a variant is made of, folded."""
        return [(self.folds.fold(o), self.folds.fold(c)) for o, c in variant.pairs]


@cache
def conventions() -> frozenset[tuple[str, str]]:
    """Give the exchanges of letters that are spelling, not misreading, in letters."""
    rows = published_table("spelling_conventions.tsv", ("original", "copy"))
    return frozenset((encode(row["original"]), encode(row["copy"])) for row in rows)


def _both(variant: Variant) -> tuple[str, str]:
    """Give both sides of a variant in letters."""
    return "".join(o for o, _ in variant.pairs), "".join(c for _, c in variant.pairs)


def _letterform(variant: Variant, facts: Facts) -> bool:
    """The letters differ in form only (published letterforms), no fold being declared."""
    return all(is_other_form(o, c) for o, c in variant.pairs)


def _supplied(variant: Variant, facts: Facts) -> bool:
    """The copy has letters where the original's are lost."""
    return LOST_LETTER in _both(variant)[0] and bool(_both(variant)[1])


def _left_illegible(variant: Variant, facts: Facts) -> bool:
    """The copy marks a gap where the original has letters."""
    return LOST_LETTER in _both(variant)[1] and bool(_both(variant)[0])


def _capital(variant: Variant, facts: Facts) -> bool:
    """The letters are equal but for capitals."""
    original, copy = (facts.folds.fold(side) for side in _both(variant))
    return original != copy and original.lower() == copy.lower()


def _punctuation(variant: Variant, facts: Facts) -> bool:
    """Only stops were changed, left out or put in."""
    letters = "".join(_both(variant))
    return not letters.isspace() and all(is_punctuation(x) or x.isspace() for x in letters)


def _expansion(variant: Variant, facts: Facts) -> bool:
    """The original has an abbreviation that the copy writes out, rightly or wrongly."""
    signs = any(abbreviation_expansions(letter) for o, c in variant.pairs for letter in o)
    return signs and bool(variant.copy) and len(_both(variant)[0]) <= LONGEST_ABBREVIATED


def _spelling_habit(variant: Variant, facts: Facts) -> bool:
    """He does it as a rule: a conventional exchange of letters, or any that he makes very often."""
    if variant.replaced or variant.phenomenon in (Phenomenon.DIVISION, Phenomenon.TRANSPOSITION):
        return False
    original, copy = (facts.folds.fold(side) for side in _both(variant))
    return all(_is_habit(pair, facts) for pair in facts.folded(variant)) or _is_habit((original, copy), facts)


def _is_habit(pair: tuple[str, str], facts: Facts) -> bool:
    """Tell whether this exchange is a habit of his."""
    count, chances = facts.shares.get(pair, (0, 0))
    if not chances:
        return False
    often = count >= HABIT_SHARE * chances or pair in facts.systematic
    conventional = pair in conventions() and often
    return conventional or (count >= OWN_HABIT_COUNT and count >= OWN_HABIT_SHARE * chances)


def _metathesis(variant: Variant, facts: Facts) -> bool:
    """The same letters, or words, in another order."""
    return variant.phenomenon is Phenomenon.TRANSPOSITION


def _minims(variant: Variant, facts: Facts) -> bool:
    """Both sides are runs of minims of equal stroke count, or one stroke apart."""
    strokes = []
    for side in _both(variant):
        counts = [MINIMS.get(letter) for letter in facts.folds.fold(side)]
        if not counts or None in counts:
            return False
        strokes.append(sum(count or 0 for count in counts))
    return abs(strokes[0] - strokes[1]) <= STROKES_APART


def _letter_confusion(variant: Variant, facts: Facts) -> bool:
    """Letters taken for others: in print for this script, or beyond chance in this copyist."""
    if variant.replaced or variant.phenomenon is not Phenomenon.SUBSTITUTION:
        return False
    script = facts.places.script(variant.original_span[0])
    published = published_pairs(script) if script else frozenset()
    pairs = [*variant.pairs, _both(variant)] if len(variant.pairs) > 1 else list(variant.pairs)

    def known(original: str, written: str) -> bool:
        folded = facts.folds.fold(original), facts.folds.fold(written)
        return bool(written) and (
            folded in facts.systematic or any(folded == _folded(pair, facts.folds) for pair in published)
        )

    return known(*pairs[-1]) or all(known(*pair) for pair in variant.pairs)


def _folded(pair: tuple[str, str], folds: Folds) -> tuple[str, str]:
    return folds.fold(pair[0]), folds.fold(pair[1])


def _word_substitution(variant: Variant, facts: Facts) -> bool:
    """Another word stands for the original's."""
    return variant.replaced


Test = Callable[[Variant, Facts], bool]

TESTS: tuple[tuple[Cause, Test], ...] = (
    (Cause.LETTERFORM, _letterform),
    (Cause.SUPPLIED, _supplied),
    (Cause.LEFT_ILLEGIBLE, _left_illegible),
    (Cause.CAPITAL, _capital),
    (Cause.PUNCTUATION, _punctuation),
    (Cause.EXPANSION, _expansion),
    (Cause.SPELLING_HABIT, _spelling_habit),
    (Cause.EYE_SKIP, lambda v, f: is_eye_skip(v, f.alignment, f.folds)),
    (Cause.LINE_SKIP, lambda v, f: is_line_skip(v, f.alignment)),
    (Cause.DITTOGRAPHY, lambda v, f: is_dittography(v, f.alignment, f.folds)),
    (Cause.HAPLOGRAPHY, lambda v, f: is_haplography(v, f.alignment, f.folds)),
    (Cause.METATHESIS, _metathesis),
    (Cause.MINIMS, _minims),
    (Cause.LETTER_CONFUSION, _letter_confusion),
    (Cause.WORD_SUBSTITUTION, _word_substitution),
)

NOT_MADE: tuple[tuple[Cause, str], ...] = (
    (Cause.LATER_HAND, "hands are compared in a later version"),
    (Cause.MODERNISED, "needs a table of modern word forms"),
    (Cause.COUPLED, "parallel fields are compared in a later version"),
    (Cause.NASAL_STROKE, "tested in a later version"),
    (Cause.ANTICIPATION, "tested in a later version"),
    (Cause.PERSEVERATION, "tested in a later version"),
    (Cause.ASSIMILATION, "needs a list of parallel passages"),
    (Cause.IMPORTED, "other witnesses are compared in a later version"),
    (Cause.INTERPOLATION, "tested in a later version"),
)


def decide(variants: Sequence[Variant], facts: Mapping[str, Facts]) -> list[Variant]:
    """Give each variant its cause, the rival causes, and whether the copy's word is a word.

    Args:
        variants: with their phenomenon.
        facts: by id of the survivor.
    """
    return [_decided(variant, facts[variant.text]) for variant in variants]


def _decided(variant: Variant, facts: Facts) -> Variant:
    """Decide one variant."""
    fitting = [cause for cause, test in TESTS if test(variant, facts)]
    cause = fitting[0] if fitting else Cause.UNDETERMINED
    return replace(
        variant, cause=cause, other_causes=tuple(fitting[1:]), makes_word=_makes_word(variant, facts)
    )


def _makes_word(variant: Variant, facts: Facts) -> bool | None:
    """Tell whether the copy's word is known in the originals' language; None for no single word."""
    words = normalise(encode(variant.copy_words), facts.folds).split()
    if len(words) != 1 or not variant.copy or variant.phenomenon is Phenomenon.DIVISION:
        return None
    bare = "".join(letter for letter in words[0] if not is_punctuation(letter))
    return bare in facts.words if bare else None
