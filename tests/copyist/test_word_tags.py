"""Tags by words: a remembered word, an unknown one, and proper shares."""

from __future__ import annotations

import numpy as np
import pytest

from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import TagModel
from fidelity.copyist.word_tags import UNLISTED, WordTags, signs_of


def words(pairs: list[tuple[str, str]]) -> Tagged:
    """Make a copy, word by word, whose letters answer the original's one for one."""
    copied, original = (" ".join(side) for side in zip(*pairs, strict=True))
    return Tagged(copied, tuple(original), (True,) * len(copied))


def chances(model: WordTags, tags: TagModel, copied: str, at: int) -> dict[str, float]:
    """Give P(tag) at one letter, the tags that are listed."""
    row = np.exp(model.log_chances(copied)[at])
    return {tag: p for tag, p in zip(tags.tags, row.tolist(), strict=True) if p > 1.5 * UNLISTED}


SEEN = words([("wær", "wæs"), ("fyre", "fyre"), ("her", "her"), ("on", "on")] * 30)


def test_a_word_is_remembered_as_a_whole() -> None:
    """wær always stood for wæs, her for her: their last letters are told apart by the word."""
    tags = TagModel([SEEN])
    model = WordTags([SEEN], tags)
    assert chances(model, tags, "on wær fyre", 5)["s"] > 0.8
    assert chances(model, tags, "fyre her on", 7)["r"] > 0.8


def test_an_unknown_word_falls_back_on_the_letters_beside() -> None:
    """þær was never met: its r is judged as any r after æ at a word's end."""
    tags = TagModel([SEEN])
    model = WordTags([SEEN], tags)
    found = chances(model, tags, "on þær on", 5)
    assert found["s"] > found["r"]
    assert np.all(model.log_chances("x")[0] == 0.0)  # a letter never met says nothing


@pytest.mark.parametrize("copied", ["on wær fyre", "herer wæ", "e", "  her"])
def test_listed_shares_are_probabilities(copied: str) -> None:
    """What is listed at a letter that was met sums to 1, but for what is too improbable."""
    tags = TagModel([SEEN])
    model = WordTags([SEEN], tags)
    for at in range(len(copied)):
        assert sum(chances(model, tags, copied, at).values()) == pytest.approx(1, abs=0.01)


def test_letters_that_are_not_trusted_teach_nothing() -> None:
    """A word of which no letter is trusted leaves no trace."""
    doubtful = Tagged("wær", ("w", "æ", "s"), (False,) * 3)
    tags = TagModel([SEEN, doubtful])
    assert np.array_equal(
        WordTags([SEEN, doubtful], tags).log_chances("wær"), WordTags([SEEN], tags).log_chances("wær")
    )


def test_parts_of_a_context_in_order() -> None:
    """Letter after, letter before, place in the word, word after, word before; a division has no word."""
    found = list(signs_of("of me"))
    assert found[0][1] == found[4][0]  # the edge on either side
    assert found[1] == (" ", "o", (1, "of"), "me", "")
    assert found[2] == ("m", "f", (0, " "), "", "")
