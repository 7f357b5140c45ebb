"""Rules run over everything: what is planted is counted, by hand or by brute force."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import tag_alignment
from fidelity.readings.consistency import Consistency, Grounds, consistency
from fidelity.settings import Settings
from fidelity.terms import ProposedReading, RuleUse, Witness
from fidelity.variants.set_aside import evidence_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted import saga_lines

# He writes r for s at the end of a word, and now and then joins two words.
ORIGINAL = """[fol. 1r]
nim þæs treowes leaf on hærfeste and wæter
[fol. 1v]
gif hit þæs sie nim wæs on his hus and wær ofer
[fol. 2r]
of þam treowes ær þæs
"""
COPY = """[fol. 1r]
nim þær treower leaf on hærfeste and wæter
[fol. 1v]
gif hit þæs sie nim wær on his hus and wær ofer
[fol. 2r]
ofþam treower ær þær
"""
LOST = "of þære ac nim þær wær and þær bolster ofhis wæter hwær"
WORDS = {"of", "his", "þæs", "wæs", "wær", "wæter", "and", "nim", "ac", "þære", "treowes"}


def reading(number: int, lost: str, at: int, transmitted: str, proposed: str, p: float) -> ProposedReading:
    copy = Witness("X", lost)
    assert lost[at : at + len(transmitted)] == transmitted
    span = (at, at + len(transmitted))
    return ProposedReading(number, "X", copy.locus(at), span, transmitted, proposed, p)


@cache
def grounds() -> Grounds:
    """Give what the rules are held against: the survivor E, the lost text X, the words known."""
    pair = (read_witness(ORIGINAL, siglum="E"), read_witness(COPY, siglum="E"))
    alignment = align_witnesses(*pair, NO_FOLDS)
    copy = Witness("X", LOST)
    return Grounds(
        copies={"X": (copy, evidence_of(copy))},
        tagged={"E": tag_alignment(alignment, NO_FOLDS)},
        alignments={"E": alignment},
        words=WORDS,
        known={("s", "r"), (" ", "")},
        folds=NO_FOLDS,
        settings=Settings(),
    )


@cache
def found() -> Consistency:
    readings = [
        reading(1, LOST, 15, "þær", "þæs", 0.9),
        reading(2, LOST, 19, "wær", "wæs", 0.4),
        reading(3, LOST, 39, "ofhis", "of his", 0.8),
        reading(4, LOST, 51, "hwær", "hwæs", 0.7),
    ]
    return consistency(readings, grounds())


def use(rule: str, where: str = "") -> RuleUse:
    return next(one for one in found().uses if (one.rule, one.where) == (rule, where))


def test_a_rule_in_the_lost_text() -> None:
    """Of seven r two are proposed and one is possible; the rest is left, and known why."""
    one = use("s→r")
    assert (one.places, one.proposed, one.possible, one.left) == (7, 2, 1, 4)
    # þær would be the word þæs; þære and wæter are words and þæse, wætes are none; bolstes is none either
    assert (one.would_be_known, one.both_known, one.word_lost, one.both_unknown) == (1, 0, 2, 1)


def test_a_rule_in_the_survivors() -> None:
    """Of his r five were s; at wær, wæter, hærfeste (and treower itself) following it would be wrong."""
    one = use("s→r")
    written = Counter(COPY)["r"] - COPY.count("fol. 1r") - COPY.count("fol. 2r")
    assert (one.survivor_places, one.right) == (written, 5)
    assert one.wrong == written - 5
    assert 0 < one.low < 5 / written < one.high < 1
    assert {place.split()[-1] for place in one.wrong_at} <= {
        "treower", "hærfeste", "wæter", "wær", "ofer", "ær"
    }  # fmt: skip
    assert one.wrong_at[0] == "E 1r:1.3 treower"


def test_narrower_surroundings() -> None:
    """At the end of a word the rule is right more often; what has fewer than five places is not told."""
    one = use("s→r", "at the end of a word")
    assert (one.places, one.proposed, one.possible) == (6, 2, 1)
    assert (one.survivor_places, one.right, one.wrong) == (9, 5, 4)
    assert not any(each.where == "in þær" for each in found().uses)


def test_a_division_is_a_rule() -> None:
    """A space left out could have been left out anywhere inside a word; once it was, and is proposed once."""
    one = use("␣→∅")
    inside = sum(len(word) - 1 for word in LOST.split())
    assert (one.places, one.proposed) == (inside, 1)
    words = [word for line in COPY.splitlines() if "[" not in line for word in line.split()]
    assert (one.survivor_places, one.right) == (sum(len(word) - 1 for word in words), 1)


def test_here_and_not_there() -> None:
    """The second þær, left, stands beside the first, proposed, with what is known of it."""
    places = [one for one in found().places if one.same == "in þær"]
    assert [(str(one.locus), one.probability) for one in places] == [("X 1.5", 0.9), ("X 1.8", None)]
    assert places[1].why == "no known word, and would be one"
    assert places[1].context == "and þær bolster"
    alike = [one for one in found().places if one.same == "in …wær"]
    assert [(one.word, one.probability) for one in alike] == [("hwær", 0.7), ("wær", 0.4)]


def test_other_places_are_cited_with_each_proposal() -> None:
    """Proposals first, then places left, then the rest in numbers."""
    first, second, third, _ = (one.same_rule_elsewhere for one in found().readings)
    assert first[:2] == ("X 1.6 wær → wæs (0.40)", "X 1.12 hwær → hwæs (0.70)")
    assert first[2] == "X 1.8 þær left: no known word, and would be one"
    assert second[0] == "X 1.5 þær → þæs (0.90)"
    assert third[-1].startswith("␣→∅: and ")


@pytest.mark.parametrize("rule", [("k", "g"), ("m", "nn"), ("", "e"), ("e", ""), (" ", ""), ("", " ")])
def test_every_place_is_counted(rule: tuple[str, str]) -> None:
    """On a long text all places, and in a copy without slips all wrong ones, are found by brute force."""
    lines = saga_lines()[:300]
    text, copy = "\n".join(lines[:100]), Witness("X", " ".join(lines[100:]))
    pair = (read_witness(text, siglum="E"), read_witness(text, siglum="E"))
    alignment = align_witnesses(*pair, NO_FOLDS)
    original, written = rule
    spot = copy.letters.index(written, 40) if written else 41
    while original == " " and " " in copy.letters[spot - 1 : spot + 1]:
        spot += 1
    one = ProposedReading(1, "X", copy.locus(spot), (spot, spot + len(written)), written, original, 0.9)
    grounds = Grounds(
        {"X": (copy, evidence_of(copy))}, {"E": tag_alignment(alignment, NO_FOLDS)}, {"E": alignment},
        set(text.split()), {rule}, NO_FOLDS, Settings(),
    )  # fmt: skip
    told = consistency([one], grounds).uses[0]
    assert told.places == _places(copy.letters, rule)
    assert told.survivor_places == told.wrong == _places(pair[1].letters, rule, in_words=False)
    assert told.right == 0


def _places(letters: str, rule: tuple[str, str], in_words: bool = True) -> int:
    """Count where a rule could be undone, place by place."""
    original, written = rule
    number = 0
    for at in range(0 if in_words else 1, len(letters) + 1):
        if written:
            number += letters[at : at + len(written)] == written
        elif original.isspace():
            number += 0 < at < len(letters) and " " not in letters[at - 1 : at + 1]
        else:  # beside a division there are two places in words, after a letter there is one
            number += 1
    return number


def test_letters_of_others_are_no_places() -> None:
    """What a transcriber restored in the copy is not his, and no rule is run over it."""
    copy = Witness("X", "þær þær", states=bytes([0, 0, 0, 0, 2, 2, 2]))
    alignment = align_witnesses(Witness("E", "þæs"), Witness("E", "þær"), NO_FOLDS)
    one = ProposedReading(1, "X", copy.locus(0), (0, 3), "þær", "þæs", 0.9)
    grounds = Grounds(
        {"X": (copy, evidence_of(copy))}, {"E": tag_alignment(alignment, NO_FOLDS)}, {"E": alignment},
        set(), {("s", "r")}, NO_FOLDS, Settings(),
    )  # fmt: skip
    assert consistency([one], grounds).uses[0].places == 1
    assert consistency([], replace(grounds, copies={})).uses == ()
    assert np.array_equal(evidence_of(copy)[:3], [True] * 3)
