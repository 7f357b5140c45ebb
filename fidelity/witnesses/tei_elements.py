"""What each element of TEI P5 means for the reading text: the table that the reader follows.

Arrives: nothing. Leaves: names of elements by what they do. Start reading at ``STATE_OF``. The
meanings are those of the TEI P5 Guidelines, chapters 3 (core), 5 (characters), 11 (primary
sources) and 17 (linguistic segments), set down from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fidelity.errors import DataError
from fidelity.terms import State

# The state of the letters inside. Where one stands inside another, the outer one gives the state,
# as with Leiden signs; a deletion holds wherever it stands. What stands in corr or reg is the
# editor's, not the manuscript's.
STATE_OF = {
    "unclear": State.UNCLEAR,
    "del": State.DELETED,
    "ex": State.EXPANDED,
    "corr": State.SUPPLIED,
    "reg": State.SUPPLIED,
}

# Reasons for which a letter is supplied that was never written; any other says that it was lost.
NEVER_WRITTEN = frozenset({"omitted", "omission", "omitted-in-original", "absent", "missing"})

_BLOCKS = """
    ab argument byline castItem castList closer dateline div div1 div2 div3 div4 div5 div6 div7
    docAuthor docDate docEdition docImprint docTitle epigraph group floatingText head imprimatur item
    l lg line list opener p postscript salute signed sp speaker stage titlePage titlePart
    trailer zone front body back text surface surfaceGrp"""
_LEFT_OUT = """
    teiHeader facsimile standOff fw figure graphic figDesc metamark interp interpGrp certainty
    respons witDetail listWit desc media formula notatedMusic bibl listBibl listPerson listPlace
    index anchor join joinGrp link linkGrp span spanGrp alt altGrp timeline precision noteGrp
    substJoin undo redo transpose listTranspose"""
_INLINE = """
    TEI teiCorpus sourceDoc abbr am c cell cit date distinct emph foreign geogName geogFeat gloss hi
    label lem rdg m measure measureGrp mentioned mod name num offset orgName orig
    persName addName forename surname genName nameLink roleName phr placeName settlement country
    region district bloc pc phrase q quote ref ptr rdgGrp restore retrace rs s said seg sic
    soCalled surplus table term time title unit u w cl milestone secl supplied
    damage add expan choice subst app row space gap g handShift lb pb cb gb note"""

# A new line where lines have no lb of their own.
BLOCKS = frozenset(_BLOCKS.split())

# Left out with what is in them: they are about the text, or are no part of it.
LEFT_OUT = frozenset(_LEFT_OUT.split())

# The text inside is kept as it is, or is treated by ``tei_walk.py``. An element that is in none of
# these lists is unknown: its text is kept, and a note says so.
SPANS = frozenset({"addSpan", "delSpan", "damageSpan"})  # they begin what an element elsewhere ends
INLINE = frozenset(_INLINE.split()) | STATE_OF.keys() | SPANS

# The attributes that say how an element is read; two tags that differ in others are read alike.
READ_ATTRIBUTES = (
    "n", "break", "type", "ed", "edRef", "hand", "new", "resp", "reason", "quantity", "unit", "extent",
    "part", "join", "ref", "role", "spanTo",
)  # fmt: skip

# Names of the units in which a gap or a space may be measured, when they are letters.
LETTER_UNITS = frozenset({"char", "chars", "character", "characters", "letter", "letters", "sign", "signs"})

# Which side of a choice is read when nothing else is asked for: what stands in the manuscript; but
# an abbreviation is read written out, its added letters in the state "expanded".
MANUSCRIPT_SIDE = {"abbr|expan": "expan", "sic|corr": "sic", "orig|reg": "orig"}
SIDES_OF_CHOICES = frozenset(side for pair in MANUSCRIPT_SIDE for side in pair.split("|"))


def sides(choice: Sequence[str], file: Path | None = None) -> dict[str, str]:
    """Give which side of each kind of choice is read, when these are asked for.

    Raises:
        DataError: both sides of one kind are asked for.

    >>> sides(["corr"])["sic|corr"], sides([])["sic|corr"]
    ('corr', 'sic')
    """
    for pair in MANUSCRIPT_SIDE:
        if set(pair.split("|")) <= set(choice):
            first, other = pair.split("|")
            what = f"choice names both {first} and {other}, of which one can be read"
            raise DataError(what, file=file, remedy=f'keep one of them, for instance choice = ["{other}"]')
    asked = {pair: side for side in choice for pair in MANUSCRIPT_SIDE if side in pair.split("|")}
    return MANUSCRIPT_SIDE | asked
