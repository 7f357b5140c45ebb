"""Make ``fidelity/apparatus/rare_letters.ttf``: the letters that Cardo lacks, cut out of Junicode.

Arrives: the regular face of Junicode 2, as Debian's package fonts-junicode 2+git20230104 carries it
(``JunicodeTwoBeta-Regular.otf``). Leaves: the font file that travels with the program, the same bytes at
every run. To be run by hand, only when the choice of letters is changed:

    python -m tests.make_rare_letters JunicodeTwoBeta-Regular.otf

Signs that the page itself sets (␣, ▯, ◆ and others), which neither font has, are drawn here.

Cardo has places for 67 runes, for the Gothic alphabet and others where nothing but one and the same
box stands; those are lacking too (``letters_of`` in ``fidelity/apparatus/font.py``).
"""

from __future__ import annotations

import sys
import unicodedata
from pathlib import Path

import regex
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont, newTable

from fidelity.apparatus.font import RUNES, letters_of, licence

MADE = Path(__file__).resolve().parent.parent / "fidelity" / "apparatus" / "rare_letters.ttf"
WANTED = (  # letters and marks; runic, general and medieval punctuation; numerals; the sign for nothing
    r"[\p{Latin}\p{Runic}\p{Gothic}\p{Greek}\p{Mn}"
    r"\u16eb-\u16ed\u2000-\u206f\u2e00-\u2e7f\u214e\u2150-\u218f\u2205]"
)
# MUFI's private letters, as mufidecode 0.1.0 lists them, that Cardo lacks. Junicode has others of its own.
MUFI = (
    "\ue262\ue268\ue34e\ue662\ue668\ue74f\ue8c6\ue8c7\ue8c8\ue8c9\ue8ce\ue8dd\ue8de\ue8df"
    "\uefd8\uefd9\uefdb\uefdc\uf1bb\uf23c\uf23d\uf23e\uf2fe\uf2ff"
)
# What may stand under a rare mark: a letter with its marks is always taken from one font.
BASES = {*map(chr, range(0x20, 0x7F)), *"ÆæÐðØøŒœÞþĦħıȷŁłſǷƿȜȝꝀꝁꝐꝑꝖꝗꝚꝛꝤꝥꝨꝩꝮꝯ⁊ꝹꝺꝻꝼꝽᵹꞂꞃꞄꞅꞆꞇ"}
# Cardo's small letters stand 900/2048 of the type's size high, Junicode's 415/1000; so they are made equal.
UNITS_PER_EM = 944
ASCENT, DESCENT = 2028 / 2048, 745 / 2048  # Cardo's, so that a rare letter does not part the lines
# The page's own signs: how wide, and the corners of each stroke (units of UNITS_PER_EM, from the base line).
SIGNS = {
    "␣": (
        560,
        [[(60, 120), (60, -90), (500, -90), (500, 120), (440, 120), (440, -30), (120, -30), (120, 120)]],
    ),
    "▯": (460, [[(60, 0), (60, 620), (400, 620), (400, 0)], [(110, 50), (350, 50), (350, 570), (110, 570)]]),
    "◆": (620, [[(310, 20), (60, 290), (310, 560), (560, 290)]]),
    "◇": (
        620,
        [[(310, 20), (60, 290), (310, 560), (560, 290)], [(310, 90), (496, 290), (310, 490), (124, 290)]],
    ),
    "▴": (500, [[(70, 120), (250, 440), (430, 120)]]),
    "▾": (500, [[(70, 440), (430, 440), (250, 120)]]),
    "▸": (500, [[(100, 100), (100, 460), (420, 280)]]),
    "◂": (500, [[(400, 100), (80, 280), (400, 460)]]),
    "✓": (620, [[(60, 280), (130, 320), (230, 150), (500, 620), (560, 590), (240, 20)]]),
}
SET_OF_OTHERS = {  # sign -> how wide, and of which letters it is set, each made so large and moved so far
    "⋯": (900, [("period", 1.0, x, 230) for x in (40, 330, 620)]),
    "␉": (640, [("H", 0.5, 20, 300), ("T", 0.5, 300, -20)]),
}


