"""Put the letters of a page into the page: the old letters, runes and signs that few machines have.

Arrives: a finished page of HTML. Leaves: CSS with the faces of two open fonts, cut down to the letters
that stand in the page: Cardo (regular, italic, bold) and, for what that lacks, ``rare_letters.ttf`` beside
this file, cut out of Junicode. Start reading at ``embedded_fonts``; what neither has is seen to by
``code_points.py`` before.

The page names one list of families for everything (``FAMILIES``). What the italic or the bold face lacks
(Insular letters, combining marks, MUFI's private letters) comes from the second family, cut from the
regular face, and runes and the rarest letters from the third: a browser goes there before it asks the
reader's machine, and slants or thickens them itself.
"""

from __future__ import annotations

import base64
import html as markup
import io
import re
import unicodedata
from collections import Counter
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from fidelity.errors import DataError

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

FAMILY, FURTHER, RARE = "fidelity letters", "fidelity further letters", "fidelity rare letters"
FAMILIES = f'"{FAMILY}", "{FURTHER}", "{RARE}"'  # what the page's CSS names first, before the machine's fonts
FACES = {  # face -> what CSS calls it (CSS Fonts 4, 4.3 and 4.4), and its file
    "regular": ("font-style: normal; font-weight: 400", "Cardo-Regular.ttf"),
    "italic": ("font-style: italic; font-weight: 400", "Cardo-Italic.ttf"),
    "bold": ("font-style: normal; font-weight: 700", "Cardo-Bold.ttf"),
    "rare": ("font-style: normal; font-weight: 400", "rare_letters.ttf"),
}
# Of the font's features (OpenType registry): marks are composed and set in their places, letters are
# kerned, and old-style figures can be asked for. No ligatures (liga, dlig, hlig): "fi" is two letters in a
# transcript. No "hist", which would write ſ for s.
_FEATURES = ("ccmp", "mark", "mkmk", "kern", "onum", "pnum")
# Entries of the name table that the licence asks for: copyright, trademark, licence and its address.
_LEGAL_NAMES = (0, 7, 13, 14)
_COPYRIGHT, _LICENCE = 0, 13
_NAMES = {1: "{family}", 2: "{style}", 3: "{family} {style}", 4: "{family} {style}", 6: "{joined}-{style}"}
_ASCII = frozenset(map(chr, range(0x20, 0x7F)))  # a script in the page may write any of these
_ENTITY = re.compile(r"&#?\w{1,31};")
UNDRAWN = 5  # letters that share one drawing: of real ones (such as I, Iota and the rune is) four do at most
RUNES = frozenset(map(chr, range(0x16A0, 0x16F1)))  # Cardo has 14 of these 81: all come from one hand instead
NO_BOLDER = frozenset("ᵹ")  # drawn in Cardo's bold face as thin as in the regular one, as seen on a screen
DOTTED_CIRCLE = "\u25cc"
PRIVATE = range(0xE000, 0xF900)  # Unicode 15, ch. 23.5: each font may put there what it likes


def embedded_fonts(html: str) -> str:
    """Give the CSS that carries a page's letters in the page itself.

    Args:
        html: the finished page, all texts in it.

    Returns:
        ``@font-face`` rules for the families in ``FAMILIES``, each face as WOFF2 in a data address, with
        just the letters of the page. The same letters give the same bytes.

    Raises:
        DataError: the font was not installed with the program.

    >>> css = embedded_fonts("<p>þa lanꝺᵹemæꞃa</p>")
    >>> css.count("@font-face"), "Copyright" in css
    (4, True)
    """
    met = _letters_in(html)
    clusters = _clusters_in(html, met)
    wanted = met | _as_composed(clusters)
    faces = [(face, FAMILY, wanted & _own_letters(face)) for face in ("regular", "italic", "bold")]
    regular = _own_letters("regular")
    second = _with_their_clusters(
        wanted & regular - (_own_letters("italic") & _own_letters("bold")), clusters
    )
    third = _with_their_clusters(wanted & letters_of("rare") - regular, clusters)
    faces += [("regular", FURTHER, second & regular), ("rare", RARE, third & letters_of("rare"))]
    rules = [
        f'@font-face {{ font-family: "{family}"; {FACES[face][0]}; '
        f'src: url(data:font/woff2;base64,{_cut_down(face, family, letters)}) format("woff2"); }}'
        for face, family, letters in faces
        if letters
    ]
    return "\n".join([*map(_notice, ("regular", "rare")), *rules, ""])


def font_file(face: str) -> Path:
    """Give the file of a face, for pictures that are to be drawn in the page's letters.

    Args:
        face: ``regular``, ``italic``, ``bold``, or ``rare`` for the letters that those lack.

    Raises:
        DataError: the font was not installed with the program.

    >>> font_file("regular").name
    'Cardo-Regular.ttf'
    """
    import importlib.util  # found, not imported: the package may be missing, and only pages need it

    package = importlib.util.find_spec("fontpkg_cardo")
    cardo = Path(package.origin).parent / "files" if package and package.origin else Path()
    file = (Path(__file__).parent if face == "rare" else cardo) / FACES[face][1]
    if not file.is_file():
        raise DataError(
            f"the font file {file.name} was not installed with the program",
            remedy="install fidelity again, with all that it needs (Cardo is in the package fontpkg-cardo)",
        )
    return file


