"""A large TEI document is read without a tree of its text, to the same end."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.errors import DataError
from fidelity.witnesses import xml_skeleton
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.xml_source import parse_xml
from tests.fuzz.seeds import TEI


@pytest.fixture(autouse=True)
def small_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every document count as large."""
    monkeypatch.setattr(xml_skeleton, "LARGE", 0)


def test_the_same_witness_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With and without the tree of the text the same witness and the same notes come out."""
    file = tmp_path / "E.xml"
    file.write_text(TEI, encoding="utf-8")
    assert not list(parse_xml(file).root.iter("{*}p"))
    without_tree = read_tei(file)
    monkeypatch.setattr(xml_skeleton, "LARGE", 10**9)
    assert list(parse_xml(file).root.iter("{*}p"))
    assert read_tei(file) == without_tree


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("<p>a<lb></p>", "closed|close"),
        ("<p>a & b</p>", "&"),
        ("<p><x:hi>a</x:hi></p>", "prefix"),
        ("<p n='1' n='2'>a</p>", "twice"),
        ("<hi>" * 1_100 + "a" + "</hi>" * 1_100, "1,000 deep"),
    ],
)
def test_what_is_wrong_is_told_all_the_same(text: str, what: str) -> None:
    """A document that is not well formed, or too deep, is refused with its place as a small one is."""
    with pytest.raises(DataError, match=what) as caught:
        read_tei(f"<TEI><teiHeader/>\n<text><body>{text}</body></text></TEI>")
    assert caught.value.faults[0].line == 2


@pytest.mark.parametrize(
    "document",
    [
        "<text><p>a</p></text>",
        "<TEI><text><p>a</p></text><text><p>b</p></text></TEI>",
        "<TEI><!-- <text> --><text><p>a</p></text></TEI>",
        "<TEI><text/></TEI>",
    ],
)
def test_what_is_out_of_the_ordinary_has_its_tree(document: str) -> None:
    """No single text, or something that looks like one: the tree is built as ever."""
    assert len(list(parse_xml(document).root.iter())) > 1 or "<text/>" in document
    assert bool(list(parse_xml(document).root.iter("{*}p"))) == ("<p>" in document)
