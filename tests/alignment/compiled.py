"""The compiled loops beside the same files as plain Python, and beside the arrays that stand in for them."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

import pytest

from fidelity.alignment import anchors, changes, seeds, steps, straight, windows

SCANNING = (anchors, changes, seeds, steps, straight)  # the modules that use the loops of scan.py


def interpreted(name: str, beside: ModuleType = windows) -> ModuleType:
    """Load the source of a loop as plain Python, whatever is compiled."""
    file = Path(str(beside.__file__)).with_name(f"{name}.py")
    spec = importlib.util.spec_from_file_location(f"{name}_as_plain_python", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


PLAIN, PLAIN_SCAN = interpreted("inner"), interpreted("scan")
WAYS = {"loop": 10**12, "abreast": 0}  # cells up to which windows are solved by the interpreted loop


@contextmanager
def not_compiled(way: str) -> Iterator[None]:
    """Let windows be solved as they are where nothing is compiled: one by one, or side by side."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(windows, "inner", PLAIN)
        patch.setattr(windows, "COMPILED", False)
        patch.setattr(windows, "FEW_CELLS", WAYS[way])
        for module in SCANNING:
            patch.setattr(module, "COMPILED", False)
        yield


compiled_only = pytest.mark.skipif(
    not (windows.COMPILED and seeds.COMPILED), reason="the loops are not compiled here"
)
