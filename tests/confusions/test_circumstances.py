"""Confusions by circumstance: cases counted by hand, and sums that must be those of the whole table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.confusions.circumstances import PairSeats, seats_of
from fidelity.dossier import Dossier, Passage, Survivor
from fidelity.judge import Audit, judge
from fidelity.letters import encode
from fidelity.settings import Settings
from fidelity.terms import Circumstance, Witness
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness

ROOT = Path(__file__).resolve().parents[2]
DEMOS = ("wickenby_short", "wickenby_long")
Table = dict[str, tuple[int, int]]  # value -> how often, out of how many


def audit_of(*survivors: Survivor) -> Audit:
    """Judge texts; insular letterforms count as the roman ones."""
    folds = load_folds(["insular", "wynn"], ())
    return judge(Dossier(Path(), "", "", folds, survivors, (), (), (), Settings()))


def survivor(
    original: str | Witness,
    copy: str | Witness,
    passages: Sequence[Passage] = (),
    profile: str = "plain",
    name: str = "B",
) -> Survivor:
    """Read a pair of texts."""
    first, second = (
        read_witness(text, siglum=name, profile=profile, script="insular") if isinstance(text, str) else text
        for text in (original, copy)
    )
    return Survivor(name, first, second, tuple(passages))


def seats_in(found: Audit) -> dict[tuple[str, str], PairSeats]:
    """Count the circumstances of every confusion found."""
    return seats_of(
        found.by_survivor,
        found.variants,
        found.places,
        {(encode(one.original), encode(one.copy)): one for one in found.confusions},
        found.dossier.folds.fold,
    )


def table(found: Audit, original: str, copy: str, kind: Circumstance) -> Table:
    """Give how often, out of how many, for each value of one circumstance of one confusion."""
    seats = seats_in(found)[original, copy].by[kind]
    return {value: (seats.count[value], chances) for value, chances in seats.chances.items() if chances}


@cache
def demo(name: str) -> tuple[Audit, dict[tuple[str, str], PairSeats]]:
    found = judge(ROOT / "demo_pairs" / name)
    return found, seats_in(found)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("kind", Circumstance)
def test_values_sum_to_the_table_of_confusions(name: str, kind: Circumstance) -> None:
    """Over the values of a circumstance counts and chances add up to those of the confusion.

    Only letters that begin (end) a word have none before (after) them; and for the hand letters of
    other hands are counted as well.
    """
    found, all_seats = demo(name)
    assert len(all_seats) == len(found.confusions) > 10
    for one in found.confusions:
        by = all_seats[encode(one.original), encode(one.copy)].by
        count, chances = by[kind].count.total(), by[kind].chances.total()
        place = by[Circumstance.PLACE]
        if kind in (Circumstance.BEFORE, Circumstance.AFTER):
            edges = ("first", "alone") if kind is Circumstance.BEFORE else ("last", "alone")
            count += sum(place.count[edge] for edge in edges)
            chances += sum(place.chances[edge] for edge in edges)
        if kind is Circumstance.HAND and len(by[kind].chances) > 1:
            assert (by[kind].count["main"], by[kind].chances["main"]) == (one.count, one.chances)
            assert count >= one.count and chances > one.chances
        else:
            assert (count, chances) == (one.count, one.chances), (one.original, one.copy)


@pytest.mark.parametrize("name", DEMOS)
def test_words_and_units_sum_likewise(name: str) -> None:
    """The words add up to the counts of their value, the units to the confusion's whole table."""
    found, all_seats = demo(name)
    for one in found.confusions:
        seats = all_seats[encode(one.original), encode(one.copy)]
        for by in seats.by.values():
            assert {value: words.total() for value, words in by.words.items()} == dict(by.count)
        units = [(unit.count, unit.chances.total()) for unit in seats.units.values()]
        assert [sum(numbers) for numbers in zip(*units, strict=True)] == [one.count, one.chances]


# He writes u for n: an, clen (last), ne (first). Of n there are: first nu ne; inside lande; last an clen
# on; alone n.
PLACES = ("an clen lande\nnu n on ne", "au cleu lande\nnu n on ue")


def test_places_in_the_word() -> None:
    """First, inside, last and alone, as counted by hand."""
    found = audit_of(survivor(*PLACES))
    expected = {"first": (1, 2), "inside": (0, 1), "last": (2, 3), "alone": (0, 1)}
    assert table(found, "n", "u", Circumstance.PLACE) == expected


def test_neighbours_stand_within_the_word() -> None:
    """A word's first letter has none before it, its last none after it."""
    found = audit_of(survivor(*PLACES))
    before = {"a": (1, 2), "e": (1, 1), "o": (0, 1)}  # an lande, clen, on
    assert table(found, "n", "u", Circumstance.BEFORE) == before
    after = {"d": (0, 1), "u": (0, 1), "e": (1, 1)}  # lande, nu, ne
    assert table(found, "n", "u", Circumstance.AFTER) == after


