"""Traps of Unicode that an edition falls into, and letters against the rules for grapheme clusters.

The traps hold for the Unicode version of Python's ``unicodedata``; names of characters never change,
decompositions of assigned characters neither (Unicode stability policy), so that they hold for later
versions too. What was checked by hand was checked with version 14.
"""

from __future__ import annotations

import ast
import importlib.util
import sys
import unicodedata
from pathlib import Path

import pytest
import regex

from fidelity.errors import DataError
from fidelity.letters import decode, encode, is_punctuation
from fidelity.terms import State
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness

# GraphemeBreakTest.txt of Unicode 6.2, as the package uniseg (0.7.2, MIT licence) carries it; 0.9
# carries it no more. Its rows hold for every later version but for the rule on flags.
BREAK_TESTS = "db_lookups_test.py", "grapheme_cluster_break_test"
ROWS = 402  # in that version
EXCEPTED = {"surrogate": 54, "line end": 1, "flags": 3}  # rows of it that the rules below except

VERSION = tuple(map(int, unicodedata.unidata_version.split(".")))


def test_version_is_one_the_traps_hold_for() -> None:
    """The traps were checked with Unicode 14 (Python 3.11); an older version would not know all letters."""
    assert VERSION >= (14, 0, 0), unicodedata.unidata_version


@pytest.mark.parametrize(
    "text",
    [
        "ſtan",  # long s: NFKC and casefold() make it s
        "\ua770",  # the -us sign: NFKC makes it the con sign U+A76F
        "ꞅꞇꞃæꞇ ꝺᵹꝼ",  # insular letters have no decomposition
        "\u017f\u0307",  # long s with dot: NFC composes it, NFKC makes an s of it
        "ﬁ ﬆ",  # ligatures of print: two letters under NFKC, one sign in the manuscript's transcript
        "\u1d79 \ua77d",  # insular g, small and capital, far apart in Unicode
        "\ua77e \ua77f",  # turned insular g is another letter
        "\u021d \u0292",  # yogh and ezh
        "x² ½ ℔",
    ],
)
def test_letters_keep_what_stronger_normalisation_destroys(text: str) -> None:
    """Only NFC is applied: no letter is turned into another on its way through a Witness."""
    nfc = unicodedata.normalize("NFC", text)
    assert decode(encode(text)) == nfc
    assert decode(read_witness(text).letters) == nfc


def test_what_nfkc_would_do() -> None:
    """The reasons for NFC only (checked with Unicode 14): long s, -us, ligatures would be other letters."""
    assert unicodedata.normalize("NFKC", "ſ") == "s" == "ſ".casefold()
    assert unicodedata.normalize("NFKC", "\ua770") == "\ua76f"
    assert "CON" in unicodedata.name("\ua76f") and "US" in unicodedata.name("\ua770")
    assert unicodedata.normalize("NFKC", "ꞅꞇꞃꝺᵹꝼ") == "ꞅꞇꞃꝺᵹꝼ"


def test_insular_letters_need_the_fold_table() -> None:
    """No normalisation folds ꞅ to s; the declared fold does."""
    assert all(unicodedata.decomposition(letter) == "" for letter in "ꞅꞇꞃꝺᵹꝼ")
    assert load_folds(["insular"]).fold("ꞅꞇꞃꝺᵹꝼ") == "strdgf"


def test_insular_g_has_its_capital_elsewhere() -> None:
    """The small letter of U+A77D is U+1D79, not the next code point, which is the turned letter."""
    assert "\ua77d".lower() == "\u1d79"
    assert "TURNED" in unicodedata.name("\ua77e") and "TURNED" in unicodedata.name("\ua77f")


def test_yogh_is_not_ezh() -> None:
    """Yogh and ezh look alike and are two letters that nothing equates."""
    names = [unicodedata.name(letter) for letter in "\u021d\u0292"]
    assert names == ["LATIN SMALL LETTER YOGH", "LATIN SMALL LETTER EZH"]
    assert encode("\u021d") != encode("\u0292")


def test_dot_below_is_unclear_only_where_the_profile_says_so() -> None:
    """The dot below is a scribe's expunction or Leiden's "unclear": the profile decides, not the sign."""
    assert decode(read_witness("ạ").letters) == "ạ"
    marked = read_witness("ạ", profile="leiden")
    assert (marked.letters, marked.state(0)) == ("a", State.UNCLEAR)


