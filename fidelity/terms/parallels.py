"""What goes in pairs and in rows: fields that answer one another, totals, lists; and an editor's own rules.

Offsets are in letters, from 0, half-open; probabilities and limits of intervals are shares 0-1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from fidelity.errors import UsageError
from fidelity.letters import encode
from fidelity.terms.habits import Circumstance
from fidelity.terms.witness import Locus

# How a circumstance is asked for, on the command line and in the dossier, and of what.
ASKED: Mapping[str, Circumstance] = {
    "place": Circumstance.PLACE,
    "before": Circumstance.BEFORE,
    "after": Circumstance.AFTER,
    "word": Circumstance.WORD,
    "script": Circumstance.SCRIPT,
    "language": Circumstance.LANGUAGE,
    "text": Circumstance.TEXT,
}
PLACES = ("first", "inside", "last", "alone")  # in the word; "alone" is a word of one letter


def asked(where: str) -> tuple[Circumstance, str]:
    """Take a circumstance as it is asked for: kind, and value in letters.

    >>> asked("place=last")
    (<Circumstance.PLACE: 'place_in_word'>, 'last')

    Raises:
        UsageError: no such circumstance, or no such value of it.
    """
    name, sign, value = where.partition("=")
    if not sign or name not in ASKED or not value:
        known = ", ".join(f"{one}=…" for one in ASKED)
        raise UsageError(f"unknown circumstance {where!r}", remedy=f"write one of {known}")
    if ASKED[name] is Circumstance.PLACE and value not in PLACES:
        raise UsageError(f"unknown place {value!r}", remedy=f"known: {', '.join(PLACES)}")
    return ASKED[name], encode(value)


class PairKind(StrEnum):
    """What answers what."""

    NUMBER = "numeral and word"
    ENTRY = "fields of an entry"


class CheckKind(StrEnum):
    """What can contradict a number or a word from outside the pair it stands in."""

    TOTAL = "total"
    SEQUENCE = "numbered list"
    ORDER = "alphabetical order"


@dataclass(frozen=True)
class CoupledChange:
    """A pair of the survivors that the copy has otherwise in both parts.

    Attributes:
        kind: what answers what.
        text: id of the survivor.
        locus: place in the original.
        original, copy: the pair, as printed.
        agrees: whether the copy's pair is known to agree; None where that is for the editor to say.
        evidence: what made it be taken so, as printed.
    """

    kind: PairKind
    text: str
    locus: Locus
    original: str
    copy: str
    agrees: bool | None
    evidence: str


@dataclass(frozen=True)
class CoupledRate:
    """How often the partner was changed too where one part of a pair was misread.

    Attributes:
        kind: what answers what.
        pairs: so many pairs the survivors' originals hold, clear and in the main hand.
        changed: in how many of them a part is misread.
        coupled: in how many of these the other was changed with it.
        low, high: limits of the interval for coupled / changed, clustered by page.
    """

    kind: PairKind
    pairs: int
    changed: int
    coupled: int
    low: float
    high: float


@dataclass(frozen=True)
class NumeralRate:
    """How often a numeral was read as another, and how many of the lost texts are open to it.

    Attributes:
        numerals: of the survivors' originals, clear and in the main hand.
        misread: so many of them the copy has with another value.
        low, high: limits of the interval for misread / numerals, clustered by page.
        misread_at: the first places, as printed.
        lost: numerals in the copies of the lost texts.
        open: so many of these another numeral may have been misread as, by his operations or by minims.
        unchecked: so many of these stand in no total and no numbered list.
        alone: so many of these have no number word beside them either.
    """

    numerals: int
    misread: int
    low: float
    high: float
    misread_at: tuple[str, ...]
    lost: int
    open: int
    unchecked: int
    alone: int


@dataclass(frozen=True)
class LostPair:
    """A pair in a lost text.

    Attributes:
        kind: what answers what.
        text: id of the lost text.
        locus: place in the copy.
        span: offsets in the copy, from the one part to the other.
        transmitted: the pair, as printed.
        proposed: the pair with what is proposed for one part, and with what moves with it; "" for none.
        probability: of the one proposed reading; None for none.
        moves: the partner's change, as printed; "" where nothing moves.
        partner_span, partner: offsets in the copy of what moves, and what it becomes, as printed; "" where
            nothing moves, or the reading is for both.
        agrees: whether the transmitted parts agree; None where that is for the editor to say.
        undecided: whether the pair is suspect, and nothing in the dossier decides.
        may_be: pairs or numerals that may have been misread as this, as printed.
        evidence: what speaks for it, in plain words.
        caution: how far agreement and evidence carry, in plain words.
        reading: number of the proposed reading; 0 for none.
        seen: of an undecided pair, in how many entries of the survivors he wrote it for another, and in how
            many he wrote it at all.
    """

    kind: PairKind
    text: str
    locus: Locus
    span: tuple[int, int]
    transmitted: str
    proposed: str = ""
    probability: float | None = None
    moves: str = ""
    partner_span: tuple[int, int] = (0, 0)
    partner: str = ""
    agrees: bool | None = None
    undecided: bool = False
    may_be: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    caution: str = ""
    reading: int = 0
    seen: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class OutsideCheck:
    """What a total, a numbered list or the order of entries says of a lost text.

    Attributes:
        kind: what checks.
        text: id of the lost text.
        locus: where it is stated, or the place out of order.
        span: offsets in the copy of what is checked.
        stated: what is stated, as printed.
        found: what the parts or the neighbours say, as printed.
        holds: whether they agree.
        mends: single changes that would make them agree, each undoing an operation of his or parting minims
            otherwise, as printed.
        mended: the same as (span in the copy, reading), for those who look one place up.
        caution: how often such a check errs, in plain words.
    """

    kind: CheckKind
    text: str
    locus: Locus
    span: tuple[int, int]
    stated: str
    found: str
    holds: bool
    mends: tuple[str, ...] = ()
    mended: tuple[tuple[tuple[int, int], str], ...] = ()
    caution: str = ""


@dataclass(frozen=True)
class Parallels:
    """All that is known of pairs, totals and lists."""

    coupled: tuple[CoupledChange, ...] = ()
    rates: tuple[CoupledRate, ...] = ()
    numerals: NumeralRate | None = None
    pairs: tuple[LostPair, ...] = ()
    checks: tuple[OutsideCheck, ...] = ()


@dataclass(frozen=True)
class Declared:
    """What the dossier says of parallels.

    Attributes:
        fields: names of fields that answer one another; () for all.
        parted: (text id or "" for every lost text, first and last-plus-one line or None, what parts the
            fields of a line in running text).
        pairs: pairs that are known to belong together, in letters.
        totals: further words that state a total, in letters.
        numbers: further number words, folded and small, with their values.
    """

    fields: tuple[tuple[str, ...], ...] = ()
    parted: tuple[tuple[str, tuple[int, int] | None, str], ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()
    totals: tuple[str, ...] = ()
    numbers: Mapping[str, int] = field(default_factory=dict)


NO_NUMBERS: Mapping[str, int] = {}
NOTHING_DECLARED = Declared()


@dataclass(frozen=True)
class OwnRule:
    """An editor's rule or emendation, to be run over everything.

    Attributes:
        copy: the letters his copies have, in letters; "" for nothing.
        original: what the editor reads for them, in letters; "" for nothing.
        where: the circumstances that must hold, of the copy's letters; () for everywhere.
        texts: ids of the lost texts it is meant for; () for all.
        decided: places (text, offset in the copy) where the editor has decided so.
        reason, by: as the editor gave them.
    """

    copy: str
    original: str
    where: tuple[tuple[Circumstance, str], ...] = ()
    texts: tuple[str, ...] = ()
    decided: tuple[tuple[str, int], ...] = field(default=())
    reason: str = ""
    by: str = ""
