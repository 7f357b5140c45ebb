"""One word for another counts once, and neighbouring words are parted where they were altered by two men."""

from __future__ import annotations

from functools import cache

import pytest

from fidelity.judge import judge
from fidelity.settings import Settings
from fidelity.sources.coincidence import Coincidence
from fidelity.sources.exchanged import words_exchanged
from fidelity.sources.imported import Survivors, judged, survivors_of
from fidelity.sources.thirds import Third
from fidelity.terms import Cause, Witness
from fidelity.terms.imported import PeculiarLocus, Sharing
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.folds import NO_FOLDS
from tests.planted_import import archetype


@cache
def survivors() -> Survivors:
    """Give what the short demo's survivors tell."""
    found = judge(data_folder("demo_pairs") / "wickenby_short")
    return survivors_of(found.dossier, found.counts, found.variants, found.scores)


def own_readings(copy: dict[int, str], asked: dict[int, str], *thirds: dict[int, str]) -> list[PeculiarLocus]:
    """Give the proved readings of a witness beside others, each made from one text by exchanging words."""
    base = archetype()[:60]

    def of(siglum: str, exchanged: dict[int, str]) -> Witness:
        return Witness(siglum, " ".join(exchanged.get(at, word) for at, word in enumerate(base)))

    beside = [Third(of(siglum, one)) for siglum, one in zip("UKV", thirds, strict=False)]
    found = judged("X", of("X", copy), of("T", asked), beside, survivors(), NO_FOLDS, Settings())
    return [one for one in found.places if one.proved]


@pytest.mark.parametrize("pair", [("water", "maner"), ("good", "holy"), ("hors", "holy"), ("þe", "erl")])
def test_a_word_for_another_counts_once(pair: tuple[str, str]) -> None:
    """What letters the two happen to share parts nothing: one place, and the weight of a word."""
    (one,) = own_readings({20: pair[0]}, {20: pair[1]}, {20: pair[0]}, {20: pair[0]})
    assert (one.third, one.reading, one.kind) == (*pair, "another word")
    assert one.coincidence == survivors().chances.rate(Cause.WORD_SUBSTITUTION)


@pytest.mark.parametrize(("often", "parted"), [(50, True), (0, False)])
def test_two_likely_slips_in_a_word_stay_two(often: int, parted: bool) -> None:
    """Slips in letters that he makes often are likelier than another word; such as he never makes are not."""
    known = Coincidence(
        {("s", "f"): often, ("s", "s"): 1_000 - often},
        {"s": 1_000, "": 9_000},
        frozenset("sftu"),
        {Cause.WORD_SUBSTITUTION: (1, 1_000)},
    )
    texts = Witness("U", "on susit þa"), Witness("T", "on fufit þa")
    spans = [((3, 4), (3, 4)), ((5, 6), (5, 6))]
    whole = [((3, 8), (3, 8))]
    assert words_exchanged(spans, texts, known, NO_FOLDS) == (spans if parted else whole)
    assert words_exchanged(spans, texts, known, NO_FOLDS, frozenset({("s", "f")})) == spans  # usage stays


def test_neighbouring_words_altered_by_two_are_parted() -> None:
    """T has another word where U has none of its own, and the copy has neither: nothing is shared."""
    for asked, third in (({21: "dide"}, {20: "erl"}), ({20: "erl"}, {21: "dide"})):
        right = {20: "henne", 21: "made"}
        (one,) = own_readings(right, right | asked, right | third, right)
        assert [one.reading] == list(asked.values())
        assert one.sharing is Sharing.NOT_SHARED


def test_what_a_third_has_but_for_a_slip_is_not_the_witness_s_own() -> None:
    """U has castel; K has our for oure: that all but U have oure is no reading of the witness's own."""
    right = {20: "oure"}
    assert own_readings(right, right, {20: "castel"}, {20: "our"}) == []
    (one,) = own_readings({20: "castel"}, right, {20: "castel"}, {20: "herte"})
    assert one.reading == "oure"
