"""Turn the blind test into rows: every proposal, and how they fared by probability and by kind.

Arrives: a ``Trial``. Leaves: the rows of ``trial.csv`` and of the tables beside it. Start reading at
``TRIAL_TABLES``, which names each with its columns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from fidelity.apparatus.cells import Row, significant
from fidelity.terms import CORRUPT, Band, MethodScore, Precision, Trial, TrialReading, kinds_of


def scope_of(single: bool) -> str:
    """Say whether a proposal is for a whole word (or several), or for one letter."""
    return "letter" if single else "word"


def trial_rows(trial: Trial | None) -> list[Row]:
    """Give the proposals of the blind test beside what the originals have."""
    readings = (*trial.readings, *trial.gaps) if trial else ()
    return [_reading_row(one) | {"right": one.right} | _kind_row(one) for one in readings]


def _reading_row(reading: TrialReading) -> Row:
    """Give what a proposal was, and what the original has."""
    return {
        "survivor": reading.survivor,
        "locus": str(reading.locus),
        "transmitted": reading.transmitted,
        "proposed": reading.proposed,
        "original": reading.original,
        "probability": significant(reading.probability),
    }


def _kind_row(reading: TrialReading) -> Row:
    """Give of what kind a proposal is, whether for a word or a letter, and in which words it stands."""
    return {"kind": reading.kind, "scope": scope_of(reading.single), "context": reading.context}


def _share(part: int, whole: int) -> float | None:
    """Give a share, or nothing where there was no occasion."""
    return significant(part / whole) if whole else None


def _limits(low: float, high: float, occasions: int) -> Row:
    """Give the limits of a share; nothing where there was no occasion."""
    return {
        "low": significant(low) if occasions else None,
        "high": significant(high) if occasions else None,
    }


def _found_again(one: Precision | Band | MethodScore) -> Row:
    """Give how many wrong places there were, and how many were restored in full."""
    return {
        "wrong_places": one.wrong_places,
        "restored": one.restored,
        "recall": _share(one.restored, one.wrong_places),
    }


def precision_rows(trial: Trial) -> list[Row]:
    """Give how proposals from one probability upward fared in the blind test, all kinds together."""
    return [_precision_row(one) for one in trial.precisions]


def level_rows(trial: Trial) -> list[Row]:
    """Give the same for all kinds together, then kind by kind; last, places marked as corrupt."""
    rows = [_precision_row(one) for one in (*trial.precisions, *trial.kind_precisions)]
    marked = trial.suspects
    if marked and marked.places:
        limits = _limits(marked.low, marked.high, marked.places)
        share = _share(marked.corrupt, marked.places)
        counts = {"proposals": marked.places, "right": marked.corrupt, "precision": share, **limits}
        rows.append({name: counts.get(name) for name in rows[0]} | {"kind": CORRUPT, "at_least": 0.5})
    return rows


def _precision_row(one: Precision) -> Row:
    return {
        "kind": one.kind,
        "at_least": significant(one.at_least),
        "proposals": one.proposals,
        "right": one.right,
        "precision": _share(one.right, one.proposals),
        **_limits(one.low, one.high, one.proposals),
        **_found_again(one),
    }


def survivor_rows(trial: Trial | None, at_least: float = 0.5) -> list[Row]:
    """Give how proposals from a probability upward fared on each survivor, kind by kind."""
    fared: dict[tuple[str, str], list[bool]] = {}
    for one in trial.readings if trial else ():
        if one.probability >= at_least:
            fared.setdefault((one.survivor, one.kind), []).append(one.right)
    return [
        {
            "survivor": survivor,
            "kind": kind,
            "proposals": len(right),
            "right": sum(right),
            "precision": _share(sum(right), len(right)),
        }
        for survivor in dict.fromkeys(survivor for survivor, _ in fared)
        for kind in kinds_of(kind for of, kind in fared if of == survivor)
        for right in (fared[survivor, kind],)
    ]


def survivors_shown(trial: Trial, most: int) -> tuple[list[Row], str]:
    """Give the rows of the survivors that are shown, and how many of how many where not all are.

    If they are too many, those with the most wrong proposals come first.
    """
    rows = survivor_rows(trial)
    if len(rows) <= most:
        return rows, ""
    first = sorted(rows, key=lambda row: -_wrong(row))[:most]
    return first, f"most wrong ones first, {most} of {len(rows):,}"


def _wrong(row: Row) -> int:
    """Count the wrong proposals of a row."""
    proposals, right = row["proposals"], row["right"]
    return proposals - right if isinstance(proposals, int) and isinstance(right, int) else 0


def band_rows(trial: Trial) -> list[Row]:
    """Give what was said and what was found in the blind test, band by band, all kinds together."""
    return [_band_row(one) for one in trial.bands]


def reliability_rows(trial: Trial) -> list[Row]:
    """Give the same for all kinds together, then kind by kind."""
    return [_band_row(one) for one in (*trial.bands, *trial.kind_bands)]


def _band_row(band: Band) -> Row:
    return {
        "kind": band.kind,
        "from": significant(band.low),
        "to": significant(band.high),
        "proposals": band.proposals,
        "said": significant(band.said) if band.proposals else None,
        "found": significant(band.found) if band.proposals else None,
        **_limits(band.found_low, band.found_high, band.proposals),
        **_found_again(band),
    }


def brier_rows(trial: Trial) -> list[Row]:
    """Give the Brier score and its parts, all kinds together, then kind by kind."""
    return [
        {
            "kind": one.kind,
            "proposals": one.proposals,
            "right": one.right,
            "brier_score": significant(one.score),
            "reliability": significant(one.reliability),
            "resolution": significant(one.resolution),
            "uncertainty": significant(one.uncertainty),
            "within_variance": significant(one.within_variance),
            "within_covariance": significant(one.within_covariance),
        }
        for one in trial.brier_parts
    ]


def mistake_rows(trial: Trial) -> list[Row]:
    """Give the worst mistakes, each with what the copy had there and why it was believed."""
    return [
        _reading_row(one.reading)
        | _kind_row(one.reading)
        | {
            "outcome": "the copy was right"
            if one.reading.false_alarm
            else "the original has another reading",
            "places": one.places,
            "reasons": one.reasons,
        }
        for one in trial.mistakes
    ]


def unseen_rows(trial: Trial) -> list[Row]:
    """Give how many wrong places went unseen, all kinds together, then kind by kind."""
    return [
        {
            "kind": one.kind,
            "wrong_places": one.wrong_places,
            "unseen": one.unseen,
            "share": _share(one.unseen, one.wrong_places),
            **_limits(one.low, one.high, one.wrong_places),
            "good_words": one.good_words,
        }
        for one in trial.unseen_shares
    ]


def unseen_place_rows(trial: Trial) -> list[Row]:
    """Give every wrong place at which nothing was proposed."""
    return [
        {
            "survivor": one.survivor,
            "locus": str(one.locus),
            "transmitted": one.transmitted,
            "original": one.original,
            "kind": one.kind,
            "good_words": one.good_words,
        }
        for one in trial.unseen
    ]


def method_rows(trial: Trial) -> list[Row]:
    """Give how the simple methods and the whole program fared in the same rounds."""
    return [
        {
            "method": one.method,
            "at_least": None if one.at_least is None else significant(one.at_least),
            "changed": one.changed,
            "right": one.right,
            "precision": _share(one.right, one.changed),
            **_limits(one.low, one.high, one.changed),
            **_found_again(one),
            "wrong_letters_left": one.wrong_letters_left,
        }
        for one in trial.methods
    ]


_FOUND_AGAIN = ("wrong_places", "restored", "recall")
_READING = ("survivor", "locus", "transmitted", "proposed", "original", "probability")

TRIAL_TABLES: Mapping[str, tuple[tuple[str, ...], Callable[[Trial], Sequence[Row]]]] = {
    "trial": ((*_READING, "right", "kind", "scope", "context"), trial_rows),
    "trial_levels": (
        ("kind", "at_least", "proposals", "right", "precision", "low", "high", *_FOUND_AGAIN),
        level_rows,
    ),
    "trial_bands": (
        ("kind", "from", "to", "proposals", "said", "found", "low", "high", *_FOUND_AGAIN),
        reliability_rows,
    ),
    "trial_brier": (
        (
            "kind",
            "proposals",
            "right",
            "brier_score",
            "reliability",
            "resolution",
            "uncertainty",
            "within_variance",
            "within_covariance",
        ),
        brier_rows,
    ),
    "trial_survivors": (("survivor", "kind", "proposals", "right", "precision"), survivor_rows),
    "trial_mistakes": (
        (*_READING, "kind", "scope", "context", "outcome", "places", "reasons"),
        mistake_rows,
    ),
    "trial_unseen": (
        ("kind", "wrong_places", "unseen", "share", "low", "high", "good_words"),
        unseen_rows,
    ),
    "trial_unseen_places": (
        ("survivor", "locus", "transmitted", "original", "kind", "good_words"),
        unseen_place_rows,
    ),
    "trial_methods": (
        (
            "method",
            "at_least",
            "changed",
            "right",
            "precision",
            "low",
            "high",
            *_FOUND_AGAIN,
            "wrong_letters_left",
        ),
        method_rows,
    ),
}
