"""Find the changes in the steps of a stretch: one letter for another, or several that may be one operation.

Arrives: steps, texts as numbers. Leaves: ``Changes``. Start reading at ``changes_in``. The steps are gone
through in a compiled loop, or as arrays where it is not compiled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment import scan
from fidelity.alignment.packing import LONGEST, letters_at, packed
from fidelity.alignment.texts import NumberedTexts
from fidelity.terms import StepKind

COMPILED = not str(scan.__file__).endswith(".py")

Array = npt.NDArray[Any]


@dataclass(frozen=True, eq=False)
class Changes:
    """The changes of a stretch.

    Attributes:
        several: a row for each change of several letters that may be one operation: the letters of
            either side, packed.
        single: how often each letter was answered by each in steps of one letter a side, outside of
            those; original by copy, number from 1, 0 for none.
        members: the same steps inside of those: the change's two numbers, then original letter *
            size + letter of the copy.
    """

    several: Array
    single: Array
    members: Array


def changes_in(steps: Array, texts: NumberedTexts, spaces: npt.NDArray[np.bool_]) -> Changes:
    """Find the changes in the steps of a stretch.

    Steps that change letters and stand together are one change. It may be one operation when it has
    several letters on a side, but not more than three, and no space among them.

    Args:
        steps: in order.
        texts: the texts as numbers.
        spaces: for each letter by its number from 1 whether it is white space.
    """
    return _looped(steps, texts, spaces) if COMPILED else _as_arrays(steps, texts, spaces)


def _looped(steps: Array, texts: NumberedTexts, spaces: npt.NDArray[np.bool_]) -> Changes:
    """Go through the steps one by one."""
    count, size = len(steps), len(spaces)
    single = np.zeros((size, size), dtype=np.int64)
    several, members = np.empty((count, 2), dtype=np.int64), np.empty((count, 3), dtype=np.int64)
    found = np.zeros(2, dtype=np.int64)
    scan.find_changes(
        np.ascontiguousarray(steps, dtype=np.int32).ravel(),
        texts.original.view(np.uint8),
        texts.copy.view(np.uint8),
        texts.original.itemsize,
        spaces.view(np.uint8),
        single.ravel(),
        several.ravel(),
        members.ravel(),
        found,
    )
    return Changes(several[: found[0]], single, members[: found[1]])


def _as_arrays(steps: Array, texts: NumberedTexts, spaces: npt.NDArray[np.bool_]) -> Changes:
    """Go through the steps as arrays."""
    size = len(spaces)
    changed = steps[steps[:, 4] == StepKind.CHANGED]
    if not len(changed):
        return Changes(*(np.zeros(shape, dtype=np.int64) for shape in ((0, 2), (size, size), (0, 3))))
    apart = (changed[1:, 0] != changed[:-1, 1]) | (changed[1:, 2] != changed[:-1, 3])
    first = np.flatnonzero(np.concatenate(([True], apart)))
    last = np.append(first[1:], len(changed)) - 1
    spans = np.stack((changed[first, 0], changed[last, 1], changed[first, 2], changed[last, 3]), axis=1)
    n, m = spans[:, 1] - spans[:, 0], spans[:, 3] - spans[:, 2]
    may_be = np.flatnonzero(((n > 1) | (m > 1)) & (n <= LONGEST) & (m <= LONGEST))
    keys = _packed(spans[may_be], texts, spaces)
    may_be, keys = may_be[keys[:, 0] >= 0], keys[keys[:, 0] >= 0]
    number = np.full(len(first), -1)
    number[may_be] = np.arange(len(may_be))
    one = (changed[:, 1] - changed[:, 0] <= 1) & (changed[:, 3] - changed[:, 2] <= 1)
    number = number[np.cumsum(np.append(0, apart))][one]
    changed = changed[one]
    o, c = np.zeros(len(changed), dtype=np.int64), np.zeros(len(changed), dtype=np.int64)
    there, here = changed[:, 1] > changed[:, 0], changed[:, 3] > changed[:, 2]
    o[there] = texts.original[changed[there, 0]].astype(np.int64) + 1
    c[here] = texts.copy[changed[here, 2]].astype(np.int64) + 1
    steps_of = o * size + c
    single = np.bincount(steps_of[number < 0], minlength=size**2).reshape(size, size)
    inside = number >= 0
    return Changes(keys, single, np.column_stack((keys[number[inside]], steps_of[inside])))


def _packed(spans: Array, texts: NumberedTexts, spaces: npt.NDArray[np.bool_]) -> Array:
    """Put each change of up to three letters a side into two numbers, -1 where it holds a space."""
    grams = np.concatenate(
        (
            letters_at(texts.original, spans[:, 0], spans[:, 1]),
            letters_at(texts.copy, spans[:, 2], spans[:, 3]),
        ),
        axis=1,
    )
    keys = packed(grams, len(spaces))
    keys[spaces[grams].any(axis=1)] = -1
    return keys
