"""Point out what was read as text and is perhaps a sign of the transcriber's.

Arrives: a text that was read without a profile of editorial signs. Leaves: notes, each with the
line. Start reading at ``hints_on``. Nothing is guessed: what a sign means is for the editor to say.
"""

from __future__ import annotations

import unicodedata
from itertools import islice

import regex

from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.plain import perhaps_page_mark

MANY = 3  # signs; one or two brackets may stand in a manuscript, or be a slip of the keyboard
MOST_MARKS = 5  # told of one text

_UNCLEAR_DOT = "\u0323"
_SIGN = regex.compile(  # dots or dashes alone in [ ], brackets inside of a word, signs that are nothing else
    r"\[(?=\s*+\.)[.\s]*+\] | \[\s*+[-–—]++\s*+\] | \[\s*+(?:ca?\.|±)\s*+\d++\s*+\]"
    r"| [\p{L}\p{M}]\[[^\[\]\s]{1,20}\]"
    r"| \[[^\[\]\s]{1,20}\](?=\p{L}) | [⟦⟨⸌〚]",
    regex.VERBOSE,
)


def hints_on(witness: Witness) -> tuple[str, ...]:
    """Tell what looks like a page mark or like editorial signs in a text read as plain text.

    >>> hints_on(Witness("B", "st[an] [..] a[n]d", (0,), ("1",), ("",), ("",)))[0][:57]
    '3 places look like editorial signs, such as t[an] in line'
    """
    return (*_page_marks(witness), *_signs(witness))


def _page_marks(witness: Witness) -> list[str]:
    if "[" not in witness.letters:
        return []
    lines = ((label, witness.text_of_line(at).strip()) for at, label in enumerate(witness.labels))
    found = ((label, line) for label, line in lines if line[:1] == "[" and perhaps_page_mark(line))
    what = (
        "looks like a page mark and is read as text; a page is marked as [fol. 12r] or [p. 7], a column not"
    )
    return [f"line {label}: {line} {what}" for label, line in islice(found, MOST_MARKS)]


def _signs(witness: Witness) -> list[str]:
    dotted = [
        one for one in set(witness.letters) if _UNCLEAR_DOT in unicodedata.normalize("NFD", decode(one))
    ]
    places = [(found.start(), found.group()) for found in _SIGN.finditer(witness.letters)]
    count = len(places) + sum(map(witness.letters.count, dotted))
    if count < MANY:
        return []
    places += [(witness.letters.index(one), one) for one in dotted]
    at, sign = min(places)
    where = witness.labels[witness.line_of(at)]
    return [
        f"{count} places look like editorial signs, such as {decode(sign)} in line {where}: they are read as"
        ' letters; if they are Leiden signs, say so (profile = "leiden", or "leiden_literary" where [abc] is'
        " what the editor deletes)"
    ]
