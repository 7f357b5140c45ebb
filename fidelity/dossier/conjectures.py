"""Take an editor's conjectures out of a dossier, each at its place.

Arrives: the entries ``[[conjecture]]`` and the texts that were read. Leaves: ``Conjecture``s, or faults.
Start reading at ``conjectures_of``; ``conjecture_at`` serves the command line as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from fidelity.dossier.cited import Place, find_place, no_such_text
from fidelity.dossier.contents import Dossier, LostText, Survivor
from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.errors import DataError, FidelityError
from fidelity.letters import decode, encode, is_punctuation
from fidelity.terms import Witness
from fidelity.terms.conjecture import Conjecture

_WORD = re.compile(r"\S+")


def texts_to_cite(survivors: Sequence[Survivor], lost: Sequence[LostText]) -> dict[str, Witness]:
    """Give the texts that can be cited, by id: of a survivor the original, of a lost text the copy."""
    return {one.id: one.original for one in survivors} | {one.id: one.copy for one in lost}


def place_in(dossier: Dossier, written: str) -> Place:
    """Find a place in a dossier's texts; where there is one lost text, it need not be named.

    Raises:
        DataError, UsageError: as ``find_place``.
    """
    return find_place(
        written, texts_to_cite(dossier.survivors, dossier.lost), [one.id for one in dossier.lost]
    )


def conjecture_at(
    place: Place, reading: str, lost: Mapping[str, Witness], by: str = "", note: str = ""
) -> Conjecture:
    """Make a conjecture of a reading at a place.

    Args:
        place: where.
        reading: what the original would have read instead of the words there; without stops of its own it
            keeps theirs.
        lost: the copies of the lost texts, by id.
        by, note: as in ``Conjecture``.

    Raises:
        DataError: the text is not lost, the reading is empty, or the place is a whole line.
    """
    if place.text not in lost:
        known = f"lost texts: {', '.join(lost)}" if lost else "the dossier has no lost text"
        raise DataError(f"the original of {place.text} survives: no conjecture is needed there", remedy=known)
    words = reading.split()
    if not words:
        raise DataError("the reading is empty", remedy="write what the original would have read there")
    witness = lost[place.text]
    printed = " ".join(words)
    start, end = place.span
    if place.last is not None and not place.by_word:
        near = _nearest_word(place, printed, witness)
        raise DataError(
            f"{place} is more than a word: it is not said which words {printed!r} replaces",
            remedy=f"name the words, as {place.locus} or {place}; the one most like it is {near}",
        )
    printed = with_stops(printed, decode(witness.letters[start:end]))
    span, printed = _without_kept_words(witness.letters, place.span, printed)
    return Conjecture(place.text, witness.locus(span[0]), str(place), span, printed, by, note)


def _without_kept_words(letters: str, span: tuple[int, int], reading: str) -> tuple[tuple[int, int], str]:
    """Leave out the words at both ends that a reading leaves as they are: only what it changes is judged."""
    here = [
        (span[0] + found.start(), span[0] + found.end()) for found in _WORD.finditer(letters[slice(*span)])
    ]
    written, words = [decode(letters[slice(*one)]) for one in here], reading.split()
    if written == words or not here:
        return span, reading
    most = min(len(written), len(words)) - 1
    first = next((at for at in range(most) if written[at] != words[at]), most)
    last = next((at for at in range(most - first) if written[-1 - at] != words[-1 - at]), most - first)
    return (here[first][0], here[len(here) - 1 - last][1]), " ".join(words[first : len(words) - last])


def with_stops(reading: str, written: str) -> str:
    """Let the stops around written words stay where a reading is given without any.

    >>> with_stops("siþas", "siþar."), with_stops("ui", ".iu."), with_stops("cweð;", "cwed.")
    ('siþas.', '.ui.', 'cweð;')
    """
    inside = written.strip("".join(letter for letter in set(written) if is_punctuation(letter)))
    if not inside or is_punctuation(reading[0]) or is_punctuation(reading[-1]):
        return reading
    before, _, after = written.partition(inside)
    return before + reading + after


def _nearest_word(place: Place, reading: str, witness: Witness) -> str:
    """Cite the word of a place that is most like a reading."""
    from rapidfuzz import fuzz  # only needed where something is wrong

    start, end = place.span
    best, at = (-1.0, start), start
    while at < end:
        stop = next((k for k in range(at, end) if witness.letters[k].isspace()), end)
        if stop > at:
            best = max(best, (fuzz.ratio(witness.letters[at:stop], encode(reading)), -at))
        at = stop + 1
    found = witness.locus(-int(best[1]))
    return f"{place.text} {found.line}.{found.word}"


def conjectures_of(
    entries: Mapping[str, Sequence[Entry]],
    survivors: Sequence[Survivor],
    lost: Sequence[LostText],
    texts: DossierTexts,
) -> Iterator[Conjecture]:
    """Give the conjectures of a dossier; each that names no place is a fault."""
    known, copies = texts_to_cite(survivors, lost), {one.id: one.copy for one in lost}
    unread = {one.values.get("id") for name in ("survivor", "lost") for one in entries[name]} - known.keys()
    for entry in entries["conjecture"]:
        text, locus = entry.values.get("text", ""), entry.values.get("locus", "")
        if not (text and locus) or text in unread:  # that is a fault already
            continue
        key = "text"
        try:
            if text not in known:
                raise no_such_text(text, known)
            key = "locus"
            named = locus if locus.split(maxsplit=1)[0] == text else f"{text} {locus}"
            place = find_place(named, known)
            key = "text" if text not in copies else "reading" if place.by_word else "locus"
            reading = entry.values.get("reading", "")
            if entry.whole:
                by, note = (entry.values.get(name, "") for name in ("by", "note"))
                yield conjecture_at(place, reading, copies, by, note)
        except FidelityError as error:
            fault = error.faults[0]
            texts.fault(entry.spot._replace(key=key), fault.what, fault.remedy)
