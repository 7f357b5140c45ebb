"""Proposed readings put into a copy."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError, UsageError
from fidelity.letters import decode, encode
from fidelity.readings.apply import apply_readings, edited_copy, undone, without_overlap
from fidelity.terms import LOST_LETTER, Locus, ProposedReading, State, Witness
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.plain import page_of_mark
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.apparatus.made import made_dossier, made_readings


def reading(copy: Witness, start: int, end: int, proposed: str, probability: float = 0.9) -> ProposedReading:
    """Propose letters for a span of a copy."""
    transmitted = decode(copy.letters[start:end])
    return ProposedReading(
        1, copy.siglum, Locus(copy.siglum, "1", 1), (start, end), transmitted, proposed, probability
    )


def applied(text: str, was: str, proposed: str) -> str:
    """Put letters for the first place at which a string stands in a text."""
    copy = read_witness(text, siglum="X")
    start = copy.letters.index(encode(was))
    return apply_readings(copy, [reading(copy, start, start + len(encode(was)), proposed)], 0.5)[0]


def test_the_most_probable_of_rivals_is_taken() -> None:
    """Of two proposals for the same letters one is applied, and the list names what was done."""
    text, changes = apply_readings(made_dossier().lost[0].copy, made_readings(), 0.2)
    assert text == "[fol. 3v]\nIc wæs on fyre\nfæste neaht-\nnestig <b>&amp;</b>\n"
    assert [(change.reading, change.transmitted, change.proposed) for change in changes] == [
        (1, "wær", "wæs"),
        (3, "neaht nestig", "neahtnestig"),
    ]


def test_less_probable_proposals_are_left_out() -> None:
    """Nothing below the probability asked for is put in."""
    copy = made_dossier().lost[0].copy
    text, changes = apply_readings(copy, made_readings(), 0.8)
    assert (text, changes) == (write_plain(copy), [])


@pytest.mark.parametrize(
    ("text", "was", "proposed", "expected"),
    [
        ("Ic wær\non fyre", "wær on", "wæs on", "Ic wæs\non fyre\n"),
        ("Ic wær\non fyre", "wær on", "wæson", "Ic wæs-\non fyre\n"),
        ("lanꝺ-\nᵹemæꞃa up", "lanꝺᵹemæꞃa", "lanꝺ ᵹemæꞃa", "lanꝺ\nᵹemæꞃa up\n"),
        ("lanꝺ-\nᵹemæꞃa up", "lanꝺᵹemæꞃa", "lanꝺᵹemæꞅa", "lanꝺ-\nᵹemæꞅa up\n"),
        ("lan-\nᵹemæꞃa up", "lan", "lanꝺ", "lanꝺ-\nᵹemæꞃa up\n"),
        ("Ic wæs\nær on", "ær", "þær", "Ic wæs\nþær on\n"),
        ("Ic wæs\nþær on", "þær", "ær", "Ic wæs\nær on\n"),
        ("Ic ne\nwæs on", "ne wæs", "næs", "Ic n-\næs on\n"),
        ("nyhtu\u0304 on", "nyhtu\u0304", "nyhtum", "nyhtum on\n"),
    ],
)
def test_lines_stay_where_they_are(text: str, was: str, proposed: str, expected: str) -> None:
    """Each manuscript line keeps its beginning; a hyphen tells where a word comes to run on."""
    assert applied(text, was, proposed) == expected


def test_an_insertion_between_words_opens_the_line_it_stands_in() -> None:
    """Letters put in at a line's beginning stand in that line; a division put in ends the one before."""
    copy = read_witness("Ic wæs\nær on", siglum="X")
    assert apply_readings(copy, [reading(copy, 7, 7, "þ")], 0.5)[0] == "Ic wæs\nþær on\n"
    joined = read_witness("Ic wæs-\nær on", siglum="X")
    assert apply_readings(joined, [reading(joined, 6, 6, " ")], 0.5)[0] == "Ic wæs\nær on\n"


def test_states_stay_with_their_letters() -> None:
    """The signs of letters lost or supplied stay where they were, whatever changed before them."""
    copy = read_witness("Ic wæ[r] on ⟨fyre⟩", siglum="X", profile="leiden")
    text, _ = apply_readings(copy, [reading(copy, 0, 2, "Icc")], 0.5)
    assert text == "Icc wæ[r] on ⟨fyre⟩\n"
    again = read_witness(text, profile="leiden")
    assert again.state(6) is State.RESTORED


def test_folded_transmitted_reading_is_recognised() -> None:
    """A proposal made on the folded level fits a copy in graphic letters, if the folds are given."""
    copy = Witness("X", "ꞅꞃan")
    proposal = replace(reading(copy, 0, 4, "stan"), transmitted="sran")
    folds = Folds({"ꞅ": "s", "ꞃ": "r"})
    text, changes = apply_readings(copy, [proposal], 0.5, folds)
    assert (text, changes[0].transmitted) == ("stan\n", "ꞅꞃan")
    with pytest.raises(DataError, match="“sran”, but the copy has “ꞅꞃan”"):
        apply_readings(copy, [proposal], 0.5)


def test_every_misfit_is_in_one_report() -> None:
    """Proposals for another text are refused, all of them at once, and nothing is applied."""
    copy = read_witness("Ic wæs on fyre", siglum="X")
    with pytest.raises(DataError) as error:
        apply_readings(copy, made_readings(), 0.2)
    assert [fault.what.split(" (")[0] for fault in error.value.faults] == [
        "reading 1",
        "reading 2",
        "reading 3",
    ]


