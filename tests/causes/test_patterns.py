"""What the kinds of error to review are called."""

from __future__ import annotations

import pytest

import fidelity
from fidelity.confusions.intervals import jeffreys
from fidelity.terms import Cause, Phenomenon

LINES = (
    "þonne he restan on þæm dæge",
    "genim þas wyrte and wyl on ecede",
    "syle drincan þonne feor niht",
    "and mid linenum claþe gif",
    "him bið sona sel þæs þe hit mæge",
    "weax and pic and hunig god",
    "smyre mid þa sidan þriwa",
    "cnuca on strangum ecede buton",
    "lege uppan þæt sar oð morgen",
    "hal sie butan tweon ealles",
)
PAGES = ("[fol. 1r]", "[fol. 1v]", "[fol. 2r]")


def laid_out(*pages: tuple[str, ...]) -> str:
    """Put lines on pages."""
    parts = zip(PAGES, pages, strict=False)
    return "\n".join(line for mark, lines in parts for line in (mark, *lines))


def named(original: str, copy: str) -> dict[str, tuple[Phenomenon, Cause]]:
    """Give the patterns of a pair of texts by their names."""
    found = fidelity.compare(original, copy).patterns
    return {one.pattern: (one.phenomenon, one.cause) for one in found}


@pytest.mark.parametrize(
    ("old", "new", "name"),
    [
        ("þonne he restan", "þonne restan", "words left out, cause undetermined"),
        ("linenum", "liennum", "letters exchanged"),
        ("strangum ecede", "ecede strangum", "words moved"),
        ("hunig", "huni", "letters left out, cause undetermined"),
    ],
)
def test_words_are_told_from_letters(old: str, new: str, name: str) -> None:
    """What is a whole word is called so, be it one word; letters within a word are called letters."""
    text = laid_out(LINES)
    assert set(named(text, text.replace(old, new))) == {name}


def test_a_word_left_out_stands_under_no_confusion_of_letters() -> None:
    """A whole word of one letter left out is no example of that letter overlooked, however often it was."""
    text = "gif he a leofaþ\nand banan wel\nand sona eft\nnan man\n"
    copy = text.replace("he a", "he").replace("banan", "bann").replace("sona", "son")
    patterns = {one.pattern: one for one in fidelity.compare(text, copy).patterns}
    assert patterns["words left out, cause undetermined"].count == 1
    assert patterns["a → ∅"].count == 2


def test_lines_moved_are_called_lines() -> None:
    """A whole line that stands elsewhere in the copy is no matter of letters or words; its cause stays."""
    moved = (*LINES[:1], *LINES[2:8], LINES[1], *LINES[8:])
    patterns = named(laid_out(LINES), laid_out(moved))
    assert patterns == {"lines or passages moved": (Phenomenon.TRANSPOSITION, Cause.METATHESIS)}


@pytest.mark.parametrize(
    ("first", "stop", "name", "cause"),
    [
        (1, 4, "line skip", Cause.LINE_SKIP),
        (2, 6, "leaf or passage missing", Cause.LINE_SKIP),
        (1, 5, "leaf or passage missing", Cause.EYE_SKIP),  # "mæge" ends like "dæge"
    ],
)
def test_a_passage_missing_is_told_from_a_line_skip(first: int, stop: int, name: str, cause: Cause) -> None:
    """More than three whole lines are hardly lost by the eye alone: the name says so, the cause stays."""
    patterns = named(laid_out(LINES), laid_out(LINES[:first] + LINES[stop:]))
    assert patterns == {name: (Phenomenon.OMISSION, cause)}


def test_a_page_missing_is_a_leaf() -> None:
    """A whole page, though it has two lines only, is called a leaf or passage."""
    original = laid_out(LINES[:4], LINES[4:6], LINES[6:])
    copy = "\n".join([PAGES[0], *LINES[:4], PAGES[2], *LINES[6:]])
    assert list(named(original, copy)) == ["leaf or passage missing"]
    within = "\n".join([PAGES[0], *LINES[:2], PAGES[1], *LINES[4:6], PAGES[2], *LINES[6:]])
    assert list(named(original, within)) == ["line skip"]


def test_no_error_stands_in_two_patterns() -> None:
    """Letters written once for twice that recur are a pattern of their own, and no other counts them."""
    text = laid_out(LINES)
    copy = text.replace("þonne", "þone").replace("tweon ealles", "tweon eales")
    found = {one.pattern: one for one in fidelity.compare(text, copy).patterns}
    assert found["n → ∅"].count == 2
    assert found["n → ∅"].cause is Cause.HAPLOGRAPHY
    assert found["haplography"].count == 1  # the l of ealles, which does not recur


def test_the_interval_of_a_kind_is_its_own() -> None:
    """Of words joined and divided each has the interval of its own count, no narrower than Jeffreys'."""
    text = laid_out(LINES)
    copy = text.replace("he restan", "herestan").replace("þas wyrte", "þaswyrte").replace("hunig", "hun ig")
    patterns = fidelity.compare(text, copy).patterns
    found = {one.pattern: one for one in patterns if one.phenomenon is Phenomenon.DIVISION}
    assert [(one.count, one.chances) for one in found.values()] == [(2, 58), (1, 58)]
    for one in found.values():
        low, high = jeffreys(one.count, one.chances)
        assert one.low <= low + 1e-9
        assert one.high >= high - 1e-9
        assert one.low < one.count / one.chances < one.high


def test_examples_say_what_was_left_out_or_put_in() -> None:
    """An example shows the words at fault: those put in, those left out, or the word before and after."""
    text = laid_out(LINES)
    copy = text.replace("he restan", "restan").replace("sona", "sona sona").replace("hunig", "hunid")
    shown = [one.examples for one in fidelity.compare(text, copy).patterns]
    told = {example.split(" ", 2)[2] for examples in shown for example in examples}
    assert told == {"he left out", "sona put in after sona", "hunig → hunid"}
