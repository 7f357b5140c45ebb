"""Take pictures of a page, to be looked at: wide and narrow, light and dark, and as it is printed.

Arrives: ``python -m tests.browser.looks report.html folder``. Leaves: in the folder, the page cut into
slices (``wide_light_01.png`` ...), its printed form (``print.pdf``), and each printed sheet as a
picture (``print-01.png`` ...) where Poppler's pdftoppm is at hand. Not collected by pytest.
Start reading at ``main``.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
from pathlib import Path

from tests.browser.chromium import Chromium, program_or_end
from tests.browser.seen import NARROW, WIDE, Seen

SLICE = 1600  # pixels: what can be looked at in one piece
MOST = 12  # slices of one view; more are rarely looked at (--most)
RESOLUTION = "70"  # dots to the inch of printed sheets as pictures: small, and still to be read


def main() -> None:
    """Take the pictures asked for on the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("page", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--at", default="", metavar="ANCHOR", help="begin at this anchor, without #")
    parser.add_argument("--most", type=int, default=MOST, help=f"slices of each view (default {MOST})")
    parser.add_argument("--views", default="wide_light,wide_dark,narrow_light,narrow_dark,print")
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    with Chromium(str(program_or_end())) as browser:
        for view in asked.views.split(","):
            if view == "print":
                made = printed(browser, asked.page, asked.folder, asked.most)
            else:
                made = slices(browser, asked.page, asked.folder, view, asked.at, asked.most)
            print(f"{view}: {len(made)} pictures, {made[0]} ..." if made else f"{view}: none")


def slices(browser: Chromium, page: Path, folder: Path, view: str, anchor: str, most: int) -> list[Path]:
    """Take one view of a page from an anchor on, slice by slice.

    Args:
        browser: the browser.
        page: the page.
        folder: where the pictures go.
        view: ``wide_light`` and so on.
        anchor: where to begin; empty for the top.
        most: how many slices at most.
    """
    size, scheme = view.split("_")
    width = {"wide": WIDE, "narrow": NARROW}[size]
    made = []
    with Seen(browser, page, width, scheme, anchor) as seen:
        seen.draw_all()
        top = 0
        if anchor:
            top = int(
                seen.value(f"scrollY + document.getElementById({anchor!r}).getBoundingClientRect().top")
            )
        height = seen.height()
        for number, start in enumerate(range(top, height, SLICE)[:most], 1):
            file = folder / f"{view}_{number:02}.png"
            file.write_bytes(seen.slice(start, width, min(SLICE, height - start)))
            made.append(file)
        for complaint in seen.complaints() + [f"asked for {address}" for address in seen.requests()]:
            print(f"{view}: {complaint}")
    return made


def printed(browser: Chromium, page: Path, folder: Path, most: int) -> list[Path]:
    """Print a page, and make a picture of each of its first sheets."""
    file = folder / "print.pdf"
    with Seen(browser, page) as seen:
        file.write_bytes(seen.pdf())
    if not shutil.which("pdftoppm"):
        return [file]
    command = ["pdftoppm", "-r", RESOLUTION, "-l", str(most), "-png", str(file), str(folder / "print")]
    subprocess.run(command, check=True)
    return sorted(folder.glob("print-*.png"))


if __name__ == "__main__":
    main()
