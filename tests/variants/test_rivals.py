"""Where an equally good alignment would be judged differently, the variant says so, with both."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Variant
from fidelity.variants.collect import collect
from fidelity.variants.rivals import doubts_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness


def collected(original: str, copy: str) -> list[Variant]:
    """Align two texts and collect their differences."""
    alignment = align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))
    return collect(alignment, "E", NO_FOLDS)


@pytest.mark.parametrize(
    ("original", "copy"),
    [
        ("wegbrædan wyrttruman gecnuca", "wegbrædan wyrtruman gecnuca"),  # which t, does not matter
        ("cnuca þa hununan on ecede", "cnuca þa hunan on ecede"),  # un or nu of one word
        ("lege on þone fot and bind", "lege on þone fott and bind"),
        ("his sunu and his wif", "hi sunu and his wif"),  # one s only can be lacking
        ("on smyre mid ecede", "on rmyne mid ecede"),
        ("on landgemæra to wege", "on land gemæra to wege"),
    ],
)
def test_no_doubt(original: str, copy: str) -> None:
    """Where every way comes to the same letters of the same word, nothing is in doubt."""
    assert not any(one.alignment_doubt or one.or_else for one in collected(original, copy))


@pytest.mark.parametrize(
    ("original", "copy", "either"),
    [
        (
            "nim se se wudu and",
            "nim se wudu and",
            {"the earlier “se” (E 1.2) was left out", "the later “se” (E 1.3) was left out"},
        ),
        (
            "nim se wudu and",
            "nim se se wudu and",
            {"the earlier “se” (C 1.2) was put in", "the later “se” (C 1.3) was put in"},
        ),
        (
            "his sunu and his",
            "hisunu and his",
            {"the earlier “s” (E 1.1) was left out", "the later “s” (E 1.2) was left out"},
        ),
        (
            "se wudu rn on felda be",
            "se wudu m on felda be",
            {
                "“r” was written “m” and “n” was left out",
                "“r” was left out and “n” was written “m”",
            },
        ),
        (
            "ana nim anan and ana",
            "ana nim an and ana",
            {
                "“an” was left out",
                "“a” was left out and “n” was left out",
                "“n” was left out and “a” was left out",
            },
        ),  # initial or final
    ],
)
def test_doubt_with_both(original: str, copy: str, either: set[str]) -> None:
    """Another word, other letters paired, or the other end of the word: what else it may be is told."""
    [told] = [one for one in collected(original, copy) if one.alignment_doubt]
    assert told.or_else in either


def test_a_long_stretch_is_told_in_short() -> None:
    """The rival of an eye-skip over many words is named by its first and last words and its place."""
    skipped = " ".join(f"nim {word} and cnuca" for word in ("rudan", "betonican", "finol", "wermod", "hunan"))
    [one] = collected(f"wiþ adle {skipped} nim ecede", "wiþ adle nim ecede")
    assert one.alignment_doubt
    assert "…" in one.or_else and "letters) (E 1.4) was left out" in one.or_else
    assert one.or_else.index("…") < one.or_else.index("”") < one.or_else.index("letters)")


def test_letters_taken_apart_are_no_other_judgement() -> None:
    """That m was left out and rn put in, where m was written rn, is not told: nobody would judge so."""
    text = "EgoCeolmundministerdeHallowmereproremedioanimemeedonoterrammeamqueiacetiuxtamagn"
    found = collected(text, text.replace("terram", "terrarn")[: len(text)])
    assert [(one.original, one.copy, one.or_else) for one in found] == [("m", "rn", ""), ("n", "", "")]


WORDS = st.lists(
    st.sampled_from(["se", "his", "sunu", "wudu", "anan", "rn", "min", "on", "þa", "and"]),
    min_size=3,
    max_size=10,
)


@settings(deadline=None, max_examples=150)
@given(WORDS, st.data())
def test_doubts_are_of_variants(words: list[str], data: st.DataObject) -> None:
    """Each doubt belongs to one variant and names something else than that variant; none hangs in the air."""
    original = copy = " ".join(words)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, max(len(copy) - 1, 0)))
        size = data.draw(st.integers(0, 4))
        copy = copy[:at] + data.draw(st.text("anms ", max_size=2)) + copy[at + size :]
    first, second = read_witness(original or "a", siglum="E"), read_witness(copy.strip() or "a", siglum="C")
    try:
        alignment = align_witnesses(first, second)
    except UnrelatedTextsError:
        return
    variants = collect(alignment, "E", NO_FOLDS)
    spans = {(*one.original_span, *one.copy_span): one for one in variants}
    doubts = doubts_of(alignment, NO_FOLDS)
    assert doubts.keys() <= spans.keys()
    for place, told in doubts.items():
        assert spans[place].alignment_doubt and spans[place].or_else == told != ""
    assert sum(one.alignment_doubt for one in variants) == len(doubts)