def test_words_are_told_without_stops_and_capitals() -> None:
    """The same word with a stop or a capital is one word, in the form of the folds."""
    found = audit_of(survivor("ꞅona ꞅele hiꞅ\nSona ꞅona, hiꞅ ꞅona.", "rona sele his\nSona rona, his sona."))
    assert table(found, "ꞅ", "r", Circumstance.WORD) == {"sona": (2, 3), "sele": (0, 1), "his": (0, 2)}
    seats = seats_in(found)["ꞅ", "r"].by[Circumstance.PLACE]
    assert seats.words["first"] == {"sona": 2}


def test_stops_are_borders_of_words() -> None:
    """A letter before or after a stop is the last or first of its word; a stop is no neighbour."""
    found = audit_of(survivor("on clen, ne\n·nu· land. n·", "on cleu, ne\n·nu· land. n·"))
    expected = {"last": (1, 2), "first": (0, 2), "inside": (0, 1), "alone": (0, 1)}
    assert table(found, "n", "u", Circumstance.PLACE) == expected
    assert table(found, "n", "u", Circumstance.AFTER) == {"e": (0, 1), "u": (0, 1), "d": (0, 1)}
    assert table(found, "n", "u", Circumstance.BEFORE) == {"o": (0, 1), "e": (1, 1), "a": (0, 1)}


def test_neighbours_are_those_of_the_manuscript() -> None:
    """Before ꞇ stands ꞅ, not s, and after it what he misread too; words are told in the form of the folds."""
    found = audit_of(survivor("ꞅꞇan ꞅceaꞇ\nneꞅꞇ ꞅꞇeoꞃ", "scan sceat\nnest scear"))
    assert table(found, "ꞇ", "c", Circumstance.BEFORE) == {"ꞅ": (2, 3), "a": (0, 1)}
    assert table(found, "ꞇ", "c", Circumstance.AFTER) == {"a": (1, 1), "e": (1, 1)}
    assert table(found, "o", "a", Circumstance.AFTER) == {"ꞃ": (1, 1)}
    words = {"stan": (1, 1), "sceat": (0, 1), "nest": (0, 1), "steor": (1, 1)}
    assert table(found, "ꞇ", "c", Circumstance.WORD) == words


def test_several_letters_end_where_they_end() -> None:
    """For rn → m what follows is the letter after the n; rn at a word's end is last."""
    found = audit_of(survivor("corn and bearn\nþorn of carne", "com and bearn\nþom of carne"))
    assert table(found, "rn", "m", Circumstance.PLACE) == {"last": (2, 3), "inside": (0, 1)}
    assert table(found, "rn", "m", Circumstance.BEFORE) == {"o": (2, 2), "a": (0, 2)}
    assert table(found, "rn", "m", Circumstance.AFTER) == {"e": (0, 1)}


def test_two_scripts_and_two_languages_on_one_page() -> None:
    """Each passage counts for itself; a unit is a page in one script and one language."""
    original = "[fol. 1r]\nnonis annos\nnu on lande\n[fol. 1v]\nfen and nan\nnomen"
    latin = Passage((0, 1), script="caroline", language="la"), Passage((3, 4), language="la")
    found = audit_of(survivor(original, "uonis anuos\nnu on lande\nfen and nau\nnomen", latin))
    assert table(found, "n", "u", Circumstance.SCRIPT) == {"caroline": (2, 4), "insular": (1, 9)}
    assert table(found, "n", "u", Circumstance.LANGUAGE) == {"la": (2, 6), "": (1, 7)}
    units = seats_in(found)["n", "u"].units
    assert {unit: (one.count, one.chances.total()) for (_, unit), one in units.items()} == {
        ("B 1r", "caroline", "la"): (2, 4),
        ("B 1r", "insular", ""): (0, 3),
        ("B 1v", "insular", ""): (1, 4),
        ("B 1v", "insular", "la"): (0, 2),
    }


def test_languages_in_the_fields_of_a_table(tmp_path: Path) -> None:
    """The lemma is Latin, the gloss English: each letter counts for the language of its field."""
    paths = tmp_path / "original.tsv", tmp_path / "copy.tsv"
    paths[0].write_text("lemma\tgloss\nalnus\tand nest\nanser\tsona\n", encoding="utf-8")
    paths[1].write_text("lemma\tgloss\nalnus\taud uest\nauser\tsona\n", encoding="utf-8")
    original, copy = (read_witness(path, siglum="G", script="insular") for path in paths)
    passages = Passage((0, 2), field="lemma", language="la"), Passage((0, 2), field="gloss", language="ang")
    found = audit_of(survivor(original, copy, passages, name="G"))
    assert table(found, "n", "u", Circumstance.LANGUAGE) == {"la": (1, 2), "ang": (2, 3)}
    assert table(found, "n", "u", Circumstance.BEFORE) == {"l": (0, 1), "a": (2, 2), "o": (0, 1)}


