"""Records made in less time are what the standard library's are."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from dataclasses import FrozenInstanceError, field, replace
from functools import cached_property
from typing import Any

import pytest

from fidelity import records


class _Fields:
    """Fields of every kind that records have."""

    original: str
    copy: str = "n"
    loci: dict[str, int] = field(default_factory=dict, compare=False)
    note: str = field(default="", repr=False)

    @cached_property
    def both(self) -> str:
        return self.original + self.copy


def _twice(**how: bool) -> tuple[Any, Any]:
    """Make the same record here and by the standard library."""
    bodies = [type("Slip", (), {"__annotations__": _Fields.__annotations__} | _defaults()) for _ in "ab"]
    return records.dataclass(**how)(bodies[0]), dataclasses.dataclass(**how)(bodies[1])


def _defaults() -> dict[str, Any]:
    names = ("copy", "loci", "note", "both", "__module__", "__doc__")
    return {name: vars(_Fields)[name] for name in names}


def test_it_is_not_the_standard_decorator() -> None:
    """What is tested here is the decorator of this package; type checkers alone see the other."""
    assert records.dataclass is not dataclasses.dataclass


@pytest.mark.parametrize(
    "how",
    [{"frozen": True}, {"frozen": True, "eq": False}, {"frozen": True, "order": True}, {}, {"order": True}],
)
def test_records_are_those_of_the_standard_library(how: dict[str, bool]) -> None:
    """Fields, signature, look, equality, hash and replacement are the same, whatever is asked for."""
    ours, standard = _twice(**how)
    assert str(inspect.signature(ours)) == str(inspect.signature(standard))
    assert [one.name for one in dataclasses.fields(ours)] == [
        one.name for one in dataclasses.fields(standard)
    ]
    assert ours.__match_args__ == standard.__match_args__
    found: list[tuple[object, ...]] = []
    for made in (ours, standard):
        first, like, other = made("r"), made("r", "n", {"x": 1}), made("r", copy="s", note="?")
        found.append(
            (repr(first), repr(other), first == like, first == other, first == "r", first.both, like.loci)
        )
        found[-1] += (replace(other, original="m") == made("m", "s", note="?"), made.__hash__ is None)
        assert made("r").loci is not first.loci
        assert made is not ours or first != standard("r")
        if how.get("order"):
            found[-1] += (
                first < other,
                first <= like,
                first > like,
                first >= other,
                sorted([other, first])[0] is first,
            )
            with pytest.raises(TypeError, match="not supported between"):
                assert first < "r"
        if how == {"frozen": True}:
            assert hash(first) == hash(like) == hash(made("r"))
        assert copy.copy(other).__dict__ == other.__dict__
    assert found[0] == found[1]


def test_faults_in_making_a_record_are_told_alike() -> None:
    """Too few, too many and unknown arguments raise the same error, the first time and later."""
    for arguments, named in (((), {}), (("r", "n", {}, "", 1), {}), (("r",), {"letter": "x"})):
        ours, standard = _twice(frozen=True)
        for _ in range(2):
            with pytest.raises(TypeError) as told:
                ours(*arguments, **named)
            with pytest.raises(TypeError) as told_too:
                standard(*arguments, **named)
            assert str(told.value) == str(told_too.value)


def test_records_are_frozen() -> None:
    """No field can be set or taken away."""
    for made in _twice(frozen=True):
        slip = made("r")
        with pytest.raises(FrozenInstanceError, match="cannot assign to field 'copy'"):
            slip.copy = "s"
        with pytest.raises(FrozenInstanceError, match="cannot delete field 'copy'"):
            del slip.copy


@records.dataclass(frozen=True)
class _Whole:
    """A record that another is made of."""

    letters: str


@records.dataclass(frozen=True)
class _Longer(_Whole):
    """A record with the fields of another and one more."""

    line: int = 1

    def __repr__(self) -> str:
        return f"{self.letters} in line {self.line}"


def test_a_record_may_have_another_above_it() -> None:
    """Fields are taken over, what a class says itself stays, and a record of another class is not equal."""
    _Whole("stan")  # so that the one above is written first
    assert repr(_Longer("stan", 2)) == "stan in line 2"
    assert _Longer("stan") != _Whole("stan")
    assert pickle.loads(pickle.dumps(_Longer("stan", 2))) == _Longer("stan", 2)  # noqa: S301  our own
