"""Candidates in lost texts: by the copy's marks, by how additions begin, by language; what they are worth."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fidelity.hands.find import hands_found
from fidelity.hands.languages import LEAST_WORDS, Tongues, limit_of
from fidelity.hands.openings import openings_of
from fidelity.hands.search import Learned, search
from fidelity.hands.survivors import layers_in
from fidelity.hands.words import MAIN, Words, words_of, words_of_survivor
from fidelity.terms.hands import LANGUAGE, MARKED, OPENING, Hands
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.hands.dossiers import hands_in, judged, survivor
from tests.planted_glosses import SORTS, planted_glosses

LINES = ("on þone hwitan stan", "genim betonican leaf", "of þam stane suþ", "cnuca hunan and rudan")


def words(text: str) -> Words:
    return words_of(read_witness(text, siglum="X"), "X", NO_FOLDS)


def glossed(*glosses: str, copied: str = "{}") -> Hands:
    """Look for other hands in one survivor, with glosses, and in a lost text."""
    original = "\n".join(f"{line} ⸌{gloss}⸍ and eft" for line, gloss in zip(LINES, glosses, strict=False))
    copy = "\n".join(
        f"{line} {copied.format(gloss)} and eft" for line, gloss in zip(LINES, glosses, strict=False)
    )
    lost = "sele drincan wermod i. absinthium þry dagas\nwiþ ece uel .u. niht . genim leaf i leaf"
    return hands_in(survivor(original, copy), lost=lost)


def found(hands: Hands, kind: str) -> list[str]:
    return [one.words for one in hands.candidates if one.lost and kind in one.kinds]


def test_as_additions_begin() -> None:
    """What begins as additions in the survivors do is a candidate, as many words as these have."""
    hands = glossed("i. uetonica", "i. marubium", "uel .u. niht")
    assert found(hands, OPENING) == ["i. absinthium", "uel .u. niht"]
    first = hands.candidates[0]
    assert str(first.locus) == "X 1.4" and str(first.last_locus) == "X 1.5"
    assert first.why == ("begins with “i.”, as 2 additions begin (V 1.5, V 2.4)",)
    assert first.position == "within its line"


def test_a_word_of_the_main_hand_is_no_opening() -> None:
    """Words that the main hand has as well, and a long word met in one addition, open nothing."""
    assert found(glossed("and eft leaf"), OPENING) == []
    assert found(glossed("genim leaf"), OPENING) == []
    assert found(glossed("uel leaf"), OPENING) == ["uel .u."]  # short, and never the main hand's


def test_stops_tell_openings_apart() -> None:
    """The numeral .i. and i without a stop are not the opening "i."."""
    hands = hands_in(
        survivor(
            "genim hunan ⸌i. marubium⸍ leaf\ngenim rudan ⸌i. ruta⸍ and eft",
            "genim hunan i. marubium leaf\ngenim rudan i. ruta and eft",
        ),
        lost="genim .i. leaf and i leaf and wermod i, absinthium eft",
    )
    assert found(hands, OPENING) == ["i, absinthium"]
    assert "after" not in hands.candidates[0].position


def test_position_is_told() -> None:
    """A candidate after a word that a survivor has a gloss after is told to stand so."""
    hands = hands_in(
        survivor(
            "genim hunan ⸌i. marubium⸍ leaf\ngenim rudan ⸌i. ruta⸍ and eft",
            "genim hunan i. marubium leaf\ngenim rudan i. ruta and eft",
        ),
        lost="do hunan i. marrubium\ngenim wermod i. absinthium and",
    )
    assert [one.position for one in hands.candidates] == [
        "at the end of its line; after “hunan”, as V 1.3",
        "within its line; second word after “genim”, as V 1.3, V 2.3",
    ]


def test_a_whole_field_of_a_glossary_is_none() -> None:
    """Lemma and gloss are what they are; what follows a gloss in its field may be an addition."""
    known = openings_of([(words("a b"), np.ones(2, dtype=bool))], ())
    assert known.words == {}
    latin = " ".join(["pirus messor silex turris lupus corylus rastrum fornax malleus"] * 3)
    english = " ".join(["pyrige riftere flint stypel wulf hæsel raca ofn slecg wermod leaf"] * 6)
    tongues = Tongues([english], {"la": [latin]})
    learned = Learned(known, tongues, 3.0)
    for text, expected in (
        ("lupus · wulf", []),
        ("wulf · lupus", []),
        ("wulf · leaf lupus", ["lupus"]),
        ("leaf and lupus wulf", ["lupus"]),
    ):
        here = words(text)
        stretches, too_long = search(here, np.ones(len(here), dtype=bool), learned)
        assert [" ".join(map(here.form, range(one.first, one.end))) for one in stretches] == expected, text
        assert not too_long


def test_a_long_passage_in_another_language_is_none() -> None:
    """A run much longer than any addition is a passage: it is counted, and no candidate."""
    latin = "pirus messor silex turris lupus corylus rastrum fornax malleus"
    tongues = Tongues(
        ["pyrige riftere flint stypel wulf hæsel raca ofn slecg leaf " * 6], {"la": [latin * 3]}
    )
    here = words(f"leaf wulf {latin} wulf leaf")
    learned = Learned(openings_of((), ()), tongues, 3.0)
    assert search(here, np.ones(len(here), dtype=bool), learned) == ([], 1)


def test_a_word_that_recurs_is_the_texts_own() -> None:
    """A word of foreign look that stands three times in the copy is no candidate; once, it is."""
    tongues = Tongues(
        ["pyrige riftere flint stypel wulf hæsel leaf " * 9], {"la": ["lupus messor silex turris " * 5]}
    )
    learned = Learned(openings_of((), ()), tongues, 3.0)
    for text, expected in (("leaf lupus wulf", 1), ("leaf lupus wulf lupus, leaf lupus wulf", 0)):
        here = words(text)
        assert len(search(here, np.ones(len(here), dtype=bool), learned)[0]) == expected


def test_limit() -> None:
    """The limit follows the tail: for exponential scores it is where 0.2 false runs are expected."""
    drawn = np.random.default_rng(1).exponential(3.0, 4000).tolist()
    limit = limit_of(drawn, 20_000, 10_000)
    assert limit == pytest.approx(3.0 * math.log(2000 / 0.2), rel=0.1)
    assert limit_of(drawn, LEAST_WORDS - 1, 10_000) is None
    assert limit_of([], 1000, 1000) == 0.0


def test_marked_in_the_copy() -> None:
    """What the lost text's copy gives to another hand is a candidate by that mark."""
    text = "sele drincan wermod ⸌absinthium⸍ þry dagas"
    hands = hands_in(survivor("genim leaf", "genim leaf"), lost=text, lost_profile="leiden")
    (one,) = hands.candidates
    assert (one.words, one.kinds) == ("absinthium", (MARKED,))
    assert one.tried is None


