"""Put on a terminal what is in the texts of a dossier.

Arrives: a dossier read without fault. Leaves: text to be printed. Start reading at ``check_screen``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fidelity.apparatus.entries_check import STATE_COLUMNS, fold_rows, state_rows, unknown_rows
from fidelity.apparatus.entries_texts import set_aside_sentence, text_rows
from fidelity.apparatus.screen import paragraphs, titled
from fidelity.dossier import Dossier

_TEXTS = ("text", "role", "letters", "words", "lines", "script", "language", "file")
_STATES = ("text", "role", "pages", "hands", *STATE_COLUMNS)
_FOLDS = ("written", "stands_for", "count", "texts")
_UNKNOWN = ("letter", "codepoints", "unicode_name", "count", "first", "texts")


def check_screen(dossier: Dossier, width: int, rewritten: Sequence[Path] = ()) -> str:
    """Show what is in a dossier that was read without fault.

    Args:
        dossier: the dossier.
        width: of the screen, in letters.
        rewritten: the files to which its texts were written back.
    """
    unknown = unknown_rows(dossier)
    aside = set_aside_sentence(dossier)
    parts = [
        titled("Nothing is wrong with the dossier. Its texts", _TEXTS, text_rows(dossier), width),
        titled("Pages, hands, and in what state the letters stand", _STATES, state_rows(dossier), width),
        *([paragraphs([aside], width)] if aside else []),
        titled("Declared folds that occur", _FOLDS, fold_rows(dossier), width),
        *([titled("Letters that no table knows", _UNKNOWN, unknown, width)] if unknown else []),
        *([paragraphs(dossier.notes, width)] if dossier.notes else []),
        *(["Written back, and read the same again:\n" + "\n".join(map(str, rewritten))] if rewritten else []),
    ]
    return "\n\n".join(parts)
