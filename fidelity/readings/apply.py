"""Put proposed readings into a copy, and list everything that was changed.

Arrives: the copy of a lost text and the proposals for it. Leaves: the text with the proposals in
it, line by line as the copy has it, and one ``Change`` for each. Start reading at
``apply_readings``.

Of proposals that touch the same letters the most probable one is taken. Nothing is changed that is
not in the list.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rapidfuzz.distance import Levenshtein

from fidelity.errors import DataError, Fault, UsageError
from fidelity.letters import decode, encode
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.decisions import Ruling
from fidelity.witnesses.folds import NO_FOLDS, Folds
from fidelity.witnesses.write import write_plain

FIELD_BORDER = "\t"
LINE_END_MARK = "-"  # where a word comes to run on over a line end that parted two words before


@dataclass(frozen=True)
class Change:
    """One proposed reading put into the text.

    Attributes:
        reading: its number.
        locus: place in the copy.
        transmitted: what the copy has, as written.
        proposed: what stands there now.
        probability: of the proposed reading, 0-1.
        copy_span: offsets in the copy of the letters that were replaced.
        kind, ground: of the proposed reading.
        evidence: how often he did what is assumed, out of how many chances, as printed.
        decision: "adopted" or "open", if the editor decided so. What he adopted is put in whatever its
            probability; places kept or past mending stay as transmitted, and are no changes.
    """

    reading: int
    locus: Locus
    transmitted: str
    proposed: str
    probability: float
    copy_span: tuple[int, int]
    kind: str = ""
    ground: str = ""
    evidence: str = ""
    decision: str = ""


@dataclass(frozen=True)
class _Edit:
    """Letters to be put for the letters of a span."""

    start: int
    end: int
    letters: str


def apply_readings(
    copy: Witness, readings: Sequence[ProposedReading], at_least: float, folds: Folds = NO_FOLDS
) -> tuple[str, list[Change]]:
    """Give the text with every proposal of at least this probability in it, and what was changed.

    Args:
        copy: the copy of the lost text.
        readings: the proposals for this text.
        at_least: least probability, 0-1.
        folds: letterforms counted as equal, where ``transmitted`` is on the folded level.

    Returns:
        The text, one line for each manuscript line and page marks kept, and the changes in order.

    Raises:
        DataError: a proposal does not belong to this text: the copy has not the letters it would
            replace. All such proposals are in one report.
        UsageError: ``at_least`` is no probability.

    >>> copy = Witness("X", "Ic wær on fyre")
    >>> wæs = ProposedReading(1, "X", Locus("X", "1", 2), (3, 6), "wær", "wæs", 0.7)
    >>> apply_readings(copy, [wæs], at_least=0.5)[0]
    'Ic wæs on fyre\\n'
    """
    edited, changes = edited_copy(copy, readings, at_least, folds)
    return write_plain(edited), changes


def edited_copy(
    copy: Witness, readings: Sequence[ProposedReading], at_least: float, folds: Folds = NO_FOLDS
) -> tuple[Witness, list[Change]]:
    """Do the same and give the edited text as a witness, line ends and states kept."""
    if not 0 <= at_least <= 1:
        raise UsageError(f"{at_least} is no probability", remedy="give a number from 0 to 1")
    eligible = [one for one in readings if _goes_in(one, at_least)]
    faults = [fault for one in eligible for fault in _faults(copy, one, folds)]
    if faults:
        raise DataError(faults=faults)
    chosen = sorted(without_overlap(eligible), key=lambda one: one.copy_span)
    edits = [_Edit(*one.copy_span, encode(one.proposed)) for one in chosen]
    changes = [_change(copy, one) for one in chosen]
    return _edited(copy, edits), changes


def _goes_in(reading: ProposedReading, at_least: float) -> bool:
    """Tell whether a proposal is put in: as the editor decided, else by its probability."""
    if reading.decision == Ruling.ADOPTED:
        return reading.is_proposal
    decided_otherwise = reading.decision not in ("", Ruling.OPEN)
    return reading.is_proposal and not decided_otherwise and reading.probability >= at_least


def _change(copy: Witness, reading: ProposedReading) -> Change:
    """Make the record of one change."""
    return Change(
        reading=reading.number,
        locus=reading.locus,
        transmitted=decode(copy.letters[slice(*reading.copy_span)]),
        proposed=reading.proposed,
        probability=reading.probability,
        copy_span=reading.copy_span,
        kind=reading.kind,
        ground=reading.ground,
        evidence="; ".join(f"{one.step} {one.count:,} of {one.chances:,}" for one in reading.evidence),
        decision=reading.decision,
    )


def undone(edited: Witness, changes: Sequence[Change]) -> Witness:
    """Give the transmitted text back from the edited one and the list of changes.

    Args:
        edited: the text with the changes in it.
        changes: all of them, in order, as ``edited_copy`` gave them.

    Raises:
        DataError: the text has not what a change says stands there.

    >>> copy = Witness("X", "Ic wær on fyre")
    >>> wæs = ProposedReading(1, "X", Locus("X", "1", 2), (3, 6), "wær", "wæs", 0.7)
    >>> undone(*edited_copy(copy, [wæs], at_least=0.5)).letters
    'Ic wær on fyre'
    """
    edits, shift = [], 0
    for change in changes:
        before, after = encode(change.transmitted), encode(change.proposed)
        if before == after:
            continue
        start = change.copy_span[0] + shift
        end = start + len(after)
        if edited.letters[start:end] != after:
            what = f"change {change.reading} ({change.locus}): “{change.proposed}” does not stand there"
            raise DataError(what, remedy="give the edited text and all its changes, as they were written")
        edits.append(_Edit(start, end, before))
        shift += len(after) - len(before)
    return _edited(edited, edits)


def _first_taken(reading: ProposedReading) -> tuple[bool, float, tuple[int, int], int]:
    """Give the order in which proposals are taken: what the editor adopted, then the most probable."""
    return reading.decision != Ruling.ADOPTED, -reading.probability, reading.copy_span, reading.number


def without_overlap(readings: Sequence[ProposedReading]) -> list[ProposedReading]:
    """Choose proposals that touch no letter twice, the most probable first.

    An insertion at the edge of another proposal counts as touching it: their order is open.
    """
    chosen: list[ProposedReading] = []
    taken: list[tuple[int, int]] = []  # spans by start; disjoint, so by end as well
    for reading in sorted(readings, key=_first_taken):
        span = reading.copy_span
        at = bisect_right(taken, span)
        if not any(_touch(span, other) for other in taken[max(at - 2, 0) : at + 2]):
            taken.insert(at, span)
            chosen.append(reading)
    return chosen


def _touch(one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Tell whether two spans share a letter, or an insertion stands in or at the other."""
    if one[0] == one[1] or other[0] == other[1]:
        return one[0] <= other[1] and other[0] <= one[1]
    return one[0] < other[1] and other[0] < one[1]


