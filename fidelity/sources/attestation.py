"""What the tradition says, place by place: readings, lines of descent, strength.

Arrives: a ``Tradition``. Leaves: ``AttestedReading``s, for every place at which witnesses differ. Start
reading at ``attested``, then ``weighed_readings``.

It shows what the tradition says; it does not announce the truth. The ratio of two readings is that of the
probability of all that the independent lines have, if the one or the other stood at the head. Identity of
reading implies identity of origin or coincidence (Westcott & Hort, *Introduction*, § 58): lines that agree
in a reading weigh together by how improbable it is that each would have come upon it alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

from fidelity.letters import decode
from fidelity.sources.descent import Voice, likelihood, lines_of, set_aside
from fidelity.sources.rates import EXCHANGED, JUST_THIS, WitnessRate
from fidelity.sources.tradition import Tradition, settled, whole_readings
from fidelity.terms.attestation import AttestedReading, SuspectedCopy

MOST_RATIO = 1e12  # beyond, no assumption made here would bear a figure
_ROMAN = {"i": 1, "v": 5, "x": 10}
_CENTURY = re.compile(r"\b(?:s\.|saec\.|sæc\.)\s*([ivx]+)(?:[\s./^]*(in|1|med|2|ex))?\b", re.IGNORECASE)
_ORDINAL = re.compile(r"\b(\d{1,2})(?:st|nd|rd|th)\s+c(?:ent|\b)", re.IGNORECASE)
_PART = {"in": 10, "1": 25, "med": 50, "2": 75, "ex": 90, "": 50}  # years into a century (chosen)


def attested(tradition: Tradition, suspects: Sequence[SuspectedCopy] = ()) -> Iterator[AttestedReading]:
    """Give the readings of every place at which more than one is attested.

    Args:
        tradition: the witnesses of the text.
        suspects: witnesses that may be copies; they have their votes, and the assumptions say so.
    """
    collation = tradition.collation
    for locus in collation.loci:
        testimonies = tradition.testimonies(locus)
        readings = whole_readings(testimonies)
        if len(readings) < 2:
            continue
        printed = {one: decode(tradition.printed(locus, one)) for one in readings}
        yield from weighed_readings(
            testimonies,
            readings,
            tradition.rates,
            tradition.dates,
            (collation.text, str(locus.locus)),
            printed,
            suspects,
        )


def weighed_readings(
    testimonies: Sequence[Voice],
    readings: Sequence[str],
    rates: Mapping[str, WitnessRate],
    dates: Mapping[str, str],
    place: tuple[str, str],
    printed: Mapping[str, str],
    suspects: Sequence[SuspectedCopy] = (),
) -> Iterator[AttestedReading]:
    """Weigh the readings of one place against each other.

    Args:
        testimonies: of all witnesses.
        readings: that are attested, compared as ``plain_reading`` gives them; at least one.
        rates: how each witness renders its source, by siglum.
        dates: as printed, by siglum.
        place: text and locus, as printed.
        printed: each reading as printed.
        suspects: witnesses that may be copies.
    """
    without = set_aside(testimonies)
    has = dict(settled(testimonies, readings))
    lines = lines_of(testimonies)
    weights = likelihood(testimonies, readings, rates)
    told = assumptions(testimonies, rates, suspects)
    for reading in sorted(readings, key=lambda one: (-weights[one], list(readings).index(one))):
        others = [one for one in readings if one != reading]
        best = max(others, key=lambda one: weights[one], default=None)
        sigla = [siglum for siglum, one in has.items() if one == reading]
        with_vote = [siglum for siglum in sigla if siglum not in without]
        named = [line.root for line in lines if {has.get(one) for one in line.speakers} == {reading}]
        difference = weights[reading] - weights[best] if best is not None else math.inf
        yield AttestedReading(
            text=place[0],
            locus=place[1],
            reading=printed[reading],
            witnesses=tuple(sigla),
            lines=tuple(named),
            set_aside=tuple((siglum, without[siglum]) for siglum in sigla if siglum in without),
            earliest=earliest([dates.get(siglum, "") for siglum in with_vote]),
            likelihood_ratio=math.exp(min(difference, math.log(MOST_RATIO)))
            if best is not None
            else math.inf,
            against=printed[best] if best is not None else "",
            assumptions=told,
        )


def assumptions(
    testimonies: Sequence[Voice], rates: Mapping[str, WitnessRate], suspects: Sequence[SuspectedCopy] = ()
) -> str:
    """Say what the ratios of one place rest on."""
    without = set_aside(testimonies)
    speaking = [one.siglum for one in testimonies if one.reading is not None and one.siglum not in without]
    by_basis: dict[str, list[str]] = {}
    for siglum in speaking:
        rate = rates[siglum]
        how = rate.basis if rate.channel else f"{rate.slip:.3g} wrong letters per 1,000 ({rate.basis})"
        by_basis.setdefault(how, []).append(siglum)
    told = [f"{', '.join(sigla)}: {how}" for how, sigla in by_basis.items()]
    told += _accidents({siglum: rates[siglum] for siglum in speaking})
    for one in suspects:
        if one.siglum in speaking and one.source in speaking:
            told.append(f"{suspicion(one)}: counted as independent")
    divided = [line.root for line in lines_of(testimonies) if line.reading is None]
    told += [f"the copies of {root} differ: together one vote" for root in divided]
    return "; ".join(told)


def _accidents(rates: Mapping[str, WitnessRate]) -> Iterator[str]:
    """Say what is assumed of words exchanged or left out."""
    alike: dict[tuple[str, str], list[str]] = {}
    for siglum, rate in rates.items():
        how = "assumed" if rate.exchanged == EXCHANGED else "as on the survivors"
        alike.setdefault((f"{1000 * rate.exchanged:.2g}", how), []).append(siglum)
    for (per_1000, how), sigla in alike.items():
        of = f" by {', '.join(sigla)}" if len(alike) > 1 else ""
        yield f"{per_1000} words per 1,000 exchanged or left out{of} ({how})"
    if any(rate.share for rate in rates.values()):
        yield "a word exchanged gives way to any word as often as the witnesses have it"
    else:
        yield f"one in {1 / JUST_THIS:.0f} words exchanged gives way to just this word (assumed)"


def suspicion(one: SuspectedCopy) -> str:
    """Say why a witness may be a copy of another."""
    if one.basis:
        return f"{one.siglum} may be a copy of {one.source} ({one.basis})"
    peculiar = f"{one.shared} peculiar readings of {one.source}"
    if not one.more:
        return f"{one.siglum} may be a copy of {one.source}, or the other way round (it has all {peculiar})"
    return f"{one.siglum} may be a copy of {one.source} (it has all {peculiar}, and {one.more} of its own)"


def year_of(date: str) -> float | None:
    """Give about which year a date names; None where it names none.

    >>> year_of("1744-52"), year_of("s. xi ex."), year_of("12th century"), year_of("undated")
    (1744.0, 1090.0, 1150.0, None)
    """
    if year := re.search(r"\b\d{3,4}\b", date):
        return float(year[0])
    if century := _CENTURY.search(date):
        values = [_ROMAN[letter] for letter in century[1].lower()]
        signed = zip(values, [*values[1:], 0], strict=True)
        number = sum(-one if one < following else one for one, following in signed)
        return 100.0 * (number - 1) + _PART[(century[2] or "").lower()]
    if ordinal := _ORDINAL.search(date):
        return 100.0 * (int(ordinal[1]) - 1) + _PART[""]
    return None


def earliest(dates: Sequence[str]) -> str:
    """Give the earliest of some dates, as printed; "" if none can be understood."""
    known = [(year, date) for date in dates if (year := year_of(date)) is not None]
    return min(known, key=lambda one: one[0])[1] if known else ""
