"""An editor's own rules, and readings adopted, run over everything as the program's are.

Arrives: rules, decisions, the proposals, and what rules are held against. Leaves: ``RuleUse``s and
``RulePlace``s that say whose rule it is. Start reading at ``own_rules_run``.

An adopted reading is a rule too: who reads *s* for *r* at one place must say why not at the next. Of an
editor's rule every place is listed, with what was decided there or what is proposed, for he asks of each.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fidelity.letters import decode, encode, whole_words
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.consistency import POSSIBLE_SO, SETTLED_SO, Grounds, summed_up
from fidelity.readings.rule_tests import RuleTests
from fidelity.readings.rule_words import WHY, LostForms
from fidelity.readings.steps import Step, known_steps, printed
from fidelity.terms import Circumstance, ProposedReading, RulePlace, RuleUse, Witness
from fidelity.terms.decisions import APPLIED, DecisionUse, Ruling
from fidelity.terms.parallels import OwnRule
from fidelity.variants.citations import Citations
from fidelity.variants.places import Places

MOST_PLACES = 400  # of one rule in one text; nobody goes through more, and consistency.csv counts them all
EVERYWHERE = "everywhere"
HERE = "decided so"


@dataclass(frozen=True)
class OwnGrounds:
    """What an editor's rules are held against.

    Attributes:
        grounds: as for the rules behind proposals.
        places: scripts and languages of the survivors' originals, by id.
        decisions: what became of the editor's decisions.
    """

    grounds: Grounds
    places: Mapping[str, Places]
    decisions: Sequence[DecisionUse] = ()


def own_rules_run(
    rules: Sequence[OwnRule], readings: Sequence[ProposedReading], own: OwnGrounds
) -> tuple[list[RuleUse], list[RulePlace]]:
    """Run an editor's rules, and the operations behind the readings adopted, over everything.

    Args:
        rules: of the dossier.
        readings: the proposals of all lost texts.
        own: what they are held against.
    """
    every = [*rules, *_adopted(rules, own)]
    uses: list[RuleUse] = []
    places: list[RulePlace] = []
    if not every:
        return uses, places
    grounds = own.grounds
    tests = RuleTests(grounds.tagged, grounds.alignments, {})
    for text, (copy, his) in grounds.copies.items():
        meant = [rule for rule in every if not rule.texts or text in rule.texts]
        if not meant:
            continue
        forms = LostForms(grounds.folds.fold(copy.letters), his, grounds.words)
        here = [one for one in readings if one.text == text and one.is_proposal]
        for rule in meant:
            one = _InText(text, copy, forms, rule, here, own)
            found = list(one.places())
            uses.append(one.use(found, tests))
            places += found[:MOST_PLACES]
    return uses, places


def told_where(rule: OwnRule) -> str:
    """Say under which circumstances a rule is meant; "" for everywhere.

    >>> told_where(OwnRule("r", "s", ((Circumstance.PLACE, "last"),)))
    'place in word last'
    """
    return ", ".join(f"{kind.replace('_', ' ')} {decode(value)}" for kind, value in rule.where)


def told_by(rule: OwnRule) -> str:
    """Say whose rule it is, and why: never nothing, so that it is told from the program's."""
    return f"{rule.by or 'the editor'}: {rule.reason}" if rule.reason else rule.by or "the editor"


def step_of(rule: OwnRule, grounds: Grounds) -> Step:
    """Give a rule as the copyist's operation, folded."""
    return grounds.folds.fold(rule.original), grounds.folds.fold(rule.copy)


def _adopted(rules: Sequence[OwnRule], own: OwnGrounds) -> list[OwnRule]:
    """Give the operations behind the readings adopted, each once, with all places where it was so."""
    grounds = own.grounds
    found: dict[Step, OwnRule] = {}
    stated = {step_of(rule, grounds) for rule in rules if not rule.where and not rule.texts}
    for use in own.decisions:
        decision = use.decision
        if decision.ruling is not Ruling.ADOPTED or use.applied != APPLIED:
            continue
        if decision.text not in grounds.copies:
            continue
        copied = grounds.folds.fold(grounds.copies[decision.text][0].letters[slice(*use.span)])
        adopted = grounds.folds.fold(encode(decision.value))
        for step, _, at in known_steps(adopted, copied, grounds.known):
            if step in stated:
                continue
            place = (decision.text, use.span[0] + at)
            first = OwnRule(step[1], step[0], reason=decision.reason, by=decision.who)
            rule = found.setdefault(step, first)
            found[step] = replace(rule, decided=(*rule.decided, place))
    return list(found.values())


