"""Lay out a dossier to fill in.

Arrives: the path of a folder that is not there yet, or empty. Leaves: a ``dossier.toml`` with
comments, and a folder for each sort of text. Start reading at ``write_new_dossier``.
"""

from __future__ import annotations

from pathlib import Path
from textwrap import wrap

from fidelity.dossier import DOSSIER_FILE
from fidelity.dossier.kinds import STATES_OF_LETTERS
from fidelity.errors import DataError
from fidelity.settings import Settings

_TEMPLATE = """\
# A dossier: one copyist, the originals that survive with his copies of them, and his copies of
# originals that are lost. Take away the "#" before each line that you fill in; leave out the rest.
# Paths start at this folder. A text is one of:
#   plain text     UTF-8, one line per manuscript line, page marks such as [fol. 12r] on lines of their own
#   TEI, PAGE or ALTO (.xml)
#   a table        of parallel fields (.tsv, .csv, .xlsx, .ods), an entry to the row, their names first

[copyist]
name = ""
# dates = "1698-1757"
# siglum = "C"                      # how his copies are cited among other witnesses

# Letterforms that count as equal in alignment and scores. Confusions keep the letter as written.
[fold]
sets = []                           # e.g. ["insular", "long_s"]; see confusion_tables/folds.tsv
pairs = []                          # e.g. [["ę", "æ"]]: the letter written, the letter it stands for

# One table for each original that survives and that he copied. At least one is needed.
# [[survivor]]
# id = "E"                          # how places in it are cited
# name = "Hallowmere Charter 4"     # what manuscript it is, and what his copy of it is, in words, as they are
# copy_name = "his transcript, volume A"     # to stand in lists; of several copies ["draft", "fair copy"]
# original = "survivors/E_original.txt"
# copy = "survivors/E_copy.txt"     # if he left several, ["draft.txt", "fair.txt"], first the one nearest to
#                                   # the original (the draft, if the fair copy was made from it): it is the
#                                   # one that is judged and restored, and the others bear on its readings
# script = "insular"                # the original's; see confusion_tables/README.md
# language = "ang"                  # the original's language tag
# profile = "leiden"                # only if the texts have Leiden signs: [abc] lost, (abc) resolved ...
#                                   # "leiden_literary" where [abc] is what the editor deletes; the list of
#                                   # signs is in README.md
# numbered = true                   # only if each line begins with its citation and a tab
# original_profile = "plain"        # profile and numbered where they hold of one of the two alone
# copy_profile = "plain"
# original_numbered = true
# copy_numbered = true
# choice = ["corr", "reg"]          # only for TEI: read these sides of a choice, not the manuscript's
# passages = [                      # parts of the original in another script or language, by their
#     { lines = "1-3", script = "caroline", language = "la" },      # lines, as they are cited,
#     # { page = "12r", language = "la" },                          # their page,
#     # { field = "lemma", language = "la" },                       # or their field in a table
# ]
# quires = ["1r-8v", "9r-14v"]      # only if they are known: the original's pages, quire by quire
# original_unchecked = "survivors/E_unchecked.txt"   # only if the original's transcript was read twice:
# original_checked = ["survivors/E_first.txt", "survivors/E_second.txt"]  # before, and as each left it

# One table for each original that is lost and that is known from his copy.
# [[lost]]
# id = "X"
# name = "Hallowmere MS 9, lost at sea"      # it, and copy_name, stand in the list of witnesses and the title
# copy_name = "his transcript, volume C"     # of the edition
# copy = "lost/X_copy.txt"          # or several, as above
# script = "insular"                # as presumed of the lost original
# language = "ang"
# profile, numbered and choice as in [[survivor]]; if he took a part of it from another witness, depends_on
# as in [[witness]] below

# More texts in the originals' language, for words and letter sequences.
# [[reference]]
# files = ["reference/other.txt"]
# language = "ang"
# script, profile, numbered and choice as in [[survivor]]

# Other witnesses of any of these texts, whole or in scraps. What they read bears on the lost texts.
# [[witness]]
# siglum = "K"
# name = "Brockhurst MS"            # what manuscript or book it is, in words
# of = "X"                          # the id of the text
# file = "witnesses/X_K.txt"
# depends_on = "C"                  # only if it is itself a copy of another witness; if in a part alone,
#                                   # [{ siglum = "C", from = "1", to = "4" }]
# date = "s. xi"
# script, language, profile and choice as in [[survivor]]; numbered, if each line begins with the number of
# the line it answers in the text. With from_original = true it is another man's transcript of the very
# original that our man copied; if he copied survivors too, give them with the same siglum

# Tables of later forms of words, with columns "form" and "modern": by them it is told what he modernised.
# [[words]]
# files = ["reference/forms.tsv"]
# language = "ang"

# A reading of your own for a lost text, or a predecessor's, to be judged like the program's. It replaces
# the word, or the words ("2.1-3"), that stand at the place in his copy.
# [[conjecture]]
# text = "X"
# locus = "2.1"
# reading = "wæs"
# by = "the editor"                 # who made it; may be left out, as the note may
# note = "the sense asks for it"

# His own marks in his copies: signs are his marks only if they are named here, each as he writes it.
# [his_marks]
# letter_unread = ["."]             # each stands for one letter he could not read; of stops two or more
# some_unread = ["---"]             # letters he could not read, nobody knows how many
# blanks = true                     # two blanks or more together are a space he left
# doubtful = ["(?)", "?"]           # he doubts the word that the sign touches, or stands after
# vouched = ["[sic]", "sic"]        # he vouches for it: so it stands in the original
# line_doubtful = ["q."]            # a word in the margin, first or last in its line, that doubts it
# stands_before = ["?"]             # of these signs those that, standing alone, belong to the word after them
# unclear = true                    # letters that a copy marks as unclear were marked so by himself

# How a run is done. Each of these is as it stands here unless you change it.
# [settings]
@SETTINGS@
# Where photographs of the originals are to be seen: {text}, {folio} and {line} stand for those of a place.
# [images]
# pattern = "https://example.org/{text}/{folio}.jpg"

# A rule or an emendation of your own, to be run over everything: where else it applies in the lost texts,
# what would follow there, where the survivors refute it. It reads "to" where his copies have "from".
# [[rule]]
# from = "r"                        # "" for nothing, " " for a division
# to = "s"
# where = "place=last"              # as for `fidelity rule --where`, of the copy's letters; or ["…", "…"]
# text = "X"                        # only if it is meant for one lost text
# decided = ["X 1.2"]               # where you have decided so
# reason = "the genitive is asked for"
# by = "the editor"

# Which fields answer one another, so that a change in one may have drawn the other after it. Fields of a
# table, and numerals with the words after them, are taken so without more. Each of these says one thing:
# [[parallel]]
# totals = ["altogether"]           # words that say that the number after them is a total
#     or fields = ["lemma", "gloss"]    only these fields of the tables answer one another
#     or pairs = "reference/pairs.tsv"  a table of what belongs together, columns "one" and "other"
#     or numbers = "reference/numbers.tsv"   number words of your own, columns "value" and "word"
#     or parted_by = "·"                what parts the fields of a line in running text of a lost original,
#        text = "X"                     only in this text,
#        lines = "13-17"                and only in these lines

"""

