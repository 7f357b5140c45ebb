"""The invented copyist: copies a text as Erasmus Wickenby would, and says what he did.

Arrives: the lines of an original, and ``source/habits.tsv`` with each habit's rate. Leaves: the
lines of his copy, and a key with one row for every change. Start reading at ``copy_text``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise, product
from random import Random

from tests.demo_key.invented_text import INSULAR, read_table

PAGE_SHAPE = 3.0  # gamma shape of the page rates: coefficient of variation 0.58
SKIP_REACH = 12  # words: no eye-skip is longer
LINES_A_PAGE = 26  # of the originals: his attention goes by their pages
LONG_WORD, SHORT_WORD = 8, 3  # letters: what he parts, what he joins to the next
SHORTEST_HABIT, SHORTEST_METATHESIS = 3, 4  # letters of a word

ROMAN = {graphic: roman for roman, graphic in INSULAR.items()} | {"⁊": "and", "ꝥ": "þæt"}
STROKES = {"i": 1, "n": 2, "u": 2, "m": 3}
STRAYS = "aeiouylnrstdhmcæ"  # what a slip of the pen may write


@dataclass
class Word:
    """A word of the original, what the copyist makes of it, and what went wrong on the way."""

    line: int
    number: int
    original: str
    copy: str = ""
    joined: bool = False
    changes: list[tuple[str, str, str]] = field(default_factory=list)  # mechanism, letters, words


Key = list[tuple[str, str, str, str, str, str, str]]

HABITS = read_table("habits")
RATES = {row["mechanism"]: float(row["rate"]) for row in HABITS if not row["original"]}


def letter_habits() -> dict[str, list[tuple[str, str, float]]]:
    """Give for each letter of the originals what he may write for it: mechanism, letters, rate."""
    habits: dict[str, list[tuple[str, str, float]]] = {}
    for row in HABITS:
        if row["original"]:
            habits.setdefault(row["original"], []).append((row["mechanism"], row["copy"], float(row["rate"])))
    return habits


LETTER_HABITS = letter_habits()


def copy_letters(word: str, factor: float, rng: Random) -> tuple[list[str], list[tuple[str, str]]]:
    """Copy a word letter by letter, with the letter habits: pieces of copy, and changes."""
    pieces, changes = [], []
    end = len(word.rstrip("."))
    for place, letter in enumerate(word):
        written = ROMAN.get(letter, letter)
        for mechanism, other, rate in LETTER_HABITS.get(letter, []):
            if mechanism == "punctuation" and word.startswith("."):
                continue
            if mechanism == "spelling_habit" and (place != end - 1 or end < SHORTEST_HABIT):
                continue
            # A habit of spelling does not come and go with attention as misreadings do.
            if rng.random() < rate * (1.0 if mechanism == "spelling_habit" else factor):
                written = other
                changes.append((mechanism, f"{letter}→{other}"))
                break
        pieces.append(written)
    return pieces, changes


def other_minims(run: str, rng: Random) -> str:
    """Divide the strokes of a run of minims otherwise: "in" may become "m" or "ni"."""
    strokes = sum(STROKES[letter] for letter in run)
    rivals = [
        "".join(letters)
        for size in range(max(1, len(run) - 1), len(run) + 2)
        for letters in product("imnu", repeat=size)
        if sum(STROKES[letter] for letter in letters) == strokes and "".join(letters) != run
    ]
    return rng.choice(rivals)


def slip(word: Word, pieces: list[str], factor: float, rng: Random) -> None:
    """Copy what is left of a word's letters with the faults that need no special letter."""
    text = word.original
    plain = [ROMAN.get(letter, letter) for letter in text]

    def change(mechanism: str, start: int, end: int, written: str) -> None:
        if pieces[start:end] == plain[start:end]:
            pieces[start:end] = [written] + [""] * (end - start - 1)
            word.changes.append((mechanism, f"{text[start:end]}→{written}", ""))

    for run in re.finditer("[imnu]{2,}", text):
        if rng.random() < RATES["minims"] * factor:
            start = run.start() + max(0, rng.randint(0, len(run.group()) - 2))
            change("minims", start, start + 2, other_minims(text[start : start + 2], rng))
    for found in re.finditer(r"(\w)\1", text):
        if found.group(1) not in "iux" and rng.random() < RATES["haplography"] * factor:
            change("haplography", found.start(), found.end(), plain[found.start()])
    if len(text) >= SHORTEST_METATHESIS and text.isalpha() and rng.random() < RATES["metathesis"] * factor:
        start = rng.randint(1, len(text) - 2)
        if text[start] != text[start + 1]:
            change("metathesis", start, start + 2, plain[start + 1] + plain[start])
    for place, letter in enumerate(text):
        if letter.isalpha() and rng.random() < RATES["slip"] * factor:
            stray = rng.choice(STRAYS.replace(plain[place], ""))
            change("slip", place, place + 1, rng.choice((stray, "", plain[place] + stray)))
    if text[0].isalpha() and rng.random() < RATES["capital"] * factor:
        change("capital", 0, 1, plain[0][0].swapcase() + plain[0][1:])


