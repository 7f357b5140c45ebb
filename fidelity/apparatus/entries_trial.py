"""Turn the blind test into rows: every proposal, and how they fared by probability.

Arrives: a ``Trial``. Leaves: the rows of ``trial.csv``, and those of the two tables that say how
far probabilities are borne out. Start reading at ``trial_rows``.
"""

from __future__ import annotations

from fidelity.apparatus.cells import Row, significant
from fidelity.terms import Trial


def trial_rows(trial: Trial | None) -> list[Row]:
    """Give the proposals of the blind test beside what the originals have."""
    return [
        {
            "survivor": reading.survivor,
            "locus": str(reading.locus),
            "transmitted": reading.transmitted,
            "proposed": reading.proposed,
            "original": reading.original,
            "probability": significant(reading.probability),
            "right": reading.right,
            "kind": "letter" if reading.single else "word",
        }
        for reading in (trial.readings if trial else ())
    ]


def precision_rows(trial: Trial) -> list[Row]:
    """Give how proposals from one probability upward fared in the blind test."""
    return [
        {
            "at_least": significant(one.at_least),
            "proposals": one.proposals,
            "right": one.right,
            "precision": significant(one.right / one.proposals) if one.proposals else None,
            "low": significant(one.low) if one.proposals else None,
            "high": significant(one.high) if one.proposals else None,
            "wrong_places": one.wrong_places,
            "restored": one.restored,
            "recall": significant(one.restored / one.wrong_places) if one.wrong_places else None,
        }
        for one in trial.precisions
    ]


def survivor_rows(trial: Trial, at_least: float = 0.5) -> list[Row]:
    """Give how proposals from a probability upward fared on each survivor, words and letters apart."""
    fared: dict[tuple[str, str], list[bool]] = {}
    for one in trial.readings:
        if one.probability >= at_least:
            fared.setdefault((one.survivor, "letter" if one.single else "word"), []).append(one.right)
    return [
        {
            "survivor": survivor,
            "kind": kind,
            "proposals": len(right),
            "right": sum(right),
            "precision": significant(sum(right) / len(right)),
        }
        for (survivor, kind), right in fared.items()
    ]


def band_rows(trial: Trial) -> list[Row]:
    """Give what was said and what was found in the blind test, band by band."""
    return [
        {
            "from": significant(band.low),
            "to": significant(band.high),
            "proposals": band.proposals,
            "said": significant(band.said) if band.proposals else None,
            "found": significant(band.found) if band.proposals else None,
            "low": significant(band.found_low) if band.proposals else None,
            "high": significant(band.found_high) if band.proposals else None,
        }
        for band in trial.bands
    ]
