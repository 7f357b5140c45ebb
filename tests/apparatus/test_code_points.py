"""No letter of a page is an empty box, and none is hidden: what cannot be seen is shown by its code point."""

from __future__ import annotations

import re
import sys
import unicodedata
from html.parser import HTMLParser

import pytest
import regex
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import escape
from mufidecode import MUFI as MUFI_TABLE

from fidelity.apparatus.code_points import GAP, JOINERS, is_shown, with_code_points
from fidelity.apparatus.font import PRIVATE
from fidelity.apparatus.font import letters_of as letters_of_face
from fidelity.apparatus.mufi import MUFI

# Unicode Standard Annex 31 (revision 41), table 5, written out by hand, without Common, Inherited and Latin.
RECOMMENDED = (
    *("Arabic", "Armenian", "Bengali", "Bopomofo", "Cyrillic", "Devanagari", "Ethiopic", "Georgian", "Greek"),
    *("Gujarati", "Gurmukhi", "Hangul", "Han", "Hebrew", "Hiragana", "Kannada", "Katakana", "Khmer", "Lao"),
    *("Malayalam", "Myanmar", "Oriya", "Sinhala", "Tamil", "Telugu", "Thaana", "Thai", "Tibetan"),
)
# Some of the tables before and after it: scripts excluded (table 4) and of limited use (table 7).
OTHER = ("Ogham", "Cherokee", "Syriac", "Tifinagh", "Deseret", "Ugaritic", "Cuneiform", "Nko", "Vai")
STEERING = "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
HIDDEN = "\u00ad\u034f\u180e\u200b\u2060\u2062\ufeff\ufff9\ufffa\ufffb\u2028\u2029\ufe0f\u3164\U000e0041"
SEEN = {"title", "alt", "aria-label", "aria-description", "placeholder", "label"}


class Parsed(HTMLParser):
    """A page as Python's own parser reads it: each tag or text, what it names, and what of it is read."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.parts: list[tuple[str, str, str]] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag; code points that are marked as such count as text."""
        if ("class", "no-glyph") not in attrs:
            named = [f"{name}={value}" for name, value in attrs if name not in SEEN]
            self.parts.append(
                (tag, " ".join(named), " ".join(str(value) for name, value in attrs if name in SEEN))
            )

    def handle_endtag(self, tag: str) -> None:
        """Note an end tag."""
        if tag != "span":
            self.parts.append((f"/{tag}", "", ""))

    def handle_data(self, data: str) -> None:
        """Note text, joined to the text before it."""
        before = self.parts.pop()[2] if self.parts and self.parts[-1][0] == "text" else ""
        self.parts.append(("text", "", before + data))


def meant(shown: str) -> str:
    """Give back the letters that stand as code points."""

    def letter(found: re.Match[str]) -> str:
        return chr(number) if (number := int(found[1], 16)) <= sys.maxunicode else found[0]

    return re.sub("U\\+([0-9A-F]{4,6})", letter, shown).replace(GAP, "")


def letters_of(script: str) -> list[str]:
    """Give the letters of a script, as the regex library knows them."""
    every = map(chr, (*range(0x80, 0xD800), *range(0xE000, sys.maxunicode)))
    return regex.findall(rf"\p{{Script={script}}}", "".join(every))


@pytest.mark.parametrize("script", RECOMMENDED)
def test_scripts_in_use_are_left_to_the_machine(script: str) -> None:
    """Of a recommended script every letter that Unicode 3.2 had in its first plane is shown."""
    old = [
        one
        for one in letters_of(script)
        if one < "\uffff" and unicodedata.ucd_3_2_0.category(one)[0] in "LMN"
    ]
    seen = [one for one in old if not regex.match(r"\p{Default_Ignorable_Code_Point}", one)]
    assert len(seen) >= 40
    assert [one for one in seen if not is_shown(one)] == []


@pytest.mark.parametrize("script", OTHER)
def test_other_scripts_are_not(script: str) -> None:
    """Letters of scripts that are not recommended, and that no font of ours has, are shown by code point."""
    letters = letters_of(script)
    assert len(letters) >= 20
    assert [one for one in letters if is_shown(one)] == []


def test_private_rare_and_unassigned_letters() -> None:
    """MUFI's private letters are shown, others not; nor rare Latin, nor what is unassigned."""
    assert all(map(is_shown, "\ue42c\ue8bf\uf1a6\ue262\uf4f9a"))
    assert not any(map(is_shown, "\ue000\uf731\uf761\uf8ff\U000f0000\U0010fffdꞲꟲ\u0378\ufffe\U0001d400☞"))
    assert all(map(is_shown, "–—‘’“”…·×±≥≤≈−→←↔∅†‡¶§⟨⟩⟦⟧|¦€\u00a0\u2009\u202f\u3000"))


@pytest.mark.parametrize("letter", STEERING + HIDDEN)
def test_what_cannot_be_seen_is_shown(letter: str) -> None:
    """No sign that steers a line or hides stays in a text; its name is told."""
    made = with_code_points(f"<p>on{letter}þa</p>")
    assert letter not in made
    assert f"U+{ord(letter):04X}</span>þa</p>" in made
    assert unicodedata.name(letter, "control") in made or unicodedata.category(letter) == "Cc"


