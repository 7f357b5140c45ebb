"""Tell habits and patterns in words: how often, where and where not, who saw it elsewhere, what follows.

Arrives: ``Habit``s and ``Pattern``s. Leaves: sentences. Start reading at ``account`` and
``consequence``.
"""

from __future__ import annotations

from collections.abc import Mapping

from fidelity.apparatus.sentences import shown_letters
from fidelity.apparatus.tables import in_plain_words, shown
from fidelity.terms import (
    Cause,
    Circumstance,
    CircumstanceRate,
    Habit,
    InPrint,
    Pattern,
    Phenomenon,
    Tendency,
)

LITTLE = 0.01  # expected slips; a smaller number says no more
WORDS = 8  # words named in an account; circumstances.csv has all
CITED = 3  # parallels in print, likewise

_IN_WORD = {
    "first": "as the first letter of a word",
    "last": "as the last letter of a word",
    "inside": "within a word",
    "alone": "as a whole word",
}
_VALUES: Mapping[Circumstance, str] = {
    Circumstance.BEFORE: "after {}",
    Circumstance.AFTER: "before {}",
    Circumstance.WORD: "in the word {}",
    Circumstance.SCRIPT: "in {} script",
    Circumstance.HAND: "in the hand {}",
    Circumstance.LANGUAGE: "in the language {}",
    Circumstance.TEXT: "in {}",
}
_NAMES: Mapping[Circumstance, str] = {
    Circumstance.PLACE: "place in the word",
    Circumstance.BEFORE: "letter before",
    Circumstance.AFTER: "letter after",
}
_NOTHING_TO_SEE: Mapping[Cause, str] = {
    Cause.CAPITAL: "It changes no word.",
    Cause.PUNCTUATION: "It changes no word; where a sentence ends is the editor's question.",
    Cause.LETTERFORM: "It changes no word.",
    Cause.EYE_SKIP: "What is skipped leaves no trace in the letters: look where sense or form breaks.",
    Cause.LINE_SKIP: "A line left out leaves no trace in the letters: look where sense or form breaks.",
    Cause.DITTOGRAPHY: "Look for letters and words that stand twice.",
    Cause.HAPLOGRAPHY: "Look for single letters where the language would have them doubled.",
    Cause.COUPLED: "Where one field of an entry was misread the other may have been changed to suit it:"
    " agreement within an entry confirms nothing.",
    Cause.LATER_HAND: "Part of what the copy shows as one hand may be later: a question for a palaeographer.",
    Cause.SUPPLIED: "Some of what stands there may be his guess at what he could not read.",
    Cause.LEFT_ILLEGIBLE: "His gaps and dots say where he could not read.",
    Cause.WORD_SUBSTITUTION: "A word put for another shows only where it does not fit.",
    Cause.INTERPOLATION: "What he put in shows only where it does not fit.",
    Cause.MODERNISED: "Forms later than the language of the rest may be his.",
    Cause.MINIMS: "Count the strokes wherever i, m, n, u stand together.",
    Cause.NASAL_STROKE: "Look at every m and n, and at every place for one: there may have been a stroke.",
}
_BY_PHENOMENON: Mapping[Phenomenon, str] = {
    Phenomenon.OMISSION: "What is left out shows only where the sense or the form breaks.",
    Phenomenon.ADDITION: "What is put in shows only where it does not fit.",
    Phenomenon.TRANSPOSITION: "Another order shows only where it does not fit.",
}


def account(habit: Habit, confidence: float, level: float) -> list[str]:
    """Tell one confusion in a few sentences.

    Args:
        habit: the confusion with its circumstances and parallels.
        confidence: of the intervals, 0-1.
        level: the false-discovery rate at which a confusion is beyond chance.
    """
    return [how_often(habit, confidence, level), *where(habit), f"Parallels: {parallels(habit)}"]


def how_often(habit: Habit, confidence: float, level: float) -> str:
    """Tell how often, with the interval, in which words, and whether that is beyond chance.

    Args:
        habit: the confusion.
        confidence: of the interval, 0-1.
        level: the false-discovery rate at which a confusion is beyond chance.
    """
    one = habit.confusion
    original, copy = shown_letters(one.original), shown_letters(one.copy)
    rate, low, high = (shown(1000 * share) for share in (one.rate, one.low, one.high))
    chance = f"fewer than {LITTLE:g}" if one.expected < LITTLE else f"about {shown(one.expected)}"
    verdict = f"{_verdict(habit, level)} (chance slips would give {chance})"
    more = ", …" if len(habit.words) > WORDS else ""
    number = len(habit.words)
    words = f"in {number:,} different {'word' if number == 1 else 'words'}"
    return (
        f"{copy} for {original} at {one.count:,} of {one.chances:,} chances: {rate} per 1,000"
        f" ({confidence:.0%} interval {low} to {high}), {words} ({', '.join(habit.words[:WORDS])}{more});"
        f" {verdict}."
    )


