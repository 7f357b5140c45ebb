"""One rule of the copyist's, looked at by itself: where he followed it, where not, and what undoing it does.

Arrives: a dossier that has been judged, the rule, and perhaps a circumstance. Leaves: a ``RuleSeen``. Start
reading at ``rule_seen``.

A rule need not be a habit, nor ever have been seen: then it is told how often it might have been.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from fidelity.causes.known import known_words
from fidelity.causes.undone import LostWords
from fidelity.confusions.circumstances import seats_of
from fidelity.confusions.count import answers_of
from fidelity.confusions.habits import parallels_in_print
from fidelity.confusions.intervals import clustered, dispersion, page_chances
from fidelity.confusions.kept import Offsets, bare_word
from fidelity.confusions.pooling import rates_under
from fidelity.confusions.surroundings import Surroundings
from fidelity.dossier import Dossier
from fidelity.errors import UsageError
from fidelity.judge import Audit
from fidelity.letters import decode, encode, whole_words
from fidelity.readings.own_rules import told_by, told_where
from fidelity.terms import (
    Alignment,
    Circumstance,
    CircumstanceRate,
    RulePlaceSeen,
    RuleSeen,
    Undoing,
    Variant,
)
from fidelity.terms.parallels import asked as circumstance_of
from fidelity.variants.places import Places

_BY_STRETCH = {Circumstance.SCRIPT: "scripts", Circumstance.LANGUAGE: "languages"}
Pair = tuple[str, str]


@dataclass(frozen=True)
class Where:
    """A circumstance that a rule is looked at under: kind and value, in letters; no kind for everywhere."""

    kind: Circumstance | None = None
    value: str = ""

    @classmethod
    def of(cls, asked: str) -> Where:
        """Take it as it is asked for, "after=e" or "place=last"; "" for everywhere.

        Raises:
            UsageError: no such circumstance, or no such value of it.
        """
        if not asked:
            return cls()
        return cls(*circumstance_of(asked))

    @property
    def told(self) -> str:
        """Say it in plain words."""
        return f"{self.kind.replace('_', ' ')} {decode(self.value)}" if self.kind else ""

    def holds(self, one: Surroundings, text: str, at: Offsets, size: int) -> np.ndarray:
        """Tell for letters that begin at some offsets whether it holds there."""
        if self.kind is None:
            return np.ones(len(at), dtype=np.bool_)
        if self.kind is Circumstance.TEXT:
            return np.full(len(at), self.value == text)
        if self.kind in _BY_STRETCH:
            values = getattr(one.places, _BY_STRETCH[self.kind])
            return np.array([values[n] == self.value for n in one.places.stretches(at)], dtype=np.bool_)
        numbers, names = one.values(self.kind, at, size)
        return np.array([n >= 0 and names[n] == self.value for n in numbers.tolist()], dtype=np.bool_)


def rule_seen(found: Audit, original: str, copy: str, where: str = "") -> RuleSeen:
    """Give all that the survivors show of one rule.

    Args:
        found: of ``judge.judge``.
        original: the original's letters, one to three.
        copy: what he wrote for them; "" for nothing.
        where: a circumstance, "after=e"; "" for everywhere.

    Raises:
        UsageError: no letters of the original are named, or there is no such circumstance.
    """
    pair, under = (encode(original), encode(copy)), Where.of(where)
    if not pair[0] or pair[0] == pair[1]:
        raise UsageError(
            f"{original!r} to {copy!r} is no rule", remedy="name letters of the original, then what he wrote"
        )
    _check_shortest(pair)
    dossier, settings = found.dossier, found.dossier.settings
    folds, spread = dossier.folds, dispersion(found.counts)
    alignments, places = found.by_survivor, found.places
    counted = _Counted()
    for text, alignment in alignments.items():
        ours = [one for one in found.variants if one.text == text]
        counted.add(Surroundings(alignment, ours, places[text], folds.fold), text, pair, under)
    rates, undoing = _everywhere(found, alignments, places, pair) if under.kind is None else ((), None)
    limits = clustered(counted.pages, page_chances(counted.chances), settings.confidence, spread)
    known = next((one for one in found.confusions if (encode(one.original), encode(one.copy)) == pair), None)
    scripts = {script for one in places.values() for script in one.scripts} - {""}
    return RuleSeen(
        original=decode(pair[0]),
        copy=decode(pair[1]),
        under=under.told,
        count=counted.pages.total(),
        chances=counted.chances.total(),
        low=limits.low,
        high=limits.high,
        systematic=bool(known and known.systematic),
        q_value=known.q_value if known else None,
        p_original_given_copy=known.p_original_given_copy if known else None,
        rates=rates,
        done=tuple(counted.done),
        right=tuple(counted.right),
        in_print=parallels_in_print(*pair, scripts, folds),
        undoing=undoing,
        stated=tuple(_stated(dossier, pair)),
    )


def _stated(dossier: Dossier, pair: Pair) -> Iterator[str]:
    """Say which rules of the editor's this is, and at how many places of the lost texts each is decided."""
    fold = dossier.folds.fold
    for rule in dossier.rules:
        if (fold(rule.original), fold(rule.copy)) == (fold(pair[0]), fold(pair[1])):
            where, texts = told_where(rule), ", ".join(rule.texts)
            told = [told_by(rule), where and f"under {where}", texts and f"meant for {texts}"]
            told.append(f"decided at {len(rule.decided):,} places" if rule.decided else "decided nowhere yet")
            yield "; ".join(filter(None, told))


