"""Run a module as if nothing had been compiled: what a user without a compiler has.

Arrives: the name of a module and its arguments. Leaves: what that module prints. Run it from the
project's root as ``python -m tests.benchmarks.interpreted fidelity compare ORIGINAL COPY``. It imports
next to nothing itself, so that whole processes can be timed with it.
"""

from __future__ import annotations

import importlib.util
import os
import runpy
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from types import ModuleType

PACKAGE = "fidelity."


class SourcesOnly:
    """A finder of modules that takes the source of each module of this package, compiled or not."""

    @staticmethod
    def find_spec(
        name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Find a module's source beside whatever was compiled from it; leave all else to others."""
        del target
        if not name.startswith(PACKAGE):
            return None
        for folder in path or ():
            file = os.path.join(folder, name.rpartition(".")[2] + ".py")  # noqa: PTH118  pathlib takes time
            if os.path.isfile(file):  # noqa: PTH113
                return importlib.util.spec_from_file_location(name, file)
        return None


def compiled_modules() -> list[str]:
    """Name the modules of this package that were loaded compiled."""
    return [
        name
        for name, module in sys.modules.items()
        if name.startswith(PACKAGE) and not str(getattr(module, "__file__", ".py")).endswith(".py")
    ]


def main() -> None:
    """Hide what is compiled and run the module that is named."""
    sys.meta_path.insert(0, SourcesOnly)
    del sys.argv[0]
    runpy.run_module(sys.argv[0], run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    main()
