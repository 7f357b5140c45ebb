"""Show on the screen everything known of one place.

Arrives: a ``PlaceFound``. Leaves: text that fits the screen. Start reading at ``place_screen``. The figures
are those of ``entries_place.py``, which JSON has too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from fidelity.apparatus.cautions import IN_ONE_LINE
from fidelity.apparatus.cells import Cell, Row
from fidelity.apparatus.entries_copies import copy_sentences
from fidelity.apparatus.entries_marks import mark_sentence
from fidelity.apparatus.entries_parallels import at_span
from fidelity.apparatus.entries_place import (
    decided_row,
    done_row,
    proposal_rows,
    rival_rows,
    rows_of_conjectures,
    step_rows,
)
from fidelity.apparatus.screen_hands import hands_at
from fidelity.apparatus.sentences import range_in_words, shown_letters
from fidelity.apparatus.tables import paragraphs, shown, titled

if TYPE_CHECKING:
    from fidelity.judge import Audit
    from fidelity.place import Done, PlaceFound
    from fidelity.terms.conjecture import JudgedUnit

_RIVALS = ("rank", "proposed", "said", "range", "tested", "steps", "sort")
_CONJECTURES = ("locus", "transmitted", "conjecture", "by", "said", "range", "rank", "of", "steps")
_PROPOSALS = ("reading", "transmitted", "proposed", "said", "range", "kind", "verdict")
_DONE = ("locus", "original", "copy", "phenomenon", "cause", "other_causes")
_STEPS = ("step", "count", "chances", "rate_per_1000", "low", "high")
LEFT_OUT = "(left out in the copy)"
NO_CHANCE = "there was no chance to see it"
HOW_TO_READ = (
    "Said: the probability that the original read so, given what the copy has; readings of one place are"
    " together at most 1. Range: the share that one more text may be expected to show right among the"
    " readings believed about as much in the blind test. Rank: among all readings of the place, those"
    " restorations counted in that were never judged for a proposal."
)
IN_SURVIVOR = (
    "What a difference is due to is the likeliest cause that fits, not a proof; the modern transcripts have"
    " their own errors, and these count as his."
)


def place_screen(found: PlaceFound, width: int) -> str:
    """Show everything known of one place."""
    parts = [_head(found, width)]
    if found.marks:
        parts.append(paragraphs([mark_sentence(one) for one in found.marks], width))
    if found.decisions:
        parts.append(paragraphs([_decided(decided_row(one)) for one in found.decisions], width))
    if found.copies:
        parts.append(paragraphs(copy_sentences(found.copies), width))
    if told := hands_at(found.candidates, found.layers):
        parts.append(paragraphs(told, width))
    if not found.lost:
        parts += [*_survivor(found, width), paragraphs([IN_SURVIVOR], width)]
        return "\n\n".join(parts)
    for unit in found.units:
        parts += _unit(unit, width)
    if rows := rows_of_conjectures(found.units, found.audit.dossier):
        parts.append("Conjectures\n\n" + "\n".join(line for row in rows for line in _conjecture(row, width)))
    if pairs := at_span(found.audit.parallels, found.place.text, found.place.span):
        parts.append("Pairs, totals and lists\n\n" + paragraphs(pairs, width))
    if found.silent:
        more = "1 more word" if found.silent == 1 else f"{found.silent} more words or stretches"
        parts.append(paragraphs([f"Of {more} of {found.place} there is nothing to tell."], width))
    notes = [f"Note: {note}" for note in found.audit.notes]
    parts.append(paragraphs([*notes, HOW_TO_READ, IN_ONE_LINE], width))
    return "\n\n".join(parts)


def conjectures_part(audit: Audit, width: int) -> list[str]:
    """Give what became of a dossier's conjectures as a part of the audit's screen; nothing if it has none."""
    told = rows_of_conjectures(audit.conjectures, audit.dossier)
    rows = [with_range(row) | {"conjecture": row["reading"]} for row in told]
    if not rows:
        return []
    title = "Conjectures of the dossier (why they are or are not proposed: conjectures.csv)"
    return [titled(title, _CONJECTURES, rows, width)]


def _head(found: PlaceFound, width: int) -> str:
    """Show the place with its lines."""
    room = max(len(label) for label, _ in found.lines)
    lines = [
        "\n".join(
            wrap(
                _fields(text),
                width,
                initial_indent=f"  {label:>{room}}  ",
                subsequent_indent=" " * (room + 4),
                break_long_words=False,
                break_on_hyphens=False,
            )
        )
        for label, text in found.lines
    ]
    title = paragraphs([f"{found.place}  {_fields(found.transmitted)}"], width)
    where = "his copy of a lost text" if found.lost else "the original, which survives"
    return "\n".join([title, "", f"In {where}:", *lines])


def _decided(row: Row) -> str:
    """Say what the editor decided of words here; an audit says whether it is still in force."""
    value = f" {row['value']}" if row["value"] else ""
    told = ", ".join(str(row[name]) for name in ("who", "when") if row[name])
    reason = f": {row['reason']}" if row["reason"] else ""
    return f"Decided of {row['locus']} {row['transmitted']}: {row['decision']}{value} ({told}){reason}."


def _fields(text: str) -> str:
    """Show the fields of an entry apart, without a tab."""
    return text.replace("\t", "  ")


def _unit(unit: JudgedUnit, width: int) -> Iterator[str]:
    """Show the readings of a unit, then what is known of each."""
    rows = [with_range(row) for row in rival_rows(unit)]
    title = f"{unit.locus}  {unit.transmitted}: readings, the most probable first, of {rows[0]['of']}"
    yield titled(title, _RIVALS, rows, width)
    if equal := {
        tuple(sorted((one.reading.proposed, *one.equals))): one for one in unit.rivals if one.equals
    }:
        named = "; ".join(", ".join(some) for some in equal)
        yield paragraphs([f"Equally probable, whatever their order: {named}."], width)
    if unit.note:
        yield paragraphs([unit.note], width)
    if unit.proposals:
        proposals = [with_range(row) for row in proposal_rows(unit.proposals)]
        yield titled("What the audit has here (readings.csv)", _PROPOSALS, proposals, width)
    told = [line for row in rows if row["sort"] != "transmitted" for line in _evidence(row, width)]
    if told:
        yield "\n".join(told)


def with_range(row: Row) -> Row:
    """Give a row with its range, and how the blind test came out, in words."""
    low, high = row["probability_low"], row["probability_high"]
    known = isinstance(low, float) and isinstance(high, float)
    tried, right = row.get("tried"), row.get("tried_right")
    return row | {
        "said": row["probability"],
        "range": range_in_words(low, high) if known else "",  # type: ignore[arg-type]
        "tested": f"{right} of {tried} right" if tried else "",
    }


def _evidence(row: Row, width: int) -> Iterator[str]:
    """Tell what speaks for a reading, and what against it."""
    also = " (a conjecture, see below)" if row["conjecture"] else ""
    yield from _hanging(f"{row['proposed']}{also}", row["evidence"], width, "needs ")
    for name, cell in (
        ("parallels", row["parallels"]),
        ("copied right", row["counterexamples"]),
        ("same rule elsewhere", row["same_rule_elsewhere"]),
        ("known beside the copy", row.get("beside", ())),
        ("why", () if row["conjecture"] else row["why"]),
        ("rank above it, never judged for a proposal", row["ranking_above_unjudged"]),
    ):
        if cell:
            yield from _hanging(f"  {name}", cell, width)


def _conjecture(row: Row, width: int) -> Iterator[str]:
    """Tell what became of a conjecture."""
    ranged = with_range(row)
    by = f" ({row['by']})" if row["by"] else ""
    said = f"said {shown(row['probability'])}" + (f", range {ranged['range']}" if ranged["range"] else "")
    text = f"{row['locus']} {row['transmitted']} → {row['reading']}{by}"
    yield from _hanging(text, f"rank {row['rank']} of {row['of']}, {said}", width)
    if row["judged_as"] != row["reading"]:
        yield from _hanging("  judged as", row["judged_as"], width)
    for name in ("evidence", "why", "note"):
        if row[name]:
            yield from _hanging(f"  {'needs' if name == 'evidence' else name}", row[name], width)


def _hanging(name: str, cell: Cell, width: int, before: str = "") -> Iterator[str]:
    """Give a name and what is said under it, wrapped, later lines set in."""
    text = shown(cell)
    if not text:
        yield name
        return
    indent = " " * (len(name) - len(name.lstrip()))
    yield from wrap(
        f"{name.strip()}: {before}{text}",
        width,
        initial_indent=indent,
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _survivor(found: PlaceFound, width: int) -> Iterator[str]:
    """Show what he did at a place of a survivor."""
    yield paragraphs(
        [f"Original: {_fields(found.transmitted)}", f"Copy: {_fields(found.copied) or LEFT_OUT}"], width
    )
    if not found.done:
        yield "He copied it without a difference that counts."
        return
    rows = [done_row(one) for one in found.done]
    yield titled("What happened", _DONE, rows, width)
    for one, row in zip(found.done, rows, strict=True):
        yield "\n".join(_details(one, row, width))


def _details(one: Done, row: Row, width: int) -> Iterator[str]:
    """Tell of one difference why it is taken so, and how often he did the same."""
    change = f"{shown_letters(one.variant.original)} → {shown_letters(one.variant.copy)}"
    yield from _hanging(f"{row['locus']} {change}", str(row["cause"]).replace("_", " "), width)
    steps: Sequence[Row] = step_rows(one)
    for step in steps:
        rate = NO_CHANCE
        if step["chances"]:
            rate = (
                f"{step['count']:,} of {step['chances']:,} chances ({shown(step['rate_per_1000'])} per 1,000,"
                f" {shown(step['low'])}-{shown(step['high'])})"
            )
        yield from _hanging(f"  {step['step']}, here and elsewhere", rate, width)
        if step["parallels"]:
            yield from _hanging("  also", step["parallels"], width)
        if step["counterexamples"]:
            yield from _hanging("  copied right", step["counterexamples"], width)
    alike = row["same_cause_elsewhere"]
    at = f": {shown(row['same_cause_at'])}" if alike else ""
    yield from _hanging("  the same cause elsewhere", f"{alike}{at}", width)
    for name in ("evidence", "set_aside", "or_else"):
        if row[name]:
            yield from _hanging(f"  {name.replace('_', ' ')}", row[name], width)