def divide(words: list[Word], factors: list[float], rng: Random) -> None:
    """Part long words and join short ones, now and then."""
    for word, after in pairwise(words):
        factor = factors[word.line]
        length = len(word.original) if word.original.isalpha() else 0
        if length >= LONG_WORD and rng.random() < RATES["split"] * factor:
            place = rng.randint(3, len(word.copy) - 3)
            word.copy = f"{word.copy[:place]} {word.copy[place:]}"
            word.changes.append(("division", "split", ""))
        elif 0 < length <= SHORT_WORD and word.line == after.line and rng.random() < RATES["join"] * factor:
            word.joined = True
            word.changes.append(("division", "join", f"{word.original} {after.original}"))


def repeat_and_skip(words: list[Word], factors: list[float], rng: Random) -> list[Word]:
    """Write words twice, and skip from one word to its like further on: the words copied."""
    kept: list[Word] = []
    place = 0
    while place < len(words):
        word = words[place]
        kept.append(word)
        place += 1
        if word.joined or "." in word.original:
            continue
        if rng.random() < RATES["dittography"] * factors[word.line]:
            word.changes.append(("dittography", f"{word.copy}→{word.copy} {word.copy}", ""))
            word.copy = f"{word.copy} {word.copy}"
        elif rng.random() < RATES["eye_skip"] * factors[word.line]:
            skipped = words[place : place + like_word(words[place - 1 : place + SKIP_REACH + 1])]
            if skipped:
                text = " ".join(lost.original for lost in skipped)
                skipped[0].changes = [("eye_skip", f"{word.original} … {skipped[-1].original}", text)]
                skipped[0].copy = ""
                kept.append(skipped[0])
            place += len(skipped)
    return kept


def like_word(words: list[Word]) -> int:
    """Tell how many words an eye-skip from the first would pass over: 0 where it cannot be.

    The eye comes back to the same word, or to one that ends in the same three letters; it may
    pass a line end, but leaves something of each line (a lost line is another kind of fault).
    """
    first = words[0]
    for reach, (word, after) in enumerate(pairwise(words[1:]), 1):
        if word.line > first.line + 1 or word.joined:
            return 0
        alike = word.original[-3:] == first.original[-3:] and len(first.original) > 1
        if alike and reach > 1 and after.line == word.line:
            return reach
    return 0


def copy_text(name: str, lines: list[str], rng: Random, *, line_skip: bool = False) -> tuple[list[str], Key]:
    """Copy a text as Wickenby would: the lines of the copy, and the key of what he changed.

    Args:
        name: id of the text, for the key.
        lines: the original's lines; words of an entry's two fields may be parted by a tab.
        rng: the source of chance.
        line_skip: leave one whole line out.
    """
    pages = [rng.gammavariate(PAGE_SHAPE, 1 / PAGE_SHAPE) for _ in range(0, len(lines), LINES_A_PAGE)]
    factors = [pages[line // LINES_A_PAGE] for line in range(len(lines))]
    words = [
        Word(line, number, text)
        for line, whole in enumerate(lines)
        for number, text in enumerate(whole.split(), 1)
    ]
    for word in words:
        pieces, changes = copy_letters(word.original, factors[word.line], rng)
        word.changes = [(mechanism, letters, "") for mechanism, letters in changes]
        slip(word, pieces, factors[word.line], rng)
        word.copy = "".join(pieces)
    if "\t" not in lines[0]:
        divide(words, factors, rng)
        words = repeat_and_skip(words, factors, rng)
    lost = len(lines) * 3 // 5 if line_skip else None  # one line left out, past the middle
    key = [entry for word in words if word.line != lost for entry in key_of(name, word, words)]
    copied = [""] * len(lines)
    for word in words:
        copied[word.line] += said(word)
    if lost is not None:
        key.append((name, str(lost + 1), "1", lines[lost], "", "line_skip", "the whole line"))
        del copied[lost]
    return [line.rstrip() for line in copied], sorted(key, key=lambda entry: (int(entry[1]), int(entry[2])))


def said(word: Word) -> str:
    """Give a word as the copy has it, with the space that follows."""
    return word.copy + ("" if word.joined or not word.copy else " ")


def key_of(name: str, word: Word, words: list[Word]) -> Key:
    """Give the rows of the key for one word: text, line, word, original, copy, mechanism, letters."""
    rows: Key = []
    for mechanism, letters, span in word.changes:
        copy = word.copy
        if word.joined and mechanism == "division":
            copy += words[words.index(word) + 1].copy
        place = (name, str(word.line + 1), str(word.number))
        rows.append((*place, span or word.original, copy, mechanism, letters))
    return rows
