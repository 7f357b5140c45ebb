"""Gather the pictures of an audit, or of a blind test: those of which there is enough to draw.

Arrives: an audit. Leaves: its pictures, in the order of the page. Start reading at ``pictures_of``.
"""

from __future__ import annotations

from collections.abc import Iterable

from fidelity.apparatus.pictures.confusions import confusions_picture
from fidelity.apparatus.pictures.drift import drift_picture
from fidelity.apparatus.pictures.forecast import check_picture, forecast_picture
from fidelity.apparatus.pictures.imported import imported_picture
from fidelity.apparatus.pictures.picture import FOLDER, Picture
from fidelity.apparatus.pictures.reliability import reliability_pictures
from fidelity.apparatus.pictures.scores import scores_picture
from fidelity.judge import Audit
from fidelity.terms import Trial


def pictures_of(audit: Audit) -> tuple[Picture, ...]:
    """Give the pictures of an audit; what has too little to show is not among them."""
    confidence = audit.dossier.settings.confidence
    made = (
        scores_picture(audit.scores, confidence),
        confusions_picture(audit.confusions),
        drift_picture(audit.course, confidence),
        *(pictures_of_trial(audit.trial) if audit.trial else ()),
        forecast_picture(audit.outlook.forecasts),
        check_picture(audit.outlook.checks),
        imported_picture(audit.imported),
    )
    return tuple(one for one in made if one is not None)


def pictures_of_trial(trial: Trial) -> tuple[Picture, ...]:
    """Give the pictures of a blind test."""
    return tuple(reliability_pictures(trial))


def files_of(pictures: Iterable[Picture]) -> dict[str, bytes]:
    """Give the files of pictures, each under its path in the folder of the results."""
    return {f"{FOLDER}/{name}": content for picture in pictures for name, content in picture.files().items()}