def _verdict(habit: Habit, level: float) -> str:
    """Say whether a confusion is beyond chance."""
    one = habit.confusion
    if one.systematic:
        return "beyond chance"
    if one.q_value <= level:
        return "beyond chance, but in one word only: perhaps a habit with that word"
    return "more than chance gives, but not for certain"


def where(habit: Habit) -> list[str]:
    """Tell under which circumstances it happens more and less often, or that none makes a difference."""
    found = []
    for tendency, start in ((Tendency.MORE, "More often"), (Tendency.LESS, "Less often")):
        some = [told_value(one) for one in habit.rates if one.tendency is tendency]
        if some:
            found.append(f"{start} {'; '.join(some)}.")
    places = [one for one in habit.rates if one.circumstance is Circumstance.PLACE]
    if places and not any(one.tendency for one in places):
        found.append(f"Found {', '.join(told_value(one) for one in places)}.")
    if any(one.tendency for one in habit.rates):
        return found
    compared = dict.fromkeys(circumstance_name(one.circumstance) for one in habit.rates)
    if not compared:
        return ["There is nothing to compare: all its chances are of one kind."]
    return [*found, f"No difference is shown by {', '.join(compared)}."]


def circumstance_name(circumstance: Circumstance) -> str:
    """Name a circumstance in plain words."""
    return _NAMES.get(circumstance, str(circumstance))


def told_value(one: CircumstanceRate) -> str:
    """Tell one value of a circumstance with its count and chances."""
    if one.circumstance is Circumstance.PLACE:
        where = _IN_WORD[one.value]
    else:
        where = _VALUES[one.circumstance].format(one.value or "which none is named")
    return f"{where} ({one.count:,} of {one.chances:,})"


def parallels(habit: Habit) -> str:
    """Tell who has seen the same confusion elsewhere."""
    if not habit.in_print:
        return "not in the published tables that the program knows."
    cited = [told_parallel(one) for one in habit.in_print[:CITED]]
    more = len(habit.in_print) - CITED
    rest = f"; {more:,} more in habits.csv" if more > 0 else ""
    return f"{'; '.join(cited)}{rest}."


def told_parallel(one: InPrint) -> str:
    """Tell one published parallel: the letters, the script, the source, and how it was come by."""
    letters = f"{one.original}, {one.misread or 'nothing'}"
    how = {
        "one-way": f"{one.misread or 'nothing'} for {one.original or 'nothing'}",
        "pair": f"{letters} as a pair without direction",
        "reversed": f"the other way round, {one.misread or 'nothing'} for {one.original or 'nothing'}",
    }[one.direction]
    other = "" if one.his_script else "another script, "
    where = f", {one.locator}" if one.locator else ""
    basis = "from memory, not checked in a source" if one.basis == "memory" else one.basis
    return f"{how} ({other}{in_plain_words(one.script)}: {one.source}{where}; {basis})"


def consequence(pattern: Pattern) -> list[str]:
    """Tell what an error of this kind would do to the lost texts."""
    return [text for text in (_expected(pattern), visible(pattern), _undoing(pattern)) if text]


def _expected(pattern: Pattern) -> str:
    """Tell how many are to be expected, among how many places."""
    if pattern.expected_in_lost is None:
        return ""
    among = f" among {pattern.places_in_lost:,} places" if pattern.places_in_lost else ""
    return f"About {shown(pattern.expected_in_lost)} to be expected{among}, at his average rate."


def visible(pattern: Pattern) -> str:
    """Tell how often it left a word in the survivors."""
    if not pattern.judged or pattern.cause in _NOTHING_TO_SEE:
        return ""
    if not pattern.made_word:
        return f"In the survivors the wrong word was a known word at none of {_places(pattern.judged)}."
    return (
        f"In the survivors the wrong word was a known word at {pattern.made_word:,} of"
        f" {_places(pattern.judged)}: there nothing shows."
    )


def _undoing(pattern: Pattern) -> str:
    """Tell what undoing it would do to the words of the lost texts, or how else it may be seen."""
    undoing = pattern.undoing
    if undoing is None:
        return _NOTHING_TO_SEE.get(pattern.cause) or _BY_PHENOMENON.get(pattern.phenomenon, "")
    if not undoing.unknown_to_known and not undoing.known_to_known:
        return "Undone, it makes no known word anywhere in the lost texts."
    hidden = ", where nothing shows" if undoing.known_to_known else ""
    return (
        f"Undone, it turns an unknown word into a known one at {_places(undoing.unknown_to_known)}, and one"
        f" known word into another at {undoing.known_to_known:,}{hidden}."
    )


def _places(number: int) -> str:
    return f"{number:,} {'place' if number == 1 else 'places'}"
