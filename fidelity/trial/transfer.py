"""Whether what the survivors teach holds for a lost text: in what it lies outside, or differs.

Arrives: the dossier and the copyist's rules. Leaves: ``Shift``s. Start reading at ``transfer``; what
follows from them for proposals is in ``withheld.py``.

No original of the lost text is needed: where his habits have changed, or the hand of his exemplar, the
copied spellings themselves stand in other shares than in the survivors' copies, or change inside the
text. Spellings vary from text to text without that; how much, the survivors show among themselves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from fidelity.dossier import Dossier
from fidelity.letters import decode, without_stops
from fidelity.readings.steps import Step
from fidelity.terms import Shift, Witness
from fidelity.trial.shifted import INSIDE, SHIFTED, shifted

LETTER, WORD = "letter never met", "word unseen in his other copies"
MOST_SHOWN = 5  # letters and words cited


def transfer(dossier: Dossier, rules: Sequence[Step]) -> list[Shift]:
    """Say in what each lost text lies outside the survivors' evidence, and what has shifted in it.

    Args:
        dossier: survivors and lost texts.
        rules: his operations seen in the survivors, original letters, written letters, folded.
    """
    folds = dossier.folds
    copies = {one.id: folds.fold(one.copy.letters) for one in dossier.survivors}
    shifts: list[Shift] = []
    for text in dossier.lost:
        letters = folds.fold(text.copy.letters)
        shifts += _outside(dossier, text.id, text.copy)
        shifts.append(_never_met(text.id, text.copy, letters, copies))
        shifts.append(_unseen(text.id, letters, copies))
    return [*shifts, *shifted(dossier, rules)]


def _outside(dossier: Dossier, text: str, copy: Witness) -> Iterator[Shift]:
    """Say whether script and language of a lost text are those of some survivor."""
    for kind in ("script", "language"):
        name = str(getattr(copy, kind))
        known = {getattr(one.original, kind) for one in dossier.survivors}
        known |= {getattr(passage, kind) for one in dossier.survivors for passage in one.passages}
        if name:
            new = name not in known
            example = "no survivor is in it" if new else "as in the survivors"
            yield Shift(text, kind, name, float(new), found=new, example=example)


def _never_met(text: str, copy: Witness, letters: str, copies: Mapping[str, str]) -> Shift:
    """Give the share of the letters that he never wrote in the survivors' copies."""
    counts = {name: Counter(without_stops("".join(one.split()))) for name, one in copies.items()}
    own = Counter(without_stops("".join(letters.split())))
    share, new = _unmet(own, list(counts.values()))
    shares = _among_survivors(counts)
    example = ", ".join(
        f"{decode(letter)} ({own[letter]:,}, first {text} {_cited(copy, letters.index(letter))})"
        for letter in new[:MOST_SHOWN]
    )
    found = share > (shares[1] or 0.0)  # more than in any survivor beside the others
    return Shift(text, LETTER, "", share, None, *shares, found=found, example=example)


def _cited(copy: Witness, at: int) -> str:
    return str(copy.locus(at)).removeprefix(copy.siglum).strip()


def _unseen(text: str, letters: str, copies: Mapping[str, str]) -> Shift:
    """Give the share of the words that do not stand in the survivors' copies."""
    counts = {name: Counter(without_stops(one).split()) for name, one in copies.items()}
    share, new = _unmet(Counter(without_stops(letters).split()), list(counts.values()))
    example = ", ".join(map(decode, new[:MOST_SHOWN]))
    return Shift(text, WORD, "", share, None, *_among_survivors(counts), example=example)


def _unmet(own: Counter[str], others: Sequence[Counter[str]]) -> tuple[float, list[str]]:
    """Give the share of what is counted that the others have not, and what, most frequent first."""
    met = {one for other in others for one in other}
    new = sorted((one for one in own if one not in met), key=lambda one: (-own[one], one))
    return sum(own[one] for one in new) / max(own.total(), 1), new


def _among_survivors(counts: Mapping[str, Counter[str]]) -> tuple[float | None, float | None]:
    """Give the least and the greatest such share of a survivor beside the others."""
    if len(counts) < 2:
        return None, None
    shares = [
        _unmet(own, [other for name, other in counts.items() if name != text])[0]
        for text, own in counts.items()
    ]
    return min(shares), max(shares)


def told(shifts: Sequence[Shift]) -> list[str]:
    """Say in plain words what was found.

    >>> told([Shift("X", SHIFTED, "þ→th", 0.24, 0.87, found=True, factor=21.2)])
    ['X: the spelling þ→th stands at 24 % of its places there, at 87 % in the survivors']
    """
    lines = []
    for one in shifts:
        if one.found and one.kind in (SHIFTED, INSIDE):
            part = "there" if one.span is None else f"in letters {one.span[0]:,} to {one.span[1]:,} of it"
            here = (
                f"{one.text}: the spelling {one.what} stands at {100 * one.share:.0f} % of its places {part}"
            )
            share = one.survivor_share
            lines.append(here if share is None else f"{here}, at {100 * share:.0f} % in the survivors")
    return lines
