"""ALTO: strings become lines, broken words run on, pages are cited."""

from __future__ import annotations

import pytest

from fidelity.errors import DataError, Fault
from fidelity.terms import Witness
from fidelity.witnesses.alto import read_alto, rows_of_alto
from fidelity.witnesses.plain import Row
from fidelity.witnesses.xml_source import parse_xml

NAMESPACE = "http://www.loc.gov/standards/alto/ns-v4#"


def document(lines: list[str], page: str = 'PHYSICAL_IMG_NR="7"', namespace: str = NAMESPACE) -> str:
    """Give an ALTO document of one page."""
    body = "\n".join(f"<TextLine>{one}</TextLine>" for one in lines)
    return (
        f'<alto xmlns="{namespace}"><Description><sourceImageInformation>'
        "<fileName>hallowmere_3v.tif</fileName>"
        f"</sourceImageInformation></Description><Layout><Page {page}>"
        '<TopMargin><TextBlock><TextLine><String CONTENT="a running title"/>'
        "</TextLine></TextBlock></TopMargin>\n"
        f"<PrintSpace><ComposedBlock><TextBlock>\n{body}\n</TextBlock></ComposedBlock></PrintSpace>"
        "</Page></Layout></alto>"
    )


def rows_and_faults(text: str) -> tuple[list[Row], list[Fault]]:
    faults: list[Fault] = []
    return rows_of_alto(parse_xml(text), faults, []), faults


def read(text: str) -> Witness:
    """Give the witness that stands in an ALTO document without faults."""
    witness, notes = read_alto(parse_xml(text))
    assert notes == ()
    return witness


@pytest.mark.parametrize("namespace", [NAMESPACE, "http://www.loc.gov/standards/alto/ns-v2#"])
def test_strings_and_spaces(namespace: str) -> None:
    """SP parts the strings of a line; margins are not read; the page is cited by its image's number."""
    lines = ['<String CONTENT="þa"/><SP/><String CONTENT="lanꝺ"/>', '<String CONTENT="on"/>']
    witness = read(document(lines, namespace=namespace))
    assert witness.letters == "þa lanꝺ on"
    assert witness.labels == ("7:1", "7:2")


def test_strings_without_sp_are_words() -> None:
    """Where a line has no SP at all, each String is a word; where it has, touching strings are one."""
    assert read(document(['<String CONTENT="a"/><String CONTENT="b"/>'])).letters == "a b"
    assert (
        read(document(['<String CONTENT="a"/><String CONTENT="b"/><SP/><String CONTENT="c"/>'])).letters
        == "ab c"
    )


@pytest.mark.parametrize(
    ("end", "mark"),
    [
        ('<String CONTENT="stræ" SUBS_TYPE="HypPart1" SUBS_CONTENT="stræte"/><HYP CONTENT="-"/>', "-"),
        ('<String CONTENT="stræ" SUBS_TYPE="HypPart1" SUBS_CONTENT="stræte"/>', "-"),
        ('<String CONTENT="stræ"/><HYP/>', "-"),
        ('<String CONTENT="stræ"/><HYP CONTENT="&#xAC;"/>', "¬"),
        ('<String CONTENT="stræ-"/><HYP CONTENT="-"/>', "-"),
        ('<String CONTENT="stræ"/><SP/><HYP CONTENT="="/>', "-"),
    ],
)
def test_broken_words_run_on(end: str, mark: str) -> None:
    """A word broken at the line's end runs on, and the mark is kept for writing it back."""
    rest = '<String CONTENT="te" SUBS_TYPE="HypPart2" SUBS_CONTENT="stræte"/>'
    witness = read(document([f'<String CONTENT="on"/><SP/>{end}', rest]))
    assert (witness.letters, witness.line_ends) == ("on stræte", (mark, ""))


def test_page_without_number_is_cited_by_its_image() -> None:
    """Without a number the name of the image file cites the page, if it is the only one."""
    assert read(document(['<String CONTENT="a"/>'], page="")).labels == ("hallowmere_3v:1",)


