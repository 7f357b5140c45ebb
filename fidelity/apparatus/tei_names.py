"""Name things in a TEI document: each xml:id is a name as XML has it, and no two are the same.

Arrives: sigla, ids of texts, names of persons. Leaves: xml:ids made of them. Start reading at ``TeiNames``.
"""

from __future__ import annotations

import re

_PLAIN = re.compile(
    r"[A-Za-z0-9.-]"
)  # what an xml:id may hold (XML 1.0, NameChar), "_" used to write the rest
_MAY_BEGIN = re.compile(r"[A-Za-z_]")


class TeiNames:
    """Gives each thing its xml:id, the same whenever it is asked for."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, ...], str] = {}
        self._taken: set[str] = set()

    def name(self, *parts: str) -> str:
        """Give the xml:id of what is told by these parts: its text, its siglum, its number.

        Letters that may not stand in it are given by their numbers in Unicode.

        >>> names = TeiNames()
        >>> names.name("X", "C"), names.name("X", "C¹"), names.name("9", "C"), names.name("X", "C")
        ('X.C', 'X.C_b9', '_9.C', 'X.C')
        """
        if parts not in self._known:
            plain = ".".join(parts)
            made = "".join(one if _PLAIN.match(one) else f"_{ord(one):x}" for one in plain) or "_"
            made = made if _MAY_BEGIN.match(made) else f"_{made}"
            number, free = 1, made
            while free in self._taken:
                number += 1
                free = f"{made}_{number}"
            self._known[parts] = free
            self._taken.add(free)
        return self._known[parts]
