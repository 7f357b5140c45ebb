"""Turn what the copies have from other witnesses into rows and sentences.

Arrives: what was found of each text and witness. Leaves: the rows of ``imported.csv`` and
``imported_places.csv``, what summary and page say of them. Start reading at ``imported_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from fidelity.apparatus.cells import Row, significant, where_the_rest_is, with_gaps
from fidelity.judge import Audit
from fidelity.terms.imported import Imported, PeculiarLocus, Sharing, Verdict, together
from fidelity.variants.citations import in_short

IMPORTED_COLUMNS = (
    *("text", "witness", "verdict", "from", "to", "earliest_from", "latest_to", "latest_from", "earliest_to"),
    *("shared", "not_shared", "shared_outside", "not_shared_outside", "weight"),
    *("p_value", "p_if_common_ancestor", "p_shared_throughout", "fisher_p"),
    *(
        "evidence",
        "against",
        "set_aside",
        "own_habits",
        "peculiar",
        "proved",
        "share_of_copy",
        "is_lost",
        "note",
    ),
)
IMPORTED_PLACE_COLUMNS = (
    *("text", "locus", "copy", "witness", "witness_reading", "third", "third_reading", "proved", "shared"),
    *("coincidence", "weight", "class", "measured", "direction", "in_stretch", "set_aside"),
    *("witness_words", "third_words", "witness_locus", "copy_start", "copy_end"),
)
_IN_WORDS = ("witness_words", "third_words")
OF_THIRD = "rather altered in the third"
MOST_SHOWN = 50  # places on the page; imported_places.csv has all
CAUTION = (
    "That a stretch was taken from another witness is shown by that witness's own errors in it, each weighed"
    " by how likely this copyist is to have come upon it himself. It holds only if the third witness is"
    " independent of both; of twenty witnesses from which nothing was taken up to one will seem to have"
    " been used. What the copyist does everywhere goes on in such a stretch and says nothing of his source."
    " No sign of one is not proof that there is none."
)


def imported_rows(found: Sequence[Imported]) -> list[Row]:
    """Give one row for each text and witness; weights in nats, probabilities and shares 0-1."""
    return [_row(one) for one in found]


def _row(one: Imported) -> Row:
    inside, outside = _parted(one)
    shared = [place for place in inside if place.sharing is Sharing.SHARED]
    against = [place for place in inside if place.sharing is not Sharing.SHARED]
    aside = Counter(place.set_aside for place in one.places if place.set_aside)
    aside[OF_THIRD] += sum(place.counts and not place.own for place in one.places)
    return {
        "text": one.text,
        "witness": one.siglum,
        "verdict": str(one.verdict),
        **_limits(one),
        "shared": len(shared),
        "not_shared": len(against),
        "shared_outside": sum(place.sharing is Sharing.SHARED for place in outside),
        "not_shared_outside": sum(place.sharing is not Sharing.SHARED for place in outside),
        "weight": significant(together(place.coincidence for place in shared)),
        "p_value": _figure(one.p_value),
        "p_if_common_ancestor": _figure(one.p_if_common_ancestor),
        "p_shared_throughout": _figure(one.p_throughout),
        "fisher_p": _figure(one.fisher_p) if one.verdict is Verdict.IMPORTED else None,
        "evidence": tuple(map(told, shared)),
        "against": tuple(map(told, against)),
        "set_aside": tuple(f"{why}: {count}" for why, count in sorted(aside.items()) if count),
        "own_habits": one.own_habits if one.verdict is Verdict.IMPORTED else (),
        "peculiar": len(one.places),
        "proved": sum(place.proved for place in one.places),
        "share_of_copy": significant(one.extant),
        "is_lost": one.lost,
        "note": one.note,
    }


def _parted(one: Imported) -> tuple[list[PeculiarLocus], list[PeculiarLocus]]:
    """Give the witness's own readings inside the stretch and outside; all outside where none was imported."""
    counted = one.counted
    if one.verdict is not Verdict.IMPORTED or one.stretch is None:
        return [], [place for place in counted if place.own]
    first, after = one.stretch.first, one.stretch.last + 1
    outside = [*counted[:first], *counted[after:]]
    return [place for place in counted[first:after] if place.own], [one for one in outside if one.own]


def _limits(one: Imported) -> Row:
    """Give where an imported stretch begins and ends, and between which places either may lie."""
    names = ("from", "to", "earliest_from", "latest_to", "latest_from", "earliest_to")
    if one.verdict is not Verdict.IMPORTED or one.stretch is None:
        return dict.fromkeys(names, "")
    counted, stretch = one.counted, one.stretch
    places = (
        str(counted[stretch.first].locus),
        str(counted[stretch.last].last_locus),
        str(stretch.widest[0]),
        str(stretch.widest[1]),
        str(counted[stretch.latest_first].locus),
        str(counted[stretch.earliest_last].last_locus),
    )
    return dict(zip(names, places, strict=True))


