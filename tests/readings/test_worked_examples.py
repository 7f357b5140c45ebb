"""Published worked examples through the whole chain: aligned, learned, restored, proposed.

The numbers of the examples belong to a channel and counts of their own (``test_acress.py`` has them to the
figure); here it is tried that what decided them decides in the whole model too.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.audit import audit
from fidelity.copyist.model import Model, learn
from fidelity.copyist.tagging import tag_alignment
from fidelity.copyist.tags import TagModel
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.readings.candidates import candidates_of
from fidelity.readings.lattice import Restorer
from fidelity.settings import Settings
from fidelity.terms import ProposedReading, Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

BEAM = 24

# Kernighan, Church & Gale 1990 as worked out in Jurafsky & Martin, Speech and Language Processing, 3rd ed.
# draft, appendix on spelling and the noisy channel: "versatile acress whose" is actress, by the words beside
# it; "two of thew" is the, though thew is a word and most words are copied right.
REFERENCE = {
    "a versatile actress whose voice was sweet": 12,
    "the versatile actress whose art was known": 12,
    "he came across the river to the town": 40,
    "she went across the hill to the sea": 40,
    "two of the men and three of the maids": 40,
    "all sinew and thew was he": 6,
    "of bone and thew and muscle": 6,
}
# What he makes of other words: now and then c for ct, e for o, and w put in after e.
COPIED = {
    ("a fact for the doctor to note", "a fac fer the doctor to note"): 4,
    ("a fact for the doctor to note", "a fact for the docter tew note"): 2,
    ("the rector of the sect is here", "the recor of the sect is here"): 4,
    ("the rector of the sect is here", "the rector ef the sect is herew"): 2,
    ("the oldest clerk can tell more", "the oldest clerk can tell more"): 20,
    ("a fact for the doctor to note", "a fact for the doctor to note"): 20,
    ("a new law was drawn then", "a new law was drawn then"): 20,
}


@cache
def model() -> Model:
    """Learn from a copy with a few such slips among many words copied right, and from a reference text."""
    original, copy = (
        " ".join(pair[side] for pair, times in COPIED.items() for _ in range(times)) for side in (0, 1)
    )
    reference = " ".join(line for line, times in REFERENCE.items() for _ in range(times))
    tagged = tag_alignment(align_witnesses(Witness("O", original), Witness("C", copy)), NO_FOLDS)
    return learn([tagged], [original, reference])


def rivals(copied: str, word: str) -> dict[str, float]:
    """Give what may have stood for a word of a copied line, with what the model itself thinks of each."""
    at = copied.index(word)
    (unit,) = (
        one
        for one in candidates_of(copied, (0,), model(), BEAM)
        if one.start <= at and at + len(word) <= one.end
    )
    assert unit.transmitted == word
    return unit.readings


def test_the_words_beside_acress_decide() -> None:
    """After "versatile" acress is actress, after "came" it is across; neither is a matter of course."""
    lines = "a versatile acress whose voice was sweet", "he came acress the river to the town"
    versatile, came = (rivals(line, "acress") for line in lines)
    assert versatile["actress"] > versatile.get("across", 0.0)
    assert came["across"] > came.get("actress", 0.0)
    for line, other in zip(lines, ("across", "actress"), strict=True):
        everything, at = Restorer(model(), None).restore(line), line.index("acress")
        found = everything.readings(at, at + len("acress"))  # with nothing given up on the way
        assert max(found.values()) > found["acress"] > 0
        assert found[other] > 0
    for found in (versatile, came):
        assert math.fsum(found.values()) <= 1 + 1e-9


def test_thew_may_stay_or_be_wrong() -> None:
    """Beside "two of" thew is the; beside "sinew and" it stays; as transmitted it is a rival in both."""
    two_of, sinew = rivals("two of thew men and three", "thew"), rivals("all sinew and thew was he", "thew")
    assert two_of["the"] > two_of["thew"] > 0
    assert sinew["thew"] > 0.9 > sinew.get("the", 0.0)


def test_the_model_has_no_base_rate_trap() -> None:
    """400 r, 300 s, s written r with .15: of 445 written r, 45 stood for s, .101; not .15 of them.

    The sum is done by hand: what is seen, drawn a little towards the share of errors at all (46 of 701).
    """
    original = "r" * 400 + "s" * 300
    copied = "r" * 400 + "r" * 45 + "s" * 255
    tags = [tag_alignment(align_witnesses(Witness("O", o), Witness("C", c)), NO_FOLDS)
            for o, c in zip(original, copied, strict=True)]  # fmt: skip
    found = TagModel(tags).answers(("r",))
    assert 45.5 / 701 < found["s"] < 45 / 445
    assert found["s"] == pytest.approx(45 / 445, abs=0.001)
    assert found["r"] == pytest.approx(1 - found["s"])


SHARE = {"r": 4, "s": 3}  # of the letters' weights; all others have 1
S_AS_R = 0.15


def word_drawn(rng: np.random.Generator) -> str:
    """Draw a word of letters that say nothing of one another."""
    letters = "aeioubdglmnrst"
    weights = np.array([SHARE.get(letter, 1) for letter in letters], dtype=float)
    return "".join(rng.choice(list(letters), size=5, p=weights / weights.sum()).tolist())


def drawn(rng: np.random.Generator, words: int) -> tuple[str, str]:
    """Draw a text, and the copy of one who writes r for s with .15 and makes no other slip."""
    original = "\n".join(" ".join(word_drawn(rng) for _ in range(8)) for _ in range(words // 8))
    copy = "".join("r" if x == "s" and rng.random() < S_AS_R else x for x in original)
    return original, copy


@cache
def audited() -> tuple[str, str, tuple[ProposedReading, ...]]:
    rng = np.random.default_rng(4)
    survivors = []
    for number in range(3):
        first, second = (read_witness(text, siglum=f"S{number}") for text in drawn(rng, 800))
        survivors.append(Survivor(f"S{number}", first, second))
    original, copy = drawn(rng, 1000)
    lost = LostText("L", read_witness(copy, siglum="L"))
    settings = Settings(report_from=0.02)
    dossier = Dossier(Path(), "", "", NO_FOLDS, tuple(survivors), (lost,), (), (), settings)
    return original.replace("\n", " "), copy.replace("\n", " "), audit(dossier).readings


def test_probabilities_are_of_the_original_given_the_copy() -> None:
    """Where letters say nothing of one another, s for a written r is proposed with about .10, never .15."""
    original, copy, readings = audited()
    written = [at for at, letter in enumerate(copy) if letter == "r"]
    share = sum(original[at] == "s" for at in written) / len(written)
    assert share == pytest.approx(45 / 445, abs=0.02)
    undone = [one for one in readings if one.steps == ("s→r",)]
    assert len(undone) > 0.9 * len(readings) > 300
    said = [one.probability for one in readings if one.is_proposal]
    assert np.percentile(said, 99) < 0.25
    assert max(said) < 0.3
    assert np.mean([one.probability for one in undone]) == pytest.approx(share, abs=0.02)
