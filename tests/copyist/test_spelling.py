"""The spelling of the originals: letters used alike are found out, minimal pairs are not."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from fidelity.copyist.spelling import LEAST_PAIRS, OFTEN, Spelling

ALPHABET = "bdfglkaeoiyrtsxqz"


def apart(letters: str, shift: int) -> list[str]:
    """Give words of three letters, any two of which differ in two letters at least."""
    size = len(letters)
    return [
        letters[first] + letters[second] + letters[(first + second + shift) % size]
        for first in range(size)
        for second in range(size)
    ]


STEMS = apart("bdflae", 0)  # thirty-six


def written(*forms: str, times: int = OFTEN) -> Counter[str]:
    return Counter(dict.fromkeys(forms, times))


def used_alike(share: float, times: int = OFTEN) -> Counter[str]:
    """Write all stems with þ after them, and a share of them with ð too."""
    with_other = STEMS[: round(share * len(STEMS))]
    return written(*(f"{stem}þ" for stem in STEMS), *(f"{stem}ð" for stem in with_other), times=times)


def test_letters_used_alike_are_learned() -> None:
    """Where most words with þ are met with ð as well, forms are one word, also where only one was met."""
    counts = used_alike(0.9)
    spelling = Spelling(counts)
    assert set(spelling.alike) == {"þ", "ð"}
    assert spelling.key("onþam") == spelling.key("onðam") != spelling.key("ontam")
    assert spelling.count("barþ") == spelling.count("barð") == counts["barþ"] + counts["barð"]
    assert spelling.count(f"{STEMS[-1]}ð") == counts[f"{STEMS[-1]}þ"] > 0


def test_minimal_pairs_are_not() -> None:
    """Letters that tell words apart in many pairs, but are in many more words alone, stay apart."""
    pairs = [stem + end for stem in STEMS[: LEAST_PAIRS + 4] for end in "nm"]
    assert set(Spelling(written(*pairs)).alike) == {"n", "m"}  # were there no other words
    alone = [f"n{one}" for one in apart(ALPHABET, 0)] + [f"m{one}" for one in apart(ALPHABET, 1)]
    spelling = Spelling(written(*pairs, *alone))
    assert spelling.alike == {}
    assert spelling.key(pairs[0]) != spelling.key(pairs[1])
    assert spelling.count(pairs[0]) == OFTEN


def test_few_pairs_say_nothing() -> None:
    """A handful of pairs, however regular, is no spelling: rhyming pronouns make as many."""
    few = STEMS[: LEAST_PAIRS - 1]
    assert Spelling(written(*(stem + end for stem in few for end in "þð"))).alike == {}
    enough = STEMS[:LEAST_PAIRS]
    assert set(Spelling(written(*(stem + end for stem in enough for end in "þð"))).alike) == {"þ", "ð"}


def test_rare_forms_say_nothing() -> None:
    """Forms met once or twice may be slips of their own: letters are not learned from them."""
    assert Spelling(used_alike(0.9, times=OFTEN - 1)).alike == {}


def test_three_letters_may_be_one() -> None:
    """Letters each used as the two others make one group, whichever is asked for."""
    spelling = Spelling(written(*(stem + end for stem in STEMS for end in "uvw")))
    assert len({spelling.key(end) for end in "uvw"}) == 1


@given(st.dictionaries(st.text("abþð", min_size=1, max_size=4), st.integers(1, 9), max_size=60))
def test_forms_are_counted_together(counts: dict[str, int]) -> None:
    """A word is met as often as all its forms; nothing is counted twice, and a key is its own key."""
    for spelling in (Spelling(counts), Spelling(used_alike(0.9) + Counter(counts))):
        for form in counts:
            assert spelling.key(spelling.key(form)) == spelling.key(form)
            assert spelling.count(form) >= counts[form]
    spelling = Spelling(counts)
    by_key = {spelling.key(form): spelling.count(form) for form in counts}
    assert sum(by_key.values()) == sum(counts.values())
