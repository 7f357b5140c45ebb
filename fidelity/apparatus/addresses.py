"""Give every place and every proposal an address on the page, to be linked and cited.

Arrives: a place, as it is cited. Leaves: the name after the "#" of the page's address. Start reading at
``address``.

An address is made of the citation alone, so that it stays the same from one run to the next as long as
the place is cited the same.
"""

from __future__ import annotations

import re

PLACE, PROPOSAL = "at", "reading"  # what an address begins with; no part of the page begins so
# What may stand in the name after "#" as it is (RFC 3986, section 3.5), less what is used here to join.
_NOT_PLAIN = re.compile(r"[^A-Za-z0-9.: ]")


def address(locus: str, what: str = PLACE) -> str:
    """Give the address of a place, or of what is proposed there.

    Letters that may not stand in an address are given by their numbers in Unicode; two different places
    never have one address.

    >>> address("B 12r:3.4"), address("X 1.2", PROPOSAL), address("Ælf 3")
    ('at-B_12r:3.4', 'reading-X_1.2', 'at-~c6.lf_3')
    """
    plain = _NOT_PLAIN.sub(lambda found: f"~{ord(found.group()):x}.", locus)
    return f"{what}-{plain.replace(' ', '_')}"
