"""What the script of a passage says beside the letter: learned where scripts differ, and nowhere else."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import nbinom

from fidelity.copyist.script_tags import GRID, ScriptTags
from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import TagModel


def stretch(letters: int, wrong: float, script: str, seed: int) -> Tagged:
    """Give a run of r, a share of which stood for s, in a passage of one script."""
    draw = np.random.default_rng(seed)
    tags = tuple("s" if draw.random() < wrong else "r" for _ in range(letters))
    return Tagged("r" * letters, tags, (True,) * letters, (script,) * letters if script else ())


def learned(*stretches: Tagged) -> tuple[ScriptTags, TagModel]:
    tags = TagModel(stretches)
    return ScriptTags(stretches, tags), tags


def added(one: ScriptTags, tags: TagModel, script: str, tag: str) -> float:
    found = one.log_ratios("r", (script,))
    assert found is not None
    return float(found[0, tags.number[tag]])


def test_who_misreads_one_script_is_not_suspected_in_the_other() -> None:
    """One r in five was s in the one script, one in a hundred in the other: each gets its own chance."""
    one, tags = learned(stretch(2000, 0.2, "insular", 1), stretch(2000, 0.01, "caroline", 2))
    overall = tags.seen("r")["s"] / 4000
    assert overall * math.exp(added(one, tags, "insular", "s")) == pytest.approx(0.2, abs=0.03)
    assert overall * math.exp(added(one, tags, "caroline", "s")) == pytest.approx(0.01, abs=0.01)


def test_chances_stay_chances() -> None:
    """In each script, what is added to each tag leaves probabilities that sum to 1."""
    one, tags = learned(stretch(300, 0.3, "insular", 3), stretch(500, 0.1, "caroline", 4))
    seen = tags.seen("r")
    for script in ("insular", "caroline"):
        total = sum(n / 800 * math.exp(added(one, tags, script, tag)) for tag, n in seen.items())
        assert total == pytest.approx(1.0)


def test_scripts_that_make_no_difference_add_next_to_nothing() -> None:
    """The same habit in both: the prior is narrow, and no chance changes by a tenth."""
    one, tags = learned(stretch(2000, 0.1, "insular", 5), stretch(2000, 0.1, "caroline", 6))
    assert one.shape >= 100
    assert all(abs(added(one, tags, name, "s")) < 0.1 for name in ("insular", "caroline"))


def test_the_shape_is_the_most_probable_one() -> None:
    """By scipy's negative binomial distribution, over the same grid."""
    wrong_in = [(0.3, "a"), (0.1, "b"), (0.2, "")]
    parts = [stretch(300, wrong, name, at) for at, (wrong, name) in enumerate(wrong_in)]
    one, _ = learned(*parts)
    seen = np.array([part.tags.count("s") for part in parts])
    expected = np.full(3, float(seen.sum()) / 3)

    def likelihood(shape: float) -> float:
        return float(np.sum(nbinom.logpmf(seen, shape, shape / (shape + expected))))

    assert one.shape == max(GRID, key=likelihood)


def test_a_letter_never_kept_stays_so() -> None:
    """He wrote r for s alone, in two scripts: the chances of what stood there still sum to 1."""
    tags = tuple("s" if at % 3 else "t" for at in range(30))
    parts = [Tagged("r" * 30, tags, (True,) * 30, (name,) * 30) for name in ("a", "b")]
    one, numbers = learned(*parts)
    chances = {"s": 2 / 3, "t": 1 / 3}
    total = sum(p * math.exp(added(one, numbers, "a", tag)) for tag, p in chances.items())
    assert total == pytest.approx(1.0)


def test_one_script_or_none_says_nothing() -> None:
    """With one script, with no script named, or for a script that no survivor is in, nothing is added."""
    for name in ("insular", ""):
        one, _ = learned(stretch(50, 0.2, name, 7), stretch(50, 0.0, name, 8))
        assert one.log_ratios("r", (name,)) is None
    one, _ = learned(stretch(50, 0.2, "insular", 7), stretch(50, 0.0, "caroline", 8))
    assert one.log_ratios("r", ("",)) is None
    new = one.log_ratios("rr", ("gothic", "insular"))
    assert new is not None
    assert not new[0].any()
    assert new[1].any()
