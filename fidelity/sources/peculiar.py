"""Find where a witness has a reading of its own, and whether the copy has it too.

Arrives: the copy, a witness, and third witnesses to compare it with. Leaves: ``PeculiarLocus`` records, in
order of the copy. Start reading at ``peculiar_places``.

A reading is proved to be the witness's own where a third, independent witness has something else and no
such witness agrees with it (Maas 1957, Textkritik, §§ 8 and 10, on peculiar errors). Which of the two was
altered the words may tell (``direction.py``). Where no third witness is extant, a difference is listed and
proves nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import inf, log

from fidelity.letters import decode, whole_words
from fidelity.sources.coincidence import plain
from fidelity.sources.direction import Directions, words_met
from fidelity.sources.exchanged import as_a_word, nearly, single_words, words_exchanged
from fidelity.sources.facing import Facing, Span
from fidelity.sources.thirds import Beside, Case
from fidelity.terms import LOST_LETTER, Witness
from fidelity.terms.imported import PeculiarLocus, Sharing
from fidelity.variants.citations import Citations
from fidelity.variants.set_aside import evidence_of
from fidelity.witnesses.folds import Folds

CLEARLY = log(20.0)  # nats: so much likelier must the copy be by one of two readings (chosen)
SPELLED_SO = 0.1  # share of its chances from which a difference is the witness's spelling, not a slip
SPELLED_FROM = 3  # times; fewer are no usage
HABIT = 0.2  # a change he makes at so many of its chances is his habit, and no evidence
AROUND = 60  # letters before and after that are looked at for what led the eye astray
MOST_DIRECTION = 1000.0

OF_WITNESS, OF_COPYIST = "a spelling of the witness", "a habit of the copyist"


def peculiar_places(case: Case, with_copy: Facing) -> list[PeculiarLocus]:
    """Give every place where the witness has a reading of its own, in order of the copy.

    Args:
        case: the copy, the witness, the thirds.
        with_copy: the witness beside the copy.

    Raises:
        UnrelatedTextsError: a third witness has nothing in common with the others.
    """
    finder = _Finder(case, with_copy)
    found: dict[Span, PeculiarLocus] = {}
    beside = [Beside(third, case) for third in case.thirds]
    for at, third in enumerate(beside):
        others = [other for number, other in enumerate(beside) if number != at]
        for spans in finder.differing(third, others):
            if any(spans[1][0] < span[1] + 1 and span[0] < spans[1][1] + 1 for span in found if at):
                continue  # an earlier third told of it
            if any(span[0] <= spans[1][0] and spans[1][1] <= span[1] for span in finder.slips):
                continue  # beside an earlier third it is seen that this one has a slip of its own
            place = finder.place(third, spans[0], spans[1], others)
            if place is not None:
                found[spans[1]] = place
    places = _spellings_aside([*found.values()], beside, case)
    places += finder.without_third(beside, found)
    return sorted(places, key=lambda one: (one.copy_span, one.witness_locus))


class _Finder:
    """Makes a place of a difference between the third and the witness."""

    def __init__(self, case: Case, with_copy: Facing) -> None:
        self.case, self.with_copy, self.folds = case, with_copy, case.folds
        self.good = evidence_of(case.witness)
        self.slips: list[Span] = []  # readings of the witness that another third has, but for a slip
        self.cited = Citations(case.copy, case.text), Citations(case.witness)
        self.direction = Directions(
            case.known, words_met(case.known.words, _texts(case), case.folds), case.folds
        )

    def differing(self, beside: Beside, others: Sequence[Beside]) -> list[tuple[Span, Span]]:
        """Give what differs in the third and the witness, in the units in which it was altered."""
        texts, folds = (beside.witness, self.case.witness), self.folds
        parted = [part for spans in beside.differing for part in self._parted(beside, spans, others)]
        pairs = (
            (plain(texts[0].letters[slice(*one)], folds), plain(texts[1].letters[slice(*other)], folds))
            for one, other in parted
        )
        return words_exchanged(parted, texts, self.case.chances, folds, _usage(pairs, [beside], folds))

    def _parted(
        self, beside: Beside, spans: tuple[Span, Span], others: Sequence[Beside]
    ) -> list[tuple[Span, Span]]:
        """Part neighbouring words if one text has the witness's of one and the third's of another."""
        parts = single_words(spans, (beside.witness, self.case.witness), self.folds)
        sides = [self._sides(beside, part, others) for part in parts]
        apart = any({True, False} <= set(of_one) for of_one in zip(*sides, strict=True))
        return parts if apart else [spans]

    def _sides(self, beside: Beside, part: tuple[Span, Span], others: Sequence[Beside]) -> list[bool | None]:
        """Tell of the copy and of each other third whether it has the witness's word; None if neither."""
        third, reading = self._read(beside.witness, part[0], 0), self._read(self.case.witness, part[1], 0)
        seen = self._in_copy(beside, *part, third, reading)
        copy = None if seen is None or seen[0] is Sharing.OTHERWISE else seen[0] is Sharing.SHARED
        found = [copy]
        for other in others:
            has = other.at(part[1], self.folds)
            found.append(has == reading if has in (third, reading) else None)
        return found

    def place(
        self, beside: Beside, third_span: Span, span: Span, others: Sequence[Beside]
    ) -> PeculiarLocus | None:
        """Give the place; None where it shows nothing of the witness."""
        case, folds = self.case, self.folds
        third, reading = self._differing(beside, third_span, span)
        there = [other.has(span, reading.strip(), folds) for other in others]
        if third == reading:
            return None
        if self._nearly_had(span, third.strip(), reading.strip(), others):
            self.slips.append(span)
            return None
        if any(there):
            return None  # a third agrees with the witness: it is not peculiar
        if (seen := self._in_copy(beside, third_span, span, third, reading)) is None:
            return None
        sharing, copy_span = seen
        before, after = _around(beside.witness, third_span, folds)
        chance = case.chances.of(third, reading, before, after)
        chance = as_a_word(chance, (third_span, span), (beside.witness, case.witness), case.chances)
        words = _words_at(case.witness, span), _words_at(beside.witness, third_span)
        against = there.count(False)
        here = 1 + (sharing is Sharing.SHARED), 1 + (sharing is Sharing.NOT_SHARED) + against
        direction = self.direction.of((third, reading), (before, after), words, here)
        # where another third stands against it too, both were altered alike, or it alone
        direction /= max(case.chances.of(reading, third, before, after).probability, 1e-3) ** against
        return replace(
            self._beside_copy(span, copy_span, sharing),
            third=decode(beside.witness.letters[slice(*third_span)]),
            third_siglum=beside.witness.siglum,
            third_words=decode(words[1]),
            coincidence=chance.probability,
            kind=chance.kind,
            measured=chance.measured,
            direction=inf if beside.third.is_original else min(direction, MOST_DIRECTION),
            set_aside=OF_COPYIST if chance.probability >= HABIT and chance.measured else "",
        )

    def _nearly_had(self, span: Span, third: str, reading: str, others: Sequence[Beside]) -> bool:
        """Tell whether another third has the witness's reading but for a slip of its own."""
        seen = (other.at(span, self.folds) for other in others)
        return any(one is not None and one != reading and nearly(one, reading, third) for one in seen)

    def _beside_copy(self, span: Span, copy_span: Span, sharing: Sharing) -> PeculiarLocus:
        """Give a place as witness and copy have it; of a third it says nothing."""
        case = self.case
        first, last = self.cited[0].ends(*copy_span)
        return PeculiarLocus(
            locus=first,
            last_locus=last or first,
            copy_span=copy_span,
            witness_locus=self.cited[1].ends(*span)[0],
            reading=decode(case.witness.letters[slice(*span)]),
            copy=decode(case.copy.letters[slice(*copy_span)]),
            third="",
            third_siglum="",
            words=decode(_words_at(case.witness, span)),
            third_words="",
            sharing=sharing,
        )

    def _differing(self, beside: Beside, third_span: Span, span: Span) -> tuple[str, str]:
        """Give the letters that differ, third's and witness's; the same twice where they show nothing."""
        third = beside.witness.letters[slice(*third_span)]
        reading = self.case.witness.letters[slice(*span)]
        beside_it = beside.witness.letters[max(third_span[0] - 2, 0) : third_span[1] + 2]
        lost = LOST_LETTER in (third if third.strip() else beside_it)
        good = [beside.good[at] or third[at - third_span[0]] == LOST_LETTER for at in range(*third_span)]
        if LOST_LETTER in reading or not all(good) or not self.good[slice(*span)].all():
            return "", ""
        third, reading = plain(third.replace(LOST_LETTER, ""), self.folds), plain(reading, self.folds)
        if lost and (reading.strip() or not third.strip()):
            return "", ""  # what is lost may have been the same
        if third.strip() == reading.strip() and (third.strip() or not _parts(beside, third_span)):
            return "", ""
        return third, reading

    def _in_copy(
        self, beside: Beside, third_span: Span, span: Span, third: str, reading: str
    ) -> tuple[Sharing, Span] | None:
        """Tell what the copy has there, and where; None where it has nothing near it."""
        division = not third.strip() and not reading.strip()
        wider = int(division)  # of a division the letters beside it are looked at too
        by_witness = self._answer(self.with_copy, span, wider)
        by_third = self._answer(beside.with_copy, third_span, wider)
        wanted = self._read(self.case.witness, span, wider), self._read(beside.witness, third_span, wider)
        seen = [None if at is None else self._read(self.case.copy, at, 0) for at in (by_witness, by_third)]
        as_witness = seen[0] is not None and seen[0] == wanted[0]
        as_third = seen[1] is not None and seen[1] == wanted[1].replace(LOST_LETTER, "").strip()
        at = by_witness if by_third is None or (as_witness and by_witness is not None) else by_third
        if at is None:
            return None
        if as_witness != as_third:
            return (Sharing.SHARED if as_witness else Sharing.NOT_SHARED), at
        if as_witness or None in seen or LOST_LETTER in "".join(filter(None, seen)):
            return Sharing.OTHERWISE, at
        nearer = self.case.chances.likelihood(wanted[0], seen[0] or "")
        nearer -= self.case.chances.likelihood(wanted[1].replace(LOST_LETTER, ""), seen[1] or "")
        if abs(nearer) < CLEARLY:
            return Sharing.OTHERWISE, at
        return (Sharing.SHARED, by_witness or at) if nearer > 0 else (Sharing.NOT_SHARED, by_third or at)

    def _answer(self, facing: Facing, span: Span, wider: int) -> Span | None:
        """Give where in the copy a span of a witness is answered."""
        return facing.answer((max(span[0] - wider, 0), min(span[1] + wider, len(facing.first.letters))))

    def _read(self, witness: Witness, span: Span, wider: int) -> str:
        """Give the letters of a span as they are compared."""
        letters = witness.letters[max(span[0] - wider, 0) : span[1] + wider]
        return " ".join(plain(letters, self.folds).split())

    def without_third(self, beside: Sequence[Beside], proved: Iterable[Span]) -> list[PeculiarLocus]:
        """Give the places where the copy has not what the witness has, and no third is there to judge."""
        case, found = self.case, []
        for span, copy_span, _ in self.with_copy.differences(self.folds):
            reading, copy = (
                plain(text.letters[slice(*at)], self.folds).strip()
                for text, at in ((case.witness, span), (case.copy, copy_span))
            )
            if reading == copy or LOST_LETTER in reading + copy or not self.good[slice(*span)].all():
                continue
            if any(span[0] <= other[1] and other[0] <= span[1] for other in proved):
                continue
            if any(other.has(span, reading, self.folds) is not None for other in beside):
                continue
            found.append(self._beside_copy(span, copy_span, Sharing.NOT_SHARED))
        return found


