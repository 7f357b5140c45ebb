"""Which of two readings was altered, as far as the words tell.

Arrives: what is known of the originals' language, and two readings. Leaves: how many times likelier it is
that the witness altered what the third has than the reverse. Start reading at ``Directions.of``.

A scribe's slip makes an unknown word of a known one far oftener than the reverse; how much oftener is counted
on what this copyist altered in the survivors, other scribes being taken to be like him in this. Words are
left out oftener than put in; that too is counted. A stretch between two like words was left out by one of
the two rather than put in by the other; a word that stands twice running was rather written twice than left
out once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from fidelity.sources.coincidence import leads_the_eye, plain
from fidelity.terms import LOST_LETTER, Phenomenon, Variant, Witness
from fidelity.variants.set_aside import counts_as_his
from fidelity.witnesses.folds import Folds

SKIP_TELLS = 20.0  # times likelier that words between two like ones were left out than put in (chosen)
TWICE_TELLS = 5.0  # times likelier that a word was written twice than left out once (chosen)
BEFORE = (4.0, 1.0)  # words as if seen before anything was counted: spoiled, and made known (chosen)
MOST_TELLS = 20.0  # what the words of one place can tell at most (chosen): the texts known are few
RUN = 3  # letters of a run that is known or not


@dataclass(frozen=True)
class Known:
    """What is known of the words of the originals' language.

    Attributes:
        words: folded and small -> how often they were met in the survivors' originals and reference texts.
        altered: of the words the copyist altered, how many came out less known, and how many better.
        words_out, words_in: how often he left words out, and put words in.
    """

    words: Mapping[str, int] = field(default_factory=dict)
    altered: tuple[int, int] = (0, 0)
    words_out: int = 0
    words_in: int = 0

    @cached_property
    def runs(self) -> Counter[str]:
        """In how many different words each run of three letters was met, beginning and end counted in."""
        return Counter(run for word in self.words for run in set(runs_of(word)))

    def standing(self, word: str, met: int) -> int:
        """Say how well known a word is: 2 as a word, 1 in all its runs of letters, 0 not even so.

        Args:
            word: folded and small.
            met: how often it was met elsewhere than here.
        """
        if met > 0:
            return 2
        itself = 1 if word in self.words else 0
        return int(all(self.runs[run] > itself for run in runs_of(word)))

    @property
    def words_tell(self) -> float:
        """How many times likelier a scribe makes a less known word of a better known one than the reverse."""
        ratio = (self.altered[0] + BEFORE[0]) / (self.altered[1] + BEFORE[1])
        return min(max(ratio, 1.0), MOST_TELLS)

    @property
    def omission_tells(self) -> float:
        """How many times likelier words are left out than put in."""
        return min((self.words_out + BEFORE[0]) / (self.words_in + BEFORE[1]), MOST_TELLS)


def runs_of(word: str) -> list[str]:
    """Give the runs of three letters of a word, its beginning and its end counted as letters.

    >>> runs_of("wær")
    ['^wæ', 'wær', 'ær$']
    """
    bounded = f"^{word}$"
    return [bounded[at : at + RUN] for at in range(len(bounded) - RUN + 1)]


def known_from(texts: Iterable[Witness], variants: Sequence[Variant], folds: Folds) -> Known:
    """Count what is known of the originals' language, and what the copyist made of its words.

    Args:
        texts: the survivors' originals and the reference texts.
        variants: of the survivors, causes decided.
        folds: letterforms counted as equal.
    """
    known = Known(words_met({}, texts, folds))
    worse = better = words_out = words_in = 0
    for variant in filter(counts_as_his, variants):
        pair = [plain(text, folds) for text in (variant.original_words, variant.copy_words)]
        if variant.phenomenon is Phenomenon.OMISSION and " " in variant.original.strip():
            continue  # longer stretches are judged by what stands beside them
        gone, come = plain(variant.original, folds).strip(), plain(variant.copy, folds).strip()
        if not come and gone and gone in pair[0].split():
            words_out += 1
        elif not gone and come and come in pair[1].split():
            words_in += 1
        elif all(pair) and pair[0] != pair[1] and not any(" " in word for word in pair):
            was = known.standing(pair[0], known.words.get(pair[0], 0) - 1)
            is_ = known.standing(pair[1], known.words.get(pair[1], 0))
            worse, better = worse + (was > is_), better + (was < is_)
    return Known(known.words, (worse, better), words_out, words_in)


def words_met(before: Mapping[str, int], texts: Iterable[Witness], folds: Folds) -> Counter[str]:
    """Count the words of texts, folded and small, beside those counted before; what is lost in part apart."""
    met = Counter(before)
    for text in texts:
        met.update(word for word in plain(text.letters, folds).split() if LOST_LETTER not in word)
    return met


@dataclass(frozen=True)
class Directions:
    """Tells which of two readings was altered.

    Attributes:
        known: what is known of the language.
        met: all words met, those of the text's witnesses among them.
        folds: letterforms counted as equal.
    """

    known: Known
    met: Mapping[str, int]
    folds: Folds

    def of(
        self,
        pair: tuple[str, str],
        around: tuple[str, str],
        words: tuple[str, str],
        here: tuple[int, int],
    ) -> float:
        """Give how many times likelier the witness altered what the third has than the reverse.

        Args:
            pair: the letters that differ, the third's and the witness's, folded and small, without stops.
            around: what stands before and after them in the third.
            words: the words they stand in, the witness's and the third's.
            here: in how many witnesses of this very place the one and the other stand.
        """
        third, reading = pair
        if not reading.strip() and _is_words(third, words[1], self.folds):
            return self._left_out(third, around)
        if not third.strip() and _is_words(reading, words[0], self.folds):
            return 1 / self._left_out(reading, around)
        of_witness, of_third = (
            min((self._standing(word, many) for word in plain(some, self.folds).split()), default=2)
            for some, many in zip(words, here, strict=True)
        )
        if of_witness == of_third:
            return 1.0
        return self.known.words_tell if of_third > of_witness else 1 / self.known.words_tell

    def _standing(self, word: str, here: int) -> int:
        return self.known.standing(word, self.met.get(word, 0) - here)

    def _left_out(self, letters: str, around: tuple[str, str]) -> float:
        """Give how many times likelier whole words were left out by one scribe than put in by another."""
        letters = letters.strip()
        if around[0].rstrip().endswith(letters) or around[1].lstrip().startswith(letters):
            return 1 / TWICE_TELLS
        return SKIP_TELLS if leads_the_eye(letters, *around) else self.known.omission_tells


def _is_words(letters: str, words: str, folds: Folds) -> bool:
    """Tell whether letters are whole words and no part of one."""
    whole = plain(words, folds).split()
    return all(part in whole for part in letters.replace(LOST_LETTER, "").split()) or " " in letters.strip()
