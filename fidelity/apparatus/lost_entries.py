"""Say what stands beside a lost text: each proposed reading, decision and conjecture, with its evidence.

Arrives: an audit. Leaves: entries by text, in the order of the copy, for the page. Start reading at
``entries_of``. The figures are those of ``readings.csv`` and ``conjectures.csv``.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from fidelity.apparatus.addresses import PROPOSAL, address
from fidelity.apparatus.cells import NO_CHANCE
from fidelity.apparatus.entries_place import evidence_in_short
from fidelity.apparatus.sentences import believed, range_in_words, tested
from fidelity.apparatus.tables import shown, shown_in
from fidelity.judge import Audit
from fidelity.letters import decode
from fidelity.terms import CORRUPT, DECIDED, POSSIBLE, PROPOSED, SUSPECT, ProposedReading, StepEvidence
from fidelity.terms.conjecture import Conjecture, Rival

CONJECTURE = "conjecture"  # begins the address of a conjecture; also how its word is marked
EDITOR = "decided"  # how a word is marked of which the editor has decided
NONE_SETTLED = "none settled"
_VERDICTS = {
    PROPOSED: "proposed reading",
    POSSIBLE: "possible reading, less probable than not",
    SUSPECT: "suspect: probably corrupt, no reading settled",
}


@dataclass(frozen=True)
class Ground:
    """What the survivors show of one assumed operation.

    Attributes:
        told: the operation, how often it was seen, out of how many chances, with limits per 1,000.
        parallels, counterexamples: where he did it, and where he copied the same letters right, as cited.
    """

    told: str
    parallels: tuple[str, ...] = ()
    counterexamples: tuple[str, ...] = ()


@dataclass(frozen=True)
class Entry:
    """One thing said of a place of a lost text.

    Attributes:
        address: its own address on the page.
        span: the letters of the copy it is about.
        form: how the word is marked in the text: "proposed", "possible", "suspect", "decided",
            "conjecture".
        locus: the place, as cited.
        transmitted, proposed: as printed; "none settled" where no reading is.
        verdict: in words.
        probability: as it may be shown: a figure, or a range; "" where none was reckoned.
        level: the probability for choosing among entries, 0-1; 1 where the editor decided.
        tested: how such proposals fared in the blind test.
        kind: what kind of change it would undo, in words.
        ground: the operations, each with its evidence.
        rivals: readings of the place with their probabilities, the transmitted one among them.
        elsewhere: other places of the same rule, as cited.
        notes: what else is to be known of it.
        number: its row in readings.csv; 0 for a conjecture.
        is_reading: whether it stands in readings.csv.
        context: the words it stands in, where it is for a part of them only.
    """

    address: str
    span: tuple[int, int]
    form: str
    locus: str
    transmitted: str
    proposed: str
    verdict: str
    probability: str = ""
    level: float = 1.0
    tested: str = ""
    kind: str = ""
    ground: tuple[Ground, ...] = ()
    rivals: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    number: int = 0
    is_reading: bool = True
    context: str = ""


def entries_of(audit: Audit) -> dict[str, list[Entry]]:
    """Give all entries, by the id of the lost text, in the order of the copy."""
    used: Counter[str] = Counter()
    entries: dict[str, list[Entry]] = {}
    readings = sorted((*audit.readings, *audit.decided), key=lambda one: one.copy_span)
    for reading in readings:
        entries.setdefault(reading.text, []).append(_entry(reading, used))
    for unit in audit.conjectures:
        for rival in unit.rivals:
            for one in rival.conjectures:
                entries.setdefault(one.text, []).append(
                    _conjecture(one, rival, decode(_letters(audit, one)), used)
                )
    for found in entries.values():
        found.sort(key=lambda one: (one.span, not one.is_reading))
    return entries


def _letters(audit: Audit, one: Conjecture) -> str:
    """Give what the copy has in the place of a conjecture."""
    copy = next(text.copy for text in audit.dossier.lost if text.id == one.text)
    return copy.letters[slice(*one.span)]


def _own(cited: str, what: str, used: Counter[str]) -> str:
    """Give an address that no other entry has: the second of a place is numbered."""
    name = address(cited, what)
    used[name] += 1
    return name if used[name] == 1 else f"{name}-{used[name]}"


def _entry(reading: ProposedReading, used: Counter[str]) -> Entry:
    """Say what is proposed in one place, or decided there."""
    decided = reading.kind == DECIDED
    proposed = reading.proposed if reading.is_proposal else NONE_SETTLED
    verdict = _VERDICTS.get(reading.verdict, reading.verdict)
    return Entry(
        address=_own(str(reading.locus), PROPOSAL, used),
        span=reading.copy_span,
        form=EDITOR if reading.is_decided or decided else reading.verdict,
        locus=str(reading.locus),
        transmitted=shown_in("transmitted", reading.transmitted),
        proposed=shown_in("proposed", proposed),
        verdict=f"decided by the editor: {reading.decision}" if reading.decision else verdict,
        probability="" if decided else shown(believed(reading)),
        level=1.0 if decided or reading.is_decided else round(reading.probability, 3),
        tested="" if decided else tested(reading),
        kind="" if decided or reading.kind == CORRUPT else shown_in("kind", reading.kind),
        ground=_grounds(reading),
        rivals=tuple(f"{shown_in('proposed', text)} {round(p, 3):.3g}" for text, p in reading.alternatives),
        elsewhere=reading.same_rule_elsewhere,
        notes=tuple(filter(None, (reading.note, *reading.beside))),
        number=reading.number,
        context=reading.context if reading.context != reading.transmitted else "",
    )


def _grounds(reading: ProposedReading) -> tuple[Ground, ...]:
    """Give the evidence by operation; of a reading without any, what is known of it altogether."""
    if reading.evidence:
        return tuple(map(_ground, reading.evidence))
    if not (reading.steps or reading.parallels or reading.counterexamples):
        return ()
    return (Ground(", ".join(reading.steps), reading.parallels, reading.counterexamples),)


def _ground(one: StepEvidence) -> Ground:
    seen = (
        f"{one.step}: {one.count:,} of {one.chances:,} chances"
        f" ({1000 * one.low:.3g} to {1000 * one.high:.3g} per 1,000)"
        if one.chances
        else f"{one.step}: {NO_CHANCE}"
    )
    return Ground(seen, one.parallels, one.counterexamples)


def _conjecture(one: Conjecture, rival: Rival, transmitted: str, used: Counter[str]) -> Entry:
    """Say what became of a conjecture of the dossier."""
    reading = rival.reading
    low, high = reading.probability_low, reading.probability_high
    likely = f"{shown(reading.probability)} ({range_in_words(low, high)} to be expected of one more text)"
    return Entry(
        address=_own(one.cited if one.cited.startswith(f"{one.text} ") else str(one.locus), CONJECTURE, used),
        span=one.span,
        form=CONJECTURE,
        locus=str(one.locus),
        transmitted=shown_in("transmitted", transmitted),
        proposed=shown_in("proposed", one.reading),
        verdict=f"conjecture{f' of {one.by}' if one.by else ''}: rank {rival.rank} of {rival.of:,}",
        probability=likely,
        level=1.0,
        ground=tuple(Ground(told) for told in evidence_in_short(reading.evidence)),
        notes=tuple(filter(None, (*rival.why, one.note))),
        is_reading=False,
    )
