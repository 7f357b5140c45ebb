"""Read which signs of a copyist's are marks: the table [his_marks] of a dossier.

Arrives: the checked entry. Leaves: ``HisMarks``, and the faults. Start reading at ``his_marks_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from fidelity.dossier.places import Spot
from fidelity.letters import encode
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import HisMarks, signs_met

if TYPE_CHECKING:
    from fidelity.dossier.form import Entry
    from fidelity.dossier.texts import DossierTexts

TABLE = "his_marks"
LISTS = (
    "letter_unread",
    "some_unread",
    "doubtful",
    "vouched",
    "line_doubtful",
)  # in which each sign stands once
_ON_WORDS = ("doubtful", "vouched")


def his_marks_of(entries: Sequence[Entry], texts: DossierTexts) -> HisMarks:
    """Give the signs that the dossier declares; what cannot be meant is a fault."""
    values = entries[0].values if entries else {}
    first: dict[str, str] = {}
    for key in LISTS:
        for at, sign in enumerate(values.get(key, [])):
            spot = Spot(TABLE, 0, key, at)
            if sign in first:
                texts.fault(spot, f"{sign} stands under {first[sign]} already", "let it mean one thing")
            first.setdefault(sign, key)
            if sign != sign.strip():
                texts.fault(spot, f"the sign “{sign}” has blanks around it", f"write “{sign.strip()}”")
            elif key == "letter_unread" and len(encode(sign)) > 1:
                remedy = "give one letter, such as “.”; what stands for any number goes under some_unread"
                texts.fault(spot, f"{sign} is more than one letter", remedy)
    known = [sign for key in _ON_WORDS for sign in values.get(key, [])]
    for at, sign in enumerate(values.get("stands_before", [])):
        if sign not in known:
            told = ", ".join(known) or "none"
            what = f"{sign} is neither under doubtful nor under vouched"
            texts.fault(Spot(TABLE, 0, "stands_before", at), what, f"signs on words: {told}")

    def signs(key: str) -> tuple[str, ...]:
        return tuple(values.get(key, ()))

    return HisMarks(
        letter_unread=signs("letter_unread"),
        some_unread=signs("some_unread"),
        blanks=bool(values.get("blanks")),
        doubtful=signs("doubtful"),
        vouched=signs("vouched"),
        line_doubtful=signs("line_doubtful"),
        stands_before=signs("stands_before"),
        unclear=bool(values.get("unclear")),
    )


def notes_on(marks: HisMarks, copies: Sequence[Witness]) -> Iterator[str]:
    """Say which of his signs stand in no copy."""
    met = signs_met(copies)
    runs = {letter for sign in met for letter in sign}
    for key in LISTS:
        for sign in getattr(marks, key):
            if encode(sign) not in (runs if key == "letter_unread" else met):
                yield f"[{TABLE}]: the sign {sign} ({key}) stands in none of his copies"
    if marks.blanks and not any(sign.isspace() for sign in met):
        yield f"[{TABLE}]: no two blanks stand together in his copies"
    if marks.unclear and "" not in met:
        yield f"[{TABLE}]: no letter is marked as unclear in his copies"