def rare_letters(junicode: TTFont) -> list[int]:
    """Give what is taken from Junicode: what Cardo lacks, all marks, and what may stand under a mark."""
    cardo, theirs = letters_of("regular") - RUNES, set(map(chr, junicode.getBestCmap()))
    lacking = {
        letter
        for letter in theirs - cardo
        if letter in MUFI or regex.match(WANTED, letter)
        if unicodedata.category(letter) != "Cf" and not cardo.issuperset(unicodedata.normalize("NFD", letter))
    }
    marks = {letter for letter in theirs if unicodedata.category(letter) == "Mn"}
    return sorted(map(ord, lacking | marks | (BASES & theirs)))


def with_quadratic_outlines(font: TTFont) -> None:
    """Turn the outlines into those of a TrueType font, which every program that draws can embed."""
    drawn, glyphs = font.getGlyphSet(), {}
    for name in font.getGlyphOrder():
        pen = TTGlyphPen(drawn)
        drawn[name].draw(Cu2QuPen(pen, max_err=1.0, reverse_direction=True))
        glyphs[name] = pen.glyph()
    font["loca"], font["glyf"] = newTable("loca"), newTable("glyf")
    font["glyf"].glyphOrder, font["glyf"].glyphs = font.getGlyphOrder(), glyphs
    font["maxp"].tableVersion = 0x00010000
    for field in ("maxZones", "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs"):
        setattr(font["maxp"], field, 1 if field == "maxZones" else 0)
    for field in ("maxStackElements", "maxSizeOfInstructions", "maxComponentElements"):
        setattr(font["maxp"], field, 0)
    for name, glyph in glyphs.items():
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (font["hmtx"][name][0], getattr(glyph, "xMin", 0))
    del font["CFF "]
    font["head"].glyphDataFormat, font.sfntVersion = 0, "\x00\x01\x00\x00"
    font["post"].formatType = 3.0


def add_signs(font: TTFont) -> None:
    """Draw the signs that neither font has."""
    drawn = font.getGlyphSet()
    glyphs = {}
    for sign, (wide, strokes) in SIGNS.items():
        pen = TTGlyphPen(None)
        for first, *others in strokes:
            pen.moveTo(first)
            for corner in others:
                pen.lineTo(corner)
            pen.closePath()
        glyphs[sign] = wide, pen.glyph()
    for sign, (wide, parts) in SET_OF_OTHERS.items():
        pen = TTGlyphPen(drawn)
        for name, scale, across, up in parts:
            drawn[name].draw(TransformPen(pen, (scale, 0, 0, scale, across, up)))
        glyphs[sign] = wide, pen.glyph()
    for sign, (wide, glyph) in glyphs.items():
        name = f"uni{ord(sign):04X}"
        font.setGlyphOrder([*font.getGlyphOrder(), name])
        font["glyf"].glyphs[name], font["glyf"].glyphOrder = glyph, font.getGlyphOrder()
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (wide, glyph.xMin)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[ord(sign)] = name


def made(file: Path) -> TTFont:
    """Give the font of the rare letters."""
    font = TTFont(file, recalcTimestamp=False)
    options = Options()
    options.layout_features = ["ccmp", "mark", "mkmk", "kern"]
    options.hinting, options.desubroutinize, options.notdef_outline = False, True, True
    options.name_IDs, options.drop_tables = [0, 1, 2, 3, 4, 5, 6, 7, 13, 14], ["DSIG"]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=rare_letters(font))
    subsetter.subset(font)
    with_quadratic_outlines(font)
    add_signs(font)
    font["head"].unitsPerEm = UNITS_PER_EM
    above, below = round(ASCENT * UNITS_PER_EM), round(DESCENT * UNITS_PER_EM)
    font["hhea"].ascent, font["hhea"].descent, font["hhea"].lineGap = above, -below, 0
    style = font["OS/2"]
    style.sTypoAscender, style.sTypoDescender, style.sTypoLineGap = above, -below, 0
    style.usWinAscent, style.usWinDescent = above, below
    for record in font["name"].names:
        if record.nameID in (1, 4):
            record.string = "fidelity rare letters"
        elif record.nameID in (3, 6):
            record.string = "FidelityRareLetters-Regular"
        elif record.nameID == 13:
            record.string = licence()
    return font


if __name__ == "__main__":
    made(Path(sys.argv[1])).save(MADE)
    print(f"{MADE}: {MADE.stat().st_size:,} bytes")
