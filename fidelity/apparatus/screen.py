"""Put results on a terminal: headings, sentences, tables that fit the screen.

Arrives: an audit, or the changes made; the blind test has ``screen_trial.py``. Leaves: text
to be printed. Start reading at ``audit_screen``. The rows are those of the files; the screen shows
the first of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fidelity.apparatus.cautions import IN_ONE_LINE
from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries import confusion_rows, reading_rows, score_card
from fidelity.apparatus.entries_habits import pattern_rows
from fidelity.apparatus.entries_imported import sentence
from fidelity.apparatus.entries_marks import HONESTY, flag_rate_rows
from fidelity.apparatus.entries_outlook import drift_sentence, forecast_sentences
from fidelity.apparatus.entries_parallels import told_in_short
from fidelity.apparatus.entries_texts import set_aside_sentence
from fidelity.apparatus.hands_in_words import hands_sentences
from fidelity.apparatus.screen_place import conjectures_part
from fidelity.apparatus.screen_trial import trial_tables
from fidelity.apparatus.sentences import believed, tested, three_sentences
from fidelity.apparatus.tables import paragraphs, titled
from fidelity.judge import Audit

FIRST = 10  # confusions and patterns on the screen
FIRST_READINGS = 15
IN_FILES, IN_JSON = "all in {}.csv", "--json shows all"  # where the rest of a table is
MOST_SURVIVORS = 6  # side by side on the score card; more do not fit a screen

_CONFUSIONS = ("original", "copy", "count", "chances", "rate_per_1000", "low", "high", "systematic")
_PATTERNS = ("pattern", "phenomenon", "count", "rate_per_1000", "expected_in_lost", "where", "example")
_READINGS = ("locus", "transmitted", "proposed", "context", "probability", "blind_test", "kind", "steps")
_FLAG_RATES = ("measure", "count", "chances", "share", "low", "high")
_CHANGES = ("locus", "transmitted", "proposed", "probability", "kind", "decision", "evidence")


def audit_screen(audit: Audit, folder: Path, width: int) -> str:
    """Show what an audit found, and where its files are."""
    parts = [
        paragraphs(_in_short(audit), width),
        *_judgement(audit, width, IN_FILES),
        *([trial_tables(audit.trial, width)] if audit.trial else []),
        *_readings(audit, width),
        *conjectures_part(audit, width),
        *_pairs(audit, width),
        *_expected(audit, width),
        *_hands(audit, width),
        *_imported(audit, width),
        *_marks(audit, width),
        *_notes(audit, width),
        f"All of it, and more: {folder}\nTo read: {folder / 'report.html'}",
        paragraphs([IN_ONE_LINE], width),
    ]
    return "\n\n".join(parts)


def compare_screen(audit: Audit, width: int) -> str:
    """Show how one copy compares with its original."""
    parts = [paragraphs(_in_short(audit), width), *_judgement(audit, width, IN_JSON)]
    parts += [*_expected(audit, width), *_notes(audit, width)]
    return "\n\n".join(parts)


def left_alone_sentence(rows: Sequence[Row], width: int) -> str:
    """Say which places stay as they are transmitted because the editor wants it; "" if none."""
    if not rows:
        return ""
    places = "; ".join(f"{row['locus']} {row['transmitted']} ({row['decision']})" for row in rows)
    return paragraphs([f"As transmitted, by your decision: {places}."], width)


def changes_screen(rows: Sequence[Row], files: Sequence[Path], width: int) -> str:
    """Show which proposals were put into the texts, and where those are."""
    changes = titled("Proposed readings put into the texts", _CHANGES, rows, width)
    listed = "\n".join(map(str, files))
    return "\n\n".join([changes if rows else "No proposal is so probable: nothing was changed.", listed])


def _in_short(audit: Audit) -> list[str]:
    """Give the sentences, and what was set aside where anything was."""
    aside = set_aside_sentence(audit.dossier)
    return [*three_sentences(audit), *([aside] if aside else [])]


def _notes(audit: Audit, width: int) -> list[str]:
    """Give what the user should know of this run."""
    return [paragraphs([f"Note: {note}" for note in audit.notes], width)] if audit.notes else []


def _judgement(audit: Audit, width: int, rest: str) -> list[str]:
    """Give score card, confusions and patterns; ``rest`` says where those not shown are."""
    columns, card = score_card(audit.scores)
    fixed = [column for column in columns if not column.startswith("in ")]
    shown_columns = columns if len(columns) - len(fixed) <= MOST_SURVIVORS else fixed
    confusions, patterns = confusion_rows(audit.confusions[:FIRST]), pattern_rows(audit.patterns[:FIRST])
    names = [_heading("Commonest confusions", len(audit.confusions), rest.format("confusions"))]
    names += [_heading("Patterns to review, worst first", len(audit.patterns), rest.format("patterns"))]
    empty = {"expected_in_lost"} if all(row["expected_in_lost"] is None for row in patterns) else set()
    return [
        titled("Score card (per 1,000 chances, with interval)", shown_columns, card, width),
        titled(names[0], _CONFUSIONS, confusions, width),
        titled(names[1], [name for name in _PATTERNS if name not in empty], patterns, width),
    ]


def _readings(audit: Audit, width: int) -> list[str]:
    """Give the most probable proposals, each beside the blind test's result for its probability."""
    proposed = [one for one in audit.readings if one.is_proposal and not one.is_decided]
    if not proposed:
        return []
    likely = sorted(proposed, key=lambda one: (-one.probability, one.number))[:FIRST_READINGS]
    rows: list[Row] = [
        row | {"probability": believed(one), "blind_test": tested(one)}
        for row, one in zip(reading_rows(likely), likely, strict=True)
    ]
    title = f"Proposed readings, the most probable of {len(proposed):,} ({IN_FILES.format('readings')})"
    return [titled(title, _READINGS, rows, width), *_rules(audit, width)]


