"""Turn the texts of a dossier, and what was changed in one, into rows.

Arrives: a dossier, or the changes made by applying proposals. Leaves: rows. Start reading at
``text_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import Row, significant
from fidelity.dossier import Dossier
from fidelity.terms import LOST_LETTER, Witness

if TYPE_CHECKING:  # not needed to compare two texts, and slow to import
    from fidelity.readings.apply import Change

CHANGE_COLUMNS = ("reading", "text", "locus", "transmitted", "proposed", "probability")


def change_rows(changes: Sequence[Change]) -> list[Row]:
    """Give what was changed when proposals were applied."""
    return [
        {
            "reading": change.reading,
            "text": change.locus.text,
            "locus": str(change.locus),
            "transmitted": change.transmitted,
            "proposed": change.proposed,
            "probability": significant(change.probability),
        }
        for change in changes
    ]


def texts_of(dossier: Dossier) -> list[tuple[str, str, Witness]]:
    """Give every text of a dossier: its name, what it is there for, and itself."""
    texts = [
        (one.id, role, witness)
        for one in dossier.survivors
        for role, witness in (("original", one.original), ("copy", one.copy))
    ]
    texts += [(one.id, "copy of a lost original", one.copy) for one in dossier.lost]
    texts += [(one.witness.siglum, f"witness of {one.of}", one.witness) for one in dossier.witnesses]
    return texts + [(one.siglum, "reference", one) for one in dossier.references]


def text_rows(dossier: Dossier) -> list[Row]:
    """Give the size of every text of a dossier, and what it is there for."""
    return [{"text": name, "role": role, **_size(witness)} for name, role, witness in texts_of(dossier)]


def set_aside(dossier: Dossier) -> list[dict[str, object]]:
    """Give, for each surviving original, how many letters are no evidence, and why.

    A letter that is both marked and in another hand is counted under both reasons and once in all.
    """
    found: list[dict[str, object]] = []
    for one in dossier.survivors:
        original = one.original
        aside = _set_aside(original)
        states = Counter(original.state(at) for at in aside)
        states = Counter(
            {each: n for each, n in states.items() if each and each not in original.trusted_states}
        )
        hands = Counter(original.hand(at) for at in aside if original.hand(at) != original.hand_names[0])
        by_state = {each.name.lower(): count for each, count in sorted(states.items())}
        found.append(
            {
                "text": one.id,
                "letters": len(aside),
                "by_state": by_state,
                "by_hand": dict(sorted(hands.items())),
            }
        )
    return found


def set_aside_sentence(dossier: Dossier) -> str:
    """Say how many letters of the originals are no evidence, and why; "" where there are none."""
    states: Counter[str] = Counter()
    letters = hands = 0
    for one in dossier.survivors:
        aside = _set_aside(one.original)
        letters += len(aside)
        named = (one.original.state(at) for at in aside)
        states.update(each.name.lower() for each in named if each and each not in one.original.trusted_states)
        hands += sum(one.original.hand(at) != one.original.hand_names[0] for at in aside)
    if not letters:
        return ""
    why = [f"{count:,} {name}" for name, count in states.items()] + (
        [f"{hands:,} in another hand"] if hands else []
    )
    reasons = ", ".join(why)
    return f"Set aside in the originals, as no evidence of how he copied: {letters:,} letters ({reasons})."


def _set_aside(original: Witness) -> list[int]:
    """Give the offsets of letters, spaces apart, that are no evidence."""
    if not original.states and not original.hands:
        return []
    return [
        at
        for at, letter in enumerate(original.letters)
        if not letter.isspace() and not original.is_evidence(at, at + 1)
    ]


def _size(witness: Witness) -> Row:
    """Count letters (spaces and lost letters apart), words and lines of a text."""
    words = witness.letters.split()
    letters = sum(map(len, words)) - witness.letters.count(LOST_LETTER)
    return {
        "letters": letters,
        "words": len(words),
        "lines": len(witness.lines),
        "script": witness.script,
        "language": witness.language,
        "file": witness.file,
    }
