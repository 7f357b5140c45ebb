"""What a notebook shows of texts: of a witness, of a dossier, of an original above its copy.

Arrives: a record of texts. Leaves: ``Part``s. Start reading at ``alignment_parts``.
"""

from __future__ import annotations

from fidelity.apparatus.aligned_columns import AWAY, DIVIDED, HERE, LEFT_OUT, OTHER, PUT_IN
from fidelity.apparatus.entries_check import notes_of
from fidelity.apparatus.entries_texts import text_rows
from fidelity.apparatus.notebook_alignment import facing_lines
from fidelity.apparatus.notebook_parts import (
    MOST_ROWS,
    Part,
    in_short,
    more_of,
    sentences,
    table,
    title,
)
from fidelity.apparatus.side_by_side import LEGEND, LEGEND_MOVED, is_alike
from fidelity.dossier import Dossier
from fidelity.terms import Alignment, Witness

MOST_TEXT_LINES = 12  # of a witness; the witness has them all
MOST_NOTES = 5  # of a dossier; all of them are in ``notes``
WIDE = "words are parted where the gap is wide"  # within a word the wider of two answers makes a narrow one
_SIGNS = {sign: told for told in (*LEGEND, *LEGEND_MOVED) for sign in told[0]}
_TEXTS = ("text", "role", "letters", "punctuation", "words", "lines", "pages", "script", "language")


def alignment_parts(alignment: Alignment) -> list[Part]:
    """Give the first lines of an original with the copy below them, a sign wherever they differ."""
    siglum = alignment.original.siglum  # in a dossier that of both
    whose = f"{siglum}: the" if siglum == alignment.copy.siglum != "" else "The"
    names = f"{whose} original above the copy"
    if is_alike(alignment):
        return [title(names), Part("sentence", "There is no difference.")]
    lines, more = facing_lines(alignment)
    used = {piece.sign for line in lines for word in line.words for piece in word}
    legend = [_SIGNS[sign] for sign in (OTHER, LEFT_OUT, PUT_IN, DIVIDED, AWAY, HERE) if sign in used]
    rest = f'{more:,} more lines with a difference: .table("steps") has every step' if more else ""
    return [
        title(names),
        Part("sentence", "; ".join([*legend, "∅ nothing", "␣ a blank", "… the same in both", WIDE]) + "."),
        Part("facing", lines=lines, note=rest, language=alignment.original.language),
    ]


def witness_parts(witness: Witness) -> list[Part]:
    """Give the first lines of a text as they were transcribed, each with its place."""
    told = [f"{len(witness.lines):,} lines, {len(witness):,} letters with blanks", witness.script]
    first = range(min(len(witness.lines), MOST_TEXT_LINES))
    return [
        title(f"{witness.siglum}: {', '.join(filter(None, told))}"),
        Part(
            "lines",
            lines=[(witness.labels[line], in_short(witness.text_of_line(line))) for line in first],
            note=f"{len(witness.lines) - len(first):,} more lines" if len(witness.lines) > len(first) else "",
            language=witness.language,
        ),
    ]


def dossier_parts(dossier: Dossier) -> list[Part]:
    """Give the texts of a dossier with their size, and what is to be known of it."""
    rows = text_rows(dossier)
    columns = tuple(name for name in _TEXTS if name in rows[0]) if rows else ()
    dates = f" ({dossier.copyist_dates})" if dossier.copyist_dates else ""
    notes = notes_of(dossier)
    return [
        title(f"The dossier of {dossier.copyist_name or 'a copyist'}{dates}"),
        *table("Texts", columns, rows[:MOST_ROWS], more_of(len(rows), MOST_ROWS, '.table("texts")')),
        *sentences(notes[:MOST_NOTES]),
        *sentences([more_of(len(notes), MOST_NOTES, ".notes")]),
    ]