def test_borders_of_fields_are_kept() -> None:
    """A proposal that would move a border between fields is refused."""
    copy = replace(Witness("G", "acer\thlin"), fields=("lemma", "gloss"))
    with pytest.raises(DataError, match="border of a field"):
        apply_readings(copy, [reading(copy, 2, 6, "hl")], 0.5)


@pytest.mark.parametrize("at_least", [-0.1, 1.1, float("nan")])
def test_no_probability_is_refused(at_least: float) -> None:
    """What is no probability is a wrong use, not a fault of the data."""
    with pytest.raises(UsageError, match="no probability"):
        apply_readings(Witness("X", "Ic"), [], at_least)


TEXT = st.text("abþ \n", min_size=1, max_size=40).map(
    lambda text: "\n".join(" ".join(x.split()) for x in text.split("\n"))
)
COPIES = TEXT.filter(lambda text: bool(text.strip())).map(lambda text: read_witness(text, siglum="X"))


@st.composite
def copies_with_readings(draw: st.DrawFn) -> tuple[Witness, list[ProposedReading]]:
    """Give a copy and proposals for some of its spans, overlapping or not."""
    copy = draw(COPIES)
    number = draw(st.integers(0, 6))
    made = []
    for at in range(number):
        start = draw(st.integers(0, len(copy)))
        end = draw(st.integers(start, len(copy)))
        proposed = draw(st.text("cde", min_size=1, max_size=5))
        made.append(replace(reading(copy, start, end, proposed, draw(st.floats(0, 1))), number=at + 1))
    return copy, made


@given(copies_with_readings(), st.floats(0, 1))
def test_every_change_replays_on_its_span(
    made: tuple[Witness, list[ProposedReading]], at_least: float
) -> None:
    """The text is the copy with each listed change on its own letters, and nothing else is changed."""
    copy, readings = made
    text, changes = apply_readings(copy, readings, at_least)
    by_number = {one.number: one for one in readings}
    letters, at = [], 0
    for change in changes:
        one = by_number[change.reading]
        assert one.probability >= at_least
        start, end = one.copy_span
        assert start >= at
        assert change.transmitted == copy.letters[start:end]
        letters += [copy.letters[at:start], change.proposed]
        at = end
    letters.append(copy.letters[at:])
    shown = "".join(text.split()).replace("-", "")
    assert shown == "".join("".join(letters).split())


@given(copies_with_readings(), st.floats(0, 1))
def test_undoing_all_changes_gives_the_copy_back(
    made: tuple[Witness, list[ProposedReading]], at_least: float
) -> None:
    """From the edited text and the list of changes the letters of the copy come back, each in its place."""
    copy, readings = made
    edited, changes = edited_copy(copy, readings, at_least)
    assert undone(edited, changes).letters == copy.letters


def test_undoing_what_was_not_done_is_refused() -> None:
    """A list of changes that does not belong to the text is no way back."""
    copy = Witness("X", "Ic wær on fyre")
    _, changes = edited_copy(copy, [reading(copy, 3, 6, "wæs", 0.7)], 0.5)
    with pytest.raises(DataError, match="does not stand there"):
        undone(copy, changes)


@given(copies_with_readings())
def test_the_number_of_lines_never_changes(made: tuple[Witness, list[ProposedReading]]) -> None:
    """There is one line for each manuscript line, whatever is put in, and page marks are no lines."""
    copy, readings = made
    text, _ = apply_readings(copy, readings, 0.0)
    assert text.count("\n") == len(copy.lines)
    assert not any(page_of_mark(line) for line in text.split("\n"))


@given(copies_with_readings())
def test_no_letter_is_touched_twice(made: tuple[Witness, list[ProposedReading]]) -> None:
    """Chosen proposals are apart; each one left out touches one at least as probable."""
    _, readings = made
    chosen = without_overlap(readings)

    def apart(one: ProposedReading, other: ProposedReading) -> bool:
        (a, b), (c, d) = one.copy_span, other.copy_span
        return b < c or d < a if a == b or c == d else b <= c or d <= a

    for one in readings:
        rivals = [other for other in chosen if other.number != one.number and not apart(one, other)]
        if one in chosen:
            assert rivals == []
        else:
            assert max(other.probability for other in rivals) >= one.probability


@given(COPIES, st.text("xyz", min_size=1, max_size=4), st.data())
def test_what_does_not_fit_is_refused(copy: Witness, transmitted: str, data: st.DataObject) -> None:
    """A proposal whose transmitted reading the copy does not have is never applied."""
    start = data.draw(st.integers(0, len(copy)))
    proposal = replace(
        reading(copy, start, start, "s"),
        copy_span=(start, start + len(transmitted)),
        transmitted=transmitted,
    )
    with pytest.raises(DataError, match=r"outside the text|but the copy has"):
        apply_readings(copy, [proposal], 0.5)


def test_nothing_to_do_gives_the_copy() -> None:
    """Without proposals the text is the copy as it would be written."""
    copy = read_witness(f"[fol. 3r]\nIc wæ{LOST_LETTER}-\non\n[fol. 3v]\nfyre", siglum="X")
    assert apply_readings(copy, [], 0.0) == (write_plain(copy), [])
