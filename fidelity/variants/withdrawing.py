"""Take back what was decided of a place; the line that said it stays among the earlier ones.

Arrives: a dossier, a place. Leaves: ``decisions.csv`` without the decision, ``decisions_earlier.csv`` with it
and with who took it back, when and why. Start reading at ``withdraw``; what is wanted and what was done
are records that ``deciding.py`` uses too.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from fidelity.dossier import Dossier
from fidelity.dossier.conjectures import place_in, texts_to_cite
from fidelity.dossier.decisions import DECISIONS
from fidelity.dossier.word_places import WordPlace, nearest, words_at
from fidelity.dossier.write_decisions import withdraw_decision
from fidelity.errors import DataError
from fidelity.in_notebook import Shown
from fidelity.terms import Witness
from fidelity.terms.decisions import WITHDRAWN, Decision

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Decided(Shown):
    """A decision that was written down.

    Attributes:
        decision: as it stands in the file now.
        replaced: the lines that stood there for the same place, by column; they are kept apart.
        file: where it was written.
        changes: what it changes, in sentences: an earlier decision that gives way is named with its line.
        withdrawn: whether it was taken back; ``decision`` is the one that was.
    """

    decision: Decision
    replaced: tuple[dict[str, str], ...]
    file: Path
    changes: tuple[str, ...] = ()
    withdrawn: bool = False


@dataclass(frozen=True)
class Wanted:
    """What an editor decides, before its place is looked up.

    Attributes:
        locus: text and place.
        ruling: one of ``Ruling``, by name.
        value: the reading, the cause, or the original's words.
        reason, who: the editor's.
        transmitted: the copy's words, where they are not those that answer the place now; else "".
        when: the date, as ISO 8601 has it; "" for today.
    """

    locus: str
    ruling: str
    value: str = ""
    reason: str = ""
    who: str = ""
    transmitted: str = ""
    when: str = ""


def withdraw(dossier: Dossier, wanted: Wanted, waited: float, tell: Tell) -> Decided:
    """Take back what was decided of a place.

    Args:
        dossier: with its decisions.
        wanted: the place as their file has it, or as scholars cite it; reason and name are kept.
        waited: seconds to wait for another writer.
        tell: told what will change, before anything is written.

    Raises:
        DataError: a value is given, there is no such place, nothing is decided of it, or the file cannot be
            written. Nothing is changed then.
    """
    if wanted.value.strip():
        raise DataError(f"{WITHDRAWN} has no value, but {wanted.value} is given", remedy="leave it out")
    last = _decided(dossier, wanted.locus.strip())
    change = f"this is decided no more: {told_in_short(last)}"
    tell(change)
    witness = texts_to_cite(dossier.survivors, dossier.lost)[last.text]
    when = wanted.when or datetime.date.today().isoformat()
    told = {"reason": wanted.reason.strip(), "who": wanted.who.strip(), "when": when}
    taken = withdraw_decision(dossier.folder, last, told, same_place(last, witness), waited)
    return Decided(last, tuple(taken), dossier.folder / DECISIONS, (change,), withdrawn=True)


def _decided(dossier: Dossier, locus: str) -> Decision:
    """Find the decision on a place; of several the last, which is the one that counts."""
    there = [one for one in dossier.decisions if locus == f"{one.text} {one.locus}"]
    if not there:  # the first look finds a place, too, that a corrected text has no more
        cited = place_in(dossier, locus)
        found = words_at(texts_to_cite(dossier.survivors, dossier.lost)[cited.text], cited.text, str(cited))
        locus = f"{cited.text} {found.locus}" if isinstance(found, WordPlace) else str(cited)
        there = [one for one in dossier.decisions if locus == f"{one.text} {one.locus}"]
    if not there:
        known = [f"{one.text} {one.locus}" for one in dossier.decisions]
        listed = (
            f"{nearest(locus, known)} decided: {', '.join(known)}" if known else "there is no decision yet"
        )
        raise DataError(f"nothing is decided of {locus}", remedy=listed)
    return there[-1]


def same_place(decision: Decision, witness: Witness) -> Callable[[str, str], bool]:
    """Give what tells of a text and a locus, as a line has them, whether they are a decision's place.

    Args:
        decision: its locus as the program prints it.
        witness: the text by which places are cited.
    """

    def same(text: str, locus: str) -> bool:
        if text != decision.text:
            return False
        found = words_at(witness, text, locus)
        return decision.locus == (
            found.locus if isinstance(found, WordPlace) else locus.removeprefix(text + " ").strip()
        )

    return same


def told_in_short(one: Decision) -> str:
    """Tell a decision in short."""
    value = f" {one.value}" if one.value else ""
    return f"{one.text} {one.locus} {one.transmitted}: {one.ruling}{value}"
