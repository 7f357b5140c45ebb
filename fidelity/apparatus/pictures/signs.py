"""Make letters of the texts fit to be written in a picture: none an empty box, none invisible.

Arrives: letters as printed. Leaves: letters that the fonts of the pictures have; what they have not, and
what cannot be seen, by its code point. Start reading at ``visible``.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

from fidelity.apparatus.font import font_file
from fidelity.apparatus.tables import SHORTENED
from fidelity.letters import NOTHING, SPACE, stand_alone

# Names of our own, which no font of the machine has: letters, letters that few fonts have, signs such as ∅.
FACES = ("fidelity letters", "fidelity rare letters", "fidelity signs")
LONGEST = 28  # letters; what is longer would run out of the picture, and stands in the table in full
MARKS = 50  # code points of one letter; no scribe heaps up so many, and a text of marks only is not read on
MEASURED_AT, FIXED = (
    64,
    1 << 16,
)  # points; FreeType gives advances without hinting in parts of a point (16.16)
UNSEEN = frozenset(("Cc", "Cf", "Cs", "Cn", "Zl", "Zp"))  # classes of Unicode that nobody sees on paper


@cache
def font_files() -> tuple[Path, ...]:
    """Give the files of the faces: those of the page, then DejaVu Sans (it comes with matplotlib)."""
    from matplotlib import get_data_path

    signs = Path(get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
    return font_file("regular"), font_file("rare"), signs


@cache
def _drawable() -> tuple[frozenset[int], ...]:
    """Give the code points that each face has."""
    from matplotlib.ft2font import FT2Font

    return tuple(frozenset(FT2Font(str(file)).get_charmap()) for file in font_files())


def letters_shown(letters: str) -> str:
    """Give letters of a text as a label, nothing and a space by their signs.

    >>> letters_shown("ꞅ"), letters_shown(""), letters_shown(" ")
    ('ꞅ', '∅', '␣')
    """
    return visible(letters.replace(" ", SPACE)) or NOTHING


def visible(text: str, most: int = LONGEST) -> str:
    """Give a text with code points for what no face has or nobody can see, shortened to so many letters.

    >>> visible("ꞅ\\ue123"), visible("a\\u200fb"), visible("gemæra", 4)
    ('ꞅU+E123', 'aU+200Fb', 'gem…')
    """
    if stand_alone(text):
        clusters = list(text)
    else:
        import regex  # needed only where letters can join their neighbours

        clusters = regex.findall(r"\X", text[: MARKS * most])
    if len(clusters) > most:
        clusters = [*clusters[: most - 1], SHORTENED]
    return "".join(map(_seen, clusters))


@cache
def _seen(cluster: str) -> str:
    """Give one letter as it is if a face has the whole of it, else by its code points."""
    seen = not any(unicodedata.category(point) in UNSEEN for point in cluster)
    if seen and any(known.issuperset(map(ord, cluster)) for known in _drawable()):
        return cluster
    return "".join(f"U+{ord(point):04X}" for point in cluster)


@cache
def width_of(text: str) -> float:
    """Measure a text as it is drawn, in ems; letters stand beside each other, marks on their letters.

    A page whose own letters are not to be had is read in others, which may be a little wider.

    >>> round(width_of("mun"), 2) > round(width_of("ill"), 2) > width_of("") == 0
    True
    """
    return sum(_advance(ord(point)) for point in text)


@cache
def _advance(point: int) -> float:
    """Give how far the pen goes on after a letter, in ems, in the first face that has it."""
    from matplotlib.ft2font import FT2Font

    face = next((at for at, known in enumerate(_drawable()) if point in known), 0)
    font = FT2Font(str(font_files()[face]))
    font.set_size(MEASURED_AT, 72)  # dots per inch: a dot is then a point
    return font.load_char(point).linearHoriAdvance / FIXED / MEASURED_AT


def faces_for(text: str) -> list[str]:
    """Give the faces to look for the letters of a text in; the others are seldom needed, and cost time.

    >>> faces_for("ꞅꞇan"), faces_for("∅")
    (['fidelity letters'], ['fidelity letters', 'fidelity rare letters', 'fidelity signs'])
    """
    return list(FACES) if set(map(ord, text)) - _drawable()[0] - {ord("\n")} else [FACES[0]]
