"""Copies with errors planted by their mechanisms: what a hand and an eye do, not how it is judged.

Arrives: an open text (the Völsunga saga, see ``planted.py``), a number of errors of each kind, a seed.
Leaves: an original with its hands, damage and abbreviations, a copy, and for each error where it was
planted and by what. Start reading at ``plant_mechanisms``; ``MECHANISMS`` says what each does.

A mechanism works on the exemplar as the copyist meets it: it misreads a letter for one of like shape,
counts minims anew, loses its place at a like word, goes back to where the eye fell, holds two words in
mind and mixes them. What comes of it is not looked at: a skip may look like another cause, a letter
drawn in may be a shape misread. Nothing here is taken from the program's tables or tests.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

import numpy as np

from fidelity.letters import encode
from fidelity.terms import State, Witness

LOST = "▯"
LINE_LENGTH, PAGE_LINES = 48, 30  # letters to the line, lines to the page; any will do
APART = 6  # words kept free between two errors, so that each can be told from its neighbours

STROKES = {"i": 1, "n": 2, "u": 2, "m": 3}
MODERN = {
    "ek": "ég", "at": "að", "þat": "það", "mik": "mig", "þik": "þig", "sik": "sig", "svá": "svo",
    "eptir": "eftir", "sverð": "sverðið", "maðr": "maður", "konungr": "konungur", "hefir": "hefur",
    "várum": "vorum", "ór": "úr",
}  # fmt: skip
HABIT, HABIT_RATE = ("y", "i"), 0.2  # he writes i for y, one time in five
FOLD_PAIRS = (("⁊", "ok"), ("ū", "um"), ("ā", "an"), ("ī", "in"))  # what he writes out as a matter of course
ABBREVIATED = 0.3  # of the words that could be
WRITTEN_OUT = {ord(sign): letters for sign, letters in FOLD_PAIRS}


@dataclass(frozen=True)
class Edit:
    """One error: letters of the original, and what is written for them.

    Attributes:
        cause: by what mechanism, in the program's vocabulary.
        start, end: offsets in the original.
        written: the copy's letters.
    """

    cause: str
    start: int
    end: int
    written: str


@dataclass
class Exemplar:
    """The original as the copyist meets it; mechanisms that need marks put them in."""

    rng: np.random.Generator
    words: list[str]
    states: list[list[int]] = field(default_factory=list)
    hands: list[list[int]] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)

    def mark(self, at: int, word: str, state: State = State.CLEAR, hand: int = 0) -> None:
        """Let a word of the original be another, in a state and by a hand."""
        self.words[at] = word
        self.states[at], self.hands[at] = [int(state)] * len(word), [hand] * len(word)

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Give the offsets of words, the last included."""
        return self.starts[first], self.starts[last] + len(self.words[last])

    def replaced(self, cause: str, at: int, written: str, first: int = 0, last: int | None = None) -> Edit:
        """Make the error of writing something else for letters of a word."""
        start = self.starts[at]
        return Edit(cause, start + first, start + (len(self.words[at]) if last is None else last), written)

    def pick(self, number: int) -> int:
        """Draw a number below another."""
        return int(self.rng.integers(number))


Mechanism = Callable[[Exemplar, int], Edit | None]


@cache
def saga_words() -> tuple[str, ...]:
    """Give the words of the Völsunga saga with their stops, in small letters."""
    folder = files("norsecorpus") / "data" / "heimskringla" / "Völsunga_saga" / "txt"
    text = (folder / "complete.txt").read_text(encoding="utf-8").lower()
    words = (re.sub(r"[^\w.,:;]|\d", "", word) for word in text.split())
    return tuple(word for word in words if re.search(r"\w", word))


def bare(word: str) -> str:
    """Leave out the stops of a word."""
    return word.strip(".,:;")


@dataclass(frozen=True)
class PlantedCauses:
    """What was planted.

    Attributes:
        original, copy: the texts.
        edits: every error, in order of place; spelling habits are not among them one by one.
        habit: the habit of spelling (letter, written), done at a rate throughout.
    """

    original: Witness
    copy: Witness
    edits: tuple[Edit, ...]


def plant_mechanisms(
    mechanisms: dict[str, Mechanism], each: int, seed: int, words: int | None = None
) -> PlantedCauses:
    """Copy the saga with so many errors of each mechanism, more of them towards the foot of a page.

    Args:
        mechanisms: by name; several may have one cause.
        each: errors of each.
        seed: of the random draws.
        words: only so many words of the saga.
    """
    rng = np.random.default_rng(seed)
    text = list(saga_words()[:words])
    exemplar = Exemplar(rng, text, [[0] * len(w) for w in text], [[0] * len(w) for w in text])
    sites = _sites(exemplar, mechanisms, each)
    for name, at in sites:  # marks first: offsets must not move afterwards
        if prepare := PREPARED.get(name):
            prepare(exemplar, at)
    exemplar.lines = _lay_out(exemplar)
    edits = sorted(
        (edit for name, at in sites if (edit := mechanisms[name](exemplar, at)) is not None),
        key=lambda edit: (edit.start, edit.end),
    )
    edits = _spelled(
        exemplar, [one for at, one in enumerate(edits) if not at or one.start >= edits[at - 1].end]
    )
    return PlantedCauses(_original(exemplar), _copy(exemplar, edits), tuple(edits))