def test_angle_bracket_that_nfc_changes() -> None:
    """NFC turns U+2329 into U+3008; as a Leiden sign it is understood all the same."""
    assert unicodedata.normalize("NFC", "\u2329a\u232a") == "\u3008a\u3009"
    assert read_witness("\u2329a\u232a", profile="leiden").state(0) is State.SUPPLIED


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("u\u0304", 1),
        ("e\u0328\u0304", 1),
        ("ę\u0304", 1),
        ("a\u0304\u0323", 1),
        ("\u0e01\u0e33", 1),  # THAI SARA AM: a spacing mark that is no \p{M}
        ("\u0e81\u0eb3", 1),  # LAO AM
        ("\u0d4e\u0d15", 1),  # MALAYALAM DOT REPH goes before its letter
        ("\U0001f44d\U0001f3fb", 1),  # an emoji and its modifier
        ("\uff76\uff9e", 1),  # halfwidth KA with its sound mark
        ("\u1100\u1161\u11a8", 1),  # Hangul jamo: NFC makes one syllable of them
        ("\U0001f1e6\U0001f1e7\U0001f1e8", 2),  # flags go in pairs (since Unicode 9)
        ("\u0915\u094d\u0937", 1),  # an Indic conjunct (rule GB9c, since Unicode 15.1)
        ("a\u200db", 2),
        ("⁊ꝥ", 2),
    ],
)
def test_a_letter_is_an_extended_grapheme_cluster(text: str, letters: int) -> None:
    """UAX #29: what a reader takes for one letter takes one place, also beyond Latin script."""
    assert len(encode(text)) == letters
    assert decode(encode(text)) == unicodedata.normalize("NFC", text)


def test_no_sign_that_joins_a_neighbour_is_overlooked() -> None:
    """For every code point: beside a letter it gives the clusters that the rules of UAX #29 give.

    ``encode`` passes text by in which nothing can join; this holds the test for it to the rules.
    """
    cluster = regex.compile(r"\X")
    wrong = []
    for number in range(0x20, sys.maxunicode + 1):
        if 0xD800 <= number <= 0xDFFF or number >= 0xF0000:
            continue
        sign = chr(number)
        if len(encode("a" + sign + "a")) != len(
            cluster.findall(unicodedata.normalize("NFC", "a" + sign + "a"))
        ):
            wrong.append(f"U+{number:04X}")
    assert wrong == []


def break_tests() -> list[tuple[str, list[str]]]:
    """Give the rows of the data: their names, and the clusters each is to fall into.

    The file is read and not imported: the package knows only old versions of Python.
    """
    found = importlib.util.find_spec("uniseg")
    assert found and found.submodule_search_locations, "the package uniseg is needed for this test"
    file = Path(next(iter(found.submodule_search_locations)), BREAK_TESTS[0])
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == BREAK_TESTS[1]:
            rows = ast.literal_eval(node.value)
            break
    return [(name, [_signs(part) for part in row.strip("÷ ").split("÷")]) for name, row, _ in rows]


def _signs(codes: str) -> str:
    return "".join(chr(int(code, 16)) for code in codes.split("×"))


def _is_long_flag(cluster: str) -> bool:
    return len(cluster) > 2 and all("\U0001f1e6" <= sign <= "\U0001f1ff" for sign in cluster)


def test_letters_are_the_clusters_of_the_standard() -> None:
    """Each row of GraphemeBreakTest (Unicode 6.2) gives its letters, but for what three rules except.

    - Surrogates standing alone are no text: a file with one is refused.
    - CR LF (rule GB3) is made one line end before a text is put into letters.
    - Flags: rule GB8a of 6.2 joined any number of regional indicators; since Unicode 9 (GB12, GB13)
      they go in pairs.
    """
    rows = break_tests()
    assert len(rows) == ROWS
    wrong, excepted = [], {"surrogate": 0, "line end": 0, "flags": 0}
    for name, clusters in rows:
        text = "".join(clusters)
        if any("\ud800" <= sign <= "\udfff" for sign in text):
            excepted["surrogate"] += 1
        elif "\r\n" in clusters:
            excepted["line end"] += 1
        elif any(_is_long_flag(cluster) for cluster in clusters):
            excepted["flags"] += 1
            pairs = [cluster[at : at + 2] for cluster in clusters for at in range(0, len(cluster), 2)]
            assert [decode(letter) for letter in encode(text)] == pairs
        elif [decode(letter) for letter in encode(text)] != [
            unicodedata.normalize("NFC", cluster) for cluster in clusters
        ]:
            wrong.append(name)
    assert wrong == []
    assert excepted == EXCEPTED


def test_what_the_rows_except_is_dealt_with_before(tmp_path: Path) -> None:
    """CR LF is read as one line end, and a surrogate in a file as a fault: no letter is made of either."""
    file = tmp_path / "crlf.txt"
    file.write_bytes(b"stan\r\necg")
    assert read_witness(file).letters == "stan ecg"
    file.write_bytes(b"\xed\xa0\x80")  # U+D800 as UTF-8 would write it
    with pytest.raises(DataError):
        read_witness(file)


def test_tironian_and_is_a_word() -> None:
    """⁊ is punctuation to Unicode and a word to a scribe."""
    assert unicodedata.category("⁊")[0] == "P"
    assert not is_punctuation("⁊")
