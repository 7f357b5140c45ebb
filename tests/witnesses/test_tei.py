"""TEI elements are read as the Guidelines (TEI P5, chapters 3, 5 and 11) say they are meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.letters import decode
from fidelity.terms import State, Witness
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.xml_kinds import read_xml

HEADER = """<teiHeader><profileDesc><handNotes>
<handNote xml:id="glossator" n="the glossator"/><handNote xml:id="scribe" n="the scribe" scope="major"/>
</handNotes></profileDesc><encodingDesc><charDecl>
<glyph xml:id="us"><mapping type="standardized">us</mapping><mapping type="Unicode">ꝰ</mapping></glyph>
<char xml:id="flourish"><mapping type="PUA">U+E5DC</mapping></char>
</charDecl></encodingDesc></teiHeader>"""


def whole(text: str) -> str:
    return f'<TEI xmlns="http://www.tei-c.org/ns/1.0">{HEADER}<text><body>{text}</body></text></TEI>'


def read(text: str) -> Witness:
    return read_tei(whole(text))[0]


def states(witness: Witness) -> str:
    """One letter for each state: what is clear is a point."""
    return "".join(".URSEDL?"[witness.state(at)] for at in range(len(witness)))


@pytest.mark.parametrize(
    ("text", "letters", "marked"),
    [
        ("st<unclear>a</unclear>n", "stan", "..U."),
        ("<gap reason='lost'/>stan", "▯stan", "?...."),
        ("st<gap reason='hole' quantity='2' unit='chars'/>", "st▯▯", "..LL"),
        ("st<gap quantity='2' unit='lines'/>", "st▯", "..?"),
        ("st<gap extent='about 3 letters'/>", "st▯▯▯", "..LLL"),
        ("st<gap reason='lost' extent='3' unit='chars'/>", "st▯▯▯", "..LLL"),
        ("st<gap extent='c. 3' unit='letters'/>", "st▯▯▯", "..LLL"),
        ("st<gap extent='2-3' unit='chars'/><gap extent='3'/>", "st▯▯", "..??"),
        ("st<space quantity='3'/>an", "st   an", "......."),
        ("st<space quantity='3' unit='lines'/>an", "st an", "....."),
        ("st<supplied reason='lost'>an</supplied>", "stan", "..RR"),
        ("st<supplied>an</supplied>", "stan", "..RR"),
        ("st<supplied reason='omitted'>an</supplied>", "stan", "..SS"),
        ("<damage>st<supplied>a</supplied>n</damage>e", "stane", "UURU."),
        ("<supplied>st<unclear>a</unclear>n</supplied>", "stan", "RRRR"),
        ("<del>st<supplied>a</supplied></del>n", "stan", "DDD."),
        ("<unclear>s<del>t</del></unclear>an", "stan", "UD.."),
        ("<supplied>s<subst><del>t</del><add>a</add></subst></supplied>n", "stan", "RDR."),
        ("<damage>s<ex>t<del>a</del></ex></damage>n", "stan", "UED."),
        ("<unclear><restore><del>st</del></restore></unclear>an", "stan", "UU.."),
        ("<restore><del>st</del></restore>an", "stan", "...."),
        ("d<ex>omi</ex>n<ex>us</ex>", "dominus", ".EEE.EE"),
        ("<expan>d<am>¯</am><ex>omi</ex>ne</expan>", "domine", ".EEE.."),
        ("<expan>and</expan>", "and", "EEE"),
        ("<abbr>dñs</abbr>", "dñs", "..."),
        ("<choice><abbr>dñs</abbr><expan>d<ex>omi</ex>nus</expan></choice>", "dominus", ".EEE..."),
        ("n<choice><am>~</am><ex>er</ex></choice>", "ner", ".EE"),
        ("<choice>\n<sic>stna</sic>\n<corr>stan</corr>\n</choice>", "stna", "...."),
        ("<choice><reg>stone</reg><orig>stan</orig></choice>", "stan", "...."),
        ("<choice><unclear>a</unclear><unclear>u</unclear></choice>n", "an", "U."),
        ("st<corr>a</corr>n", "stan", "..S."),
        ("stan<surplus>stan</surplus>", "stanstan", "........"),
        ("ſt<hi rend='red'>a</hi>n", "ſtan", "...."),
        ("<foreign xml:lang='la'>lapis</foreign> <seg>⁊</seg> <gloss>stan</gloss>", "lapis ⁊ stan", "." * 12),
        ("stan<note>so he writes</note> æt", "stan æt", "......."),
        ("stan<fw type='catch'>æt</fw><milestone unit='section'/>", "stan", "...."),
        ("stan<space/>æt", "stan æt", "......."),
        ("stan <space quantity='3' unit='chars'/> æt", "stan   æt", "." * 9),
        ("st<!-- broken here -->a<?page 3?>n", "stan", "...."),
        ("<app><rdg>steen</rdg><lem>stan</lem></app>", "stan", "...."),
        ("stan<g ref='#us'/><g ref='#flourish'/><g ref='#us'>9</g>", "stanꝰ\ue5dc9", "......."),
        ("<![CDATA[stan]]> &amp; &#x61;&#x304;", "stan & ā", "........"),
    ],
)
def test_elements_give_letters_and_states(text: str, letters: str, marked: str) -> None:
    """Each element gives the letters that stand in the manuscript, in the state it says."""
    witness = read(f"<p>{text}</p>")
    assert (decode(witness.letters), states(witness)) == (letters, marked)


def test_the_other_side_of_a_choice_is_read_when_asked_for() -> None:
    """The editor's side is read on demand, and his letters are no evidence of the manuscript's."""
    text = "<ab><choice><sic>stna</sic><corr>stan</corr></choice> d<am>¯</am><ex>omi</ex>ne</ab>"
    witness, notes = read_tei(text, choice={"sic|corr": "corr", "abbr|expan": "abbr"})
    assert (witness.letters, states(witness)) == ("stan d¯ne", "SSSS.....")
    assert notes == ("of sic|corr the side corr is read",)


def test_lines_and_pages_are_cited_by_their_numbers() -> None:
    """A place is cited by page and line as the transcriber numbered them."""
    witness = read("<p><pb n='fol. 12r'/><lb n='3'/>þa stan<lb n='4'/>æt<pb n='12v'/><lb n='1'/>forda</p>")
    assert witness.labels == ("12r:3", "12r:4", "12v:1") and witness.pages == ("12r", "12r", "12v")
    assert witness.letters == "þa stan æt forda"


def test_lines_without_numbers_are_counted_on_their_page() -> None:
    """Lines and pages without a number are counted, as in plain text."""
    witness = read("<p>an<lb/>twa<pb/><lb/>þreo<lb n='5'/>fif<lb/>six</p>")
    assert witness.labels == ("1", "2", "1:1", "1:5", "1:6")


def test_pages_without_a_number_are_cited_by_their_place() -> None:
    """After numbered pages too: the second page is 2."""
    assert read("<p><pb n='1r'/>an<pb/>twa<pb n='3r'/>þreo</p>").pages == ("1r", "2", "3r")


def test_the_same_page_twice_is_a_fault() -> None:
    """As in plain text: their lines could not be told apart."""
    with pytest.raises(DataError, match=r"page 1r begins a second time \(first in line 2\)") as caught:
        read_tei("<ab>\n<pb n='1r'/>an\n<pb n='1v'/>twa\n <pb n='fol. 1r'/>þreo</ab>")
    (fault,) = caught.value.faults
    assert (fault.line, fault.column) == (4, 2)
    assert read("<p><pb n='1r'/>an<pb n='1r' ed='#print'/>twa</p>").pages == ("1r",)


def test_a_part_that_stands_elsewhere_is_a_fault() -> None:
    """Nothing is fetched, so that the text would lack it."""
    include = (
        "<xi:include xmlns:xi='http://www.w3.org/2001/XInclude' href='leaf2.xml'><xi:fallback/></xi:include>"
    )
    with pytest.raises(DataError, match=r"elsewhere, in leaf2\.xml"):
        read(f"<p>stan{include}</p>")


def test_columns_stand_in_the_citation_and_not_in_the_page() -> None:
    """A column is part of how a line is cited; errors cluster by the page all the same."""
    witness = read("<p><pb n='2r'/><cb n='a'/><lb/>an<cb n='b'/><lb/>twa</p>")
    assert (witness.labels, witness.pages) == (("2ra:1", "2rb:1"), ("2r", "2r"))


@pytest.mark.parametrize(
    ("text", "letters", "ends"),
    [
        ("lanꝺ-<lb break='no'/>ᵹemæꞃa", "lanꝺᵹemæꞃa", ("-", "")),
        ("lanꝺ <lb break='no'/> ᵹemæꞃa", "lanꝺᵹemæꞃa", ("\xad", "")),
        ("lanꝺ-<lb/>ᵹemæꞃa", "lanꝺᵹemæꞃa", ("-", "")),
        ("lanꝺ-<lb break='yes'/>ᵹemæꞃa", "lanꝺ- ᵹemæꞃa", ("", "")),
        ("lanꝺ\n   <lb/>\n  ᵹemæꞃa", "lanꝺ ᵹemæꞃa", ("", "")),
        ("<w>lanꝺ<lb/>ᵹemæꞃa</w>", "lanꝺᵹemæꞃa", ("\xad", "")),
        ("lanꝺ<pb n='2' break='no'/><lb/>ᵹemæꞃa", "lanꝺᵹemæꞃa", ("\xad", "")),
        ("lanꝺ<pb n='2'/><lb break='no'/>ᵹemæꞃa", "lanꝺᵹemæꞃa", ("\xad", "")),
    ],
)
def test_break_says_whether_the_word_runs_on(text: str, letters: str, ends: tuple[str, str]) -> None:
    """@break decides whether a line end parts words; without it a hyphen does, as in plain text."""
    witness = read(f"<p>{text}</p>")
    assert (witness.letters, witness.line_ends) == (letters, ends)


def test_line_ends_of_the_file_are_none_of_the_manuscript() -> None:
    """White space of the file is one blank, and no line end (TEI P5, chapter 1, white space)."""
    witness = read("<p>\n  þa\n  stan\t\t  æt </p>\n\n<p>  forda\n</p>")
    assert (witness.letters, witness.labels) == ("þa stan æt forda", ("1", "2"))


def test_blocks_begin_lines_unless_lines_are_numbered() -> None:
    """Verses and paragraphs are lines where nothing else is; a numbered line may hold two of them."""
    verses = read("<lg><l n='7'>an</l><l>twa</l></lg>")
    assert (verses.letters, verses.labels) == ("an twa", ("7", "8"))
    prose = read("<p><lb n='1'/>an<lb n='2'/>twa</p><p>þreo<lb n='3'/>fif</p>")
    assert (prose.letters, prose.labels) == ("an twa þreo fif", ("1", "2", "3"))


def test_words_are_parted_where_only_their_elements_part_them() -> None:
    """Words and punctuation marked up without white space do not run together."""
    witness = read("<p><w>þa</w><w>stan</w><pc>.</pc><w part='I'>fo</w><w part='F'>rda</w></p>")
    assert witness.letters == "þa stan. forda"


def test_hands_come_from_the_header() -> None:
    """The main hand comes first; an addition without a hand is by one who added; shifts hold on."""
    witness = read(
        "<p>an<add hand='#glossator' place='above'>b</add>c<add>d</add><handShift new='#glossator'/>e</p>"
        "<p>f<handShift new='#scribe'/>g<add hand='#scribe'>h</add></p>"
    )
    assert witness.hand_names == ("the scribe", "the glossator", "added")
    assert (witness.letters, list(witness.hands)) == ("anbcde fgh", [0, 0, 1, 0, 2, 1, 0, 1, 0, 0])


def test_a_note_in_the_manuscript_is_text() -> None:
    """A note that a hand wrote is read in that hand."""
    witness = read("<p>an<note hand='#glossator' place='margin'> id est i</note></p>")
    assert (witness.letters, witness.hand(4)) == ("an id est i", "the glossator")


def test_a_substitution_keeps_both_readings() -> None:
    """What was cancelled and what was put for it are both kept, each marked."""
    witness = read("<p>st<subst>\n<del>o</del>\n<add hand='#scribe'>a</add>\n</subst>n</p>")
    assert (witness.letters, states(witness)) == ("stoan", "..D..")


def test_unknown_elements_keep_their_text_and_are_noted_once() -> None:
    """An element that is not known loses no letter, and is told of once."""
    witness, notes = read_tei("<ab>a<wonder>b</wonder><wonder>c</wonder></ab>")
    assert witness.letters == "abc"
    assert notes == ("unknown element <wonder>, first in line 1: its text is kept",)


def test_a_mark_is_part_of_its_letter() -> None:
    """A letter with its marks takes one place, so that states do not slip."""
    witness = read("<p>nyhtu\u0304<unclear>m</unclear> e\u0328\u0304<del>x</del></p>")
    assert (len(witness), states(witness)) == (9, ".....U..D")


@pytest.mark.parametrize(
    "attribute", ["quantity='0'", "quantity='-3'", "quantity='9999999999'", "quantity='x'"]
)
def test_a_gap_of_no_possible_length_is_a_fault(attribute: str) -> None:
    """A gap must have a number of letters that can be, and the report shows where it has not."""
    with pytest.raises(DataError) as caught:
        read_tei(f"<ab>\nstan <gap {attribute} unit='chars'/></ab>")
    (fault,) = caught.value.faults
    assert (fault.line, fault.column) == (2, 6) and fault.remedy


def test_too_many_hands_are_a_fault() -> None:
    """A text with more hands than can be told apart is refused, rather than two of them mixed up."""
    hands = "".join(f"<seg hand='#h{number}'>a</seg>" for number in range(300))
    with pytest.raises(DataError, match="301 hands"):
        read_tei(f"<ab>{hands}</ab>")


def test_a_glyph_that_is_not_declared_is_a_fault() -> None:
    """A letter that nothing tells is not guessed."""
    with pytest.raises(DataError, match="glyph 'wynn'"):
        read_tei("<ab>a<g ref='#wynn'/></ab>")


def test_a_text_without_letters_is_a_fault() -> None:
    """A document without a letter in its text is refused."""
    with pytest.raises(DataError, match="no text"):
        read_tei(whole("<p><lb/> <note>nothing</note></p>"))


def test_files_are_told_by_their_outermost_element(tmp_path: Path) -> None:
    """A .xml file is read by what it holds, and named in the Witness; other XML is refused."""
    file = tmp_path / "E.xml"
    file.write_text(whole("<p>stan</p>"), encoding="utf-8")
    witness = read_witness(file, siglum="E", script="insular")
    assert (witness.letters, witness.siglum, witness.script) == ("stan", "E", "insular")
    assert witness.file == str(file)
    with pytest.raises(DataError, match="<html> is not read"):
        read_xml("<html/>")


def test_a_double_citation_is_told_apart() -> None:
    """Two lines of one number can still be cited apart."""
    assert read("<p><lb n='1'/>an<lb n='1'/>twa</p>").labels == ("1", "1″2")


def test_state_names_cover_all() -> None:
    """The letters by which these tests show states are those of the record."""
    assert len(".URSEDL?") == len(State)


def test_a_shift_of_hands_inside_an_element_holds_after_it() -> None:
    """A shift is a point in the text: what follows the element it stands in is in the new hand."""
    witness = read("<p>a<unclear>b<handShift new='#glossator'/>c</unclear>d</p>")
    assert (list(witness.hands), states(witness)) == ([0, 0, 1, 1], ".UU.")


def test_what_was_decided_is_told_with_the_dossier(tmp_path: Path) -> None:
    """The notes on reading TEI join those of the dossier, each once, with the file's name before them."""
    text = "<text><ab>stan <choice><sic>æce</sic><corr>ece</corr></choice><wonder>ᵹ</wonder></ab></text>"
    (tmp_path / "E.xml").write_text(text, encoding="utf-8")
    (tmp_path / "copy.txt").write_text("stan æceg\n", encoding="utf-8")
    survivor = '[[survivor]]\nid = "{}"\noriginal = "E.xml"\ncopy = "copy.txt"\nscript = "insular"\n'
    toml = '[copyist]\nname = "Erasmus Wickenby"\n' + survivor.format("E") + survivor.format("F")
    (tmp_path / "dossier.toml").write_text(toml, encoding="utf-8")
    dossier = read_dossier(tmp_path)
    assert [note for note in dossier.notes if note.startswith("E.xml: ")] == [
        "E.xml: of sic|corr the side sic is read",
        "E.xml: unknown element <wonder>, first in line 1: its text is kept",
    ]
    original = dossier.survivors[0].original
    assert (original.letters, original.siglum, original.script) == ("stan æceᵹ", "E", "insular")
    assert original.file == "E.xml"
