"""Where a rule is followed at one place of a lost text and not at another like it.

Arrives: a rule with its proposals, and every place at which it could be undone. Leaves: ``RulePlace``s,
set beside each other. Start reading at ``LikePlaces.mixed``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from fidelity.letters import decode, whole_words
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.rule_tests import Where
from fidelity.readings.rule_words import WHY, WORD_LOST, LostForms, Occasion
from fidelity.readings.steps import Step, printed
from fidelity.terms import ProposedReading, RulePlace, Witness
from fidelity.variants.citations import Citations

AROUND = 2  # letters on either side; with fewer in common, places are hardly alike


@dataclass
class Rule:
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


def left(rule: Rule, found: Looked) -> Iterator[tuple[Occasion, int, int]]:
    """Give the places left as they stand: the form, the offset in the copy, what is known of it."""
    for one, why in found:
        places = (start + one.at for start in one.starts)
        yield from ((one, at, why) for at in places if at not in rule.proposals)


class LikePlaces:
    """The places of one lost text, to be set beside each other.

    Args:
        text: its id.
        copy: its copy.
        forms: the forms of the copy.
        most: at most so many places of a sort are given together.
    """

    def __init__(self, text: str, copy: Witness, forms: LostForms, most: int) -> None:
        self.text, self.copy, self.forms, self.most = text, copy, forms, most
        self.citations = Citations(copy, text)

    def cited(self, at: int) -> str:
        """Cite a place, the end of the text by its last letter."""
        return str(self.citations.locus(min(at, len(self.copy) - 1)))

    def mixed(self, rule: Rule, looked: Looked) -> Iterator[RulePlace]:
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

    def _compared(self, rule: Rule, found: Looked, same: str) -> Iterator[RulePlace]:
        """Set the places beside each other, if they are not all treated alike."""
        followed = [(one, reading) for one, _ in found for reading in rule.of(one)]
        settled = [pair for pair in followed if pair[1].probability >= SETTLED][: self.most]
        doubtful = [pair for pair in followed if pair[1].probability < SETTLED][: self.most]
        standing = list(islice(left(rule, sorted(found, key=lambda pair: pair[1])), self.most))
        if not (standing or doubtful):
            return
        for one, reading in settled + doubtful:
            at = next(at for at in rule.in_forms[one.form, one.at] if rule.proposals[at] is reading)
            yield self._place(rule, same, one, at, reading.probability, "")
        for one, at, why in standing:
            yield self._place(rule, same, one, at, None, WHY[why])

    def _place(
        self, rule: Rule, same: str, one: Occasion, at: int, probability: float | None, why: str
    ) -> RulePlace:
        """Make the record of one place."""
        start = at - one.at
        end = start + len(one.form)
        first, _ = whole_words(self.forms.copied, max(start - 2, 0), start)
        _, last = whole_words(self.forms.copied, end, min(end + 2, len(self.copy)))
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
