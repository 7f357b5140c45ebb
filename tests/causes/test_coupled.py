"""Two linked fields changed together, each case beside changes that have nothing to do with each other."""

from __future__ import annotations

import pytest

from fidelity.terms import Cause, Variant, Witness
from fidelity.variants.numerals import numeral_pairs, value_of_numeral
from tests.causes.judging import judged

GLOSSARY = (
    ("acer", "hlin"), ("alnus", "alor"), ("ardea", "hragra"), ("pirus", "pyrige"),
    ("nimbus", "scur"), ("ager", "æcer"),
)  # fmt: skip


def table(entries: list[tuple[str, str]]) -> Witness:
    """Make a glossary."""
    rows = ["\t".join(entry) for entry in entries]
    starts = [sum(len(row) + 1 for row in rows[:at]) for at in range(len(rows))]
    labels = tuple(str(at + 1) for at in range(len(rows)))
    blank = ("",) * len(rows)
    return Witness(
        "G", " ".join(rows), tuple(starts), labels, pages=blank, line_ends=blank, fields=("lemma", "gloss")
    )


def glossed(changes: dict[str, tuple[str, str]]) -> list[Variant]:
    """Judge a copy of the glossary in which some entries, named by their lemma, are changed."""
    copy = [changes.get(lemma, (lemma, gloss)) for lemma, gloss in GLOSSARY]
    return judged(table(list(GLOSSARY)), table(copy))


def test_the_pair_is_an_entry_elsewhere() -> None:
    """A lemma misread as another, and its gloss changed to that one's."""
    found = glossed({"acer": ("ager", "æcer")})
    assert {one.cause for one in found} == {Cause.COUPLED}
    assert {one.evidence for one in found} == {"ager · æcer is an entry at G 6"}


def test_a_new_pair_is_left_to_the_editor() -> None:
    """Both fields of an entry changed, one into another word: coupled, and whether they agree is asked."""
    found = glossed({"pirus": ("pinus", "furhwudu")})
    assert {one.cause for one in found} == {Cause.COUPLED}
    assert all("for the editor to say" in one.evidence for one in found)


@pytest.mark.parametrize(
    "changes",
    [
        {"pirus": ("pinus", "pyrige")},  # one field only
        {"pirus": ("pinus", "pyrigo")},  # a slip in each
        {"pirus": ("pinus", "pyrige"), "nimbus": ("nimbus", "regn")},  # two entries
    ],
)
def test_not_coupled(changes: dict[str, tuple[str, str]]) -> None:
    """A change in one field, slips in both, changes in two entries are not coupled."""
    assert all(one.cause is not Cause.COUPLED for one in glossed(changes))


@pytest.mark.parametrize(
    ("original", "copy", "coupled"),
    [
        (".ui. syx leaf", ".iu. feower leaf", True),
        (".iii. þry stelan", ".ii. twa stelan", True),
        (".ui. syx leaf", ".iu. syx leaf", False),
        (".ui. syx leaf", ".iu. fif leaf", False),
        (".ui. eahta leaf", ".iu. feower leaf", False),  # they did not agree before
    ],
)
def test_numeral_and_word(original: str, copy: str, coupled: bool) -> None:
    """A numeral and its word changed so that they agree again; where they do not agree, not."""
    text = "genim betonican {} and rudan and cnuca on ecede"
    found = judged(text.format(original), text.format(copy))
    assert all((one.cause is Cause.COUPLED) == coupled for one in found)
    if coupled:
        assert "=" in found[0].evidence


@pytest.mark.parametrize(
    ("numeral", "value"),
    [
        (".ui.", 6),
        ("iu", 4),
        ("xiiii", 14),
        ("xlix", 49),
        ("mdccxlviii", 1748),
        ("·ix·", 9),
        ("12", 12),
        ("ab", None),
    ],
)
def test_values_of_numerals(numeral: str, value: int | None) -> None:
    """Roman numerals as scribes write them, u for v, four strokes for four; Arabic ones as they stand."""
    assert value_of_numeral(numeral) == value


def test_pairs_in_a_text() -> None:
    """A numeral counts with the number word right after it, and with nothing else."""
    assert [pair[2:] for pair in numeral_pairs("genim .ui. syx leaf .iii. stelan þry and .iu. fif")] == [
        (6, 6),
        (4, 5),
    ]
