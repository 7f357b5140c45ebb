"""What a notebook shows of records: set to be read, on any ground, and never longer than is read."""

from __future__ import annotations

import pickle
import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from itertools import chain, pairwise, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import fidelity
from fidelity.apparatus.notebook_alignment import MOST_LINES, facing_lines
from fidelity.apparatus.notebook_parts import MOST_LETTERS, MOST_ROWS
from fidelity.in_notebook import Records, Shown, Tabled
from fidelity.letters import decode
from fidelity.terms import Alignment, Locus, RuleFound, Witness
from fidelity.terms.decisions import Decision, DecisionUse, Ruling
from fidelity.variants.withdrawing import Decided
from tests.apparatus.made import made_audit
from tests.apparatus.made_for_notebook import made_attested, made_lost_place, made_place, made_rule
from tests.apparatus.test_page import Page

EVIL = '<script>alert(1)</script>"><img src=x onerror=alert(1)>]]>&amp;\u202eeht\u202c' + "æ" * 10_000
ALLOWED = {"div", "p", "span", "bdi", "small", "br", "table", "caption", "thead", "tbody", "tr", "th", "td"}
AUDIT = made_audit()


def inside(record: object) -> Iterator[object]:
    """Give every record within a record."""
    if isinstance(record, tuple):
        yield from chain.from_iterable(map(inside, record))
    elif is_dataclass(record) and not isinstance(record, type):
        yield record
        for field in fields(record):
            yield from inside(getattr(record, field.name))


def every_kind() -> dict[type, object]:
    """Give a record of each kind, made by hand."""
    decided = DecisionUse(Decision("X", "3v:1.2", Ruling.KEPT, "wær", reason="a name", who="E. Ditor"))
    written = Decided(decided.decision, (), Path("decisions.csv"), ("It changes no proposal.",))
    whole = (AUDIT, made_place(), made_lost_place(), made_rule(), made_attested(), decided, written)
    return {type(one): one for one in inside(whole) if isinstance(one, Shown)}


def kinds(kind: type = Shown) -> Iterator[type]:
    """Give every kind of record that says it can be shown."""
    below: list[type] = kind.__subclasses__()
    for one in below:
        yield one
        yield from kinds(one)


MADE = every_kind()
LISTS = [field.name for field in fields(AUDIT) if isinstance(getattr(AUDIT, field.name), Records)]


def shown(record: object) -> str:
    """Show a record as a notebook asks for it."""
    ask: Callable[[], str] = record._repr_html_  # type: ignore[attr-defined]
    return ask()


def text_of(html: str) -> str:
    """Give the letters of a piece, as a browser shows them."""
    return "".join(Page(html).text)


def test_a_record_of_every_kind_was_made() -> None:
    """No kind of record says it can be shown and is not shown in these tests."""
    assert {kind.__name__ for kind in kinds() if kind.__module__.startswith("fidelity.")} - {
        kind.__name__ for kind in MADE
    } == {Tabled.__name__}


@pytest.mark.parametrize("kind", MADE, ids=lambda kind: kind.__name__)
def test_each_record_is_a_piece_of_html_that_stands_by_itself(kind: type) -> None:
    """What is opened is closed; no script, no style sheet, no address, no colour."""
    html = shown(MADE[kind])
    found = Page(html)
    assert found.open == []
    assert text_of(html).strip()
    tags = {tag for tag, _ in found.found}
    assert tags <= ALLOWED
    for _, attributes in found.found:
        assert set(attributes) <= {"style", "scope", "lang", "role", "aria-label", "aria-hidden"}
        style = attributes.get("style") or ""
        assert "background" not in style and "url" not in style
        assert re.findall(r"(?<![-\w])color:([^;]*)", style) in ([], ["inherit"])


@pytest.mark.parametrize("kind", MADE, ids=lambda kind: kind.__name__)
def test_cells_have_their_headings(kind: type) -> None:
    """Each row begins with a heading of its own, and each column has one where there are several."""
    found = Page(shown(MADE[kind]))
    assert {one.get("scope") for one in found.all("th")} <= {"col", "row"}
    rows = [tag for tag, _ in found.found if tag in ("tr", "th", "td")]
    assert all(after == "th" for before, after in pairwise(rows) if before == "tr")


