"""Whether the places that are named first for another look move the result more than any others.

Arrives: a dossier. Leaves: a line on the terminal. Run it from the project's root as ``python -m
tests.benchmarks.influence``; start reading at ``main``.

The originals are changed in so many places, as if the transcripts had been wrong there and the copyist right;
everything is then judged anew, from the alignment on, and the headline figures are compared with those
before: first for the places named first, then for as many drawn at random, again and again.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fidelity.confusions.influence import Headline, headline
from fidelity.dossier import Dossier, read_dossier
from fidelity.judge import Audit, judge, told_in_full
from fidelity.terms import Recheck, Variant

DEMO = Path(__file__).parents[2] / "demo_pairs" / "wickenby_long"
TOGETHER, DRAWS = 10, 100


def headline_of(found: Audit) -> Headline:
    """Give the headline figures of a run."""
    text = "".join(one.copy.letters for one in found.dossier.lost)
    return headline(found.counts, Counter(text), text, found.dossier.settings)


def corrected(dossier: Dossier, variants: Iterable[Variant]) -> Dossier:
    """Give the dossier with the copy's letters in the originals at these differences.

    Letters are exchanged for as many, or left out, or put in; states and hands of the originals follow.
    """
    chosen = sorted(variants, key=lambda one: (one.text, -one.original_span[0]))
    survivors = []
    for survivor in dossier.survivors:
        original, copy = survivor.original, survivor.copy
        letters, lines = original.letters, list(original.lines)
        states, hands = original.states, original.hands
        for one in (one for one in chosen if one.text == survivor.id):
            start, end = one.original_span
            put = copy.letters[slice(*one.copy_span)]
            letters = letters[:start] + put + letters[end:]
            lines = [at + (len(put) - (end - start)) * (at >= end) for at in lines]
            states = states[:start] + bytes(len(put)) + states[end:] if states else states
            hands = hands[:start] + bytes(len(put)) + hands[end:] if hands else hands
        text = replace(original, letters=letters, lines=tuple(lines), states=states, hands=hands)
        survivors.append(replace(survivor, original=text))
    return replace(dossier, survivors=tuple(survivors))


def of_places(places: Sequence[Recheck], variants: Sequence[Variant]) -> list[Variant]:
    """Find the differences that places to look at again are about."""
    known = {(one.text, one.locus, one.original_words, one.copy_words): one for one in variants}
    found = [known[one.text, one.locus, one.original_words, one.copy_words] for one in places]
    return list({one.number: one for one in found}.values())


def compared(dossier: Dossier, together: int, draws: int, seed: int = 1) -> tuple[float, list[float]]:
    """Give how far the figures move for the places named first, and for as many drawn at random.

    Args:
        dossier: already read.
        together: how many places.
        draws: how many times places are drawn.
        seed: of the draws.
    """
    found = told_in_full(judge(dossier))
    before, counted = headline_of(found), [one for one in found.rechecks if one.counted]
    every = of_places(counted, found.variants)

    def moved(some: Sequence[Variant]) -> float:
        return before.moved(headline_of(judge(corrected(dossier, some))))

    first = moved(every[:together])
    draw = np.random.default_rng(seed)
    others = [
        moved([every[at] for at in draw.choice(len(every), together, replace=False)]) for _ in range(draws)
    ]
    return first, others


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--dossier", type=Path, default=DEMO, help="a folder with a dossier.toml")
    parser.add_argument("--draws", type=int, default=DRAWS, help="how many times places are drawn")
    parser.add_argument("--together", type=int, default=TOGETHER, help="how many places at a time")
    options = parser.parse_args()
    first, others = compared(read_dossier(options.dossier), options.together, options.draws)
    fewer = sum(one < first for one in others)
    show(
        f"the {options.together} places named first move the figures by {first:.3g} letters per 1,000, as"
        f" many drawn at random by {np.median(others):.3g} (at most {max(others):.3g}): by less in {fewer}"
        f" of {options.draws} draws"
    )


if __name__ == "__main__":
    main()
