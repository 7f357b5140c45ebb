"""Pairs, totals and lists of lost texts made for the case: what is said, and what is not."""

from __future__ import annotations

from collections import Counter

import pytest

from fidelity.apparatus.entries_parallels import at_span
from fidelity.readings.entry_pairs import KnownEntries, entry_pairs
from fidelity.readings.number_pairs import NumberGrounds, number_pairs
from fidelity.readings.outside import LostText, Ways, outside_checks
from fidelity.readings.undecided import with_partners, with_undecided
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.parallels import (
    CheckKind,
    CoupledChange,
    CoupledRate,
    Declared,
    LostPair,
    OutsideCheck,
    PairKind,
    Parallels,
)
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

STEPS = {("s", "r"): 13, ("r", "n"): 5, ("c", "e"): 1}
RATE = CoupledRate(PairKind.NUMBER, 4, 1, 1, 0.15, 1.0)
CHANGE = CoupledChange(
    PairKind.ENTRY, "G", Locus("G", "10", 1), "pirus · pyrige", "pinus · pintreow", None, ""
)


def lost(text: str | Witness) -> LostText:
    copy = read_witness(text, siglum="X") if isinstance(text, str) else text
    return LostText("X", copy, NO_FOLDS)


def table(rows: list[tuple[str, ...]], *names: str) -> Witness:
    """Make the copy of a lost table."""
    lines = ["\t".join(row) for row in rows]
    starts = tuple(sum(len(row) + 1 for row in lines[:at]) for at in range(len(lines)))
    blank = ("",) * len(lines)
    labels = tuple(str(at + 1) for at in range(len(lines)))
    return Witness("X", " ".join(lines), starts, labels, pages=blank, line_ends=blank, fields=names)


def proposal(where: LostText, transmitted: str, proposed: str, p: float = 0.7) -> ProposedReading:
    at = where.copy.letters.index(transmitted)
    span = (at, at + len(transmitted))
    return ProposedReading(1, "X", where.copy.locus(at), span, transmitted, proposed, p)


def numbers(text: str, *readings: tuple[str, str], rate: CoupledRate | None = RATE) -> list[LostPair]:
    where = lost(text)
    ways = Ways(STEPS, NO_FOLDS)
    grounds = NumberGrounds(rate, (), "ang", Counter({"six": 3}))
    own = [proposal(where, *one) for one in readings]
    return list(number_pairs(where, own, outside_checks(where, ways), grounds, ways))


def test_the_word_moves_with_the_numeral() -> None:
    """By a word that stands in the originals (six) rather than the table's first; its stop stays."""
    (one,) = numbers("nim .iu. feower. leaf", (".iu.", ".ui."))
    assert (one.proposed, one.moves, one.partner, one.partner_span) == (
        ".ui. six.",
        "feower. → six.",
        "six.",
        (9, 16),
    )


def test_the_numeral_moves_with_the_word() -> None:
    """A proposal for the word asks for a numeral that may have been misread as the one there."""
    (one,) = numbers("nim .iu. feower leaf", ("feower", "syx"))
    assert (one.proposed, one.moves) == (".ui. syx", ".iu. → .ui.")
    (one,) = numbers("nim .iu. feower leaf", ("feower", "nigon"))
    assert one.moves == "" and "do not agree" in one.evidence[0]


def test_pairs_that_disagree_are_told() -> None:
    """A pair that does not agree is told; a proposal that makes it agree says so, and moves nothing."""
    (one,) = numbers("nim .iu. syx leaf")
    assert one.agrees is False and "do not agree" in one.caution
    (one,) = numbers("nim .iu. syx leaf", (".iu.", ".ui."))
    assert (one.proposed, one.moves) == (".ui. syx", "") and one.evidence == (
        "with it numeral and word agree",
    )


def test_spelling_moves_nothing() -> None:
    """A proposal that leaves the value as it is asks nothing of the partner; the pair is told as it is."""
    (one,) = numbers("nim .iii. þry leaf", ("þry", "þreo"))
    assert (one.proposed, one.reading) == ("", 0)


