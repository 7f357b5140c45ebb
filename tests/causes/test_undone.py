"""What undoing an error would do to the words of a lost text: cases counted by hand."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

import pytest

import fidelity
from fidelity.causes.undone import LostWords
from fidelity.letters import encode
from fidelity.terms import Undoing, Witness
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness

FOLDS = load_folds(["insular", "wynn", "tironian_and"], ())
KNOWN = (
    "wæs",
    "of",
    "þam",
    "clife",
    "her",
    "he",
    "sona",
    "ac",
    "on",
    "þære",
    "onbutan",
    "wudu",
    "and",
    "stan",
)


def lost(*copies: str, known: Collection[str] = KNOWN, profile: str = "plain") -> LostWords:
    """Give the words of some lost texts, X, Y, ..."""
    texts = zip("XYZ", copies, strict=False)
    read = {name: read_witness(copy, siglum=name, profile=profile) for name, copy in texts}
    return LostWords(read, known, FOLDS)


def looks(found: Undoing | None) -> list[tuple[str, str, str, bool]]:
    """Give the places told: locus, what the copy has, undone, and whether the copy's word is a word."""
    assert found is not None
    return [(str(one.locus), one.transmitted, one.undone, one.is_word) for one in found.looks]


def counts(found: Undoing | None) -> tuple[int, int]:
    assert found is not None
    return found.unknown_to_known, found.known_to_known


def test_letters_put_back() -> None:
    """wær and rona are no words; with s for one r they are."""
    found = lost("wær of þam clife\nhe rona wær").confusion("s", "r")
    assert looks(found) == [
        ("X 1.1", "wær", "wæs", False),
        ("X 2.2", "rona", "sona", False),
        ("X 2.3", "wær", "wæs", False),
    ]
    assert counts(found) == (3, 0)


def test_one_place_of_a_word_at_a_time() -> None:
    """Of two letters one is put back: rtan rrona hold two errors, or another one."""
    found = lost("rtan rrona srona", known=["stan", "sona", "srona"]).confusion("s", "r")
    assert looks(found) == [("X 1.1", "rtan", "stan", False), ("X 1.2", "rrona", "srona", False)]


def test_unknown_words_are_shown_before_known_ones() -> None:
    """Where the copy's own word is a word too nothing shows: told after the others, and by themselves."""
    found = lost("ac her of\nac wuda hef", known=[*KNOWN, "uc", "hec", "hef", "wuda"]).confusion("u", "a")
    assert looks(found) == [
        ("X 1.1", "ac", "uc", True),
        ("X 2.1", "ac", "uc", True),
        ("X 2.2", "wuda", "wudu", True),
    ]
    found = lost("ac her\nwuda ac", known=[*KNOWN, "uc"]).confusion("u", "a")
    assert [one[0] for one in looks(found)] == ["X 2.1", "X 1.1", "X 2.2"]
    assert counts(found) == (1, 2)


def test_letters_overlooked() -> None:
    """An r left out is put in anywhere: he may be her, and hee is."""
    found = lost("he þæe", known=["he", "her", "þære"]).confusion("r", "")
    assert looks(found) == [("X 1.2", "þæe", "þære", False), ("X 1.1", "he", "her", True)]


def test_several_letters() -> None:
    """Undone in one go, m for rn: com was corn; th for þ: wiþ."""
    words = lost("com and com\nwith", known=["corn", "and", "wiþ"])
    assert looks(words.confusion("rn", "m")) == [
        ("X 1.1", "com", "corn", False),
        ("X 1.3", "com", "corn", False),
    ]
    assert looks(words.confusion("þ", "th")) == [("X 2.1", "with", "wiþ", False)]


def test_words_joined_are_parted() -> None:
    """Parts of two letters or more, both known; a single letter parts no word."""
    words = lost("onþære of\nhesona onbutan", known=[*KNOWN, "o", "nþære", "butan"])
    found = words.joined()
    assert looks(found) == [
        ("X 1.1", "onþære", "on þære", False),
        ("X 2.1", "hesona", "he sona", False),
        ("X 2.2", "onbutan", "on butan", True),
    ]
    assert counts(found) == (2, 1)


def test_words_divided_are_joined() -> None:
    """Neighbours that are one known word; of three letters or more, or any two letters were one."""
    words = lost("on butan wæ s\nh e stan", known=[*KNOWN, "butan"])
    found = words.divided()
    assert looks(found) == [("X 1.3", "wæ s", "wæs", False), ("X 1.1", "on butan", "onbutan", True)]
    assert counts(found) == (1, 1)