def _spelled(exemplar: Exemplar, edits: list[Edit]) -> list[Edit]:
    """Add a habit of spelling, done throughout where no error is near."""
    old, new = HABIT
    letters = " ".join(exemplar.words)
    busy = np.zeros(len(letters) + 1, dtype=bool)
    for edit in edits:
        busy[max(edit.start - 30, 0) : edit.end + 30] = True
    marked = [at for at, letter in enumerate(letters) if letter == old and not busy[at]]
    done = [Edit("spelling_habit", at, at + 1, new) for at in marked if exemplar.rng.random() < HABIT_RATE]
    return sorted([*edits, *done], key=lambda edit: (edit.start, edit.end))


PREPARED: dict[str, Callable[[Exemplar, int], None]] = {}


def _sites(exemplar: Exemplar, mechanisms: dict[str, Mechanism], each: int) -> list[tuple[str, int]]:
    """Draw where each mechanism strikes: apart from one another, oftener where he tires."""
    rng, count = exemplar.rng, len(exemplar.words)
    places = np.arange(20, count - 20)
    tired = 1 + 2 * ((places % 250) / 250)  # some 250 words to the page
    taken = np.zeros(count, dtype=bool)
    order = rng.choice(places, len(places), replace=False, p=tired / tired.sum()).tolist()
    sites: list[tuple[str, int]] = []
    exemplar.starts = [0] * count  # offsets are not known yet; only whether a mechanism finds its occasion
    for name, mechanism in mechanisms.items():
        found = 0
        for at in order:
            reach = 16 if name.endswith("skip") else APART
            if found == each:
                break
            if taken[at - APART : at + reach].any() or not _has_occasion(name, mechanism, exemplar, at):
                continue
            taken[at - 2 : at + reach] = True
            sites.append((name, at))
            found += 1
    _abbreviate(exemplar, taken)
    return sites


def _abbreviate(exemplar: Exemplar, taken: np.ndarray) -> None:
    """Let the original have its abbreviations elsewhere too, where he writes them out as he should."""
    written_out = {letters: sign for sign, letters in FOLD_PAIRS}
    for at, word in enumerate(exemplar.words):
        if taken[at] or exemplar.rng.random() > ABBREVIATED:
            continue
        if word == "ok":
            exemplar.mark(at, written_out[word])
        elif word[-2:] in written_out and word[-2:] != "ok":
            exemplar.mark(at, word[:-2] + written_out[word[-2:]])


def _has_occasion(name: str, mechanism: Mechanism, exemplar: Exemplar, at: int) -> bool:
    """Tell whether a mechanism can strike at a word."""
    if name in PREPARED:
        return len(bare(exemplar.words[at])) >= 4
    return mechanism(exemplar, at) is not None


def _lay_out(exemplar: Exemplar) -> list[int]:
    """Set the words in lines; gives the offset of each line."""
    lines, at = [0], 0
    for number, word in enumerate(exemplar.words):
        if at + len(word) > lines[-1] + LINE_LENGTH:
            lines.append(at)
        exemplar.starts[number] = at
        at += len(word) + 1
    return lines


def _original(exemplar: Exemplar) -> Witness:
    """Make the witness of the original."""
    letters, lines = encode(" ".join(exemplar.words)), exemplar.lines
    states = b"\x00".join(bytes(states) for states in exemplar.states)
    hands = [list(hands) for hands in exemplar.hands]
    joined = b"\x00".join(bytes(one) for one in hands)
    return Witness(
        "V",
        letters,
        tuple(lines),
        tuple(str(number) for number in range(1, len(lines) + 1)),
        tuple(str(number // PAGE_LINES + 1) for number in range(len(lines))),
        ("",) * len(lines),
        states=states if any(states) else b"",
        hands=joined if any(joined) else b"",
        hand_names=("main", "later"),
        script="gothic_textualis",
    )


def _copy(exemplar: Exemplar, edits: list[Edit]) -> Witness:
    """Write the copy: abbreviations written out, errors put in."""
    letters = " ".join(exemplar.words)
    pieces, done = [], 0
    for edit in edits:
        pieces += [letters[done : edit.start].translate(WRITTEN_OUT), edit.written]
        done = edit.end
    pieces.append(letters[done:].translate(WRITTEN_OUT))
    return Witness("C", encode("".join(pieces)))