def test_joiners_stay_where_they_are_spelling() -> None:
    """The non-joiner of a Persian verb and the joiner of Sinhala stay; between Latin letters none does."""
    for spelled in ("می\u200cخواهم", "ක්\u200dෂ"):
        assert with_code_points(f"<p>{spelled}</p>") == f"<p>{spelled}</p>"
    assert "U+200C" in with_code_points("<p>on\u200cþa</p>")
    assert "U+200D" in with_code_points("<p>\u200dþa</p>")


def test_a_letter_is_shown_with_its_marks() -> None:
    """A letter stands as it is up to the first mark that cannot be shown; no mark without its letter."""
    made = with_code_points("<p>nq\u0304\u1ab8\u0301n \ue000\u0304n</p>")
    assert re.sub(r' title="[^"]*"', "", made) == (
        f'<p>n<span class="no-glyph">q\u0304{GAP}U+1AB8{GAP}U+0301</span>n '
        f'<span class="no-glyph">U+E000{GAP}U+0304</span>n</p>'
    )


UNTOUCHED = (
    "<style>.x::before { content: '\ue000'; }</style>",
    "<STYLE>a > b \ue000</STYLE>",
    "<script>const letters = '<p>\ue000</p>';</script>",
    "<!-- \ue000 <p title='\ue000'> -->",
    '<p id="X-\ue000" class="\ue000" data-letter="\ue000"><a href="#X-\ue000">1</a></p>',
    "<p>þa lanꝺᵹemæꞃa &amp; ꝼeld</p>",
)


@pytest.mark.parametrize("html", UNTOUCHED)
def test_what_is_not_read_is_left(html: str) -> None:
    """Styles, scripts, comments, addresses and names stay as they are, also beside something to do."""
    assert with_code_points(html) == html
    assert with_code_points(f"{html}<p>\ue000</p>{html}").count(html) == 2


def test_nothing_to_do_gives_the_page_itself() -> None:
    """A page in which everything can be seen is not even copied."""
    page = "<p>þa lanꝺᵹemæꞃa ⁊ ofer þone ꝼeld</p>"
    assert with_code_points(page) is page


def test_where_no_element_may_stand() -> None:
    """In pictures, options, titles and attributes the code point stands alone; what is beside is left."""
    made = with_code_points(
        "<title>on \ue000n</title><svg viewBox='0 0 9 9'><title>\ue000</title><desc>\ue000</desc>"
        "<g><text x='\ue000'>a\ue000</text></g></svg><select><option value='\ue000'>\ue000</option></select>"
        "<img alt=\"\ue000 > \ue000\" src='\ue000'><p>\ue000</p>"
    )
    assert made.count("<span") == 1
    assert made.startswith(
        "<title>on U+E000n</title><svg viewBox='0 0 9 9'><title>U+E000</title><desc>U+E000</desc>"
        "<g><text x='\ue000'>aU+E000</text></g></svg><select><option value='\ue000'>U+E000</option></select>"
        "<img alt=\"U+E000 > U+E000\" src='\ue000'><p><span"
    )


def test_titles_are_not_set_in_the_pages_font() -> None:
    """A private letter that only the page's font has is a code point in tooltips and in the page's title."""
    made = with_code_points('<title>\ue42c</title><p title="\ue42c">\ue42c</p>')
    assert made == '<title>U+E42C</title><p title="U+E42C">\ue42c</p>'


texts = st.text(
    st.sampled_from("aþꝺ<>&\"' \n\u0304\u1ab8\ue000\ue42c\u202e\u200d\u200cאم\U0001d400✓ꞲU+E")
    | st.characters(exclude_categories=["Cs"], exclude_characters=f"\0\r{GAP}"),
    max_size=30,
)


@settings(max_examples=200, deadline=None)
@given(texts, texts, texts)
def test_the_page_says_what_it_said(one: str, two: str, three: str) -> None:
    """Python's parser finds the same tags and, code points read as letters, the same texts."""
    first, second, third = escape(one), escape(two), escape(three)
    page = (
        f'<!DOCTYPE html><body><p id="{first}" title="{second}" class=\'x\'>{first}<br>{second}'
        f"<i>{third}</i></p><svg><title>{first}</title><text x='{second}'>{second}</text></svg></body>"
    )
    before, after = Parsed(page).parts, Parsed(with_code_points(page)).parts
    assert [kind for kind, _, _ in after] == [kind for kind, _, _ in before]
    for (_, was_named, was_read), (_, named, read) in zip(before, after, strict=True):
        assert named == was_named
        assert meant(read) == meant(was_read)
        assert all(is_shown(letter) or letter in JOINERS for letter in read)


def test_private_letters_that_are_only_a_fonts_own_are_numbered() -> None:
    """Of private letters only MUFI's are drawn (mufidecode's list); Cardo's other drawings say nothing."""
    listed = {chr(256 * high + low) for high, low in MUFI_TABLE if 256 * high + low in PRIVATE}
    assert listed == MUFI and len(listed) == 705
    assert "\ue7ff" in letters_of_face("regular") and not is_shown("\ue7ff")
    assert all(map(is_shown, listed))