def test_a_word_divided_at_the_end_of_a_line() -> None:
    """The line's end is no hindrance: sta / n."""
    assert looks(lost("of þam sta\nn her").divided()) == [("X 1.3", "sta n", "stan", False)]


@pytest.mark.parametrize("copy", ["of wæ ▯▯▯ s her", "of wæ [---] s her", "of wæ · s her", "of wæ [...] s"])
def test_what_stands_between_keeps_words_apart(copy: str) -> None:
    """Words with a lost word or a stop by itself between them are no neighbours."""
    assert looks(lost(copy, profile="leiden").divided()) == []


def test_fields_of_an_entry_are_apart(tmp_path: Path) -> None:
    """A lemma and its gloss, or two entries, are no word that he divided."""
    path = tmp_path / "copy.tsv"
    path.write_text("lemma\tgloss\nalnus on\tbutan sta\nn\twæ s\n", encoding="utf-8")
    words = LostWords({"X": read_witness(path, siglum="X")}, KNOWN, FOLDS)
    assert [one[1:3] for one in looks(words.divided())] == [("wæ s", "wæs")]


def test_forms_stops_and_capitals_do_not_matter() -> None:
    """Wær with a stop, a letterform or a capital is the same word; what was printed is told."""
    found = lost("Wæꞃ, ƿær. 'rona' ⁊ e⁊").confusion("ꞅ", "r")
    assert looks(found) == [
        ("X 1.1", "Wæꞃ,", "wæs", False),
        ("X 1.2", "ƿær.", "wæs", False),
        ("X 1.3", "'rona'", "sona", False),
    ]


@pytest.mark.parametrize(("original", "copy"), [("ꞅ", "s"), ("S", "s"), ("ƿ", "w"), ("ꞇꞅ", "ts"), ("·", ".")])
def test_the_same_letter_cannot_be_undone(original: str, copy: str) -> None:
    """Another form of a letter, a capital or a stop changes no word."""
    assert lost("wær of").confusion(encode(original), encode(copy)) is None


def test_lost_letters_are_left_alone() -> None:
    """A word of which letters are lost is undone to nothing, though the rest would fit."""
    words = lost("w▯r ro[.]a wær [---] rtan", profile="leiden")
    assert [one[1] for one in looks(words.confusion("s", "r"))] == ["wær", "rtan"]


def test_the_texts_in_their_order() -> None:
    """Places of the first text come first."""
    found = lost("wær rona", "of wær", "rtan").confusion("s", "r")
    assert counts(found) == (4, 0)
    assert [one[0] for one in looks(found)] == ["X 1.1", "X 1.2", "Y 1.2", "Z 1.1"]


def test_places_unlike_his_come_after_those_like_his() -> None:
    """Where he made the error only at the end of a word, other places are marked, and come last."""
    found = lost("rona wær").confusion("s", "r", lambda word, _, end: end == len(word))
    assert found is not None
    assert [(one.undone, one.unlike) for one in found.looks] == [("wæs", False), ("sona", True)]
    assert counts(found) == (2, 0)


def test_doubled_letters_and_single_ones() -> None:
    """Letters doubled, and letters written once for twice, are found in the words that they made."""
    words = lost("sonna wun", known=["sona", "wunn"])
    assert looks(words.twice_for_once()) == [("X 1.1", "sonna", "sona", False)]
    assert looks(words.once_for_twice()) == [("X 1.2", "wun", "wunn", False)]


def test_later_forms_are_told_by_the_table() -> None:
    """A later form of the editor's table is told, unless it is a word of the originals as well."""
    words = lost("nolde thonne her")
    modern = {"þonne": {"thonne"}, "hær": {"her"}}
    assert looks(words.later_forms(modern)) == [("X 1.2", "thonne", "þonne", False)]
    assert words.later_forms({}) is None


def test_no_lost_texts() -> None:
    """Without a lost text, or a known word, there is nothing to undo."""
    words = LostWords({}, KNOWN, FOLDS)
    assert words.confusion("s", "r") is words.joined() is words.divided() is None
    assert counts(lost("wær rona onþære", known=()).confusion("s", "r")) == (0, 0)
    empty = LostWords({"X": Witness("X", "")}, KNOWN, FOLDS)
    assert [counts(each) for each in (empty.confusion("s", "r"), empty.joined(), empty.divided())] == [
        (0, 0)
    ] * 3


def test_patterns_without_a_lost_text_undo_nothing() -> None:
    """A pair of texts alone has kinds of error, and nothing in which they could be undone."""
    found = fidelity.compare("sona wæs he\nstan on þære", "rona wær he\nstan onþære").patterns
    assert found and all(one.undoing is None for one in found)