class _InText:
    """One rule in one lost text."""

    def __init__(
        self,
        text: str,
        copy: Witness,
        forms: LostForms,
        rule: OwnRule,
        readings: Sequence[ProposedReading],
        own: OwnGrounds,
    ) -> None:
        self.text, self.copy, self.forms, self.rule, self.readings = text, copy, forms, rule, readings
        self.own, self.grounds = own, own.grounds
        self.step = step_of(rule, self.grounds)
        self.citations = Citations(copy, text)
        self.decisions = [
            one for one in own.decisions if one.decision.text == text and one.applied == APPLIED
        ]

    def places(self) -> Iterator[RulePlace]:
        """Give every place at which the rule applies, in order, with what becomes of it."""
        found = [
            (start + one.at, one.form, one.at, one.undone, why)
            for one, why in self.forms.looked_at(self.step)
            for start in one.starts
        ]
        script, language = self.copy.script, self.copy.language
        for at, form, inside, undone, why in sorted(found):
            if all(self._holds(kind, value, at, script, language) for kind, value in self.rule.where):
                yield self._place(at, form, inside, undone, WHY[why])

    def _holds(self, kind: Circumstance, value: str, at: int, script: str, language: str) -> bool:
        end = at + len(self.step[1])
        return holds(kind, value, self.forms.copied, (at, end), (self.text, script, language))

    def _place(self, at: int, form: str, inside: int, undone: str, why: str) -> RulePlace:
        """Make the record of one place."""
        start = at - inside
        end = start + len(form)
        first, _ = whole_words(self.forms.copied, max(start - 2, 0), start)
        _, last = whole_words(self.forms.copied, end, min(end + 2, len(self.copy)))
        decided, told = self._decided(at)
        return RulePlace(
            rule=printed(self.step),
            text=self.text,
            same=told_where(self.rule) or EVERYWHERE,
            locus=self.citations.locus(min(at, len(self.copy) - 1)),
            word=decode(self.copy.letters[start:end]),
            undone=decode(undone),
            context=decode(self.copy.letters[first:last]).replace("\t", " "),
            probability=self._probability(at),
            why="; ".join(filter(None, (told, why))),
            by=told_by(self.rule),
            decided=decided,
        )

    def _decided(self, at: int) -> tuple[str, str]:
        """Say what was decided of a place, and why."""
        end = at + len(self.step[1])
        for use in self.decisions:
            if use.span[0] <= at and end <= use.span[1]:
                one = use.decision
                value = f" {one.value}" if one.value else ""
                return str(one.ruling), f"{one.ruling}{value} ({one.who}): {one.reason}".rstrip(": ")
        return (HERE, self.rule.reason) if (self.text, at) in self.rule.decided else ("", "")

    def _probability(self, at: int) -> float | None:
        """Give the probability of the proposal that does what the rule does; None where there is none."""
        end = at + len(self.step[1])
        copied, folds = self.forms.copied, self.grounds.folds
        best = None
        for one in self.readings:
            (start, stop), proposed = one.copy_span, folds.fold(encode(one.proposed))
            if stop < at or start > end:
                continue
            first, last = min(at, start), max(end, stop)
            made = copied[first:start] + proposed + copied[stop:last]
            same = made == copied[first:at] + self.step[0] + copied[end:last]
            steps = () if same else known_steps(proposed, copied[start:stop], self.grounds.known)
            if same or any(step == self.step and start + where == at for step, _, where in steps):
                best = max(best or 0.0, one.probability)
        return best

    def use(self, places: Sequence[RulePlace], tests: RuleTests) -> RuleUse:
        """Sum up what becomes of the rule, and what following it would have done in the survivors."""
        tested = tests.under(
            self.step, self._in_survivor, self.grounds.settings.confidence, self.grounds.settings.parallels
        )
        counts: Counter[str] = Counter()
        for one in places:
            if one.probability is None:
                counts[one.why.rpartition("; ")[2]] += 1
            else:
                counts[SETTLED_SO if one.probability >= SETTLED else POSSIBLE_SO] += 1
        return summed_up(self.step, (self.text, told_where(self.rule)), counts, tested, told_by(self.rule))

    def _in_survivor(self, text: str, at: int, origin: int) -> bool:
        """Tell whether the circumstances hold at a place of a survivor's copy.

        A rule that is meant for a lost text alone is tried on all survivors.
        """
        places, copied = self.own.places[text], self.grounds.tagged[text].copied
        span, about = (at, at + len(self.step[1])), (text, places.script(origin), places.language(origin))
        where = [one for one in self.rule.where if one != (Circumstance.TEXT, encode(self.text))]
        return all(holds(*one, copied, span, about) for one in where)


def holds(
    kind: Circumstance, value: str, copied: str, span: tuple[int, int], about: tuple[str, str, str]
) -> bool:
    """Tell whether a circumstance holds of some letters of a copy.

    Args:
        kind, value: the circumstance.
        copied: the copy, folded.
        span: of the letters.
        about: id of the text, and script and language of the original there.

    >>> holds(Circumstance.PLACE, "last", "Ic wær on", (5, 6), ("X", "", ""))
    True
    """
    at, end = span
    before, after = copied[at - 1 : at] if at else " ", copied[end : end + 1] or " "
    if kind is Circumstance.BEFORE:
        return before == value
    if kind is Circumstance.AFTER:
        return after == value
    if kind is Circumstance.WORD:
        start, stop = whole_words(copied, at, end)
        return copied[start:stop].strip(".,;:·") == value
    if kind is Circumstance.PLACE:
        names = {(True, True): "alone", (True, False): "first", (False, True): "last"}
        return names.get((_is_border(before), _is_border(after)), "inside") == value
    return dict(zip((Circumstance.TEXT, Circumstance.SCRIPT, Circumstance.LANGUAGE), about, strict=True))[
        kind
    ] == decode(value)


def _is_border(letter: str) -> bool:
    return letter.isspace() or letter in ".,;:·"
