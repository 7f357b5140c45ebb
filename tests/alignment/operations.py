"""Which operations of several letters an alignment of a made pair has learned.

Arrives: a made pair. Leaves: what was learned, each with its count. Start reading at ``learned``.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable

from fidelity import alignment as room
from fidelity.alignment.align import align_witnesses
from fidelity.terms import Alignment, Witness
from tests.alignment.made_copies import MadePair, Operation

Learned = Callable[[Alignment], Iterable[tuple[str, str, int, int]]]


def is_told() -> bool:
    """Tell whether the alignment's room has a function that says what was learned."""
    try:
        return bool(learned_operations())
    except AttributeError:
        return False


def learned_operations() -> Learned:
    """Find the public function of the alignment's room that tells what was learned.

    Raises:
        AttributeError: no module of the room has it.
    """
    for found in pkgutil.iter_modules(room.__path__):
        module = importlib.import_module(f"{room.__name__}.{found.name}")
        if hasattr(module, "learned_operations"):
            function: Learned = module.learned_operations
            return function
    raise AttributeError("no module of fidelity/alignment has a function learned_operations")


def learned(pair: MadePair) -> dict[Operation, tuple[int, int]]:
    """Align a made pair and give the operations of several letters that were learned.

    Returns:
        (original letters, written letters) -> how often, and out of how many chances.
    """
    alignment = align_witnesses(Witness("O", pair.original), Witness("C", pair.copy))
    return {
        (original, written): (count, chances)
        for original, written, count, chances in learned_operations()(alignment)
        if len(original) > 1 or len(written) > 1
    }
