"""Fill in the templates of a page, so that no letter of a text is ever taken for markup.

Arrives: the name of a template and what it shows. Leaves: a finished page that loads nothing. Start
reading at ``framed``.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from fidelity.apparatus.addresses import Places
from fidelity.apparatus.cells import Cell, Row
from fidelity.apparatus.code_points import with_code_points
from fidelity.apparatus.font import FAMILIES, embedded_fonts
from fidelity.apparatus.lost_entries import Entry
from fidelity.apparatus.tables import LETTER_COLUMNS, heading, shown, shown_in
from fidelity.dossier.images import may_be_linked
from fidelity.terms import LOST_LETTER

FOLD_FROM = 60  # rows; a longer table is folded, so that the page can be leafed through
OPEN_UNTIL = 300  # proposals of a text; on paper the evidence of ten fills about two sheets
WIDE_FROM = 10  # columns; on A4 in the type of the other tables no more than these find room
PRINT_UNTIL = 500  # rows; some ten sheets. A longer table that is folded is not printed, and says so
SORT_FROM = 8  # rows; a shorter table is seen at a glance
# Columns whose cells cite places, and columns that hold words of the texts.
PLACE_COLUMNS = frozenset(("locus", "where", "parallels", "counterexamples", "wrong_at", "look_at"))
WORD_COLUMNS = frozenset(
    ("passage", "original_words", "copy_words", "example", "words", "word", "context", "attested", "first")
)
_FORMS = {"possible": "possible", "suspect": "suspect", "decided": "decided by the editor"}
FIGURE = " as a figure"  # ends the name of a cell by which another one is sorted
_TAG, _NO_TAG = Markup(' lang="{}"'), Markup("")
# After the page's own letters: what most machines have (CSS Fonts 4, section 2.1).
_FONTS = Markup(f'{FAMILIES}, Georgia, "Liberation Serif", "DejaVu Serif", serif')  # noqa: S704 -- names of ours
# A lost letter is shown by a circle of dots: an empty box would look like a letter without a font.
_SEEN = str.maketrans({LOST_LETTER: "◌"})
_LETTERS_STAND_HERE = "<style>\n/* the letters */"  # no text of a dossier can hold that: "<" is escaped


def framed(
    template: str,
    content: Mapping[str, object],
    places: Places | None = None,
    lost: Places | None = None,
    languages: Mapping[str, str] | None = None,
) -> str:
    """Give a finished page.

    Args:
        template: its name.
        content: what it shows.
        places: the places that stand on the page.
        lost: those of them that are in lost texts.
        languages: BCP 47 tag of each text's words, by its id.
    """
    script = files("fidelity.apparatus").joinpath("reader.js").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    environment = page_environment(places or Places(), lost or Places(), languages or {})
    frame = {"script": Markup(script), "script_digest": f"sha256-{digest}"}  # noqa: S704 -- our own file
    made = with_code_points(environment.get_template(template).render({**content, **frame}).translate(_SEEN))
    return made.replace(_LETTERS_STAND_HERE, f"<style>\n{embedded_fonts(made)}", 1)


def page_environment(places: Places, lost: Places, languages: Mapping[str, str]) -> Environment:
    """Give what fills in the templates: every letter escaped, nothing undefined."""
    environment = Environment(
        loader=PackageLoader("fidelity", "apparatus"),
        autoescape=True,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    environment.filters |= {
        "heading": heading,
        "shown": shown,
        "may_be_linked": may_be_linked,
        "shown_in": lambda cell, column: shown_in(column, cell),
        "cited_in": _cited_in(places, lost),
        "links": lambda cited: Markup("; ").join(map(places.link, cited)),
        "lang": _lang,
        "tagged": lambda row, column: _tagged(row, column, languages),
        "sorted_by": _sorted_by,
        "capitalised": _capitalised,
        "in_a_word": _in_a_word,
    }
    environment.globals |= {
        "cell_classes": _cell_classes,
        "fold_from": FOLD_FROM,
        "sort_from": SORT_FROM,
        "print_until": PRINT_UNTIL,
        "wide_from": WIDE_FROM,
        "open_until": OPEN_UNTIL,
        "fonts": _FONTS,
        "style_begins": Markup(_LETTERS_STAND_HERE),  # noqa: S704 -- ours
    }
    return environment


def _cited_in(places: Places, lost: Places) -> Callable[[Cell, str, bool], Markup]:
    """Give what sets a cell: places in it become links, of places in copies only those of lost texts."""

    def cell_of(cell: Cell, column: str, in_copy: bool) -> Markup:
        known = lost if in_copy else places
        if column not in PLACE_COLUMNS or not cell:
            return escape(shown_in(column, cell))
        items: Iterable[object] = cell if isinstance(cell, tuple) else (cell,)
        return Markup("; ").join(
            known.link(shown((item,)) if isinstance(item, str) else "") for item in items
        )

    return cell_of


def _lang(language: str) -> Markup:
    """Give the tag of a passage's language; nothing where it is not known."""
    return _TAG.format(language) if language else _NO_TAG


def _tagged(row: Row, column: str, languages: Mapping[str, str]) -> Markup:
    """Give the tag of a cell's language, where it holds words of one text."""
    if column not in LETTER_COLUMNS and column not in WORD_COLUMNS:
        return _NO_TAG
    return _lang(languages.get(str(row.get("text", "")), ""))


def _sorted_by(row: Row, column: str) -> Markup:
    """Give by which figure a cell is to be sorted that shows a range, or words."""
    figure = row.get(f"{column}{FIGURE}")
    return Markup(' data-by="{}"').format(figure) if isinstance(figure, float) else _NO_TAG


def _capitalised(told: str) -> str:
    """Begin a sentence; words that a text or a name begins with stay as they are."""
    return told[:1].upper() + told[1:] if told[:1].isascii() else told


def _in_a_word(entry: Entry) -> str:
    """Say in a few words what stands beside a line, for those who do not open it."""
    if not entry.is_reading:
        return f"{entry.verdict}, {entry.probability.split(' (')[0]}"
    parts = [entry.probability, entry.kind, _FORMS.get(entry.form, ""), entry.partner, entry.witnesses]
    return ", ".join(filter(None, parts))


def _cell_classes(columns: Sequence[str], rows: Sequence[Row]) -> dict[str, str]:
    """Give how the cells of each column are set: as numbers, as letters or words of the texts, or plainly."""
    return {column: _cell_class(column, rows) for column in columns}


def _cell_class(column: str, rows: Sequence[Row]) -> str:
    cells = [row[column] for row in rows if row[column] is not None]
    if cells and all(isinstance(cell, (int, float)) and not isinstance(cell, bool) for cell in cells):
        return "number"
    return "letters" if column in LETTER_COLUMNS else "words" if column in WORD_COLUMNS else ""