_SETTINGS = {  # what each does, in the words of the dossier
    "states_as_evidence": "which letters of the originals are evidence beside the clear ones: "
    + ", ".join(f'"{state}"' for state in STATES_OF_LETTERS),
    "report_from": "proposed readings below this probability are not listed",
    "rival_from": "nor are rivals of a proposal below this one",
    "parallels": "so many places for a proposal, and against it, are cited at most",
    "false_discovery": "a confusion is systematic at this q or below",
    "systematic_words": "and if it stands in at least so many different words",
    "confidence": "what the intervals cover, a share of 1",
    "folds": "the blind test is made in so many parts where survivors are fewer",
    "beam": "so many restorations of a line are kept at each letter; more is slower",
    "witness_errors_per_1000": "wrong letters per 1,000 assumed of a witness of which no more is known",
    "seed": "for what is drawn at random",
}


def _settings() -> str:
    """Give the lines of the settings, each with its default and what it does."""
    lines = []
    for name, default in Settings().colophon().items():
        first, *more = wrap(_SETTINGS[name], 70)
        lines += [f"# {f'{name} = {default}':<33} # {first}", *(f"# {'':<33} # {line}" for line in more)]
    return "\n".join(lines) + "\n"


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
    texts = {folder / DOSSIER_FILE: _TEMPLATE.replace("@SETTINGS@", _settings())}
    texts |= {folder / name / "README.txt": what + "\n" for name, what in _FOLDERS.items()}
    try:
        for file, text in texts.items():
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise DataError(f"cannot be written: {error.strerror}", file=folder, remedy=remedy) from None
    return list(texts)
