"""What may stand in a dossier.toml: the tables, their keys, and what each key holds.

Arrives: the parsed TOML with its places. Leaves: ``Entry`` records with every value checked, and
the faults. Start reading at ``FORM``, which is the specification, then ``check_form``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from enum import Enum
from typing import Any

from fidelity.dossier.images import names_a_part, unknown_parts
from fidelity.dossier.places import KEY, Places, Spot
from fidelity.errors import Fault
from fidelity.settings import Settings
from fidelity.terms import State
from fidelity.witnesses.folds import known_scripts
from fidelity.witnesses.read import PROFILES
from fidelity.witnesses.tei_elements import SIDES_OF_CHOICES

NEAR_ENOUGH = 60  # of 100 in rapidfuzz's weighted ratio; below it a guess misleads more than it helps
_SHARES = frozenset({"false_discovery", "confidence", "report_from", "rival_from"})  # settings from 0 to 1
STATES_OF_LETTERS = {  # that an editor may count as evidence; of a lost letter there is none
    state.name.lower(): state for state in State if state not in (State.CLEAR, State.LOST, State.LOST_UNKNOWN)
}
_ID = re.compile(r"\w[\w.-]*")  # names output files and opens a locus: no blanks, no slashes
_LANGUAGE = re.compile(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*")  # the shape of a tag (RFC 5646, sec. 2.1)
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
    TEXTS = 'a list of texts, ["…", "…"]'
    PAIRS = 'a list of pairs of texts, [["ę", "æ"], …]: the letter written, and what it stands for'
    STATES = f"a list of states of letters ({', '.join(STATES_OF_LETTERS)})"
    SIDES = f"a list of the sides of TEI choices to read ({', '.join(sorted(SIDES_OF_CHOICES))})"
    PASSAGES = 'a list of passages, [{ lines = "1-3", script = "…" }, …]'
    ADDRESS = "an address with {text}, {folio} or {line} where these stand, in quotation marks"
    YES_NO = "true or false"
    COUNT = "a whole number, 0 or more"
    SHARE = "a number from 0 to 1"
    NUMBER = "a number"


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and not _CONTROL.search(value)


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _are(value: Any, test: Callable[[Any], bool]) -> bool:
    return isinstance(value, list) and all(test(item) for item in value)


def _is_pattern(value: str) -> bool:
    try:
        return names_a_part(value) and not unknown_parts(value)
    except ValueError:  # braces that do not match
        return False


def _is_pair(value: Any) -> bool:
    return _are(value, _is_text) and len(value) == 2


def _is_list(value: Any) -> bool:
    return isinstance(value, list)


_TESTS: Mapping[Kind, Callable[[Any], bool]] = {
    Kind.TEXT: _is_text,
    Kind.ID: lambda value: isinstance(value, str) and bool(_ID.fullmatch(value)),
    Kind.SIGLUM: lambda value: _is_text(value) and not re.search(r"\s", value),
    Kind.LANGUAGE: lambda value: isinstance(value, str) and bool(_LANGUAGE.fullmatch(value)),
    Kind.SCRIPT: lambda value: value in known_scripts(),
    Kind.PROFILE: lambda value: value in PROFILES,
    Kind.FILE: _is_text,
    **dict.fromkeys((Kind.TEXTS, Kind.PAIRS, Kind.STATES, Kind.SIDES, Kind.PASSAGES), _is_list),
    Kind.FILES: _is_text,
    Kind.ADDRESS: lambda value: _is_text(value) and _is_pattern(value),
    Kind.YES_NO: lambda value: isinstance(value, bool),
    Kind.COUNT: lambda value: _is_number(value) and isinstance(value, int) and value >= 0,
    Kind.SHARE: lambda value: _is_number(value) and 0 <= value <= 1,
    Kind.NUMBER: _is_number,
}
_TESTS_OF_ITEMS: Mapping[Kind, Callable[[Any], bool]] = {  # what each item of a list must be
    Kind.FILES: _is_text,
    Kind.TEXTS: _is_text,
    Kind.PAIRS: _is_pair,
    Kind.STATES: lambda name: isinstance(name, str) and name in STATES_OF_LETTERS,
    Kind.SIDES: lambda name: isinstance(name, str) and name in SIDES_OF_CHOICES,
    Kind.PASSAGES: lambda item: isinstance(item, dict),
}


@dataclass(frozen=True)
class Section:
    """A table of the dossier.

    Attributes:
        many: whether it is a list of tables, [[…]].
        required: the keys that must be there.
        keys: what each key holds; None where the table is kept as it is.
    """

    many: bool
    required: tuple[str, ...] = ()
    keys: Mapping[str, Kind] | None = None


def _kind_of_setting(name: str, annotation: str) -> Kind:
    """Give what a setting holds, from its name and its type in ``Settings``."""
    kinds = {"int": Kind.COUNT, "bool": Kind.YES_NO, "str": Kind.TEXT, "tuple[str, ...]": Kind.STATES}
    return Kind.SHARE if name in _SHARES else kinds.get(annotation, Kind.NUMBER)


_ABOUT = {"script": Kind.SCRIPT, "language": Kind.LANGUAGE}
_HOW = {"profile": Kind.PROFILE, "numbered": Kind.YES_NO, "choice": Kind.SIDES}
OF_ONE = ("profile", "numbered")  # what may be said of the original alone, and of the copy alone
PASSAGE = Section(True, (), {"lines": Kind.TEXT, "page": Kind.TEXT, "field": Kind.TEXT, **_ABOUT})
FORM: Mapping[str, Section] = {
    "copyist": Section(False, ("name",), {"name": Kind.TEXT, "dates": Kind.TEXT}),
    "fold": Section(False, (), {"sets": Kind.TEXTS, "pairs": Kind.PAIRS}),
    "survivor": Section(
        True,
        ("id", "original", "copy"),
        {"id": Kind.ID, "original": Kind.FILE, "copy": Kind.FILES, **_ABOUT, **_HOW}
        | {f"{one}_{name}": _HOW[name] for one in ("original", "copy") for name in OF_ONE}
        | {"passages": Kind.PASSAGES, "quires": Kind.TEXTS}
        | {"original_unchecked": Kind.FILE, "original_checked": Kind.FILES},
    ),
    "lost": Section(True, ("id", "copy"), {"id": Kind.ID, "copy": Kind.FILES, **_ABOUT, **_HOW}),
    "witness": Section(
        True,
        ("siglum", "of", "file"),
        {"siglum": Kind.SIGLUM, "of": Kind.ID, "file": Kind.FILE, **_ABOUT, **_HOW}
        | {"depends_on": Kind.SIGLUM, "date": Kind.TEXT, "from_original": Kind.YES_NO},
    ),
    "reference": Section(True, ("files",), {"files": Kind.FILES, **_ABOUT, **_HOW}),
    "words": Section(True, ("files",), {"files": Kind.FILES, "language": Kind.LANGUAGE}),
    "images": Section(False, ("pattern",), {"pattern": Kind.ADDRESS}),
    "settings": Section(
        False, (), {each.name: _kind_of_setting(each.name, str(each.type)) for each in fields(Settings)}
    ),
    "his_marks": Section(
        False,
        (),
        dict.fromkeys(
            ("letter_unread", "some_unread", "doubtful", "vouched", "line_doubtful", "stands_before"),
            Kind.TEXTS,
        )
        | dict.fromkeys(("blanks", "unclear"), Kind.YES_NO),
    ),
    "rule": Section(True),
    "conjecture": Section(
        True,
        ("text", "locus", "reading"),
        {"text": Kind.ID, **dict.fromkeys(("locus", "reading", "by", "note"), Kind.TEXT)},
    ),
}
NOT_YET_USED = ("rule",)  # tables that change no result so far
_NEEDED = (
    ("copyist", "the dossier does not say who the copyist is", 'add a table [copyist] with name = "…"'),
    (
        "survivor",
        "there is no survivor to learn from",
        "add a table [[survivor]] with id, original and copy for each original that survives",
    ),
)


@dataclass(frozen=True)
class Entry:
    """One table of the dossier, its faulty keys left out.

    Attributes:
        spot: where it stands.
        values: key -> value, each of the kind that ``FORM`` says.
        whole: whether every required key is there and right.
    """

    spot: Spot
    values: Mapping[str, Any] = field(default_factory=dict)
    whole: bool = True


def check_form(data: Mapping[str, Any], places: Places, faults: list[Fault]) -> dict[str, list[Entry]]:
    """Check all tables and keys of a dossier.

    Args:
        data: the parsed TOML.
        places: where everything stands.
        faults: is added to: unknown tables and keys, keys missing, values of the wrong kind.

    Returns:
        The entries of each table of ``FORM``, in order.
    """
    entries: dict[str, list[Entry]] = {name: [] for name in FORM}
    for name, what, remedy in _NEEDED:
        if data.get(name, []) == []:
            faults.append(Fault(what, places.file, remedy=remedy))
    for name, value in data.items():
        section = FORM.get(name)
        spot = Spot(name, 0) if Spot(name, 0) in places.offsets else Spot("", 0, name)
        if section is None:
            faults.append(places.fault(spot, f"unknown table or key {name!r}", _did_you_mean(name, FORM)))
        elif section.many != isinstance(value, list) or not _tables(value):
            faults.append(
                places.fault(spot, f"{name} is not given as a table", f"write it as {written(name)}")
            )
        else:
            tables = value if section.many else [value]
            entries[name] = [
                check_entry(table, section, Spot(name, at), places, faults) for at, table in enumerate(tables)
            ]
    return entries


def written(name: str) -> str:
    """Give the name of a table as it is written in the dossier."""
    return f"[[{name}]]" if FORM[name].many else f"[{name}]"


def _tables(value: Any) -> bool:
    return isinstance(value, dict) or _are(value, lambda item: isinstance(item, dict))


def check_entry(
    table: Mapping[str, Any], section: Section, spot: Spot, places: Places, faults: list[Fault]
) -> Entry:
    """Check the keys of one table."""
    if section.keys is None:
        return Entry(spot, table)
    values = {}
    for key, value in table.items():
        here = spot._replace(key=key) if spot.item is None else spot
        if key not in section.keys:
            at_key = here._replace(item=KEY) if spot.item is None else spot
            faults.append(places.fault(at_key, f"unknown key {key!r}", _did_you_mean(key, section.keys)))
        elif wrong := list(_wrong(key, value, section.keys[key])):
            faults += [
                places.fault(here._replace(item=at) if at is not None else here, *told) for at, told in wrong
            ]
        else:
            values[key] = value
    missing = [key for key in section.required if key not in table]
    if missing:
        what = f"[{spot.table}] lacks {', '.join(missing)}"
        faults.append(places.fault(spot, what, f"add {missing[0]} = {section.keys[missing[0]].value}"))
    return Entry(spot, values, all(key in values for key in section.required))


def _wrong(key: str, value: Any, kind: Kind) -> Iterator[tuple[int | None, tuple[str, str]]]:
    """Say where a value is not of its kind, and what is wanted: the item of a list, or None for all of it."""
    if isinstance(value, list) and value and (test := _TESTS_OF_ITEMS.get(kind)):
        for at, item in enumerate(value):
            if not test(item):
                yield at, (f"{key} cannot hold {item!r}", f"write {kind.value}")
    elif not _TESTS[kind](value):
        yield None, _unfit(key, value, kind)


def _unfit(key: str, value: Any, kind: Kind) -> tuple[str, str]:
    """Say that a whole value is of the wrong kind, and what is wanted."""
    if isinstance(value, str) and kind in (Kind.SCRIPT, Kind.PROFILE):
        names = known_scripts() if kind is Kind.SCRIPT else PROFILES
        return f"unknown {key} {value!r}", _did_you_mean(value, names)
    if isinstance(value, str) and not value.strip():
        return f"{key} is empty", f"fill it in: {kind.value}"
    return f"{key} cannot be {value!r}", f"write {kind.value}"


def _did_you_mean(name: str, known: Iterable[str]) -> str:
    """Give the nearest known name, if any is near, and all of them."""
    names = list(known)
    from rapidfuzz import process  # only needed where something is wrong

    near = process.extractOne(name, names, score_cutoff=NEAR_ENOUGH)
    return (f"did you mean {near[0]}? " if near else "") + f"known: {', '.join(names)}"
