"""Let the editor's decisions on a lost text stand: as evidence, beside the proposals, and in the text.

Arrives: decisions, the copies of the lost texts, the proposals. Leaves: what became of each decision;
the decided words as tagged letters, to be learned from; the proposals with what was decided of them,
and the decided places for which there is none. Start reading at ``standing``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged, normalise, shared_out
from fidelity.dossier import Dossier, LostText
from fidelity.dossier.whereabouts import whereabouts
from fidelity.dossier.word_places import WordPlace, as_printed, stand_at, words_at
from fidelity.letters import decode, encode
from fidelity.readings.restore import passage_of
from fidelity.terms import DECIDED, Locus, ProposedReading, Witness
from fidelity.terms.decisions import APPLIED, NOT_APPLIED, STALE, Decision, DecisionUse, Ruling
from fidelity.variants.decided import latest
from fidelity.witnesses.folds import Folds

TEACH = (Ruling.ADOPTED, Ruling.KEPT)  # what the original had is known, as far as the editor knows it
ANOTHER = "another reading adopted"  # of a proposal where the editor adopted something else


@dataclass(frozen=True)
class DecidedWords:
    """What decisions teach about lost texts.

    Attributes:
        tagged: the copies that hold decided words; these alone are trusted.
        words: what the original had for them, normalised.
    """

    tagged: tuple[Tagged, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class AsDecided:
    """Proposals and decisions put together.

    Attributes:
        readings: the proposals, each with what was decided of it.
        own: the decided places without a proposal.
        uses: what became of every decision, on survivors first.
        notes: what the user should know of that.
    """

    readings: tuple[ProposedReading, ...]
    own: tuple[ProposedReading, ...]
    uses: tuple[DecisionUse, ...]
    notes: tuple[str, ...]


def as_decided(
    dossier: Dossier,
    of_survivors: Sequence[DecisionUse],
    of_lost: Sequence[DecisionUse],
    readings: Sequence[ProposedReading],
) -> AsDecided:
    """Put the decisions on the lost texts beside the proposals, and say what became of all decisions.

    Args:
        dossier: with the decisions.
        of_survivors: what became of those on survivors.
        of_lost: the same of those on lost texts, as ``standing`` gives it.
        readings: the proposals for the lost texts.
    """
    found, own = with_decisions(readings, of_lost, {text.id: text.copy for text in dossier.lost})
    every = (*of_survivors, *of_lost)
    return AsDecided(tuple(found), tuple(own), every, tuple(told(every)))


def standing(dossier: Dossier) -> list[DecisionUse]:
    """Say of each decision on a lost text whether its words still stand, and where."""
    found: list[DecisionUse] = []
    for text in dossier.lost:
        here, uses = latest(dossier.decisions, text.id)
        checked = [_checked(one, text) for one in here]
        for at, use in enumerate(checked):
            later = [
                one for one in checked[at + 1 :] if one.applied == APPLIED and _share(one.span, use.span)
            ]
            if use.applied == APPLIED and later:
                why = f"line {later[-1].decision.line} decides some of the same words"
                use = replace(use, applied=NOT_APPLIED, why=why)
            uses.append(use)
        found += uses
    return found


def _checked(decision: Decision, text: LostText) -> DecisionUse:
    """Find the words of one decision."""
    copy = text.copy
    place = words_at(copy, text.id, decision.locus)
    if not isinstance(place, WordPlace):
        why = place or "the copy has no such place"
        return DecisionUse(decision, STALE, why + _now(decision, copy))
    words = stand_at(copy, place, decision.transmitted)
    if words is None:
        there = as_printed(copy.letters[slice(*place.span)])
        return DecisionUse(decision, STALE, f"the copy now has “{there}”" + _now(decision, copy))
    if "\t" in copy.letters[slice(*words.span)]:
        return DecisionUse(decision, NOT_APPLIED, "the words stand in more than one field")
    return DecisionUse(decision, span=words.span)


def _now(decision: Decision, copy: Witness) -> str:
    """Say what became of the words of a stale decision."""
    adopted = decision.value if decision.ruling is Ruling.ADOPTED else ""
    return whereabouts(copy, decision.text, decision.locus, decision.transmitted, adopted)


def _share(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def decided_words(dossier: Dossier, uses: Sequence[DecisionUse]) -> DecidedWords:
    """Give the words adopted and kept as letters to learn from, the rest of their texts untrusted.

    Args:
        dossier: with the lost texts.
        uses: what became of the decisions on them.
    """
    tagged, words = [], []
    for text in dossier.lost:
        taught = [one for one in uses if one.decision.text == text.id and teaches(one)]
        if not taught:
            continue
        copied = dossier.folds.fold(text.copy.letters)
        tags, trusted = list(copied), [False] * len(copied)
        for use in taught:
            start, end = use.span
            meant = _original_of(use, text.copy, dossier.folds)
            tags[start:end] = _tags_between(meant, copied[start:end])
            trusted[start:end] = [True] * (end - start)
            words.append(meant)
        scripts = (text.copy.script,) * len(copied) if text.copy.script else ()
        tagged.append(Tagged(copied, tuple(tags), tuple(trusted), scripts))
    return DecidedWords(tuple(tagged), tuple(words))


def teaches(use: DecisionUse) -> bool:
    """Tell whether a decision is evidence for the model."""
    return use.applied == APPLIED and use.decision.ruling in TEACH


def _original_of(use: DecisionUse, copy: Witness, folds: Folds) -> str:
    """Give what the original had, as the editor says, normalised."""
    adopted = use.decision.ruling is Ruling.ADOPTED
    words = encode(use.decision.value) if adopted else copy.letters[slice(*use.span)]
    return " ".join(normalise(words, folds).split())


def _tags_between(original: str, copied: str) -> list[str]:
    """Share the original's letters out over the copied ones, by the fewest changes.

    >>> _tags_between("wæs", "wær"), _tags_between("stream", "stram"), _tags_between("on fyre", "onfyre")
    (['w', 'æ', 's'], ['s', 't', 're', 'a', 'm'], ['o', 'n ', 'f', 'y', 'r', 'e'])
    """
    tags = [""] * len(copied)
    begins = ""  # what was left out before the first letter
    for code in Levenshtein.opcodes(original, copied):
        gone = original[code.src_start : code.src_end]
        if code.dest_end > code.dest_start:
            tags[code.dest_start : code.dest_end] = shared_out(gone, copied[code.dest_start : code.dest_end])
        elif code.dest_start:
            tags[code.dest_start - 1] += gone
        else:
            begins = gone
    tags[0] = begins + tags[0]
    return tags


def with_decisions(
    readings: Sequence[ProposedReading], uses: Sequence[DecisionUse], copies: Mapping[str, Witness]
) -> tuple[list[ProposedReading], list[ProposedReading]]:
    """Put the decisions beside the proposals.

    Args:
        readings: the proposals for the lost texts.
        uses: what became of the decisions on them.
        copies: the lost texts by id.

    Returns:
        The proposals, each with what was decided of it, and the decided places without a proposal of
        what was decided, numbered on.
    """
    found = list(readings)
    own: list[ProposedReading] = []
    for use in uses:
        if use.applied != APPLIED:
            continue
        decision, copy = use.decision, copies[use.decision.text]
        met = False
        for at, one in enumerate(found):
            if one.text == decision.text and _touches(one.copy_span, use.span):
                said = _said_of(one, use, copy)
                met = met or said == str(decision.ruling)
                found[at] = replace(one, decision=said)
        if not met:
            own.append(_of_its_own(use, copy, len(readings) + len(own) + 1))
    return found, own


def _touches(one: tuple[int, int], place: tuple[int, int]) -> bool:
    """Tell whether a proposal changes letters of a place, or puts some in there."""
    return _share(one, place) or (one[0] == one[1] and place[0] <= one[0] <= place[1])


def _said_of(reading: ProposedReading, use: DecisionUse, copy: Witness) -> str:
    """Give what a decision says of a proposal."""
    if use.decision.ruling is not Ruling.ADOPTED:
        return str(use.decision.ruling)
    (start, end), (first, last) = use.span, reading.copy_span
    made = copy.letters[start:first] + encode(reading.proposed) + copy.letters[last:end]
    same = reading.is_proposal and start <= first and last <= end
    return str(Ruling.ADOPTED) if same and made.split() == encode(use.decision.value).split() else ANOTHER


def _of_its_own(use: DecisionUse, copy: Witness, number: int) -> ProposedReading:
    """Make the row of a decided place for which there is no proposal."""
    start, end = use.span
    decision = use.decision
    transmitted = decode(copy.letters[start:end])
    locus: Locus = replace(copy.locus(start), text=decision.text)
    return ProposedReading(
        number=number,
        text=decision.text,
        locus=locus,
        copy_span=use.span,
        transmitted=transmitted,
        proposed=decision.value if decision.ruling is Ruling.ADOPTED else "",
        probability=0.0,
        ground="",
        verdict=str(decision.ruling),
        kind=DECIDED,
        context=transmitted,
        passage=passage_of(copy.letters, use.span),
        note=decision.reason,
        decision=str(decision.ruling),
    )


def told(uses: Sequence[DecisionUse]) -> list[str]:
    """Say what became of the editor's decisions, the stale ones by name, and how many were evidence."""
    if not uses:
        return []
    count = {name: sum(one.applied == name for one in uses) for name in (APPLIED, STALE, NOT_APPLIED)}
    taught = [one.decision.ruling for one in uses if teaches(one)]
    adopted = sum(one is Ruling.ADOPTED for one in taught)
    notes = [
        f"decisions of the editor: {len(uses):,}, of which {count[APPLIED]:,} applied, {count[STALE]:,}"
        f" stale, {count[NOT_APPLIED]:,} without effect"
    ]
    notes.append(
        f"decisions used as evidence: {len(taught):,} ({adopted:,} adopted, {len(taught) - adopted:,} kept),"
        " in the blind test too"
        if taught
        else "decisions used as evidence: none"
    )
    return [*notes, *troubles(uses)]


def troubles(uses: Sequence[DecisionUse]) -> list[str]:
    """Name the decisions without a reason, and those that are stale or without effect."""
    notes = []
    bare = [f"{one.decision.text} {one.decision.locus}" for one in uses if not one.decision.reason]
    if bare:
        notes.append(f"decisions without a reason: {len(bare):,} ({', '.join(bare)})")
    for one in sorted(uses, key=lambda use: use.decision.line):
        if one.applied != APPLIED:
            said = "is stale and was not used" if one.applied == STALE else "was not applied"
            where = f"{one.decision.text} {one.decision.locus} ({one.decision.ruling})"
            notes.append(f"the decision on {where} {said}: {one.why}")
    return notes
