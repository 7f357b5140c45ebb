"""Give the reader's view: every original beside its copy, line by line.

Arrives: an audit. Leaves: plain data for ``parts/facing.html.j2``. Start reading at ``facing_content``.

Short texts are given whole. Of long ones there are the lines that differ, each with the line before and
after; of very long ones as many of these as a page may hold, and where the rest is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from typing import NamedTuple

from markupsafe import Markup

from fidelity.apparatus.addresses import address, addresses_in
from fidelity.apparatus.facing_letters import LetterSetter, Tongue
from fidelity.apparatus.facing_lines import FacingLine, facing_lines, opposite_of
from fidelity.apparatus.facing_marks import mark_lines
from fidelity.apparatus.facing_told import told, told_where_moved
from fidelity.dossier import Survivor
from fidelity.found import Audit
from fidelity.terms import Alignment, Locus, Variant
from fidelity.variants.citations import count_of
from fidelity.variants.places import places_of

VIEW, LEAF = "facing", "page"  # what the addresses of a text and of a page of it begin with
# Bytes of this view in all. A page of 100,000 differences is to stay below 15 MB, of which a third is for
# this; whole texts are given up to half of that, for more is searched rather than read.
MOST_BYTES = 5_000_000
WHOLE_UP_TO = 2_500_000
# Bytes of markup to a line and to a difference, to tell beforehand whether whole texts fit; the mean of
# the long demo and of 3,000 verses, rounded up.
LINE_BYTES, VARIANT_BYTES = 200, 350
CONTEXT = 1  # lines before and after one that differs
UNPAGED = 100  # lines under one heading where a text has no page marks: two or three leaves
OPEN_UP_TO = 150  # lines of all texts together; longer ones are opened one by one


class Row(NamedTuple):
    """A line as it is set.

    Attributes:
        id: its address; "" for the further parts of a long line.
        place: how it is cited on its page.
        language: BCP 47 tag of both cells; "" where it is not known, or the cells say it themselves.
        original, copy: the letters.
        told: what is said of the differences.
        alike: how much is copied alike and not shown in the place of this row; "" where it is a line.
    """

    id: str = ""
    place: str = ""
    language: str = ""
    original: Markup = Markup()
    copy: Markup = Markup()
    told: Markup = Markup()
    alike: str = ""

    def size(self) -> int:
        """Give its bytes on the page, about."""
        return LINE_BYTES + sum(len(part.encode()) for part in (self.original, self.copy, self.told))


@dataclass
class Leaf:
    """The lines of a page of the original, or a hundred lines where it has no page marks."""

    heading: str
    id: str
    rows: list[Row] = field(default_factory=list)


class FacingText(NamedTuple):
    """An original and its copy.

    Attributes:
        id: of the survivor.
        address: of this text on the page.
        lines, variants: how many there are.
        leaves: what is shown.
        is_whole: whether every line is.
        is_open: whether it is shown without being asked for.
        last: the last line shown, as it is cited, where the page holds no more; else "".
    """

    id: str
    address: str
    lines: int
    variants: int
    leaves: list[Leaf]
    is_whole: bool
    is_open: bool
    last: str

    def addresses(self) -> Iterator[str]:
        """Give the addresses of the places that are shown."""
        for row in (row for leaf in self.leaves for row in leaf.rows):
            yield from ((row.id, *addresses_in(row.original)) if row.id else addresses_in(row.original))


def facing_content(audit: Audit, whole_up_to: int = WHOLE_UP_TO, most: int = MOST_BYTES) -> list[FacingText]:
    """Give every survivor and its copy, side by side.

    Args:
        audit: of one pair or many.
        whole_up_to: bytes up to which all texts are given whole.
        most: bytes of the view; each text has a share by the letters and differences it has.
    """
    pairs = [
        FacingPair(survivor, alignment, [one for one in audit.variants if one.text == survivor.id])
        for survivor, alignment in zip(audit.dossier.survivors, audit.alignments, strict=True)
    ]
    sizes = [pair.size() for pair in pairs]
    is_whole = sum(sizes) <= whole_up_to
    is_open = sum(len(pair.original.lines) for pair in pairs) <= OPEN_UP_TO
    found = []
    for pair, size in zip(pairs, sizes, strict=True):
        leaves, last = _leaves(pair, is_whole, most * size // max(sum(sizes), 1))
        numbers = len(pair.original.lines), len(pair.variants)
        where = address(pair.id, VIEW)
        found.append(FacingText(pair.id, where, *numbers, leaves, is_whole, is_open, last))
    return found


def _leaves(pair: FacingPair, is_whole: bool, most: int) -> tuple[list[Leaf], str]:
    """Set the lines that are shown, page by page.

    Returns:
        The pages; and the last line shown where ``most`` bytes allowed no more, else "".
    """
    leaves: list[Leaf] = []
    size, before = 0, -1
    for at in range(len(pair.lines)) if is_whole else pair.with_context():
        if size > most:
            return leaves, pair.cited(before)
        heading, name = pair.leaf(at)
        if not leaves or leaves[-1].heading != heading:
            leaves.append(Leaf(heading, pair.claimed(name)))
        row = pair.row(at)
        if before + 1 < at:
            leaves[-1].rows.append(Row(alike=pair.alike(before + 1, at)))
        leaves[-1].rows.append(row)
        size, before = size + row.size(), at
    if before + 1 < len(pair.lines):
        leaves = leaves or [Leaf("nothing differs", "")]
        leaves[-1].rows.append(Row(alike=pair.alike(before + 1, len(pair.lines))))
    return leaves, ""


class FacingPair:
    """An original and its copy, cut into lines and marked; sets any of them.

    Args:
        survivor: the pair.
        alignment: of the two.
        variants: the differences between them.
    """

    def __init__(self, survivor: Survivor, alignment: Alignment, variants: Sequence[Variant]) -> None:
        self.id, self.alignment, self.original = survivor.id, alignment, alignment.original
        self.variants = {one.number: one for one in variants}
        self.lines = facing_lines(alignment)
        mark_lines(self.lines, alignment, variants)
        self._places = places_of(self.original, survivor.passages)
        self._tongue_starts = [
            start
            for at, start in enumerate(self._places.starts)
            if at and self._places.languages[at] != self._places.languages[at - 1]
        ]
        self._claimed: set[str] = set()
        self._cited = {str(Locus(self.id, label)) for label in self.original.labels}
        self._original = LetterSetter(self.original, self._address_of_word)
        self._copy = LetterSetter(alignment.copy)

    def size(self) -> int:
        """Give the bytes that all of it would take on the page, about."""
        texts = self.original.letters, self.alignment.copy.letters
        letters = sum(len(text.encode()) for text in texts)
        return letters + LINE_BYTES * len(self.lines) + VARIANT_BYTES * len(self.variants)

    def with_context(self) -> Iterator[int]:
        """Give the lines that differ, and those before and after each."""
        done = 0
        for at, line in enumerate(self.lines):
            if not line.is_alike:
                end = min(at + CONTEXT + 1, len(self.lines))
                yield from range(max(at - CONTEXT, done), end)
                done = end

    def alike(self, start: int, end: int) -> str:
        """Say how much lies between two lines that are shown: lines, or letters where lines are cut up."""
        if len(self.lines) == len(self.original.lines):
            return f"{end - start:,} line{'s' if end - start > 1 else ''}"
        first, last = self.lines[start].original[0], self.lines[end - 1].original[1]
        return f"{count_of(self.original.letters[first:last]):,} letters"

    def leaf(self, at: int) -> tuple[str, str]:
        """Give the heading of the page that a line stands on, and the page's address."""
        line = self.lines[at].line
        page = self.original.pages[line]
        if page:
            return f"page {page}", address(f"{self.id} {page}", LEAF)
        first = line - line % UNPAGED
        last = min(first + UNPAGED, len(self.original.lines)) - 1
        labels = self.original.labels
        heading = f"lines {labels[first]} to {labels[last]}" if first < last else f"line {labels[first]}"
        return heading, address(f"{self.id} {labels[first]}", LEAF)

    def claimed(self, name: str) -> str:
        """Give an address, or "" where something before it has it."""
        if name in self._claimed:
            return ""
        self._claimed.add(name)
        return name

    def cited(self, at: int) -> str:
        """Cite a line."""
        return str(Locus(self.id, self.original.labels[self.lines[at].line]))

    def row(self, at: int) -> Row:
        """Set a line."""
        line = self.lines[at]
        is_first = not at or self.lines[at - 1].line != line.line
        label, page = self.original.labels[line.line], self.original.pages[line.line]
        place = label.removeprefix(f"{page}:")
        tongues = self._tongues(line)
        return Row(
            id=self.claimed(address(self.cited(at))) if is_first else "",
            place=place if is_first else f"{place}.{self.original.locus(line.original[0]).word}",
            language="" if tongues[0] else self._places.language(line.original[0]),
            original=_escaped(self._original.line(line.original, line.marks[0], tongues[0])),
            copy=_escaped(self._copy.line(line.copy, line.marks[1], tongues[1])),
            told=_escaped("".join(self._told(line))),
        )

    def _address_of_word(self, number: int) -> str:
        """Give the address of the word a difference is in; "" where a mark before it, or a line, has it."""
        locus = str(self.variants[number].locus)
        return "" if locus in self._cited else self.claimed(address(locus))

    def _tongues(self, line: FacingLine) -> tuple[list[Tongue], list[Tongue]]:
        """Give the stretches of both texts in one language each; none where the line is in one."""
        start, end = line.original
        starts = self._tongue_starts
        inside = starts[bisect_right(starts, start) : bisect_left(starts, end)]
        if not inside:
            return [], []
        languages = [self._places.language(one) for one in (start, *inside)]
        cuts = [min(max(one, line.copy[0]), line.copy[1]) for one in opposite_of(self.alignment, inside)]
        original, copy = (
            pairwise((a, *some, b)) for (a, b), some in ((line.original, inside), (line.copy, cuts))
        )
        return (
            [(*span, language) for span, language in zip(original, languages, strict=True)],
            [(*span, language) for span, language in zip(copy, languages, strict=True)],
        )

    def _told(self, line: FacingLine) -> Iterator[str]:
        """Say what differs in a line."""
        variants = [self.variants[number] for number in line.variants]
        for _, of_word in groupby(variants, key=lambda one: (one.original_words, one.copy_words, one.moved)):
            same = list(of_word)
            yield told(same, self._language(same[0]))
        for number in line.moved_here:
            variant = self.variants[number]
            yield told_where_moved(variant, self._language(variant))

    def _language(self, variant: Variant) -> str:
        return self._places.language(variant.original_span[0])


def _escaped(made: str) -> Markup:
    """Say that what LetterSetter and ``told`` made is markup in which every letter of a text is escaped."""
    return Markup(made)  # noqa: S704 -- escaped there
