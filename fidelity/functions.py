"""Functions over a whole dossier, beside those of ``__init__``: patterns, one rule, one place, decisions.

Arrives: a dossier. Leaves: records. They are had from the package itself: ``fidelity.patterns``. Start
reading at ``patterns``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fidelity.given import Progress, silent, taken_dossier, taken_folder

if TYPE_CHECKING:  # as in ``given.py``
    from fidelity.dossier import Dossier
    from fidelity.given import Folder
    from fidelity.judge import Audit
    from fidelity.place import PlaceFound
    from fidelity.sources.attested_table import AttestedTable
    from fidelity.terms import RuleFound
    from fidelity.variants.deciding import Decided


def patterns(dossier: Folder | Dossier, progress: Progress = silent) -> Audit:
    """Find the kinds of error to review, worst first, and tell his habits in full.

    Args:
        dossier: its folder, or the dossier already read.
        progress: told in a few words what is being done.

    Returns:
        An ``Audit`` with ``patterns`` and ``habits``, without readings and blind test.

    Raises:
        DataError: something in the dossier cannot be used.
    """
    from fidelity.judge import judge, told_in_full

    return told_in_full(judge(taken_dossier(dossier), progress))


def imported(dossier: Folder | Dossier, progress: Progress = silent) -> Audit:
    """Look in every copy for a stretch taken from another witness of its text.

    Args:
        dossier: its folder, or the dossier already read.
        progress: told in a few words what is being done.

    Returns:
        An ``Audit`` with ``imported``, without readings and blind test.

    Raises:
        DataError: something in the dossier cannot be used.
    """
    from fidelity.judge import judge
    from fidelity.taken import with_imported

    return with_imported(judge(taken_dossier(dossier), progress), progress)


def rule(
    dossier: Folder | Dossier, original: str, copy: str, where: str = "", progress: Progress = silent
) -> RuleFound:
    """Look at one rule of the copyist's by itself: he wrote these letters for those.

    Args:
        dossier: its folder, or the dossier already read.
        original: the originals' letters.
        copy: what he wrote for them; "" for nothing.
        where: a circumstance it is looked at under, such as "after=e" or "place=last"; "" for everywhere.
        progress: told in a few words what is being done.

    Returns:
        All that the survivors show of it, and the confidence of its interval, 0-1.

    Raises:
        DataError: something in the dossier cannot be used.
        UsageError: no letters of the original are named, or there is no such circumstance.
    """
    from fidelity.judge import judge
    from fidelity.one_rule import rule_seen
    from fidelity.terms import RuleFound

    found = judge(taken_dossier(dossier), progress)
    return RuleFound(rule_seen(found, original, copy, where), found.dossier.settings.confidence)


def hands(dossier: Folder | Dossier, progress: Progress = silent) -> Audit:
    """Say what he did with other hands in the survivors, and where a lost text may have had some.

    Args:
        dossier: its folder, or the dossier already read.
        progress: told in a few words what is being done.

    Returns:
        An ``Audit`` with ``hands``, without readings and blind test.

    Raises:
        DataError: something in the dossier cannot be used.
    """
    from dataclasses import replace

    from fidelity.hands.find import hands_found
    from fidelity.judge import judge

    found = judge(taken_dossier(dossier), progress)
    progress("looking for other hands")
    return replace(found, hands=hands_found(found.dossier, found.alignments, found.mended))


def place(
    dossier: Folder | Dossier, locus: str, reading: str | None = None, progress: Progress = silent
) -> PlaceFound:
    """Give everything known of one place: readings in a lost text, in a survivor what he did there.

    Args:
        dossier: its folder, or the dossier already read.
        locus: the place as scholars cite it: "B 12r:3.4", "B f. 12r, l. 3", a range; the text may be left
            out where one text is lost.
        reading: what the original would have read there, to be judged beside the dossier's conjectures.
        progress: told in a few words what is being done.

    Raises:
        DataError: the dossier cannot be used, or there is no such place.
        UsageError: no place is named, or it is not said of which text.
    """
    from fidelity.place import place as all_known

    return all_known(taken_dossier(dossier), locus, reading, progress)


def attest(
    table: Folder, folds: Sequence[str] = (), rate: float | None = None, progress: Progress = silent
) -> AttestedTable:
    """Weigh readings collected from many sources: lines of descent, dates, likelihood ratios.

    Args:
        table: path of a .csv, .tsv, .xlsx or .ods file with columns siglum, reading and, if wanted,
            depends_on, date, locus, rate; or the folder of a dossier, whose witnesses are set side by side.
        folds: named sets of letterforms counted as equal.
        rate: wrong letters per 1,000 assumed of a source without a rate of its own.
        progress: told in a few words what is being done with a dossier.

    Raises:
        DataError: the table or the dossier cannot be used; every fault has its place.
        UsageError: the rate assumed cannot be meant, or folds or rate are given beside a dossier.
    """
    from fidelity.errors import UsageError
    from fidelity.settings import Settings
    from fidelity.sources.attested_table import attest_table
    from fidelity.sources.rates import LEAST, MOST
    from fidelity.witnesses.folds import load_folds

    if taken_folder(table).is_dir():
        from fidelity.attested import attested_in

        if folds or rate is not None:
            what = "a dossier says itself which letterforms are equal and what is assumed of witnesses"
            raise UsageError(what, remedy="write it there: [fold], and witness_errors_per_1000 in [settings]")
        return attested_in(taken_folder(table), progress)
    assumed = Settings().witness_errors_per_1000 if rate is None else rate
    if not LEAST <= assumed <= MOST:
        what = f"a rate of {assumed:g} wrong letters per 1,000 cannot be meant"
        raise UsageError(what, remedy=f"it goes from {LEAST:g} to {MOST:g}")
    return attest_table(taken_folder(table), load_folds(list(folds)), assumed)


def decide(
    dossier: Folder, locus: str, decision: str, value: str = "", *, progress: Progress = silent, **told: str
) -> Decided:
    """Write down what the editor decides of a place; it is applied at every run.

    Args:
        dossier: its folder.
        locus: text and place, as printed; of several words the first and the last, "X 1.2-1.4".
        decision: "pair", "not_his" or "cause" for a survivor; "adopted", "kept", "open" or "crux" else;
            "withdrawn" takes back what was decided.
        value: the reading adopted, the cause, or the original's words that answer the copy's.
        progress: told what will change, a sentence at a time, before anything is written.
        told: ``reason``, ``who``, and ``transmitted``, the copy's words if others than now answer.

    Raises:
        DataError: text, place or value is unknown, nothing would change, or it cannot be written; nothing is
            changed then.
        UsageError: there is no such decision, or no reason is given.
    """
    from fidelity.variants.deciding import Wanted, decide_place

    return decide_place(taken_folder(dossier), Wanted(locus, decision, value, **told), tell=progress)
