"""Later hands' glosses planted in the long demo: what was planted is known, so what is found can be marked.

Arrives: how many glosses of each sort. Leaves: a dossier in which a later hand has glossed the survivors
(marked in the originals, as text in the copies) and the lost text, and where. Start reading at
``planted_glosses``.

The Latin words are those of the demo's glossary, which half of them are taken out of: a gloss is never a word
that the survivors have as a lemma.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.dossier.read import read_dossier
from fidelity.terms import Alignment, Witness
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain

OWN = "the main hand's own uel"  # no gloss, though it looks like one
SORTS = ("i. and Latin", "Latin alone", "uel and English", "uel, a numeral and English")
Lines = list[list[str]]


@dataclass(frozen=True)
class PlantedGlosses:
    """A dossier with planted glosses.

    Attributes:
        dossier, alignments: as they are searched.
        lost: of each gloss in the lost text its sort and its words' places among the words of the copy.
    """

    dossier: Dossier
    alignments: tuple[Alignment, ...]
    lost: tuple[tuple[str, frozenset[int]], ...]


@cache
def _demo() -> Dossier:
    return read_dossier(data_folder("demo_pairs") / "wickenby_long")


def _lines(witness: Witness) -> Lines:
    """Give a text in words, line by line, page marks among them."""
    return [line.split(" ") for line in write_plain(witness).rstrip("\n").split("\n")]


def gloss(sort: str, latin: Sequence[str], english: Sequence[str], drawn: random.Random) -> list[str]:
    """Make one gloss."""
    if sort == SORTS[0]:
        return ["i.", drawn.choice(latin)]
    if sort == SORTS[1]:
        return [drawn.choice(latin)]
    number = [f".{drawn.choice(('ii', 'iii', 'ui', 'uii', 'ix'))}."] if sort == SORTS[3] else []
    return ["uel", *number, drawn.choice(english)]


def planted_glosses(
    seed: int, in_survivors: int, in_lost: int, own: int = 0, sorts: Sequence[str] = SORTS
) -> PlantedGlosses:
    """Plant glosses.

    Args:
        seed: of the draws.
        in_survivors: glosses of each sort in each of the two survivors in prose.
        in_lost: glosses of each sort in the lost text.
        own: how often in each text in prose the main hand itself writes "uel" and an English word.
        sorts: which.
    """
    drawn = random.Random(seed)
    dossier = _demo()
    latin = list(dict.fromkeys(row.split("\t")[0] for row in _rows(_glossary(dossier).original)))
    drawn.shuffle(latin)
    kept_out = latin[: len(latin) // 2]
    survivors = [
        _without(one, frozenset(kept_out))
        if one.original.fields
        else _glossed(one, _sorts(in_survivors, own, sorts), kept_out, drawn, dossier.folds)
        for one in dossier.survivors
    ]
    text = dossier.lost[0]
    copy, spans = _plant_in_lost(text.copy, _sorts(in_lost, own, sorts), kept_out, drawn)
    dossier = replace(dossier, survivors=tuple(survivors), lost=(LostText(text.id, copy),))
    alignments = tuple(align_witnesses(one.original, one.copy, dossier.folds) for one in survivors)
    return PlantedGlosses(dossier, alignments, tuple(spans))


def _sorts(each: int, own: int, sorts: Sequence[str]) -> list[str]:
    """Give the sort of every gloss of a text, the main hand's own last."""
    return [sort for _ in range(each) for sort in sorts] + [OWN] * own


def _glossary(dossier: Dossier) -> Survivor:
    return next(one for one in dossier.survivors if one.original.fields)


def _without(survivor: Survivor, words: frozenset[str]) -> Survivor:
    """Take entries out of a glossary, from original and copy alike."""
    out = {at for at, row in enumerate(_rows(survivor.original)) if row.split("\t")[0] in words}

    def shortened(witness: Witness) -> Witness:
        return _table(witness, [row for at, row in enumerate(_rows(witness)) if at not in out])

    original = shortened(survivor.original)
    size = len(original.lines)
    passages = tuple(replace(one, lines=(0, size)) for one in survivor.passages)
    return replace(survivor, original=original, copy=shortened(survivor.copy), passages=passages)