def _texts(case: Case) -> Iterator[Witness]:
    """Give the copy and all its witnesses."""
    yield from (case.copy, case.witness, *(third.witness for third in case.thirds))


def _parts(beside: Beside, span: Span) -> bool:
    """Tell whether a difference in blanks alone parts or joins words: no line ends there."""
    return span[0] not in beside.witness.lines and span[1] not in beside.witness.lines


def _around(witness: Witness, span: Span, folds: Folds) -> tuple[str, str]:
    """Give what stands before and after a span, as it is compared."""
    before = witness.letters[max(span[0] - AROUND, 0) : span[0]]
    after = witness.letters[span[1] : span[1] + AROUND]
    return plain(before, folds), plain(after, folds)


def _words_at(witness: Witness, span: Span) -> str:
    """Give the words a span stands in; of a long span those at its ends with all between."""
    return witness.letters[slice(*whole_words(witness.letters, *span))].strip()


def _spellings_aside(
    places: Sequence[PeculiarLocus], beside: Sequence[Beside], case: Case
) -> list[PeculiarLocus]:
    """Set aside what is the witness's usage: the same letters for the same at many of their chances."""
    pairs = [(plain(one.third, case.folds), plain(one.reading, case.folds)) for one in places]
    usage = _usage(pairs, beside, case.folds)
    return [
        replace(one, set_aside=OF_WITNESS) if pair in usage and not one.set_aside else one
        for one, pair in zip(places, pairs, strict=True)
    ]


def _usage(
    pairs: Iterable[tuple[str, str]], beside: Sequence[Beside], folds: Folds
) -> frozenset[tuple[str, str]]:
    """Give what is a witness's usage of these differences: a third's letters, and what it has for them."""
    texts = [plain(third.witness.letters, folds) for third in beside]
    return frozenset(
        pair
        for pair, count in Counter(pairs).items()
        if count >= SPELLED_FROM
        and pair[0].strip()
        and count >= SPELLED_SO * sum(text.count(pair[0]) for text in texts)
    )
