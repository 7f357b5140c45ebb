"""PAGE XML: which text of which line is taken, in what order, and how it is cited."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.errors import DataError, Fault
from fidelity.letters import decode, encode
from fidelity.terms import State, Witness
from fidelity.witnesses.page_xml import read_page_xml, rows_of_page_xml
from fidelity.witnesses.plain import Row
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.xml_source import parse_xml

NAMESPACE = "http://schema.primaresearch.org/PAGE/gts/pagecontent/2019-07-15"


def line(text: str, extra: str = "", attributes: str = "") -> str:
    """Give a TextLine with that text."""
    return f"<TextLine {attributes}>{extra}<TextEquiv><Unicode>{text}</Unicode></TextEquiv></TextLine>\n"


def document(body: str, image: str = "scans/12r.tif", namespace: str = NAMESPACE) -> str:
    """Give a PAGE document around regions."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<PcGts xmlns="{namespace}"><Metadata/>\n'
        f'<Page imageFilename="{image}" imageWidth="1" imageHeight="1">\n{body}</Page></PcGts>\n'
    )


def rows_and_faults(text: str) -> tuple[list[Row], list[Fault]]:
    faults: list[Fault] = []
    return rows_of_page_xml(parse_xml(text), faults, []), faults


def read(text: str) -> Witness:
    """Give the witness that stands in a PAGE document without faults."""
    witness, notes = read_page_xml(parse_xml(text))
    assert notes == ()
    return witness


@pytest.mark.parametrize("namespace", [NAMESPACE, "http://example.org/pagecontent/2013-07-15"])
def test_lines_become_manuscript_lines(namespace: str) -> None:
    """Each TextLine is a line, cited by image and count; a hyphen lets the word run on; any namespace."""
    body = f'<TextRegion id="r">{line("þa lanꝺ-")}{line("ᵹemæꞃa nyhtu&#x304;")}</TextRegion>'
    witness = read(document(body, namespace=namespace))
    assert decode(witness.letters) == "þa lanꝺᵹemæꞃa nyhtū"
    assert len(witness) == len(encode("þa lanꝺᵹemæꞃa nyhtū"))
    assert witness.labels == ("12r:1", "12r:2")
    assert witness.pages == ("12r", "12r")
    assert witness.line_ends == ("-", "")


@pytest.mark.parametrize(
    ("versions", "chosen"),
    [
        ([("1", "b"), ("0", "a")], "a"),
        ([("10", "b"), ("9", "a")], "a"),
        ([(None, "a"), (None, "b")], "a"),
        ([(None, "b"), ("3", "a")], "a"),
    ],
)
def test_lowest_index_counts(versions: list[tuple[str | None, str]], chosen: str) -> None:
    """Of several texts of a line the one with the lowest index is taken, without indices the first."""
    made = "".join(
        f"<TextEquiv{'' if index is None else f' index={index!r}'}><Unicode>{text}</Unicode></TextEquiv>"
        for index, text in versions
    )
    witness = read(document(f'<TextRegion id="r"><TextLine>{made}</TextLine></TextRegion>'))
    assert witness.letters == chosen


def region(name: str, text: str) -> str:
    return f'<TextRegion id="{name}">{line(text)}</TextRegion>'


def test_reading_order_is_honoured() -> None:
    """Regions come as ReadingOrder says, groups in groups too; those it does not name come last."""
    order = (
        '<ReadingOrder><OrderedGroup id="g"><RegionRefIndexed index="2" regionRef="a"/>'
        '<OrderedGroupIndexed id="h" index="1"><RegionRefIndexed index="5" regionRef="b"/>'
        '<RegionRefIndexed index="4" regionRef="c"/></OrderedGroupIndexed>'
        '<RegionRefIndexed index="0" regionRef="picture"/></OrderedGroup></ReadingOrder>'
    )
    regions = "".join(region(name, name) for name in "dabc")
    witness = read(document(f'{order}<ImageRegion id="picture"/>{regions}'))
    assert witness.letters == "c b a d"


def test_without_reading_order_regions_stand_as_in_the_file() -> None:
    """Where nothing is said, the order of the file counts, regions within regions included."""
    inner = f'<TextRegion id="o">{line("a")}{region("i", "b")}</TextRegion>{region("z", "c")}'
    assert read(document(inner)).letters == "a b c"


def test_words_and_regions_are_no_second_source() -> None:
    """The text of words and of the region is not read again beside that of the line."""
    word = "<Word><TextEquiv><Unicode>x</Unicode></TextEquiv></Word>"
    whole = "<TextEquiv><Unicode>y</Unicode></TextEquiv>"
    witness = read(document(f'<TextRegion id="r">{line("a", word)}{line("")}{whole}</TextRegion>'))
    assert witness.letters == "a"


