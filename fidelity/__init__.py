"""fidelity: judge an antiquarian's copies of lost manuscripts by his copies of those that survive.

The functions here bear the names of the commands. Where a text is wanted, a ``str`` is the text, a
``Path`` a file, and a ``Witness`` itself; where a folder is wanted, a ``str`` is its path, as a
``Path`` is. Records come back (``fidelity.terms``, ``fidelity.audit.Audit``), which a notebook shows
set as tables; ``found.table("confusions")`` gives one as a pandas table.

>>> found = compare("on þære ealdan stræte", "on þæne ealdan stnæte")
>>> [(variant.original, variant.copy) for variant in found.variants]
[('r', 'n'), ('r', 'n')]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from fidelity.functions import attest, decide, hands, imported, patterns, place, rule
from fidelity.given import Progress, silent, taken_dossier, taken_folder, taken_pair
from fidelity.in_notebook import Compositor, name_compositor

if TYPE_CHECKING:  # as in ``given.py``
    from fidelity.dossier import Dossier
    from fidelity.given import Folder, Source
    from fidelity.judge import Audit
    from fidelity.terms import Alignment, Trial

__all__ = [
    "align",
    "apply",
    "attest",
    "audit",
    "check",
    "compare",
    "decide",
    "demo",
    "hands",
    "imported",
    "new",
    "patterns",
    "place",
    "rule",
    "trial",
]


def align(
    original: Source, copy: Source, *, folds: Sequence[str] = (), profile: str = "plain", script: str = ""
) -> Alignment:
    """Find which letters of a copy answer which letters of its original.

    Args:
        original: the manuscript copied from.
        copy: the transcript.
        folds: named sets of letterforms counted as equal.
        profile: which editorial signs the texts use ("plain" or "leiden").
        script: script of the original, a key of the tables of confusions.

    Returns:
        The alignment: its steps cover both texts in their order, and what stands elsewhere in the
        copy is named beside them. ``fidelity.alignment.check.check_alignment`` checks it.

    Raises:
        DataError: a text cannot be read.
        UnrelatedTextsError: the two have nothing in common.

    >>> found = align("cnuca on strangum ecede and smyre", "cnuca on ecede strangum and smyre")
    >>> [found.original.letters[slice(*block.original_span)] for block in found.moved]
    ['ecede']
    """
    from fidelity.alignment.align import align_witnesses

    return align_witnesses(*taken_pair(original, copy, folds, profile, script))


def compare(
    original: Source, copy: Source, *, folds: Sequence[str] = (), profile: str = "plain", script: str = ""
) -> Audit:
    """Judge one copy by its original, without a dossier: score, confusions, patterns.

    Args:
        original, copy, folds, profile, script: as in ``align``.

    Returns:
        An ``Audit`` without readings and blind test.

    Raises:
        DataError: a text cannot be read.
        UnrelatedTextsError: the two have nothing in common.
    """
    from fidelity.dossier import Dossier, Survivor
    from fidelity.judge import judge
    from fidelity.settings import Settings

    first, second, equal = taken_pair(original, copy, folds, profile, script)
    survivor = Survivor("original", first, second)
    return judge(Dossier(Path(), "", "", equal, (survivor,), (), (), (), Settings()))


def check(dossier: Folder, rewrite: Folder | None = None) -> Dossier:
    """Read a dossier with all its texts, or raise with every fault in one report.

    Args:
        dossier: its folder.
        rewrite: a new or empty folder; every text is written back to it, so that it reads the same.

    Raises:
        DataError: anything is wrong in the dossier or its texts, or a text cannot be written back.
    """
    from fidelity.dossier import read_dossier

    found = read_dossier(taken_folder(dossier))
    if rewrite is not None:
        from fidelity.apparatus.rewrite import rewrite_texts

        rewrite_texts(found, taken_folder(rewrite))
    return found


def audit(dossier: Folder | Dossier, progress: Progress = silent, *, out: Folder | None = None) -> Audit:
    """Judge a copyist by his survivors and propose readings for his lost texts.

    Args:
        dossier: its folder, or the dossier already read.
        progress: told in a few words what is being done.
        out: the folder to write all tables and the page into, if any.

    Raises:
        DataError: something in the dossier cannot be used.
    """
    from fidelity.audit import audit as whole

    found = whole(taken_dossier(dossier), progress)
    if out is not None:
        from fidelity.apparatus.folder import write_audit

        write_audit(found, taken_folder(out))
    return found


def trial(
    dossier: Folder | Dossier,
    progress: Progress = silent,
    *,
    out: Folder | None = None,
    without_decisions: bool = False,
) -> Trial:
    """Make the blind test alone: learn from all survivors but one, propose on that one, compare.

    Args:
        dossier: its folder, or the dossier already read.
        progress: told in a few words what is being done.
        out: the folder to write the page and the tables into, if any.
        without_decisions: whether the editor's decisions are left aside, all of them.

    Raises:
        DataError: the dossier cannot be used, or its survivors do not allow a blind test.
    """
    from fidelity.audit import hold_out_survivors, judge, learner_of, rounds_of, trial_of
    from fidelity.dossier.decisions import undecided
    from fidelity.errors import DataError

    if out is not None:
        from fidelity.apparatus.trial_folder import check_trial_out, write_trial

        check_trial_out(taken_folder(out))  # before the long work, not after it
    found = judge(
        undecided(taken_dossier(dossier)) if without_decisions else taken_dossier(dossier), progress
    )
    learner = learner_of(found)
    rounds = rounds_of(found, learner, with_channel=True)
    held = hold_out_survivors(found, learner, progress, rounds.note)
    made = trial_of(found, learner, held, rounds)
    if made is None:
        raise DataError(
            "the survivors do not allow a blind test: nothing is left to learn from when one is left out",
            remedy="add a survivor, or one with at least two lines",
        )
    made = replace(made, decisions=_decisions_in(found, without_decisions))
    if out is not None:
        write_trial(made, found.dossier, taken_folder(out))
    return made


def _decisions_in(found: Audit, without: bool) -> str:
    """Say whether the editor's decisions were in force in a blind test."""
    if without:
        return "The editor's decisions were left aside."
    number = len(found.dossier.decisions)
    told = "decision of the editor was" if number == 1 else "decisions of the editor were"
    return f"{number:,} {told} in force." if number else ""


