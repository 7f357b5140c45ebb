"""Print what stands before and after a printed apparatus: its signs, its witnesses, how it was made.

Arrives: the settings of a run, the collated witnesses of a lost text. Leaves: lines of plain text. Start
reading at ``sigla_of``; ``printed_apparatus.py`` prints the places.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from fidelity.apparatus.collated import ANOTHER_WITNESS
from fidelity.apparatus.edition_readings import LETTER_ALONE
from fidelity.apparatus.edition_text import MAIN, EditionText
from fidelity.settings import Settings
from fidelity.sources.tradition import ground_of

WIDTH = 78  # letters to a line, so that a paper or a letter takes it as it is
_SIGN = 9  # letters to a sign in a list of signs: the longest of them, and two blanks
SIGNS = (
    ("1.1-2.4", "after a witness: the places it has, wholly lost words left out; of others it says nothing"),
    ("]", "ends the lemma: what the copy transmits, or what the editor adopted"),
    ("om.", "the witness leaves the words out"),
    ("add.", "the witness adds the words after the lemma"),
    ("transp.", "the witness has the words at the place named"),
    (
        "prop.",
        "proposed reading of the program, ope ingenii unless said otherwise: a conjecture, in no witness",
    ),
    ("litt.", LETTER_ALONE),
    ("with", "names what a proposal moves with it: the two stand or fall together"),
    ("cod.", "the program proposes this reading of witnesses, ope codicum"),
    ("conj.", "conjectured by the person named"),
    ("0.62", "probability that the lost original read so; 0.38-0.7: the range that the blind test allows"),
    ("susp.", "corrupt more probably than not, nothing proposed; the figure is that of its being corrupt"),
    ("† †", "past mending, as the editor decided"),
    ("[..]", "lost letters, a dot for each; [---] lost, nobody knows how many; [abc] lost and restored"),
    ("⟨abc⟩", "supplied; (abc) abbreviation written out; ⟦abc⟧ cancelled; ạ unclear; ⸌abc⸍ in another hand"),
    ("|", "parts the fields of an entry"),
)
_SETTINGS = {  # how each was set, in words
    "false_discovery": "a confusion is systematic at a q of {} or less",
    "systematic_words": "it then stands in {} different words or more",
    "confidence": "intervals cover a share of {}",
    "report_from": "proposed readings below a probability of {} are not listed",
    "rival_from": "nor rivals of them below {}",
    "parallels": "{} places for a proposal, and as many against it, are cited at most",
    "folds": "the blind test is made in {} parts where survivors are fewer",
    "beam": "{} restorations of a line are kept at each letter",
    "witness_errors_per_1000": "{:g} letters per 1,000 wrong in a witness of which no more is known",
    "states_as_evidence": "letters of the originals that are evidence: {}",
    "seed": "chance is drawn from seed {}",
}


def wrapped(text: str, first: str = "", then: str = "") -> list[str]:
    """Wrap a text; words longer than a line stay whole."""
    return textwrap.wrap(
        *(text, WIDTH),
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )


def entry(sign: str, told: str) -> list[str]:
    """Give a sign with what it means."""
    return wrapped(told, f"{sign:<{_SIGN - 1}} ", " " * _SIGN)


def settings_in_words(settings: Settings) -> str:
    """Say how a run was done.

    >>> settings_in_words(Settings())[:47]
    'a confusion is systematic at a q of 0.05 or les'
    """
    states = ", ".join(("clear", *settings.states_as_evidence))
    values = settings.colophon() | {"states_as_evidence": states}
    return "; ".join(told.format(values[name]) for name, told in _SETTINGS.items())


def sigla_of(edition: EditionText) -> Iterator[str]:
    """Give the witnesses by siglum: what they are, of when, copied from what, and how far they reach."""
    columns = {siglum: column for column, siglum in enumerate(edition.collation.sigla)}
    for one in edition.collated.described:
        column = columns.get(one.siglum, MAIN)
        what = "" if one.name and one.what == ANOTHER_WITNESS else one.what
        told = [". ".join(filter(None, [one.name, what.removesuffix(".")]))]
        told += [one.date] if one.date else []
        told += [f"copied from {each.source} ({ground_of(each)})" for each in one.dependence]
        told += [f"not set beside the others: {one.refused}"] if one.refused else []
        reach = "" if column == MAIN else ", ".join(edition.extant(column))
        yield from entry(one.siglum, "; ".join(told) + (f": {reach}" if reach else ""))
