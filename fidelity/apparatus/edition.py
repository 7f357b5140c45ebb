"""Write the edition file: every lost text as transmitted, in all its witnesses, with what is proposed.

Arrives: an audit. Leaves: ``apparatus.xml``, TEI P5 with the apparatus in the text (parallel segmentation).
Start reading at ``edition``; ``edition_places.py`` writes the text, ``edition_header.py`` the header,
``edition_witness.py`` has every witness back from the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import quoteattr

from fidelity.apparatus.collated import CollatedText, collated_texts
from fidelity.apparatus.concerns import adopted_in, said_of
from fidelity.apparatus.edition_header import header_of_edition
from fidelity.apparatus.edition_places import text_of
from fidelity.apparatus.edition_readings import PROGRAM
from fidelity.apparatus.edition_text import EditionText
from fidelity.apparatus.tei_names import TeiNames
from fidelity.judge import Audit

TEI = "http://www.tei-c.org/ns/1.0"
# What XML 1.0 cannot hold (section 2.2). Texts never have it, for it is refused in reading; a note may.
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def edition(audit: Audit, texts: list[CollatedText] | None = None) -> str:
    """Give the edition file of all lost texts.

    Args:
        audit: what was found.
        texts: the lost texts with their witnesses, if they are collated already.
    """
    if texts is None:
        texts = collated_texts(audit.dossier)
    document = "".join(_document(audit, texts)).replace(" \n", "\n")
    return _NO_XML.sub("\ufffd", document)


def _document(audit: Audit, texts: list[CollatedText]) -> Iterator[str]:
    """Give the document, piece by piece."""
    names = TeiNames()
    names.name(PROGRAM)
    written = [(text, EditionText(text, names)) for text in texts]
    yield f'<?xml version="1.0" encoding="UTF-8"?>\n<TEI xmlns="{TEI}">\n'
    for line in header_of_edition(audit, texts, names):
        yield line + "\n"
    if len(written) != 1:
        yield "<text>\n<group>\n"
    for text, in_tei in written:
        language = f" xml:lang={quoteattr(text.copy.language)}" if text.copy.language else ""
        yield f'<text xml:id="{names.name(text.id)}" n={quoteattr(text.id)}{language}>\n<body>\n<ab>'
        yield from text_of(in_tei, list(said_of(audit, text.id)), adopted_in(audit, text.id), names)
        yield "\n</ab>\n</body>\n</text>\n"
    if len(written) != 1:
        yield "</group>\n</text>\n"
    yield "</TEI>\n"
