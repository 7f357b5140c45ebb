"""Places are understood as scholars write them, and stay what they are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.dossier.cited import find_place
from fidelity.errors import DataError, UsageError
from fidelity.terms import Witness
from fidelity.witnesses.read import read_witness

LEAVES = "[fol. 12r]\nan tu þri feo-\nwer fif\nsyx seo\n[fol. 12v]\neah nig\ntyn end lif\n"
VERSES = "I.1\tic wær on fyre\nI.2\twæter me pende\nII.1\tnu ic on hærfeste\n"


def texts() -> dict[str, Witness]:
    """Give a text on leaves, one with verse numbers of its own, and one whose lines are counted."""
    return {
        "B": read_witness(LEAVES, siglum="B"),
        "V": read_witness(VERSES, siglum="V", numbered=True),
        "X": read_witness("ic wær on\nwæter me\nnu ic", siglum="X"),
    }


@pytest.mark.parametrize(
    ("written", "place", "words"),
    [
        ("B 12r:3.2", "B 12r:3.2", "seo"),
        ("B 12r:3", "B 12r:3.1-2", "syx seo"),
        ("B f. 12r, l. 3", "B 12r:3.1-2", "syx seo"),
        ("B fol. 12 recto, line 3, word 2", "B 12r:3.2", "seo"),
        ("b 12R,3,2", "B 12r:3.2", "seo"),
        ("B f.12v l.2", "B 12v:2.1-3", "tyn end lif"),
        ("B 12r:1.2-3", "B 12r:1.2-3", "tu þri"),
        ("B 12r:1.2–3", "B 12r:1.2-3", "tu þri"),
        ("B 12r:2-3", "B 12r:1.4-12r:3.2", "feower fif syx seo"),
        ("B ff. 12r:3-12v:2", "B 12r:3.1-12v:2.3", "syx seo eah nig tyn end lif"),
        ("B 12v", "B 12v:1.1-12v:2.3", "eah nig tyn end lif"),
        ("V II.1", "V II.1.1-4", "nu ic on hærfeste"),
        ("V II.1.4", "V II.1.4", "hærfeste"),
        ("V v. I.2", "V I.2.1-3", "wæter me pende"),
        ("V I.1.2-I.2.1", "V I.1.2-I.2.1", "wær on fyre wæter"),
        ("X 1.2", "X 1.2", "wær"),
        ("1.2", "X 1.2", "wær"),
        ("l. 2", "X 2.1-2", "wæter me"),
        ("X", "X 1.1-3.2", "ic wær on wæter me nu ic"),
    ],
)
def test_a_place_is_understood_as_it_is_written(written: str, place: str, words: str) -> None:
    """Page, line, word, ranges, verse numbers, either case of r and v; the text where one is meant."""
    found = find_place(written, texts(), ["X"])
    assert str(found) == place
    assert texts()[found.text].letters[slice(*found.span)] == words
    again = find_place(str(found), texts())
    assert again.span == found.span  # what is printed is understood


@pytest.mark.parametrize(
    ("written", "what", "nearest"),
    [
        ("Q 3", "there is no text Q", "did you mean"),
        ("B 14r:1", "B has no page 14r", "B 12r:1"),
        ("B 12r:9", "B has no line 9 on page 12r", "B 12r:3"),
        ("B 12r:3.9", "B 12r:3 has no word 9", "B 12r:3.2"),
        ("X 1.0", "X 1 has no word 0", "X 1.1"),
        ("X 7", "X has no line 7", "X 3"),
        ("X 1.2-9", "X 1 has no word 9", "X 1.3"),
        ("V II.7", "V has no line ii", "V II.1"),
        ("X 2-1", "ends before it begins", "X 1"),
    ],
)
def test_what_is_not_there_is_told_with_the_nearest(written: str, what: str, nearest: str) -> None:
    """A wrong text, page, line or word is a fault that names the nearest there is."""
    with pytest.raises(DataError) as error:
        find_place(written, texts(), ["X"])
    assert what in error.value.faults[0].what
    assert nearest in error.value.faults[0].remedy


def test_a_text_must_be_named_where_several_are_meant() -> None:
    """Without a text, and without a place, nobody knows what is asked."""
    for written in ("1.2", " "):
        with pytest.raises(UsageError):
            find_place(written, texts(), ["X", "V"])


def test_a_word_over_a_line_end_is_one_word() -> None:
    """Cited in either line, it is whole."""
    assert find_place("B 12r:1.4", texts()).span == find_place("B 12r:2.1", texts()).span


def test_a_place_stays_when_another_line_is_corrected() -> None:
    """A correction in another line, or more lines on another page, move no citation."""
    corrected = LEAVES.replace("an tu þri", "an anfeald twifeald þri").replace("tyn end", "tyn\nand\nend")
    longer = corrected.replace("[fol. 12r]", "[fol. 11v]\nnew line\nanother\n[fol. 12r]")
    for changed in (corrected, longer):
        witness = read_witness(changed, siglum="B")
        for written in ("B 12r:3.2", "B 12v:1", "B 12r:3.1-2"):
            before, after = find_place(written, texts()), find_place(written, {"B": witness})
            assert str(before) == str(after)
            assert texts()["B"].letters[slice(*before.span)] == witness.letters[slice(*after.span)]


WORDS = st.lists(st.lists(st.text("abæþ", min_size=1), min_size=1, max_size=5), min_size=1, max_size=5)


@given(st.lists(WORDS, min_size=1, max_size=3))
def test_every_word_is_found_by_its_own_citation(pages: list[list[list[str]]]) -> None:
    """Whatever a text holds, a word cited by the program is found where it stands."""
    rows = []
    for number, page in enumerate(pages, start=1):
        rows += [f"[fol. {number}r]", *(" ".join(line) for line in page)]
    witness = read_witness("\n".join(rows), siglum="T")
    for at, letter in enumerate(witness.letters):
        if not letter.isspace():
            found = find_place(str(witness.locus(at)), {"T": witness})
            assert found.span[0] <= at < found.span[1]
            assert not any(map(str.isspace, witness.letters[slice(*found.span)]))
