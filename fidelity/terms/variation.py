"""What a copy does to its original: alignment, variants, confusions.

Offsets are in letters, from 0, half-open; "as printed" marks fields that are decoded for print.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING

from fidelity.in_notebook import Shown, Tabled
from fidelity.terms.witness import Locus, Witness

if TYPE_CHECKING:
    import numpy as np


class Phenomenon(StrEnum):
    """What happened, mechanically: one of five, exclusive (Quintilian I 5 6, and division)."""

    SUBSTITUTION = "substitution"
    OMISSION = "omission"
    ADDITION = "addition"
    TRANSPOSITION = "transposition"
    DIVISION = "division"


class Cause(StrEnum):
    """Why it happened: the best of an ordered list, with rivals; "undetermined" is an answer."""

    LETTERFORM = "letterform"
    CAPITAL = "capital"
    PUNCTUATION = "punctuation"
    EXPANSION = "expansion"
    LATER_HAND = "later_hand"
    SUPPLIED = "supplied"
    LEFT_ILLEGIBLE = "left_illegible"
    SPELLING_HABIT = "spelling_habit"
    MODERNISED = "modernised"
    COUPLED = "coupled"
    EYE_SKIP = "eye_skip"
    LINE_SKIP = "line_skip"
    DITTOGRAPHY = "dittography"
    HAPLOGRAPHY = "haplography"
    METATHESIS = "metathesis"
    MINIMS = "minims"
    LETTER_CONFUSION = "letter_confusion"
    NASAL_STROKE = "nasal_stroke"
    ANTICIPATION = "anticipation"
    PERSEVERATION = "perseveration"
    ASSIMILATION = "assimilation"
    IMPORTED = "imported"
    WORD_SUBSTITUTION = "word_substitution"
    INTERPOLATION = "interpolation"
    UNDETERMINED = "undetermined"


class StepKind(IntEnum):
    """What one step of an alignment does."""

    KEPT = 0  # the same letters, or counted as the same by a declared fold
    CHANGED = 1  # up to three letters answered by up to three others
    SKIPPED = 2  # a long gap: matter in one text only


@dataclass(frozen=True, eq=False)
class Moved:
    """A word, a line or a passage that stands elsewhere in the copy.

    Attributes:
        original_span: offsets in the original, where it stood.
        copy_span: offsets in the copy, where it now stands.
        steps: which of its letters answer which, as ``Alignment.steps`` have it, with offsets in
            the whole texts; they cover both spans.
    """

    original_span: tuple[int, int]
    copy_span: tuple[int, int]
    steps: np.ndarray

    @property
    def slips(self) -> int:
        """Give the letters that were changed, left out or put in on the way."""
        sizes = [max(o1 - o0, c1 - c0) for o0, o1, c0, c1, kind in self.steps.tolist() if kind]
        return int(sum(sizes))


@dataclass(frozen=True, eq=False, repr=False)
class Alignment(Tabled):
    """An original and its copy, untouched, and which letters answer which.

    Attributes:
        original: the manuscript copied from.
        copy: the transcript.
        steps: int32 array of shape (n, 5): original start, original end, copy start, copy end,
            ``StepKind``; in order, without holes, covering both texts. A kept run of single
            letters is one step.
        cost: total cost in nats under the channel the alignment was made with.
        rounds: how often the costs were re-estimated before the alignment changed no more.
        objectives: what was brought down from round to round, in nats: the cost, and what it takes
            to name the operations of several letters. First rounds of a long text see a sample of it.
        counted: what the channel was learned from (the alignment's own ``AnswerTotals``), None for
            an alignment that was not made here.
        moved: what is left out in one place of the copy and put in at another; the steps, which
            keep the order of both texts, have it as left out and put in all the same.
    """

    original: Witness
    copy: Witness
    steps: np.ndarray
    cost: float
    rounds: int
    objectives: tuple[float, ...] = ()
    counted: object = None
    moved: tuple[Moved, ...] = ()

    def __repr__(self) -> str:
        return f"<Alignment: original {self.original!r}, copy {self.copy!r}>"


@dataclass(frozen=True)
class Variant(Shown):
    """One difference between the original and the copy.

    Attributes:
        number: from 1 within the run.
        text: id of the survivor.
        locus: place in the original.
        original: the original's letters, as printed ("" for an addition).
        copy: what the copy has for them, as printed ("" for an omission).
        original_words: the word or words of the original they stand in, as printed.
        copy_words: the same in the copy.
        original_span: offsets in the original.
        copy_span: offsets in the copy.
        phenomenon: what happened.
        cause: why, by the first test that fits.
        other_causes: the other tests that fit, in order.
        hand: the hand of the original's letters.
        makes_word: whether the copy's word is a word of the originals' language as far as
            known; None for what is not a single word.
        alignment_doubt: whether an equally good alignment would be judged differently.
        pairs: the answers it is made of, (original letters, written letters), in letters.
        replaced: whether a whole word stands for another.
        evidence: what made the test of the cause fit, as printed; "" where no cause was found.
        corrected: whether the copyist mended it himself; it does not stand in his final text.
        set_aside: why it is not counted as the copyist's ("restored", "another hand", ...); "" if it is.
        moved: whether words stand elsewhere in the copy: ``copy_span`` is where.
        or_else: what an equally good alignment reads instead, as printed; "" without doubt.
        last_locus: the last word of the original it takes in, if it takes in several.
        copy_locus: place in the copy.
        copy_last_locus: the last word of the copy it takes in, if it takes in several.
    """

    number: int
    text: str
    locus: Locus
    original: str
    copy: str
    original_words: str
    copy_words: str
    original_span: tuple[int, int]
    copy_span: tuple[int, int]
    phenomenon: Phenomenon
    cause: Cause = Cause.UNDETERMINED
    other_causes: tuple[Cause, ...] = ()
    hand: str = "main"
    makes_word: bool | None = None
    alignment_doubt: bool = False
    pairs: tuple[tuple[str, str], ...] = ()
    replaced: bool = False
    evidence: str = ""
    corrected: bool = False
    set_aside: str = ""
    moved: bool = False
    or_else: str = ""
    last_locus: Locus | None = None
    copy_locus: Locus | None = None
    copy_last_locus: Locus | None = None


@dataclass(frozen=True)
class Confusion(Shown):
    """How often the copyist answered these letters of the original by those.

    Attributes:
        original: the original's letter or letters, graphic form, as printed.
        copy: the letters he wrote, as printed ("" where he wrote nothing).
        folded: the same pair with the declared folds applied ("s→r" for ꞅ→r).
        count: how often.
        chances: clear letters of the main hand that he answered inside kept words.
        low: lower 95 % limit of count / chances, a share 0-1.
        high: upper limit, a share 0-1.
        expected: count expected of chance slips.
        p_value: exact one-sided probability of this count or more by chance slips.
        q_value: false-discovery rate over all possible pairs (Benjamini-Hochberg 1995).
        systematic: q at most the setting, in at least two different words.
        p_original_given_copy: of all places where he wrote these letters, the share in which
            the original had those.
        loci: where, in order.
    """

    original: str
    copy: str
    folded: str
    count: int
    chances: int
    low: float
    high: float
    expected: float
    p_value: float
    q_value: float
    systematic: bool
    p_original_given_copy: float
    loci: tuple[Locus, ...] = ()

    @property
    def rate(self) -> float:
        """Count over chances, 0-1; 0 where there was no chance."""
        return self.count / self.chances if self.chances else 0.0