def _everywhere(
    found: Audit, alignments: Mapping[str, Alignment], places: Mapping[str, Places], pair: Pair
) -> tuple[tuple[CircumstanceRate, ...], Undoing | None]:
    """Give what is told of a rule only where it is looked at everywhere: circumstances, and undoing it."""
    dossier, folds = found.dossier, found.dossier.folds
    seats = seats_of(alignments, found.variants, places, [pair], folds.fold)
    rates = rates_under(seats, dispersion(found.counts), dossier.settings)[pair]
    lost = {one.id: one.copy for one in dossier.lost}
    words = LostWords(lost, known_words(dossier) if lost else (), folds)
    return tuple(rates), words.confusion(*pair)


@dataclass
class _Counted:
    """What was counted of a rule: by page where it was followed and could have been, and the places."""

    pages: Counter[str] = field(default_factory=Counter)
    chances: Counter[str] = field(default_factory=Counter)
    done: list[RulePlaceSeen] = field(default_factory=list)
    right: list[RulePlaceSeen] = field(default_factory=list)

    def add(self, one: Surroundings, text: str, pair: Pair, under: Where) -> None:
        """Add what one survivor shows."""
        happened = np.array(one.events()[0].get(pair, []), dtype=np.intp)
        offered = one.chances(pair[0], one.good)
        happened, offered = (at[under.holds(one, text, at, len(pair[0]))] for at in (happened, offered))
        self.pages.update(one.places.page(at) for at in happened.tolist())
        self.chances.update(one.places.page(at) for at in offered.tolist())
        variants = _by_offset(one.variants, pair)
        self.done += [_place(one, at, variants.get(at)) for at in happened.tolist()]
        self.right += [
            _place(one, at, None) for at in np.setdiff1d(offered, _answered(one.variants)).tolist()
        ]


def _check_shortest(pair: Pair) -> None:
    """See that no letter is named that stays: it is no part of the rule, but of where it holds.

    Raises:
        UsageError: both begin or end with the same letter.
    """
    original, copy = pair
    start = next((at for at, (a, b) in enumerate(zip(*pair, strict=False)) if a != b), min(map(len, pair)))
    end = 0
    while end < min(map(len, pair)) - start and original[-1 - end] == copy[-1 - end]:
        end += 1
    if start or end:
        kept = [f"--where before={decode(original[start - 1])}"] if start else []
        kept += [f"--where after={decode(original[len(original) - end])}"] if end else []
        short = (decode(one[start : len(one) - end]) or '""' for one in pair)
        raise UsageError(
            f"{decode(original)} to {decode(copy)} names letters that stay",
            remedy=f"look at {' '.join(short)}, with {' or '.join(kept)}",
        )


def _by_offset(variants: Sequence[Variant], pair: Pair) -> dict[int, Variant]:
    """Give the variant that holds this answer, by the offset of the original's letters."""
    return {at: one for one in variants for at, *letters in answers_of(one) if tuple(letters) == pair}


def _answered(variants: Sequence[Variant]) -> Offsets:
    """Give the offsets of the original's letters that were not copied right."""
    at = [offset for one in variants for offset in range(*one.original_span)]
    return np.array(at, dtype=np.intp)


def _place(around: Surroundings, at: int, variant: Variant | None) -> RulePlaceSeen:
    (word,) = around.words_at(np.array([at], dtype=np.intp))
    letters = around.original.letters
    return RulePlaceSeen(
        around.original.locus(at),
        decode(bare_word(letters[slice(*whole_words(letters, at, at + 1))])),
        variant.copy_words if variant else "",
        str(variant.cause) if variant else "",
        decode(word),
    )
