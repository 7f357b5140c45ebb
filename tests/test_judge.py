"""Judging as a whole: what it leaves as it found it."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

from fidelity.judge import judge, told_in_full

DEMO = Path(__file__).resolve().parent.parent / "demo_pairs" / "wickenby_short"


@pytest.fixture(params=[True, False], ids=["sought", "not sought"])
def sought(request: pytest.FixtureRequest) -> Iterator[bool]:
    """Whether garbage is sought before judging begins."""
    before = gc.isenabled()
    (gc.enable if request.param else gc.disable)()
    yield request.param
    (gc.enable if before else gc.disable)()


def test_garbage_is_sought_afterwards_as_before(sought: bool) -> None:
    """While it judges, no garbage is sought; who had switched that off finds it off."""
    meanwhile = []
    found = judge(DEMO, lambda _: meanwhile.append(gc.isenabled()))
    assert meanwhile and not any(meanwhile)
    assert gc.isenabled() is sought
    told_in_full(found)
    assert gc.isenabled() is sought


def test_garbage_is_sought_again_after_a_fault(sought: bool) -> None:
    """A fault on the way, here of the caller's own, changes nothing in that."""

    def stops(_: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        judge(DEMO, stops)
    assert gc.isenabled() is sought
