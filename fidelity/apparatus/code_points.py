"""Show by its code point what no font can be trusted to show: never an empty box, never a hidden letter.

Arrives: a finished page of HTML. Leaves: the same page, in which such letters of the texts read
``U+E123``. Start reading at ``with_code_points``; ``is_shown`` is the rule.

The page brings its own letters (``font.py``). What those lack is left to the reader's machine only if
his machine surely has it: the scripts that are in everyday use, and the signs of the old code pages.
Private letters that our font lacks, rare Latin letters, scripts of the past and what Unicode has not
assigned are shown by code point; so is what cannot be seen but can turn a line around or hide a
difference (bidirectional controls, soft hyphens, zero-width signs).
"""

from __future__ import annotations

import html as markup
import re
import unicodedata
from collections.abc import Callable, Iterable
from functools import cache
from typing import TYPE_CHECKING

from fidelity.apparatus.font import PRIVATE, RUNES, letters_of
from fidelity.apparatus.mufi import MUFI

if TYPE_CHECKING:
    import regex

# Scripts in everyday use (Unicode Standard Annex 31, revision 41, table 5, "Recommended Scripts"), without
# Common and Inherited, which are no scripts, and without Latin: what our font lacks of it is rare.
RECOMMENDED = (
    *("Arabic", "Armenian", "Bengali", "Bopomofo", "Cyrillic", "Devanagari", "Ethiopic", "Georgian", "Greek"),
    *("Gujarati", "Gurmukhi", "Hangul", "Han", "Hebrew", "Hiragana", "Kannada", "Katakana", "Khmer", "Lao"),
    *("Malayalam", "Myanmar", "Oriya", "Sinhala", "Tamil", "Telugu", "Thaana", "Thai", "Tibetan"),
)
# Scripts in which the zero-width joiner and non-joiner are part of the spelling (UAX 31, section 2.3: letters
# that are joined, and letters after a virama).
JOINING = (
    *("Arabic", "Bengali", "Devanagari", "Gujarati", "Gurmukhi", "Kannada", "Khmer", "Malayalam", "Myanmar"),
    *("Oriya", "Sinhala", "Tamil", "Telugu"),
)
JOINERS = "\u200c\u200d"
# The 8-bit code pages of Windows and DOS: what they had, every system's fonts have.
CODE_PAGES = (
    *("cp437", "cp737", "cp775", "cp850", "cp852", "cp855", "cp857", "cp858", "cp860", "cp861", "cp862"),
    *("cp863", "cp864", "cp865", "cp866", "cp869", "cp874", "cp1250", "cp1251", "cp1252", "cp1253", "cp1254"),
    *("cp1255", "cp1256", "cp1257", "cp1258"),
)
PLAIN = ("title", "option", "textarea")  # elements that hold text only
READ = "title|alt|aria-label|aria-description|placeholder|label"  # attributes that a reader sees or hears
HEXADECIMAL = frozenset("0123456789ABCDEF")
GAP = "\u202f"  # a narrow space that does not break: between code points, never the gap between words


def with_code_points(html: str) -> str:
    """Show letters that nobody could see by their code points, in a finished page.

    Args:
        html: a page in which texts are escaped; styles, scripts, comments and tags are left as they are.

    Returns:
        The page; the same string if there is nothing to do. In running text the code point stands in
        ``<span class="no-glyph">``, with the letter's name as its title; where no element may stand (in
        pictures, attributes that are read, options, the title) it stands alone. A letter is shown with its
        marks or, from the first of them that cannot be shown, by code points. Attributes and titles are
        not set in the page's own font: there private letters are never shown as letters.

    >>> print(with_code_points("<p>on \\ue000n \\u202eþæꞃe</p>"))  # doctest: +NORMALIZE_WHITESPACE
    <p>on <span class="no-glyph" title="private use letter">U+E000</span>n <span class="no-glyph"
    title="RIGHT-TO-LEFT OVERRIDE">U+202E</span>þæꞃe</p>
    """
    met = set(html)
    missing = frozenset(letter for letter in met if not is_shown(letter))
    private = missing.union(letter for letter in met if ord(letter) in PRIVATE)
    return _Page(missing, private).mended(html) if private else html


@cache
def is_shown(letter: str) -> bool:
    """Tell whether every reader can be trusted to see a letter.

    Args:
        letter: a single code point.

    >>> [is_shown(letter) for letter in "aꝺᛟ\\u0304жאꟑ\\ue262ᛸ\\ue000\\u202e"]
    [True, True, True, True, True, True, True, True, False, False, False]
    """
    if letter.isascii():
        return letter.isprintable() or letter in "\t\n\r\f"
    if _matches(r"[\p{C}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}--\p{Co}]", letter):
        return False
    ours = _ours()
    if letter in ours or ours.issuperset(unicodedata.normalize("NFD", letter)):
        return True
    if letter in _in_code_pages() or _matches(r"[\p{Zs}&&\p{Script=Common}]", letter):
        return True
    # What came into Unicode later than 3.2 (2002; Python keeps its table), or is too rare for the first
    # plane, is not yet in every machine.
    is_old = letter <= "\uffff" and unicodedata.ucd_3_2_0.category(letter) != "Cn"
    scripts = "".join(rf"\p{{Script_Extensions={script}}}" for script in RECOMMENDED)
    return is_old and _matches(f"[{scripts}]", letter)


def _matches(pattern: str, letter: str) -> bool:
    """Tell whether a letter is of a Unicode class."""
    import regex  # only what is not plain text needs it

    return regex.match(pattern, letter, regex.VERSION1) is not None


@cache
def _ours() -> frozenset[str]:
    """Give what the page's own fonts show: all they have, but for private letters that are not MUFI's."""
    cardo = (one for one in letters_of("regular") if not _is_private(one) or one in MUFI)
    return frozenset(cardo) - RUNES | letters_of("rare")


