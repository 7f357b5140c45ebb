"""A lost text stands on the page as transmitted, letter for letter, with what is proposed beside it."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from typing import Any

import pytest

from fidelity.apparatus.lost_entries import entries_of
from fidelity.apparatus.lost_text import lost_texts
from fidelity.apparatus.page import page
from fidelity.dossier import LostText
from fidelity.judge import Audit
from fidelity.letters import decode
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.conjecture import Conjecture, JudgedUnit, Rival
from fidelity.terms.findings import StepEvidence
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.taken_out import taken_out
from tests.apparatus.made import made_audit


def told(letters: str) -> Witness:
    """Give a copy of two lines on one page."""
    first, _, second = letters.partition(" / ")
    return Witness(
        "X",
        f"{first} {second}",
        (0, len(first) + 1),
        ("1r:1", "1r:2"),
        ("1r", "1r"),
        ("", ""),
        language="ang",
    )


def reading(start: int, end: int, locus: Locus, **more: Any) -> ProposedReading:
    """Give a proposal for a span."""
    made = ProposedReading(1, "X", locus, (start, end), "wær", "wæs", 0.9)
    return replace(made, **more)


def with_readings(*readings: ProposedReading, letters: str = "Ic wær on / fæste geboren") -> Audit:
    """Give the audit made by hand, with another lost text."""
    audit = made_audit()
    dossier = replace(audit.dossier, lost=(LostText("X", told(letters)),))
    return replace(audit, dossier=dossier, readings=readings, decided=(), conjectures=())


def stripped(markup: str) -> str:
    """Take the tags away."""
    return unescape(re.sub(r"<[^>]*>", "", markup))


@pytest.mark.parametrize("span", [(3, 6), (0, 2), (3, 9), (5, 14), (8, 8), (22, 24)])
def test_the_letters_are_the_copys(span: tuple[int, int]) -> None:
    """Wherever a proposal stands, the letters of each line are those transmitted, and nothing else."""
    audit = with_readings(reading(*span, Locus("X", "1r:1", 1)))
    (text,) = lost_texts(audit)
    lines = [line for _, lines in text.pages for line in lines]
    copy = audit.dossier.lost[0].copy
    assert [stripped(line.letters) for line in lines] == [decode(copy.text_of_line(at)) for at in (0, 1)]


def test_every_word_has_its_address_and_leads_to_what_is_proposed() -> None:
    """The address of a word is its locus; one at which something is proposed is a link to that."""
    audit = with_readings(reading(3, 6, Locus("X", "1r:1", 2)))
    (text,) = lost_texts(audit)
    first, second = text.pages[0][1]
    assert re.findall(r'id="([^"]*)"', first.letters) == ["at-X_1r:1.1", "at-X_1r:1.2", "at-X_1r:1.3"]
    assert '<a id="at-X_1r:1.2" class="proposed" href="#reading-X_1r:1.2">wær</a>' in first.letters
    assert [one.address for one in first.entries] == ["reading-X_1r:1.2"]
    assert second.entries == ()


def test_a_reading_of_several_words_is_marked_at_each() -> None:
    """Words joined in a proposal are marked all, also where the second stands in the next line."""
    audit = with_readings(reading(7, 15, Locus("X", "1r:1", 3)))
    (text,) = lost_texts(audit)
    first, second = text.pages[0][1]
    assert first.letters.count("reading-X_1r:1.3") == second.letters.count("reading-X_1r:1.3") == 1
    assert len(first.entries) == 1


def test_no_two_entries_have_one_address() -> None:
    """Two proposals of one word are numbered; two letters may be doubtful in one word."""
    locus = Locus("X", "1r:2", 1)
    audit = with_readings(reading(10, 11, locus, number=1), reading(13, 14, locus, number=2))
    assert [one.address for one in entries_of(audit)["X"]] == ["reading-X_1r:2.1", "reading-X_1r:2.1-2"]


def test_verdicts_are_told_by_form_and_by_word() -> None:
    """What is only possible, suspect or decided is so called, and marked otherwise than a proposal."""
    at = Locus("X", "1r:1", 2)
    for verdict, word in (("possible", "less probable than not"), ("suspect", "no reading settled")):
        (entry,) = entries_of(with_readings(reading(3, 6, at, verdict=verdict)))["X"]
        assert entry.form == verdict and word in entry.verdict
    (entry,) = entries_of(with_readings(reading(3, 6, at, decision="adopted")))["X"]
    assert (entry.form, entry.verdict) == ("decided", "decided by the editor: adopted")


def test_the_evidence_stands_with_the_proposal() -> None:
    """Count, chances and limits of each operation, parallels and rivals are in the page at the place."""
    evidence = (StepEvidence("s→r", 13, 58, 0.13, 0.346, ("E 8.3",), ("E 8.11",)),)
    audit = with_readings(
        reading(3, 6, Locus("X", "1r:1", 2), evidence=evidence, alternatives=(("wær", 0.1),))
    )
    made = page(audit)
    part = made[made.index('id="reading-X_1r:1.2"') :]
    part = stripped(part[: part.index("</details>")])
    for told in ("s→r: 13 of 58 chances (130 to 346 per 1,000)", "so at E 8.3", "right at E 8.11", "wær 0.1"):
        assert told in part
    assert "readings.csv, no. 1" in part


def test_a_conjecture_stands_at_its_place() -> None:
    """A conjecture has an address of its own, says whose it is, and gives rank and probability."""
    at = Locus("X", "1r:1", 2)
    own = Conjecture("X", at, "X 1r:1.2", (3, 6), "wæl", by="the editor")
    judged = reading(3, 6, at, proposed="wæl", probability=0.02)
    unit = JudgedUnit("X", at, (3, 6), "wær", "Ic wær on", (Rival(judged, "conjecture", 3, 40, (own,)),))
    audit = replace(with_readings(), conjectures=(unit,))
    (entry,) = entries_of(audit)["X"]
    assert entry.address == "conjecture-X_1r:1.2"
    assert entry.verdict == "conjecture of the editor: rank 3 of 40"
    assert (entry.transmitted, entry.proposed) == ("wær", "wæl")


def test_places_cited_lead_to_their_lines() -> None:
    """Every link of the page leads to an address that is there; a word not marked leads to its line."""
    made = page(with_readings(reading(3, 6, Locus("X", "1r:1", 2), parallels=("X 1r:2.2", "Q 9.1"))))
    assert '<a href="#at-X_1r:2.2">X 1r:2.2</a>; Q 9.1' in made


@pytest.mark.parametrize(
    ("letters", "marks"),
    [
        ("se man (?) com", HisMarks(doubtful=("(?)",))),
        ("se man com (?)", HisMarks(doubtful=("(?)",))),
        ("(?) se man com", HisMarks(doubtful=("(?)",))),
        ("se m.. com", HisMarks(letter_unread=(".",))),
    ],
)
def test_his_marks_stand_where_he_wrote_them(letters: str, marks: HisMarks) -> None:
    """The copyist's signs, which are no letters, are shown once, and the line is as he wrote it."""
    audit = with_readings()
    copy = taken_out(read_witness(letters, siglum="X"), marks)
    dossier = replace(audit.dossier, lost=(LostText("X", copy),))
    (text,) = lost_texts(replace(audit, dossier=dossier))
    assert stripped(text.pages[0][1][0].letters) == letters