def test_letters_of_the_texts_stand_in_fonts_that_have_them() -> None:
    """Every cell that has a letter from outside ASCII is set in the list of fonts, whatever its column."""
    pieces = [shown(one) for one in (*MADE.values(), *(getattr(AUDIT, name) for name in LISTS))]
    cells = [
        cell for piece in pieces for cell in re.findall(r'<t[dh][^>]* style="([^"]*)"[^>]*>(.*?)</t', piece)
    ]
    of_texts = {(style, text) for style, text in cells if any(x.isalpha() and not x.isascii() for x in text)}
    assert len(of_texts) > 20
    assert {text for style, text in of_texts if "Cardo" not in style} == set()


@pytest.mark.parametrize("name", LISTS)
def test_a_list_of_an_audit_is_a_tuple_that_shows_itself(name: str) -> None:
    """It equals the plain tuple, hashes and pickles as one, and its parts show themselves too."""
    records = getattr(AUDIT, name)
    plain = tuple(records)
    assert records == plain and hash(records) == hash(plain)
    assert pickle.loads(pickle.dumps(records)) == plain  # noqa: S301 -- what was pickled here
    assert isinstance(records[:1], Records) and records[:1] == plain[:1]
    assert isinstance(getattr(replace(AUDIT, notes=()), name), Records)
    assert Page(shown(records)).open == []


def test_letters_are_never_markup() -> None:
    """Whatever a text, a name or a note holds is shown as letters, and cut where it is too long."""
    evil = Witness(EVIL[:50], EVIL.replace("\u202e", "a").replace("\u202c", "b"))
    dossier = replace(AUDIT.dossier, copyist_name=EVIL, copyist_dates=EVIL, notes=(EVIL,))
    variant = replace(AUDIT.variants[0], original=EVIL, copy=EVIL, original_words=EVIL, evidence=EVIL)
    reading = replace(AUDIT.readings[0], transmitted=EVIL, proposed=EVIL, passage=EVIL, note=EVIL)
    pattern = replace(AUDIT.patterns[0], pattern=EVIL, example=EVIL, where=(EVIL,))
    audit = replace(
        AUDIT, dossier=dossier, variants=(variant,), readings=(reading,), patterns=(pattern,), notes=(EVIL,)
    )
    place = replace(made_lost_place(), lines=((EVIL, EVIL),), transmitted=EVIL)
    aligned = fidelity.align(evil, replace(evil, letters=evil.letters.replace("alert", "alort")))
    for record in (audit, dossier, variant, reading, pattern, place, evil, aligned, Locus(EVIL, EVIL)):
        html = shown(record)
        found = Page(html)
        assert not {"script", "img"} & {tag for tag, _ in found.found}, type(record)
        assert "<script" in "".join(found.text), type(record)
        assert found.open == []
        assert len(html) < 200_000, type(record)


def test_a_long_cell_is_cut_after_a_whole_letter() -> None:
    """Of a word of ten thousand letters a cell shows the first, and says by a sign that it is not all."""
    pattern = replace(AUDIT.patterns[0], example="q\u0304" * 10_000)
    longest = max(Page(shown(pattern)).text, key=len)
    assert longest == "q\u0304" * (MOST_LETTERS - 1) + "…"


def test_long_lists_are_cut_and_say_so() -> None:
    """Of 1,000 differences the first are shown, with the number of the others and how they are had."""
    many = Records(replace(AUDIT.variants[0], number=number) for number in range(1_000))
    found = Page(shown(many))
    assert len(found.all("tr")) == MOST_ROWS + 1
    assert f"{1_000 - MOST_ROWS} more: .table()" in "".join(found.text)
    assert "more:" not in text_of(shown(many[:MOST_ROWS]))


def test_an_audit_says_what_it_found_and_which_tables_there_are() -> None:
    """The sentences of the screen, the score card, proposals beside what is transmitted, and the tables."""
    told = text_of(shown(AUDIT))
    assert "Erasmus Wickenby went wrong at 1 of 45 letters" in told
    for table in ("Score card", "Patterns to review, worst first", "Proposed readings, beside"):
        assert table in told
    assert f"variants {len(AUDIT.table('variants'))}" in told
    assert "to be judged by an editor" in told


