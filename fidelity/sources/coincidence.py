"""How likely this copyist is to come upon another witness's reading by himself.

Arrives: what was counted on the survivors. Leaves: for a change (these letters for those) the probability
that he makes this very change at a place where he could, and what it was measured from. Start reading at
``Coincidence.of``.

Identity of reading implies identity of origin or accidental coincidence, and the second is improbable
except where the alteration is very plausible and tempting (Westcott & Hort 1881, § 58). The rate of a letter
for a letter is drawn towards the rate at which any letter stands for any other, as a gamma-Poisson model
fitted to all pairs says; other kinds go by the rate of their class per chance. Where a class was never seen,
the upper limit of its interval stands for it: nothing is taken to be impossible. Spellings that were current
side by side are no errors: his original may have had either, whatever he does himself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import lgamma, log

from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.intervals import wilson
from fidelity.letters import is_punctuation
from fidelity.sources.spellings import is_spelling
from fidelity.terms import Cause, Phenomenon, Score, Variant
from fidelity.variants.chances import LIKE_LETTERS
from fidelity.variants.events import MINIMS
from fidelity.variants.set_aside import counts_as_his
from fidelity.witnesses.folds import Folds

LONGEST = 3  # letters a side; more is no slip in letters
SPELLING = 0.25  # that an original had the other of two current spellings (chosen: no survivor tells)
UNMEASURED = 0.01  # of a class without a single chance in the survivors (chosen)
MOST = 0.98  # no change is taken to be certain
SHAPES = tuple(10 ** (step / 4) for step in range(-16, 5))  # of the gamma distribution, tried in turn

Pair = tuple[str, str]


@dataclass(frozen=True)
class Chance:
    """The probability of a coincidence, and what it comes from.

    Attributes:
        probability: 0-1.
        kind: what kind of change it is, in plain words.
        measured: whether it was measured on the survivors alone.
    """

    probability: float
    kind: str
    measured: bool = True


@dataclass(frozen=True)
class Coincidence:
    """What the survivors tell of the changes this copyist makes.

    Attributes:
        changes: (original letters, written letters), folded -> how often; either may be "" for none.
        chances: original letters, folded -> out of how many; "" for places where a letter may be put in.
        letters: what he writes.
        rates: kind of change -> (how often, out of how many chances).
        conventions: pairs of spellings that are current side by side, folded.
    """

    changes: Mapping[Pair, int]
    chances: Mapping[str, int]
    letters: frozenset[str]
    rates: Mapping[str, tuple[int, int]]
    conventions: frozenset[Pair] = frozenset()

    @cached_property
    def _fitted(self) -> tuple[float, float]:
        """Give shape and mean of the rates of one letter for one other, by maximum likelihood.

        The marginal of the counts is negative binomial (Gelman et al. 2013, Bayesian Data Analysis,
        sec. 2.6; cited from memory). The shape is looked for on a grid, the mean is the crude one.
        """
        rows = [
            (self.changes.get((o, c), 0), n)
            for o, n in self.chances.items()
            if len(o) <= 1 and n
            for c in (*sorted(self.letters), "")
            if c != o
        ]
        exposure, total = sum(n for _, n in rows), sum(k for k, _ in rows)
        if not exposure:
            return 1.0, UNMEASURED
        mean = (total + 0.5) / exposure

        def likelihood(shape: float) -> float:
            rate = shape / mean
            return sum(
                lgamma(k + shape) - lgamma(shape) + shape * log(rate / (rate + n)) + k * log(n / (rate + n))
                for k, n in rows
            )

        return max(SHAPES, key=likelihood), mean

    @cached_property
    def _floor(self) -> float:
        """Give the rate of a letter for a letter never seen: the upper limit for all of these together.

        How much is to be expected of what was never seen is told by what was seen once (Good 1953,
        Biometrika 40, 237-264; cited from memory).
        """
        rows = [n * len(self.letters) for o, n in self.chances.items() if len(o) <= 1]
        once = sum(count == 1 for (o, c), count in self.changes.items() if len(o) <= 1 and len(c) <= 1)
        return wilson(min(once, sum(rows)), sum(rows))[1] if rows else UNMEASURED

    def letter(self, original: str, written: str) -> float:
        """Give the rate at which he writes one letter, or none, for another, or for none; per chance."""
        shape, mean = self._fitted
        count = self.changes.get((original, written), 0)
        rate = (count + shape) / (self.chances.get(original, 0) + shape / mean)
        return min(max(rate, self._floor), MOST)

    def rate(self, kind: str) -> float:
        """Give the rate of a kind of change per chance; the upper limit where it was never seen."""
        count, chances = self.rates.get(kind, (0, 0))
        if not chances:
            return UNMEASURED
        return min(count / chances if count else wilson(0, chances)[1], MOST)

    def of(self, third: str, reading: str, before: str = "", after: str = "") -> Chance:
        """Give the chance that he has this reading by himself, where his original had the third's.

        Args:
            third, reading: the letters that differ, folded and small, without stops.
            before, after: what stands before and after the third's letters, in the same form.
        """
        if third.strip() == reading.strip() == "":
            return Chance(self.rate("division"), "word division")
        if is_spelling(third, reading, before, after, self.conventions):
            return Chance(max(SPELLING, self._in_letters(third, reading)), "spelling", measured=False)
        if len(third) > LONGEST or len(reading) > LONGEST or " " in (third + reading).strip():
            return self._in_words(third, reading, before, after)
        if (third, reading) != (third[::-1], reading[::-1]) and third == reading[::-1]:
            return Chance(self.rate(Cause.METATHESIS), "letters exchanged")
        if len(third) > 1 or len(reading) > 1:
            return Chance(self._in_letters(third, reading), "letters")
        kind = "letter" if third and reading else "letter left out" if third else "letter put in"
        if not reading and third in (before[-1:], after[:1]):
            return Chance(max(self.rate(Cause.HAPLOGRAPHY), self.letter(third, "")), "haplography")
        return Chance(self.letter(third, reading), kind)

    def _in_letters(self, third: str, reading: str) -> float:
        """Give the rate of several letters for several: seen as one change, or each by itself."""
        if len(third) <= 1 and len(reading) <= 1:
            return self.letter(third, reading)
        rate = 1.0
        if len(third) == len(reading):
            for pair in zip(third, reading, strict=True):
                rate *= 1.0 if pair[0] == pair[1] else self.letter(*pair)
        else:
            rate = self._floor
        count, chances = self.changes.get((third, reading), 0), self.chances.get(third, 0)
        if count and chances:
            rate = max(rate, count / (chances + 1))
        if _strokes(third) == _strokes(reading) != 0:
            rate = max(rate, self.rate(Cause.MINIMS) / 4)  # a run is parted in some four other ways
        return min(max(rate, self._floor), MOST)

    def _in_words(self, third: str, reading: str, before: str, after: str) -> Chance:
        """Give the rate of a change that is more than a slip in letters, by its kind."""
        if not reading.strip():
            if leads_the_eye(third, before, after):
                return Chance(self.rate(Cause.EYE_SKIP), "eye-skip")
            return Chance(self.rate("words left out"), "words left out")
        if not third.strip():
            again = before.endswith(reading.strip()) or after.startswith(reading.strip())
            kind = Cause.DITTOGRAPHY if again else Cause.INTERPOLATION
            return Chance(self.rate(kind), "written twice" if again else "words put in")
        if sorted(third.split()) == sorted(reading.split()):
            return Chance(self.rate("words moved"), "words moved")
        return Chance(self.rate(Cause.WORD_SUBSTITUTION), "another word")

    def likelihood(self, original: str, written: str) -> float:
        """Give log P(written | original) for a few letters, slip by slip; 0 where they are the same."""
        from rapidfuzz.distance import Levenshtein  # slow to import; seldom needed

        total = 0.0
        for step in Levenshtein.editops(original, written):
            o = "" if step.tag == "insert" else original[step.src_pos]
            c = "" if step.tag == "delete" else written[step.dest_pos]
            total += log(self.letter(o, c))
        return total


def leads_the_eye(skipped: str, before: str, after: str) -> bool:
    """Tell whether a skipped stretch ends, or begins, like what stands beside it: the eye goes astray.

    >>> leads_the_eye(" þas duru onlucan ne mæg se sceaþa", "ne mæg se sceaþa", " þurh")
    True
    """
    skipped = skipped.strip()
    first, last = (skipped.split() or [""])[0], (skipped.split() or [""])[-1]
    one, other = (before.split() or [""])[-1], (after.split() or [""])[0]
    return _alike(last, one) or (bool(other) and first[:LIKE_LETTERS] == other[:LIKE_LETTERS])


def _alike(one: str, other: str) -> bool:
    """Tell whether two words end alike."""
    size = min(LIKE_LETTERS, max(len(one), len(other)))
    return bool(one) and one[-size:] == other[-size:]


def _strokes(letters: str) -> int:
    """Count the strokes of a run of minims; 0 where it holds any other letter."""
    counts = [MINIMS.get(letter, 0) for letter in letters]
    return sum(counts) if all(counts) else 0


def learned(
    counts: AnswerCounts, variants: Sequence[Variant], scores: Sequence[Score], folds: Folds
) -> Coincidence:
    """Learn from the survivors what changes this copyist makes.

    Args:
        counts: what each letter was answered by.
        variants: every difference, causes decided.
        scores: of all kinds; those over all survivors are taken.
        folds: letterforms counted as equal.
    """
    changes: defaultdict[Pair, int] = defaultdict(int)
    chances: defaultdict[str, int] = defaultdict(int)
    for original, by_page in counts.chances.items():
        chances[plain(original, folds)] += sum(by_page.values())
    for (original, written), by_page in counts.answers.items():
        changes[plain(original, folds), plain(written, folds)] += sum(by_page.values())
    overall = {one.measure: (one.errors, one.chances) for one in scores if one.text == "all"}
    chances[""] = overall.get("letters", (0, 0))[1]
    words = overall.get("words", (0, 0))[1]
    his = [one for one in variants if counts_as_his(one) and not one.set_aside]
    for one in his:
        added = plain("".join(written for _, written in one.pairs), folds)
        if one.phenomenon is Phenomenon.ADDITION and 0 < len(added) <= LONGEST and " " not in added:
            changes["", added] += 1
    rates = dict(overall)
    rates["words left out"] = (sum(_is_words_left_out(one) for one in his), words)
    rates["words moved"] = (sum(one.moved for one in his), words)
    letters = frozenset(c for _, c in changes if len(c) == 1)
    return Coincidence(dict(changes), dict(chances), letters, rates, conventions(folds))


def _is_words_left_out(variant: Variant) -> bool:
    """Tell whether words were left out and nothing led the eye astray."""
    whole = variant.phenomenon is Phenomenon.OMISSION and " " in variant.original
    return whole and variant.cause is not Cause.EYE_SKIP


def conventions(folds: Folds) -> frozenset[Pair]:
    """Give the published pairs of spellings that are current side by side, in either direction, folded."""
    from fidelity.witnesses.data import published_table  # read only where there are other witnesses

    rows = published_table("spelling_conventions.tsv", ("original", "copy"))
    pairs = [(plain(row["original"], folds), plain(row["copy"], folds)) for row in rows]
    return frozenset([*pairs, *((c, o) for o, c in pairs)])


def plain(letters: str, folds: Folds) -> str:
    """Give letters folded, small, without stops: what is compared when witnesses are.

    >>> from fidelity.witnesses.folds import NO_FOLDS
    >>> plain("Wið nihtþeofum.", NO_FOLDS)
    'wið nihtþeofum'
    """
    small = folds.fold(letters).lower()
    return "".join(letter for letter in small if not is_punctuation(letter)) if small else small
