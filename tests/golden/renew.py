"""Keep what the short demo gives now: ``python -m tests.golden.renew``, after looking at what has changed.

Arrives: nothing. Leaves: new files in ``tests/golden/wickenby_short``; ``git diff`` shows what is new.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from tests.golden.results import ACTUAL, KEPT, results, save


def main() -> None:
    """Put the results of now in the place of those that are kept."""
    with tempfile.TemporaryDirectory() as folder:
        texts = results(Path(folder) / "results")
    shutil.rmtree(KEPT, ignore_errors=True)
    shutil.rmtree(ACTUAL.parent, ignore_errors=True)
    save(texts, KEPT)
    print(f"{len(texts)} files, {sum(map(len, texts.values())) / 1000:.0f} kB: {KEPT}")


if __name__ == "__main__":
    main()