def test_a_reading_stands_beside_the_transmitted_with_the_blind_test() -> None:
    """Both are shown, what the blind test bears out of the probability, and what it rests on."""
    told = text_of(shown(AUDIT.readings[0]))
    assert told.index("transmittedproposed") < told.index("wærwæs")
    assert "42 of 60 right" in told and "s→r" in told and "for the editor to judge" in told


def test_a_bare_prompt_prints_a_line() -> None:
    """What holds whole texts prints one line; a list prints its first records, where no HTML is shown."""
    for record in (AUDIT, AUDIT.dossier, AUDIT.trial, AUDIT.alignments[0], AUDIT.dossier.lost[0].copy):
        assert len(repr(record)) < 200
    taken: list[str] = []
    screen = type("Screen", (), {"text": staticmethod(taken.append)})()
    Records(range(1_000))._repr_pretty_(screen, cycle=False)
    assert taken == ["(0, 1, 2, … 997 more)"]
    assert "1,000 of int" in text_of(shown(Records(range(1_000))))


def test_a_rule_is_shown_with_or_without_its_confidence() -> None:
    """What ``rule`` gives back is a pair as before, and is shown as the rule in it."""
    seen, confidence = found = RuleFound(made_rule(), 0.95)
    assert confidence == 0.95 and shown(found) == shown(seen)


def letters_shown(alignment: Alignment) -> tuple[str, str]:
    """Put the pieces of a shown alignment together again."""
    lines, _ = facing_lines(alignment)
    pieces = [piece for line in lines for word in line.words for piece in word]
    return (
        "".join(piece.original for piece in pieces),
        "".join(piece.copy for piece in pieces),
    )


def bare(letters: str) -> str:
    """Leave out blanks, and the signs for nothing and for a blank."""
    return re.sub(r"[\s∅␣]", "", letters)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text("aſꞅrn", min_size=1, max_size=5), min_size=1, max_size=6), st.data())
def test_an_original_stands_whole_above_its_copy(words: list[str], data: st.DataObject) -> None:
    """Of a short text with a slip no letter is missing in what is shown, above or below."""
    at = data.draw(st.integers(0, len(words) - 1))
    slip = data.draw(st.sampled_from(["x", "xx", words[at] + "x", "x" + words[at]]))
    original, copy = " ".join(["on", *words]), " ".join(["on", *words[:at], slip, *words[at + 1 :]])
    alignment = fidelity.align(original, copy)
    above, below = letters_shown(alignment)
    if "…" not in above:  # stretches alike are shortened
        assert (bare(above), bare(below)) == (bare(original), bare(copy))
    assert decode(above) == above


def test_words_left_out_or_moved_stand_apart() -> None:
    """What only one text has is not run together with the word before it; nor is what was moved."""
    original, copy = (
        "genim þonne betonican and rudan\nnim se se wudu",
        "genim betonican and rudan þonne\nnim se wudu",
    )
    lines, _ = facing_lines(fidelity.align(original, copy))
    words = [["".join(piece.original for piece in word) for word in line.words] for line in lines]
    assert words == [["genim", "þonne", "betonican", "and", "rudan", "∅"], ["nim", "se", "se", "wudu"]]


def test_differences_are_marked_by_a_sign_and_told_in_words() -> None:
    """Each kind of difference has a sign of its own, explained above; a screen reader hears both readings."""
    html = shown(fidelity.align("on þære ealdan stræte\nto felda", "on þæne ealdanstræte\nto feld"))
    told = text_of(html)
    for sign, word in (("×", "another letter"), ("○", "left out"), ("‖", "words parted or joined")):
        assert f"{sign} {word}" in told
    assert "◇" not in told
    labels = {one["aria-label"] for one in Page(html).all("span") if "aria-label" in one}
    assert labels == {"r → n", "␣ → ∅", "a → ∅"}
    assert "There is no difference." in text_of(shown(fidelity.align("on felda", "on felda")))


def test_the_lines_not_shown_are_counted() -> None:
    """Of forty lines with a slip in three of four the first are shown, and the others counted."""
    names = ["".join(parts) for parts in product("abcdefgh", "lmnop")]
    lines = [f"genim þa wyrt {name} on" for name in names]
    written = [line.replace("wyrt", "wynt") if at % 4 else line for at, line in enumerate(lines)]
    found, more = facing_lines(fidelity.align("\n".join(lines), "\n".join(written)))
    assert (len(found), more) == (MOST_LINES, 30 - MOST_LINES)
