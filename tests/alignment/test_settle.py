"""Gaps begin and end where words and entries do, where that is as cheap."""

from __future__ import annotations

import math
import random
from pathlib import Path

import numpy as np
import pytest

import fidelity
from fidelity.alignment.channel import GAP_EXTEND, LetterChannel
from fidelity.alignment.costs import costs_from
from fidelity.alignment.layout import lay_out
from fidelity.alignment.settle import settle_gaps
from fidelity.alignment.steps import cost_of
from fidelity.alignment.texts import numbered
from fidelity.alignment.windows import solve_windows
from fidelity.letters import decode
from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import NO_FOLDS

ENTRIES = (
    "acer\thlin",
    "alnus\talor",
    "ardea\thragra",
    "baculus\tstæf",
    "corylus\thæsel",
    "falx\tsicol",
    "fornax\tofn",
    "malleus\tslecg",
)


def changes(alignment: Alignment) -> list[tuple[str, str]]:
    """Give what was left out, put in or changed, in order; white space at the edges apart."""
    original, copy = alignment.original.letters, alignment.copy.letters
    rows = alignment.steps[alignment.steps[:, 4] != StepKind.KEPT].tolist()
    return [(decode(original[a:b]).strip(), decode(copy[c:d]).strip()) for a, b, c, d, _ in rows]


def moved(alignment: Alignment) -> list[str]:
    """Give the letters of the moved blocks."""
    return [decode(alignment.original.letters[slice(*one.original_span)]) for one in alignment.moved]


@pytest.mark.parametrize(
    ("before", "first", "second", "blocks"),
    [
        ("et quod ", "predictis fratribus", "contra omnes homines", ["predictis fratribus"]),
        ("", "terram meam", "omnem", ["omnem"]),
        ("", "omnibus suis", "heredibus", ["heredibus"]),
        ("dedi cum omnibus ", "pertinentiis", "suis", ["suis"]),
        ("habendum et tenendum ", "libere", "quiete", ["libere", "quiete"]),
    ],
)
@pytest.mark.parametrize(
    ("after", "written", "slip"),
    [
        ("", "", []),
        (" reddere", " reddere", []),
        (" reddere", " raddere", [("e", "a")]),
        (" reddere", " teddere", [("r", "t")]),
    ],
    ids=["last words", "no slip", "slip in the second letter", "slip in the first letter"],
)
def test_words_of_like_endings_exchanged(
    before: str,
    first: str,
    second: str,
    blocks: list[str],
    after: str,
    written: str,
    slip: list[tuple[str, str]],
) -> None:
    """Whole words have moved, at the end of a text and beside a slip too, and the slip is one of letters."""
    original, copy = before + f"{first} {second}" + after, before + f"{second} {first}" + written
    alignment = fidelity.align(original, copy)
    [block] = moved(alignment)
    assert block in blocks  # either, where both are as long
    assert sorted(changes(alignment)) == sorted([(block, ""), ("", block), *slip])


@pytest.mark.parametrize(
    ("original", "copy", "change"),
    [
        ("nim rudan and betonican. cnuca", "nim rudan. cnuca", ("and betonican", "")),
        ("nim rudan, and betonican, cnuca", "nim rudan, cnuca", ("and betonican,", "")),
        ("sele him rudan swa rudan", "sele him rudan", ("swa rudan", "")),
        ("rudan swa rudan sele him", "rudan sele him", ("swa rudan", "")),
    ],
)
def test_where_a_stop_or_the_text_ends(original: str, copy: str, change: tuple[str, str]) -> None:
    """A gap of whole words is so before a stop, and at either end of the text."""
    [found] = changes(fidelity.align(original, copy))
    assert found in {change, ("rudan swa", "")}  # which of two like words is left out is open


def test_letters_are_given_back_only_for_whole_words() -> None:
    """Where the gap would not be whole words, the cheaper reading stays as it was."""
    original = "on her"
    for copy, given_back in (("on rudan ter", True), ("on orudan ter", True), ("on mærudanter", False)):
        texts = numbered(original, copy, NO_FOLDS)
        costs = costs_from(LetterChannel(original, copy, NO_FOLDS.same), texts.letters)
        end = len(copy) - 2
        steps = np.array([(0, 3, 0, 3, 0), (3, 3, 3, end, 2), (3, 4, end, end, 1), (4, 6, end, end + 2, 0)])
        wanted = [[3, 3, 3, end - 1, 2], [3, 4, end - 1, end, 1]] if given_back else steps[1:3].tolist()
        assert settle_gaps(steps, texts, original, copy, costs)[1:3].tolist() == wanted


