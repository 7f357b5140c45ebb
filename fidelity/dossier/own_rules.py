"""Take an editor's own rules out of a dossier.

Arrives: the entries ``[[rule]]`` and the dossier's texts. Leaves: ``OwnRule``s, or faults. Start reading at
``rules_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fidelity.dossier.cited import find_place
from fidelity.dossier.contents import Dossier
from fidelity.dossier.form import Entry
from fidelity.dossier.places import Spot
from fidelity.dossier.texts import DossierTexts
from fidelity.errors import FidelityError
from fidelity.letters import decode, encode
from fidelity.terms import Circumstance
from fidelity.terms.parallels import OwnRule, asked

ONE_LETTER = (Circumstance.BEFORE, Circumstance.AFTER)


def rules_of(
    entries: Mapping[str, Sequence[Entry]], dossier: Dossier, texts: DossierTexts
) -> Iterator[OwnRule]:
    """Give the rules of a dossier; each that can never apply is a fault.

    Args:
        entries: of the dossier.
        dossier: with its survivors, lost texts and folds.
        texts: is told what is wrong.
    """
    for entry in entries["rule"]:
        if not entry.whole:
            continue
        values, number = entry.values, len(texts.faults)
        copy, original = encode(values["from"]), encode(values["to"])
        if copy == original:
            remedy = "from: the letters his copies have; to: what you read for them"
            texts.fault(
                entry.spot._replace(key="to"), "from and to are the same: nothing would change", remedy
            )
        where = tuple(_where(entry, copy, dossier, texts))
        if not copy and not where and copy != original:
            remedy = 'say where it applies: where = "after=e", or name the letters around in from and to'
            texts.fault(entry.spot._replace(key="from"), "from is empty: it would apply everywhere", remedy)
        lost = _texts(entry, dossier, texts)
        decided = tuple(_decided(entry, copy, lost, dossier, texts)) if lost else ()
        if len(texts.faults) == number:
            told = (values.get(name, "") for name in ("reason", "by"))
            yield OwnRule(copy, original, where, lost if "text" in values else (), decided, *told)


def _where(
    entry: Entry, copy: str, dossier: Dossier, texts: DossierTexts
) -> Iterator[tuple[Circumstance, str]]:
    """Give the circumstances; each that cannot be is a fault."""
    given = entry.values.get("where", [])
    spot = entry.spot._replace(key="where")
    items = [(None, given)] if isinstance(given, str) else list(enumerate(given))
    seen: dict[Circumstance, str] = {}
    for at, written in items:
        here = spot._replace(item=at)
        try:
            kind, value = asked(written)
        except FidelityError as error:
            texts.fault(here, error.faults[0].what, error.faults[0].remedy)
            continue
        if kind in seen and seen[kind] != value:
            texts.fault(
                here, f"{written} and {decode(seen[kind])!r} cannot both hold", "leave out one of them"
            )
        elif why := _impossible(kind, value, copy, dossier):
            texts.fault(here, f"{written} never holds: {why[0]}", why[1])
        else:
            seen[kind] = value
            yield kind, value


def _impossible(kind: Circumstance, value: str, copy: str, dossier: Dossier) -> tuple[str, str] | None:
    """Say why a circumstance can hold nowhere in this dossier, and what can."""
    if kind in ONE_LETTER and len(value) > 1:
        return "it names one letter", "name one letter, or put the others into from and to"
    if kind is Circumstance.WORD and copy not in value:
        return f"the word has no {decode(copy)!r}", "name a word as his copy has it"
    known: list[str] = []
    if kind is Circumstance.TEXT:
        known = [one.id for one in dossier.survivors] + [one.id for one in dossier.lost]
    elif kind in (Circumstance.SCRIPT, Circumstance.LANGUAGE):
        name = "script" if kind is Circumstance.SCRIPT else "language"
        known = [getattr(one.original, name) for one in dossier.survivors]
        known += [getattr(one.copy, name) for one in dossier.lost]
        known += [getattr(passage, name) for one in dossier.survivors for passage in one.passages]
    else:
        return None
    there = list(dict.fromkeys(filter(None, known)))
    if decode(value) in there:
        return None
    return "no text of the dossier is so", f"known: {', '.join(there) or 'none is declared'}"


def _texts(entry: Entry, dossier: Dossier, texts: DossierTexts) -> tuple[str, ...]:
    """Give the lost texts a rule is meant for."""
    ids = tuple(one.id for one in dossier.lost)
    name = entry.values.get("text")
    if name is None or name in ids:
        return ids if name is None else (name,)
    survives = any(one.id == name for one in dossier.survivors)
    what = f"the original of {name} survives: no rule is needed there" if survives else f"no lost text {name}"
    texts.fault(entry.spot._replace(key="text"), what, f"lost texts: {', '.join(ids) or 'none'}")
    return ()


def _decided(
    entry: Entry, copy: str, lost: Sequence[str], dossier: Dossier, texts: DossierTexts
) -> Iterator[tuple[str, int]]:
    """Give the places at which the editor has decided so; the letters must stand there."""
    copies = {one.id: one.copy for one in dossier.lost if one.id in lost}
    for at, written in enumerate(entry.values.get("decided", [])):
        spot: Spot = entry.spot._replace(key="decided", item=at)
        try:
            place = find_place(written, copies, list(copies))
        except FidelityError as error:
            texts.fault(spot, error.faults[0].what, error.faults[0].remedy)
            continue
        letters, (start, end) = copies[place.text].letters, place.span
        here = _finds(dossier.folds.fold(letters), dossier.folds.fold(copy), max(start - 1, 0), end + 1)
        if not here:
            there = decode(letters[start:end])
            remedy = "name words in which they stand"
            texts.fault(spot, f"{place} is {there!r}: {decode(copy)!r} does not stand there", remedy)
        yield from ((place.text, one) for one in here)


def _finds(letters: str, part: str, start: int, end: int) -> list[int]:
    """Give every offset of some letters in a stretch; of none, the places between its letters.

    >>> _finds("Ic wær on", "r", 3, 6), _finds("ab", "", 0, 2)
    ([5], [0, 1, 2])
    """
    end = min(end, len(letters))
    return [at for at in range(start, end - len(part) + 1) if letters.startswith(part, at)]


__all__ = ["rules_of"]
