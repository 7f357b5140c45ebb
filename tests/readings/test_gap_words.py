"""Known words in gaps: their probabilities by hand, their rivals, and the share of none of these."""

from __future__ import annotations

import pytest

from fidelity.copyist.model import Model, learn
from fidelity.copyist.tagging import Tagged
from fidelity.readings.flagged import Gap, GapSeen
from fidelity.readings.gap_words import FALL, GAPS_BEFORE, TEMPER, GapWords, Lengths
from fidelity.terms import MarkKind

KEPT = " ".join(["stan stane hlinc hnol"] * 100)  # so often copied right that he hardly errs
TEXT = "on stan ac stan ac stan ymb stane ymb stane ofer hlinc and hnol and stream"


def model(text: str = TEXT, copied: str = KEPT) -> Model:
    """Learn from a text and a copy without a fault."""
    return learn([Tagged(copied, tuple(copied), (True,) * len(copied))], [text])


def gap(shown: int | None, lost: int, original: str = "stan") -> GapSeen:
    """Make a gap of a survivor."""
    return GapSeen(0, Gap((0, 1), (0, 1), shown, MarkKind.UNREAD, "."), "E", original, original, lost)


def test_how_many_letters_are_lost_by_hand() -> None:
    """The prior counts as four gaps; with eight gaps of which six are right it is what was seen, mostly."""
    total = 1 + 2 * sum(FALL**off for off in range(1, 7))
    before = Lengths(()).of(8)
    assert before[8] == pytest.approx(1 / total)
    assert before[9] == pytest.approx(before[7]) == pytest.approx(FALL / total)
    after = Lengths([*[gap(3, 3)] * 6, gap(3, 4), gap(5, 4)]).of(8)
    assert after[8] == pytest.approx((6 + GAPS_BEFORE / total) / (8 + GAPS_BEFORE))
    assert after[9] == pytest.approx((1 + GAPS_BEFORE * FALL / total) / (8 + GAPS_BEFORE))
    assert sum(after.values()) == pytest.approx(1)


def test_a_word_has_a_letter_at_least() -> None:
    """He saw something there: no number below one."""
    assert min(Lengths(()).of(1)) == 1
    assert sum(Lengths(()).of(1).values()) == pytest.approx(1)
    unknown = Lengths(()).of(None)
    assert len(set(unknown.values())) == 1 and min(unknown) == 1


def test_how_often_one_word_stood_there() -> None:
    """Four of five before any gap is seen where he counts; two more, one of two words, make five of seven."""
    assert GapWords(model(), ()).one_word(True) == 4 / 5
    assert GapWords(model(), ()).one_word(False) == 1 / 2
    assert GapWords(model(), [gap(3, 3), gap(3, 6, "on stan")]).one_word(True) == 5 / 7


def test_words_agree_with_what_he_read_and_with_the_number() -> None:
    """Those with st at the beginning, the likelier number of letters first; others do not agree."""
    found = GapWords(model(), ()).fill(["s", "t", 2])
    assert [word for word, _ in found.words] == ["stan", "stane", "stream"]
    assert "hlinc" not in dict(found.words)
    assert sum(p for _, p in found.words) + found.none == pytest.approx(1)


def test_the_ratio_of_two_words_by_hand() -> None:
    """How common each is, times how probable the number of its letters; the rest is the same for both."""
    known = model()
    found = dict(GapWords(known, ()).fill(["s", "t", 2]).words)
    lengths = Lengths(()).of(2)
    expected = known.words.probability("stan") * lengths[2] / (known.words.probability("stane") * lengths[3])
    assert (found["stan"] / found["stane"]) ** (1 / TEMPER) == pytest.approx(expected, rel=0.02)


def test_the_words_beside_a_gap_speak() -> None:
    """A word that follows the word before is more probable than it is by itself."""
    filler = GapWords(model(), ())
    alone, after_and = (dict(filler.fill([None], before).words) for before in ("", "and"))
    assert after_and["hnol"] > alone["hnol"]
    before_ac = dict(filler.fill([None], "", "ac").words)
    assert before_ac["stan"] > alone["stan"]


def test_stops_stay_where_he_put_them() -> None:
    """They are no part of the word, and the word is known without them."""
    (word, _), *_ = GapWords(model("on stan. ac stan, ac stan"), ()).fill(["s", 3, "."]).words
    assert word == "stan."


def test_a_letter_he_may_have_misread_is_allowed_for() -> None:
    """A known word one letter off what he read is a rival, by as much as he errs."""
    sure = GapWords(model("ac hlinc ac stan"), ()).fill(["h", "l", "u", 2])
    assert [word for word, _ in sure.words] == ["hlinc"]
    assert (
        sure.words[0][1] < GapWords(model("ac hlinc ac stan"), ()).fill(["h", "l", "i", 2]).words[0][1] + 1e-9
    )


def test_nothing_known_agrees() -> None:
    """Then it is none of these."""
    found = GapWords(model(), ()).fill(["x", "q", "z", "k", 2])
    assert (found.words, found.none) == ((), 1.0)


def test_more_words_met_once_leave_more_to_none_of_these() -> None:
    """Where many words were met but once, more are still unmet."""
    few = GapWords(model("stan ac stan ac stan ac stan ac"), ()).fill(["s", 3])
    many = GapWords(model("stan ac sele oft ymb snaw wiþ spor eft"), ()).fill(["s", 3])
    assert many.none > few.none
