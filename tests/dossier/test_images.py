"""The pattern that turns a place into the address of its photograph."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.dossier.images import may_be_linked, names_a_part, photograph, unknown_parts
from fidelity.errors import DataError


def test_parts_of_a_place_stand_in_the_address() -> None:
    """Text, leaf and line are put in, and what an address cannot hold is written as it must be."""
    pattern = "https://example.org/{text}/{folio}#{line}"
    assert photograph(pattern, "B", "12r", "12r:3") == "https://example.org/B/12r#3"
    assert photograph(pattern, "B 2", "f. 1/2", "7") == "https://example.org/B%202/f.%201%2F2#7"
    assert photograph(pattern, "B", "", "7") == ""
    assert photograph("", "B", "12r", "12r:3") == ""


def test_unknown_parts_are_found() -> None:
    """Anything but text, folio and line is unknown, also without a name."""
    assert unknown_parts("https://example.org/{folio}/{page}/{}") == ["page", ""]


@pytest.mark.parametrize(
    "pattern", ["https://example.org/{page}", "https://example.org/{folio", "", "https://example.org/"]
)
def test_a_wrong_pattern_is_a_fault_of_the_dossier(pattern: str, tmp_path: Path) -> None:
    """The fault names the line, and says what a pattern may name."""
    for name in ("o.txt", "c.txt"):
        (tmp_path / name).write_text("of me", encoding="utf-8")
    (tmp_path / "dossier.toml").write_text(
        '[copyist]\nname = "he"\n\n[[survivor]]\nid = "A"\noriginal = "o.txt"\ncopy = "c.txt"\n\n'
        f'[images]\npattern = "{pattern}"\n',
        encoding="utf-8",
    )
    with pytest.raises(DataError) as raised:
        read_dossier(tmp_path)
    (fault,) = raised.value.faults
    assert fault.line == 10
    assert "{folio}" in fault.remedy


def test_the_part_that_is_none_is_named(tmp_path: Path) -> None:
    """Not the pattern as a whole, nor the key."""
    (tmp_path / "dossier.toml").write_text('[images]\npattern = "a/{folio}/{page}"\n', encoding="utf-8")
    with pytest.raises(DataError, match=r"pattern names \{page\}, which is no part of a place"):
        read_dossier(tmp_path)


def test_a_pattern_names_a_part_of_a_place() -> None:
    """Without one every place would have the same photograph; braces that are letters name nothing."""
    assert names_a_part("https://example.org/{folio}.jpg")
    assert not names_a_part("https://example.org/12r.jpg")
    assert not names_a_part("https://example.org/{{folio}}.jpg")


@pytest.mark.parametrize(
    ("address", "linked"),
    [
        ("https://example.org/B/12r#3", True),
        ("HTTP://example.org/12r", True),
        ("file:///scans/12r.jpg", True),
        ("scans/12r.jpg", True),
        ("../scans/12r:3.jpg", True),
        ("javascript:alert(1)", False),
        ("JavaScript:alert(1)", False),
        (" javascript:alert(1)", False),
        ("java\tscript:alert(1)", False),
        ("\x01javascript:alert(1)", False),
        ("data:text/html,<script>", False),
        ("C:\\scans\\12r.jpg", False),
        ("https:example.org", False),
        ("", False),
    ],
)
def test_only_what_can_be_looked_at_is_linked(address: str, linked: bool) -> None:
    """Addresses of the web, of files, and beside the page; nothing that is run."""
    assert may_be_linked(address) is linked