def test_settled_steps_are_as_cheap() -> None:
    """On texts of few words the steps still cover both texts, keep equal letters only, and cost as much.

    A letter given back may cost ln n - ``GAP_EXTEND`` nats for n letters in use, as ``settle_gaps`` says.
    """
    settled = 0
    for seed in range(150):
        draw = random.Random(seed)
        words = [draw.choice(["suis", "omnis", "his", "is", "meis", "s."]) for _ in range(8)]
        others = [*words[:2], *words[4:6], *words[2:4], *words[6:]][draw.randrange(2) :]
        original, copy = (
            "".join(letter if draw.random() > 0.1 else draw.choice("st ") for letter in " ".join(side))
            for side in (words, others)
        )
        texts = numbered(original, copy, NO_FOLDS)
        costs = costs_from(LetterChannel(original, copy, NO_FOLDS.same), texts.letters)
        window = np.array([[0, len(original), 0, len(copy)]])
        steps = solve_windows(lay_out(texts.original, texts.copy, texts.folded, window), costs)
        found = settle_gaps(steps.copy(), texts, original, copy, costs)
        assert "".join(original[a:b] for a, b, _, _, _ in found.tolist()) == original
        assert "".join(copy[c:d] for _, _, c, d, _ in found.tolist()) == copy
        assert all(original[a:b] == copy[c:d] for a, b, c, d, kind in found.tolist() if not kind)
        changed, before = found[found[:, 4] != 0], steps[steps[:, 4] != 0]
        given_back = max(int(((changed[:, 1] > changed[:, 0]) & (changed[:, 3] > changed[:, 2])).sum()), 0)
        most = given_back * (math.log(len(texts.letters)) - GAP_EXTEND) + 1e-6
        assert cost_of(changed, texts, costs) <= cost_of(before, texts, costs) + most
        settled += found.tolist() != steps.tolist()
    assert settled > 15


def glossary(folder: Path, *orders: list[int]) -> Alignment:
    """Align two tables of the entries in these orders."""
    files = [folder / name for name in ("original.tsv", "copy.tsv")]
    for file, order in zip(files, orders, strict=True):
        rows = "".join(ENTRIES[number] + "\n" for number in order)
        file.write_text("lemma\tgloss\n" + rows, encoding="utf-8")
    return fidelity.align(*files)


@pytest.mark.parametrize("at", range(len(ENTRIES) - 1))
def test_neighbouring_entries_exchanged(at: int, tmp_path: Path) -> None:
    """Of two neighbours exchanged in a table of short words one has moved, whole, and no letter is wrong."""
    order = list(range(len(ENTRIES)))
    order[at : at + 2] = at + 1, at
    alignment = glossary(tmp_path, list(range(len(ENTRIES))), order)
    [block] = moved(alignment)
    assert block in ENTRIES[at : at + 2]
    assert sorted(changes(alignment)) == [("", block), (block, "")]


@pytest.mark.parametrize("at", range(len(ENTRIES)))
def test_an_entry_left_out(at: int, tmp_path: Path) -> None:
    """An entry left out or put in is one whole gap."""
    everything = list(range(len(ENTRIES)))
    fewer = [number for number in everything if number != at]
    assert changes(glossary(tmp_path, everything, fewer)) == [(ENTRIES[at], "")]
    assert changes(glossary(tmp_path, fewer, everything)) == [("", ENTRIES[at])]


def test_entries_replaced_outright_answer_each_other(tmp_path: Path) -> None:
    """Two neighbouring entries with other words in both fields are still answered field by field."""
    files = [tmp_path / name for name in ("original.tsv", "copy.tsv")]
    for file, rows in zip(
        files, (("nimbus\tscur", "pirus\tpyrige"), ("gallus\tcocc", "uulpes\tfox")), strict=True
    ):
        entries = [*ENTRIES[:4], *rows, *ENTRIES[4:]]
        file.write_text("lemma\tgloss\n" + "".join(row + "\n" for row in entries), encoding="utf-8")
    alignment = fidelity.align(*files)
    assert not any("\t" in original + written for original, written in changes(alignment))


@pytest.mark.parametrize(
    ("original", "copy", "torn", "whole"),
    [
        ("rudan o", "rudan on ecede o", [(0, 7, 0, 7, 0), (7, 7, 7, 16, 2)],
         [(0, 6, 0, 6, 0), (6, 6, 6, 15, 2), (6, 7, 15, 16, 0)]),
        ("o rudan", "o ecede no rudan", [(0, 0, 0, 9, 2), (0, 7, 9, 16, 0)],
         [(0, 1, 0, 1, 0), (1, 1, 1, 10, 2), (1, 7, 10, 16, 0)]),
        ("rudan on ecede o", "rudan o", [(0, 7, 0, 7, 0), (7, 16, 7, 7, 2)],
         [(0, 6, 0, 6, 0), (6, 15, 6, 6, 2), (15, 16, 6, 7, 0)]),
    ],
)  # fmt: skip
def test_a_kept_run_begins_anew(
    original: str, copy: str, torn: list[tuple[int, ...]], whole: list[tuple[int, ...]]
) -> None:
    """A gap at an end of a text slides away from it; the letters it leaves behind are kept."""
    texts = numbered(original, copy, NO_FOLDS)
    found = settle_gaps(np.array(torn, dtype=np.int32), texts, original, copy)
    assert list(map(tuple, found.tolist())) == whole