def _figure(value: float | None) -> float | None:
    return None if value is None else significant(value)


def told(place: PeculiarLocus) -> str:
    """Give a place in short: where, the witness's words, and what the third has.

    A weight follows, -log of the probability of a coincidence.
    """
    words, third = (in_short(with_gaps(text)) or "-" for text in (place.words, place.third_words))
    weight = together([place.coincidence])
    return f"{place.locus} {words} ({place.third_siglum} {third}; {place.kind}, weight {weight:.1f})"


def imported_place_rows(found: Sequence[Imported]) -> list[Row]:
    """Give one row for each place where a witness has a reading of its own, in the order of the copy."""
    return [row for one in found for row in _place_rows(one)]


def _place_rows(one: Imported) -> Iterator[Row]:
    inside = {id(place) for place in _parted(one)[0]}
    for place in one.places:
        known = place.proved
        yield {
            "text": one.text,
            "locus": str(place.locus),
            "copy": place.copy,
            "witness": one.siglum,
            "witness_reading": place.reading,
            "third": place.third_siglum,
            "third_reading": place.third,
            "proved": "yes" if known else "direction unknown",
            "shared": str(place.sharing),
            "coincidence": significant(place.coincidence) if known else None,
            "weight": significant(together([place.coincidence])) if known else None,
            "class": place.kind,
            "measured": place.measured if known else None,
            "direction": _direction(place) if known else "",
            "in_stretch": id(place) in inside,
            "set_aside": place.set_aside or (OF_THIRD if known and not place.own else ""),
            "witness_words": place.words,
            "third_words": place.third_words,
            "witness_locus": str(place.witness_locus),
            "copy_start": place.copy_span[0],
            "copy_end": place.copy_span[1],
        }


IMPORTED_TABLES: Mapping[str, tuple[tuple[str, ...], Callable[[Audit], list[Row]]]] = {
    "imported": (IMPORTED_COLUMNS, lambda audit: imported_rows(audit.imported)),
    "imported_places": (IMPORTED_PLACE_COLUMNS, lambda audit: imported_place_rows(audit.imported)),
}


def _direction(place: PeculiarLocus) -> str:
    """Say which of two readings was altered, as far as the words tell."""
    if place.direction == float("inf"):
        return "the third is the original"
    if place.direction > 1:
        return f"{place.direction:.3g} times likelier the witness altered it"
    if place.direction < 1:
        return f"{1 / place.direction:.3g} times likelier the third altered it"
    return "the words do not tell"


def imported_summary(audit: Audit) -> dict[str, object]:
    """Give what the summary says of stretches taken from elsewhere; nothing where no witness is named."""
    if not audit.imported:
        return {}
    return {"imported": {"by_text_and_witness": imported_rows(audit.imported), "caution": CAUTION}}


def imported_content(audit: Audit) -> dict[str, object] | None:
    """Give what the page shows of stretches taken from elsewhere; None where no witness is named."""
    if not audit.imported:
        return None
    rows = imported_place_rows(audit.imported)
    return {
        "sentences": [sentence(one) for one in audit.imported],
        "caution": CAUTION,
        "rows": imported_rows(audit.imported),
        "places": [
            row | {name: with_gaps(str(row[name])) for name in ("witness_words", "third_words")}
            for row in rows[:MOST_SHOWN]
        ],
        "places_note": where_the_rest_is(len(rows), MOST_SHOWN, "imported_places.csv"),
    }


def sentence(one: Imported) -> str:
    """Say in plain words what was found of one text and one witness."""
    what = f"{one.text} and {one.siglum}"
    inside, outside = _parted(one)
    if one.verdict is Verdict.IMPORTED:
        limits = _limits(one)
        shared = sum(place.sharing is Sharing.SHARED for place in inside)
        return (
            f"{what}: {limits['from']} to {limits['to']} seem to be taken from {one.siglum}, not from the"
            f" presumed original: {shared} of its own readings are shared there (weight"
            f" {together(place.coincidence for place in inside if place.sharing is Sharing.SHARED):.1f}),"
            f" {len(inside) - shared} are not; elsewhere"
            f" {sum(place.sharing is Sharing.SHARED for place in outside)} of {len(outside)}. It begins"
            f" between {limits['earliest_from']} and {limits['latest_from']} and ends between"
            f" {limits['earliest_to']} and {limits['latest_to']}. By coincidence so good a stretch is seen"
            f" with p = {one.p_value:.2g}; if readings may be shared anywhere, by a common ancestor, with p ="
            f" {one.p_if_common_ancestor:.2g}."
        )
    shared = sum(place.sharing is Sharing.SHARED for place in outside)
    counted = f"{shared} of {len(outside)} readings of its own that count are shared"
    note = f" ({one.note})" if one.note else ""
    return f"{what}: {one.verdict}{note}. {counted[0].upper()}{counted[1:]}."
