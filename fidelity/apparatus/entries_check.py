"""Turn what is in the texts of a dossier into rows: before anything is compared.

Arrives: a dossier read without fault. Leaves: rows. Start reading at ``check_facts``, which is all
that `fidelity check --json` prints.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from functools import cache

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_standing import standing_rows
from fidelity.apparatus.entries_texts import (
    letters_by_state_and_hand,
    names_of,
    set_aside,
    text_rows,
    texts_of,
)
from fidelity.dossier import Dossier, Passage
from fidelity.letters import decode, encode, is_punctuation
from fidelity.terms import LOST_LETTER, State, Witness
from fidelity.variants.number_notes import notes_on_numbers
from fidelity.witnesses.data import published_table

ORDINARY = 0x180  # Basic Latin, Latin-1 and Latin Extended-A end here (Unicode blocks): letters of any font

STATE_COLUMNS = tuple(state.name.lower() for state in State)
_TABLES = (  # the published tables, and their columns with letters in them
    ("letterforms.tsv", ("letter",)),
    ("folds.tsv", ("written", "stands_for")),
    ("letter_confusions.tsv", ("original", "misread")),
    ("spelling_conventions.tsv", ("original", "copy")),
)


def check_facts(dossier: Dossier) -> dict[str, object]:
    """Give everything that is known of the texts of a dossier before they are compared."""
    return {
        "texts": text_rows(dossier),
        "states": state_rows(dossier),
        "folds": fold_rows(dossier),
        "unknown_letters": unknown_rows(dossier),
        "set_aside": set_aside(dossier),
        "notes": notes_of(dossier),
        **({"decisions": standing_rows(dossier)} if dossier.decisions else {}),
    }


def notes_of(dossier: Dossier) -> list[str]:
    """Give what the user should know of a dossier before anything is compared."""
    return [*dossier.notes, *notes_on_numbers(dossier)]


def state_rows(dossier: Dossier) -> list[Row]:
    """Give name, pages, hands and passages of every text, and how many letters stand in each state."""
    passages = {one.id: one.passages for one in dossier.survivors}
    return [
        {
            "text": name,
            "role": role,
            "name": called,
            **_states(witness),
            "passages": tuple(
                passage_in_words(one, witness)
                for one in (passages.get(name, ()) if role == "original" else ())
            ),
        }
        for (name, role, witness), called in zip(texts_of(dossier), names_of(dossier), strict=True)
    ]


def passage_in_words(passage: Passage, original: Witness) -> str:
    """Say where a passage in another script or language stands, and in which it is.

    >>> text = Witness("E", "on\\nin", lines=(0, 3), labels=("1r:1", "1r:2"))
    >>> passage_in_words(Passage((1, 2), language="la"), text)
    'line 1r:2 (language la)'
    """
    first, last = passage.lines[0], passage.lines[1] - 1
    labels = dict.fromkeys((original.labels[first], original.labels[last]))
    all_of_it = first == 0 and last == len(original.lines) - 1
    where = [f"field {passage.field}"] if passage.field else []
    if not (passage.field and all_of_it):
        where.append(f"line{'s' if len(labels) > 1 else ''} {' to '.join(labels)}")
    values = (("script", passage.script), ("language", passage.language))
    return f"{', '.join(where)} ({', '.join(f'{name} {value}' for name, value in values if value)})"


def _states(witness: Witness) -> Row:
    """Count the letters (blanks and punctuation apart) of a text by state and by hand."""
    states: Counter[State] = Counter()
    hands: Counter[str] = Counter()
    for (state, hand), count in letters_by_state_and_hand(witness).items():
        states[state] += count
        hands[hand] += count
    return {
        "pages": len(set(filter(None, witness.pages))),
        "hands": tuple(f"{name} {hands[name]:,}" for name in witness.hand_names),
        **{state.name.lower(): states[state] for state in State},
    }


def fold_rows(dossier: Dossier) -> list[Row]:
    """Give the declared folds that occur in the texts: how often, and in which texts."""
    folds = dossier.folds
    declared = [*folds.letters.items(), *((sign, read) for sign, read in folds.expansions)]
    texts = [(name, witness.letters) for name, _, witness in texts_of(dossier)]
    rows: list[Row] = []
    for written, stands_for in dict.fromkeys(declared):
        found = {(at, name): text.count(written) for at, (name, text) in enumerate(texts)}
        count = sum(found.values())
        if count:
            where = tuple(dict.fromkeys(name for (_, name), times in found.items() if times))
            row: Row = {"written": decode(written), "stands_for": decode(stands_for), "count": count}
            rows.append(row | {"texts": where})
    return sorted(rows, key=lambda row: (-int(str(row["count"])), str(row["written"])))


def unknown_rows(dossier: Dossier) -> list[Row]:
    """Give the letters that no table knows, with the first place of each.

    Known are the letters of the published tables and of the declared folds, ordinary Latin letters,
    figures and punctuation; a letter with marks is known where it and its marks are.
    """
    known = known_signs() | _signs("".join((*dossier.folds.letters, *dossier.folds.letters.values())))
    known |= _signs("".join(side for pair in dossier.folds.expansions for side in pair))
    first: dict[str, str] = {}
    texts: dict[str, list[str]] = {}
    counts: Counter[str] = Counter()
    for name, _, witness in texts_of(dossier):
        for letter, count in Counter(witness.letters).items():
            if not _is_known(letter, known):
                counts[letter] += count
                texts.setdefault(letter, []).append(name)
                first.setdefault(letter, str(witness.locus(witness.letters.index(letter))))
    return [_unknown_row(letter, counts[letter], first[letter], texts[letter]) for letter in sorted(counts)]


def _unknown_row(letter: str, count: int, first: str, texts: list[str]) -> Row:
    shown = decode(letter)
    return {
        "letter": shown,
        "codepoints": " ".join(f"U+{ord(sign):04X}" for sign in shown),
        "unicode_name": " + ".join(unicodedata.name(sign, "no name") for sign in shown),
        "count": count,
        "first": first,
        "texts": tuple(dict.fromkeys(texts)),
    }


@cache
def known_signs() -> frozenset[str]:
    """Give the signs of all published tables, each letter parted from its marks."""
    return _signs(
        "".join(
            row[column]
            for name, columns in _TABLES
            for row in published_table(name, columns)
            for column in columns
        )
    )


def _signs(letters: str) -> frozenset[str]:
    return frozenset(unicodedata.normalize("NFD", decode(letters)))


def _is_known(letter: str, known: frozenset[str]) -> bool:
    """Tell whether a letter is ordinary or stands in a table, with all its marks."""
    if letter.isspace() or letter == LOST_LETTER or is_punctuation(letter):
        return True
    whole = decode(letter)
    if len(whole) == 1 and ord(whole) < ORDINARY:
        return True
    parts = unicodedata.normalize("NFD", whole)
    return encode(whole) in known or all(sign in known or ord(sign) < ORDINARY for sign in parts)