def _rows(witness: Witness) -> list[str]:
    """Give the entries of a glossary, their fields parted by tabs."""
    return [witness.text_of_line(line) for line in range(len(witness.lines))]


def _table(witness: Witness, entries: Sequence[str]) -> Witness:
    """Make a witness of entries."""
    starts = [0]
    for entry in entries[:-1]:
        starts.append(starts[-1] + len(entry) + 1)
    count = len(entries)
    return replace(
        witness,
        letters=" ".join(entries),
        lines=tuple(starts),
        labels=tuple(str(at + 1) for at in range(count)),
        pages=("",) * count,
        line_ends=("",) * count,
    )


def _glossed(
    survivor: Survivor, sorts: Sequence[str], latin: Sequence[str], drawn: random.Random, folds: Folds
) -> Survivor:
    """Gloss words that stand once in original and copy, in both."""
    original, copy = _lines(survivor.original), _lines(survivor.copy)
    folded = [[folds.fold(word) for word in line] for line in original]
    once = _once(folded) & _once(copy)
    sites = drawn.sample(sorted(once), len(sorts))
    english = [word for word in sorted(once) if word.isalpha() and word not in sites]
    insular = {ord(letter): form for form, letter in folds.letters.items()}
    for sort, word in zip(sorts, sites, strict=True):
        added = gloss(sort, latin, english, drawn)
        line, place = _where(folded, word)
        written = " ".join(added)
        original[line][place] += f" {written.translate(insular)}" if sort == OWN else f" ⸌{written}⸍"
        line, place = _where(copy, word)
        copy[line][place] += " " + " ".join(added)
    first = survivor.original
    return replace(
        survivor,
        original=read_witness(
            _joined(original),
            siglum=first.siglum,
            profile="leiden",
            script=first.script,
            language=first.language,
        ),
        copy=read_witness(_joined(copy), siglum=survivor.copy.siglum),
    )


def _once(lines: Lines) -> set[str]:
    """Give the words that stand once, that end in no stop, and are not the last of their line."""
    counts = Counter(word for line in lines for word in line)
    inner = {word for line in lines for word in line[:-1]}
    return {word for word in inner if counts[word] == 1 and re.fullmatch(r"[^\W\d_]{4,}", word)}


def _where(lines: Lines, word: str) -> tuple[int, int]:
    return next((at, line.index(word)) for at, line in enumerate(lines) if word in line)


def _joined(lines: Lines) -> str:
    return "\n".join(" ".join(line) for line in lines)


def _plant_in_lost(
    copy: Witness, sorts: Sequence[str], latin: Sequence[str], drawn: random.Random
) -> tuple[Witness, list[tuple[str, frozenset[int]]]]:
    """Gloss the lost text; of each gloss its sort and the places of its words."""
    lines = _lines(copy)
    sites = [
        (at, place)
        for at, line in enumerate(lines)
        if not line[0].startswith("[")
        for place in range(len(line))
    ]
    chosen = drawn.sample(sites, len(sorts))
    english = [word for line in lines for word in line if re.fullmatch(r"[^\W\d_]{4,}", word)]
    added = {
        site: (sort, gloss(sort, latin, english, drawn)) for sort, site in zip(sorts, chosen, strict=True)
    }
    written: Lines = []
    spans: list[tuple[str, frozenset[int]]] = []
    count = 0
    for at, line in enumerate(lines):
        row: list[str] = []
        for place, word in enumerate(line):
            row.append(word)
            count += not line[0].startswith("[")
            if (at, place) in added:
                sort, words = added[at, place]
                row += words
                if sort != OWN:
                    spans.append((sort, frozenset(range(count, count + len(words)))))
                count += len(words)
        written.append(row)
    return read_witness(
        _joined(written), siglum=copy.siglum, script=copy.script, language=copy.language
    ), spans
