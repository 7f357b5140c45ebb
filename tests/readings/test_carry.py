"""The loops of the restoration: beside dictionaries and logs, and compiled beside interpreted."""

from __future__ import annotations

import math
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import pytest

from fidelity.copyist.tags import REACH
from fidelity.readings import known, lattice
from fidelity.readings.candidates import candidates_of, unit_spans
from fidelity.readings.lattice import Lattice, Restorer
from tests.alignment.compiled import interpreted
from tests.readings.by_dicts import restored
from tests.readings.test_candidates import learned

PLAIN_CARRY, PLAIN_GATHER = interpreted("carry", lattice), interpreted("gather", lattice)


@contextmanager
def as_plain_python() -> Iterator[None]:
    """Let the loops be interpreted, whatever is compiled."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(known, "carry", PLAIN_CARRY)
        patch.setattr(known, "COMPILED", False)
        patch.setattr(lattice, "carry", PLAIN_CARRY)
        patch.setattr(lattice, "gather", PLAIN_GATHER)
        yield


def stretches() -> list[str]:
    """Give the copy in lines, and with letters that no survivor has."""
    _, copied, starts, _ = learned()
    lines = [copied[a : b - 1] for a, b in zip(starts, [*starts[1:], len(copied) + 1], strict=True)]
    return [*lines, "ßs " + lines[0].replace("a", "ß") + " " + lines[1], " ", "ß", "s\x00 \x00"]


def told(found: Lattice) -> list[dict[str, float]]:
    """Give all that a lattice says of its letters and units."""
    units = [found.readings(*span) for span in unit_spans(found, learned()[0])]
    return [*(found.letter(at) for at in range(len(found.copied))), *units]


def in_order(found: Lattice) -> list[list[tuple[str, float]]]:
    """Give the same with the order in which it is told."""
    return [list(one.items()) for one in told(found)]


def agree(found: dict[str, float], expected: dict[str, float], least: float = 1e-9) -> bool:
    return all(abs(found.get(key, 0.0) - expected.get(key, 0.0)) < least for key in {*found, *expected})


@pytest.mark.parametrize("beam", [2, 24])
def test_the_same_as_with_dictionaries(beam: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters and readings are those of a second writing of the same sums, to a billionth."""
    monkeypatch.setattr(lattice, "MOST_STRINGS", 10**6)
    restorer = Restorer(learned()[0], beam)
    for copied in stretches():
        found, expected = restorer.restore(copied), restored(learned()[0], copied, beam)
        for at in range(len(copied)):
            assert agree(found.letter(at), expected.letter(at)), (copied, at)
        for start, end in unit_spans(found, learned()[0]):
            assert agree(found.readings(start, end), expected.readings(start, end)), (copied, start, end)


@pytest.mark.skipif(not known.COMPILED, reason="the loops are not compiled here")
@pytest.mark.parametrize(("beam", "most"), [(3, 2), (24, 40), (None, 40)])
def test_compiled_or_not_the_same(beam: int | None, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the last bit, and in the same order, the loops say the same compiled and interpreted."""
    monkeypatch.setattr(lattice, "MOST_STRINGS", most)
    lines = stretches() if beam else ["su", "tr "]
    restorer = Restorer(learned()[0], beam)
    compiled = [in_order(restorer.restore(copied)) for copied in lines]
    with as_plain_python():
        restorer = Restorer(learned()[0], beam)
        assert [in_order(restorer.restore(copied)) for copied in lines] == compiled


@pytest.mark.parametrize("plain", [False, True])
def test_room_is_made(plain: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first room is too small, it is made larger and the result is the same."""
    copied = stretches()[0]
    enough = told(Restorer(learned()[0], 24).restore(copied))
    monkeypatch.setattr(lattice, "FIRST_ROOM", 1)
    monkeypatch.setattr(lattice, "ROOM_FOR_READINGS", 1)
    if plain:
        with as_plain_python():
            assert told(Restorer(learned()[0], 24).restore(copied)) == enough
    else:
        assert told(Restorer(learned()[0], 24).restore(copied)) == enough


def test_a_second_model_may_have_its_say() -> None:
    """What is added to the score of a tag at a letter changes its odds by that many nats."""
    restorer = Restorer(learned()[0], None)
    before = restorer.restore("u").letter(0)
    tags = restorer.knowledge.contexts.tags
    extra = np.zeros((1, len(tags)))
    extra[0, tags.index("n")] = 1.5
    after = restorer.restore("u", extra).letter(0)
    assert after["n"] / after["u"] == pytest.approx(before["n"] / before["u"] * math.exp(1.5))
    assert agree(restorer.restore("u", extra * 0).letter(0), before)
    assert restorer.restore("ŋ", extra).letter(0) == {"ŋ": 1.0}  # a letter, and a tag, never met before


def test_what_is_given_up_is_the_least() -> None:
    """A narrow beam keeps the best: the wider it is, the nearer to all there is."""
    lines = stretches()

    def letters_at(beam: int) -> list[dict[str, float]]:
        restorer = Restorer(learned()[0], beam)
        lattices = [(copied, restorer.restore(copied)) for copied in lines]
        return [found.letter(at) for copied, found in lattices for at in range(len(copied))]

    def off(beam: int) -> float:
        return sum(
            abs(p - found.get(tag, 0.0))
            for one, found in zip(wide, letters_at(beam), strict=True)
            for tag, p in one.items()
        )

    wide = letters_at(3000)
    assert off(1) > off(2) > off(6) >= off(24)


def test_memory_does_not_grow_with_the_text() -> None:
    """Four times the text, restored and given out unit by unit, needs no more room than the text once."""
    model, copied, starts, _ = learned()

    def most(times: int) -> int:
        whole = " ".join([copied] * times)
        lines = tuple(start + at * (len(copied) + 1) for at in range(times) for start in starts)
        tracemalloc.start()
        assert sum(1 for _ in candidates_of(whole, lines, model, 24)) >= times
        found = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return found

    most(1)  # what is laid out once and kept
    assert most(4) < most(1) * 1.1


def test_contexts_reach_as_far_as_tags_do() -> None:
    """The loop keeps as many tags as a context may ask for."""
    assert PLAIN_CARRY.LOOK_BACK == REACH
