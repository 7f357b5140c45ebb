"""Put marks above or below a letter to it where a tag of TEI stands between the two.

Arrives: a TEI document in which d<am>\u0304</am> stands, as transcribers write a stroke above the d
that is a sign of abbreviation. Leaves: the document with a carrier under each such mark, so that
the mark can be told from the tag; and, when the text has been read, the letters with their marks.
Start reading at ``with_carriers``.

The mark belongs to the letter right before the tag, in the state of that letter. Where the element
of the mark is not read (the stroke, when the abbreviation is read written out), neither is the mark.
"""

from __future__ import annotations

from collections.abc import Callable, MutableSequence

import regex

from fidelity.letters import decode, encode

CARRIER = "\U0010fffd"  # the last private code point of Unicode: no transcription has it

# Between letter and mark only tags that do not part words and give the letters inside no state or hand
# of their own: a stroke that was deleted, or added by a corrector, is not as its letter is.
_NAMES = "abbr|am|c|choice|damage|expan|g|hi|orig|sic|surplus"
_TAG = rf"</?(?:[\w.-]+:)?(?:{_NAMES})(?:\s[^<>]*)?>"
_AFTER_TAGS = regex.compile(rf"[^\s<>;](?:{_TAG}){{1,9}}+(?=\p{{M}})")
_MARK_AFTER_TAG = regex.compile(r">\p{M}")
_LEADING = regex.compile(r"\p{M}+")


def with_carriers(document: str) -> str:
    """Put a carrier under each mark that tags part from its letter; the same string if there is none.

    >>> with_carriers("d<am>\u0304</am>") == f"d<am>{CARRIER}\u0304</am>"
    True
    """
    if CARRIER in document or not _MARK_AFTER_TAG.search(document):
        return document
    return _AFTER_TAGS.sub(lambda found: found.group() + CARRIER, document)


def without_carriers(text: str) -> str:
    """Take the carriers away again, to show a line as it is written."""
    return text.replace(CARRIER, "")


def join_loose_marks(pieces: MutableSequence[str], begin: int, without_letter: Callable[[str], None]) -> None:
    """Put the marks on carriers to the letters before them.

    Args:
        pieces: of the text, in letters; changed.
        begin: the first of the line.
        without_letter: told of a mark before which no letter stands in the line.

    >>> pieces = [encode("d"), encode(CARRIER + "\u0304"), "e"]
    >>> join_loose_marks(pieces, 0, print)
    >>> [decode(piece) for piece in pieces] == ["d\u0304", "", "e"]
    True
    """
    last, marks = -1, ""  # the piece that ends in the letter reached, and the marks for it
    for at in range(begin, len(pieces)):
        written = decode(pieces[at])
        found = _LEADING.match(written, len(CARRIER)) if written.startswith(CARRIER) else None
        if found is not None:
            pieces[at] = encode(written[found.end() :])
            if last < 0 or pieces[last][-1].isspace():
                without_letter(found.group()[0])
            else:
                marks += found.group()
        if pieces[at]:
            _put_to(pieces, last, marks)
            last, marks = at, ""
    _put_to(pieces, last, marks)


def _put_to(pieces: MutableSequence[str], at: int, marks: str) -> None:
    """Put marks to the last letter of a piece."""
    if marks:
        pieces[at] = pieces[at][:-1] + encode(decode(pieces[at][-1]) + marks)
