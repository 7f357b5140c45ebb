"""Give every place and every proposal an address on the page, to be linked and cited.

Arrives: a place, as it is cited. Leaves: the name after the "#" of the page's address. Start reading at
``address``.

An address is made of the citation alone, so that it stays the same from one run to the next as long as
the place is cited the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from markupsafe import Markup, escape

PLACE, PROPOSAL = "at", "reading"  # what an address begins with; no part of the page begins so
# What may stand in the name after "#" as it is (RFC 3986, section 3.5), less what is used here to join.
_OTHER = re.compile(r"[^A-Za-z0-9.:]")
_ADDRESS = re.compile(rf'\bid="({PLACE}-[^"]+)"')


def address(locus: str, what: str = PLACE) -> str:
    """Give the address of a place, or of what is proposed there.

    Letters that may not stand in an address are given by their numbers in Unicode; two different places
    never have one address.

    >>> address("B 12r:3.4"), address("X 1.2", PROPOSAL), address("Ælf 3")
    ('at-B_12r:3.4', 'reading-X_1.2', 'at-~c6.lf_3')
    """
    return f"{what}-{_OTHER.sub(_by_number, locus)}"


def _by_number(other: re.Match[str]) -> str:
    return "_" if other[0] == " " else f"~{ord(other[0]):x}."


class Places:
    """Knows which places stand on a page, and links what is cited to them.

    Args:
        texts: ids of the texts whose places are cited.
        known: the addresses that the page has.
    """

    def __init__(self, texts: Iterable[str] = (), known: Iterable[str] = ()) -> None:
        self._known = frozenset(known)
        self._linked: dict[str, Markup] = {}  # the same places are cited again and again
        names = "|".join(re.escape(name) for name in sorted(texts, key=len, reverse=True))
        # A place opens what is said of it, or follows the name of an operation ("s→r: E 8.3").
        self._cited = re.compile(rf"(?<!\S)({names}) (\S*[^\s.,;:)])") if names else None

    def link(self, told: str) -> Markup:
        """Give words with every place in them that the page shows as a link; a line stands for its words.

        >>> Places(["E"], ["at-E_8.3", "at-E_9"]).link("E 8.3, E 9.2 and E 12.1")
        Markup('<a href="#at-E_8.3">E 8.3</a>, <a href="#at-E_9">E 9.2</a> and E 12.1')
        """
        if told not in self._linked:
            self._linked[told] = self._with_links(told)
        return self._linked[told]

    def _with_links(self, told: str) -> Markup:
        if self._cited is None:
            return escape(told)
        parts, done = list[Markup](), 0
        for found in self._cited.finditer(told):
            where = self.address_of(found[0])
            if where:
                parts += [escape(told[done : found.start()]), _linked(where, found[0])]
                done = found.end()
        return Markup("").join([*parts, escape(told[done:])])

    def address_of(self, locus: str) -> str:
        """Give the address of a place, or of its line; "" where the page shows neither."""
        for cited in (locus, locus.rpartition(".")[0]):
            if address(cited) in self._known:
                return address(cited)
        return ""


def _linked(where: str, cited: str) -> Markup:
    return Markup('<a href="#{}">{}</a>').format(where, cited)


def addresses_in(html: str) -> set[str]:
    """Give the addresses of places in finished markup."""
    return set(_ADDRESS.findall(html))
