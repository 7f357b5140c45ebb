"""Turn pairs, totals and lists into the rows of ``parallels.csv``, and into sentences.

Arrives: ``Parallels``. Leaves: rows and sentences. Start reading at ``parallel_rows``; ``what`` says what a
row is: a *rate* or a *coupled change* of the survivors, a *pair*, *proposed pair* or *undecided pair* of a
lost text, a *check* from outside (a total, a numbered list, alphabetical order).
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.cells import Row, significant
from fidelity.terms.parallels import (
    CheckKind,
    CoupledChange,
    CoupledRate,
    LostPair,
    NumeralRate,
    OutsideCheck,
    Parallels,
)

PARALLEL_COLUMNS = (
    *("what", "kind", "text", "locus", "transmitted", "original", "proposed", "probability", "moves_with"),
    *("agrees", "may_be", "count", "chances", "share", "low", "high", "pairs", "evidence", "caution"),
    *("reading", "partner", "partner_start", "partner_end"),
)
COUPLED, RATE, CHECK = "coupled change", "rate", "check"
PAIR, PROPOSED, UNDECIDED = "pair", "proposed pair", "undecided pair"
_OF_RATE = "count: of the pairs with a part misread (chances), those whose partner was changed with it"
_OF_NUMERALS = "count: numerals of the survivors (chances) that came out with another value"


def parallel_rows(found: Parallels) -> list[Row]:
    """Give all rows; shares and limits are 0-1, of the count in the chances."""
    rows = [
        *map(_rate_row, found.rates),
        *([_numeral_row(found.numerals)] if found.numerals else []),
        *map(_coupled_row, found.coupled),
        *map(_pair_row, found.pairs),
        *map(_check_row, found.checks),
    ]
    return [dict.fromkeys(PARALLEL_COLUMNS) | row for row in rows]


def _share(count: int, chances: int, low: float, high: float) -> Row:
    return {
        "count": count,
        "chances": chances,
        "share": significant(count / chances) if chances else None,
        "low": significant(low),
        "high": significant(high),
    }


def _rate_row(one: CoupledRate) -> Row:
    return {
        "what": RATE,
        "kind": str(one.kind),
        **_share(one.coupled, one.changed, one.low, one.high),
        "pairs": one.pairs,
        "caution": _OF_RATE,
    }


def _numeral_row(one: NumeralRate) -> Row:
    return {
        "what": RATE,
        "kind": "numerals misread",
        **_share(one.misread, one.numerals, one.low, one.high),
        "evidence": one.misread_at,
        "caution": _OF_NUMERALS,
    }


def _coupled_row(one: CoupledChange) -> Row:
    return {
        "what": COUPLED,
        "kind": str(one.kind),
        "text": one.text,
        "locus": str(one.locus),
        "transmitted": one.copy,
        "original": one.original,
        "agrees": one.agrees,
        "evidence": (one.evidence,),
    }


def _pair_row(one: LostPair) -> Row:
    what = UNDECIDED if one.undecided else PROPOSED if one.proposed else PAIR
    return {
        "what": what,
        "kind": str(one.kind),
        "text": one.text,
        "locus": str(one.locus),
        "transmitted": one.transmitted,
        "proposed": one.proposed,
        "probability": None if one.probability is None else significant(one.probability),
        "moves_with": one.moves,
        "agrees": one.agrees,
        "may_be": one.may_be,
        "evidence": one.evidence,
        "caution": one.caution,
        "reading": one.reading or None,
        "partner": one.partner,
        "partner_start": one.partner_span[0] if one.partner else None,
        "partner_end": one.partner_span[1] if one.partner else None,
    }


def _check_row(one: OutsideCheck) -> Row:
    return {
        "what": CHECK,
        "kind": str(one.kind),
        "text": one.text,
        "locus": str(one.locus),
        "transmitted": one.stated,
        "agrees": one.holds,
        "may_be": one.mends,
        "evidence": (one.found,),
        "caution": one.caution,
    }


def told_in_short(found: Parallels) -> list[str]:
    """Say in sentences what is known of pairs, totals and lists; nothing where there is nothing."""
    told = [_told_rate(one) for one in found.rates if one.changed]
    if found.numerals:
        told += _told_numerals(found.numerals)
    totals = [one for one in found.checks if one.kind is CheckKind.TOTAL]
    misfits = [one for one in found.checks if one.kind is not CheckKind.TOTAL]
    if totals:
        wrong = [one for one in totals if not one.holds]
        told.append(f"Totals that could be tested: {len(totals):,}; contradicted: {_cited(wrong)}.")
    if misfits:
        told.append(f"Out of sequence in a numbered list, or out of alphabetical order: {_cited(misfits)}.")
    undecided = [one for one in found.pairs if one.undecided]
    if undecided:
        where = ", ".join(f"{one.locus} {one.transmitted}" for one in undecided[:5])
        told.append(f"Suspect and undecided as whole entries: {where}.")
    return told


def _cited(checks: Sequence[OutsideCheck]) -> str:
    """Give how many, and the first places."""
    places = ", ".join(str(one.locus) for one in checks[:5])
    return f"{len(checks):,} ({places})" if checks else "none"


def _told_rate(one: CoupledRate) -> str:
    return (
        f"In {one.coupled:,} of {one.changed:,} {_PLURAL[str(one.kind)]} of the survivors of which a part was"
        f" misread he changed the other with it ({one.low:.0%} to {one.high:.0%})."
    )


_PLURAL = {
    "numeral and word": "pairs of numeral and word",
    "fields of an entry": "entries with parallel fields",
}


def _told_numerals(one: NumeralRate) -> list[str]:
    """Say how numerals were read, and how many of the lost texts' no sense can betray."""
    told = []
    if one.numerals:
        told.append(
            f"Of {one.numerals:,} numerals of the survivors {one.misread:,} came out as another numeral"
            f" ({one.low:.1%} to {one.high:.1%})."
        )
    if one.lost:
        told.append(
            f"Numerals in the lost texts: {one.lost:,}; such as another numeral may have been misread as, by"
            f" minims or by an operation of his: {one.open:,}; of these in no total and no list:"
            f" {one.unchecked:,}; without a number word too: {one.alone:,}. Nothing in the copy shows which"
            " of them are wrong."
        )
    return told


