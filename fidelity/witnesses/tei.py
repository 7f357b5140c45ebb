"""Read a transcription in TEI P5.

Arrives: the element tree of a TEI document, or of its text alone. Leaves: a ``Witness``, and notes
on what was decided in reading it. Start reading at ``read_tei``.

The letters of the reading text are those that stand in the manuscript, each with its state and
hand. Cancelled letters (del) are kept in the state "deleted", as from Leiden signs; editorial notes
and running titles (fw) are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from fidelity.errors import DataError, Fault
from fidelity.terms import Witness
from fidelity.witnesses.tei_elements import MANUSCRIPT_SIDE
from fidelity.witnesses.tei_hands import order_of_hands
from fidelity.witnesses.tei_header import MOST_HANDS, XML_LANG, header_of
from fidelity.witnesses.tei_walk import TeiWalk
from fidelity.witnesses.xml_source import Xml, local_name, parse_xml


def read_tei(
    source: Path | str, *, choice: Mapping[str, str] = MANUSCRIPT_SIDE
) -> tuple[Witness, tuple[str, ...]]:
    """Read a transcription in TEI P5: lines, pages, states of letters, hands.

    Args:
        source: a file (a Path), or XML as a string.
        choice: which side of each kind of choice is read: "abbr|expan", "sic|corr", "orig|reg".

    Returns:
        The Witness, and notes: unknown elements, what was left out, which side of a choice was read.

    Raises:
        DataError: the XML is not fit to be read, names what is not there, or holds no text.

    >>> text = "<ab><lb/>moꞃ<supplied reason='lost'>ᵹen</supplied> <gap quantity='2' unit='chars'/></ab>"
    >>> witness, notes = read_tei(text)
    >>> witness.letters, list(witness.states)
    ('moꞃᵹen ▯▯', [0, 0, 0, 2, 2, 2, 0, 6, 6])
    """
    return read_tei_tree(parse_xml(source), choice=choice)


def read_tei_tree(xml: Xml, choice: Mapping[str, str] = MANUSCRIPT_SIDE) -> tuple[Witness, tuple[str, ...]]:
    """Read a transcription from its element tree.

    Args:
        xml: the document; the tree is used up.
        choice: as for ``read_tei``; kinds not named are read as ``MANUSCRIPT_SIDE`` says.

    Raises:
        DataError: it names what is not there, or holds no text.
    """
    header = header_of(xml.root)
    walk = TeiWalk(xml, header, {**MANUSCRIPT_SIDE, **choice})
    walk.read()
    if not len(walk.lines) and not walk.faults:
        remedy = "give a text with at least one line"
        walk.faults.append(Fault("there is no text in it", xml.file, remedy=remedy))
    if len(header.hands.names) > MOST_HANDS:
        what = f"{len(header.hands.names)} hands are named, of which {MOST_HANDS} can be told apart"
        walk.faults.append(Fault(what, xml.file, remedy="give one name to hands that need not be told apart"))
    if walk.faults:
        raise DataError(faults=walk.faults)
    order, numbers, about_main = order_of_hands(header.hands, walk.lines.letters_of(len(header.hands.names)))
    names = tuple(header.hands.names[number] for number in order)
    witness = walk.lines.witness(names, walk.fields, numbers)
    text = xml.root if local_name(xml.root) == "text" else xml.root.find("{*}text")
    return (
        replace(
            witness,
            siglum=header.siglum,
            script=header.hands.scripts.get(order[0], ""),
            language="" if text is None else text.get(XML_LANG, ""),
            file=str(xml.file) if xml.file else "",
        ),
        (*walk.notes(), *filter(None, [about_main])),
    )