def test_in_brackets_only_if_he_does_so() -> None:
    """Brackets in a lost text are a mark if he set a survivor's additions in brackets; else they are not."""
    lost = "sele drincan wermod (absinthium) þry dagas"
    one = "genim leaf ⸌i. ruta⸍ and eft on þone stan"
    kept = hands_in(survivor(one, "genim leaf (i. ruta) and eft on þone stan"), lost=lost)
    assert [(each.words, each.kinds) for each in kept.candidates] == [("(absinthium)", (MARKED,))]
    assert [(each.kinds, each.candidates, each.right) for each in kept.tried] == [((MARKED,), 1, 1)]
    other = hands_in(survivor(one, "genim leaf i. ruta and eft on þone stan"), lost=lost)
    assert [each for each in other.candidates if MARKED in each.kinds] == []


def test_nothing_to_learn_from() -> None:
    """Without additions and other languages it is said what could not be looked for, and why."""
    hands = hands_in(survivor("genim leaf", "genim leaf"), lost="wiþ ece i. absinthium")
    assert hands.candidates == ()
    told = {one.kind: one for one in hands.searches if one.lost}
    assert not told[OPENING].looked and "no survivor has an addition" in told[OPENING].what
    assert not told[LANGUAGE].looked and "another language" in told[LANGUAGE].what
    assert told[MARKED].looked


def test_words_of_a_survivor_know_their_layers() -> None:
    """The words of a copy are given to the additions they answer, and to the main hand else."""
    one = survivor("genim hunan ⸌i. marubium⸍ leaf ⟦and⟧ eft", "genim hunan i. marubium leaf eft")
    found = judged(one)
    places = places_of(one.original)
    layers = layers_in(found.alignments[0], "V", places, NO_FOLDS)
    assert [each.done for each in layers] == ["reproduced", "left out"]
    here = words_of_survivor(found.alignments[0], "V", places, NO_FOLDS, list(enumerate(layers)))
    assert here.layers.tolist() == [MAIN, MAIN, 0, 0, MAIN, MAIN]
    assert set(here.languages.tolist()) == {"ang"}


def test_planted_glosses_are_found() -> None:
    """In the long demo all planted glosses that begin as others do are found, and hardly anything else."""
    planted = planted_glosses(1, 3, 5)
    hands = hands_found(planted.dossier, planted.alignments)
    text = planted.dossier.lost[0]
    here = words_of(text.copy, text.id, planted.dossier.folds)
    hit, false = set(), 0
    for one in hands.candidates:
        places = set(np.flatnonzero((here.ends > one.span[0]) & (here.starts < one.span[1])).tolist())
        met = {at for at, (_, gloss) in enumerate(planted.lost) if gloss & places}
        hit |= met
        false += not met
    by_sort = {sort: sum(planted.lost[at][0] == sort for at in hit) for sort in SORTS}
    assert false <= 1
    assert all(by_sort[sort] == 5 for sort in SORTS if sort != "Latin alone")
    assert by_sort["Latin alone"] >= 1
    assert hands.left_out == "survivor"
    assert hands.additions == 24
