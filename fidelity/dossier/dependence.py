"""Take out of a dossier who was copied from whom, in all of a text or in a part of it.

Arrives: the entries, and the texts that were read. Leaves: ``DependentStretch``es by text and siglum, or
faults. Start reading at ``dependence_of``.

``depends_on`` of a witness is the siglum of what it was copied from, or a list of such sigla, each with the
places from which and to which it holds; of a lost text's own copy, which else is copied from the lost
original, only such a list. The copy itself is cited by the copyist's siglum.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from fidelity.dossier.cited import Place, find_place
from fidelity.dossier.contents import LostText, Survivor
from fidelity.dossier.form import DEPENDENCE, Entry, check_entry
from fidelity.dossier.places import Spot
from fidelity.dossier.texts import DossierTexts
from fidelity.errors import FidelityError
from fidelity.terms import Witness
from fidelity.terms.attestation import DependentStretch

COPY_SIGLUM = "C"  # of the copyist, where the dossier gives him none

Dependence = Mapping[tuple[str, str], tuple[DependentStretch, ...]]


class _Text(NamedTuple):
    """A text of the dossier: what cites its places, and the sigla of its witnesses."""

    main: Witness
    sigla: tuple[str, ...]


def dependence_of(
    entries: Mapping[str, Sequence[Entry]],
    survivors: Sequence[Survivor],
    lost: Sequence[LostText],
    siglum: str,
    texts: DossierTexts,
) -> Dependence:
    """Give where each witness was copied from another.

    Args:
        entries: of the dossier.
        survivors, lost: as they were read.
        siglum: of the copyist's own copies.
        texts: to which faults are told: sigla and places that are not there, circles.

    Returns:
        (id of the text, siglum) -> the stretches.
    """
    mains = {one.id: one.original for one in survivors} | {one.id: one.copy for one in lost}
    others = [entry.values for entry in entries["witness"]]
    known = {
        text: _Text(main, (siglum, *(one.get("siglum", "") for one in others if one.get("of") == text)))
        for text, main in mains.items()
    }
    found: dict[tuple[str, str], tuple[DependentStretch, ...]] = {}
    for entry in [*entries["lost"], *entries["witness"]]:
        own = entry.spot.table == "lost"
        text = entry.values.get("id" if own else "of", "")
        name = siglum if own else entry.values.get("siglum", "")
        if not own and name == siglum and text in known:
            remedy = 'choose another, or give the copyist another: siglum = "…" under [copyist]'
            texts.fault(entry.spot._replace(key="siglum"), f"{name} is the siglum of the copyist", remedy)
        elif text in known and "depends_on" in entry.values:
            found[text, name] = tuple(_stretches(entry, text, name, known[text], texts))
    for entry in entries["witness"]:
        text, name = entry.values.get("of", ""), entry.values.get("siglum", "")
        if (text, name) in found:
            _tell_circle(entry, text, name, found, texts)
    return found


def _stretches(
    entry: Entry, text: str, name: str, known: _Text, texts: DossierTexts
) -> Iterator[DependentStretch]:
    """Give the stretches of one witness."""
    value, spot = entry.values["depends_on"], entry.spot._replace(key="depends_on")
    whole = (0, len(known.main))
    if isinstance(value, str):
        if entry.spot.table == "lost":
            remedy = 'say where: [{ siglum = "K", from = "8", to = "10" }]'
            texts.fault(
                spot, f"if all of the copy was copied from {value}, it tells nothing of {text}", remedy
            )
        elif _is_known(value, name, known, spot, texts):
            yield DependentStretch(value, whole)
        return
    for at, table in enumerate(value):
        here = spot._replace(item=at)
        values = check_entry(table, DEPENDENCE, here, texts.places, texts.faults).values
        if "siglum" not in values or not _is_known(values["siglum"], name, known, here, texts):
            continue
        place = _place(values, text, known.main, here, texts)
        if place:
            yield DependentStretch(values["siglum"], place.span, str(place).removeprefix(f"{text} "))
        elif not {"from", "to"} & values.keys():
            yield DependentStretch(values["siglum"], whole)


def _is_known(source: str, name: str, known: _Text, spot: Spot, texts: DossierTexts) -> bool:
    """Tell whether a witness can depend on this one; else it is a fault."""
    if source == name:
        if not any(fault.what == f"{name} cannot depend on itself" for fault in texts.faults):
            texts.fault(spot, f"{name} cannot depend on itself", "name the witness it was copied from")
        return False
    if source in known.sigla:
        return True
    others = ", ".join(one for one in known.sigla if one != name)
    texts.fault(
        spot, f"there is no witness {source} of this text", f"{_near(source, known.sigla)}known: {others}"
    )
    return False


def _near(source: str, sigla: Sequence[str]) -> str:
    """Ask whether a siglum that differs in case or by a letter was meant; "" where none is near."""
    from rapidfuzz import process  # only needed where something is wrong

    found = process.extractOne(source.lower(), {one: one.lower() for one in sigla}, score_cutoff=60)
    return f"did you mean {found[2]}? " if found else ""


def _place(
    values: Mapping[str, Any], text: str, main: Witness, spot: Spot, texts: DossierTexts
) -> Place | None:
    """Find the stretch from one place to another; None where none is named or it cannot be found."""
    first, last = values.get("from", ""), values.get("to", "")
    if not first or not last:
        if first or last:
            missing = "to" if first else "from"
            texts.fault(spot, f"it is not said {missing} where", f'add {missing} = "…", a place in {text}')
        return None
    try:
        one, two = (
            find_place(place if place.split()[0] == text else f"{text} {place}", {text: main})
            for place in (first, last)
        )
    except FidelityError as error:
        texts.fault(spot, error.faults[0].what, error.faults[0].remedy)
        return None
    if two.span[1] <= one.span[0]:
        texts.fault(spot, f"{first} to {last} ends before it begins", "write the earlier place under from")
        return None
    end = two.last or two.locus
    return Place(text, (one.span[0], two.span[1]), one.locus, end, one.by_word or two.by_word)


def _tell_circle(
    entry: Entry,
    text: str,
    name: str,
    found: Mapping[tuple[str, str], Sequence[DependentStretch]],
    texts: DossierTexts,
) -> None:
    """Say that witnesses were copied from each other in a circle, at the place where that is so."""
    for stretch in found[text, name]:
        way, span = [name], stretch.span
        step: DependentStretch | None = stretch
        while step:
            if step.source in way:
                if step.source == name:
                    told = " from ".join([*way, name])
                    remedy = "take one of them out, or say for which part it holds"
                    spot = entry.spot._replace(key="depends_on")
                    texts.fault(spot, f"a circle: {told} cannot all be copied from each other", remedy)
                break
            way.append(step.source)
            some = found.get((text, step.source), ())
            step = next((one for one in some if one.span[0] < span[1] and span[0] < one.span[1]), None)
            span = (max(span[0], step.span[0]), min(span[1], step.span[1])) if step else span