@pytest.mark.parametrize(
    ("rate", "told"),
    [
        (RATE, "agreement inside the pair is no confirmation"),
        (CoupledRate(PairKind.NUMBER, 300, 9, 0, 0.0, 0.24), "in none; up to 24% remains possible"),
        (CoupledRate(PairKind.NUMBER, 4, 0, 0, 0.0, 1.0), "the survivors do not show"),
        (None, "the survivors do not show"),
    ],
)
def test_how_far_agreement_carries(rate: CoupledRate | None, told: str) -> None:
    """It is said by whether this copyist was seen to make words agree."""
    (one,) = numbers("nim .iu. feower leaf", rate=rate)
    assert told in one.caution


def test_a_total_asks_for_a_pair_where_nothing_is_proposed() -> None:
    """Three and four are not nine: without a reading the pair that would mend it is given, unweighed."""
    first, second, _ = numbers("nim .iii. þry leaf and .iu. feower leaf ealra .uiiii. nigon leaf")
    assert (first.proposed, second.proposed, second.probability) == ("", ".ui. six", None)
    assert "would hold with" in first.evidence[0]


def checks(text: str | Witness, declared: Declared | None = None) -> list[OutsideCheck]:
    return outside_checks(lost(text), Ways(STEPS, NO_FOLDS, declared or Declared()))


def test_a_numbered_list_out_of_sequence() -> None:
    """.iu. for .ui. between fifth and seventh: told, with the misreading that would explain it."""
    numerals = [".i.", ".ii.", ".iii.", ".iiii.", ".u.", ".iu.", ".uii.", ".uiii."]
    (one,) = checks("\n".join(f"{number} leaf" for number in numerals))
    assert (one.kind, str(one.locus), one.found) == (CheckKind.SEQUENCE, "X 6.1", "the list asks for 6")
    assert one.mends == ("X 6.1 .iu. → .ui.",)


def test_a_lemma_out_of_alphabetical_order() -> None:
    """*rilex* between *pirus* and *turris*: s for r, his commonest, puts it in order."""
    words = ["acer", "corylus", "falx", "malleus", "securis", "rilex", "turris", "uespa"]
    (one,) = checks(table([(word, "x") for word in words], "lemma", "gloss"))
    assert (one.kind, one.found) == (CheckKind.ORDER, "it should stand after securis and before turris")
    assert one.mends == ("X 6.1 rilex → silex",)


def test_order_in_declared_lines_only() -> None:
    """Lines of running text are asked for their order only where the dossier says that they are entries."""
    words = ["acer", "corylus", "falx", "malleus", "securis", "rilex", "turris", "uespa"]
    text = "\n".join(f"{word} · x" for word in words)
    assert checks(text) == []
    assert len(checks(text, Declared(parted=(("X", (0, 8), "·"),)))) == 1
    assert checks(text, Declared(parted=(("Y", None, "·"),))) == []


def test_a_total_by_a_declared_word() -> None:
    """A word of the dossier's announces a total as those of the table do."""
    text = "nim .iii. leaf and .iii. leaf summe .uii. leaf"
    assert checks(text) == []
    (one,) = checks(text, Declared(totals=("summe",)))
    assert not one.holds


def test_where_nothing_single_mends_a_total_it_is_said() -> None:
    """Three and three are not forty, whatever one of them was misread from; where one mends it, not."""
    (one,) = checks("nim .iii. leaf and .iii. leaf in all .xl. leaf", Declared(totals=("in all",)))
    assert not one.holds and not one.mends and one.caution.startswith("no single misreading")
    told = at_span(Parallels(checks=(one,)), "X", one.span)
    assert told[0].endswith("No single misreading, by minims or by an operation of his, would make it hold.")
    (one,) = checks("nim .iii. leaf and .iu. leaf ealra .uiiii. leaf")
    assert one.mends and "no single" not in one.caution


