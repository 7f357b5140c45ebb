"""Put all witnesses of a text side by side, any number of them.

Arrives: a main witness, which cites the places, and others, whole or in fragments. Leaves: a ``Collation``.
Start reading at ``collate``.

The witnesses come in one after the other, those that have most of the text first. Each is aligned, by the
project's own alignment and under the declared folds, with everything that any witness before it has
(``profile.py``); what it has more is put in, so that a later one that has the same answers it. Lines that are
numbered alike are held against each other alone. A gap of unknown length in a witness takes up what the
others have at its place: there the witness says nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.align import TOO_SHORT_TO_JUDGE, Pair
from fidelity.errors import DataError, UnrelatedTextsError
from fidelity.sources.gaps import kept_letters, lost_left_out, with_gap_signs
from fidelity.sources.lines import answering_lines, line_by_line, windows_of
from fidelity.sources.profile import Column, Profile
from fidelity.sources.word_ends import at_word_ends
from fidelity.terms import LOST_LETTER, Locus, StepKind, Witness
from fidelity.terms.collation import CollatedLocus, Collation, Span
from fidelity.witnesses.folds import NO_FOLDS, Folds

RELATED = 0.3  # share of letters kept in runs of three; of two texts that have only the language in common
# it is some 0.1 (chosen). Below it a witness must keep twice what it keeps read backwards, and a little more
CHANCE_TIMES, CHANCE_MORE = 2.0, 0.05

Steps = npt.NDArray[Any]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Given:
    """A witness to be collated.

    Attributes:
        siglum: how it is cited.
        witness: its text.
        numbered: whether each of its lines bears the number of the main witness's line it answers.
    """

    siglum: str
    witness: Witness
    numbered: bool = False


def collate(main: Given, others: Sequence[Given], text: str = "", folds: Folds = NO_FOLDS) -> Collation:
    """Collate any number of witnesses.

    Args:
        main: the witness whose places cite the loci.
        others: all others, in the order in which they are to stand.
        text: id of the text.
        folds: letterforms counted as equal.

    Returns:
        The collation; every witness can be had from it letter for letter.

    Raises:
        DataError: two witnesses have one siglum, or a witness has no letters.
        UnrelatedTextsError: a witness has no more in common with the rest than chance gives.

    >>> found = collate(Given("A", Witness("A", "on fyre fæste")), [Given("B", Witness("B", "on fire"))])
    >>> [[found.written(locus, siglum) for siglum in found.sigla] for locus in found.loci]
    [['on', 'on'], ['fyre', 'fire'], ['fæste', None]]
    """
    given = [main, *others]
    _check(given)
    order = sorted(range(1, len(given)), key=lambda at: (-_extant(given[at].witness), at))
    profile = Profile.of(main.witness.letters)
    cited = [0]
    for at in order:
        profile = _with(profile, given[at], main.witness, text, folds)
        cited.append(at)
    columns = dict(zip(cited, profile.columns, strict=True))
    ordered = [lost_left_out(columns[at], one.witness) for at, one in enumerate(given)]
    witnesses = tuple(one.witness for one in given)
    loci = _loci(profile.letters, ordered, witnesses, text)
    return Collation(text, tuple(one.siglum for one in given), witnesses, tuple(loci))


def _check(given: Sequence[Given]) -> None:
    """Refuse sigla given twice, and witnesses without letters."""
    seen: set[str] = set()
    for one in given:
        if one.siglum in seen:
            raise DataError(f"two witnesses are cited as {one.siglum}", remedy="give each its own siglum")
        if not one.witness.letters.strip():
            raise DataError(f"{one.siglum} has no letters", remedy="leave it out, or give its text")
        seen.add(one.siglum)


def _extant(witness: Witness) -> int:
    """Count the letters that can be read."""
    return len(witness) - witness.letters.count(LOST_LETTER)


def _with(profile: Profile, given: Given, main: Witness, text: str, folds: Folds) -> Profile:
    """Align a witness with all that is there so far, and let that grow by it."""
    kept = kept_letters(given.witness)
    read = Witness(given.siglum, "".join(np.array(list(given.witness.letters))[kept].tolist()))
    there = Witness(text, profile.letters)
    pair = Pair(there, read, folds)
    found = pair.aligned()
    steps = found.steps
    absent: list[Span] = []
    if given.numbered and (pairs := answering_lines(main, given.witness, text)):
        windows = windows_of(pairs, main, given.witness, kept, profile)
        absent = [(start, end) for start, end, first, last in windows.tolist() if first == last]
        steps = line_by_line(pair, found.counted, windows)
    _refuse_unrelated(steps, pair, given, folds)
    grown = profile.with_witness(at_word_ends(steps, profile.letters, read.letters), read.letters, absent)
    last = with_gap_signs(grown.columns[-1], kept, folds.fold(grown.letters), folds.fold(read.letters))
    return replace(grown, columns=(*grown.columns[:-1], last))


def _refuse_unrelated(steps: Steps, pair: Pair, given: Given, folds: Folds) -> None:
    """Raise where a witness keeps no more letters than it would if it were read backwards."""
    letters = pair.copy.letters
    if len(letters) < TOO_SHORT_TO_JUDGE:
        return
    share = _share_kept(steps, letters)
    if share >= RELATED:
        return
    backwards = Witness(given.siglum, letters[::-1])
    by_chance = _share_kept(Pair(pair.original, backwards, folds).aligned().steps, backwards.letters)
    if share >= CHANCE_TIMES * by_chance + CHANCE_MORE:
        return
    raise UnrelatedTextsError(
        f"{given.siglum} ({given.witness.file or 'text'}) has nothing in common with the other witnesses: "
        f"they have only {share:.0%} of its letters, about what they have of it read backwards",
        remedy="check that it is a witness of this text",
    )


def _share_kept(steps: Steps, letters: str) -> float:
    """Give the share of a witness's letters, blanks apart, that are kept in runs of three or more."""
    runs = [letters[c0:c1] for _, _, c0, c1, kind in steps.tolist() if kind == StepKind.KEPT and c1 - c0 > 2]
    total = sum(not letter.isspace() for letter in letters)
    return sum(not letter.isspace() for run in runs for letter in run) / max(total, 1)