@cache
def letters_of(face: str) -> frozenset[str]:
    """Give the letters that a face can show, each a single code point.

    Where its maker left a letter undrawn, one and the same box stands in its place: in Cardo 1.045 in that
    of 67 runes, of the Gothic alphabet and of others. Such a letter is lacking.
    """
    font = _font(face)
    outlines, at = font.getTableData("glyf"), font["loca"]
    drawn = {}
    for point, name in font.getBestCmap().items():
        number = font.getGlyphID(name)
        drawn[chr(point)] = outlines[at[number] : at[number + 1]]
    shared = Counter(drawn.values())
    return frozenset(letter for letter, outline in drawn.items() if not outline or shared[outline] < UNDRAWN)


def _font(face: str) -> TTFont:
    """Open a face; its date stays that of the file, so that the same letters give the same bytes."""
    from fontTools.ttLib import TTFont  # a large library that only pages need

    return TTFont(io.BytesIO(font_file(face).read_bytes()), lazy=True, recalcTimestamp=False)


@cache
def _own_letters(face: str) -> frozenset[str]:
    """Give the letters that are taken from a face of Cardo itself.

    Only the regular face knows where marks stand on their letters, and only its private letters were
    held against MUFI's; the other two are older.
    """
    letters = letters_of(face) - RUNES
    if face == "regular":
        return letters
    if face == "bold":
        letters -= NO_BOLDER
    return frozenset(one for one in letters if not _is_mark(one) and ord(one) not in PRIVATE)


def _with_their_clusters(letters: frozenset[str], clusters: frozenset[str]) -> frozenset[str]:
    """Give letters, and whatever stands with one of them in a cluster.

    A letter with its marks is always taken from one face, or the marks would stand beside it.
    """
    together = (cluster for cluster in clusters if not letters.isdisjoint(cluster))
    return letters.union("".join(together))


def _letters_in(html: str) -> frozenset[str]:
    """Give every letter that a page may have to show."""
    entities = set(_ENTITY.findall(html)) if "&" in html else ()
    return _ASCII.union(html, *map(markup.unescape, entities))


def _clusters_in(html: str, met: frozenset[str]) -> frozenset[str]:
    """Give each letter that has combining marks on it, with its marks.

    A letter that no font has is composed of its parts, as if it had been written so; under a mark that
    stands alone, browsers set a circle of dots.
    """
    marks = "".join(sorted(filter(_is_mark, met)))
    marked = re.finditer(f"[{marks}]+", html) if marks else ()
    found = {html[max(run.start() - 1, 0) : run.end()] for run in marked}
    composed = met - _own_letters("regular") - letters_of("rare")
    found.update(unicodedata.normalize("NFD", letter) for letter in composed)
    return frozenset(cluster.replace(">", DOTTED_CIRCLE) for cluster in found)


def _as_composed(clusters: frozenset[str]) -> frozenset[str]:
    """Give the letters that a browser may look for: ū, before it sets ¯ on u."""
    return frozenset().union(
        *(unicodedata.normalize(form, one) for one in clusters for form in ("NFC", "NFD"))
    )


def _is_mark(letter: str) -> bool:
    """Tell whether a code point is a combining mark."""
    return unicodedata.category(letter)[0] == "M"


@lru_cache(maxsize=8)  # a report and the page of its blind test often need the same letters
def _cut_down(face: str, family: str, letters: frozenset[str]) -> str:
    """Give a face with just these letters, under a name of its own, as WOFF2 in base64."""
    from fontTools.subset import Options, Subsetter  # slow to import, and only pages need it

    options = Options()
    options.layout_features = list(_FEATURES)
    options.hinting = False  # screens of today need none; half the size
    options.notdef_outline = True
    options.name_IDs = [*_NAMES, *_LEGAL_NAMES]
    options.drop_tables += ["DSIG", "FFTM"]  # a signature that no longer holds; the editing program's dates
    if face == "regular":
        # Cardo says of two letters, ı and ȷ, where a mark above them goes. Where a font says nothing of any,
        # browsers set each mark over the middle of its letter.
        options.drop_tables.append("GPOS")
    font = _font(face)
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=sorted(map(ord, letters)))
    subsetter.subset(font)
    _rename(font, family, face)
    font.flavor = "woff2"
    made = io.BytesIO()
    font.save(made)
    return base64.b64encode(made.getvalue()).decode("ascii")


def _rename(font: TTFont, family: str, face: str) -> None:
    """Give a cut-down font a name that is not the maker's, and the licence in full, as the licence asks."""
    for record in font["name"].names:
        if record.nameID in _NAMES:
            joined = family.title().replace(" ", "")
            record.string = _NAMES[record.nameID].format(family=family, style=face.title(), joined=joined)
        elif record.nameID == _LICENCE:
            record.string = licence()


@cache
def licence() -> str:
    """Give the text of the licence that both fonts are under (SIL Open Font License 1.1)."""
    text = (Path(__file__).parent / "rare_letters_licence.txt").read_text(encoding="utf-8")
    return text[text.index("SIL OPEN FONT LICENSE") :]


@cache
def _notice(face: str) -> str:
    """Say in the CSS whose letters a face has."""
    name = "Junicode" if face == "rare" else "Cardo"
    owner = next(str(one) for one in _font(face)["name"].names if one.nameID == _COPYRIGHT)
    return (
        f"/* Letters of the font {name}, cut down to those of this page and named otherwise. {owner}.\n"
        "   SIL Open Font License, Version 1.1: its text stands in the name table of each font below. */"
    )
