"""Rules behind proposed readings: where else each would apply, and what following it would do.

A rule is an operation of the copyist's, original letters → written letters (a word division put in or
left out, or a sign written out, is one as well). To follow it is to undo it: to read the original
letters wherever the written ones stand. Limits of intervals are shares 0-1.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.in_notebook import Shown
from fidelity.terms.witness import Locus


@dataclass(frozen=True)
class RuleUse(Shown):
    """A rule in one lost text, and in the survivors.

    Attributes:
        rule: original→written, as printed.
        text: id of the lost text.
        where: the surroundings it is asked for in ("before e", "in with"), as printed; "" for all.
        places: of the lost text, where the written letters stand, so that the rule could be undone.
        proposed: at how many of these undoing it is proposed, more probable than not.
        possible: at how many it is thought of, but less probable.
        would_be_known: of the places left, at how many the copy has no known word and undoing would
            make one: those to look at again.
        both_known: at how many of them both are known words, so that nothing shows.
        word_lost: at how many of them a known word would become none.
        both_unknown: at how many neither is a known word.
        survivor_places: of the survivors' copies, where the written letters stand.
        right: at how many of these the original had the original letters: following is right.
        wrong: at how many it had what the copy has: following would be wrong.
        low, high: limits of the interval for right / survivor_places, clustered by page; 0 and 1 where the
            survivors tell nothing of it, since their originals never have its letters.
        wrong_at: where following would be wrong, each with its word, as printed.
        by: whose rule it is, if the editor's, and why; "" for one behind the program's proposals.
    """

    rule: str
    text: str
    where: str
    places: int
    proposed: int
    possible: int
    would_be_known: int
    both_known: int
    word_lost: int
    both_unknown: int
    survivor_places: int
    right: int
    wrong: int
    low: float
    high: float
    wrong_at: tuple[str, ...] = ()
    by: str = ""

    @property
    def is_tested(self) -> bool:
        """Whether the survivors tell anything of it: they have such places, and its letters in originals."""
        return self.survivor_places > 0 and (self.low, self.high) != (0.0, 1.0)

    @property
    def left(self) -> int:
        """Give at how many places the transmitted reading is left as it stands."""
        return self.would_be_known + self.both_known + self.word_lost + self.both_unknown


@dataclass(frozen=True)
class RulePlace(Shown):
    """A place at which a rule is followed, or not, though it is elsewhere in the same surroundings.

    Attributes:
        rule: original→written, as printed.
        text: id of the lost text.
        same: what these places have in common, a word or the letters around, as printed.
        locus: place in the copy.
        word: the word or words it stands in, as printed.
        undone: what they would be with the rule undone, folded.
        context: the same with the words before and after, as printed.
        probability: of the reading that undoes the rule, 0-1; None where it is too small to be listed.
        why: what is known of a place left as it stands, in plain words; "" for a proposal.
        by: as in ``RuleUse``.
        decided: what the editor decided of the place; "" for nothing.
    """

    rule: str
    text: str
    same: str
    locus: Locus
    word: str
    undone: str
    context: str
    probability: float | None
    why: str = ""
    by: str = ""
    decided: str = ""


@dataclass(frozen=True)
class Shift(Shown):
    """A way in which a lost text lies outside, or differs from, what the survivors show.

    Attributes:
        text: id of the lost text.
        kind: "script", "language", "letter never met", "word unseen in his other copies", "spelling
            shifted", "shifted inside the text" or "spellings altogether".
        what: the script, language, letter or rule; "" where it is the text as a whole.
        share: of the lost text (or its part), 0-1; of a spelling: of the places where either stands.
        survivor_share: the same in the survivors, 0-1; None where there is none.
        low, high: limits of ``share``, or the least and greatest share among the survivors.
        p_value, q_value: of the difference, and its false-discovery rate; None where none was tested.
        found: whether it is a find, beyond what survivors differ among themselves.
        span: offsets in the copy at which the part begins and ends; the whole text if None.
        factor: by how much the odds of the spelling are others than in the survivors, 1 or more.
        example: a place or words, as printed.
        chance: probability that the spelling has shifted at all, 0-1; 1 for a find.
        withheld: how many proposals were made less probable for it.
    """

    text: str
    kind: str
    what: str
    share: float
    survivor_share: float | None = None
    low: float | None = None
    high: float | None = None
    p_value: float | None = None
    q_value: float | None = None
    found: bool = False
    span: tuple[int, int] | None = None
    factor: float = 1.0
    example: str = ""
    chance: float = 0.0
    withheld: int = 0