LEIDEN = "genim þas ⸌nigon⸍ wyrte\nand linen ⸌niþan⸍ on", "genim þas uigon wyrte\nand linen uiþan ou"
TEI = (
    '<TEI xmlns="http://www.tei-c.org/ns/1.0"><text><body><p>genim þas <add hand="#h2">nigon</add> wyrte'
    '<lb/>and linen <add hand="#h2">niþan</add> on</p></body></text></TEI>'
)


def test_two_hands() -> None:
    """Letters of another hand are no chances but for the hand: main 1 of 5, added 2 of 4."""
    found = audit_of(survivor(*LEIDEN, profile="leiden"))
    assert table(found, "n", "u", Circumstance.HAND) == {"main": (1, 5), "added": (2, 4)}
    assert table(found, "n", "u", Circumstance.PLACE) == {"inside": (0, 3), "last": (1, 2)}
    assert "nigon" not in table(found, "n", "u", Circumstance.WORD)


def test_two_hands_named_in_tei(tmp_path: Path) -> None:
    """The same text with the hand named: the name is the value."""
    path = tmp_path / "original.xml"
    path.write_text(TEI, encoding="utf-8")
    original, copy = read_witness(path, siglum="B"), read_witness(LEIDEN[1], siglum="B")
    found = audit_of(survivor(original, copy))
    main, other = original.hand_names
    assert table(found, "n", "u", Circumstance.HAND) == {main: (1, 5), other: (2, 4)}


def test_two_texts() -> None:
    """Each text is a value, the one in which it never happened too."""
    found = audit_of(survivor(*PLACES), survivor("nan man on lande", "nan man on lande", name="E"))
    assert table(found, "n", "u", Circumstance.TEXT) == {"B": (3, 7), "E": (0, 5)}


def test_what_is_left_out_or_replaced_is_no_chance() -> None:
    """Letters of words he skipped or replaced stand under no value; those of a word moved neither."""
    original = "genim þonne þas wyrte\nand cnuca linen claþ\nsyle drincan on niht\nnu on lande"
    copy = "genim þonne þas wyrte\nand claþ\nsyle drincan ou niht\nnu on laude"
    found = audit_of(survivor(original, copy))
    words = table(found, "n", "u", Circumstance.WORD)
    assert not {"cnuca", "linen"} & words.keys()
    assert words["on"] == (1, 2) and words["lande"] == (1, 1)


LETTERS = "nmuriꞅæ"
ERRORS = {
    "n": ["u", "m", "ri", ""],
    "m": ["n", "in", "rn"],
    "u": ["n", "ii"],
    "r": ["ꞅ", "n", "i"],
    "i": [""],
}


@st.composite
def pairs_of_texts(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a few lines of words with stops and additions, and a copy with errors."""
    original, copy = [], []
    for _ in range(draw(st.integers(1, 4))):
        words = draw(st.lists(st.text(LETTERS, min_size=1, max_size=6), min_size=1, max_size=6))
        written = [
            "".join(draw(st.sampled_from([x] * 6 + ERRORS.get(x, [x]))) for x in word) for word in words
        ]
        mark = draw(st.sampled_from(["", "·", "⸌"]))
        at = draw(st.integers(0, len(words) - 1))
        words[at] = f"⸌{words[at]}⸍" if mark == "⸌" else mark + words[at] + mark
        original.append(" ".join(words))
        copy.append(" ".join(filter(None, written)) or "n")
    return "\n".join(original), "\n".join(copy)


@given(pairs_of_texts())
@settings(max_examples=60)
def test_counts_never_exceed_chances(texts: tuple[str, str]) -> None:
    """Whatever was written: under every value at most as many as might have been, all as in the table."""
    found = audit_of(survivor(*texts, profile="leiden"))
    all_seats = seats_in(found)
    for one in found.confusions:
        by = all_seats[encode(one.original), encode(one.copy)].by
        for kind in Circumstance:
            assert all(count <= by[kind].chances[value] for value, count in by[kind].count.items())
        for kind in (Circumstance.PLACE, Circumstance.WORD, Circumstance.SCRIPT, Circumstance.TEXT):
            assert by[kind].count.total() == one.count and by[kind].chances.total() == one.chances


def test_another_hand_and_unclear() -> None:
    """What is in another hand and unclear, in the original or in the copy, is no evidence of that hand."""
    copy = "bbman þas wyrte ob bbman"
    original = read_witness("⸌nnman⸍ þas wyrte on ⸌nnman⸍", siglum="B", profile="leiden")
    unclear = bytes([0, 1, *[0] * (len(original) - 2)])
    found = audit_of(survivor(replace(original, states=unclear), copy))
    assert table(found, "n", "b", Circumstance.HAND)["added"] == (3, 5)
    found = audit_of(
        survivor(original, read_witness("b[b]man þas wyrte ob bbman", siglum="B", profile="leiden"))
    )
    assert table(found, "n", "b", Circumstance.HAND)["added"] == (3, 5)