def _loci(
    letters: str, columns: Sequence[Column], witnesses: Sequence[Witness], text: str
) -> list[CollatedLocus]:
    """Cut what has grown at the word divisions that all witnesses have, where they are extant."""
    divisions = np.array([letter.isspace() for letter in letters], dtype=np.bool_)
    shared = divisions.copy()
    for column, witness in zip(columns, witnesses, strict=True):
        shared &= _divides(column, witness.letters) | ~column.there
    borders = [0, *(np.flatnonzero(shared) + 1).tolist(), len(letters)]
    borders = sorted(set(borders))
    cut = [_spans(column, one, borders, divisions) for column, one in zip(columns, witnesses, strict=True)]
    main = witnesses[0]
    found = []
    for number, row in enumerate(zip(*cut, strict=True)):
        spans = tuple(span for span, _ in row)
        start = int(columns[0].at[borders[number]])
        damaged = tuple(lost for _, lost in row)
        found.append(CollatedLocus(_cited(main, start, spans[0], text), spans, damaged))
    return found


def _divides(column: Column, letters: str) -> Flags:
    """Tell for each letter of what has grown whether a witness has a word division that answers it.

    At the edge of what it leaves out a division counts once for both sides.
    """
    blank = np.array([letter.isspace() for letter in letters] + [True], dtype=np.bool_)
    start, end = column.at[:-1], column.at[1:]
    own = (end - start == 1) & blank[start]
    word_end = blank[end] | (start == 0) | blank[start - 1]
    size = np.concatenate([[1], end - start, [1]])
    edge = (size[:-2] > 0) | (size[2:] > 0)
    divides: Flags = own | ((end == start) & word_end & edge)
    return divides


def _spans(
    column: Column, witness: Witness, borders: Sequence[int], divisions: Flags
) -> list[tuple[Span | None, bool]]:
    """Give the letters that a witness has between borders, and whether some there are lost.

    A blank left where it is not extant goes to what follows.
    """
    offsets = column.at[borders].tolist()
    known = np.concatenate([[0], np.cumsum(column.there & ~divisions)])[borders]
    some = np.concatenate([[0], np.cumsum(column.there)])[borders]
    letters = np.concatenate([[0], np.cumsum(~divisions)])[borders]
    found: list[tuple[Span | None, bool]] = []
    left = 0
    for at in range(len(borders) - 1):
        has, of = known[at + 1] - known[at], letters[at + 1] - letters[at]
        there = has > 0 if of else some[at + 1] > some[at]
        if there or witness.letters[left : offsets[at + 1]].strip():
            found.append(((left, offsets[at + 1]), bool(has < of)))
            left = offsets[at + 1]
        else:
            found.append((None, False))
    if left < len(witness):
        last = max(at for at, (span, _) in enumerate(found) if span)
        (start, _), lost = found[last]  # type: ignore[misc]
        found[last] = (start, len(witness)), lost
    return found


def _cited(main: Witness, offset: int, span: Span | None, text: str) -> Locus:
    """Cite a place by the main witness; where that has nothing, by the word before."""
    end = span[1] if span else offset
    while offset < end and main.letters[offset].isspace():
        offset += 1
    if offset == end and offset:
        offset -= 1
    return replace(main.locus(min(offset, len(main) - 1)), text=text)


def by_siglum(collation: Collation) -> Mapping[str, Witness]:
    """Give the witnesses of a collation by siglum."""
    return dict(zip(collation.sigla, collation.witnesses, strict=True))
