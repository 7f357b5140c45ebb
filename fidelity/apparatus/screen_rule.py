"""Put one rule on a terminal: where it was followed, where not, and what undoing it would do.

Arrives: a ``RuleSeen``. Leaves: text to be printed, or rows. Start reading at ``rule_screen``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from textwrap import wrap

from fidelity.apparatus.accounts import told_parallel, told_value
from fidelity.apparatus.cells import Row, significant
from fidelity.apparatus.sentences import shown_letters
from fidelity.apparatus.tables import KEPT_SPACE, paragraphs, shown
from fidelity.terms import CircumstanceRate, RulePlaceSeen, RuleSeen, Tendency, Undone

MOST_PLACES = 12  # on the screen; --json has all
MOST_WORDS, FIRST = 8, 3
IN_PRINT = 3
INDENT, LABEL = 4, 16
CAUTION = (
    "This is what the survivors show. Whether the rule holds at a place of a lost text is for the editor to"
    " judge; readings with their probabilities, and a blind test of them, are made by `fidelity audit`."
)


def rule_screen(one: RuleSeen, confidence: float, width: int) -> str:
    """Show a rule.

    Args:
        one: what the survivors show of it.
        confidence: of its interval, 0-1.
        width: of the screen, in letters.
    """
    title = f"{shown_letters(one.original)} → {shown_letters(one.copy)}"
    lines = [f"{title}, {one.under}" if one.under else title]
    for label, text in _told(one, confidence):
        lines += wrap(
            f"{label:<{LABEL}}{text}",
            max(width, INDENT + LABEL + 20),
            initial_indent=" " * INDENT,
            subsequent_indent=" " * (INDENT + LABEL),
            break_long_words=False,
            break_on_hyphens=False,
        )
    return "\n".join(line.replace(KEPT_SPACE, " ") for line in lines) + "\n\n" + paragraphs([CAUTION], width)


def _told(one: RuleSeen, confidence: float) -> Iterator[tuple[str, str]]:
    """Give what is known of a rule, part by part."""
    yield "How often", _how_often(one, confidence)
    for tendency, label in ((Tendency.MORE, "More often"), (Tendency.LESS, "Less often")):
        if some := [told_value(rate) for rate in one.rates if rate.tendency is tendency]:
            yield label, "; ".join(some) + "."
    for stated in one.stated:
        yield "Your rule", f"{stated}. Where else it applies: consistency_places.csv of an audit."
    if one.done:
        yield "Followed", _places(one.done)
    if one.right:
        words = Counter(place.normalised for place in one.right).most_common(MOST_WORDS)
        forms = {place.normalised: place.original_word for place in reversed(one.right)}  # of each the first
        told = ", ".join(f"{forms[word]} ({count:,})" for word, count in words)
        yield (
            "Copied right",
            f"{len(one.right):,} times, most often in {told}; first {_places(one.right[:3])}",
        )
    if one.in_print:
        yield "Parallels", "; ".join(told_parallel(parallel) for parallel in one.in_print[:IN_PRINT]) + "."
    if (undone := one.undoing) and undone.looks:
        yield (
            "In lost texts",
            f"undone once in a word, wherever in it, it makes {undone.unknown_to_known:,} unknown words"
            f" known; at {undone.known_to_known:,} places the copy's word and the other are both known.",
        )
        looks = [f"{look.locus} {look.transmitted} → {look.undone}" for look in undone.looks[:MOST_PLACES]]
        yield "Look at", "; ".join(text.replace(" ", KEPT_SPACE) for text in looks)


def _how_often(one: RuleSeen, confidence: float) -> str:
    """Tell the rate with its interval, and whether it is beyond chance."""
    if not one.chances:
        return "he never had the chance: no evidence."
    rate, low, high = (shown(1000 * share) for share in (one.count / one.chances, one.low, one.high))
    told = f"{one.count:,} of {one.chances:,} chances: {rate} per 1,000"
    told += f" ({confidence:.0%} interval {low} to {high})"
    if one.q_value is None:
        return f"{told}; never seen, which is not to say that it never happened."
    found = "beyond chance" if one.systematic else "not shown to be beyond chance"
    had = one.p_original_given_copy or 0.0
    share = (
        f"in {had:.1%} of all places where he wrote {shown_letters(one.copy)} the original has"
        f" {shown_letters(one.original)}"
    )
    everywhere = "; taken everywhere, " if one.under else "; "
    return f"{told}{everywhere}{found}" + (f"; {share}." if one.copy else ".")


def _places(places: Sequence[RulePlaceSeen]) -> str:
    """List places, each kept together on a line; say how many more there are."""
    told = [
        f"{place.locus} {place.original_word}" + (f" → {place.copy_words}" if place.copy_words else "")
        for place in places[:MOST_PLACES]
    ]
    more = len(places) - len(told)
    kept = [text.replace(" ", KEPT_SPACE) for text in told]
    return "; ".join([*kept, *([f"{more:,} more with --json"] if more > 0 else [])])


def rule_figures(one: RuleSeen) -> Row:
    """Give how often he followed it, and whether that is beyond chance."""
    return {
        "original": one.original,
        "copy": one.copy,
        "under": one.under,
        "count": one.count,
        "chances": one.chances,
        "rate_per_1000": significant(1000 * one.count / one.chances) if one.chances else None,
        "low": significant(1000 * one.low),
        "high": significant(1000 * one.high),
        "systematic": one.systematic,
        "q_value": significant(one.q_value) if one.q_value is not None else None,
        "p_original_given_copy": (
            significant(one.p_original_given_copy) if one.p_original_given_copy is not None else None
        ),
    }


def rule_row(one: RuleSeen) -> dict[str, object]:
    """Give everything as JSON: shares 0-1, rates per 1,000 chances."""
    return {
        **rule_figures(one),
        "circumstances": [_rate_row(rate) for rate in one.rates],
        "followed": [_place_row(place) for place in one.done],
        "copied_right": [_place_row(place) for place in one.right],
        "parallels": [told_parallel(parallel) for parallel in one.in_print],
        "stated": list(one.stated),
        "look_at": [_look_row(look) for look in (one.undoing.looks if one.undoing else ())],
    }


def _look_row(look: Undone) -> Row:
    return {
        "locus": str(look.locus),
        "transmitted": look.transmitted,
        "undone": look.undone,
        "both_words": look.is_word,
    }


def _rate_row(rate: CircumstanceRate) -> Row:
    return {
        "circumstance": str(rate.circumstance),
        "value": rate.value,
        "count": rate.count,
        "chances": rate.chances,
        "rate_per_1000": significant(1000 * rate.rate),
        "tendency": str(rate.tendency),
    }


def _place_row(place: RulePlaceSeen) -> Row:
    return {
        "locus": str(place.locus),
        "original_word": place.original_word,
        "normalised": place.normalised,
        "copy_words": place.copy_words,
        "cause": place.cause,
    }
