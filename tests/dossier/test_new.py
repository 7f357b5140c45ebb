"""A dossier to fill in, and where things stand in one."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.dossier import read_dossier
from fidelity.dossier.form import FORM, written
from fidelity.dossier.new import write_new_dossier
from fidelity.dossier.places import KEY, Spot, find_places
from fidelity.errors import DataError
from fidelity.settings import Settings


def test_new_dossier_lacks_only_what_must_be_filled_in(tmp_path: Path) -> None:
    """A dossier just laid out is sound but for the copyist's name and the survivors."""
    written = write_new_dossier(tmp_path / "new")
    assert [file.is_file() for file in written] == [True] * len(written)
    with pytest.raises(DataError) as caught:
        read_dossier(tmp_path / "new")
    assert ["no survivor" in caught.value.faults[0].what, caught.value.faults[1].what] == [
        True,
        "name is empty",
    ]


def test_new_dossier_filled_in_is_sound(tmp_path: Path) -> None:
    """With the comment signs taken away, its examples are a dossier that can be read."""
    (file, *_) = write_new_dossier(tmp_path)
    text = file.read_text(encoding="utf-8")
    text = re.sub(r"^# (?=\[|\w+ +=|\]|    \{)", "", text, flags=re.MULTILINE).replace(
        'name = ""', 'name = "W"'
    )
    text = text.replace('profile = "leiden" ', "# ").replace("quires =", "# ")  # there are no page marks
    text = text.replace("decided =", "# ")  # the text is another
    file.write_text(text, encoding="utf-8")
    for name in re.findall(r'"(\w+/\w+\.txt)"', text):
        rows = "1\tꞅꞇan\n2\thnol\n3\tꞅel\n" if name.startswith("survivors/") else "ꞅꞇan\nhnol\nꞅel\n"
        (tmp_path / name).write_text(rows, encoding="utf-8")
    (tmp_path / "reference" / "forms.tsv").write_text("form\tmodern\nhnol\tknoll\n", encoding="utf-8")
    dossier = read_dossier(tmp_path)
    assert dossier.words == (("hnol", "knoll"),)
    assert [survivor.id for survivor in dossier.survivors] == ["E"]
    assert (len(dossier.lost), len(dossier.witnesses), len(dossier.references)) == (1, 1, 1)
    assert dossier.survivors[0].passages[0].lines == (0, 3)
    assert len(dossier.survivors[0].checked) == 2


def test_new_dossier_overwrites_nothing(tmp_path: Path) -> None:
    """A folder with anything in it, and a file, are left alone."""
    (tmp_path / "file").write_text("a")
    with pytest.raises(DataError, match="not empty"):
        write_new_dossier(tmp_path)
    with pytest.raises(DataError, match="file, not a folder"):
        write_new_dossier(tmp_path / "file")
    assert [file.name for file in tmp_path.iterdir()] == ["file"]


def test_places_of_unusual_toml() -> None:
    """Dotted and quoted keys, comments and texts over several lines do not confuse the places."""
    text = (
        '"a".b = 1 # [x]\nlong = """\nc = 2\n[[t]]\n"""\n[[t]]\n'
        '[[ t ]] # [\nc = [1, # ]\n  [2, 3], "]"]\nd = \'"\'\ne = 1\n'
    )
    found = find_places(text, Path("x.toml")).offsets
    assert text[found[Spot("a", 0, "b")] :].startswith("1 #")
    assert text[found[Spot("a", 0, "b", KEY)] :].startswith('"a".b')
    assert Spot("", 0, "c") not in found
    assert found[Spot("t", 0)] == text.rindex("[[t]]")
    assert found[Spot("t", 1)] == text.index("[[ t ]]")
    assert [text[found[Spot("t", 1, "c", at)]] for at in range(3)] == ["1", "[", '"']
    assert Spot("t", 1, "c", 3) not in found
    assert text[found[Spot("t", 1, "e")]] == "1"


@given(
    st.lists(st.sampled_from(["a", "b-c", '"d e"']), unique=True), st.lists(st.text('x"[]#=,\n'), max_size=3)
)
def test_places_find_every_key(keys: list[str], values: list[str]) -> None:
    """Whatever stands in the values, each key of a table is found at its line."""
    quoted = ['"' + value.replace('"', '\\"').replace("\n", "\\n") + '"' for value in (values or [""])]
    rows = ["[t]", *(f"{key} = [{', '.join(quoted)}]" for key in keys)]
    places = find_places("\n".join(rows), Path("x.toml"))
    for number, key in enumerate(keys, start=2):
        assert places.line(Spot("t", 0, key.strip('"'))) == number
        for at in range(len(quoted)):
            assert places.line(Spot("t", 0, key.strip('"'), at)) == number


def test_every_entry_of_the_form_is_explained(tmp_path: Path) -> None:
    """Each table has its place in the file, and in it, or in words beside it, each key it may have."""
    text = write_new_dossier(tmp_path)[0].read_text(encoding="utf-8")
    starts = {name: text.index(f"{written(name)}\n") for name in FORM}
    for name, section in FORM.items():
        later = [start for start in starts.values() if start > starts[name]]
        part = text[starts[name] : min(later, default=len(text))]
        missing = [key for key in section.keys or () if not re.search(rf"\b{key}\b", part)]
        assert not missing, f"{written(name)} says nothing of {', '.join(missing)}"


def test_settings_stand_with_their_defaults(tmp_path: Path) -> None:
    """What the file says of the settings is what holds if nothing is changed."""
    text = write_new_dossier(tmp_path)[0].read_text(encoding="utf-8")
    part = text[text.index("# [settings]") :].partition("\n\n")[0]
    data = tomllib.loads(re.sub(r"^# ?", "", part, flags=re.MULTILINE))
    assert data["settings"] == Settings().colophon()


def test_every_table_is_laid_out(tmp_path: Path) -> None:
    """Every table that a dossier may have stands in the file, once or more."""
    text = write_new_dossier(tmp_path)[0].read_text(encoding="utf-8")
    assert set(re.findall(r"^(?:# )?\[+(\w+)", text, re.MULTILINE)) == set(FORM)
