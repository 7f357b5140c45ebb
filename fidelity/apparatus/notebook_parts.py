"""What a notebook shows of each record: titles, sentences, tables, in the order in which they are read.

Arrives: a record. Leaves: ``Part``s, which ``notebook.html.j2`` sets. Start reading at ``parts_of``. What
an audit and a blind test have to tell stands in ``notebook_results.py``.

The rows are those of the tables; a notebook shows the first of them, in the columns that are read first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fidelity.apparatus.cells import Row, significant
from fidelity.apparatus.notebook_alignment import FacingLine
from fidelity.apparatus.record_tables import ROWS_OF, records_listing
from fidelity.apparatus.sentences import believed, tested
from fidelity.apparatus.tables import heading, shown_in
from fidelity.letters import decode, encode
from fidelity.terms import DECIDED, Locus, ProposedReading, StepEvidence

MOST_ROWS = 20  # of several records; a cell of a notebook is not read further
MOST_COLUMNS = 8  # of a table for which nothing else is said: what a page of text is wide
MOST_LETTERS = 160  # of a cell: about three lines of it; the table has all
MOST_OF_SENTENCE = 600  # letters: about eight lines; a note names places, and these may be many

# The columns that are read first, by table.
FIRST_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "scores": ("text", "measure", "errors", "chances", "rate_per_1000", "low", "high"),
    "variants": ("locus", "original", "copy", "phenomenon", "cause", "original_words", "copy_words"),
    "confusions": ("original", "copy", "count", "chances", "rate_per_1000", "low", "high", "systematic"),
    "patterns": ("pattern", "phenomenon", "count", "rate_per_1000", "expected_in_lost", "example", "where"),
    "readings": ("locus", "transmitted", "proposed", "probability", "blind_test", "kind", "steps"),
    "transfer": ("text", "kind", "share", "example"),
    "imported": ("text", "witness", "verdict", "from", "to"),
    "attestation": ("locus", "reading", "witnesses", "independent_lines", "likelihood_ratio", "against"),
}

# Columns whose cells are words of the texts or quote their letters, beside those of letters alone: they too
# are to be set in fonts that have them.
QUOTING = frozenset(
    (
        *("original_word", "copy_word", "original_words", "copy_words", "third_words", "witness_words"),
        *("words", "word", "normalised", "passage", "usual", "mark"),
        *(
            "context",
            "example",
            "examples",
            "first",
            "attested",
            "reading",
            "alternatives",
            "undone",
            "value",
        ),
        *("witness_reading", "third_reading", "look_at", "wrong_at", "may_be", "moves_with", "or_else"),
        *("same_rule_elsewhere", "same", "where", "against", "after", "before", "pattern", "rule", "steps"),
        *(
            "step",
            "what",
            "folded",
            "own_habits",
            "evidence",
            "reasons",
            "why",
            "note",
            "account",
            "parallels",
        ),
    )
)


@dataclass(frozen=True)
class Part:
    """One part of what is shown.

    Attributes:
        kind: "title", "sentence", "table", "facts" (a name and a cell to the row), "facing" (original above
            copy) or "lines" (of a text, each cited).
        text: of a title or sentence, or what stands above a table.
        note: what is said of the rest, such as how much more there is.
        columns: of a table.
        rows: of a table.
        facts: name and cell, as shown.
        lines: of a text, with how each is cited; or an original above its copy.
        language: BCP 47 tag of the letters; "" where it is not known.
    """

    kind: str
    text: str = ""
    note: str = ""
    columns: tuple[str, ...] = ()
    rows: Sequence[Row] = ()
    facts: tuple[tuple[str, str], ...] = ()
    lines: Sequence[tuple[str, str] | FacingLine] = ()
    language: str = ""


def title(text: str) -> Part:
    """Say what is shown."""
    return Part("title", text)


def sentences(told: Sequence[str]) -> list[Part]:
    """Give sentences, each as a paragraph."""
    return [Part("sentence", in_short(one, MOST_OF_SENTENCE)) for one in told if one]


def table(text: str, columns: Sequence[str], rows: Sequence[Row], note: str = "") -> list[Part]:
    """Give a table; nothing where there are no rows."""
    return [Part("table", text, note, columns=tuple(columns), rows=rows)] if rows else []


def more_of(number: int, shown: int, how: str) -> str:
    """Say how many more there are than are shown, and how they are had.

    >>> more_of(214, 20, '.table("variants")'), more_of(3, 20, ".table()")
    ('194 more: .table("variants")', '')
    """
    return f"{number - shown:,} more: {how}" if number > shown else ""


def several(records: Sequence[object], how: str = ".table()", most: int = MOST_ROWS, text: str = "") -> Part:
    """Give several records of one kind as a table of the first of them."""
    if not records:
        return Part("sentence", f"{text}: none." if text else "None.")
    if type(records[0]) not in ROWS_OF:
        return Part("sentence", f"{len(records):,} of {type(records[0]).__name__}")
    first = records[:most]
    name = ROWS_OF[type(records[0])].table
    made = records_listing(first)
    columns = FIRST_COLUMNS.get(name, made.columns[:MOST_COLUMNS])
    rows = [row | _as_believed(one) for row, one in zip(made.rows, first, strict=True)]
    told = text or f"{name.replace('_', ' ').capitalize()}: {len(records):,}"
    return Part("table", told, more_of(len(records), len(first), how), columns=columns, rows=rows)


def _as_believed(record: object) -> Row:
    """Give the probability of a proposed reading as it may be shown, and how the blind test bears it out."""
    if not isinstance(record, ProposedReading):
        return {}
    if record.kind == DECIDED:
        return {"probability": "", "blind_test": f"decided: {record.decision}"}
    settled: Row = {} if record.is_proposal else {"proposed": "none settled"}
    return settled | {"probability": believed(record), "blind_test": tested(record)}


def facts_of(record: object) -> list[Part]:
    """Give one record that makes a row: each cell that holds something, by the name of its column."""
    row = ROWS_OF[type(record)].rows([record])[0]
    return [Part("facts", facts=named(row))]


def named(row: Row) -> tuple[tuple[str, str], ...]:
    """Give the cells of a row that hold something, as shown, by the names of their columns.

    >>> named({"locus": "E 4.2", "original": "", "cause": "eye_skip", "or_else": "", "count": 13})
    (('locus', 'E 4.2'), ('original', '∅'), ('cause', 'eye skip'), ('count', '13'))
    """
    told = ((heading(column), shown_in(column, cell)) for column, cell in row.items())
    return tuple((name, in_short(cell)) for name, cell in told if cell)


def in_short(text: str, most: int = MOST_LETTERS) -> str:
    """Cut what is longer than a cell should be, after whole letters; "…" says so.

    >>> len(in_short("æ" * 10_000)), in_short("stræte")
    (160, 'stræte')
    """
    if len(text) <= most:
        return text
    letters = encode(text)
    return text if len(letters) <= most else decode(letters[: most - 1]).rstrip() + "…"


def locus_parts(locus: Locus) -> list[Part]:
    """Cite a place."""
    return [Part("sentence", str(locus))]


def reading_parts(reading: ProposedReading) -> list[Part]:
    """Give a proposed reading beside the transmitted one, with what is known for it and against it."""
    row = ROWS_OF[ProposedReading].rows([reading])[0] | _as_believed(reading)
    beside = ("transmitted", "proposed", "probability", "blind_test", "kind", "verdict")
    known: Row = {
        "stands in": reading.context if reading.context != reading.transmitted else "",
        "words around": reading.passage,
        "rivals": tuple((text, round(p, 3)) for text, p in reading.alternatives),
        "same rule elsewhere": reading.same_rule_elsewhere,
        "note": row["note"],
        "decision": reading.decision,
    }
    columns = ("step", "count", "chances", "rate_per_1000", "low", "high", "parallels", "copied right")
    return [
        title(f"{reading.locus}, a proposed reading"),
        *table("What the copy has, and what the original may have had", beside, [row]),
        *table("What it rests on", columns, [_step(one) for one in reading.evidence]),
        Part("facts", facts=named(known)),
        Part("sentence", "It is proposed, for the editor to judge."),
    ]


def _step(one: StepEvidence) -> Row:
    """Give how often he did one operation, where, and where he copied the same letters right."""
    known = one.chances > 0
    rates = (one.count / one.chances, one.low, one.high) if known else ()
    limits = dict(zip(("rate_per_1000", "low", "high"), (significant(1000 * x) for x in rates), strict=False))
    return {
        "step": one.step,
        "count": one.count,
        "chances": one.chances,
        **(limits or dict.fromkeys(("rate_per_1000", "low", "high"))),
        "parallels": one.parallels,
        "copied right": one.counterexamples,
    }
