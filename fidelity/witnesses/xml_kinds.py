"""Send an XML file to the reader of its kind, by its outermost element.

Arrives: an XML file, or XML as a string. Leaves: a ``Witness``. Start reading at ``read_xml``; a
further kind is one more line in ``READERS``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from fidelity.errors import DataError
from fidelity.terms import Witness
from fidelity.witnesses.alto import read_alto
from fidelity.witnesses.page_xml import read_page_xml
from fidelity.witnesses.tei import read_tei_tree
from fidelity.witnesses.tei_elements import sides
from fidelity.witnesses.xml_source import Xml, local_name, parse_xml

READERS: dict[str, Callable[[Xml, Mapping[str, str]], tuple[Witness, tuple[str, ...]]]] = {
    # the name of the outermost element -> what reads it: the Witness, and notes for the reader
    "TEI": read_tei_tree,
    "teiCorpus": read_tei_tree,
    "text": read_tei_tree,
    "body": read_tei_tree,
    "div": read_tei_tree,
    "ab": read_tei_tree,
}
LINE_READERS: dict[str, Callable[[Xml, str], tuple[Witness, tuple[str, ...]]]] = {
    # the same, where the text of lines may hold the editorial signs of a profile
    "PcGts": read_page_xml,
    "alto": read_alto,
}


def read_xml(source: Path | str, profile: str = "plain", choice: Sequence[str] = ()) -> Witness:
    """Read a transcription in XML.

    Args:
        source: a file (a Path), or XML as a string.
        profile: the editorial signs in the lines of PAGE XML and ALTO; TEI has elements for them.
        choice: which sides of TEI choices are read, "corr" for instance.

    Raises:
        DataError: the XML is not fit to be read, or of no known kind.

    >>> read_xml("<text><body><lb n='1'/>þa lanꝺ-<lb n='2'/>ᵹemæꞃa</body></text>").letters
    'þa lanꝺᵹemæꞃa'
    """
    return read_xml_with_notes(source, profile, choice)[0]


def read_xml_with_notes(
    source: Path | str, profile: str = "plain", choice: Sequence[str] = ()
) -> tuple[Witness, tuple[str, ...]]:
    """Read a transcription in XML, and tell what was decided in reading it.

    Raises:
        DataError: the XML is not fit to be read, or of no known kind.
    """
    xml = parse_xml(source)
    name = local_name(xml.root)
    if name in LINE_READERS:
        return LINE_READERS[name](xml, profile)
    reader = READERS.get(name)
    if reader is None:
        known = ", ".join([*READERS, *LINE_READERS])
        remedy = f"give it as plain text, or as XML that begins with one of: {known}"
        fault = xml.fault(xml.root, f"XML that begins with <{name}> is not read", remedy)
        raise DataError(faults=[fault])
    witness, notes = reader(xml, sides(choice, xml.file))
    if profile != "plain":
        without = (
            f"the profile {profile} is without effect in TEI, which has elements for what its signs mark"
        )
        notes = (*notes, without)
    return witness, notes
