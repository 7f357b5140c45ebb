"""Numerals of a lost text with the words beside them: what a proposal for the one asks of the other.

Arrives: a lost text, its proposals, its totals and lists. Leaves: a ``LostPair`` for every numeral with its
word. Start reading at ``number_pairs``.

That numeral and word agree says nothing where this copyist was seen to make the word agree with a numeral
misread before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from fidelity.letters import decode, encode
from fidelity.readings.outside import LostText, Ways, in_checks
from fidelity.terms import ProposedReading
from fidelity.terms.parallels import CoupledChange, CoupledRate, LostPair, OutsideCheck, PairKind
from fidelity.variants.numeral_slips import Numeral, misread_from, numerals_in
from fidelity.variants.numerals import main_tag, value_of_numeral, words_for

_STOPS = ".·,;:"


@dataclass(frozen=True)
class NumberGrounds:
    """What is known of numerals and their words beside the text itself.

    Attributes:
        rate: how often the partner was changed too; None where the survivors have no such pair.
        coupled: where.
        language: of the lost text.
        attested: words of the originals and references, folded, with how often they stand there.
        declared: number words of the dossier's own, with their values.
    """

    rate: CoupledRate | None
    coupled: Sequence[CoupledChange]
    language: str = ""
    attested: Counter[str] = field(default_factory=Counter)
    declared: Mapping[str, int] = field(default_factory=dict)

    def word(self, value: int) -> str:
        """Give the number word of a value: one that stands in the originals, else the first that is known.

        Returns:
            In letters; "" where none of the text's language is known: that of another would be none of its
            words.
        """
        words = [(word, main_tag(self.language)) for word, worth in self.declared.items() if worth == value]
        words += words_for(value)
        seen = max(words, key=lambda one: self.attested[one[0]], default=None)
        if seen is not None and self.attested[seen[0]]:
            return seen[0]
        own = [word for word, language in words if not self.language or language == main_tag(self.language)]
        return (own or [""])[0]

    def caution(self, agrees: bool) -> str:
        """Say how far the agreement of numeral and word carries."""
        if not agrees:
            return "numeral and word do not agree: one of them at least is wrong, if both mean the same"
        rate = self.rate
        if rate is None or not rate.changed:
            return "whether he made words agree with numerals he had misread, the survivors do not show"
        if not rate.coupled:
            return (
                f"of {rate.changed:,} such pairs with a part misread he changed the partner too in none;"
                f" up to {rate.high:.0%} remains possible"
            )
        where = ", ".join(str(one.locus) for one in self.coupled if one.kind is PairKind.NUMBER)
        return (
            "agreement inside the pair is no confirmation: of the survivors' pairs with a part misread he"
            f" changed the partner too in {rate.coupled:,} of {rate.changed:,} ({where})"
        )


def number_pairs(
    lost: LostText,
    readings: Sequence[ProposedReading],
    checks: Sequence[OutsideCheck],
    grounds: NumberGrounds,
    ways: Ways,
) -> Iterator[LostPair]:
    """Give every numeral of a lost text that has its word, with what is proposed for either.

    Args:
        lost: the text.
        readings: the proposals for it.
        checks: its totals and lists.
        grounds: what is known of such pairs.
        ways: how the copyist went wrong.
    """
    for one in lost.numerals:
        if not one.has_word:
            continue
        plain = _plain(lost, one, grounds, ways)
        told = _told_by_checks(one, checks)
        span = one.whole
        touching = [
            each
            for each in readings
            if each.is_proposal and each.copy_span[0] < span[1] and span[0] < each.copy_span[1]
        ]
        rows = [_with_reading(lost, plain, one, each, grounds, ways) for each in touching]
        some = _strongest(row for row in rows if row is not None)
        if not some:
            some = list(_by_checks(lost, plain, one, checks, grounds)) or [plain]
        for row in some:
            yield replace(row, evidence=(*row.evidence, *told))


def _strongest(rows: Iterator[LostPair]) -> list[LostPair]:
    """Give each proposed pair once, with its most probable reading."""
    best: dict[str, LostPair] = {}
    for row in rows:
        known = best.get(row.proposed)
        if known is None or (row.probability or 0.0) > (known.probability or 0.0):
            best[row.proposed] = row
    return sorted(best.values(), key=lambda row: -(row.probability or 0.0))


def _plain(lost: LostText, one: Numeral, grounds: NumberGrounds, ways: Ways) -> LostPair:
    """Make the record of a pair as it is transmitted."""
    agrees = one.value == one.word_value
    may_be = []
    for other in misread_from(lost.letters[slice(*one.span)], ways.steps):
        word = grounds.word(value_of_numeral(other) or 0)
        may_be.append(decode(f"{other} {word}".strip()))
    return LostPair(
        kind=PairKind.NUMBER,
        text=lost.text,
        locus=lost.citations.locus(one.span[0]),
        span=one.whole,
        transmitted=lost.shown(one.whole),
        agrees=agrees,
        may_be=tuple(may_be),
        caution=grounds.caution(agrees),
    )


def _with_reading(
    lost: LostText,
    plain: LostPair,
    one: Numeral,
    reading: ProposedReading,
    grounds: NumberGrounds,
    ways: Ways,
) -> LostPair | None:
    """Say what a proposal for numeral or word asks of the other; None where no value changes."""
    (first, last), (start, end) = plain.span, reading.copy_span
    first, last = min(first, start), max(last, end)
    copy = lost.copy.letters
    changed = copy[first:start] + encode(reading.proposed) + copy[end:last]
    found = [each for each in numerals_in(ways.folds.fold(changed), ways.declared.numbers) if each.has_word]
    said = replace(plain, probability=reading.probability, reading=reading.number)
    if not found:
        return None
    new = found[0]
    if (new.value, new.word_value) == (one.value, one.word_value):
        return None
    numeral, word = changed[slice(*new.span)], changed[slice(*new.word_span)]
    row = _agreeing(said, numeral, word, new, one, grounds, ways)
    partner = one.word_span if new.value != one.value else one.span
    if not row.moves or (partner[0] < end and start < partner[1]):  # one reading for both of them
        return row
    return replace(row, partner_span=partner, partner=row.moves.rpartition(" → ")[2])


def _agreeing(
    said: LostPair, numeral: str, word: str, new: Numeral, one: Numeral, grounds: NumberGrounds, ways: Ways
) -> LostPair:
    """Let the other part of a pair move with the one that is changed."""
    if new.value == new.word_value:
        told = "" if one.value == one.word_value else "with it numeral and word agree"
        return replace(said, proposed=decode(f"{numeral} {word}"), evidence=(told,) if told else ())
    if new.value != one.value:
        moved = _like(word, grounds.word(new.value))
        pair, moves = (numeral, moved), (word, moved)
    else:
        wanted = [
            each
            for each in misread_from(ways.folds.fold(numeral), ways.steps)
            if value_of_numeral(each) == new.word_value
        ]
        moved = wanted[0] if wanted else ""
        pair, moves = (moved, word), (numeral, moved)
    if not moved:
        known = new.value == one.value or grounds.word(new.value)
        why = "nor by anything he was seen to do" if known else f"and no word for {new.value} is known"
        told = f"with it numeral and word do not agree, {why}"
        return replace(said, proposed=decode(f"{numeral} {word}"), evidence=(told,))
    return replace(said, proposed=decode(" ".join(pair)), moves=f"{decode(moves[0])} → {decode(moves[1])}")


def _like(word: str, other: str) -> str:
    """Give another word with the stops that a word has about it."""
    bare = word.strip(_STOPS)
    if not other or not bare:
        return other
    before, _, after = word.partition(bare)
    return before + other + after


def _told_by_checks(one: Numeral, checks: Sequence[OutsideCheck]) -> list[str]:
    """Say what totals and lists say of a numeral."""
    told = []
    for check in in_checks(one, checks):
        wanted = [decode(reading) for span, reading in check.mended if span == one.span]
        if check.holds:
            told.append(f"the {check.kind} at {check.locus} holds with it: {check.found}")
        elif wanted:
            told.append(
                f"the {check.kind} at {check.locus} contradicts it ({check.stated}; {check.found}) and would"
                f" hold with {' or '.join(wanted)}; that is not reckoned into the probability"
            )
        else:
            mends = f"; it would hold with {'; or '.join(check.mends)}" if check.mends else ""
            stands = f"it stands in the {check.kind} at {check.locus}, which is contradicted"
            told.append(f"{stands} ({check.found}){mends}")
    return told


def _by_checks(
    lost: LostText,
    plain: LostPair,
    one: Numeral,
    checks: Sequence[OutsideCheck],
    grounds: NumberGrounds,
) -> Iterator[LostPair]:
    """Give the pair that a total or a list asks for, where no reading is proposed."""
    word = lost.copy.letters[slice(*one.word_span)]
    for check in in_checks(one, checks):
        for span, reading in check.mended:
            value = value_of_numeral(reading)
            if span != one.span or value is None:
                continue
            moved = _like(word, grounds.word(value))
            moves = f"{decode(word)} → {decode(moved)}" if moved and value != one.word_value else ""
            yield replace(plain, proposed=decode(f"{reading} {moved or word}"), moves=moves)
