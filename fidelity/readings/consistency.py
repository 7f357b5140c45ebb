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
from dataclasses import dataclass, field, replace
from heapq import nsmallest
from itertools import islice
from typing import NamedTuple

from fidelity.copyist.tagging import Tagged
from fidelity.letters import decode, encode
from fidelity.readings.rule_tests import (
    EVERYWHERE,
    FEWEST,
    RuleTests,
    Verdict,
    Where,
    surroundings_in,
    told,
    word_bounds,
)
from fidelity.readings.rule_words import (
    BOTH_KNOWN,
    BOTH_UNKNOWN,
    WHY,
    WORD_LOST,
    WOULD_BE_KNOWN,
    LostForms,
    Occasion,
)
from fidelity.readings.select import SETTLED
from fidelity.readings.steps import Step, known_steps, printed
from fidelity.settings import Settings
from fidelity.terms import Alignment, ProposedReading, RulePlace, RuleUse, Witness
from fidelity.variants.citations import Citations
from fidelity.variants.set_aside import Mask
from fidelity.witnesses.folds import Folds

FIRST_FORMS = 50  # among which places left are looked for to cite; most forms have some
AROUND = 2  # letters on either side; with fewer in common, places are hardly alike


@dataclass
class _Rule:
    """A rule in one lost text: the proposals that undo it, by the place of the written letters."""

    step: Step
    proposals: dict[int, ProposedReading] = field(default_factory=dict)
    in_forms: dict[tuple[str, int], list[int]] = field(default_factory=dict)  # place in a form: in the copy
    settled: bool = False
    wheres: set[Where] = field(default_factory=set)

    def of(self, one: Occasion) -> list[ProposedReading]:
        """Give the proposals that undo the rule at a place of a form."""
        return [self.proposals[at] for at in self.in_forms.get((one.form, one.at), ())]