def _is_private(letter: str) -> bool:
    return unicodedata.category(letter) == "Co"


@cache
def _in_code_pages() -> frozenset[str]:
    """Give the signs that an 8-bit code page had."""
    upper = bytes(range(0x80, 0x100))
    return frozenset("".join(upper.decode(page, errors="ignore") for page in CODE_PAGES))


class _Page:
    """Goes through a page and shows what cannot be shown by its code point.

    Args:
        missing: the letters of the page that no reader can be trusted to see.
        private: these, and the private letters that only the page's own font has.
    """

    def __init__(self, missing: frozenset[str], private: frozenset[str]) -> None:
        self.parts = _parts(missing, private)
        self.attributes = re.compile(rf"""(?is)(\s(?:{READ})\s*=\s*)("[^"]*"|'[^']*')""")
        self.in_font = missing, _clusters(missing)
        self.elsewhere = private, _clusters(private)

    def mended(self, html: str, *, in_picture: bool = False) -> str:
        """Give a page, or what stands in a picture, with code points for what cannot be shown."""

        def part(found: re.Match[str]) -> str:
            kind, text = found.lastgroup, found.group()
            if kind == "text":
                return self._text(text, _bare if in_picture else _marked)
            if kind == "tag":
                return self._tag(text)
            if kind == "element":
                return self._element(text, found["name"])
            return text

        return self.parts.sub(part, html)

    def _text(self, text: str, told: Callable[[regex.Match[str], frozenset[str]], str]) -> str:
        """Give text that is set in the page's own font."""
        missing, clusters = self.in_font
        return clusters.sub(lambda found: told(found, missing), text) if missing else text

    def _tag(self, tag: str) -> str:
        """Give a tag; only what is read of its attributes may change."""
        private, clusters = self.elsewhere

        def plainly(found: re.Match[str]) -> str:
            return found[1] + clusters.sub(lambda cluster: _bare(cluster, private), found[2])

        return self.attributes.sub(plainly, tag)

    def _element(self, element: str, name: str) -> str:
        """Give an element that can hold no other, or a picture."""
        opened = re.match(r"""<(?:[^>"']|"[^"]*"|'[^']*')*>""", element)
        start = opened.end() if opened else 0
        tag, inside = self._tag(element[:start]), element[start:]
        if name.lower() not in PLAIN:
            return tag + self.mended(inside, in_picture=True)
        private, clusters = self.elsewhere
        return tag + clusters.sub(lambda found: _bare(found, private), inside)


def _parts(missing: Iterable[str], private: Iterable[str]) -> re.Pattern[str]:
    """Give the pattern that takes a page apart; the long stretches without anything to do are taken whole."""
    hidden, told = _listed(missing), _listed(private)
    whole = f"(?i:{'|'.join(PLAIN)}|svg)\\b"
    code = r"(?i:script|style)\b"
    return re.compile(
        rf"""(?xs)
        (?: [^<{hidden}]++ (?=<|\Z)
          | <(?! !-- | {whole} | {code} ) (?: [^<>"'{told}] | "[^"{told}]*+" | '[^'{told}]*+' )*+ >
        )++
        | <!--.*?-->
        | <(?P<code>{code}) .*? </(?i:(?P=code))\s*>
        | (?P<element> <(?P<name>{whole}) .*? </(?i:(?P=name))\s*> )
        | (?P<tag> <(?: [^<>"'] | "[^"]*+" | '[^']*+' )*+ > )
        | (?P<text> [^<]++ )
        """
    )


def _listed(letters: Iterable[str]) -> str:
    """Give letters as they stand in a class of a pattern."""
    return "".join(rf"\U{ord(letter):08x}" for letter in sorted(letters))


def _clusters(missing: Iterable[str]) -> regex.Pattern[str]:
    """Give the pattern of a letter with all its marks of which something cannot be shown."""
    import regex  # only a page that has such a letter needs it

    joining = "".join(rf"\p{{Script_Extensions={script}}}" for script in JOINING)
    spelled = rf"(?<=[{joining}]\p{{M}}*)[{JOINERS}](*SKIP)(*FAIL)"
    marks = _listed(letter for letter in missing if unicodedata.category(letter)[0] == "M")
    others = _listed(letter for letter in missing if unicodedata.category(letter)[0] != "M")
    alone = rf"|[{others}]\p{{M}}*+" if others else ""
    with_marks = rf"|[^\p{{M}}\s<>&;{others}]?\p{{M}}*?[{marks}]\p{{M}}*+" if marks else ""
    return regex.compile(spelled + alone + with_marks, regex.VERSION1)


def _bare(found: regex.Match[str], missing: frozenset[str]) -> str:
    """Give a letter with its marks where no element may stand.

    A narrow space parts code points from each other, and from what could be taken for another digit.
    """
    cluster, after = found.group(), found.string[found.end() : found.end() + 1]
    first = next(at for at, letter in enumerate(cluster) if letter in missing)
    points = [f"U+{ord(letter):04X}" for letter in cluster[first:]]
    return GAP.join([cluster[:first], *points] if first else points) + GAP * (after in HEXADECIMAL)


def _marked(found: regex.Match[str], missing: frozenset[str]) -> str:
    """Give a letter with its marks in running text, named."""
    names = ", ".join(map(_name, filter(missing.__contains__, found.group())))
    return f'<span class="no-glyph" title="{markup.escape(names)}">{_bare(found, missing)}</span>'


def _name(letter: str) -> str:
    """Give the name that Unicode gave a letter, or say that it has none."""
    nameless = {"Co": "private use letter", "Cc": "control character"}
    return unicodedata.name(letter, nameless.get(unicodedata.category(letter), "not in Unicode"))
