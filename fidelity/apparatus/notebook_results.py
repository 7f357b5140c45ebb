"""What a notebook shows of a whole run, of a blind test, of one place, of one rule, of a table of sources.

Arrives: the record that a function of the package gives back. Leaves: ``Part``s. Start reading at
``audit_parts``.
"""

from __future__ import annotations

from fidelity.apparatus.accounts import parallels, where
from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries import TABLES, score_card
from fidelity.apparatus.entries_attestation import shown_rows
from fidelity.apparatus.entries_decisions import decision_row
from fidelity.apparatus.entries_imported import sentence
from fidelity.apparatus.entries_place import done_row, rival_rows
from fidelity.apparatus.entries_trial import TRIAL_TABLES, level_rows, mistake_rows
from fidelity.apparatus.hands_in_words import hands_sentences
from fidelity.apparatus.notebook_parts import (
    MOST_COLUMNS,
    MOST_ROWS,
    Part,
    facts_of,
    in_short,
    more_of,
    named,
    sentences,
    several,
    table,
    title,
)
from fidelity.apparatus.record_tables import listing
from fidelity.apparatus.screen_attest import SHOWN as ATTESTED
from fidelity.apparatus.screen_place import with_range
from fidelity.apparatus.screen_rule import rule_figures
from fidelity.apparatus.sentences import (
    belief,
    brier_sentence,
    suspects_sentence,
    three_sentences,
    too_few_tested,
    unseen_sentence,
)
from fidelity.judge import Audit
from fidelity.place import PlaceFound
from fidelity.sources.attested_table import AttestedTable
from fidelity.terms import Habit, Pattern, RuleSeen, Trial
from fidelity.terms.conjecture import JudgedUnit
from fidelity.variants.withdrawing import Decided

TO_BE_JUDGED = (
    "These are proposed readings, to be judged by an editor: every probability holds only under the"
    " conditions named as cautions in report.html, which an audit writes if it is told where (out)."
)
FIRST = 5  # of each list of an audit, which has many: the rest is a table away
MOST_NOTES = 3  # of a run; all of them are in ``notes``
_LEVELS = ("kind", "at_least", "proposals", "right", "precision", "low", "high", "recall")
_MISTAKES = ("survivor", "locus", "transmitted", "proposed", "original", "probability", "kind", "outcome")
_RIVALS = ("rank", "proposed", "said", "range", "tested", "steps", "sort")
_DONE = ("locus", "original", "copy", "original_words", "copy_words", "phenomenon", "cause", "other_causes")
_RULE = ("count", "chances", "rate_per_1000", "low", "high", "systematic", "q_value", "p_original_given_copy")


def audit_parts(audit: Audit) -> list[Part]:
    """Say in short what was found in a run, show the first of it, and name the tables that have the rest."""
    parts = [title(_who(audit)), *sentences(three_sentences(audit)), *_card(audit)]
    for name, records, text in (
        ("patterns", audit.patterns, "Patterns to review, worst first"),
        ("readings", audit.readings, "Proposed readings, beside what is transmitted"),
    ):
        if records:
            parts.append(several(records, f'.{name} or .table("{name}")', FIRST, text))
    if audit.readings:
        parts += sentences([TO_BE_JUDGED])
    if audit.hands.searches or audit.hands.shares:
        parts += sentences(hands_sentences(audit.hands))
    parts += sentences([sentence(one) for one in audit.imported[:FIRST]])
    notes = [f"Note: {note}" for note in audit.notes[:MOST_NOTES]]
    parts += sentences([*notes, more_of(len(audit.notes), MOST_NOTES, ".notes")])
    sizes = {name: len(made.rows(audit)) for name, made in TABLES.items()}
    return [*parts, _tables_there("found", sizes)]


def _card(audit: Audit) -> list[Part]:
    """Give the score card: letters, words, and whatever else went wrong at all."""
    columns, card = score_card(audit.scores)
    wrong = [row for row in card if row["errors"] or row["measure"] in ("letters", "words")]
    sound = len(card) - len(wrong)
    note = f"No error of {sound:,} more kinds: .scores" if sound else ""
    return table("Score card", columns[: MOST_COLUMNS + 1], wrong, note)


def _who(audit: Audit) -> str:
    """Name the copyist and the texts he is judged by."""
    dossier = audit.dossier
    who = dossier.copyist_name or "The copyist"
    survivors = ", ".join(one.id for one in dossier.survivors)
    lost = ", ".join(one.id for one in dossier.lost)
    return f"{who}, judged by his {'copies' if len(dossier.survivors) > 1 else 'copy'} of {survivors}" + (
        f"; lost: {lost}" if lost else ""
    )


def _tables_there(name: str, sizes: dict[str, int]) -> Part:
    """Name the tables that have any rows, with their number."""
    told = ", ".join(f"{table} {size:,}" for table, size in sizes.items() if size)
    empty = sum(not size for size in sizes.values())
    more = f"; {empty} more have no row here" if empty else ""
    return Part(
        "sentence", f'Tables and their rows, as {name}.table("…") gives them: {told or "none"}{more}.'
    )


