"""Put on a terminal what is in the texts of a dossier.

Arrives: a dossier read without fault. Leaves: text to be printed. Start reading at ``check_screen``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_check import fold_rows, notes_of, state_rows, unknown_rows
from fidelity.apparatus.entries_standing import standing_sentences
from fidelity.apparatus.entries_texts import set_aside_sentence, state_in_words, text_rows
from fidelity.apparatus.tables import paragraphs, titled
from fidelity.dossier import Dossier
from fidelity.terms import State

_SIZES = ("text", "role", "letters", "punctuation", "words", "lines", "pages")
_FOLDS = ("written", "stands_for", "count", "texts")
_UNKNOWN = ("letter", "codepoints", "unicode_name", "count", "first", "texts")
_INDENT = "    "  # of what is said of a text under its name


def check_screen(
    dossier: Dossier, width: int, rewritten: Sequence[Path] = (), how: Sequence[str] = ()
) -> str:
    """Show what is in a dossier that was read without fault.

    Args:
        dossier: the dossier.
        width: of the screen, in letters.
        rewritten: the files to which its texts were written back.
        how: what is to be said of these files.
    """
    unknown = unknown_rows(dossier)
    aside, decided = set_aside_sentence(dossier), standing_sentences(dossier)
    notes = notes_of(dossier)
    texts: list[Row] = [
        size | states for size, states in zip(text_rows(dossier), state_rows(dossier), strict=True)
    ]
    described = "\n".join(line for row in texts for line in _described(row, width))
    parts = [
        titled("Nothing is wrong with the dossier. Its texts", _SIZES, texts, width),
        f"Files, hands, and in what state the letters stand\n\n{described}",
        *([paragraphs([aside], width)] if aside else []),
        titled("Declared folds that occur", _FOLDS, fold_rows(dossier), width),
        *([titled("Letters that no table knows", _UNKNOWN, unknown, width)] if unknown else []),
        *([paragraphs([f"Note: {note}" for note in notes], width)] if notes else []),
        *([paragraphs([f"Note: {one}" for one in decided], width)] if decided else []),
        *(["Written back, and read the same again:\n" + "\n".join(map(str, rewritten))] if rewritten else []),
        *([paragraphs(how, width)] if how else []),
    ]
    return "\n\n".join(parts)


def _described(row: Row, width: int) -> Iterator[str]:
    """Say of a text what it is, where it was read from, by whom it is written, its state and passages."""
    about = ", ".join(f"{key} {row[key]}" for key in ("script", "language") if row[key])
    called = f"{row['name']}, " if row["name"] else ""
    name = f"{row['text']} {row['role']}: {called}{row['file']}" + (f" ({about})" if about else "")
    hands = row["hands"] if isinstance(row["hands"], tuple) else ()
    states = [state_in_words(state, _number(row, state)) for state in State if _number(row, state)]
    said = [", ".join(states) or "no letters"]
    if _number(row, State.CLEAR) and len(states) == 1:
        name, said = f"{name}, all clear", []
    if len(hands) > 1:
        said.append("hands: " + ", ".join(map(str, hands)))
    passages = row["passages"] if isinstance(row["passages"], tuple) else ()
    if passages:
        said.append("passages: " + "; ".join(map(str, passages)))
    yield from wrap(name, width, subsequent_indent=_INDENT, break_long_words=False, break_on_hyphens=False)
    for line in said:
        yield from wrap(line, width, initial_indent=_INDENT, subsequent_indent=_INDENT * 2)


def _number(row: Row, state: State) -> int:
    """Give how many letters of a text stand in a state."""
    return int(str(row[state.name.lower()]))
