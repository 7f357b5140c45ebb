"""Put the kinds of error to review on a terminal, each with all that is known of it.

Arrives: an audit of which the habits are told in full. Leaves: text to be printed. Start reading at
``review_screen``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap

from fidelity.apparatus.accounts import consequence, how_often, in_print, where
from fidelity.apparatus.entries_habits import look_at
from fidelity.apparatus.screen import paragraphs
from fidelity.apparatus.tables import IN_PLAIN_WORDS, KEPT_SPACE, shown
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
    confidence = audit.dossier.settings.confidence
    habits = {(one.confusion.original, one.confusion.copy): one for one in audit.habits}
    parts = [paragraphs([_heading(audit, len(patterns))], width)]
    for number, pattern in enumerate(patterns, start=1):
        habit = habits.get(pattern.letters) if pattern.letters else None
        parts.append("\n".join(_block(number, pattern, habit, confidence, width)))
    parts.append(paragraphs([WHERE_TO_LOOK], width))
    return "\n\n".join(parts)


def _heading(audit: Audit, number: int) -> str:
    """Say what is listed, and in which order."""
    total = len(audit.patterns)
    if not total:
        return "There is no kind of error to review."
    which = (
        f"The first {number:,} of {total:,} kinds of error" if number < total else f"{total:,} kinds of error"
    )
    order = (
        "those first that must be expected to have hurt the lost texts most"
        if audit.dossier.lost
        else "the most frequent first, since no lost text is in the dossier"
    )
    return f"{which} to review, {order}; last those that change no word."


def _block(
    number: int, pattern: Pattern, habit: Habit | None, confidence: float, width: int
) -> Iterator[str]:
    """Give the lines of one pattern."""
    start = f"{number:>2}. "
    yield start + _title(pattern)
    told = [
        ("How often", how_often(habit, confidence) if habit else _how_often(pattern, confidence)),
        ("Where", " ".join(where(habit)) if habit else ""),
        ("In print", in_print(habit) if habit else ""),
        ("In lost texts", " ".join(consequence(pattern))),
        ("Look at", _listed(look_at(pattern))),
        ("Examples", _listed(pattern.examples)),
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


def _listed(items: Iterable[str]) -> str:
    """List places so that none is parted at the end of a line."""
    return "; ".join(item.replace(" ", KEPT_SPACE) for item in items)


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