def test_faults_have_their_line() -> None:
    """A string without content is reported where it stands."""
    _, (fault,) = rows_and_faults(document(['<String CONTENT="a"/>', '<String ID="s"/>']))
    assert (fault.line, "no CONTENT" in fault.what) == (4, True)


def test_two_pages_need_two_names() -> None:
    """Two pages that would be cited alike are a fault at the second."""
    text = document(['<String CONTENT="a"/>'])
    page = text[text.index("<Page") : text.index("</Layout>")]
    _, faults = rows_and_faults(text.replace("</Layout>", f"\n{page}</Layout>"))
    assert ["second time" in fault.what for fault in faults] == [True]
    assert faults[0].line == 5


def test_no_text_is_told() -> None:
    """A page without text is refused."""
    with pytest.raises(DataError, match="no line in it has text"):
        read(document([]))


def blocks(*written: str, order: str = "") -> str:
    """Give an ALTO document whose page has these blocks; each holds a line, its text its ID."""
    return document(["</TextLine></TextBlock>\n" + "\n".join(written) + "<TextBlock><TextLine>"]).replace(
        "<Layout>", f"{order}<Layout>"
    )


def block(name: str, about: str = "") -> str:
    line = f'<TextLine ID="l{name}"><String CONTENT="{name}"/></TextLine>'
    return f'<TextBlock ID="{name}" {about}>{line}</TextBlock>'


def ordered(*names: str) -> str:
    inner = "".join(f'<ElementRef ID="e{at}" REF="{name}"/>' for at, name in enumerate(names))
    return (
        f"<ReadingOrder><OrderedGroup><UnorderedGroup>{inner}</UnorderedGroup></OrderedGroup></ReadingOrder>"
    )


@pytest.mark.parametrize(
    ("order", "letters"),
    [
        (ordered("c", "a"), "c a b d"),  # what is not named follows as it stands
        (ordered("lb", "x"), "b c d a"),  # lines may be named, and blocks around others
        ("", "a b c d"),
    ],
)
def test_reading_order(order: str, letters: str) -> None:
    """The reading order of ALTO 4.3 is followed through its groups (from memory)."""
    nested = f'<ComposedBlock ID="x"><ComposedBlock>{block("c")}{block("d")}</ComposedBlock></ComposedBlock>'
    assert read(blocks(block("a"), block("b"), nested, order=order)).letters == letters


@pytest.mark.parametrize(
    ("next_of", "letters"),
    [
        ({"a": "c", "c": "b"}, "a c b"),
        ({"b": "a"}, "b a c"),
        ({"a": "b", "b": "a"}, "c a b"),  # a circle
        ({"a": "a"}, "b c a"),
    ],
)
def test_blocks_name_the_next(next_of: dict[str, str], letters: str) -> None:
    """Before there was a reading order, IDNEXT named the block that is read next."""
    written = [block(name, f'IDNEXT="{next_of[name]}"' if name in next_of else "") for name in "abc"]
    assert read(blocks(*written)).letters == letters


def test_order_that_names_what_is_not_there() -> None:
    """A reading order or IDNEXT that names nothing is a fault where it stands."""
    text = blocks(block("a", 'IDNEXT="q"'), order="\n" + ordered("a", "z"))
    _, faults = rows_and_faults(text)
    assert [("'z'" in fault.what, "'q'" in fault.what) for fault in faults] == [(True, False), (False, True)]
    assert [fault.line for fault in faults] == [2, 5]


def test_page_is_cited_by_the_number_on_it() -> None:
    """The number printed on a page goes before that of its image; without any it is its place."""
    text = document(['<String CONTENT="a"/>'], page='PHYSICAL_IMG_NR="7" PRINTED_IMG_NR="12r"')
    page = text[text.index("<Page") : text.index("</Layout>")]
    nameless = page.replace('PHYSICAL_IMG_NR="7" PRINTED_IMG_NR="12r"', "")
    assert read(text).pages == ("12r",)
    assert read(text.replace("</Layout>", f"{nameless}</Layout>")).pages == ("12r", "2")
