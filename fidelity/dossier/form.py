"""What may stand in a dossier.toml: the tables, their keys, and what each key holds.

Arrives: the parsed TOML with its places. Leaves: ``Entry`` records with every value checked, and
the faults. Start reading at ``FORM``, which is the specification, then ``check_form``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from fidelity.dossier.images import unknown_names
from fidelity.dossier.kinds import TESTS, TESTS_OF_ITEMS, Kind, are_all
from fidelity.dossier.places import KEY, Places, Spot
from fidelity.errors import Fault
from fidelity.settings import Settings
from fidelity.witnesses.folds import known_scripts
from fidelity.witnesses.read import PROFILES

NEAR_ENOUGH = 60  # of 100 in rapidfuzz's weighted ratio; below it a guess misleads more than it helps
_SHARES = frozenset({"false_discovery", "confidence", "report_from", "rival_from"})  # settings from 0 to 1


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
    if name == "folds":
        return Kind.PARTS
    return Kind.SHARE if name in _SHARES else kinds.get(annotation, Kind.NUMBER)


_ABOUT = {"script": Kind.SCRIPT, "language": Kind.LANGUAGE}
_HOW = {"profile": Kind.PROFILE, "numbered": Kind.YES_NO, "choice": Kind.SIDES}
_NAMED = {"name": Kind.TEXT, "copy_name": Kind.NAMES}  # what manuscript it is, and what his copy of it is
OF_ONE = ("profile", "numbered")  # what may be said of the original alone, and of the copy alone
DEPENDENCE = Section(True, ("siglum",), {"siglum": Kind.SIGLUM, "from": Kind.TEXT, "to": Kind.TEXT})
PASSAGE = Section(True, (), {"lines": Kind.TEXT, "page": Kind.TEXT, "field": Kind.TEXT, **_ABOUT})
FORM: Mapping[str, Section] = {
    "copyist": Section(False, ("name",), {"name": Kind.TEXT, "dates": Kind.TEXT, "siglum": Kind.SIGLUM}),
    "fold": Section(False, (), {"sets": Kind.TEXTS, "pairs": Kind.PAIRS}),
    "survivor": Section(
        True,
        ("id", "original", "copy"),
        {"id": Kind.ID, **_NAMED, "original": Kind.FILE, "copy": Kind.FILES, **_ABOUT, **_HOW}
        | {f"{one}_{name}": _HOW[name] for one in ("original", "copy") for name in OF_ONE}
        | {"passages": Kind.PASSAGES, "quires": Kind.TEXTS}
        | {"original_unchecked": Kind.FILE, "original_checked": Kind.FILES},
    ),
    "lost": Section(
        True,
        ("id", "copy"),
        {"id": Kind.ID, **_NAMED, "copy": Kind.FILES, **_ABOUT, **_HOW, "depends_on": Kind.DEPENDENCE},
    ),
    "witness": Section(
        True,
        ("siglum", "of", "file"),
        {"siglum": Kind.SIGLUM, "of": Kind.ID, "file": Kind.FILE, **_ABOUT, **_HOW}
        | {"depends_on": Kind.DEPENDENCE, "date": Kind.TEXT, "name": Kind.TEXT, "from_original": Kind.YES_NO},
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
    "rule": Section(
        True,
        ("from", "to"),
        {"from": Kind.LETTERS, "to": Kind.LETTERS, "where": Kind.WHERE, "text": Kind.ID}
        | {"decided": Kind.TEXTS, "reason": Kind.TEXT, "by": Kind.TEXT},
    ),
    "parallel": Section(
        True,
        (),
        {"fields": Kind.TEXTS, "pairs": Kind.FILES, "totals": Kind.TEXTS, "parted_by": Kind.TEXT}
        | {"numbers": Kind.FILES}
        | {"text": Kind.ID, "lines": Kind.TEXT},
    ),
    "conjecture": Section(
        True,
        ("text", "locus", "reading"),
        {"text": Kind.ID, **dict.fromkeys(("locus", "reading", "by", "note"), Kind.TEXT)},
    ),
}
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
    return isinstance(value, dict) or are_all(value, lambda item: isinstance(item, dict))


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
    if isinstance(value, list) and value and (test := TESTS_OF_ITEMS.get(kind)):
        for at, item in enumerate(value):
            if not test(item):
                yield at, (f"{key} cannot hold {item!r}", f"write {kind.value}")
    elif not TESTS[kind](value):
        yield None, _unfit(key, value, kind)


def _unfit(key: str, value: Any, kind: Kind) -> tuple[str, str]:
    """Say that a whole value is of the wrong kind, and what is wanted."""
    if isinstance(value, str) and kind in (Kind.SCRIPT, Kind.PROFILE):
        names = known_scripts() if kind is Kind.SCRIPT else PROFILES
        return f"unknown {key} {value!r}", _did_you_mean(value, names)
    if kind is Kind.ADDRESS and isinstance(value, str) and (unknown := unknown_names(value)):
        named = ", ".join(f"{{{name}}}" for name in unknown)
        return f"{key} names {named}, which is no part of a place", f"write {kind.value}"
    if isinstance(value, str) and not value.strip():
        return f"{key} is empty", f"fill it in: {kind.value}"
    return f"{key} cannot be {value!r}", f"write {kind.value}"


def _did_you_mean(name: str, known: Iterable[str]) -> str:
    """Give the nearest known name, if any is near, and all of them."""
    names = list(known)
    from rapidfuzz import process  # only needed where something is wrong

    near = process.extractOne(name, names, score_cutoff=NEAR_ENOUGH)
    return (f"did you mean {near[0]}? " if near else "") + f"known: {', '.join(names)}"
