"""What the keys of a dossier.toml may hold, and how each is tested.

Arrives: a value. Leaves: whether it is of a kind. Start reading at ``Kind``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from enum import Enum
from typing import Any

from fidelity.dossier.images import names_a_part, unknown_parts
from fidelity.terms import State
from fidelity.witnesses.folds import known_scripts
from fidelity.witnesses.read import PROFILES
from fidelity.witnesses.tei_elements import SIDES_OF_CHOICES

STATES_OF_LETTERS = {  # that an editor may count as evidence; of a lost letter there is none
    state.name.lower(): state for state in State if state not in (State.CLEAR, State.LOST, State.LOST_UNKNOWN)
}
_ID = re.compile(r"\w[\w.-]*")  # names output files and opens a locus: no blanks, no slashes
_LANGUAGE = re.compile(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*")  # the shape of a tag (RFC 5646, sec. 2.1)
FEWEST_PARTS = 2  # of the survivors in a blind test: one is tried, and from the others is learned
_CONTROL = re.compile("[\x00-\x1f\x7f]")


class Kind(Enum):
    """What a key holds."""

    TEXT = "text in quotation marks"
    ID = "a short name without blanks or slashes, in quotation marks"
    SIGLUM = "a siglum without blanks, in quotation marks"
    LANGUAGE = 'a language tag such as "ang" or "la", in quotation marks'
    SCRIPT = "the name of a script"
    PROFILE = "the name of a profile"
    FILE = "the path of one file, in quotation marks"
    FILES = "the path of a file, or a list of paths"
    NAMES = "text in quotation marks, or a list of texts, one for each copy"
    TEXTS = 'a list of texts, ["…", "…"]'
    LETTERS = 'letters in quotation marks; "" for none, " " for a division'
    WHERE = 'a circumstance such as "after=e" in quotation marks, or a list of them'
    PAIRS = 'a list of pairs of texts, [["ę", "æ"], …]: the letter written, and what it stands for'
    STATES = f"a list of states of letters ({', '.join(STATES_OF_LETTERS)})"
    SIDES = f"a list of the sides of TEI choices to read ({', '.join(sorted(SIDES_OF_CHOICES))})"
    PASSAGES = 'a list of passages, [{ lines = "1-3", script = "…" }, …]'
    DEPENDENCE = 'a siglum, or a list of where it holds, [{ siglum = "K", from = "8", to = "10" }]'
    ADDRESS = "an address with {text}, {folio} or {line} where these stand, in quotation marks"
    YES_NO = "true or false"
    COUNT = "a whole number, 0 or more"
    PARTS = "a whole number, 2 or more"
    SHARE = "a number from 0 to 1"
    NUMBER = "a number"


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and not _CONTROL.search(value)


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def are_all(value: Any, test: Callable[[Any], bool]) -> bool:
    """Tell whether a value is a list whose every item passes."""
    return isinstance(value, list) and all(test(item) for item in value)


def _is_pattern(value: str) -> bool:
    try:
        return names_a_part(value) and not unknown_parts(value)
    except ValueError:  # braces that do not match
        return False


def _is_pair(value: Any) -> bool:
    return are_all(value, _is_text) and len(value) == 2


def _is_list(value: Any) -> bool:
    return isinstance(value, list)


TESTS: Mapping[Kind, Callable[[Any], bool]] = {
    Kind.TEXT: _is_text,
    Kind.ID: lambda value: isinstance(value, str) and bool(_ID.fullmatch(value)),
    Kind.SIGLUM: lambda value: _is_text(value) and not re.search(r"\s", value),
    Kind.LANGUAGE: lambda value: isinstance(value, str) and bool(_LANGUAGE.fullmatch(value)),
    Kind.SCRIPT: lambda value: value in known_scripts(),
    Kind.PROFILE: lambda value: value in PROFILES,
    Kind.FILE: _is_text,
    **dict.fromkeys((Kind.TEXTS, Kind.PAIRS, Kind.STATES, Kind.SIDES, Kind.PASSAGES), _is_list),
    **dict.fromkeys((Kind.FILES, Kind.NAMES), _is_text),
    Kind.LETTERS: lambda value: isinstance(value, str) and not _CONTROL.search(value),
    Kind.WHERE: _is_text,
    Kind.DEPENDENCE: lambda value: _is_list(value) or (_is_text(value) and not re.search(r"\s", value)),
    Kind.ADDRESS: lambda value: _is_text(value) and _is_pattern(value),
    Kind.YES_NO: lambda value: isinstance(value, bool),
    Kind.COUNT: lambda value: _is_number(value) and isinstance(value, int) and value >= 0,
    Kind.PARTS: lambda value: _is_number(value) and isinstance(value, int) and value >= FEWEST_PARTS,
    Kind.SHARE: lambda value: _is_number(value) and 0 <= value <= 1,
    Kind.NUMBER: _is_number,
}
TESTS_OF_ITEMS: Mapping[Kind, Callable[[Any], bool]] = {  # what each item of a list must be
    Kind.FILES: _is_text,
    Kind.NAMES: _is_text,
    Kind.TEXTS: _is_text,
    Kind.WHERE: _is_text,
    Kind.PAIRS: _is_pair,
    Kind.STATES: lambda name: isinstance(name, str) and name in STATES_OF_LETTERS,
    Kind.SIDES: lambda name: isinstance(name, str) and name in SIDES_OF_CHOICES,
    **dict.fromkeys((Kind.PASSAGES, Kind.DEPENDENCE), lambda item: isinstance(item, dict)),
}