def apply(out: Folder, at_least: float, to: Folder) -> list[Path]:
    """Write the lost texts with the proposals of at least this probability put in.

    Args:
        out: the folder that an audit wrote.
        at_least: probability, 0-1.
        to: where the edited texts and the list of changes go.

    Raises:
        DataError: the folder is no audit, or a proposal does not fit its text.
        UsageError: the probability is not between 0 and 1.
    """
    from fidelity.apparatus.applied import apply_folder

    return apply_folder(taken_folder(out), at_least, taken_folder(to))


def new(folder: Folder) -> list[Path]:
    """Lay out a dossier to fill in.

    Raises:
        DataError: the folder exists and is not empty.
    """
    from fidelity.dossier.new import write_new_dossier

    return write_new_dossier(taken_folder(folder))


def demo(folder: Folder, progress: Progress = silent) -> list[tuple[Path, Audit]]:
    """Lay out the two invented demo dossiers, audit them, and write the results beside them.

    Args:
        folder: where they go; must not exist or be empty.
        progress: told in a few words what is being done.

    Returns:
        For each dossier the folder of its results, and the audit.

    Raises:
        DataError: the folder exists and is not empty.
    """
    from fidelity.apparatus.demo import lay_out_demo

    return lay_out_demo(taken_folder(folder), progress)


def _compositor() -> Compositor:
    """Fetch what sets the records in a notebook; the records themselves may not know of it."""
    from fidelity.apparatus import notebook

    return notebook


name_compositor(_compositor)


class _Package(ModuleType):
    """Lets a function keep its name where a module of the package has the same (audit, place, trial)."""

    def __setattr__(self, name: str, value: object) -> None:
        if not (isinstance(value, ModuleType) and name in __all__):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
