"""Plain text: manuscript lines, pages, line-end hyphens, citations."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.letters import encode
from fidelity.witnesses.plain import page_of_mark
from fidelity.witnesses.read import read_witness
from tests.witnesses.test_read import faults_of, places

LETTERS = st.sampled_from(["a", "þ", "ꞅ", "ꝥ", "ū", "ę̄", "⁊", ".", "-", "¬", " ", "\u00a0", "n", "ạ"])
LINES = st.lists(
    st.text("ab þꞅ⁊.-¬\u00a0", max_size=6) | st.lists(LETTERS, max_size=5).map("".join), min_size=1
)


def test_blank_lines_hold_no_manuscript_line() -> None:
    """Blank lines are skipped and not counted; trailing blanks fall away, leading ones stay."""
    witness = read_witness("\n\nþa lanꝺ \t\n \n  ᵹemæꞃa\u00a0\n")
    assert witness.letters == "þa lanꝺ   ᵹemæꞃa"
    assert witness.lines == (0, 8)
    assert witness.labels == ("1", "2")
    assert witness.pages == ("", "")


def test_page_marks_number_lines_anew() -> None:
    """Each page numbers its lines from 1; lines before the first mark have no page."""
    witness = read_witness("a\n[fol. 12r]\nb\n\nc\n[f. 12v]\nd\n")
    assert witness.labels == ("1", "12r:1", "12r:2", "12v:1")
    assert witness.pages == ("", "12r", "12r", "12v")
    assert witness.letters == "a b c d"


@pytest.mark.parametrize(
    ("line", "page"),
    [
        ("[fol. 12r]", "12r"),
        ("[f. 12v]", "12v"),
        ("[p. 7]", "7"),
        ("[page 7]", "7"),
        ("[folio 3]", "3"),
        (" [ Fol.12 r ] ", "12r"),
        ("[p. xii]", "xii"),
        ("[pater]", None),
        ("[p uu]", None),
        ("[fol. 12r] and", None),
        ("[...]", None),
        ("[fol. 1:2]", None),
    ],
)
def test_what_marks_a_page(line: str, page: str | None) -> None:
    """Only a bracketed page or leaf reference, alone on its line, marks a page."""
    assert page_of_mark(line) == page


def test_page_marked_twice() -> None:
    """A page marked twice would make two lines citable alike: refused at the second mark."""
    (fault,) = faults_of("[p. 7]\na\n[p. 8]\nb\n [page 7]\nc")
    assert (fault.line, fault.column) == (5, 2)
    assert "first in line 1" in fault.what


@pytest.mark.parametrize("mark", ["-", "\u2010", "\u2e17", "\u00ac", "\u00ad"])
def test_line_end_mark_joins_the_word(mark: str) -> None:
    """A line-end mark directly after a letter is no letter, and no space follows."""
    witness = read_witness(f"þa lanꝺ{mark} \nᵹemæꞃa\nend{mark}")
    assert witness.letters == "þa lanꝺᵹemæꞃa end"
    assert witness.line_ends == (mark, "", mark)
    assert witness.lines == (0, 7, 14)
    assert [witness.text_of_line(line) for line in range(3)] == [f"þa lanꝺ{mark}", "ᵹemæꞃa", f"end{mark}"]
    assert str(witness.locus(7)) == " 2.1"


@pytest.mark.parametrize("line", ["lupus -", "-", "lupus --", "lupus.-"])
def test_dash_that_ends_no_word_stays(line: str) -> None:
    """A dash after a space or after punctuation is a sign of the text."""
    witness = read_witness(f"{line}\nx")
    assert witness.letters == f"{line} x"
    assert witness.line_ends == ("", "")


def test_hyphen_after_composite_letter_and_tironian_sign() -> None:
    """A letter with a mark over it, or ⁊, is a letter like any other before a hyphen."""
    assert read_witness("nyhtū-\nm").line_ends == ("-", "")
    assert read_witness("⁊-\nlanᵹ").line_ends == ("-", "")


def test_citations_before_a_tab() -> None:
    """In a numbered text the citation is what stands before the first tab."""
    witness = read_witness("X.1\tIc wæs on fyre\n\nX.3\tnu ic\n", numbered=True)
    assert witness.labels == ("X.1", "X.3")
    assert witness.letters == "Ic wæs on fyre nu ic"


def test_line_with_citation_only_is_skipped() -> None:
    """A witness that has nothing for a citation has no line there."""
    witness = read_witness("X.1\tIc\nX.2\t\nX.3\tnu\n", numbered=True)
    assert witness.labels == ("X.1", "X.3")
    assert witness.lines == (0, 3)


def test_citations_missing_or_double() -> None:
    """Lines without a citation and double citations are all reported with their line."""
    faults = faults_of("X.1\ta\nb\nX.1\tc\n\td\n", numbered=True)
    assert places(faults) == [(2, 1), (3, 1), (4, 1)]
    assert "first in line 1" in faults[1].what


def test_composed_and_decomposed_are_one() -> None:
    """The text is NFC, one place for each letter with all its marks."""
    witness = read_witness("nyhtu\u0304 e\u0328\u0304c")
    assert len(witness) == len("nyhtu") + 1 + len("ec")
    assert witness == read_witness("nyhtū ę̄c")


def test_compatibility_letters_stay() -> None:
    """NFC only: the long s and the -us sign are kept (NFKC would turn ꝰ into ꝯ)."""
    assert read_witness("ſiluꝰ").letters == "ſiluꝰ"


@given(LINES)
def test_every_letter_is_kept_and_has_a_locus(lines: list[str]) -> None:
    """Lines joined are the text; offsets ascend; each letter is cited by its own line."""
    kept = [line.rstrip() for line in lines if line.strip()]
    if not kept:
        return
    witness = read_witness("\n".join(lines), siglum="X")
    assert [witness.text_of_line(at) for at in range(len(witness.lines))] == kept
    assert witness.lines[0] == 0
    assert list(witness.lines) == sorted(witness.lines)
    assert len(witness.lines) == len(witness.labels) == len(witness.pages) == len(witness.line_ends)
    ended = sum(1 for end in witness.line_ends if end)
    spaces = sum(1 for end in witness.line_ends[:-1] if not end)
    assert len(witness) == sum(len(encode(line)) for line in kept) - ended + spaces
    for offset in range(len(witness)):
        locus = witness.locus(offset)
        assert locus.text == "X" and locus.word >= 1
        assert locus.line == witness.labels[witness.line_of(offset)]


@pytest.mark.parametrize(
    "line",
    ["[fol. 1r", "[fol. ]", "[fol. 1v] x", "[f. 3 r", "[p. 7) stan", "[page 7] stan", "  [FOL. 2r", "[f12r]"],
)
@pytest.mark.parametrize("profile", ["plain", "leiden"])
def test_page_mark_mistyped_is_a_fault(line: str, profile: str) -> None:
    """A line that begins like a page mark and is none would count as text, and the page as the one before."""
    fault = next(one for one in faults_of(f"stan\n{line}\n", profile=profile) if "page mark" in one.what)
    assert (fault.line, fault.column) == (2, line.index("[") + 1)
    assert "[fol. 12r]" in fault.remedy


@pytest.mark.parametrize(
    "line", ["[fol]c", "[p.]ater", "[p...]er", "[f. ealdan] x", "[page]", "[f][ol. 1] x", "a [fol. 1r"]
)
def test_restored_letters_are_no_page_mark(line: str) -> None:
    """What only begins with the same letters is text, with signs or without."""
    assert read_witness(line).letters == line


def test_citation_in_brackets_is_no_page_mark() -> None:
    """In a numbered text what stands before the tab is the citation, whatever it is."""
    assert read_witness("[p. 1]\tstan\n[p. 2]\tæt", numbered=True).labels == ("[p. 1]", "[p. 2]")


def test_tab_in_running_text_is_a_fault() -> None:
    """It would part the line into fields; the place and what may be meant are told."""
    faults = faults_of("a\tb\nc\nd e\tf\n")
    assert places(faults) == [(1, 2), (3, 4)]
    assert "blank" in faults[0].remedy and "numbered" in faults[0].remedy
    assert places(faults_of("1\ta\tb\n", numbered=True)) == [(1, 4)]
