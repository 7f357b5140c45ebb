"""Readings with what is to be made of them, as data: label, original, copy, expectation, source.

Arrives: the name of a JSON file in this folder. Leaves: its cases, ready for a parametrised test.
Start reading at ``cases``. A case with ``known_failure`` says why it is not met yet; when it is met
after all, the test says so. An expected ``cause`` of null means that no test yet made should fit.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

Case = dict[str, Any]


def cases(name: str) -> list[Any]:
    """Give the cases of a file, known failures marked, each named by its label."""
    found: list[Case] = json.loads(Path(__file__).with_name(name).read_text(encoding="utf-8"))
    return [
        pytest.param(
            case,
            id=case["label"],
            marks=[pytest.mark.xfail(strict=True, reason=case["known_failure"])]
            if "known_failure" in case
            else [],
        )
        for case in found
    ]


def expected(case: Case) -> list[tuple[str, str, str, str]]:
    """Give the expected variants: original, copy, phenomenon, cause ("undetermined" for none)."""
    rows = case["variants"]
    return [(row["original"], row["copy"], row["phenomenon"], row["cause"] or "undetermined") for row in rows]
