"""Who was copied from whom, as a dossier declares it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import Dossier
from fidelity.dossier.read import read_dossier
from fidelity.errors import DataError

HEAD = """[copyist]
name = "Wickenby"
{copyist}
[[survivor]]
id = "E"
original = "E.txt"
copy = "E_copy.txt"

[[lost]]
id = "X"
copy = "X.txt"
{lost}
"""


def read(folder: Path, witnesses: dict[str, str], copyist: str = "", lost: str = "") -> Dossier:
    """Read a dossier in which each witness of X has this depends_on."""
    for name in ("E.txt", "E_copy.txt", "X.txt", "W.txt"):
        (folder / name).write_text("on fyre fæste\ngeboren ic wæs\nand swa\n", encoding="utf-8")
    text = HEAD.format(copyist=copyist, lost=lost)
    for siglum, depends in witnesses.items():
        text += f'\n[[witness]]\nsiglum = "{siglum}"\nof = "X"\nfile = "W.txt"\n'
        text += f"depends_on = {depends}\n" if depends else ""
    (folder / "dossier.toml").write_text(text, encoding="utf-8")
    return read_dossier(folder)


def test_all_of_a_witness_or_a_part(tmp_path: Path) -> None:
    """A siglum holds for all of the text; a list names where, as places are cited."""
    part = '[{ siglum = "K", from = "X 1.2", to = "2" }, { siglum = "C", from = "3", to = "3.1" }]'
    found = read(tmp_path, {"K": "", "T": '"C"', "S": part}).dependence
    assert set(found) == {("X", "T"), ("X", "S")}
    (whole,) = found["X", "T"]
    assert (whole.source, whole.span, whole.printed) == ("C", (0, 36), "")
    first, second = found["X", "S"]
    assert (first.source, first.span, first.printed) == ("K", (3, 28), "1.2-2.3")
    assert (second.source, second.span) == ("C", (29, 32))


def test_the_copy_itself_where_it_was_taken_from_a_witness(tmp_path: Path) -> None:
    """A lost text's own copy may depend on a witness in a part, and goes by the copyist's siglum."""
    lost = 'depends_on = [{ siglum = "K", from = "2", to = "2" }]'
    found = read(tmp_path, {"K": "", "T": '"Wi"'}, copyist='siglum = "Wi"', lost=lost)
    assert found.copyist_siglum == "Wi"
    assert found.dependence["X", "Wi"][0].source == "K"
    assert found.dependence["X", "T"][0].source == "Wi"


@pytest.mark.parametrize(
    ("witnesses", "told"),
    [
        ({"K": '"L"'}, "there is no witness L of this text"),
        ({"K1": "", "T": '"k1"'}, "did you mean K1?"),
        ({"K": '"K"'}, "K cannot depend on itself"),
        ({"K": '"T"', "T": '"K"'}, "a circle: K from T from K"),
        ({"K": '"T"', "T": '"S"', "S": '"K"'}, "a circle: K from T from S from K"),
        ({"C": ""}, "C is the siglum of the copyist"),
        ({"K": '[{ siglum = "C", from = "1", to = "9" }]'}, "X has no line 9"),
        ({"K": '[{ siglum = "C", from = "3", to = "1" }]'}, "3 to 1 ends before it begins"),
        ({"K": '[{ siglum = "C", from = "3" }]'}, "it is not said to where"),
        ({"K": '[{ from = "3", to = "3" }]'}, "lacks siglum"),
        ({"K": '[{ siglum = "C", until = "3" }]'}, "unknown key 'until'"),
        ({"K": '["C"]'}, "depends_on cannot hold 'C'"),
        ({"K": "3"}, "depends_on cannot be 3"),
    ],
)
def test_what_cannot_be_meant_is_told(tmp_path: Path, witnesses: dict[str, str], told: str) -> None:
    """Sigla and places that are not there, circles, the copyist's own siglum are faults with a line."""
    with pytest.raises(DataError) as caught:
        read(tmp_path, witnesses)
    assert told in str(caught.value)
    assert all(fault.line for fault in caught.value.faults)


def test_parts_that_do_not_meet_make_no_circle(tmp_path: Path) -> None:
    """Two witnesses may each have taken another part from the other."""
    first, second = '[{ siglum = "T", from = "1", to = "1" }]', '[{ siglum = "K", from = "3", to = "3" }]'
    assert len(read(tmp_path, {"K": first, "T": second}).dependence) == 2


def test_a_copy_that_is_all_from_a_witness_tells_nothing(tmp_path: Path) -> None:
    """That all of the copy was taken from a witness is refused: then it is no copy of the lost text."""
    with pytest.raises(DataError, match="it tells nothing of X"):
        read(tmp_path, {"K": ""}, lost='depends_on = "K"')
    with pytest.raises(DataError, match="there is no witness K"):
        read(tmp_path, {}, lost='depends_on = [{ siglum = "K", from = "1", to = "1" }]')
