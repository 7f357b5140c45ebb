"""Invented texts in the manner of Old English, as manuscript lines.

Arrives: the tables beside this file in ``source/`` (words, endings, sentence patterns) and a text's
kinds of sentence with their shares. Leaves: lines in the letters and the spelling of the originals.
Start reading at ``Composer.lines``.

The words are dictionary words, inflected by simple paradigms and set into patterns; nothing is
quoted, and no specialist has checked the language.
"""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from random import Random

SOURCE = Path(__file__).resolve().parent / "source"

LINE_WIDTHS = (53, 70)  # letters; a new limit is drawn for each line
RANK_SHIFT = 4  # the larger, the more even the words' frequencies
GLOSSES = 250
ETH_INSIDE, ETH_LAST, SIGN_FOR_THAET = 0.6, 0.25, 0.85  # shares, the originals' spelling
VERB_FORMS = ("inf", "imp", "3", "1", "pt", "pp")
NUMERALS = (
    *(".ii. twa", ".iii. þreo", ".iiii. feower", ".u. fif", ".ui. syx", ".uii. seofon"),
    *(".uiii. eahta", ".uiiii. nigon", ".x. tyn", ".xii. twelf", ".xu. fiftyne"),
)
INSULAR = dict(zip("dfgrstw", "ꝺꝼᵹꞃꞅꞇƿ", strict=True))


@dataclass(frozen=True)
class Text:
    """One text to be made: its id, its kinds of sentence with their shares, and its length."""

    name: str
    genres: dict[str, int]
    lines: int
    only: str = ""


def read_table(name: str) -> list[dict[str, str]]:
    """Read one of the source tables, row by row."""
    with (SOURCE / f"{name}.tsv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))


WORDS = read_table("words")
ENDINGS = {(row["class"], row["gender"]): row for row in read_table("endings")}
GENDERS = {kind: gender for kind, gender in ENDINGS if kind not in ("strong", "weak", "the")}


def inflect(word: str, kind: str, gender: str, case: str) -> str:
    """Decline a word: its stem ("beorh/beorg", third stem for the plural) with the ending.

    >>> inflect("beorh/beorg", "m", "m", "d"), inflect("wilde", "weak", "m", "a")
    ('beorge', 'wildan')
    """
    endings = ENDINGS[kind, gender]
    ending = endings[case]
    stems = [stem.removesuffix(endings["n"]) if endings["n"] else stem for stem in word.split("/")]
    if kind in ("strong", "weak") and word.endswith("e"):
        stems, ending = [word[:-1]], ending or "e"
    if not ending or ending[0] not in "aeiouæy":
        return stems[0] + ending
    return stems[min(len(stems) - 1, 2 if case in "NAGD" else 1)] + ending


class Composer:
    """Puts sentences together from patterns and words, each by its share.

    Args:
        text: what is to be made.
        rng: the source of chance.

    """

    def __init__(self, text: Text, rng: Random) -> None:
        self.text, self.rng = text, rng
        self.used: list[str] = []
        self.pools: dict[str, list[dict[str, str]]] = defaultdict(list)
        for row in WORDS:
            if row["only"] in ("all", text.only):
                self.pools[row["pool"]].append(row)
        self.patterns: dict[str, list[str]] = defaultdict(list)
        for row in read_table("templates"):
            self.patterns[row["genre"]].append(row["template"])

    def pick(self, pool: str) -> dict[str, str]:
        """Draw a word; earlier ones in the table are commoner, about as 1 / rank (Zipf 1949)."""
        words = [row for row in self.pools[pool] if row["word"] not in self.used] or self.pools[pool]
        chosen = self.rng.choices(words, [1 / (rank + RANK_SHIFT) for rank in range(len(words))])[0]
        self.used.append(chosen["word"])  # no word comes twice in a sentence
        return chosen

    def noun(self, pool: str, case: str, *, the: bool, adjective: bool) -> str:
        """Give a noun in its case, with article and adjective in agreement."""
        if pool in ("name", "place"):
            head, tail = self.pick(f"{pool}head"), self.pick(f"{pool}tail")
            return head["word"] + inflect(tail["word"], tail["class"], GENDERS[tail["class"]], case)
        row = self.pick(pool)
        gender = GENDERS[row["class"]]
        before = [ENDINGS["the", gender][case]] if the else []
        if adjective:
            before.append(inflect(self.pick("adj")["word"], "weak" if the else "strong", gender, case))
        return " ".join([*before, inflect(row["word"], row["class"], gender, case)])

    def slot(self, found: re.Match[str]) -> str:
        """Fill one slot: ``{the adj land a}``, ``{prep imp}``, ``{name g}``, ``{num}``."""
        *front, last = found.group(1).split()
        if not front:
            return self.rng.choice(NUMERALS)
        pool = front[-1]
        if last in VERB_FORMS:
            return self.pick(pool)["word"].split()[VERB_FORMS.index(last)]
        if pool == "adj":
            return inflect(self.pick("adj")["word"], "strong", "m", last)
        return self.noun(pool, last, the="the" in front, adjective="adj" in front)

    def sentence(self) -> str:
        """Make one sentence in roman letters."""
        self.used = []
        genre = self.rng.choices(list(self.text.genres), list(self.text.genres.values()))[0]
        pattern = self.rng.choice(self.patterns[genre])
        pattern = re.sub(r"\(([^)]*)\)", lambda found: self.rng.choice(found.group(1).split("|")), pattern)
        return re.sub(r"\{([^}]*)\}", self.slot, pattern)

    def lines(self) -> list[str]:
        """Write sentences out as manuscript lines, in the originals' letters and spelling."""
        done: list[str] = []
        line, width = "", self.rng.randint(*LINE_WIDTHS)
        while len(done) < self.text.lines:
            for word in self.sentence().split():
                spelled = spell(word, self.rng)
                if line and len(line) + 1 + len(spelled) > width:
                    done.append(line)
                    line, width = "", self.rng.randint(*LINE_WIDTHS)
                line = f"{line} {spelled}" if line else spelled
        return done[: self.text.lines]


def spell(word: str, rng: Random) -> str:
    """Spell a word as the scribes of the originals do: insular letters, ð and þ, the ꝥ sign."""
    if word == "þæt" and rng.random() < SIGN_FOR_THAET:
        return "ꝥ"
    end = len(word.rstrip("."))
    letters = []
    for place, letter in enumerate(word):
        share = ETH_LAST if place == end - 1 else ETH_INSIDE
        crossed = letter == "þ" and place > 0 and rng.random() < share
        letters.append("ð" if crossed else INSULAR.get(letter, letter))
    return "".join(letters)


def glossary(rng: Random) -> list[str]:
    """Make a glossary leaf: Latin word, tab, English word, in the order of the alphabet."""
    known = [row for row in WORDS if row["latin"] != "-" and row["only"] == "all"]
    chosen = sorted(rng.sample(known, GLOSSES), key=lambda row: row["latin"])
    return [f"{row['latin']}\t{spell(row['word'].split('/')[0], rng)}" for row in chosen]
