"""What stood where he could not read: known words that agree with the letters he did read.

Arrives: a copied word with a gap in it, the model, what the survivors show of his gaps. Leaves: known words
with their probabilities, and the share of "none of these". Start reading at ``GapWords.fill``.

By plain Bayes: how common a word is, after the word before and before the word after; how probable it is
that he wrote for it the letters that he wrote (his own letter channel); and how probable it is that he marks
so many letters for so many lost ones.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from fidelity.copyist.model import Model
from fidelity.letters import is_punctuation, without_stops
from fidelity.readings.flagged import GapSeen

# How far the number of letters he shows is from the true one, before any gap of the survivors is seen: he is
# right as often as not, and each letter more or less is about a third as likely; as if of four gaps (chosen).
FALL, GAPS_BEFORE = 0.3, 4.0
FARTHEST = 6  # letters more or less; beyond, another word stood there, or several
LONGEST_UNKNOWN = 12  # letters of one word that a gap of unknown extent may hold; few words are longer
# How often one known word stood in a gap, before any is seen: of so many gaps in so many (chosen).
ONE_WORD = {True: (4.0, 5.0), False: (1.0, 2.0)}  # he said how many letters; he did not
ALMOST_NONE = 1e-12
# The power to which probabilities are raised, for words follow each other less surely than counted. On six
# simulated copyists, 364 gaps with and without reference text, the mean log of what was said of the truth was
# -2.73 and -2.58 with it, -2.75 and -2.60 without, -2.75 and -2.61 with 0.8.
TEMPER = 0.9
Token = Sequence[str | int | None]  # letters he read, and gaps: how many letters he shows, or None


class Lengths:
    """P(n letters were lost | he shows k), learned from the survivors' gaps.

    Args:
        gaps: of the survivors.
    """

    def __init__(self, gaps: Sequence[GapSeen]) -> None:
        counted = [
            one.lost - one.gap.shown for one in gaps if one.lost is not None and one.gap.shown is not None
        ]
        self.number = len(counted)
        self.right = sum(not off for off in counted)
        prior = {off: FALL ** abs(off) for off in range(-FARTHEST, FARTHEST + 1)}
        total = sum(prior.values())
        met = Counter(off for off in counted if off in prior)
        size = met.total() + GAPS_BEFORE
        self._share = {off: (met[off] + GAPS_BEFORE * p / total) / size for off, p in prior.items()}

    def of(self, shown: int | None) -> dict[int, float]:
        """Give how probable each number of lost letters is; of a gap of unknown extent each the same.

        >>> lengths = Lengths(()).of(3)
        >>> round(lengths[3], 2), round(lengths[2], 2), round(sum(lengths.values()), 6)
        (0.55, 0.16, 1.0)
        """
        if shown is None:
            return dict.fromkeys(range(1, LONGEST_UNKNOWN + 1), 1 / LONGEST_UNKNOWN)
        found = {shown + off: p for off, p in self._share.items() if shown + off > 0}
        total = sum(found.values())
        return {number: p / total for number, p in found.items()}


@dataclass(frozen=True)
class Filled:
    """What may have stood in a word with a gap.

    Attributes:
        words: known words with their probabilities, the most probable first, as a whole with the stops that
            the copy has.
        none: probability of none of these, 0-1.
    """

    words: tuple[tuple[str, float], ...] = ()
    none: float = 1.0


class GapWords:
    """Fills gaps in copied words.

    Args:
        model: of the copyist and the originals' language.
        gaps: of the survivors that the model was learned from.
    """

    def __init__(self, model: Model, gaps: Sequence[GapSeen]) -> None:
        self.model, self.lengths = model, Lengths(gaps)
        self._gaps = gaps
        self._rates: dict[tuple[str, str], float] = {}
        self._known: dict[tuple[str | int | None, ...], dict[str, float]] = {}

    @cached_property
    def _forms(self) -> dict[str, list[str]]:
        """Give the known words without their stops, with the forms that they stand in."""
        forms: defaultdict[str, list[str]] = defaultdict(list)
        for word in sorted(self.model.words.counts):
            forms[without_stops(word)].append(word)
        forms.pop("", None)
        return dict(forms)

    @cached_property
    def _joined(self) -> str:
        return "\n" + "\n".join(self._forms) + "\n"

    @cached_property
    def _once(self) -> list[str]:
        """Give the words met once: what is not known is like them (Good 1953, Biometrika 40, 237-264)."""
        counts = self.model.words.counts
        return [word for word, forms in self._forms.items() if sum(counts[form] for form in forms) == 1]

    def one_word(self, counted: bool) -> float:
        """Give how often one known word stood in a gap, 0-1: the mean of a beta posterior.

        Args:
            counted: whether it is asked of gaps for which he shows a number of letters.
        """
        some = [one for one in self._gaps if one.original is not None]
        some = [one for one in some if (one.gap.shown is not None) is counted]
        ones = sum(len((one.original or "").split()) == 1 for one in some)
        before, of = ONE_WORD[counted]
        return (ones + before) / (len(some) + of)

    def fill(self, token: Token, before: str = "", after: str = "") -> Filled:
        """Give the known words that may have stood in a copied word with a gap.

        Args:
            token: the letters he read, and his gaps.
            before, after: the copied words beside it; "" where there is none, or it has a gap.
        """
        opening, bare, closing = _parted(token)
        chances = self._chances(tuple(bare))
        if not chances:
            return Filled()
        words = self.model.words
        known = {word: p * self._worth(word, before, after) for word, p in chances.items()}
        like = sum(chances.get(word, 0.0) for word in self._once) + max(chances.values()) / 2
        unknown = words.lean(before) * len(self._once) / max(words.total, 1) * like / (len(self._once) + 1)
        share = self.one_word(all(part is not None for part in token)) / (sum(known.values()) + unknown)
        found = sorted(((word, p * share) for word, p in known.items()), key=lambda one: (-one[1], one[0]))
        return _tempered([(opening + word + closing, p) for word, p in found if p > ALMOST_NONE])

    def _chances(self, token: tuple[str | int | None, ...]) -> dict[str, float]:
        """Give the known words that agree with a token, each with how probable it is that he writes so."""
        if token not in self._known:
            agreeing = ((word, self._written_for(token, word)) for word in self._agreeing(token))
            self._known[token] = {word: p for word, p in agreeing if p}
        return self._known[token]

    def _worth(self, word: str, before: str, after: str) -> float:
        """Give how probable a word is after the word before, and how much better the next one follows it."""
        words = self.model.words
        p = sum(words.probability(form, before) for form in self._forms[word])
        if after in words:
            p *= max(words.probability(after, form) for form in self._forms[word]) / words.probability(after)
        return p

    def _agreeing(self, token: Token) -> Iterator[str]:
        """Give the known words that agree with all letters that he read but one."""
        parts = [self._part(part) for part in token]
        letters = [at for at, part in enumerate(token) if isinstance(part, str)]
        ways = ["".join(parts)]
        for at in letters:
            ways.append("".join([*parts[:at], ".{0,2}", *parts[at + 1 :]]))
        found: dict[str, None] = {}
        for way in ways:
            found |= dict.fromkeys(re.findall(f"(?<=\n){way}(?=\n)", self._joined))
        yield from found

    def _part(self, part: str | int | None) -> str:
        if isinstance(part, str):
            return re.escape(part)
        numbers = self.lengths.of(part)
        return f".{{{min(numbers)},{max(numbers)}}}"

    def _written_for(self, token: Token, word: str) -> float:
        """Give how probable it is that he writes this for a word: his letter channel, and his counting.

        A sum over all ways to share the word's letters out: a letter kept, taken for another, left out,
        put in; a gap takes as many letters as it may.
        """
        here = {0: 1.0}  # letters of the word used up -> probability
        for part in token:
            if isinstance(part, str):
                here = self._after_letter(here, part, word)
            else:
                there: defaultdict[int, float] = defaultdict(float)
                for number, p in self.lengths.of(part).items():
                    for used, q in here.items():
                        if used + number <= len(word):
                            there[used + number] += p * q
                here = dict(there)
            if not here:
                return 0.0
        left = {used: p * self._left_out(word[used:]) for used, p in here.items()}
        return sum(left.values())

    def _after_letter(self, here: dict[int, float], written: str, word: str) -> dict[int, float]:
        there: defaultdict[int, float] = defaultdict(float)
        for used, p in here.items():
            there[used] += p * self._rate("", written)
            if used < len(word):
                there[used + 1] += p * self._rate(word[used], written)
            if used + 1 < len(word):
                there[used + 2] += p * self._rate(word[used], "") * self._rate(word[used + 1], written)
        return {used: p for used, p in there.items() if p > ALMOST_NONE}

    def _left_out(self, letters: str) -> float:
        p = 1.0
        for letter in letters:
            p *= self._rate(letter, "")
        return p

    def _rate(self, original: str, written: str) -> float:
        """Give how often he writes this for that, per chance, 0-1."""
        key = original, written
        if key not in self._rates:
            self._rates[key] = self.model.tags.rate(original, written)
        return self._rates[key]


def _tempered(found: Sequence[tuple[str, float]]) -> Filled:
    """Give words, and none of them, in the same order but less sure.

    >>> _tempered([("stream", 0.9)]).none > 0.1
    True
    """
    none = max(1.0 - sum(p for _, p in found), 0.0) ** TEMPER
    total = none + sum(p**TEMPER for _, p in found)
    return Filled(tuple((word, p**TEMPER / total) for word, p in found), none / total)


def _parted(token: Token) -> tuple[str, Token, str]:
    """Part the stops at both ends from a word.

    >>> _parted(["s", "t", 2, "."])
    ('', ['s', 't', 2], '.')
    """
    start, end = 0, len(token)
    while start < end and _is_stop(token[start]):
        start += 1
    while end > start and _is_stop(token[end - 1]):
        end -= 1
    opening, closing = ("".join(str(part) for part in some) for some in (token[:start], token[end:]))
    return opening, token[start:end], closing


def _is_stop(part: str | int | None) -> bool:
    return isinstance(part, str) and is_punctuation(part)
