"""Why a proposal was believed: what spoke for it in the round in which it was made.

Arrives: proposals made blind, how each was made, and what its round knew. Leaves: reasons in plain
words. Start reading at ``reasons``; ``worst_mistakes`` chooses which are told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fidelity.letters import SPACE, decode
from fidelity.readings.select import Choice
from fidelity.readings.steps import Step
from fidelity.terms import Mistake, TrialReading
from fidelity.trial.rounds import Round

MOST_MISTAKES = 25  # wrong proposals that are told with their reasons; trial.csv has all
HALF = 0.5  # a wrong proposal that was not even held likely is no mistake worth telling
RIVALS_TOLD, RIVAL_FROM = 2, 0.01  # a rival less probable prints as 0.00
Made = tuple[TrialReading, Choice, int]  # a proposal beside the truth, how it was made, in which round


def worst_mistakes(made: Sequence[Made], rounds: Mapping[int, Round]) -> list[Mistake]:
    """Give the wrong proposals that were held most probable, each with the reasons.

    The same wrong proposal for the same words at several places is told once.

    Args:
        made: every proposal.
        rounds: what each round knew.
    """
    wrong = [one for one in made if not one[0].right and one[0].probability >= HALF]
    wrong.sort(key=lambda one: -one[0].probability)  # the order of the text is kept among equals
    told: dict[tuple[str, str, str], list[Made]] = {}
    for one in wrong:
        told.setdefault((one[0].context, one[0].transmitted, one[0].proposed), []).append(one)
    return [
        Mistake(some[0][0], len(some), reasons(some[0][1], rounds[some[0][2]]))
        for some in list(told.values())[:MOST_MISTAKES]
    ]


def reasons(choice: Choice, known: Round) -> tuple[str, ...]:
    """Say why a proposal was believed, each reason a sentence without its stop.

    Args:
        choice: how it was made.
        known: what its round knew.
    """
    one = choice.candidate
    said = [_habit(step, known) for step, _, _ in known.book.steps_between(one.proposed, one.transmitted)]
    if one.single:
        said.append("the word as a whole was not settled")
    else:
        said += [_memory(one.transmitted, known), _words(one.proposed, one.transmitted, known)]
    rivals = [f"{_rival(text, one.transmitted)} {p:.2f}" for text, p in choice.rivals if p >= RIVAL_FROM]
    if rivals:
        said.append(f"rivals: {', '.join(rivals[:RIVALS_TOLD])}")
    return tuple(dict.fromkeys(text for text in said if text))


def told_letters(letters: str) -> str:
    """Give letters for running text, a space by its name.

    >>> told_letters("rn"), told_letters(" "), told_letters("d g")
    ('rn', 'a space', 'd␣g')
    """
    return "a space" if letters == " " else decode(letters).replace(" ", SPACE)


def _habit(step: Step, known: Round) -> str:
    """Say how often he did this in the survivors that the round learned from."""
    original, written = step
    evidence = known.book.of(step, "", 0, 0)
    did, to_do = _deed(step)
    if not evidence.count:
        return f"he was never seen to {to_do}"
    if original and not any(map(str.isspace, original + written)):
        return f"he {did} in {evidence.count:,} of {evidence.chances:,} chances"
    return f"he {did} {_times(evidence.count)}"


def _deed(step: Step) -> tuple[str, str]:
    """Say what he did, and what it is to do so.

    >>> _deed(("s", "r"))
    ('wrote r for s', 'write r for s')
    >>> _deed((" ", ""))
    ('joined two words', 'join two words')
    """
    original, written = (told_letters(letters) for letters in step)
    if step == (" ", ""):
        return "joined two words", "join two words"
    if step == ("", " "):
        return "parted a word", "part a word"
    if not original:
        return f"put in {written}", f"put in {written}"
    if not written:
        return f"left out {original}", f"leave out {original}"
    return f"wrote {written} for {original}", f"write {written} for {original}"


def _memory(transmitted: str, known: Round) -> str:
    """Say what the written word stood for elsewhere."""
    seen = known.memory.seen(transmitted)
    if not seen:
        return f"“{decode(transmitted)}” was written nowhere else in the survivors" if transmitted else ""
    best = min(seen, key=lambda word: (-seen[word], word))
    places = f"{seen[best]:,} of {seen.total():,} places"
    return f"“{decode(transmitted)}” stood for “{decode(best)}” in {places}"


def _rival(text: str, transmitted: str) -> str:
    return "as transmitted" if text == transmitted else f"“{decode(text)}”"


def _words(proposed: str, transmitted: str, known: Round) -> str:
    """Say how often the words proposed stand in the originals and reference texts, and those copied."""
    new = [word for word in proposed.split() if word not in transmitted.split()]
    old = [word for word in transmitted.split() if word not in proposed.split()]
    words = list(dict.fromkeys([*new, *old]))
    met = [word for word in words if known.words.get(word, 0)]
    if not met:
        no = [f"“{decode(word)}”" for word in words]
        return f"neither {' nor '.join(no)} stands in the originals and reference texts" if no[1:] else ""
    first, *others = ((f"“{decode(word)}”", f" {_times(known.words.get(word, 0))}") for word in words)
    texts = "stands in the originals and reference texts"
    return ", ".join([f"{first[0]} {texts}{first[1]}", *("".join(one) for one in others)])


def _times(count: int) -> str:
    """Say how often.

    >>> _times(0), _times(1), _times(2)
    ('never', 'once', '2 times')
    """
    return {0: "never", 1: "once"}.get(count, f"{count:,} times")
