"""How long a page's letters take, beside general-purpose libraries that do a part of it.

Arrives: how large a page is to be made. Leaves: seconds of processor time (the least of three runs),
and ratios: showing code points against lxml reading the page; embedding the letters against fontTools'
own command cutting the regular face alone. Run ``python -m tests.benchmarks.page_letters``.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from fontTools import subset
from lxml import html as lxml_html

from fidelity.apparatus import font
from fidelity.apparatus.code_points import with_code_points

WORDS = (
    "þa",
    "lanꝺᵹemæꞃa",
    "ofer",
    "þone",
    "ꝼeld",
    "⁊",
    "under",
    "ſtræte",
    "nyhtū",
    "q\u0304",
    "ᚠᚢᚦ",
    "ryndon",
)


def made_page(characters: int) -> str:
    """Make a page of table rows, each with an address and five words."""
    random = Random(9)
    rows: list[str] = []
    while characters > 0:
        at, words = len(rows), " ".join(random.choices(WORDS, k=5))
        rows.append(
            f'<tr id="X-{at}"><th scope="row"><a href="#X-{at}">X 12r:{at}.3</a></th>'
            f'<td lang="ang" title="{words}">{words}</td><td class="number">0.{at % 1000:03}</td></tr>\n'
        )
        characters -= len(rows[-1])
    return f"<html><style>p > a {{}}</style><body><table>{''.join(rows)}</table></body></html>"


def least(work: Callable[[], object]) -> float:
    """Give the least processor time of three runs, in seconds."""
    times = []
    for _ in range(3):
        font._cut_down.cache_clear()
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def main() -> None:
    """Print what each step takes, and the ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--megabytes", type=float, default=15.0)
    page = made_page(int(parser.parse_args().megabytes * 1e6))
    one, many = page.replace("</table>", "</table>on \ue000n", 1), page.replace("ryndon", "ry\ue000don")
    letters = "".join(sorted(set(page)))
    read = least(lambda: lxml_html.fromstring(page))
    print(f"page of {len(page):,} characters; lxml reads it in {read:.2f} s")
    for told, made in (
        ("nothing to show", page),
        ("one letter", one),
        (f"{many.count(chr(0xE000)):,} letters", many),
    ):
        taken = least(lambda made=made: with_code_points(made))  # type: ignore[misc]
        print(f"code points, {told}: {taken:.2f} s, {taken / read:.2f} of lxml's")
    with TemporaryDirectory() as folder:
        words = [str(font.font_file("regular")), f"--text={letters}", "--flavor=woff2"]
        cut = least(lambda: subset.main([*words, f"--output-file={Path(folder) / 'cut.woff2'}"]))
    for told, made in (("the letters alone", letters), ("the whole page", page)):
        taken = least(lambda made=made: font.embedded_fonts(made))  # type: ignore[misc]
        print(f"fonts, {told}: {taken:.2f} s, {taken / cut:.1f} of fontTools' cutting one face ({cut:.2f} s)")
    print(f"the fonts take {len(font.embedded_fonts(page)):,} bytes of the page")


if __name__ == "__main__":
    main()
