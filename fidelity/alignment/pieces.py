"""Cut two long texts into pieces that answer each other, so that memory stays bounded.

Arrives: two texts as numbers. Leaves: ``Piece``s with their anchors, in order, covering both texts.
Start reading at ``pieces_of``, then ``sample_of``.

Long runs of letters that stand once in either text, chosen by their hash, show where the texts
answer each other at any distance (a lost quire, a preface); the cuts are made inside such runs.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from fidelity.alignment.anchors import anchors_between
from fidelity.alignment.seeds import Hashes, Places, common_once, sampled_grams
from fidelity.alignment.texts import NumberedTexts, Numbers

PIECE = 250_000  # letters; measured on prototypes: 50 MB at any size, and no dearer than uncut
LONG_GRAMS = ((32, 64), (20, 32))  # letters in a long run, and long runs to one that is looked at; the
# second where the first leaves too much uncut: at 20 % noise one in a hundred runs of 20 letters is whole
STEADY = 64  # letters by which neighbours may be shifted where a cut is made

Place = tuple[int, int]  # in the original, in the copy

STRETCH, MOST_STRETCHES = 20_000, 4  # letters; what is learned from first only has to find the paths
SAMPLED = 5  # times the sample at least is a text from which one is taken


@dataclass(frozen=True, eq=False)
class Piece:
    """A stretch of the original and the stretch of the copy that answers it.

    Attributes:
        start, end: offsets in the original.
        start_copy, end_copy: offsets in the copy.
        anchors: rows of original start, copy start, length, counted from the piece's start.
    """

    start: int
    end: int
    start_copy: int
    end_copy: int
    anchors: npt.NDArray[np.int32]


def pieces_of(texts: NumberedTexts) -> list[Piece]:
    """Cut two texts into pieces and find the anchors of each."""
    borders = [(0, 0), *_cuts(texts), (len(texts.original), len(texts.copy))]
    pieces = []
    for (o0, c0), (o1, c1) in pairwise(borders):
        anchors = anchors_between(texts.fold(texts.original[o0:o1]), texts.fold(texts.copy[c0:c1]))
        pieces.append(Piece(o0, o1, c0, c1, anchors.astype(np.int32)))
    return pieces


def _cuts(texts: NumberedTexts) -> list[Place]:
    """Give the places at which both texts are cut, about a piece apart."""
    cuts: list[Place] = []
    ends = len(texts.original), len(texts.copy)
    if max(ends) <= PIECE * 3 // 2:
        return cuts
    for length, one_in in LONG_GRAMS:
        at, at_copy = _steady_places(texts, length, one_in)
        cuts = _spaced(at, at_copy, ends)
        borders = np.array([(0, 0), *cuts, ends])
        if np.diff(borders, axis=0).max() <= 2 * PIECE:
            break
    return cuts


def _steady_places(texts: NumberedTexts, length: int, one_in: int) -> tuple[Places, Places]:
    """Give places in both texts that surely answer each other, inside long runs of like letters."""
    here, there = (_long_grams(texts, side, length, one_in) for side in (texts.original, texts.copy))
    at, at_copy = common_once(*here, *there)
    if (np.diff(at_copy) <= 0).any():
        chain = longest_chain(at_copy.tolist())
        at, at_copy = at[chain], at_copy[chain]
    near = np.abs(np.diff(at_copy - at)) <= STEADY
    steady = np.zeros(len(at), dtype=np.bool_)
    steady[1:-1] = near[1:] & near[:-1]
    return at[steady] + length // 2, at_copy[steady] + length // 2


def _spaced(at: Places, at_copy: Places, ends: Place) -> list[Place]:
    """Choose places about a piece apart; where there is none so near, the next there is."""
    cuts: list[Place] = []
    last = (0, 0)
    while max(ends[0] - last[0], ends[1] - last[1]) > PIECE:
        wanted = int(min(np.searchsorted(at, last[0] + PIECE), np.searchsorted(at_copy, last[1] + PIECE))) - 1
        if wanted < 0 or at[wanted] <= last[0]:
            wanted = int(np.searchsorted(at, last[0], "right"))
        if wanted >= len(at):
            break
        last = int(at[wanted]), int(at_copy[wanted])
        cuts.append(last)
    return cuts


def _long_grams(texts: NumberedTexts, letters: Numbers, length: int, one_in: int) -> tuple[Hashes, Places]:
    """Choose long runs of a text, a piece at a time."""
    hashes, places = [], []
    for start in range(0, len(letters), PIECE):
        part = texts.fold(letters[start : start + PIECE + length - 1])
        found, at = sampled_grams(part, length, one_in)
        hashes.append(found)
        places.append(at + start)
    return np.concatenate(hashes), np.concatenate(places)


def longest_chain(places: list[int]) -> list[int]:
    """Keep the longest sequence of places that ascends (Fredman 1975); give where they stand.

    >>> longest_chain([7, 2, 3, 9])
    [1, 2, 3]
    """
    tails: list[int] = []
    tail_at: list[int] = []
    before = []
    for at, place in enumerate(places):
        rank = len(tails) if not tails or place > tails[-1] else bisect_left(tails, place)
        if rank == len(tails):
            tails.append(place)
            tail_at.append(at)
        else:
            tails[rank] = place
            tail_at[rank] = at
        before.append(tail_at[rank - 1] if rank else -1)
    chain = []
    at = tail_at[-1] if tail_at else -1
    while at >= 0:
        chain.append(at)
        at = before[at]
    return chain[::-1]


def sample_of(pieces: list[Piece]) -> list[Piece]:
    """Give stretches spread over the texts, from anchor to anchor, to learn the costs from.

    Returns:
        The stretches; all pieces where the texts are short or have hardly an anchor.
    """
    letters = pieces[-1].end
    stretches = min(letters // (SAMPLED * STRETCH), MOST_STRETCHES)
    sample = []
    for number in range(stretches):
        middle = letters * (2 * number + 1) // (2 * stretches)
        piece = next(piece for piece in pieces if middle < piece.end)
        starts = piece.anchors[:, 0]
        first = int(np.searchsorted(starts, middle - piece.start - STRETCH // 2))
        last = int(np.searchsorted(starts, middle - piece.start + STRETCH // 2))
        if first >= last or last >= len(starts):
            last = len(starts) - 1
            first = int(np.searchsorted(starts, starts[last] - STRETCH)) if last > 0 else 0
        if first < last:
            sample.append(_part(piece, first, last))
    return sample or pieces


def _part(piece: Piece, first: int, last: int) -> Piece:
    """Cut a stretch out of a piece, from the start of one anchor to the start of another."""
    anchors = piece.anchors[first:last].copy()
    o0, c0 = (int(number) for number in piece.anchors[first, :2])
    o1, c1 = (int(number) for number in piece.anchors[last, :2])
    anchors[:, 0] -= o0
    anchors[:, 1] -= c0
    return Piece(piece.start + o0, piece.start + o1, piece.start_copy + c0, piece.start_copy + c1, anchors)