def parallels_caution(found: Parallels) -> str:
    """Say what numerals and pairs do not show; "" where the dossier has neither."""
    if found.numerals is None and not found.pairs:
        return ""
    text = (
        "Numerals that another numeral may be misread from make the same sense as before: where no total and"
        " no list tells, nothing shows them."
    )
    coupled = sum(one.coupled for one in found.rates)
    if not coupled:
        return text
    return (
        f"{text} That numeral and word, or the fields of an entry, agree is no confirmation: this copyist was"
        f" seen to change the one with the other ({_times(coupled)})."
    )


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count:,} times"


def counted(found: Parallels) -> dict[str, object]:
    """Give the figures for summary.json."""
    return {
        "in_short": told_in_short(found),
        "rates": [
            {"kind": str(one.kind), "pairs": one.pairs} | _share(one.coupled, one.changed, one.low, one.high)
            for one in found.rates
        ],
        "numerals": _numerals(found.numerals),
        "pairs": len(found.pairs),
        "pairs_that_disagree": sum(one.agrees is False for one in found.pairs),
        "proposed_pairs": sum(bool(one.proposed) for one in found.pairs),
        "undecided_pairs": sum(one.undecided for one in found.pairs),
        "checks": len(found.checks),
        "checks_contradicted": sum(not one.holds for one in found.checks),
    }


def _numerals(one: NumeralRate | None) -> Row | None:
    if one is None:
        return None
    return {
        **_share(one.misread, one.numerals, one.low, one.high),
        "in_lost_texts": one.lost,
        "open_to_misreading": one.open,
        "in_no_total_or_list": one.unchecked,
        "without_word_too": one.alone,
    }


def at_span(found: Parallels, text: str, span: tuple[int, int]) -> list[str]:
    """Say what is known of the pairs, totals and lists that a place of a lost text belongs to."""
    told = []
    for pair in found.pairs:
        if pair.text == text and pair.span[0] < span[1] and span[0] < pair.span[1]:
            told.append(_told_pair(pair))
    for check in found.checks:
        if check.text == text and check.span[0] < span[1] and span[0] < check.span[1]:
            mends = f" It would hold with {'; or '.join(check.mends)}." if check.mends else ""
            if not check.holds and not check.mends:
                mends = " No single misreading, by minims or by an operation of his, would make it hold."
            state = "holds" if check.holds else "is contradicted"
            told.append(f"The {check.kind} at {check.locus} {state}: {check.stated}; {check.found}.{mends}")
    return told


def _told_pair(one: LostPair) -> str:
    """Tell of one pair in a sentence or two."""
    parts = [f"{one.kind}, {one.transmitted}"]
    if one.proposed:
        said = "" if one.probability is None else f" ({one.probability:.2f})"
        moved = f", and with it {one.moves}" if one.moves else ""
        parts.append(f"proposed {one.proposed}{said}{moved}")
    if one.may_be:
        parts.append(f"may have been misread from {' or '.join(one.may_be)}")
    parts += one.evidence
    if one.caution:
        parts.append(one.caution)
    return "; ".join(parts) + "."


def of_survivors(rows: Sequence[Row]) -> list[Row]:
    """Give the rows about survivors."""
    return [row for row in rows if row["what"] in (RATE, COUPLED)]