def trial_parts(trial: Trial) -> list[Part]:
    """Say how the blind test came out, at which probabilities, and show its worst mistakes."""
    few = too_few_tested(trial)
    told = [belief(trial), f"{few}." if few else "", brier_sentence(trial), unseen_sentence(trial)]
    told += [suspects_sentence(trial), trial.decisions]
    levels, mistakes = level_rows(trial), mistake_rows(trial)
    sizes = {name: len(rows(trial)) for name, (_, rows) in TRIAL_TABLES.items()}
    return [
        title("The blind test"),
        *sentences(told),
        *table(
            "How proposals from a probability upward fared",
            _LEVELS,
            levels[:MOST_ROWS],
            more_of(len(levels), MOST_ROWS, '.table("trial_levels")'),
        ),
        *table(
            "The worst mistakes",
            _MISTAKES,
            mistakes[:FIRST],
            more_of(len(mistakes), FIRST, '.table("trial_mistakes")'),
        ),
        _tables_there("trial", sizes),
    ]


def pattern_parts(pattern: Pattern) -> list[Part]:
    """Give a kind of error to review, with what is known of it."""
    return [title(f"To review: {pattern.pattern}"), *facts_of(pattern)]


def habit_parts(habit: Habit) -> list[Part]:
    """Give a confusion told in full: its figures, where it happens, parallels in print."""
    return [
        title(f"A habit: {habit.confusion.original} → {habit.confusion.copy or 'nothing'}"),
        *facts_of(habit.confusion),
        *sentences([*where(habit), f"Parallels: {parallels(habit)}"]),
    ]


def place_parts(found: PlaceFound) -> list[Part]:
    """Give everything known of one place: its lines, the readings, or what he did there."""
    where_it_is = "in his copy of a lost text" if found.lost else "in the original, which survives"
    parts = [title(f"{found.place}, {where_it_is}"), Part("lines", lines=found.lines)]
    if not found.lost:
        facts = (("original", found.transmitted), ("copy", found.copied or "(left out)"))
        parts.append(Part("facts", facts=tuple((name, in_short(text)) for name, text in facts)))
        rows = [done_row(one) for one in found.done]
        return [
            *parts,
            *table("What happened, with the likeliest cause", _DONE, rows),
            *sentences([] if rows else ["He copied it without a difference that counts."]),
        ]
    for unit in found.units:
        parts += unit_parts(unit)
    if found.silent:
        more = "1 more word" if found.silent == 1 else f"{found.silent:,} more words or stretches"
        parts += sentences([f"Of {more} there is nothing to tell."])
    return [*parts, *sentences([TO_BE_JUDGED])]


def rule_parts(rule: RuleSeen) -> list[Part]:
    """Give what the survivors show of one rule: how often, where, and where not."""
    made = {name: listing(rule, name) for name in ("followed", "copied_right", "circumstances", "look_at")}
    parts = [
        title(f"{rule.original} → {rule.copy or 'nothing'}" + (f", {rule.under}" if rule.under else "")),
        *table("How often", _RULE, [rule_figures(rule)]),
    ]
    for name, text, without in (
        ("followed", "Where he did it", ()),
        ("copied_right", "Where he copied it right", ("copy_words", "cause")),
        ("circumstances", "Under which circumstances", ()),
        ("look_at", "Words of the lost texts that would be known words with it undone", ()),
    ):
        columns, rows = made[name]
        rows = [row | _in_words(row) for row in rows]
        shown = [column for column in columns if column not in without]
        parts += table(text, shown, rows[:FIRST], more_of(len(rows), FIRST, f'.table("{name}")'))
    return parts


def unit_parts(unit: JudgedUnit) -> list[Part]:
    """Give all readings of a stretch of a lost text, the transmitted one among them."""
    rows = [with_range(row) for row in rival_rows(unit)]
    text = f"{unit.locus} {unit.transmitted}: the readings, most probable first, of {rows[0]['of']:,}"
    return table(text, _RIVALS, rows[:MOST_ROWS], more_of(len(rows), MOST_ROWS, ".rivals has them"))


def decided_parts(decided: Decided) -> list[Part]:
    """Give a decision as it was written down, and what it changes."""
    told = "Taken back" if decided.withdrawn else "Written down"
    row: Row = {name: cell for name, cell in decision_row(decided.decision).items() if cell}
    return [
        title(f"{told} in {decided.file.name}"),
        Part("facts", facts=named(row)),
        *sentences(decided.changes),
    ]


def _in_words(row: Row) -> Row:
    """Give the name of a circumstance as it is read."""
    return {"circumstance": str(row["circumstance"]).replace("_", " ")} if "circumstance" in row else {}


def attested_parts(found: AttestedTable) -> list[Part]:
    """Give what all sources attest, with what it rests on."""
    rows = shown_rows(found.readings)
    columns = ("locus", *ATTESTED) if any(row["locus"] for row in rows) else ATTESTED
    return [
        title(f"What {found.sources:,} sources attest"),
        *table("Readings", columns, rows[:MOST_ROWS], more_of(len(rows), MOST_ROWS, ".table()")),
        *sentences(found.cautions),
    ]