def test_a_letter_that_is_proposed_is_marked_in_its_word() -> None:
    """Which of two like letters is meant is to be seen in the word they stand in."""
    audit = with_readings(
        reading(5, 6, Locus("X", "1r:1", 2), transmitted="r", proposed="s", context="wær", single=True)
    )
    (entry,) = entries_of(audit)["X"]
    assert entry.within == 'wæ<span class="spot">r</span>'
    assert "the word is not settled" in page(audit)


def test_what_goes_with_it_and_who_has_it_stand_beside_the_line() -> None:
    """The short note names the partner that moves with a reading, and the witnesses that tell of it."""
    beside = (
        "with it feower → syx (parallels.csv): the two stand or fall together",
        "K reads wæs",
        "W reads w…",
    )
    (entry,) = entries_of(with_readings(reading(3, 6, Locus("X", "1r:1", 2), beside=beside)))["X"]
    assert entry.partner == "with it feower → syx"
    assert entry.witnesses == "K reads wæs; W reads w…"


def test_lists_are_sorted_by_the_figure_behind_a_range() -> None:
    """Where a range stands in place of a probability, the cell carries the figure."""
    audit = with_readings(reading(3, 6, Locus("X", "1r:1", 2), probability=0.25))
    assert '<td data-by="0.25">0-1</td>' in page(audit)