def test_words_of_another_language_are_not_offered() -> None:
    """Of Middle English the table has none: the numeral stands alone, unless the dossier declares words."""
    where, ways = lost("nim .ii. two leaf"), Ways(STEPS, NO_FOLDS)
    (one,) = number_pairs(where, [], [], NumberGrounds(None, (), "enm"), ways)
    assert one.may_be == (".u.",)
    (one,) = number_pairs(where, [], [], NumberGrounds(None, (), "enm", declared={"fyue": 5}), ways)
    assert one.may_be == (".u. fyue",)
    reading = proposal(where, ".ii.", ".u.")
    (one,) = number_pairs(where, [reading], [], NumberGrounds(None, (), "enm"), ways)
    assert one.moves == "" and one.evidence[0].endswith("and no word for 5 is known")


KNOWN = {
    ("falx", "sicol"): ("G 6.1",),
    ("pirus", "pyrige"): ("G 10.1", "H 3.1"),
    ("acer", "hlin"): ("G 1.1",),
}
ENTRIES = KnownEntries(KNOWN, {("pinus", "pintreow"): (CHANGE,)}, {("pinus", "pintreow"): 1})


def entries(text: str | Witness, *readings: tuple[str, str], known: KnownEntries = ENTRIES) -> list[LostPair]:
    where = lost(text)
    own = [proposal(where, *one) for one in readings]
    return list(entry_pairs(where, own, known, Ways(STEPS, NO_FOLDS)))


def test_an_entry_known_from_elsewhere_speaks_for_a_proposal() -> None:
    """Sicol for ricol makes the entry of G 6; nothing moves."""
    (one,) = entries("falx · ricol", ("ricol", "sicol"))
    assert (one.proposed, one.moves) == ("falx · sicol", "")
    assert one.evidence == ("with it the entry is as at G 6.1",)


def test_a_proposal_for_one_field_asks_for_the_other() -> None:
    """Pirus for pinus asks for pyrige, known from two places; whether it moves is for the editor."""
    (one,) = entries(table([("pinus", "furhwudu")], "lemma", "gloss"), ("pinus", "pirus"))
    assert (one.proposed, one.moves, one.partner) == ("pirus · pyrige", "furhwudu → pyrige", "")
    assert "G 10.1, H 3.1" in one.evidence[0] and "for the editor to say" in one.caution


def test_undecided_by_how_often_he_wrote_it_so() -> None:
    """Once of one and once of two entries it is undecided, once of three it is not."""
    for written, undecided in ((1, True), (2, True), (3, False)):
        known = KnownEntries(KNOWN, ENTRIES.coupled, {("pinus", "pintreow"): written})
        found = entries("pinus · pintreow", known=known)
        assert [one.undecided for one in found] == ([True] if undecided else [])


def test_marks_take_the_place_of_proposals() -> None:
    """Both proposals for parts of the pair give way to one mark; the others keep their order."""
    where = lost("acer · hlin\npinus · pintreow\nfalx · ricol")
    spans = {"hlin": "hlyn", "pinus": "pirus", "n": "r", "ricol": "sicol"}
    made = [proposal(where, *one) for one in spans.items() if one[0] != "n"]
    letter = proposal(where, "pinus", "x")
    single = ProposedReading(
        3, "X", letter.locus, (letter.copy_span[0] + 2, letter.copy_span[0] + 3), "n", "r", 0.6
    )
    readings = [*made[:2], single, made[2]]
    done = with_undecided(readings, entries(where.copy), {"X": where.copy})
    assert [(one.number, one.transmitted, one.proposed) for one in done] == [
        (1, "hlin", "hlyn"),
        (2, "pinus · pintreow", ""),
        (3, "ricol", "sicol"),
    ]
    assert done[1].probability == pytest.approx(0.7)
    # with no proposal there, the share of such entries, a half added on either side: 1.5 of 2
    (mark,) = with_undecided([], entries(where.copy), {"X": where.copy})
    assert mark.probability == pytest.approx(0.75)


def test_without_such_pairs_nothing_changes() -> None:
    """Proposals that touch no pair stay what they are."""
    where = lost("falx · ricol")
    readings = [proposal(where, "ricol", "sicol")]
    assert with_undecided(readings, (), {"X": where.copy}) == readings
    assert with_partners(readings, ()) == tuple(readings)
