"""Coupled changes and their chances, counted by hand."""

from __future__ import annotations

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.causes.coupled_pairs import coupled_pairs, fields_of, known_pairs, numerals_read
from fidelity.terms import Witness
from fidelity.terms.parallels import NOTHING_DECLARED, Declared, PairKind
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.causes.judging import judged
from tests.causes.test_coupled import GLOSSARY, table


def counted(original: Witness, copy: Witness) -> tuple[list[str], dict[PairKind, tuple[int, int, int]]]:
    """Give the coupled pairs as the copy has them; of each kind all pairs, those changed, those coupled."""
    alignment = align_witnesses(original, copy, NO_FOLDS)
    found, rates = coupled_pairs({"O": alignment}, judged(original, copy), NO_FOLDS, NOTHING_DECLARED, 0.95)
    assert all(one.low <= one.coupled / max(one.changed, 1) <= one.high for one in rates)
    return [one.copy for one in found], {one.kind: (one.pairs, one.changed, one.coupled) for one in rates}


def test_entries_of_a_glossary() -> None:
    """Six entries; one with a slip in the gloss, one changed in both fields: two changed, one coupled."""
    copy = [("acer", "hlin"), ("alnus", "alor"), ("ardea", "hragna"), ("pinus", "furhwudu"), *GLOSSARY[4:]]
    found, rates = counted(table(list(GLOSSARY)), table(copy))
    assert found == ["pinus · furhwudu"]
    assert rates[PairKind.ENTRY] == (6, 2, 1)


@pytest.mark.parametrize(
    ("copy", "coupled", "rate"),
    [
        ("nim .iu. feower leaf and .iii. þry wyrta and .x. tyn croppas", [".iu. feower"], (3, 1, 1)),
        ("nim .iu. syx leaf and .iii. þry wyrta and .x. tyn croppas", [], (3, 1, 0)),
        ("nim .ui. syx leaf and .iii. þny wyrta and .x. tyn croppas", [], (3, 1, 0)),
        ("nim .ui. syx leaf and .iii. þry wyrta and .x. tyn croppas", [], (3, 0, 0)),
    ],
)
def test_numerals_with_words(copy: str, coupled: list[str], rate: tuple[int, int, int]) -> None:
    """A numeral read otherwise with its word made to agree; without; a slip in the word; nothing."""
    original = "nim .ui. syx leaf and .iii. þry wyrta and .x. tyn croppas"
    texts = (read_witness(one, siglum="O") for one in (original, copy))
    found, rates = counted(*texts)
    assert (found, rates[PairKind.NUMBER]) == (coupled, rate)


def test_numerals_misread() -> None:
    """Of four numerals one came out as another; one that is no numeral in the copy would show."""
    original = read_witness("on .u. hidum and .x. tyn leaf\nand .iii. wyrta and .xx. niht", siglum="O")
    copy = read_witness("on .ii. hidum and .x. tyn leaf\nand .iii. wyrta and .xn. niht", siglum="O")
    read = numerals_read({"O": align_witnesses(original, copy, NO_FOLDS)}, NO_FOLDS)
    assert (read.seen.total(), read.misread.total()) == (4, 1)
    assert read.at == ("O 1.2 .u. → .ii.",)


def test_which_fields_answer_one_another() -> None:
    """All fields of an entry, two by two, unless the dossier names some; empty ones answer nothing."""
    letters = "acer\thlin\tnote alnus\talor\t"
    lines, names = (0, 15), ("lemma", "gloss", "note")

    def words(declared: Declared) -> list[tuple[str, str]]:
        spans = fields_of(names, letters, lines, declared)
        return [(letters[slice(*one)], letters[slice(*other)]) for one, other in spans]

    every = [("acer", "hlin"), ("acer", "note"), ("hlin", "note"), ("alnus", "alor")]
    assert words(NOTHING_DECLARED) == every
    assert words(Declared(fields=(("lemma", "gloss"),))) == [("acer", "hlin"), ("alnus", "alor")]


def test_pairs_known_from_several_places() -> None:
    """An entry that stands twice is known from both places; what is declared is known, too."""
    original = table([("acer", "hlin"), ("alnus", "alor"), ("Acer", "hlin.")])
    known = known_pairs(
        {"G": align_witnesses(original, original, NO_FOLDS)}, NO_FOLDS, Declared(pairs=(("pirus", "pyrige"),))
    )
    assert known["acer", "hlin"] == ("G 1.1", "G 3.1")
    assert known["pirus", "pyrige"] == ("declared",)
