"""Evidence for assumed operations, and what kind a proposal is, on planted cases."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest

import fidelity
from fidelity.confusions.intervals import clustered, dispersion
from fidelity.judge import Audit
from fidelity.readings.evidence import EvidenceBook
from fidelity.terms import Locus, StepEvidence
from fidelity.witnesses.folds import NO_FOLDS
from tests.planted import plant, saga_lines

PAGE = 20  # lines
LINES = saga_lines()[:400]


def paged(lines: list[str]) -> str:
    """Set a mark before each page."""
    marked = (f"[fol. {n // PAGE + 1}]\n{line}" if not n % PAGE else line for n, line in enumerate(lines))
    return "\n".join(marked)


@cache
def planted() -> tuple[list[str], list[str]]:
    """A copy with s read as f and n as u, and th written for the first þ of a line."""
    original, copy, _ = plant(LINES, {("s", "f"): 0.03, ("n", "u"): 0.01}, slip_rate=0.0, seed=5)
    return original, [line.replace("þ", "th", 1) for line in copy]


@cache
def judged() -> tuple[EvidenceBook, Audit]:
    original, copy = planted()
    found = fidelity.compare(paged(original), paged(copy))
    alignments = {"original": found.alignments[0]}
    return EvidenceBook(alignments, found.variants, found.counts, NO_FOLDS), found


def evidence(step: tuple[str, str], context: str, at: int) -> StepEvidence:
    return judged()[0].of(step, context, at, 5)


def word_at(locus: str) -> tuple[str, str]:
    """Give the words of original and copy that a locus cites."""
    line, word = (int(part) for part in locus.rsplit(":", 1)[1].split("."))
    page = int(locus.split()[1].split(":")[0])
    number = (page - 1) * PAGE + line - 1
    original, copy = planted()
    return original[number].split()[word - 1], copy[number].split()[word - 1]


def test_count_chances_and_interval() -> None:
    """s→f was planted so often, of so many s; the interval is the project's own, clustered by page."""
    original, copy = planted()
    count = sum(a != b for one, two in zip(original, copy, strict=True) if "þ" not in one
                for a, b in zip(one, two, strict=True) if a == "s")  # fmt: skip
    one = evidence(("s", "f"), "hans", 3)
    row = next(row for row in judged()[1].confusions if (row.original, row.copy) == ("s", "f"))
    assert one.count == row.count >= count
    assert one.chances == row.chances
    counts = judged()[1].counts
    limits = clustered(counts.answers["s", "f"], counts.chances["s"], 0.95, dispersion(counts))
    assert (one.low, one.high) == (limits.low, limits.high)
    assert one.low < one.count / one.chances < one.high


def test_parallels_are_the_same_operation_in_like_surroundings_first() -> None:
    """Every parallel is s read as f; the same word stands first, then the same letters before and after."""
    changed = [
        (one, two)
        for lines in zip(*planted(), strict=True)
        for one, two in zip(*map(str.split, lines), strict=True)
        if [pair for pair in zip(one, two, strict=False) if pair[0] != pair[1]] == [("s", "f")]
    ]
    tried = 0
    for original, copy in changed:
        at = next(at for at, letter in enumerate(copy) if letter != original[at])
        words = [word_at(locus) for locus in evidence(("s", "f"), original, at).parallels]
        assert len(words) == 5 and words[0] == (original, copy)
        assert all("s" in one and "f" in two for one, two in words)
        around = f" {original} "[at : at + 3]
        alike = [around in f" {one} " for one, _ in words]
        tried += sum(alike) > 1
        assert alike == sorted(alike, reverse=True)
    assert tried > 10


def test_counterexamples_are_letters_copied_right() -> None:
    """Each counterexample has the letter in original and copy; the same word comes first."""
    one = evidence(("s", "f"), "saman", 0)
    words = [word_at(locus) for locus in one.counterexamples]
    assert len(words) == 5
    assert all(original.startswith("s") and copy.startswith("s") for original, copy in words)
    assert words[0][0] == "saman"


def test_an_operation_never_seen_has_no_parallels() -> None:
    """What the survivors do not show has a count of 0, its chances, and an interval that starts at 0."""
    one = evidence(("k", "h"), "konungr", 0)
    assert (one.count, one.low, one.parallels) == (0, 0.0, ())
    assert one.chances == sum(line.count("k") for line in LINES) and 0 < one.high < 0.01


def test_chances_of_a_division() -> None:
    """A division could be left out at every space, and put in between any two letters of a word."""
    spaces = sum(line.count(" ") for line in LINES) + len(LINES) - 1
    inside = sum(len(word) - 1 for line in LINES for word in line.split())
    assert evidence((" ", ""), "on ecede", 2).chances == spaces
    assert evidence(("", " "), "onecede", 2).chances == inside


@pytest.mark.parametrize(
    ("proposed", "transmitted", "single", "kind"),
    [
        ("þat", "that", False, "habit"),  # a spelling of the tables, seen in the survivors
        ("hans", "hanf", False, "misreading"),
        ("s", "f", True, "letter"),
        ("þ", "th", True, "habit"),
        ("þess", "thesf", False, "misreading"),  # one misreading in it, though the habit is seen oftener
        ("at þat", "atthat", False, "habit"),  # letters and a division: the letters say what it is
        ("of þat", "ofþat", False, "division"),
        ("ofþat", "of þat", False, "division"),
        (" ", "", True, "division"),
        ("Hann", "hann", False, "capital"),
        ("hann.", "hann", False, "punctuation"),
        ("Hann.", "hann", False, "punctuation"),
        ("hann. ok", "hann ok", False, "punctuation"),
        ("kona", "hona", False, "misreading"),  # never seen: no habit
    ],
)
def test_kinds(proposed: str, transmitted: str, single: bool, kind: str) -> None:
    """Habits of spelling and misreadings are told apart, operation by operation."""
    assert judged()[0].kind_of(proposed, transmitted, single) == kind


def test_what_is_set_aside_is_no_evidence() -> None:
    """A difference in letters that a transcriber restored counts for no operation."""
    original = "hann var [s]ár ok gekk til hans\nok þat var sagt at hann var sár"
    copy = "hann var fár ok gekk til hanf\nok þat var sagt at hann var sár"
    found = fidelity.compare(original, copy, profile="leiden")
    book = EvidenceBook({"original": found.alignments[0]}, found.variants, found.counts, NO_FOLDS)
    assert [str(locus) for locus in book.places["s", "f"].loci] == [str(Locus("original", "1", 7))]
    assert Counter(one.set_aside for one in found.variants)[""] == 1
