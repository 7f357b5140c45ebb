"""His marks beside the originals: counts, rates and weights reckoned by hand."""

from __future__ import annotations

import math

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.confusions.intervals import jeffreys
from fidelity.copyist.tagging import tag_alignment
from fidelity.readings.beside import OTHER
from fidelity.readings.flag_rates import AS_MANY, flag_rates, weights_of
from fidelity.readings.flagged import Seen, WordSeen, gaps_in, seen_in
from fidelity.readings.marked import MarkedWords, MarksTelling
from fidelity.terms import MarkKind
from fidelity.witnesses.folds import NO_FOLDS, Folds
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.read import read_witness

SIGNS = HisMarks(letter_unread=(".",), some_unread=("---",), doubtful=("(?)",), vouched=("[sic]",))
ORIGINAL = "on þære stræte wæs an stan and on þære ealdan mylne twegen hlincas her on felda"
COPY = "on þæne(?) stræte[sic] wæs an st... and on þære ealdan mylne ---gen hlincas her(?) on felda"


def seen(original: str, copy: str, lost: str = "") -> Seen:
    """Set the marks of one survivor, and of a lost text, beside what there is."""
    pair = align_witnesses(
        read_witness(original, siglum="E"), read_witness(copy, siglum="E", his_marks=SIGNS), NO_FOLDS
    )
    texts = [("X", read_witness(lost, siglum="X", his_marks=SIGNS))] if lost else []
    return seen_in([("E", pair, tag_alignment(pair, NO_FOLDS))], texts, NO_FOLDS)


def test_words_and_gaps_are_set_beside_the_original() -> None:
    """Which words are wrong, which marked, and what he could not read."""
    found = seen(ORIGINAL, COPY)
    doubted = [one for one in found.words if MarkKind.DOUBT in one.kinds]
    assert [one.wrong for one in doubted] == [True, False]
    assert [one.wrong for one in found.words if MarkKind.VOUCHED in one.kinds] == [False]
    assert len(found.words) == 14  # of sixteen two have gaps
    assert [(one.gap.shown, one.lost, one.original) for one in found.gaps] == [
        (3, 2, "stan"),
        (None, 3, "twegen"),
    ]


def test_each_mark_has_its_row() -> None:
    """What it is on, what the original has, whether he was right; of a lost text nothing is known."""
    rows = seen(ORIGINAL, COPY, "ic wær(?) on f...e").flagged
    assert [(str(one.locus), str(one.kind), one.copy, one.original, one.right) for one in rows] == [
        ("E 1.2", "doubt", "þæne", "þære", True),
        ("E 1.3", "vouched", "stræte", "stræte", True),
        ("E 1.6", "unread", "st▯▯▯", "stan", False),
        ("E 1.12", "unread", "▯gen", "twegen", None),
        ("E 1.14", "doubt", "her", "her", False),
        ("X 1.2", "doubt", "wær", "", None),
        ("X 1.4", "unread", "f▯▯▯e", "", None),
    ]
    assert [one.sign for one in rows] == ["(?)", "[sic]", "...", "---", "(?)", "(?)", "..."]
    assert [(one.shown, one.lost) for one in rows if one.kind is MarkKind.UNREAD] == [
        (3, 2), (None, 3), (3, None),
    ]  # fmt: skip


def test_rates_by_hand() -> None:
    """One wrong word, and he queries it; of two queried words one is wrong; one gap, a letter too many."""
    rates = {one.measure: one for one in flag_rates(seen(ORIGINAL, COPY), 0.95)}
    assert {name: (one.count, one.chances) for name, one in rates.items()} == {
        "wrong words that he queried": (1, 1),
        "queried words that are wrong": (1, 2),
        "vouched words that are right": (1, 1),
        "unmarked words that are wrong": (0, 11),
        "gaps whose number of letters is right": (0, 1),
        "gaps whose number is right within one": (1, 1),
        "letters he showed as lost, against the originals'": (3, 2),
    }
    one = rates["queried words that are wrong"]
    assert (one.low, one.high) == pytest.approx(jeffreys(1, 2))  # all on one page


def test_letters_lost_in_the_original_tell_nothing() -> None:
    """Where the original has a hole nobody knows whether he counted right."""
    pair = align_witnesses(
        read_witness("an st[..] her on felda", siglum="E", profile="leiden"),
        read_witness("an st.. her on felda", siglum="E", his_marks=SIGNS),
        NO_FOLDS,
    )
    (gap,) = seen_in([("E", pair, tag_alignment(pair, NO_FOLDS))], [], NO_FOLDS).gaps
    assert (gap.gap.shown, gap.lost, gap.original) == (2, None, None)


