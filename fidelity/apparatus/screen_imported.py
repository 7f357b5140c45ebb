"""Put what the copies have from other witnesses on a terminal.

Arrives: what was found of each text and witness. Leaves: text to be printed. Start reading at
``imported_screen``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.entries_imported import CAUTION, imported_place_rows, imported_rows, sentence
from fidelity.apparatus.tables import paragraphs, shown, titled
from fidelity.terms.imported import Imported, Verdict

COLUMNS = (
    "locus",
    "copy",
    "witness_words",
    "third",
    "third_words",
    "shared",
    "weight",
    "class",
    "in_stretch",
)
NO_WITNESS = (
    "The dossier names no other witness ([[witness]]) of any of its texts: there is nothing from which a"
    " stretch could be shown to come."
)


def imported_screen(found: Sequence[Imported], width: int) -> str:
    """Show for each text and witness the verdict, its grounds, and every place that is proved.

    Args:
        found: what was found.
        width: of the screen, in letters.
    """
    if not found:
        return paragraphs([NO_WITNESS], width)
    parts = [part for one in found for part in _parts(one, width)]
    return "\n\n".join([*parts, paragraphs([CAUTION], width)])


def _parts(one: Imported, width: int) -> list[str]:
    """Give the verdict in a paragraph and the places as a table."""
    row = imported_rows([one])[0]
    told = [sentence(one)]
    if one.verdict is Verdict.IMPORTED:
        told.append(f"Against it: {shown(row['against']) or 'nothing'}.")
        if one.own_habits:
            told.append(f"His own slips go on inside and prove nothing: {'; '.join(one.own_habits)}.")
    places = [place for place in imported_place_rows([one]) if place["proved"] == "yes"]
    parts = [paragraphs(told, width)]
    if places:
        title = f"Readings of {one.siglum} alone, in the order of {one.text}"
        parts.append(titled(title, COLUMNS, places, width))
    return parts
