"""Entries of a lost text whose fields answer one another: what their partners say, and what is undecided.

Arrives: a lost text, the proposals, the pairs that are known and those that the copyist changed as wholes.
Leaves: ``LostPair``s. Start reading at ``entry_pairs``.

A pair that he was seen to write for another pair may be so again, or may be right: one instance shows that it
can be, never that it is. Such an entry is suspect and undecided, whatever its letters by themselves suggest.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fidelity.causes.coupled_pairs import fields_of
from fidelity.causes.facts import bare
from fidelity.letters import decode, encode, is_punctuation
from fidelity.readings.outside import LostText, Ways, parted_lines
from fidelity.terms import Alignment, ProposedReading
from fidelity.terms.parallels import CoupledChange, LostPair, PairKind

Span = tuple[int, int]
Pair = tuple[str, str]
UNDECIDED = (
    "suspect, undecided: that he did it elsewhere shows that it may be so here, not that it is; another"
    " witness may decide it"
)
ASKED = "entries elsewhere ask for the other field; whether it moves is for the editor to say"
HALF = 0.5  # of the entries that he wrote so; below it the pair is more often right than not


@dataclass(frozen=True)
class KnownEntries:
    """What the survivors, and the dossier, teach about pairs of fields.

    Attributes:
        known: pairs that belong together, folded and bare, with their places.
        coupled: pairs of the copies -> the changes by which he came to write them.
        written: pairs of the survivors' copies -> in how many entries he wrote them.
    """

    known: Mapping[Pair, tuple[str, ...]]
    coupled: Mapping[Pair, tuple[CoupledChange, ...]]
    written: Mapping[Pair, int]

    @cached_property
    def partners(self) -> tuple[dict[str, list[Pair]], dict[str, list[Pair]]]:
        """Give the known pairs by their first part, and by their second."""
        first, second = defaultdict(list), defaultdict(list)
        for pair in self.known:
            first[pair[0]].append(pair)
            second[pair[1]].append(pair)
        return first, second

    def is_undecided(self, pair: Pair) -> bool:
        """Tell whether he wrote a pair for another in half of the entries in which he wrote it, or more."""
        times = len(self.coupled.get(pair, ()))
        return bool(times) and times >= HALF * max(self.written.get(pair, 0), times)


def known_entries(
    known: Mapping[Pair, tuple[str, ...]],
    coupled: Sequence[CoupledChange],
    alignments: Mapping[str, Alignment],
    ways: Ways,
) -> KnownEntries:
    """Put together what is known of pairs of fields."""
    changes: defaultdict[Pair, list[CoupledChange]] = defaultdict(list)
    for change in coupled:
        if change.kind is PairKind.ENTRY:
            parts = [bare(ways.folds.fold(encode(part))).strip() for part in change.copy.split(" · ", 1)]
            if len(parts) == 2 and all(parts):
                changes[parts[0], parts[1]].append(change)
    written: defaultdict[Pair, int] = defaultdict(int)
    for alignment in alignments.values() if changes else ():
        copy = alignment.copy
        letters = ways.folds.fold(copy.letters)
        for parts_of in fields_of(copy.fields, letters, copy.lines, ways.declared):
            one, other = (bare(letters[slice(*part)]).strip() for part in parts_of)
            written[one, other] += 1
    return KnownEntries(known, {pair: tuple(found) for pair, found in changes.items()}, written)


def entry_pairs(
    lost: LostText, readings: Sequence[ProposedReading], entries: KnownEntries, ways: Ways
) -> Iterator[LostPair]:
    """Give the entries of a lost text of which there is something to say.

    Args:
        lost: the text.
        readings: the proposals for it.
        entries: what is known of pairs.
        ways: how the copyist went wrong.
    """
    for parts in dict.fromkeys(_entries(lost, ways)):
        pair = _bare(lost.letters, parts)
        plain = LostPair(
            kind=PairKind.ENTRY,
            text=lost.text,
            locus=lost.citations.locus(parts[0][0]),
            span=(parts[0][0], parts[1][1]),
            transmitted=" · ".join(map(lost.shown, parts)),
        )
        if entries.is_undecided(pair):
            yield _undecided(plain, pair, entries)
            continue
        touching = [
            (one, at)
            for one in readings
            for at, part in enumerate(parts)
            if one.is_proposal and part[0] <= one.copy_span[0] and one.copy_span[1] <= part[1]
        ]
        said = [_with_proposal(lost, plain, parts, one, at, entries, ways) for one, at in touching]
        told = [one for one in said if one is not None]
        yield from told or _otherwise(plain, pair, entries)


def _entries(lost: LostText, ways: Ways) -> Iterator[tuple[Span, Span]]:
    """Give the entries: fields of a table, declared lines, and words on either side of a lone sign."""
    yield from fields_of(lost.copy.fields, lost.letters, lost.copy.lines, ways.declared)
    for parts in parted_lines(lost, ways):
        yield from ((one, other) for at, one in enumerate(parts) for other in parts[at + 1 :])
    if not lost.copy.fields:
        for line in range(len(lost.copy.lines)):
            yield from _beside_signs(lost.letters, *lost.copy.line_span(line))


def _beside_signs(letters: str, start: int, end: int) -> Iterator[tuple[Span, Span]]:
    """Give the words before and after each sign that stands by itself.

    >>> list(_beside_signs("acer · hlin", 0, 11))
    [((0, 4), (7, 11))]
    """
    words: list[Span] = []
    at = start
    for word in letters[start:end].split():
        at = letters.index(word, at)
        words.append((at, at + len(word)))
        at += len(word)
    for before, sign, after in zip(words, words[1:], words[2:], strict=False):
        if all(map(is_punctuation, letters[slice(*sign)])):
            yield before, after


def _bare(letters: str, parts: Sequence[Span]) -> Pair:
    one, other = (bare(letters[slice(*part)]).strip() for part in parts)
    return one, other


def _undecided(plain: LostPair, pair: Pair, entries: KnownEntries) -> LostPair:
    """Say of a pair that he wrote it for another elsewhere."""
    changes = entries.coupled[pair]
    times, of = len(changes), max(entries.written.get(pair, 0), len(changes))
    told = [f"he wrote this pair for {one.original} at {one.locus}" for one in changes]
    told.append(f"in {times} of {of} entries of the survivors in which he wrote it")
    if pair in entries.known:
        told.append(f"the pair stands in an original at {', '.join(entries.known[pair])}")
    return replace(
        plain,
        undecided=True,
        agrees=True if pair in entries.known else None,
        may_be=tuple(dict.fromkeys(one.original for one in changes)),
        evidence=tuple(told),
        caution=UNDECIDED,
        seen=(times, of),
    )


def _with_proposal(
    lost: LostText,
    plain: LostPair,
    parts: Sequence[Span],
    reading: ProposedReading,
    at: int,
    entries: KnownEntries,
    ways: Ways,
) -> LostPair | None:
    """Say what a proposal for one field asks of the other; None where nothing is known of that."""
    start, end = parts[at]
    changed = (
        lost.copy.letters[start : reading.copy_span[0]]
        + encode(reading.proposed)
        + lost.copy.letters[reading.copy_span[1] : end]
    )
    new = bare(ways.folds.fold(changed)).strip()
    pair = list(_bare(lost.letters, parts))
    before, pair[at] = (pair[0], pair[1]), new
    partners = entries.partners[at].get(new, [])
    if not partners or new == before[at]:
        return None
    said = replace(plain, probability=reading.probability, reading=reading.number)
    now = [decode(changed) if one == at else lost.shown(parts[one]) for one in (0, 1)]
    if (pair[0], pair[1]) in partners:
        where = ", ".join(entries.known[pair[0], pair[1]])
        return replace(said, proposed=" · ".join(now), evidence=(f"with it the entry is as {_at(where)}",))
    old, new_partner = lost.shown(parts[1 - at]), decode(partners[0][1 - at])
    now[1 - at] = new_partner
    caution = ASKED if len(partners) == 1 else f"{ASKED}; several partners are known"
    return replace(
        said,
        proposed=" · ".join(now),
        moves=f"{old} → {new_partner}",
        evidence=tuple(_known_at(one, entries) for one in partners),
        caution=caution,
    )


def _known_at(pair: Pair, entries: KnownEntries) -> str:
    return f"{decode(pair[0])} · {decode(pair[1])} {_at(', '.join(entries.known[pair]))}"


def _at(where: str) -> str:
    return "declared" if where == "declared" else f"at {where}"


def _otherwise(plain: LostPair, pair: Pair, entries: KnownEntries) -> Iterator[LostPair]:
    """Say of an entry that its first field has another partner elsewhere."""
    partners = entries.partners[0].get(pair[0], [])
    if partners and pair not in entries.known:
        yield replace(
            plain,
            may_be=tuple(f"{decode(one[0])} · {decode(one[1])}" for one in partners),
            evidence=tuple(
                f"{decode(one[0])} · {decode(one[1])} {_at(', '.join(entries.known[one]))}"
                for one in partners
            ),
            caution="the same word may well have had another partner here",
        )