Likeness = tuple[str, str, int]  # "in" a word at a place, or letters "around"
Looked = list[tuple[Occasion, int]]  # where a rule could be undone, and what is known of it (of ``WHY``)


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
                places += rules.mixed(rule, looked)
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
        self.citations = Citations(copy, text)
        self.rules: dict[Step, _Rule] = {}
        self.steps = [self._enter(reading, grounds) for reading in readings]

    def _enter(self, reading: ProposedReading, grounds: Grounds) -> list[Step]:
        """Enter a proposal under each of its rules."""
        copied, (start, end) = self.forms.copied, reading.copy_span
        proposed = grounds.folds.fold(encode(reading.proposed))
        entered = []
        for step, _, at in known_steps(proposed, copied[start:end], grounds.known):
            rule = self.rules.setdefault(step, _Rule(step))
            at += start
            first, last = word_bounds(copied, at, at + len(step[1]))
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

    def in_order(self) -> list[_Rule]:
        """Give the rules, those with most proposals first."""
        return sorted(self.rules.values(), key=lambda rule: (-len(rule.proposals), rule.step))

    def uses(self, rule: _Rule, looked: Looked, tests: RuleTests) -> Iterator[RuleUse]:
        """Give what became of a rule everywhere, then in the surroundings of its proposals."""
        counts: defaultdict[Where, Counter[str]] = defaultdict(Counter)
        for one, why in looked:
            settled = [reading.probability >= SETTLED for reading in rule.of(one)]
            found = {"proposed": sum(settled), "suspect": len(settled) - sum(settled)}
            found[WHY[why]] = len(one.starts) - len(settled)
            for where in surroundings_in(one.form, one.at, one.at + len(rule.step[1])):
                if where == EVERYWHERE or where in rule.wheres:
                    counts[where].update(found)
        for where in sorted(counts, key=lambda one: (one != EVERYWHERE, -counts[one]["proposed"], one)):
            tested = tests.of(rule.step, where, self.confidence, self.most)
            if where != EVERYWHERE and tested.places < FEWEST:
                continue
            yield self._use(rule, where, counts[where], tested)

    def _use(self, rule: _Rule, where: Where, counts: Counter[str], tested: Verdict) -> RuleUse:
        """Make the record of a rule in some surroundings."""
        left = [counts[name] for name in WHY]
        return RuleUse(
            rule=printed(rule.step),
            text=self.text,
            where=told(where),
            places=counts.total(),
            proposed=counts["proposed"],
            suspect=counts["suspect"],
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
        )

    def mixed(self, rule: _Rule, looked: Looked) -> Iterator[RulePlace]:
        """Give places like one another of which some are proposed for and some are not.

        Of other words only such are given as do not show that they are right as they stand.
        """
        alike: dict[Likeness, Looked] = {}
        for one, _ in looked:
            if any(reading.probability >= SETTLED for reading in rule.of(one)):
                alike |= {key: [] for key in _likeness(one, len(rule.step[1]))}
        for one, why in looked:
            for key in _likeness(one, len(rule.step[1])):
                if key in alike and (key[0] == "in" or why != WORD_LOST or rule.of(one)):
                    alike[key].append((one, why))
        for (kind, letters, _), found in sorted(
            alike.items(), key=lambda item: (item[0][0] != "in", item[0])
        ):
            if kind == "in" or len({one.form for one, _ in found}) > 1:
                yield from self._compared(rule, found, _told_likeness(kind, letters))

    def _compared(self, rule: _Rule, found: Looked, same: str) -> Iterator[RulePlace]:
        """Set the places beside each other, if they are not all treated alike."""
        followed = [(one, reading) for one, _ in found for reading in rule.of(one)]
        settled = [pair for pair in followed if pair[1].probability >= SETTLED][: self.most]
        doubtful = [pair for pair in followed if pair[1].probability < SETTLED][: self.most]
        left = list(islice(self._left(rule, sorted(found, key=lambda pair: pair[1])), self.most))
        if not (left or doubtful):
            return
        for one, reading in settled + doubtful:
            at = next(at for at in rule.in_forms[one.form, one.at] if rule.proposals[at] is reading)
            yield self._place(rule, same, one, at, reading.probability, "")
        for one, at, why in left:
            yield self._place(rule, same, one, at, None, WHY[why])

    @staticmethod
    def _left(rule: _Rule, found: Looked) -> Iterator[tuple[Occasion, int, int]]:
        """Give the places left as they stand."""
        for one, why in found:
            places = (start + one.at for start in one.starts)
            yield from ((one, at, why) for at in places if at not in rule.proposals)

    def _place(
        self, rule: _Rule, same: str, one: Occasion, at: int, probability: float | None, why: str
    ) -> RulePlace:
        """Make the record of one place."""
        start = at - one.at
        end = start + len(one.form)
        first, _ = word_bounds(self.forms.copied, max(start - 2, 0), start)
        _, last = word_bounds(self.forms.copied, end, min(end + 2, len(self.copy)))
        return RulePlace(
            rule=printed(rule.step),
            text=self.text,
            same=same,
            locus=self.citations.locus(min(at, len(self.copy) - 1)),
            word=decode(self.copy.letters[start:end]),
            undone=decode(one.undone),
            context=decode(self.copy.letters[first:last]).replace("\t", " "),
            probability=probability,
            why=why,
        )

    def elsewhere(self, rule: _Rule, looked: Looked) -> _Elsewhere:
        """Find what is to be cited of a rule with its proposals."""
        number = sum(len(one.starts) for one, _ in looked) - len(rule.proposals)
        first = nsmallest(FIRST_FORMS, looked, key=lambda pair: (pair[1], pair[0].starts[0]))
        cited = [
            f"{self.citations.locus(min(at, len(self.copy) - 1))} {decode(one.form)} left: {WHY[why]}"
            for one, at, why in islice(self._left(rule, first), self.most)
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
        proposals, left, number = elsewhere[step]
        others = [one for one in proposals[: self.most + 1] if one.number != reading.number][: self.most]
        for one in others:
            yield f"{one.locus} {one.transmitted} → {one.proposed} ({one.probability:.2f})"
        left = left[: self.most - len(others)]
        yield from left
        more = ((len(proposals) - 1 - len(others), "proposed"), (number - len(left), "left as they are"))
        rest = " and ".join(f"{count:,} {what}" for count, what in more if count > 0)
        if rest:
            yield f"{printed(step)}: and {rest}"


def _likeness(one: Occasion, size: int) -> tuple[Likeness, Likeness]:
    """Give what a place has in common with others: the place in its word, and the letters around."""
    padded = " " * AROUND + one.form + " " * AROUND
    return ("in", one.form, one.at), ("around", padded[one.at : one.at + 2 * AROUND + size], 0)


def _told_likeness(kind: str, letters: str) -> str:
    """Print what places have in common.

    >>> _told_likeness("around", " ndo"), _told_likeness("in", "with")
    ('in ndo…', 'in with')
    """
    if kind == "in":
        return f"in {decode(letters)}"
    before = "" if letters.startswith(" ") else "…"
    after = "" if letters.endswith(" ") else "…"
    return f"in {before}{decode(letters.strip())}{after}"