def _faults(copy: Witness, reading: ProposedReading, folds: Folds) -> list[Fault]:
    """Say why a proposal cannot be put into this text."""
    start, end = reading.copy_span
    where = f"reading {reading.number} ({reading.locus})"
    remedy = "apply the readings to the copy that they were proposed for, unchanged"
    if not 0 <= start <= end <= len(copy.letters):
        return [Fault(f"{where} lies outside the text", remedy=remedy)]
    found, expected = copy.letters[start:end], encode(reading.transmitted)
    if folds.fold(found) != folds.fold(expected):
        what = f"{where} stands for “{reading.transmitted}”, but the copy has “{decode(found)}”"
        return [Fault(what, remedy=remedy)]
    if found.count(FIELD_BORDER) != reading.proposed.count(FIELD_BORDER) or "\n" in reading.proposed:
        return [
            Fault(f"{where} would move the border of a field or line", remedy="propose for one field only")
        ]
    return []


def _edited(copy: Witness, edits: Sequence[_Edit]) -> Witness:
    """Give the witness with the edits in it; they are in order and do not touch."""
    letters, states, hands = [], [], []
    at = 0
    for edit in [*edits, _Edit(len(copy.letters), len(copy.letters), "")]:
        letters += [copy.letters[at : edit.start], edit.letters]
        clear = bytes(len(edit.letters))  # clear, and in the main hand, as far as anyone can say
        states += [copy.states[at : edit.start], clear]
        hands += [copy.hands[at : edit.start], clear]
        at = edit.end
    text = "".join(letters)
    lines = _moved_lines(copy, edits)
    return replace(
        copy,
        letters=text,
        lines=lines,
        line_ends=tuple(_line_end(copy, line, text, lines) for line in range(len(lines))),
        states=b"".join(states) if copy.states else b"",
        hands=b"".join(hands) if copy.hands else b"",
        marks=(),
    )


def _moved_lines(copy: Witness, edits: Sequence[_Edit]) -> tuple[int, ...]:
    """Give where the beginning of each line comes to stand after the edits."""
    moved = []
    shift = at = 0
    for offset in copy.lines:
        while at < len(edits) and _goes_before(edits[at], offset):
            shift += len(edits[at].letters) - (edits[at].end - edits[at].start)
            at += 1
        inside = 0
        if at < len(edits) and edits[at].start < offset:
            start, end, letters = edits[at].start, edits[at].end, edits[at].letters
            inside = start + _moved_inside(offset - start, copy.letters[start:end], letters) - offset
        moved.append(offset + shift + inside)
    return tuple(moved)


def _goes_before(edit: _Edit, offset: int) -> bool:
    """Tell whether all that an edit puts in stands before a line's beginning.

    Letters put in just there open the line; a division put in there closes the line before.
    """
    return edit.end <= offset and (edit.start < offset or (offset > 0 and edit.letters.isspace()))


def _moved_inside(offset: int, before: str, after: str) -> int:
    """Follow a place from one string to another, by the fewest changes that lead there."""
    moved = 0
    for step in Levenshtein.opcodes(before, after):
        if step.src_start <= offset < step.src_end and step.tag in ("equal", "replace"):
            return step.dest_start + offset - step.src_start
        if step.src_start == step.src_end == offset and not after[step.dest_start : step.dest_end].isspace():
            break
        if step.src_end <= offset:
            moved = step.dest_end
    return moved


def _line_end(copy: Witness, line: int, text: str, lines: Sequence[int]) -> str:
    """Give the mark at a line's end: one where the word runs on, none where words are parted."""
    if line + 1 == len(lines):
        return copy.line_ends[line]
    end = lines[line + 1]
    parted = end == 0 or text[end - 1].isspace()
    return "" if parted else copy.line_ends[line] or LINE_END_MARK
