"""Say what stands beside a lost text: each proposed reading, decision and conjecture, with its evidence.

Arrives: an audit. Leaves: entries by text, in the order of the copy, for the page. Start reading at
``entries_of``. The figures are those of ``readings.csv`` and ``conjectures.csv``.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from markupsafe import Markup

from fidelity.apparatus.addresses import PROPOSAL, address
from fidelity.apparatus.cells import NO_CHANCE
from fidelity.apparatus.entries_place import evidence_in_short
from fidelity.apparatus.sentences import believed, range_in_words, tested
from fidelity.apparatus.tables import shown, shown_in
from fidelity.judge import Audit
from fidelity.letters import decode, whole_words
from fidelity.terms import CORRUPT, DECIDED, POSSIBLE, PROPOSED, SUSPECT, ProposedReading, StepEvidence
from fidelity.terms.conjecture import Conjecture, Rival

CONJECTURE = "conjecture"  # begins the address of a conjecture; also how its word is marked
EDITOR = "decided"  # how a word is marked of which the editor has decided
NONE_SETTLED = "none settled"
LEAST = 0.001  # probabilities below it say no more to a reader
# What is known beside the copy, as entry_pairs.py and number_pairs.py, and testimony.py, say it.
_PARTNER = re.compile(r"(with it .*?) \(parallels\.csv\)")
_WITNESSED = re.compile(r".*\breads? ")
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
        within: the words it stands in, its own letters marked, where it is for a part of them only.
        partner: what goes with it, as "with feower → syx"; "" if nothing does.
        witnesses: who has it, as "K reads wæs"; "" if none does.
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
    within: Markup = field(default_factory=Markup)
    partner: str = ""
    witnesses: str = ""


def entries_of(audit: Audit) -> dict[str, list[Entry]]:
    """Give all entries, by the id of the lost text, in the order of the copy."""
    used: Counter[str] = Counter()
    copies = {one.id: one.copy for one in audit.dossier.lost}
    entries: dict[str, list[Entry]] = {}
    known = (one for one in (*audit.readings, *audit.decided) if one.text in copies)
    for reading in sorted(known, key=lambda one: one.copy_span):
        letters = copies[reading.text].letters
        entries.setdefault(reading.text, []).append(_entry(reading, letters, used))
    for unit in audit.conjectures:
        for rival in unit.rivals:
            for one in rival.conjectures:
                letters = decode(copies[one.text].letters[slice(*one.span)])
                entries.setdefault(one.text, []).append(_conjecture(one, rival, letters, used))
    for found in entries.values():
        found.sort(key=lambda one: (one.span, not one.is_reading))
    return entries


def _own(cited: str, what: str, used: Counter[str]) -> str:
    """Give an address that no other entry has: the second of a place is numbered."""
    name = address(cited, what)
    used[name] += 1
    return name if used[name] == 1 else f"{name}-{used[name]}"


def _entry(reading: ProposedReading, letters: str, used: Counter[str]) -> Entry:
    """Say what is proposed in one place, or decided there."""
    decided = reading.kind == DECIDED
    known = (*reading.beside, reading.note)
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
        within=_within(reading, letters) if reading.context != reading.transmitted else Markup(""),
        partner="; ".join(found[1] for found in map(_PARTNER.search, known) if found),
        witnesses="; ".join(told for told in reading.beside if _WITNESSED.match(told)),
    )


def _within(reading: ProposedReading, letters: str) -> Markup:
    """Give the words of the copy that a proposal is for a part of, that part marked."""
    start, end = reading.copy_span
    first, last = whole_words(letters, start, end)
    parts = (decode(letters[slice(*span)]) for span in ((first, start), (start, end), (end, last)))
    before, own, after = parts
    return Markup('{}<span class="spot">{}</span>{}').format(before, own, after)


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
        else f"{one.step} {NO_CHANCE}"
    )
    return Ground(seen, one.parallels, one.counterexamples)


def _conjecture(one: Conjecture, rival: Rival, transmitted: str, used: Counter[str]) -> Entry:
    """Say what became of a conjecture of the dossier."""
    reading = rival.reading
    low, high = reading.probability_low, reading.probability_high
    figure = f"< {LEAST:g}" if reading.probability < LEAST else shown(reading.probability)
    likely = f"{figure} ({range_in_words(low, high)} to be expected of one more text)"
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
