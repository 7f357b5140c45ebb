"""The page brings the letters that few machines have, and brings them as they were meant."""

from __future__ import annotations

import base64
import io
import re
import subprocess
import sys
import unicodedata
from collections import Counter
from pathlib import Path

import pytest
import uharfbuzz
from fontTools.ttLib import TTFont
from mufidecode import MUFI as MUFI_TABLE

from fidelity.apparatus import font as module
from fidelity.apparatus.code_points import is_shown
from fidelity.apparatus.font import FAMILIES, FURTHER, RARE, embedded_fonts, font_file
from fidelity.errors import DataError

ROOT = Path(__file__).resolve().parents[2]
RUNES = "".join(map(chr, range(0x16A0, 0x16F1)))
INSULAR = "ꝹꝺꝻꝼꝽꝾꝿꞀꞁꞂꞃꞄꞅꞆꞇᵹ"
LATE = "ſꝛȝƿǷæǣœøþÞðÐꝥꝧꝑꝓꝗꝙꝯꝰꝭꝫꝝ⁊⹒ꜳꜵꜷꜹꜻꜽꟑꟐ"
SUPERSCRIPT = "ᵃᵇᵈᵉᶜʳˢⁿ⁰¹²³⁴"
MARKS = "".join(chr(point) for point in (*range(0x300, 0x34F), *range(0x350, 0x370), *range(0x1DCE, 0x1DE7)))
MUFI = "".join(chr(a * 256 + b) for a, b in sorted(MUFI_TABLE) if 0xE000 <= a * 256 + b <= 0xF8FF)
MARKED = ["q̄", "ꝺ̄", "ꞃ̄", "ꞇ̄", "m̄", "ſ̄", "aͣ", "uͤ", "wͦ", "ꝼ̇"]
FALLING_BACK = [*MARKED, "ꝺ", "ẛ", "ḍ", "◌̄"]


def faces(css: str) -> dict[tuple[str, str], bytes]:
    """Give each face in the CSS as a browser reads it, by family and style."""
    rule = (
        r'@font-face \{ font-family: "([^"]+)"; font-style: (\w+); font-weight: (\d+); '
        r'src: url\(data:font/woff2;base64,([A-Za-z0-9+/=]+)\) format\("woff2"\); \}'
    )
    found = re.findall(rule, css)
    assert len(found) == css.count("@font-face")
    return {
        (family, f"{style} {weight}"): base64.b64decode(data, validate=True)
        for family, style, weight, data in found
    }


def opened(data: bytes) -> TTFont:
    """Open a face."""
    return TTFont(io.BytesIO(data))


def drawn(css: str) -> set[str]:
    """Give the letters that the regular, further and rare letters draw, each with an outline of its own."""
    letters: set[str] = set()
    for (_family, style), data in faces(css).items():
        if style != "normal 400":
            continue
        face = opened(data)
        outlines = {chr(point): face["glyf"][name] for point, name in face.getBestCmap().items()}
        boxes = Counter(outline.compile(face["glyf"]) for outline in outlines.values())
        letters |= {
            letter
            for letter, outline in outlines.items()
            if outline.numberOfContours and boxes[outline.compile(face["glyf"])] < 5
        }
    return letters


class Set:
    """A text as HarfBuzz sets it, by which browsers set theirs: which glyphs, and where their ink stands."""

    def __init__(self, data: bytes, text: str) -> None:
        file, face = io.BytesIO(), opened(data)
        face.flavor = None
        face.save(file)
        font, buffer = uharfbuzz.Font(uharfbuzz.Face(file.getvalue())), uharfbuzz.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        uharfbuzz.shape(font, buffer)
        self.glyphs = [info.codepoint for info in buffer.glyph_infos]
        self.ink, pen = [], 0
        for glyph, at in zip(self.glyphs, buffer.glyph_positions, strict=True):
            box = font.get_glyph_extents(glyph)
            left, top = pen + at.x_offset + box.x_bearing, at.y_offset + box.y_bearing
            self.ink.append((left, left + box.width, top + box.height, top))
            pen += at.x_advance

    @property
    def complete(self) -> bool:
        """Whether the face has every glyph."""
        return all(self.glyphs)


def of_the_project() -> str:
    """Give every letter of the published tables and the demos that belongs to an old text."""
    files = [*(ROOT / "confusion_tables").iterdir(), *(ROOT / "demo_pairs").rglob("*")]
    text = "".join(file.read_text(encoding="utf-8") for file in files if file.is_file())
    letters = set(unicodedata.normalize("NFD", text)) | set(text)
    return "".join(sorted(letter for letter in letters if not letter.isspace() and is_shown(letter)))


@pytest.mark.parametrize(
    ("letters", "brought"),
    [
        (RUNES, len(RUNES)),
        (INSULAR, len(INSULAR)),
        (LATE, len(LATE)),
        (SUPERSCRIPT, len(SUPERSCRIPT)),
        (MARKS, len(MARKS)),
        (MUFI, 705),
    ],
    ids=["runes", "Insular", "other old letters", "superscript", "marks", "MUFI"],
)
def test_every_old_letter_is_brought(letters: str, brought: int) -> None:
    """Each has a drawing of its own in the page, as fontTools reads its fonts (MUFI: mufidecode's list)."""
    assert len(letters) == brought
    assert set(letters) - drawn(embedded_fonts(f"<p>{letters}</p>")) == set()


