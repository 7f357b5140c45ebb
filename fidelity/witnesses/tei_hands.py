"""Decide which hand of a TEI text is the main hand, where its header does not say so.

Arrives: the hands by number, what each does in the text, and how many letters are in it. Leaves:
their order, the main hand first. Start reading at ``order_of_hands``.

The main hand is the handNote with the scope "sole" or "major". Where none has, it is the hand that
writes most letters: of those that a handShift or the @hand of a passage names, and of the hand that
nothing names. The latter is the first handNote that the text never refers to, if there is one. A
hand that only adds or deletes is a corrector's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

MAIN_HAND = "main"
UNNAMED = 0  # number of the hand that writes before any is named, where none is declared the main hand


@dataclass
class Hands:
    """The hands of a text while it is being read.

    Attributes:
        names: by number; where no main hand is declared, the first is that of the unnamed hand.
        ids: xml:id of a hand -> its number.
        scripts: number -> the script that the header gives.
        is_declared: whether the header says which hand is the main one; it is then the first.
        minor: numbers of hands whose scope is said to be minor.
        writing: numbers of hands that are named as writing, not only as adding or deleting.
        mentioned: xml:ids that the text refers to in whatever way.
    """

    names: list[str] = field(default_factory=lambda: [MAIN_HAND])
    ids: dict[str, int] = field(default_factory=dict)
    scripts: dict[int, str] = field(default_factory=dict)
    is_declared: bool = False
    minor: set[int] = field(default_factory=set)
    writing: set[int] = field(default_factory=set)
    mentioned: set[str] = field(default_factory=set)


def order_of_hands(hands: Hands, letters: Sequence[int]) -> tuple[list[int], list[int], str]:
    """Put the main hand first, and say so where it is not declared.

    Args:
        hands: as the header and the text name them.
        letters: how many letters each hand has, by number.

    Returns:
        Numbers of the hands in their order; of each number its new one; and a note, "" where there
        was nothing to decide.

    >>> hands = Hands(["main", "wulf"], {"wulf": 1}, writing={1}, mentioned={"wulf"})
    >>> order_of_hands(hands, [0, 17])
    ([1], [0, 0], 'main hand taken to be wulf: no handNote has scope "sole" or "major"')
    """
    every = list(range(len(hands.names)))
    if hands.is_declared:
        return every, every, ""
    unnamed = _who_is_unnamed(hands)
    written = {hand: letters[hand] for hand in sorted(hands.writing)}
    if letters[UNNAMED] or not written:
        written = {unnamed: letters[UNNAMED]} | written
    major = {hand: size for hand, size in written.items() if hand not in hands.minor} or written
    main = max(major, key=lambda hand: major[hand])  # of equals the first
    others = [hand for hand in every if hand not in (main, UNNAMED)]
    if main != UNNAMED and unnamed == UNNAMED and letters[UNNAMED]:
        others.insert(0, UNNAMED)
    order = [main, *others]
    new = [order.index(hand) if hand in order else 0 for hand in every]
    new[UNNAMED] = order.index(unnamed) if unnamed in order else 0
    if main == UNNAMED and len(written) == 1 and not hands.ids.keys() - {""} - hands.mentioned:
        return order, new, ""  # nobody else could be meant
    name = "one that nothing names" if main == UNNAMED else hands.names[main]
    most = ", who writes most letters" if len(written) > 1 else ""
    return order, new, f'main hand taken to be {name}{most}: no handNote has scope "sole" or "major"'


def _who_is_unnamed(hands: Hands) -> int:
    """Give the hand that writes where none is named: the first handNote that the text leaves unsaid."""
    if UNNAMED in hands.writing:
        return UNNAMED
    for name, hand in hands.ids.items():
        if hand not in hands.minor and name not in hands.mentioned:
            return hand
    return UNNAMED