def test_gaps_of_an_editors_signs_are_gaps_too() -> None:
    """[...] and [---] in a copy are his gaps, as they have been; two beside each other are two."""
    copy = read_witness("an st[..] [---] h[...]", siglum="E", profile="leiden")
    assert [(one.shown, one.sign, copy.letters[slice(*one.word)]) for one in gaps_in(copy)] == [
        (2, "[..]", "st▯▯"), (None, "[---]", "▯"), (3, "[...]", "h▯▯▯"),
    ]  # fmt: skip


def many(wrong: int, right: int, kind: MarkKind, marked_wrong: int, marked_right: int) -> Seen:
    """Make so many words, so many of them marked."""
    words = []
    for is_wrong, number, marked in ((True, wrong, marked_wrong), (False, right, marked_right)):
        for at in range(number):
            kinds = frozenset({kind}) if at < marked else frozenset[MarkKind]()
            words.append(WordSeen(int(is_wrong), at, f"{is_wrong}", kinds, is_wrong))
    return Seen(tuple(words))


def test_the_weight_of_a_query() -> None:
    """7 of 38 wrong words are queried and 5 of 562 right ones: reckoned by hand, and said in words."""
    weight = weights_of(many(38, 562, MarkKind.DOUBT, 7, 5))[MarkKind.DOUBT]
    share = 38.5 / 601
    if_marked = (7 + AS_MANY * share) / (12 + AS_MANY)
    assert weight.if_wrong == pytest.approx(math.log(if_marked / share))
    assert weight.if_right == pytest.approx(math.log((1 - if_marked) / (1 - share)))
    assert math.exp(weight.if_wrong - weight.if_right) == pytest.approx(12.1, abs=0.1)  # the ratio
    assert weight.in_words() == (
        "he queries the word; of 12 words of the survivors so marked 7 are wrong, of unmarked 31 of 588"
    )


def test_a_mark_never_seen_says_nothing() -> None:
    """Then either ratio is 1, however many words there are; and so it says."""
    for known in (many(38, 562, MarkKind.DOUBT, 0, 0), Seen()):
        weight = weights_of(known)[MarkKind.VOUCHED]
        assert (weight.if_wrong, weight.if_right) == (0.0, 0.0)
        assert weight.in_words().endswith("that tells nothing")


def test_what_is_left_out_teaches_nothing() -> None:
    """A round of the blind test does not know the marks of what it is tried on."""
    some = many(4, 6, MarkKind.DOUBT, 2, 1)
    assert len(some.without([(1, 0, 2)]).words) == 8  # two wrong words of the second survivor are out
    assert weights_of(some.without([(1, 0, 9)]))[MarkKind.DOUBT].marked_wrong == 0


def telling(words: str, *kinds: MarkKind | None) -> MarksTelling:
    """Give what marks on words say, with the weights of a known Seen."""
    weights = weights_of(many(10, 90, MarkKind.DOUBT, 5, 5))
    marks = tuple((kind,) if kind else () for kind in kinds)
    return MarksTelling(tuple(words.split()), marks, weights)


@pytest.mark.parametrize(
    ("reading", "wrong"),
    [
        ("pulf wæs", False),
        ("pulf, wæs", False),  # a stop is not what he doubts
        ("pulf wær", False),  # another word is another matter
        ("wulf wæs", True),
        ("pulfwæs", True),
        (OTHER, True),
    ],
)
def test_a_query_speaks_against_the_word_as_it_stands(reading: str | None, wrong: bool) -> None:
    """Each reading has the likelihood of the mark, the word being right or wrong by it."""
    said = telling("pulf wæs", MarkKind.DOUBT, None)
    weight = said.weights[MarkKind.DOUBT]
    assert said.log_likelihood(reading) == (weight.if_wrong if wrong else weight.if_right)
    assert len(said.told) == 1


def test_nothing_is_said_of_unmarked_words() -> None:
    """Only a unit with a marked word is told of; a copy without marks is not asked at all."""
    marked = read_witness("ꞅtan ac hnol(?)", siglum="X", his_marks=SIGNS)
    plain = read_witness("stan ac", siglum="Y")
    folds = Folds({"ꞅ": "s"})
    known = MarkedWords(Seen(), [plain], {"X": marked}, folds)
    assert known.survivor(0, []) is None
    beside = known.lost("X")
    assert beside is not None
    assert beside.at(0, 7) is None
    at_query = beside.at(5, 12)
    assert isinstance(at_query, MarksTelling)
    assert (at_query.words, at_query.marks) == (("ac", "hnol"), ((), (MarkKind.DOUBT,)))