def test_letters_of_tables_and_demos_are_brought() -> None:
    """What the tables and the demos hold is brought, or its parts; not Cyrillic, which machines have."""
    letters = of_the_project()
    lacking = set(letters) - drawn(embedded_fonts(letters))
    composed = {letter for letter in lacking if unicodedata.normalize("NFD", letter) != letter}
    assert {unicodedata.name(letter).split()[0] for letter in lacking - composed} <= {"CYRILLIC"}
    assert len(letters) - len(lacking) > 250


def test_the_pages_own_signs_are_brought() -> None:
    """Whatever the templates set beside the texts (␣, ▯, ◆ and the like) is in the page's own fonts."""
    room = ROOT / "fidelity" / "apparatus"
    sources = [*room.rglob("*.j2"), *room.rglob("*.js"), room / "aligned_columns.py"]
    signs = {sign for file in sources for sign in file.read_text(encoding="utf-8") if not sign.isspace()}
    assert {"→", "◆"} < signs
    assert signs - drawn(embedded_fonts("".join(signs))) == set()


def test_no_box_stands_for_a_letter() -> None:
    """Where Cardo has one and the same box for many letters, they count as lacking."""
    assert "ᚢ" in map(chr, TTFont(font_file("regular")).getBestCmap())
    assert "ᚢ" not in module.letters_of("regular")
    assert "ᚢ" in module.letters_of("rare")


@pytest.fixture(scope="module")
def marked() -> dict[tuple[str, str], bytes]:
    """Give the faces of a page of letters with marks, or that italic and bold lack."""
    return faces(embedded_fonts(f"<p>{' '.join(FALLING_BACK)}</p>"))


@pytest.mark.parametrize("written", MARKED)
def test_marks_stand_over_their_letters(marked: dict[tuple[str, str], bytes], written: str) -> None:
    """HarfBuzz finds both in the regular face, and sets the mark over the letter without touching it."""
    found = Set(marked["fidelity letters", "normal 400"], written)
    assert found.complete
    (left, right, _, top), *marks = found.ink
    for mark_left, mark_right, bottom, _ in marks:
        assert left < (mark_left + mark_right) / 2 < right
        assert bottom >= top


@pytest.mark.parametrize("written", FALLING_BACK)
@pytest.mark.parametrize("style", ["italic 400", "normal 700"])
def test_italic_and_bold_fall_back_on_the_pages_own_letters(
    marked: dict[tuple[str, str], bytes], written: str, style: str
) -> None:
    """What italic or bold cannot set, letter and mark together, the family after them can."""
    stack = [marked["fidelity letters", style], marked[FURTHER, "normal 400"]]
    assert any(Set(face, written).complete for face in stack)


def test_a_rare_mark_comes_with_its_letter() -> None:
    """A mark that only the rare letters have takes the letter beneath it along."""
    data = faces(embedded_fonts("<p>ꞃ\u1de8</p>"))
    assert Set(data[RARE, "normal 400"], "ꞃ\u1de8").complete


def test_letters_are_not_joined() -> None:
    """A transcript's two letters are two: HarfBuzz sets none of the ligatures that the font offers."""
    joined = ["fi", "fl", "ffi", "st", "ct", "ſt", "ſi"]
    for face in faces(embedded_fonts(" ".join(joined))).values():
        for letters in joined:
            assert len(Set(face, letters).glyphs) == len(letters)
    assert len(Set(font_file("regular").read_bytes(), "fi").glyphs) == 1


def test_only_what_stands_in_the_page_is_brought() -> None:
    """A page without old letters brings none, and no second or third family."""
    css = embedded_fonts("<p>plain words</p>")
    assert {family for family, _ in faces(css)} == {"fidelity letters"}
    assert all(max(opened(data).getBestCmap()) < 0x7F for data in faces(css).values())


def test_entities_count_as_letters() -> None:
    """A letter that the page writes as an entity is brought too."""
    assert {"–", "ꝺ"} <= drawn(embedded_fonts("<p>1&ndash;2 &#xA77A;</p>"))


def test_same_letters_give_the_same_bytes() -> None:
    """Another process, which orders sets otherwise, gives the same; so does another page of these letters."""
    code = (
        "import sys; from fidelity.apparatus.font import embedded_fonts;"
        "sys.stdout.write(embedded_fonts('<p>þa lan\\ua77a\\u0304 \\u16a2 q\\u0304</p>'))"
    )
    made = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert made[0] == made[1] == embedded_fonts("<p>q̄ þa</p><p>lanꝺ̄ ᚢ</p>")


def test_the_licence_is_kept() -> None:
    """Each font carries notice and licence in full and does not bear its maker's name; the CSS names both."""
    css = embedded_fonts("<p>þa ꝺ ᚢ</p>")
    assert "David J. Perry" in css
    assert "Peter S. Baker" in css
    assert len(faces(css)) == 5
    for (family, _), data in faces(css).items():
        names = {record.nameID: str(record) for record in opened(data)["name"].names}
        assert names[1] == family
        assert f'"{family}"' in FAMILIES
        assert not any(maker in names[number] for maker in ("Cardo", "Junicode") for number in (1, 3, 4, 6))
        assert "Copyright" in names[0]
        assert "PERMISSION & CONDITIONS" in names[13]
        assert "AS IS" in names[13]


def test_a_missing_font_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the font's package the page cannot be made, and it is said what to install."""
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: None)
    with pytest.raises(DataError, match="fontpkg-cardo"):
        font_file("regular")
