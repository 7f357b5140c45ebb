"""Put the kinds of error to review on a terminal, each with all that is known of it.

Arrives: an audit of which the habits are told in full. Leaves: text to be printed. Start reading at
``review_screen``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from fidelity.apparatus.accounts import consequence, how_often, parallels, visible, where
from fidelity.apparatus.entries_habits import LOOKS, look_at
from fidelity.apparatus.tables import IN_PLAIN_WORDS, KEPT_SPACE, paragraphs, shown
from fidelity.judge import Audit
from fidelity.terms import Habit, Pattern, Phenomenon

INDENT = 4
LABEL = 16  # letters, the longest label and a blank
NARROWEST = 20  # letters for the text beside the labels
WHERE_TO_LOOK = (
    "This says where to look. What stood in the lost originals is for an editor to judge; readings with their"
    " probabilities, and a blind test of them, are made by `fidelity audit`."
)

NAMED_BY_WHAT_HAPPENED = frozenset({Phenomenon.TRANSPOSITION, Phenomenon.DIVISION})


def review_screen(audit: Audit, width: int, most: int | None = None) -> str:
    """Show the patterns, worst first.

    Args:
        audit: with the habits told in full.
        width: of the screen, in letters.
        most: at most so many patterns; None for all.
    """
    patterns = audit.patterns[:most]
    habits = {(one.confusion.original, one.confusion.copy): one for one in audit.habits}
    parts = [paragraphs([_heading(audit, len(patterns))], width)]
    for number, pattern in enumerate(patterns, start=1):
        habit = habits.get(pattern.letters) if pattern.letters else None
        parts.append("\n".join(_block(number, pattern, habit, audit, width)))
    parts += [paragraphs([f"Note: {note}" for note in audit.notes], width)] if audit.notes else []
    parts.append(paragraphs([WHERE_TO_LOOK], width))
    return "\n\n".join(parts)


def _heading(audit: Audit, number: int) -> str:
    """Say what is listed, and in which order."""
    total = len(audit.patterns)
    if not total:
        return "There is no kind of error to review."
    which = (
        f"The first{f' {number:,}' if number > 1 else ''} of {total:,} kinds of error"
        if number < total
        else f"{total:,} kinds of error"
    )
    order = (
        "those first that must be expected to have hurt the lost texts most"
        if audit.dossier.lost
        else "the most frequent first, since no lost text is in the dossier"
    )
    return f"{which} to review, {order}; last those that change no word."


def _block(number: int, pattern: Pattern, habit: Habit | None, audit: Audit, width: int) -> Iterator[str]:
    """Give the lines of one pattern."""
    yield f"{number:>2}. {_title(pattern)}"
    settings, room = audit.dossier.settings, width - INDENT - LABEL
    often = (
        how_often(habit, settings.confidence, settings.false_discovery)
        if habit
        else _how_often(pattern, settings.confidence)
    )
    told = [
        ("How often", often),
        ("Circumstances", " ".join(where(habit)) if habit else ""),
        ("Parallels", parallels(habit) if habit else ""),
        _what_became(pattern, audit),
        ("Look at", _listed(look_at(pattern), room, LOOKS, "look_at.csv of an audit")),
        ("Examples", _listed(pattern.examples, room)),
    ]
    for label, text in told:
        if text:
            lines = wrap(
                f"{label:<{LABEL}}{text}",
                max(width, INDENT + LABEL + NARROWEST),
                initial_indent=" " * INDENT,
                subsequent_indent=" " * (INDENT + LABEL),
                break_long_words=False,
                break_on_hyphens=False,
            )
            yield from (line.replace(KEPT_SPACE, " ") for line in lines)


def _what_became(pattern: Pattern, audit: Audit) -> tuple[str, str]:
    """Tell what it would have done to the lost texts; without one, whether it shows."""
    if audit.dossier.lost:
        return "In lost texts", " ".join(consequence(pattern))
    return "Seen", visible(pattern)


def _listed(items: Sequence[str], room: int, most: int | None = None, rest: str = "") -> str:
    """List places so that none is parted at the end of a line, if it fits one; say where the rest is."""
    told = [item if len(item) > room else item.replace(" ", KEPT_SPACE) for item in items[:most]]
    more = len(items) - len(told)
    return "; ".join([*told, *([f"{more:,} more in {rest}"] if more > 0 else [])])


def _title(pattern: Pattern) -> str:
    """Name a pattern, with its cause where the name does not say it."""
    cause = IN_PLAIN_WORDS.get(str(pattern.cause), str(pattern.cause).replace("_", " "))
    said = cause in pattern.pattern or pattern.phenomenon in NAMED_BY_WHAT_HAPPENED
    parts = [] if said else [cause]
    parts += ["systematic"] if pattern.systematic else []
    return f"{pattern.pattern} ({', '.join(parts)})" if parts else pattern.pattern


def _how_often(pattern: Pattern, confidence: float) -> str:
    """Tell how often a kind of error happened that is no single confusion of letters."""
    if not pattern.chances:
        return f"{pattern.count:,}; its chances cannot be counted."
    rate, low, high = (
        shown(1000 * share) for share in (pattern.count / pattern.chances, pattern.low, pattern.high)
    )
    return (
        f"{pattern.count:,} of {pattern.chances:,} chances: {rate} per 1,000 ({confidence:.0%} interval"
        f" {low} to {high})."
    )
