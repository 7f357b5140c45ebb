"""Sum up a run: what went in, what came out, how far to believe it, what to bear in mind.

Arrives: an audit. Leaves: the content of ``summary.json``. Start reading at ``summary``. There is
no date in it and no path outside the dossier, so that the same run gives the same bytes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from importlib.metadata import version
from itertools import pairwise

from fidelity.apparatus.cautions import cautions
from fidelity.apparatus.cells import ALL, Row, significant
from fidelity.apparatus.entries import confusion_rows, score_rows
from fidelity.apparatus.entries_attestation import attestation_summary
from fidelity.apparatus.entries_copies import copies_summary
from fidelity.apparatus.entries_hands import hands_summary
from fidelity.apparatus.entries_imported import imported_summary
from fidelity.apparatus.entries_marks import marks_summary
from fidelity.apparatus.entries_outlook import coverage, drift_rows, forecast_rows
from fidelity.apparatus.entries_parallels import counted
from fidelity.apparatus.entries_place import conjecture_rows
from fidelity.apparatus.entries_rules import shift_rows
from fidelity.apparatus.entries_texts import checked_rows, set_aside, text_rows
from fidelity.apparatus.entries_trial import (
    band_rows,
    brier_rows,
    level_rows,
    method_rows,
    mistake_rows,
    precision_rows,
    reliability_rows,
    survivor_rows,
    unseen_rows,
)
from fidelity.apparatus.sentences import HALF, three_sentences
from fidelity.dossier import Dossier
from fidelity.judge import Audit
from fidelity.settings import Settings
from fidelity.terms import ProposedReading, Trial

PROGRAM = "fidelity"
BANDS = (0.0, 0.2, 0.5, 0.8, 0.9, 1.0)  # where there is no blind test that has bands of its own


def colophon(settings: Settings) -> dict[str, object]:
    """Say by which program, version and settings an output was made."""
    return {"program": PROGRAM, "version": version(PROGRAM), "settings": settings.colophon()}


def summary(audit: Audit) -> dict[str, object]:
    """Give the summary of a run, as ``summary.json`` has it.

    Rates are per 1,000 chances, probabilities 0-1; "low" and "high" are the limits of their
    intervals, by the method and confidence named.
    """
    dossier = audit.dossier
    return {
        "colophon": colophon(dossier.settings),
        "inputs": inputs_of(dossier),
        "copyist": {"name": dossier.copyist_name, "dates": dossier.copyist_dates},
        "in_short": three_sentences(audit),
        "texts": text_rows(dossier),
        "set_aside": set_aside(dossier),
        "transcripts_checked": checked_rows(audit.proofread),
        "differences": dict(sorted(Counter(str(one.phenomenon) for one in audit.variants).items())),
        "causes": dict(sorted(Counter(str(one.cause) for one in audit.variants).items())),
        "mended_by_himself": len(audit.mended),
        "headline": score_rows([one for one in audit.scores if one.text == ALL]),
        "systematic_confusions": [
            _without_loci(row) for row in confusion_rows(audit.confusions) if row["systematic"]
        ],
        "drift": drift_rows(audit.course.drifts),
        "forecast": {
            "by_text": forecast_rows(audit.outlook.forecasts, audit.trial),
            "survivors_predicted": coverage(audit.outlook.checks),
        },
        "hands": hands_summary(audit.hands),
        "trial": trial_summary(audit.trial),
        "readings": _readings(audit),
        **({"conjectures": conjecture_rows(audit)} if audit.conjectures else {}),
        "parallels": counted(audit.parallels),
        "shifts_found": [row for row in shift_rows(audit.shifts) if row["found"]],
        **copies_summary(audit),
        **marks_summary(audit),
        **imported_summary(audit),
        **attestation_summary(audit),
        "skipped": list(audit.skipped),
        "notes": [*dossier.notes, *(note for note in audit.notes if note not in dossier.notes)],
        "cautions": cautions(audit),
    }


def _without_loci(row: Row) -> Row:
    return {column: cell for column, cell in row.items() if column != "loci"}


def inputs_of(dossier: Dossier) -> list[dict[str, str]]:
    """Give the files that were read, each with its digest."""
    return [{"file": file, "sha256": digest} for file, digest in sorted(dossier.inputs)]


def trial_summary(trial: Trial | None) -> dict[str, object] | None:
    """Give the result of the blind test in numbers; None where there was none."""
    if trial is None:
        return None
    return {
        "left_out": trial.left_out,
        "rounds": trial.rounds,
        "proposals": len(trial.readings),
        "precision_and_recall": precision_rows(trial),
        "brier_score": None if trial.brier is None else significant(trial.brier),
        "reliability": band_rows(trial),
        "by_kind": {
            "precision_and_recall": level_rows(trial)[len(trial.precisions) :],
            "reliability": reliability_rows(trial)[len(trial.bands) :],
            "brier_score": brier_rows(trial),
            "unseen": unseen_rows(trial),
        },
        "at_half_by_survivor": survivor_rows(trial),
        "methods": method_rows(trial),
        "worst_mistakes": mistake_rows(trial),
        "wrong_letters": trial.wrong_letters,
        "wrong_letters_after_proposals": trial.wrong_letters_left,
    }


def _readings(audit: Audit) -> dict[str, object]:
    """Count the proposed readings of each lost text, by probability and by kind."""
    trial = audit.trial
    edges = [(band.low, band.high) for band in trial.bands] if trial and trial.bands else []
    bands = edges or list(pairwise(BANDS))
    by_text: dict[str, list[ProposedReading]] = {lost.id: [] for lost in audit.dossier.lost}
    for reading in audit.readings:
        by_text.setdefault(reading.text, []).append(reading)
    texts = {name: _counted(readings, bands) for name, readings in by_text.items()}
    return {"all": _counted(audit.readings, bands), "by_text": texts}


def _counted(
    readings: Sequence[ProposedReading], bands: Sequence[tuple[float, float]]
) -> Mapping[str, object]:
    """Count readings by band of probability, kind, ground and verdict; decided ones by themselves."""
    decided = [one for one in readings if one.is_decided]
    readings = [one for one in readings if not one.is_decided]
    last = bands[-1][1]
    proposed = [one for one in readings if one.is_proposal]
    likely = [one.probability for one in proposed if one.probability >= HALF]
    counts = [
        sum(low <= one.probability < high or one.probability == high == last for one in proposed)
        for low, high in bands
    ]
    return {
        "readings": len(proposed),
        "suspect_places": len(readings) - len(proposed),
        "at_least_half": len(likely),
        "expected_right_of_these": significant(sum(likely)),
        "by_probability": [
            {"from": significant(low), "to": significant(high), "readings": count}
            for (low, high), count in zip(bands, counts, strict=True)
        ],
        **{
            f"by_{name}": dict(sorted(Counter(getattr(one, name) for one in readings).items()))
            for name in ("kind", "ground", "verdict")
        },
        **({"decided": dict(sorted(Counter(one.decision for one in decided).items()))} if decided else {}),
    }
