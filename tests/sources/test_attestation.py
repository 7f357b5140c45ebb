"""What the tradition says, place by place."""

from __future__ import annotations

import math

import pytest

from fidelity.sources.attestation import attested, earliest, year_of
from fidelity.sources.collate import Given, collate
from fidelity.sources.rates import WitnessRate
from fidelity.sources.suspected import suspected_copies
from fidelity.sources.tradition import Tradition
from fidelity.terms.attestation import AttestedReading, DependentStretch
from fidelity.witnesses.read import read_witness

TEXT = "on þære ealdan stræte be þam wege and ofer þone ford to þære mylne and swa to þam hlawe"


def tradition(dependence: dict[str, tuple[DependentStretch, ...]] | None = None, **texts: str) -> Tradition:
    """Collate texts, the first the main one, each at 5 wrong letters per 1,000."""
    given = [Given(siglum, read_witness(text, siglum=siglum)) for siglum, text in texts.items()]
    collation = collate(given[0], given[1:], "X")
    dates = {"A": "s. xi", "B": "1600"}
    return Tradition(collation, {siglum: WitnessRate(5.0) for siglum in texts}, dependence or {}, dates)


def by_reading(found: Tradition) -> dict[tuple[str, str], AttestedReading]:
    """Give the attested readings by place and reading."""
    return {(one.locus, one.reading): one for one in attested(found)}


def test_readings_with_their_lines_and_ratio() -> None:
    """Two lines against one: the ratio is that of one line, by hand from the rate."""
    found = by_reading(tradition(A=TEXT, B=TEXT, C=TEXT.replace("ford", "fort")))
    ford, fort = found["X 1.11", "ford"], found["X 1.11", "fort"]
    assert (ford.witnesses, ford.lines, ford.earliest, ford.against) == (
        ("A", "B"),
        ("A", "B"),
        "s. xi",
        "fort",
    )
    p = WitnessRate(5.0).written_given
    by_hand = p("ford", "ford") / p("fort", "ford") * p("ford", "ford") * p("ford", "fort")
    by_hand /= p("fort", "ford") * p("fort", "fort")
    assert ford.likelihood_ratio == pytest.approx(by_hand)
    assert fort.likelihood_ratio == pytest.approx(1 / by_hand)
    assert "5 wrong letters per 1,000 (assumed)" in ford.assumptions
    assert len(found) == 2  # where all agree there is no row


def test_a_declared_copy_is_set_aside_with_its_ground() -> None:
    """C, copied from B, repeats it and has no vote; in the part alone that is declared, it has none there."""
    changed = TEXT.replace("ford", "fort").replace("hlawe", "hlæwe")
    whole = DependentStretch("B", (0, len(TEXT)))
    found = by_reading(tradition({"C": (whole,)}, A=TEXT, B=changed, C=changed))
    assert found["X 1.11", "fort"].set_aside == (("C", "copied from B (declared)"),)
    assert found["X 1.11", "fort"].lines == ("B",)
    part = DependentStretch("B", (0, 55), "1.1-1.11")
    found = by_reading(tradition({"C": (part,)}, A=TEXT, B=changed, C=changed))
    assert found["X 1.11", "fort"].set_aside == (("C", "copied from B (1.1-1.11, declared)"),)
    assert found["X 1.19", "hlæwe"].lines == ("B", "C")


def test_an_undeclared_copy_is_only_reported() -> None:
    """C has all peculiar readings of B and one more (Maas § 8): it may be a copy, and keeps its vote."""
    b = TEXT.replace("ealdan", "ealdum").replace("ford", "fort").replace("hlawe", "hlæwe")
    c = b.replace("mylne", "mulne")
    made = tradition(A=TEXT, B=b, C=c, D=TEXT, E=TEXT)
    (suspect,) = suspected_copies(made)
    assert (suspect.siglum, suspect.source, suspect.shared, suspect.more) == ("C", "B", 3, 1)
    readings = list(attested(made, [suspect]))
    fort = next(one for one in readings if one.reading == "fort")
    assert fort.lines == ("B", "C")
    assert fort.set_aside == ()
    assert "C may be a copy of B (it has all 3 peculiar readings of B, and 1 of its own)" in fort.assumptions


def test_one_that_lacks_a_peculiar_reading_is_no_copy() -> None:
    """A separative reading clears it: C has not *hlæwe*, so it is not taken for a copy of B."""
    b = (
        TEXT.replace("ealdan", "ealdum")
        .replace("ford", "fort")
        .replace("hlawe", "hlæwe")
        .replace("wege", "weg")
    )
    c = b.replace("hlæwe", "hlawe").replace("mylne", "mulne")
    assert [one.source for one in suspected_copies(tradition(A=TEXT, B=b, C=c, D=TEXT, E=TEXT))] == []


def test_what_is_lost_agrees_with_what_it_may_be() -> None:
    """A damaged reading stands with the only whole one it may be, and with none where it may be several."""
    given = [
        Given(siglum, read_witness(text, siglum=siglum, profile="leiden"))
        for siglum, text in {"A": "ic swide heard", "B": "ic swiðe heard", "C": "ic swi[---]"}.items()
    ]
    made = Tradition(collate(given[0], given[1:], "X"), {siglum: WitnessRate(5.0) for siglum in "ABC"})
    assert {one.reading: one.witnesses for one in attested(made)} == {"swide": ("A",), "swiðe": ("B",)}
    given[2] = Given("C", read_witness("ic swið[---]", siglum="C", profile="leiden"))
    made = Tradition(collate(given[0], given[1:], "X"), {siglum: WitnessRate(5.0) for siglum in "ABC"})
    found = {one.reading: one for one in attested(made)}
    assert found["swiðe"].witnesses == ("B", "C")
    assert found["swiðe"].likelihood_ratio > 50


def test_stops_make_no_reading() -> None:
    """Witnesses that differ in a stop alone do not differ."""
    assert list(attested(tradition(A="ic beluce þis hus", B="ic beluce. þis hus"))) == []


@pytest.mark.parametrize(
    ("date", "year"),
    [
        ("1744-52", 1744),
        ("s. xi", 1050),
        ("s. xii in.", 1110),
        ("saec. ix", 850),
        ("2nd century", 150),
        ("old", None),
    ],
)
def test_dates_as_scholars_write_them(date: str, year: float | None) -> None:
    """Years, centuries and their parts are understood; what is not understood is no date."""
    assert year_of(date) == year


def test_the_earliest_date_is_given_as_written() -> None:
    """The earliest date is the one of the least year, in the words in which it stands."""
    assert earliest(["1762", "s. xi ex.", ""]) == "s. xi ex."
    assert earliest(["", "long ago"]) == ""
    assert math.isclose(year_of("s. xi ex.") or 0, 1090)
