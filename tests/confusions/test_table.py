"""The table of confusions: what is written comes back, and damage is found."""

from __future__ import annotations

from math import isclose
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.confusions.table import COLUMNS, read_confusions, write_confusions
from fidelity.errors import DataError
from fidelity.terms import Confusion, Locus

SLIP = Confusion(
    original="ꞅ",
    copy="r",
    folded="s→r",
    count=15,
    chances=148,
    low=0.0604,
    high=0.1576,
    expected=0.25,
    p_value=1e-12,
    q_value=1e-9,
    systematic=True,
    p_original_given_copy=0.101124,
    loci=(Locus("B", "12r:3", 4), Locus("B", "12v:1", 1)),
)
ROW = "ꞅ,r,s→r,15,148,101.351,60.4,157.6,0.25,1e-12,1e-09,yes,0.101124,B 12r:3.4; B 12v:1.1\n"

shares = st.floats(0, 1)
# Texts with control characters are refused where they are read, so none gets into a table.
clean = st.characters(exclude_categories=["Cs", "Cc"])
printed = st.text(clean | st.just("\t"), max_size=4)
labels = st.text(
    clean.filter(lambda sign: sign != "\u00a0"), max_size=6
)  # prints as a space, comes back as one
named = labels.map(lambda label: label.rstrip(";"))  # a text is not named "B;"
loci = st.builds(
    Locus, named, labels | st.sampled_from(["3.7", "12r:3", "a; b", "", "5."]), st.integers(0, 99)
)


@st.composite
def confusions(draw: st.DrawFn) -> Confusion:
    """Draw any confusion whatever."""
    chances = draw(st.integers(0, 10**7))
    low, high = sorted((draw(shares), draw(shares)))
    return Confusion(
        original=draw(printed),
        copy=draw(printed),
        folded=draw(printed),
        count=draw(st.integers(0, chances)),
        chances=chances,
        low=low,
        high=high,
        expected=draw(st.floats(0, 1e7)),
        p_value=draw(shares),
        q_value=draw(shares),
        systematic=draw(st.booleans()),
        p_original_given_copy=draw(shares),
        loci=tuple(draw(st.lists(loci, max_size=4))),
    )


def alike(read: Confusion, written: Confusion) -> bool:
    """Tell whether two confusions agree, floats to six digits."""
    floats = ("low", "high", "expected", "p_value", "q_value", "p_original_given_copy")
    exact = ("original", "copy", "folded", "count", "chances", "systematic", "loci")
    return all(getattr(read, name) == getattr(written, name) for name in exact) and all(
        isclose(getattr(read, name), getattr(written, name), rel_tol=1e-5, abs_tol=1e-300) for name in floats
    )


@given(st.lists(confusions(), max_size=5))
def test_round_trip(tmp_path_factory: pytest.TempPathFactory, written: list[Confusion]) -> None:
    """Confusions come back as they were, and a table read and written again has the same bytes."""
    folder = tmp_path_factory.mktemp("table")
    write_confusions(written, folder / "once.csv")
    read = read_confusions(folder / "once.csv")
    assert all(map(alike, read, written))
    assert len(read) == len(written)
    write_confusions(read, folder / "twice.csv")
    assert (folder / "twice.csv").read_bytes() == (folder / "once.csv").read_bytes()


def test_what_is_written(tmp_path: Path) -> None:
    """The columns stand in the promised order, rates and limits per 1,000, loci as cited."""
    write_confusions([SLIP], tmp_path / "confusions.csv")
    assert (tmp_path / "confusions.csv").read_bytes().decode() == ",".join(COLUMNS) + "\n" + ROW
    assert ",".join(COLUMNS) == (
        "original,copy,folded,count,chances,rate_per_1000,low,high,expected,p_value,q_value,"
        "systematic,p_original_given_copy,loci"
    )


def test_a_resaved_table_is_read(tmp_path: Path) -> None:
    """A spreadsheet's byte-order mark, line ends and needless quotes do no harm."""
    path = tmp_path / "confusions.csv"
    text = ",".join(COLUMNS) + "\n" + ROW.replace("ꞅ,r,", '"ꞅ","r",')
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert alike(read_confusions(path)[0], SLIP)


@pytest.mark.parametrize(
    ("damaged", "said"),
    [
        (ROW.replace("15,148", "149,148"), "count 149 in 148 chances"),
        (ROW.replace("15,148", "many,148"), "many"),
        (ROW.replace("yes", "maybe"), "maybe"),
        (ROW.replace("101.351", "99.9"), "rate 99.9"),
        (ROW.replace("60.4,157.6", "157.6,60.4"), "157.6 to 60.4"),
        (ROW.replace("1e-12", "nan"), "p_value is nan"),
        (ROW.replace("1e-12", "1.5"), "p_value is 1.5"),
        (ROW.replace("0.25", "-1"), "expected is -1"),
        (ROW.replace("B 12r:3.4", "12r:3.4"), "'12r:3.4' is no locus"),
        (ROW.replace(",yes", ""), "13 fields instead of 14"),
        (ROW.replace("yes", '"ye"s'), "not a CSV row"),
        (ROW.replace("yes", '"yes'), "not a CSV row"),
    ],
)
def test_damage_is_found(tmp_path: Path, damaged: str, said: str) -> None:
    """A damaged row is refused with file, line and what is wrong."""
    path = tmp_path / "confusions.csv"
    path.write_text(",".join(COLUMNS) + "\n" + ROW + damaged, encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_confusions(path)
    assert f"{path}:3" in str(caught.value)
    assert said in str(caught.value)


def test_other_files_are_refused(tmp_path: Path) -> None:
    """A file that is no table of confusions, or not UTF-8, is refused at the line in question."""
    path = tmp_path / "confusions.csv"
    for content, line in ((b"", 1), (b"letter,count\n", 1), (",".join(COLUMNS).encode() + b"\n\xe6,", 2)):
        path.write_bytes(content)
        with pytest.raises(DataError, match=f":{line}: not "):
            read_confusions(path)
