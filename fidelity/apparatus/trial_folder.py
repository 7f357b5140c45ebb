"""Write a blind test into a folder: the page, every table and a summary, all or nothing.

Arrives: a blind test, its dossier and the path of a folder. Leaves: the folder, complete, or as it
was before. Start reading at ``write_trial``.
"""

from __future__ import annotations

from pathlib import Path

from fidelity.apparatus.entries_trial import TRIAL_TABLES
from fidelity.apparatus.folder import check_out, write_file, write_pictures, written_whole
from fidelity.apparatus.pictures.of_audit import files_of, pictures_of_trial
from fidelity.apparatus.summary import colophon, inputs_of, trial_summary
from fidelity.apparatus.tables import csv_text, json_text
from fidelity.apparatus.trial_page import trial_page
from fidelity.dossier import Dossier
from fidelity.terms import Trial

TRIAL_PAGE = "trial.html"
TRIAL_SUMMARY = "trial.json"


def check_trial_out(out: Path) -> None:
    """Refuse a folder that holds anything but an earlier blind test.

    Raises:
        DataError: it does; what, and what to do.
    """
    check_out(out, TRIAL_SUMMARY)


def write_trial(trial: Trial, dossier: Dossier, out: Path) -> list[Path]:
    """Write everything a blind test found into a folder, all or nothing.

    Args:
        trial: what was found.
        dossier: what it was found on.
        out: the folder. One that this program wrote before is replaced.

    Returns:
        The files written.

    Raises:
        DataError: the folder holds something else, or cannot be written. Nothing is changed then.
    """
    check_trial_out(out)
    files = {f"{name}.csv": csv_text(columns, rows(trial)) for name, (columns, rows) in TRIAL_TABLES.items()}
    files[TRIAL_PAGE] = trial_page(trial, dossier)
    drawn = files_of(pictures_of_trial(trial))
    names = sorted([*files, *drawn, TRIAL_SUMMARY])
    facts = {
        "colophon": colophon(dossier.settings),
        "inputs": inputs_of(dossier),
        "trial": trial_summary(trial),
        "files": names,
    }
    files[TRIAL_SUMMARY] = json_text(facts)
    with written_whole(out) as folder:
        for name, text in files.items():
            write_file(folder / name, text)
        write_pictures(drawn, folder)
    return [out / name for name in names]
