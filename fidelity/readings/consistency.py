"""Run the rules behind proposed readings over the whole lost text, and over the survivors.

Arrives: the proposals, the copies of the lost texts, the survivors as tagged letters. Leaves: for each
rule where else it would apply, where it is followed, where not and why, and how often following it
would have been right, or wrong, in the survivors; and the proposals with the other places of the same
rule. Start reading at ``consistency``.

An editor asks of every rule: why here and not there? ``RulePlace``s answer for the places that have most
in common: the same word, or the same letters around.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import nsmallest
from itertools import islice
from typing import NamedTuple

from fidelity.copyist.tagging import Tagged
from fidelity.letters import decode, encode, whole_words
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.rule_places import LikePlaces, Looked, Rule, left
from fidelity.readings.rule_tests import (
    EVERYWHERE,
    FEWEST,
    RuleTests,
    Verdict,
    Where,
    surroundings_in,
    told,
)
from fidelity.readings.rule_words import (
    BOTH_KNOWN,
    BOTH_UNKNOWN,
    WHY,
    WORD_LOST,
    WOULD_BE_KNOWN,
    LostForms,
)
from fidelity.readings.steps import Step, known_steps, printed
from fidelity.settings import Settings
from fidelity.terms import Alignment, ProposedReading, RulePlace, RuleUse, Witness
from fidelity.variants.set_aside import Mask
from fidelity.witnesses.folds import Folds

SETTLED_SO, POSSIBLE_SO = "proposed", "possible"  # what becomes of a place, beside ``WHY`` it is left
FIRST_FORMS = 50  # among which places left are looked for to cite; most forms have some


@dataclass(frozen=True)
class Consistency:
    """What running the rules over everything gave.

    Attributes:
        readings: the proposals, with the other places of the same rules.
        uses: each rule in each text, everywhere first, then in narrower surroundings.
        places: where a rule is followed at one place and not at another like it.
    """

    readings: tuple[ProposedReading, ...] = ()
    uses: tuple[RuleUse, ...] = ()
    places: tuple[RulePlace, ...] = ()


@dataclass(frozen=True)
class Grounds:
    """What the rules are held against.

    Attributes:
        copies: of the lost texts, by id, with the mask of what is his.
        tagged: the survivors' copies with their tags, by id.
        alignments: of the same.
        words: the words that are known.
        known: the operations that the survivors show.
        folds: letterforms counted as equal.
        settings: confidence, and how many places are cited.
    """

    copies: Mapping[str, tuple[Witness, Mask]]
    tagged: Mapping[str, Tagged]
    alignments: Mapping[str, Alignment]
    words: Collection[str]
    known: Container[Step]
    folds: Folds
    settings: Settings


def consistency(readings: Sequence[ProposedReading], grounds: Grounds) -> Consistency:
    """Run every rule behind a proposal over its lost text and over the survivors.

    Rules of proposals that are more probable than not are told in full; of the others only the places
    are cited with the proposals.

    Args:
        readings: the proposals of all lost texts, in order.
        grounds: what they are held against.
    """
    lost = {
        text: _LostRules(text, copy, his, [one for one in readings if one.text == text], grounds)
        for text, (copy, his) in grounds.copies.items()
    }
    wanted: defaultdict[str, set[Where]] = defaultdict(set)
    for rules in lost.values():
        for rule in rules.rules.values():
            wanted[rule.step[1]] |= rule.wheres
    tests = RuleTests(grounds.tagged, grounds.alignments, wanted)
    uses: list[RuleUse] = []
    places: list[RulePlace] = []
    done: list[ProposedReading] = []
    for rules in lost.values():
        elsewhere: dict[Step, _Elsewhere] = {}
        for rule in rules.in_order():
            looked = list(rules.forms.looked_at(rule.step))
            elsewhere[rule.step] = rules.elsewhere(rule, looked)
            if rule.settled:
                uses += rules.uses(rule, looked, tests)
                places += rules.like.mixed(rule, looked)
        done += rules.with_same_rule(elsewhere)
    return Consistency(tuple(done), tuple(uses), tuple(places))


class _Elsewhere(NamedTuple):
    """What is cited of a rule with each of its proposals.

    Attributes:
        proposals: in order of the text.
        left: the first places left as they are, as printed; those first that would become known words.
        number: how many places are left.
    """

    proposals: list[ProposedReading]
    left: list[str]
    number: int


class _LostRules:
    """The rules behind the proposals for one lost text."""

    def __init__(
        self, text: str, copy: Witness, his: Mask, readings: Sequence[ProposedReading], grounds: Grounds
    ) -> None:
        self.text, self.copy, self.readings = text, copy, readings
        self.most, self.confidence = grounds.settings.parallels, grounds.settings.confidence
        self.forms = LostForms(grounds.folds.fold(copy.letters), his, grounds.words)
        self.like = LikePlaces(text, copy, self.forms, self.most)
        self.rules: dict[Step, Rule] = {}
        self.steps = [self._enter(reading, grounds) for reading in readings]

    def _enter(self, reading: ProposedReading, grounds: Grounds) -> list[Step]:
        """Enter a proposal under each of its rules."""
        copied, (start, end) = self.forms.copied, reading.copy_span
        proposed = grounds.folds.fold(encode(reading.proposed))
        entered = []
        for step, _, at in known_steps(proposed, copied[start:end], grounds.known):
            rule = self.rules.setdefault(step, Rule(step))
            at += start
            first, last = whole_words(copied, at, at + len(step[1]))
            form, place = copied[first:last], at - first
            if at not in rule.proposals:
                rule.in_forms.setdefault((form, place), []).append(at)
            if at not in rule.proposals or rule.proposals[at].probability < reading.probability:
                rule.proposals[at] = reading
            if reading.probability >= SETTLED:
                rule.settled = True
                rule.wheres.update(surroundings_in(form, place, place + len(step[1]))[1:])
            entered.append(step)
        return entered

    def in_order(self) -> list[Rule]:
        """Give the rules, those with most proposals first."""
        return sorted(self.rules.values(), key=lambda rule: (-len(rule.proposals), rule.step))

    def uses(self, rule: Rule, looked: Looked, tests: RuleTests) -> Iterator[RuleUse]:
        """Give what became of a rule everywhere, then in the surroundings of its proposals."""
        counts: defaultdict[Where, Counter[str]] = defaultdict(Counter)
        size = len(rule.step[1])
        for one, why in looked:
            readings = rule.of(one)
            settled = sum(reading.probability >= SETTLED for reading in readings)
            for where in surroundings_in(one.form, one.at, one.at + size):
                if where == EVERYWHERE or where in rule.wheres:
                    counted = counts[where]
                    counted[WHY[why]] += len(one.starts) - len(readings)
                    if readings:
                        counted[SETTLED_SO] += settled
                        counted[POSSIBLE_SO] += len(readings) - settled
        for where in sorted(counts, key=lambda one: (one != EVERYWHERE, -counts[one][SETTLED_SO], one)):
            tested = tests.of(rule.step, where, self.confidence, self.most)
            if where != EVERYWHERE and tested.places < FEWEST:
                continue
            yield summed_up(rule.step, (self.text, told(where)), counts[where], tested)

    def elsewhere(self, rule: Rule, looked: Looked) -> _Elsewhere:
        """Find what is to be cited of a rule with its proposals."""
        number = sum(len(one.starts) for one, _ in looked) - len(rule.proposals)
        first = nsmallest(FIRST_FORMS, looked, key=lambda pair: (pair[1], pair[0].starts[0]))
        cited = [
            f"{self.like.cited(at)} {decode(one.form)} left: {WHY[why]}"
            for one, at, why in islice(left(rule, first), self.most)
        ]
        return _Elsewhere([rule.proposals[at] for at in sorted(rule.proposals)], cited, max(number, 0))

    def with_same_rule(self, elsewhere: Mapping[Step, _Elsewhere]) -> Iterator[ProposedReading]:
        """Give the proposals, each with the other places of its rules and what becomes of them."""
        for reading, steps in zip(self.readings, self.steps, strict=True):
            cited = [line for step in dict.fromkeys(steps) for line in self._cited(reading, step, elsewhere)]
            yield replace(reading, same_rule_elsewhere=tuple(dict.fromkeys(cited)))

    def _cited(
        self, reading: ProposedReading, step: Step, elsewhere: Mapping[Step, _Elsewhere]
    ) -> Iterator[str]:
        """Cite the other places of a rule: proposals first, then places left as they are."""
        proposals, standing, number = elsewhere[step]
        others = [one for one in proposals[: self.most + 1] if one.number != reading.number][: self.most]
        for one in others:
            yield f"{one.locus} {one.transmitted} → {one.proposed} ({one.probability:.2f})"
        standing = standing[: self.most - len(others)]
        yield from standing
        more = ((len(proposals) - 1 - len(others), "proposed"), (number - len(standing), "left as they are"))
        rest = " and ".join(f"{count:,} {what}" for count, what in more if count > 0)
        if rest:
            yield f"{printed(step)}: and {rest}"


def summed_up(
    step: Step, place: tuple[str, str], counts: Counter[str], tested: Verdict, by: str = ""
) -> RuleUse:
    """Sum up what becomes of a rule in one text, and what following it would have done in the survivors.

    Args:
        step: the rule, folded.
        place: id of the text, and under which circumstances, as printed.
        counts: at how many places it is proposed, at how many possible, and ``WHY`` it is left at the others.
        tested: what the survivors say.
        by: whose rule it is; "" for the program's.
    """
    left = [counts[name] for name in WHY]
    return RuleUse(
        rule=printed(step),
        text=place[0],
        where=place[1],
        places=counts.total(),
        proposed=counts[SETTLED_SO],
        possible=counts[POSSIBLE_SO],
        would_be_known=left[WOULD_BE_KNOWN],
        both_known=left[BOTH_KNOWN],
        word_lost=left[WORD_LOST],
        both_unknown=left[BOTH_UNKNOWN],
        survivor_places=tested.places,
        right=tested.right,
        wrong=tested.wrong,
        low=tested.low,
        high=tested.high,
        wrong_at=tested.wrong_at,
        by=by,
    )
