"""The files for print: the same bytes everywhere, letters in them, 160 mm wide."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from lxml import etree
from PIL import Image, ImageOps

from fidelity.apparatus.pictures.confusions import confusions_picture
from fidelity.apparatus.pictures.of_audit import files_of, pictures_of
from tests.apparatus.pictures.drawn import confusions, full_audit

ALL = (
    "import hashlib; from tests.apparatus.pictures.drawn import full_audit;"
    "from fidelity.apparatus.pictures.of_audit import files_of, pictures_of;"
    "made = pictures_of(full_audit());"
    "[print(name, hashlib.sha256(one).hexdigest()) for name, one in files_of(made).items()];"
    "[print(one.name, hashlib.sha256(one.inline().encode()).hexdigest()) for one in made]"
)


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    """Give the files of every picture."""
    return files_of(pictures_of(full_audit()))


def test_the_same_bytes_on_a_machine_with_other_settings(files: dict[str, bytes], tmp_path: Path) -> None:
    """Another seed, other settings of matplotlib, a fresh process: not a byte is otherwise."""
    settings = (
        "font.family: fantasy\nsvg.fonttype: none\naxes.linewidth: 9\ntext.parse_math: True\ndates: x\n"
    )
    (tmp_path / "matplotlibrc").write_text(settings.replace("dates: x\n", "lines.antialiased: False\n"))
    known = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    known |= {
        one.name: hashlib.sha256(one.inline().encode()).hexdigest() for one in pictures_of(full_audit())
    }
    done = subprocess.run(
        [sys.executable, "-c", ALL],
        env={**os.environ, "PYTHONHASHSEED": "7", "MATPLOTLIBRC": str(tmp_path / "matplotlibrc")},
        cwd=Path(__file__).parents[3],
        capture_output=True,
        text=True,
        check=False,
    )
    assert dict(line.split() for line in done.stdout.splitlines()) == known, done.stderr


def test_svg_has_its_letters_drawn(files: dict[str, bytes]) -> None:
    """No reader needs a font: there is no text, only outlines."""
    for name in (one for one in files if one.endswith(".svg")):
        tags = {etree.QName(one).localname for one in etree.fromstring(files[name]).iter(etree.Element)}
        assert "text" not in tags
        assert "path" in tags


def test_pdf_has_its_fonts_embedded(files: dict[str, bytes]) -> None:
    """Cardo is in it as outlines that can be searched (no Type 3, which printers refuse), and no date."""
    for name in (one for one in files if one.endswith(".pdf")):
        assert b"Cardo" in files[name]
        assert b"/FontFile2" in files[name]
        assert b"/Type3" not in files[name]
        assert b"CreationDate" not in files[name]


def test_png_is_for_print(files: dict[str, bytes]) -> None:
    """160 mm at 300 dots per inch, in greys, black on white (read by Pillow)."""
    for name in (one for one in files if one.endswith(".png")):
        with Image.open(io.BytesIO(files[name])) as image:
            assert image.mode == "L"
            assert image.info["dpi"] == pytest.approx((300, 300), abs=0.1)
            assert image.width / 300 * 25.4 <= 160.1
            assert image.getextrema() == (0, 255)
            assert image.getpixel((0, 0)) == 255


def test_nothing_is_cut_off_at_the_edge(files: dict[str, bytes]) -> None:
    """Half a millimetre at each edge of a picture is white (read by Pillow), however wide its labels are."""
    wide = confusions_picture(
        confusions(("mun", "num", 2, False), ("wmwmw", "", 1, False), ("m", "W", 1, True))
    )
    assert wide is not None
    for name, content in (*files.items(), *wide.files().items()):
        if name.endswith(".png"):
            with Image.open(io.BytesIO(content)) as image:
                left, top, right, bottom = ImageOps.invert(image).getbbox() or (0, 0, 0, 0)
                edges = left, top, image.width - right, image.height - bottom
                assert min(edges) >= 0.5 / 25.4 * 300, (name, edges)


def test_a_picture_is_never_wider_than_the_paper() -> None:
    """Forty letters a side: on paper the letters get smaller, the picture no wider."""
    pairs = ((f"{at:03}", f"{at + 1:03}", 3, True) for at in range(60))
    picture = confusions_picture(confusions(*pairs))
    assert picture is not None
    with Image.open(io.BytesIO(picture.files()["confusions.png"])) as image:
        assert image.width / 300 * 25.4 == pytest.approx(160, abs=0.2)
