"""Look through a copy for words that another hand may have added.

Arrives: the words of a copy, and what was learned from the survivors. Leaves: the stretches found, each with
its grounds. Start reading at ``search``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fidelity.hands.languages import Run, Tongues
from fidelity.hands.openings import Openings, found_by_openings
from fidelity.hands.words import Words
from fidelity.letters import decode
from fidelity.terms.hands import KINDS, LANGUAGE, OPENING, Candidate
from fidelity.variants.citations import Citations

MOST_WORDS = (
    8  # of a run in another language; a longer one is a passage, unless additions were as long (chosen)
)
AROUND = 4  # words shown before and after a candidate
MOST_TIMES = 1_000_000  # more than that says no more to a reader (chosen)
TIMES_LONGEST = 2  # how much longer than the longest addition of the survivors a candidate may be (chosen)


@dataclass(frozen=True)
class Learned:
    """What was learned from the survivors.

    Attributes:
        openings: how additions begin and where they stand.
        tongues: the languages; None where there is nothing to compare with.
        limit: the score that a run in another language must reach; None where it is not known.
    """

    openings: Openings
    tongues: Tongues | None = None
    limit: float | None = None

    @property
    def longest(self) -> int:
        """Give how many words a run in another language may have."""
        return max(MOST_WORDS, TIMES_LONGEST * self.openings.longest)


@dataclass(frozen=True)
class Found:
    """Neighbouring words of a copy that may be another hand's: first, last and one, grounds, reasons."""

    first: int
    end: int
    kinds: tuple[str, ...]
    why: tuple[str, ...]


def search(words: Words, asked: NDArray[np.bool_], learned: Learned) -> tuple[list[Found], int]:
    """Look through a copy for what begins as additions do, or looks foreign.

    A whole field of an entry is never found: there the other language is the glossary's own.

    Args:
        words: of the copy.
        asked: which of them are looked at.
        learned: what is known of additions and languages.

    Returns:
        What was found, in order; and how many stretches were left aside as passages, too long for additions.
    """
    found = [
        Found(first, end, (OPENING,), (why,))
        for first, end, why in found_by_openings(words, learned.openings)
        if asked[first]
    ]
    too_long = 0
    if learned.tongues and learned.limit is not None:
        for run in learned.tongues.runs(words, asked):
            if run.score <= learned.limit:
                continue
            if run.end - run.first > learned.longest:
                too_long += 1
                continue
            found.append(Found(run.first, run.end, (LANGUAGE,), (_foreign(run, words),)))
    return merged([one for one in found if not _is_whole_field(one, words)]), too_long


def _foreign(run: Run, words: Words) -> str:
    """Say like which language a run looks, and how much."""
    most = math.log(MOST_TIMES)
    times = f"more than {in_times(most)}" if run.score > most else in_times(run.score)
    own = words.languages[run.first] or "the text's own language"
    return f"looks like {run.language}: {times} times as probable there as in {own}"


def in_times(score: float) -> str:
    """Give by what factor one thing is more probable than another, from the log of it, in two digits.

    >>> in_times(10.4), in_times(0.7), in_times(120)
    ('33,000', '2', '1,000,000')
    """
    factor = float(f"{math.exp(min(score, math.log(MOST_TIMES))):.2g}")
    return f"{factor:,.0f}" if factor >= 10 else f"{factor:g}"


def _is_whole_field(one: Found, words: Words) -> bool:
    """Tell whether words fill a field of an entry."""
    if not words.whole[one.first]:
        return False
    field = np.flatnonzero(words.fields == words.fields[one.first])
    told = [at for at in field.tolist() if words.bare[words.number[at]]]
    return bool(told) and one.first <= told[0] and told[-1] < one.end


def merged(found: Sequence[Found]) -> list[Found]:
    """Put together what overlaps, in order."""
    done: list[Found] = []
    for one in sorted(found, key=lambda each: (each.first, each.end)):
        last = done[-1] if done else None
        if last is None or one.first >= last.end:
            done.append(one)
            continue
        kinds = tuple(kind for kind in KINDS if kind in (*last.kinds, *one.kinds))
        done[-1] = Found(last.first, max(last.end, one.end), kinds, (*last.why, *one.why))
    return done


def position_of(one: Found, words: Words, openings: Openings) -> str:
    """Say where words stand in their line, and whether additions in survivors stood so."""
    first, last = one.first, one.end - 1
    begins = first == 0 or words.lines[first - 1] != words.lines[first]
    ends = last + 1 == len(words) or words.lines[last + 1] != words.lines[last]
    line = "all of its line" if begins and ends else "within its line"
    if begins != ends:
        line = "at the beginning of its line" if begins else "at the end of its line"
    return "; ".join([line, *_like_additions(first, words, openings)])


def _like_additions(first: int, words: Words, openings: Openings) -> Iterator[str]:
    """Say of which additions the words before remind."""
    for back, known, said in ((1, openings.after, "after"), (2, openings.second_after, "second word after")):
        if first >= back and words.fields[first - back] == words.fields[first]:
            loci = known.get(words.bare[words.number[first - back]])
            if loci:
                yield f"{said} “{decode(words.form(first - back))}”, as {', '.join(loci[:3])}"
                return


def candidate_of(one: Found, words: Words, openings: Openings, *, lost: bool) -> Candidate:
    """Make the record of a candidate."""
    letters = words.witness.letters
    span = int(words.starts[one.first]), int(words.ends[one.end - 1])
    locus, last = Citations(words.witness, words.text).ends(*span)
    first, end = max(one.first - AROUND, 0), min(one.end + AROUND, len(words))
    around = " ".join(letters[words.starts[first] : words.ends[end - 1]].split())
    return Candidate(
        text=words.text,
        lost=lost,
        locus=locus,
        last_locus=last,
        words=decode(" ".join(letters[slice(*span)].split())),
        span=span,
        kinds=one.kinds,
        why=one.why,
        position=position_of(one, words, openings),
        passage=decode(around),
    )
