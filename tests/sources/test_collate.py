"""All witnesses of a text side by side."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.errors import DataError, UnrelatedTextsError
from fidelity.letters import encode
from fidelity.sources.collate import Given, collate
from fidelity.sources.word_ends import at_word_ends
from fidelity.terms import Witness
from fidelity.terms.collation import Collation
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness

LETTERS = st.text(alphabet="abn  ę\t", min_size=1, max_size=40).filter(lambda text: bool(text.strip()))


def table(found: Collation) -> list[tuple[str | None, ...]]:
    """Give what every witness has at every place."""
    return [tuple(found.written(locus, siglum) for siglum in found.sigla) for locus in found.loci]


def of(*texts: str, numbered: bool = False, profile: str = "plain") -> Collation:
    """Collate texts, the first the main one."""
    given = [
        Given(
            siglum, read_witness(text, siglum=siglum, numbered=numbered and at > 0, profile=profile), numbered
        )
        for at, (siglum, text) in enumerate(zip("ABCDEF", texts, strict=False))
    ]
    return collate(given[0], given[1:], "X", load_folds(["insular"]))


@settings(max_examples=60, deadline=None)
@given(st.lists(LETTERS, min_size=2, max_size=5))
def test_every_witness_is_had_back(texts: list[str]) -> None:
    """From the table every witness is recovered letter for letter, whatever the texts are like."""
    given = [Given(str(at), Witness(str(at), encode(text))) for at, text in enumerate(texts)]
    try:
        found = collate(given[0], given[1:], "X")
    except UnrelatedTextsError:
        return
    for one in given:
        assert found.recovered(one.siglum) == one.witness.letters


@settings(max_examples=40, deadline=None)
@given(st.randoms(use_true_random=False), st.integers(2, 6))
def test_copies_of_copies_are_had_back(drawn: random.Random, number: int) -> None:
    """So are fragmentary copies of one text with gaps, slips, words put in and left out."""
    words = [drawn.choice(["on", "fyre", "fæste", "geboren", "ic", "wæs", "nu"]) for _ in range(30)]
    texts = [" ".join(words), *(_copied(words, drawn) for _ in range(number))]
    given = [
        Given(str(at), read_witness(text, siglum=str(at), profile="leiden")) for at, text in enumerate(texts)
    ]
    found = collate(given[0], given[1:], "X")
    for one in given:
        assert found.recovered(one.siglum) == one.witness.letters
    assert next(locus.spans[0] for locus in found.loci) is not None


def _copied(words: list[str], drawn: random.Random) -> str:
    """Copy some words badly, with gaps."""
    made = []
    for word in words[drawn.randrange(5) : len(words) - drawn.randrange(5)]:
        chance = drawn.random()
        if chance < 0.08:
            made.append("[---]")
        elif chance < 0.12:
            made.append(word[:1] + "[---]")
        elif chance < 0.2:
            made.append(word + drawn.choice(["n", " swa", ""]))
        elif chance > 0.1:
            made.append(word)
    return " ".join([*made, "ende"])


def test_words_that_only_some_have_answer_each_other() -> None:
    """What the main witness leaves out is one place, at which two others that have it stand together."""
    found = of(
        "ne mæg se sceaþa þurh eage", "ne mæg se sceaþa onlucan þurh eage", "mæg se sceaþa onlucan þurh eage"
    )
    assert table(found) == [
        ("ne", "ne", None),
        *((word,) * 3 for word in ("mæg", "se", "sceaþa")),
        ("", "onlucan", "onlucan"),
        ("þurh", "þurh", "þurh"),
        ("eage", "eage", "eage"),
    ]
    assert str(found.loci[4].locus) == "X 1.4"  # the word before, since the main witness has nothing


def test_divisions_that_one_lacks_part_nothing() -> None:
    """Words that one witness joins are one place in all."""
    assert table(of("on land gemære up", "on landgemære up")) == [
        ("on", "on"),
        ("land gemære", "landgemære"),
        ("up", "up"),
    ]


def test_folded_letterforms_are_no_difference_in_aligning() -> None:
    """A witness in insular letterforms stands word for word beside one in roman letters."""
    found = of("stan and scip on streame", "ꞅꞇan anꝺ ꞅcip on ꞅꞇꞃeame")
    assert [len(set(map(bool, row))) for row in table(found)] == [1] * 5


def test_what_is_lost_is_no_omission() -> None:
    """Where a strip ends a witness says nothing; where it skips a word it leaves it out."""
    found = of("Ic wæs on fyre fæste geboren", "[---]s on fæste gebor[---]", profile="leiden")
    assert [row[1] for row in table(found)] == [None, "▯s", "on", "", "fæste", "gebor▯"]


def test_numbered_lines_are_held_against_each_other_alone() -> None:
    """A numbered witness stands at its own lines, though others are more like; lines it has not are lost."""
    found = of("on fyre\non stane\nof stane\non fyre", "4\ton stane\n", numbered=True)
    assert [row[1] for row in table(found)] == [None] * 6 + ["on", "stane"]


def test_a_leaf_that_is_gone_is_no_omission() -> None:
    """More than three lines lacking in one piece are taken for lost."""
    words = [f"w{number}ord" for number in range(60)]
    found = of(" ".join(words), " ".join(words[:10] + words[50:]))
    assert [row[1] for row in table(found)][10:50] == [None] * 40


def test_a_fragment_is_no_unrelated_text() -> None:
    """A fragment finds its place in a text fifty times as long."""
    drawn = random.Random(7)
    words = ["".join(drawn.choice("aeionrstþ") for _ in range(5)) for _ in range(600)]
    found = of(" ".join(words), " ".join(words[300:312]))
    assert [at for at, row in enumerate(table(found)) if row[1] is not None] == list(range(300, 312))


def test_what_cannot_be_collated_is_told() -> None:
    """Two witnesses of one siglum, none with letters, and another text are refused by name."""
    main = Given("A", Witness("A", "on þære ealdan stræte be þam wege and ofer þone ford to þære mylne"))
    with pytest.raises(DataError, match="two witnesses are cited as A"):
        collate(main, [main])
    with pytest.raises(DataError, match="B has no letters"):
        collate(main, [Given("B", Witness("B", "  "))])
    other = "quod licet iovi non licet bovi immo vero quisque suum pondus fert"
    with pytest.raises(UnrelatedTextsError, match="B .* nothing in common"):
        collate(main, [Given("B", Witness("B", other))])


def test_the_order_in_which_witnesses_are_given_is_kept() -> None:
    """However they are aligned, the witnesses stand as they were given."""
    found = of("on fyre fæste geboren", "fæste", "on fyre fæste geboren wæs")
    assert found.sigla == ("A", "B", "C")
    assert [row for row in table(found) if row[0]][2] == ("fæste", "fæste", "fæste")


MADE_HER = "never þis wyse sheep made her {} ouer his hoot herte soþly"


@pytest.mark.parametrize("place", [0, 1, 2])
def test_the_end_of_a_word_answers_its_own_word(place: int) -> None:
    """K's long is longe without its end, though the word beside it ends alike: no word is left out."""
    texts = [MADE_HER.format(words) for words in ("longe ryuer", "longe ryuer", "long husbonde")]
    texts.insert(0, texts.pop(place))
    rows = table(of(*texts))
    assert len(rows) == 13
    assert {one for row in rows for one in row if one and one.startswith("long")} == {"longe", "long"}
    assert set(rows[7]) == {"ryuer", "husbonde"}