@pytest.mark.parametrize(
    ("body", "at", "what"),
    [
        ('<TextRegion id="r">\n<TextEquiv><Unicode>a</Unicode></TextEquiv></TextRegion>', 4, "no lines"),
        (
            '<TextRegion id="r">\n<TextLine><Word><TextEquiv><Unicode>a</Unicode></TextEquiv></Word>'
            "</TextLine></TextRegion>",
            5,
            "in its words only",
        ),
        (
            '<ReadingOrder><OrderedGroup>\n<RegionRefIndexed index="0" regionRef="q"/></OrderedGroup>'
            "</ReadingOrder>",
            5,
            "there is no region 'q'",
        ),
        (
            '<TextRegion id="r">\n' + line("a", attributes='index="x"') + "</TextRegion>",
            5,
            "no number",
        ),
    ],
)
def test_what_cannot_be_taken_is_a_fault(body: str, at: int, what: str) -> None:
    """Text that would be lost, and order that cannot be followed, is reported with its line."""
    _, faults = rows_and_faults(document(body))
    assert [(fault.line, what in fault.what) for fault in faults] == [(at, True)]


def test_no_text_is_no_row() -> None:
    """A page without text gives no line, and the reader says so."""
    assert rows_and_faults(document("")) == ([], [])
    with pytest.raises(DataError, match="no line in it has text"):
        read(document(""))


def test_a_file_is_known_by_its_outermost_element(tmp_path: Path) -> None:
    """An .xml file with PcGts or alto at its head is read line by line, with the declared profile."""
    for name, text in (
        ("page.xml", document(f'<TextRegion id="r">{line("a[b]")}</TextRegion>')),
        (
            "alto.xml",
            '<alto><Layout><Page><TextLine><String CONTENT="a[b]"/></TextLine></Page></Layout></alto>',
        ),
    ):
        file = tmp_path / name
        file.write_text(text, encoding="utf-8")
        assert read_witness(file).letters == "a[b]"
        assert read_witness(file).file == str(file)
        assert list(read_witness(file, profile="leiden").states) == [State.CLEAR, State.RESTORED]


def test_editorial_signs_are_read_where_they_are_declared() -> None:
    """With a Leiden profile the signs in the lines give states; without it they are letters."""
    xml = parse_xml(document(f'<TextRegion id="r">{line("a[b]")}</TextRegion>'))
    assert read_page_xml(xml)[0].letters == "a[b]"
    marked = read_page_xml(xml, "leiden_literary")[0]
    assert (marked.letters, list(marked.states)) == ("ab", [State.CLEAR, State.DELETED])


@pytest.mark.parametrize("kind", ["page-number", "header", "footer", "catch-word", "signature-mark"])
def test_what_is_no_part_of_the_text_is_left_out(kind: str) -> None:
    """Regions of page numbers, running titles and catchwords are left out, and this is told."""
    inner = f'<TextRegion id="i">{line("uii")}</TextRegion>'
    body = f'<TextRegion id="n" type="{kind}">{line("xii")}{inner}</TextRegion>\n'
    body += f'<TextRegion id="r" type="paragraph">{line("stan")}</TextRegion>'
    witness, notes = read_page_xml(parse_xml(document(body)))
    assert (witness.letters, notes) == ("stan", (f"{kind} left out (2 times)",))


def test_order_in_custom_is_taken_where_there_is_no_other() -> None:
    """Regions and lines may say their place in @custom (from memory); a ReadingOrder goes before it."""

    def custom(index: int) -> str:
        return f'custom="structure {{type:paragraph;}} readingOrder {{index:{index};}}"'

    inner = "".join(f'<TextRegion id="{at}" {custom(at)}>{line(str(at))}</TextRegion>' for at in (1, 0))
    lines = line("b", "", custom(1)) + line("a", "", custom(0))
    body = f'<TextRegion id="b" {custom(1)}>{inner}{lines}</TextRegion>'
    body += (
        f'<TextRegion id="c" {custom(0)}>{line("c")}</TextRegion><TextRegion id="d">{line("d")}</TextRegion>'
    )
    assert read(document(body)).letters == "c a b 0 1 d"
    named = '<OrderedGroup id="g"><RegionRefIndexed index="0" regionRef="d"/></OrderedGroup>'
    order = f"<ReadingOrder>{named}</ReadingOrder>"
    assert read(document(order + body)).letters == "d a b 1 0 c"


def test_pages_cited_alike_are_a_fault() -> None:
    """Two pages of one image could not be told apart; pages without one are cited by their place."""
    text = document(f'<TextRegion id="r">{line("a")}</TextRegion>')
    page = text[text.index("<Page ") : text.index("</PcGts>")]
    _, (fault,) = rows_and_faults(text.replace("</PcGts>", f"\n{page}</PcGts>"))
    assert "page 12r stands a second time (first in line 3)" in fault.what
    nameless = page.replace('imageFilename="scans/12r.tif"', "")
    assert read(text.replace("</PcGts>", f"\n{nameless}</PcGts>")).pages == ("12r", "2")
