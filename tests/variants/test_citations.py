"""Places cited one after the other, and long stretches in short."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fidelity.letters import encode
from fidelity.variants.citations import LONGEST_SHOWN, Citations, in_short
from fidelity.witnesses.read import read_witness

TEXTS = st.lists(st.text("ab .", min_size=1, max_size=20), min_size=1, max_size=5).map("\n".join)


@given(TEXTS, st.lists(st.integers(0, 99), max_size=8))
def test_places_are_those_of_the_witness(text: str, offsets: list[int]) -> None:
    """In whatever order they are asked for, the loci are those that the witness gives."""
    witness = read_witness("a" + text, siglum="E")
    cited = Citations(witness)
    for offset in offsets:
        at = offset % max(len(witness), 1)
        assert cited.locus(at) == witness.locus(at)


def test_a_stretch_is_cited_from_its_first_to_its_last_word() -> None:
    """White space at its ends does not count, and one word is cited once."""
    cited = Citations(read_witness("nim wudu and\ngenim rudan", siglum="E"), "B")
    first, last = cited.ends(3, 19)
    assert (str(first), str(last)) == ("B 1.2", "B 2.1")
    assert cited.ends(4, 9)[1] is None


@given(st.text("abþ ē", max_size=300))
def test_in_short(text: str) -> None:
    """A short stretch stands as it is; a long one by its ends and how many letters it has, no blanks."""
    shown = in_short(text)
    if len(encode(text)) <= LONGEST_SHOWN:
        assert shown == text
    else:
        assert len(encode(shown)) <= LONGEST_SHOWN
        assert shown.endswith(f"({len(''.join(encode(text).split())):,} letters)")
        assert text.strip().startswith(shown.split(" … ")[0])


def test_of_a_division_alone_the_word_before_it_is_cited() -> None:
    """Words joined are cited by the first of them, also where the line ends between them."""
    witness = read_witness("of þam clife\non þære", siglum="B")
    cite = Citations(witness)
    assert [str(cite.ends(at, at + 1)[0]) for at in (2, 6, 12)] == ["B 1.1", "B 1.2", "B 1.3"]
    assert str(cite.ends(2, 6)[0]) == "B 1.2"  # with a word after it the word is meant
