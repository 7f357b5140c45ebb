"""How large the report is, how long it takes to make and to open, and how fast it answers, as it grows.

Arrives: nothing. Leaves: a table on the terminal. Run it from the project's root as ``python -m
tests.benchmarks.page``; ``--differences`` and ``--proposals`` say how large, ``--keep`` where the pages
are kept. Start reading at ``main``. Seconds to make a page are of the processor; times in the browser are
those of the clock, the median of three openings, in a Chromium that has opened the smallest page before;
``_cpu`` is what the page's own thread takes of the processor, which other work on the machine does not move.

- first paint: from opening to the first letters on the screen (Paint Timing, W3C).
- loaded: until the page, its script and all it holds are there.
- filter: from a letter typed in the longest table's field until the rows shown have changed and are drawn.
- choose: from another probability chosen in the lost text until what is shown has changed and is drawn.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
import tracemalloc
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median

from tabulate import tabulate

from fidelity.apparatus.page import page
from tests.benchmarks.large_audit import large_audit
from tests.browser.chromium import Chromium, program_or_end
from tests.browser.seen import Seen

OPENINGS = 3
FIRST_PAINT = (
    "performance.getEntriesByType('paint').find((one) => one.name === 'first-contentful-paint')?.startTime"
)
LOADED = "performance.getEntriesByType('navigation')[0].loadEventEnd"
# What a reader does, and the time until it is drawn; null where there is nothing to do it with.
FILTER = """(async () => {
    const fields = [...document.querySelectorAll('input[type=search]')];
    const rows = (field) => field.closest('p').nextElementSibling.querySelectorAll('tr').length;
    const field = fields.sort((a, b) => rows(b) - rows(a))[0];
    if (!field) return null;
    const told = field.closest('p').querySelector('[role=status]');
    for (let one = field; one; one = one.parentElement) if (one.tagName === 'DETAILS') one.open = true;
    await new Promise(requestAnimationFrame);
    const before = told.textContent, start = performance.now();
    field.value = 'æ'; field.dispatchEvent(new Event('input', {bubbles: true}));
    while (told.textContent === before) await new Promise(requestAnimationFrame);
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return performance.now() - start;
})()"""
CHOOSE = """(async () => {
    const level = document.querySelector('.tools select');
    if (!level) return null;
    const start = performance.now();
    level.value = '0.8'; level.dispatchEvent(new Event('change', {bubbles: true}));
    document.body.getBoundingClientRect();
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return performance.now() - start;
})()"""


@dataclass(frozen=True)
class Measured:
    """What is reported of one page; nan for what it does not have."""

    differences: int
    proposals: int
    size_mb: float
    make_s: float
    make_peak_mb: float
    elements: int
    first_paint_ms: float
    loaded_ms: float
    loaded_cpu_ms: float
    filter_ms: float
    filter_cpu_ms: float
    choose_ms: float
    choose_cpu_ms: float


def measured(browser: Chromium, differences: int, proposals: int, folder: Path) -> Measured:
    """Make a page and open it."""
    audit = large_audit(differences, proposals)
    start = time.process_time()
    text = page(audit)
    seconds = time.process_time() - start
    tracemalloc.start()
    page(audit)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    file = folder / f"report_{differences}_{proposals}.html"
    file.write_text(text, encoding="utf-8")
    seen = [_opened(browser, file) for _ in range(OPENINGS)]
    elements, *times = (median(column) for column in zip(*seen, strict=True))
    size = file.stat().st_size / 1e6
    return Measured(differences, proposals, size, seconds, peak / 1e6, int(elements), *times)


def _opened(browser: Chromium, file: Path) -> tuple[float, ...]:
    """Open a page; give its elements, and the times in milliseconds."""
    with Seen(browser, file) as seen:
        found = [seen.value(one) for one in ("document.querySelectorAll('*').length", FIRST_PAINT, LOADED)]
        used = seen.processor()
        found.append(1000 * used)
        for script in (FILTER, CHOOSE):
            taken = seen.value(script)
            before, used = used, seen.processor()
            found += [taken, None if taken is None else 1000 * (used - before)]
        for complaint in seen.complaints():
            print(f"{file.name}: {complaint}", file=sys.stderr)
    return tuple(float("nan") if one is None else float(one) for one in found)


def main() -> None:
    """Measure pages of several sizes."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--differences", type=int, nargs="+", default=[1000, 10_000, 100_000])
    parser.add_argument("--proposals", type=int, default=5000, help="for the lost text (default 5,000)")
    parser.add_argument("--keep", type=Path, help="folder in which the pages are kept")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, Chromium(str(program_or_end())) as browser:
        kept = asked.keep or Path(folder)
        kept.mkdir(parents=True, exist_ok=True)
        rows = [
            measured(browser, number, min(number, asked.proposals), kept)
            for number in (100, *asked.differences)
        ]
    print(tabulate([asdict(one) for one in rows], headers="keys", floatfmt=",.4g"))


if __name__ == "__main__":
    main()