@pytest.mark.parametrize(
    ("letters", "read", "cut"),
    [
        ("longe ryuer o", "long husbonde o", ["e|", " | ", "|husbonde", "ryuer|"]),
        ("long husbonde o", "longe ryuer o", ["|e", " | ", "|ryuer", "husbonde|"]),
    ],
)
def test_word_ends_are_cut_anew(letters: str, read: str, cut: list[str]) -> None:
    """Both ways the division that both have is kept, and each word faces one."""
    more = (4, 4, 4, 12, 2), (4, 5, 12, 13, 0), (5, 11, 13, 13, 2), (11, 13, 13, 15, 0)
    steps = np.array([(0, 4, 0, 4, 0), *more])
    if read.startswith("longe"):
        steps = steps[:, [2, 3, 0, 1, 4]]
    new = at_word_ends(steps, letters, read)
    assert [f"{letters[a:b]}|{read[c:d]}" for a, b, c, d, _ in new.tolist()[1:-1]] == cut
    assert at_word_ends(new, letters, read) is new


def test_a_word_more_stays_a_word_more() -> None:
    """What is one word more on one side alone is cut nowhere else."""
    steps = np.array([(0, 5, 0, 5, 0), (5, 5, 5, 14, 2), (5, 7, 14, 16, 0)])
    assert at_word_ends(steps, "longe o", "longe husbonde o") is steps
