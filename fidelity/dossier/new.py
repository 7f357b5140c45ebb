"""Lay out a dossier to fill in.

Arrives: the path of a folder that is not there yet, or empty. Leaves: a ``dossier.toml`` with
comments, and a folder for each sort of text. Start reading at ``write_new_dossier``.
"""

from __future__ import annotations

from pathlib import Path

from fidelity.dossier import DOSSIER_FILE
from fidelity.errors import DataError

_TEMPLATE = """\
# A dossier: one copyist, the originals that survive with his copies of them, and his copies of
# originals that are lost. Take away the "#" before each line that you fill in.
# Paths start at this folder. Texts are plain UTF-8, one line per manuscript line, with page marks
# such as [fol. 12r] on lines of their own; or tables (.tsv, .csv) of parallel fields.

[copyist]
name = ""
# dates = "1698-1757"

# Letterforms that count as equal in alignment and scores. Confusions keep the letter as written.
[fold]
sets = []                           # e.g. ["insular", "long_s"]; see confusion_tables/folds.tsv
pairs = []                          # e.g. [["ę", "æ"]]: the letter written, the letter it stands for

# One table for each original that survives and that he copied. At least one is needed.
# [[survivor]]
# id = "E"
# original = "survivors/E_original.txt"
# copy = "survivors/E_copy.txt"
# script = "insular"                # the original's; see confusion_tables/README.md
# language = "ang"                  # the original's language tag
# profile = "leiden"                # only if the texts have Leiden signs: [abc] lost, (abc) resolved ...
#                                   # "leiden_literary" where [abc] is what the editor deletes
# numbered = true                   # only if each line begins with its citation and a tab
# choice = ["corr", "reg"]          # only for TEI: read these sides of a choice, not the manuscript's
# passages = [                      # only if parts are in another script or language
#     { lines = "1-3", script = "caroline", language = "la" },
# ]

# One table for each original that is lost and that is known from his copy.
# [[lost]]
# id = "X"
# copy = "lost/X_copy.txt"
# script = "insular"                # as presumed of the lost original
# language = "ang"

# Other witnesses of any of these texts.
# [[witness]]
# siglum = "K"
# of = "X"
# file = "witnesses/X_K.txt"
# numbered = true
# depends_on = "C"                  # only if it is itself a copy of another witness
# date = "s. xi"

# More texts in the originals' language, for words and letter sequences.
# [[reference]]
# files = ["reference/other.txt"]
# language = "ang"

# Where photographs of the manuscripts are to be seen.
# [images]
# pattern = "https://example.org/{folio}.jpg"
"""

_FOLDERS = {
    "survivors": "Originals that survive, and the copies made of them: two files for each.",
    "lost": "Copies whose originals are lost: one file for each.",
    "witnesses": "Other witnesses of any of these texts, if there are any.",
    "reference": "More texts in the language of the originals, if there are any.",
}


def write_new_dossier(folder: Path) -> list[Path]:
    """Lay out an empty dossier with a commented dossier.toml and a folder for each sort of text.

    Args:
        folder: is made; it may be there already if it is empty.

    Returns:
        The files written.

    Raises:
        DataError: the folder is not empty, is a file, or cannot be written.
    """
    remedy = "name a new folder, or an empty one"
    if folder.exists() and not folder.is_dir():
        raise DataError("this is a file, not a folder", file=folder, remedy=remedy)
    if folder.is_dir() and any(folder.iterdir()):
        raise DataError("the folder is not empty", file=folder, remedy=remedy)
    texts = {folder / DOSSIER_FILE: _TEMPLATE}
    texts |= {folder / name / "README.txt": what + "\n" for name, what in _FOLDERS.items()}
    try:
        for file, text in texts.items():
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise DataError(f"cannot be written: {error.strerror}", file=folder, remedy=remedy) from None
    return list(texts)
