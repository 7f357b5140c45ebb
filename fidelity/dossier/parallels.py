"""Take out of a dossier what it says of fields that answer one another, and of totals.

Arrives: the entries ``[[parallel]]`` and the texts. Leaves: ``Declared``, or faults. Start reading at
``declared_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fidelity.dossier.contents import Dossier
from fidelity.dossier.form import Entry
from fidelity.dossier.number_words import number_words
from fidelity.dossier.texts import DossierTexts, line_range
from fidelity.dossier.two_columns import two_columns
from fidelity.letters import encode
from fidelity.terms.parallels import Declared

SAYS = ("fields", "pairs", "totals", "parted_by", "numbers")  # one of these an entry must say
ONE, OTHER = "one", "other"  # the columns of a table of pairs; it may have others
BELONG = "name the columns of the two that belong together so"


def declared_of(entries: Mapping[str, Sequence[Entry]], dossier: Dossier, texts: DossierTexts) -> Declared:
    """Give what a dossier declares of parallels.

    Args:
        entries: of the dossier.
        dossier: with its texts.
        texts: its files; is told what is wrong.
    """
    fields: list[tuple[str, ...]] = []
    parted: list[tuple[str, tuple[int, int] | None, str]] = []
    pairs: list[tuple[str, str]] = []
    totals: list[str] = []
    numbers: dict[str, int] = {}
    for entry in entries["parallel"]:
        said = [name for name in SAYS if name in entry.values]
        if len(said) != 1:
            what = f"[[parallel]] says {' and '.join(said) or 'nothing'}"
            texts.fault(entry.spot, what, f"give it one of {', '.join(SAYS)}; what else there is, in another")
            continue
        (name,) = said
        if name != "parted_by":
            for key in ("text", "lines"):
                if key in entry.values:
                    remedy = "they belong to parted_by"
                    texts.fault(entry.spot._replace(key=key), f"{key} has nothing to say of {name}", remedy)
        if name == "fields":
            fields += _fields(entry, dossier, texts)
        elif name == "pairs":
            pairs += two_columns(entry, "pairs", (ONE, OTHER), BELONG, texts)
        elif name == "numbers":
            numbers |= number_words(entry, texts, dossier.folds, numbers)
        elif name == "totals":
            totals += map(encode, entry.values["totals"])
        else:
            parted += _parted(entry, dossier, texts)
    return Declared(tuple(fields), tuple(parted), tuple(pairs), tuple(totals), numbers)


def _fields(entry: Entry, dossier: Dossier, texts: DossierTexts) -> Iterator[tuple[str, ...]]:
    """Give the fields that answer one another; each must be one of some table."""
    names = tuple(entry.values["fields"])
    spot = entry.spot._replace(key="fields")
    witnesses = [*(one.original for one in dossier.survivors), *(one.copy for one in dossier.lost)]
    known = list(dict.fromkeys(name for one in witnesses for name in one.fields))
    if len(set(names)) < 2:
        texts.fault(spot, "one field answers nothing", f"name two or more of: {', '.join(known) or 'none'}")
        return
    unknown = [name for name in names if name not in known]
    for name in unknown:
        remedy = f"fields of the tables: {', '.join(known) or 'none: no text is a table'}"
        texts.fault(spot._replace(item=names.index(name)), f"no table has a field {name}", remedy)
    if not unknown:
        yield names


def _parted(
    entry: Entry, dossier: Dossier, texts: DossierTexts
) -> Iterator[tuple[str, tuple[int, int] | None, str]]:
    """Give the lines of running text that are entries, and what parts their fields."""
    copies = {one.id: one.copy for one in dossier.lost}
    name, lines = entry.values.get("text", ""), entry.values.get("lines", "")
    known = f"lost texts: {', '.join(copies) or 'none'}"
    if name and name not in copies:
        texts.fault(entry.spot._replace(key="text"), f"there is no lost text {name}", known)
        return
    if lines and not name:
        texts.fault(entry.spot._replace(key="lines"), "of which text these lines are is not said", known)
        return
    found = line_range(lines, copies[name].labels) if lines else None
    if lines and found is None:
        labels = copies[name].labels
        remedy = f"its lines go from {labels[0]} to {labels[-1]}"
        texts.fault(entry.spot._replace(key="lines"), f"{name} has no lines {lines}", remedy)
        return
    yield name, found, encode(entry.values["parted_by"])
