"""How a record answers when a notebook asks to see it, or its user asks for a table.

Arrives: any record. Leaves: HTML, or a pandas table. Start reading at ``Shown``.

The records lie at the bottom of the package and may know nothing of how results are set. So they say here
only that they can be shown; who sets them, the compositor, is named by the package's front door
(``fidelity/__init__.py``), which is imported before any of them, and is fetched when something is to be set.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol, SupportsIndex, TypeVar, overload

if TYPE_CHECKING:
    import pandas as pd  # only whoever asks for a table waits for it

R = TypeVar("R", covariant=True)
FIRST_IN_WORDS = 3  # records of several that a prompt prints in full: what fits a screen


class Compositor(Protocol):
    """Whoever sets records: ``apparatus/notebook.py``."""

    def shown(self, record: object) -> str:
        """Set a record as a piece of HTML."""

    def table(self, record: object, name: str) -> pd.DataFrame:
        """Set one of a record's tables."""


class Screen(Protocol):
    """What a notebook hands over to be written on, where it shows no HTML."""

    def text(self, text: str) -> None:
        """Take a piece of text."""


_named: list[Callable[[], Compositor]] = []


def name_compositor(fetched: Callable[[], Compositor]) -> None:
    """Say how the compositor is fetched when there is something to set."""
    _named[:] = [fetched]


def _compositor() -> Compositor:
    return _named[0]()


class Shown:
    """A record that a notebook shows as a scholar would have it set, not as its fields."""

    __slots__ = ()

    def _repr_html_(self) -> str:
        return _compositor().shown(self)


class Tabled(Shown):
    """A record that has tables, as rows to reckon with."""

    __slots__ = ()

    def table(self, name: str = "") -> pd.DataFrame:
        """Give one of its tables: the columns of the CSV file of that name, in their order.

        Numbers are numbers, yes and no are True and False, a list is a tuple, and what is not known is
        missing. Rates are per 1,000 chances, probabilities 0-1, as in the file.

        Args:
            name: which table; "" where there is one only.

        Raises:
            UsageError: it has no such table; the message names those it has.
        """
        return _compositor().table(self, name)


class Records(tuple[R, ...]):
    """Records of one kind, in order: a tuple like any other, which a notebook shows as a table.

    >>> some = Records(("E 1.1", "E 1.2", "E 2.1"))
    >>> some == ("E 1.1", "E 1.2", "E 2.1"), type(some[1:]).__name__, some[0]
    (True, 'Records', 'E 1.1')
    """

    __slots__ = ()

    @overload
    def __getitem__(self, at: SupportsIndex, /) -> R: ...
    @overload
    def __getitem__(self, at: slice, /) -> Records[R]: ...
    def __getitem__(self, at: SupportsIndex | slice, /) -> R | Records[R]:
        found = super().__getitem__(at)
        return Records(found) if isinstance(at, slice) else found  # type: ignore[arg-type, return-value]

    def table(self) -> pd.DataFrame:
        """Give them as a table, with the columns of the CSV file that holds such records."""
        return _compositor().table(self, "")

    def _repr_html_(self) -> str:
        return _compositor().shown(self)

    def _repr_pretty_(self, screen: Screen, cycle: bool) -> None:  # noqa: ARG002 -- what notebooks ask for
        """Print the first records only: a notebook keeps what is printed beside what it shows."""
        first = ", ".join(map(repr, self[:FIRST_IN_WORDS]))
        more = len(self) - FIRST_IN_WORDS
        screen.text(f"({first}{f', … {more:,} more' if more > 0 else ''})")