def _rules(audit: Audit, width: int) -> list[str]:
    """Say in a sentence how far the rules behind the proposals were followed."""
    rules = [one for one in audit.rules if not (one.where or one.by)]
    if not rules:
        return []
    groups = len({(one.text, one.rule, one.same) for one in audit.rule_places if not one.by})
    told = "is" if groups == 1 else "are"
    return [
        paragraphs(
            [
                f"{len(rules):,} rules stand behind proposals of 0.5 or more. Where else each would apply,"
                " where it was not followed and why, and what following it would have done in the survivors:"
                f" consistency.csv. {groups:,} {told} followed at one place and not at another like it:"
                " consistency_places.csv."
            ],
            width,
        )
    ]


def _pairs(audit: Audit, width: int) -> list[str]:
    """Say in short what is known of pairs, totals and lists; nothing where there is nothing to test."""
    told = told_in_short(audit.parallels)
    return (
        [paragraphs([*told, f"Pairs, totals and lists: {IN_FILES.format('parallels')}."], width)]
        if told
        else []
    )


def _expected(audit: Audit, width: int) -> list[str]:
    """Say how many altered words the lost texts must be expected to hold, and whether he changed."""
    sentences = forecast_sentences(audit.outlook.forecasts, audit.trial)
    drift = drift_sentence(audit.course.drifts, audit.dossier.settings.false_discovery)
    return [paragraphs([*sentences, drift], width)]


def _imported(audit: Audit, width: int) -> list[str]:
    """Say what seems to be taken from other witnesses, if there are any."""
    told = [sentence(one) for one in audit.imported]
    return [paragraphs([*told, f"Every place: {IN_FILES.format('imported_places')}."], width)] if told else []


def _marks(audit: Audit, width: int) -> list[str]:
    """Say what his own marks are worth, if he made any."""
    if not audit.flag_rates:
        return []
    title = "His own marks (each in flagged.csv)"
    return [titled(title, _FLAG_RATES, flag_rate_rows(audit.flag_rates), width), paragraphs([HONESTY], width)]


def _hands(audit: Audit, width: int) -> list[str]:
    """Say what he did with other hands and what was found in the lost texts, if there is anything to say."""
    hands = audit.hands
    return [paragraphs(hands_sentences(hands), width)] if hands.layers or hands.candidates else []


def _heading(title: str, number: int, rest: str) -> str:
    return f"{title} ({FIRST} of {number:,}; {rest})" if number > FIRST else title
