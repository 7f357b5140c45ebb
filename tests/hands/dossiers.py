"""Small dossiers with other hands, made by hand.

Arrives: texts in Leiden signs. Leaves: what was found. Start reading at ``hands_in``.
"""

from __future__ import annotations

from pathlib import Path

from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.hands.find import hands_found
from fidelity.judge import Audit, judge
from fidelity.settings import Settings
from fidelity.terms.hands import Hands
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness


def survivor(original: str, copy: str, text: str = "V", copy_profile: str = "plain") -> Survivor:
    """Make a survivor; the original's signs are Leiden's."""
    return Survivor(
        text,
        read_witness(original, siglum=text, profile="leiden", script="insular", language="ang"),
        read_witness(copy, siglum=text, profile=copy_profile),
    )


def judged(*survivors: Survivor, lost: str = "", lost_profile: str = "plain") -> Audit:
    """Judge survivors, and perhaps a lost text X."""
    copies = (read_witness(lost, siglum="X", profile=lost_profile, language="ang"),) if lost else ()
    folds = load_folds(["insular"])
    texts = tuple(LostText("X", copy) for copy in copies)
    return judge(Dossier(Path(), "", "", folds, survivors, texts, (), (), Settings()))


def hands_in(*survivors: Survivor, lost: str = "", lost_profile: str = "plain") -> Hands:
    """Say what is known of other hands in survivors and a lost text."""
    found = judged(*survivors, lost=lost, lost_profile=lost_profile)
    return hands_found(found.dossier, found.alignments, found.mended)
