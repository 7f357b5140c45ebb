"""Skips, repeats, moves and divisions with the pairing that a reader expects, from ``tests/cases``.

A pairing is written as the text with what differs in braces: ``on {þa |}þa`` is a word left out,
``{rn|m}`` is rn answered by m; all else is kept. Where several pairings are as good, any will do.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import fidelity
from fidelity.letters import decode
from fidelity.terms import Alignment, StepKind
from tests.cases import Case, cases

CASES = cases("alignment.json")
UNMARKED = [pytest.param(case.values[0], id=case.id) for case in CASES]
NOT_MET = {
    "three bounds of twelve moved down by six": "a gap that may begin with either of two words does not"
    " choose the one that begins a line",
}
MOVED = [
    pytest.param(
        case.values[0],
        id=case.id,
        marks=[pytest.mark.xfail(strict=True, reason=NOT_MET[str(case.id)])] if case.id in NOT_MET else [],
    )
    for case in UNMARKED
    if "moved" in case.values[0]  # type: ignore[operator]
]
BRACE = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def sides(pairing: str) -> tuple[str, str]:
    """Give the original and the copy that a written pairing stands for."""
    return BRACE.sub(lambda found: found[1], pairing), BRACE.sub(lambda found: found[2], pairing)


def written(alignment: Alignment, *, by_step: bool) -> str:
    """Write an alignment as a pairing: steps that differ each by itself, or neighbours together."""
    original, copy = alignment.original.letters, alignment.copy.letters
    parts: list[str] = []
    changed: list[tuple[str, str]] = []

    def close() -> None:
        if changed:
            parts.append("{" + "".join(o for o, _ in changed) + "|" + "".join(c for _, c in changed) + "}")
            changed.clear()

    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        if kind != StepKind.KEPT:
            if by_step:
                close()
            changed.append((original[o0:o1], copy[c0:c1]))
            continue
        close()
        parts.append(original[o0:o1])
    close()
    return decode("".join(parts))


def aligned(case: Case, folder: Path) -> Alignment:
    """Align the texts of a case: text as a string, a glossary as two tables."""
    if "\t" not in case["original"]:
        return fidelity.align(case["original"], case["copy"])
    files = [folder / name for name in ("original.tsv", "copy.tsv")]
    for file, text in zip(files, (case["original"], case["copy"]), strict=True):
        file.write_text("lemma\tgloss\n" + text, encoding="utf-8")
    return fidelity.align(*files)


@pytest.mark.parametrize("case", CASES)
def test_the_pairing_is_the_one_expected(case: Case, tmp_path: Path) -> None:
    """What answers what is what a reader expects; where a case says so, each difference is one step."""
    alignment = aligned(case, tmp_path)
    assert written(alignment, by_step=case.get("one_step", False)) in case["pairings"]


@pytest.mark.parametrize("case", UNMARKED)
def test_a_case_is_what_it_says(case: Case, tmp_path: Path) -> None:
    """Every pairing of a case gives back its two texts, and each case names where it comes from."""
    alignment = aligned(case, tmp_path)
    texts = decode(alignment.original.letters), decode(alignment.copy.letters)
    assert case["pairings"] and {sides(pairing) for pairing in case["pairings"]} == {texts}
    assert case["source"] and case["kind"]


@pytest.mark.parametrize("case", MOVED)
def test_what_moved_is_said_to_have_moved(case: Case, tmp_path: Path) -> None:
    """A stretch that stands elsewhere in the copy is named with its place in either text."""
    alignment = aligned(case, tmp_path)
    original, copy = alignment.original.letters, alignment.copy.letters
    found = []
    for one in alignment.moved:
        (o0, o1), (c0, c1) = one.original_span, one.copy_span
        found.append([original[o0:o1].strip(), copy[c0:c1].strip()])
    assert len(found) == case.get("moved_count", 1)
    assert all(stretches in case["moved"] for stretches in found)


def test_every_kind_is_there() -> None:
    """At least sixty cases, of every kind that can befall a copy, each label used once."""
    labels = [str(case.id) for case in CASES]
    assert len(labels) == len(set(labels)) >= 60
    kinds = {
        "division",
        "extra matter",
        "eye-skip",
        "fields",
        "formula",
        "minims",
        "move",
        "operation",
        "repeat",
    }
    assert kinds <= {case.values[0]["kind"] for case in CASES}
