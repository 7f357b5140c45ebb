"""Turn an alignment into tags: for each copied letter the original letters it answers.

Arrives: an alignment and the folds. Leaves: ``Tagged``, the copied letters and their tags on the
normalised level (declared letterforms folded, declared abbreviations written out), where copy
and original speak the same alphabet. Start reading at ``tag_alignment``.

A tag is the letter itself, another, none, two or three. Letters the copyist left out hang on the
letter before; runs over six letters are left to eye-skips and hang nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import Folds

LONGEST_TAIL = 6  # letters; a longer run left out is a skip, not a slip of the pen


@dataclass(frozen=True)
class Tagged:
    """The copy of a survivor with what stood in the original at each letter.

    Attributes:
        copied: the copied letters, folded.
        tags: for each the original's letters it answers, normalised.
        trusted: for each whether the original's letters are clear, in the main hand, and not
            beside a skip.
    """

    copied: str
    tags: tuple[str, ...]
    trusted: tuple[bool, ...]

    def original(self, start: int, end: int) -> str:
        """Give what the original had for a span of copied letters."""
        return "".join(self.tags[start:end])


def normalise(letters: str, folds: Folds) -> str:
    """Put a text on the level where copy and original speak the same alphabet.

    Declared letterforms are folded and declared abbreviations written out (the first declared
    expansion of a sign, where there are several).

    >>> normalise("⁊ ꞅꞇan", Folds({"ꞅ": "s", "ꞇ": "t"}, (("⁊", "and"),)))
    'and stan'
    """
    folded = folds.fold(letters)
    done: set[str] = set()
    for sign, text in folds.expansions:
        if len(sign) == 1 and sign not in done and sign in folded:
            folded = folded.replace(sign, folds.fold(text))
        done.add(sign)
    return folded


def shared_out(original: str, written: str) -> list[str]:
    """Share the original's letters out over the letters written for them.

    >>> shared_out("rn", "m"), shared_out("m", "in"), shared_out("ab", "ba")
    (['rn'], ['m', ''], ['a', 'b'])
    """
    size = len(written)
    if len(original) <= size:
        return list(original) + [""] * (size - len(original))
    return [*original[: size - 1], original[size - 1 :]]


def tag_alignment(alignment: Alignment, folds: Folds) -> Tagged:
    """Give the copied letters of a survivor with their tags."""
    original, copy = alignment.original, alignment.copy
    copied = folds.fold(copy.letters)
    tags = [""] * len(copied)
    trusted = [True] * len(copied)
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        clear = original.is_evidence(o0, o1)
        if kind == StepKind.KEPT:
            tags[c0:c1] = copied[c0:c1]
        elif c1 > c0 and not (kind == StepKind.SKIPPED):
            tags[c0:c1] = shared_out(normalise(original.letters[o0:o1], folds), copied[c0:c1])
        elif kind == StepKind.SKIPPED and o1 > o0 and o1 - o0 > LONGEST_TAIL:
            clear = False
            if c0:
                trusted[c0 - 1] = False
        elif o1 > o0 and c0:
            tags[c0 - 1] += normalise(original.letters[o0:o1], folds)
            trusted[c0 - 1] = trusted[c0 - 1] and clear
        if kind == StepKind.SKIPPED and c1 - c0 > LONGEST_TAIL:
            clear = False
        if not clear:
            trusted[c0:c1] = [False] * (c1 - c0)
    return Tagged(copied, tuple(tags), tuple(trusted))
