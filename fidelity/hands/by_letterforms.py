"""Words in letterforms of another script than the text around them, as candidates; tried on the originals.

Arrives: letterforms and words of a text. Leaves: stretches found, and what was looked for. Start reading at
``in_originals``: there the hands are marked, and what is found on the same ground elsewhere can be judged.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby

from fidelity.dossier import Dossier
from fidelity.hands.letterforms import Forms, mixtures_of
from fidelity.hands.openings import Openings
from fidelity.hands.search import Found, candidate_of
from fidelity.hands.words import Words, words_of
from fidelity.letters import decode
from fidelity.terms.hands import FORMS, Candidate, Mixture, Search
from fidelity.variants.places import Places

Kinds = tuple[str, ...]


@dataclass
class Tally:
    """How many candidates on each ground were other hands' words in the survivors, and how many were not."""

    right: Counter[Kinds] = field(default_factory=Counter)
    wrong: Counter[Kinds] = field(default_factory=Counter)
    additions: int = 0
    found: int = 0


def in_originals(
    dossier: Dossier, places: Sequence[Places], tally: Tally
) -> tuple[list[Candidate], list[Mixture], list[Search]]:
    """Look for letterforms of another script in the originals, where what is marked tells their worth."""
    candidates: list[Candidate] = []
    mixtures: list[Mixture] = []
    searches: list[Search] = []
    for survivor, where in zip(dossier.survivors, places, strict=True):
        original = survivor.original
        forms = Forms(original, where)
        words = words_of(original, survivor.id, dossier.folds)
        found = by_forms(forms, words)
        unmarked = []
        for one in found:
            span = int(words.starts[one.first]), int(words.ends[one.end - 1])
            marked = bool(original.hands) and any(original.hands[slice(*span)])
            (tally.right if marked else tally.wrong)[one.kinds] += 1
            unmarked += [] if marked else [candidate_of(one, words, Openings(), lost=False)]
        candidates += unmarked
        mixtures += mixtures_of(forms, survivor.id, lost=False)
        searches.append(search_of_forms(forms, survivor.id, len(unmarked), lost=False))
    return candidates, mixtures, searches


def by_forms(forms: Forms, words: Words) -> list[Found]:
    """Give the stretches of words that are in forms of another script throughout."""
    at = {int(start): number for number, start in enumerate(words.starts.tolist())}
    wholly = [(at[one.start], one) for one in forms.of_another_script() if not one.mixed]
    found = []
    for _, group in groupby(enumerate(wholly), key=lambda pair: pair[1][0] - pair[0]):
        run = [each for _, each in group]
        said = dict.fromkeys(
            f"{decode(letter)} where the text else has {decode(usual)}"
            for _, one in run
            for letter, usual in zip(one.others, one.usual, strict=True)
        )
        found.append(Found(run[0][0], run[-1][0] + 1, (FORMS,), (", ".join(said),)))
    return found


def search_of_forms(forms: Forms, text: str, found: int, *, lost: bool) -> Search:
    """Say what letterforms were looked for in a text."""
    told = ", ".join(f"{decode(other)} for {decode(usual)}" for other, usual in sorted(forms.usual.items()))
    what = f"words in letterforms of another script: {told}" if forms.usual else forms.why
    return Search(text, lost, FORMS, bool(forms.usual), what, forms.words, found)
