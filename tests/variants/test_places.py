"""Pages and scripts of an original, and the chances counted on them."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.causes.decide import decide
from fidelity.causes.facts import Facts
from fidelity.dossier import Passage
from fidelity.terms import Alignment, Cause, State, Variant, Witness
from fidelity.variants.chances import CHANCES, chances_by_page, offered_text, total
from fidelity.variants.collect import collect
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

PAGES = "[fol. 1r]\nof þam clife on\nþa greatan ac\n[fol. 1v]\nofer þone feld\n[fol. 2r]\non wulfstanes beorh"


def test_pages_of_letters() -> None:
    """Each letter stands on the page of its line, cited with the siglum."""
    witness = read_witness(PAGES, siglum="E")
    places = places_of(witness)
    for offset in range(len(witness)):
        assert places.page(offset) == witness.page_of(offset)
    assert list(dict.fromkeys(places.pages)) == ["E 1r", "E 1v", "E 2r"]


def test_scripts_by_line_and_by_field(tmp_path: Path) -> None:
    """A passage in another script is another place, whole lines or one column of a table."""
    witness = read_witness(PAGES, siglum="E", script="insular")
    places = places_of(witness, [Passage((0, 1), script="caroline")])
    assert [places.script(witness.lines[line]) for line in range(4)] == [
        "caroline",
        "insular",
        "insular",
        "insular",
    ]
    assert places.page(0) == "E 1r (caroline)"
    table = tmp_path / "glossary.tsv"
    table.write_text("lemma\tgloss\nalnus\talor\nardea\thragra\n", encoding="utf-8")
    glossary = read_witness(table, siglum="G", script="insular")
    columns = places_of(glossary, [Passage((0, 2), field="lemma", script="caroline")])
    by_script = {"caroline": "", "insular": ""}
    for offset, letter in enumerate(glossary.letters):
        by_script[columns.script(offset)] += letter
    assert by_script["caroline"].split() == ["alnus", "ardea"]
    assert by_script["insular"].split() == ["alor", "hragra"]


@given(st.data())
def test_spans_are_cut_at_borders(data: st.DataObject) -> None:
    """The parts of a span join to it, each on one page."""
    witness = read_witness(PAGES, siglum="E")
    places = places_of(witness)
    start = data.draw(st.integers(0, len(witness)))
    end = data.draw(st.integers(start, len(witness)))
    parts = list(places.spans(start, end))
    assert [at for first, last, _ in parts for at in range(first, last)] == list(range(start, end))
    assert all(places.page(at) == page for first, last, page in parts for at in range(first, last))


def judged(original: Witness, copy: str) -> tuple[Alignment, list[Variant]]:
    """Align, collect and decide."""
    alignment = align_witnesses(original, Witness("C", copy))
    facts = Facts(alignment, NO_FOLDS, places_of(original))
    return alignment, decide(collect(alignment, "E", NO_FOLDS), {"E": facts})


def chances(original: Witness | str, copy: str) -> dict[str, int]:
    """Count the chances of every measure over the whole text."""
    witness = Witness("E", original) if isinstance(original, str) else original
    alignment, variants = judged(witness, copy)
    found = chances_by_page(alignment, variants, places_of(witness), NO_FOLDS)
    return {measure: total(pages) for measure, pages in found.items()}


TEXT = "of þam clife on þa greatan ac. of þære ac ofer þone feld"


def test_chances_by_hand() -> None:
    """Letters, words, repeated endings, doubled letters and minim runs, counted on one line."""
    found = chances(TEXT, TEXT)
    assert found["letters"] == len(TEXT.replace(" ", "").replace(".", ""))
    assert found["words"] == found["division"] == found[Cause.DITTOGRAPHY] == 13
    assert found[Cause.EYE_SKIP] == 2  # of ... of, ac. ... ac
    assert found[Cause.HAPLOGRAPHY] == 0
    assert found[Cause.SUPPLIED] == 0
    minims = chances("nimium munus eall", "nimium munus eall")
    assert minims[Cause.MINIMS] == 2  # nimium, munu
    assert minims[Cause.HAPLOGRAPHY] == 1  # ll


def test_pages_share_the_chances() -> None:
    """Letters and words are counted on the page they stand on; pages add up to the text."""
    witness = read_witness(PAGES, siglum="E")
    alignment, variants = judged(witness, witness.letters)
    found = chances_by_page(alignment, variants, places_of(witness), NO_FOLDS)
    assert found["words"] == {"E 1r": 7, "E 1v": 3, "E 2r": 3}
    assert found[Cause.LINE_SKIP] == {"E 1r": 2, "E 1v": 1, "E 2r": 1}
    assert set(found) == set(CHANCES)


def test_what_is_no_chance() -> None:
    """Letters in damage, in a skip and in a replaced word offer no chance for a slip of a letter."""
    damaged = bytes(State.RESTORED if at in (1, 2) else State.CLEAR for at in range(len(TEXT)))
    assert chances(Witness("E", TEXT, states=damaged), TEXT)["letters"] == chances(TEXT, TEXT)["letters"] - 1
    skipped = chances(TEXT, TEXT.replace(" of þære ac", ""))
    assert skipped["letters"] == chances(TEXT, TEXT)["letters"] - len("ofþæreac")
    replaced = chances("lege on þone fot and bind", "lege on þone earm and bind")
    assert replaced["letters"] == len("legeonþoneandbind")
    assert replaced["words"] == 6


def test_letters_out_of_sight_keep_their_places() -> None:
    """What is no chance is put out of sight letter by letter: offsets stay."""
    alignment, _ = judged(Witness("E", TEXT), TEXT.replace(" of þære ac", ""))
    offered = offered_text(alignment, [(3, 6)])
    assert len(offered) == len(TEXT)
    assert offered.startswith("of ▯▯▯ clife")
    assert "▯▯▯▯" in offered[20:]


def test_an_eye_skip_had_its_chance() -> None:
    """The same text offers the same chances for an eye-skip, whether the copyist took one or not."""
    copy = TEXT.replace(". of þære ac", "")
    assert [one.cause for one in judged(Witness("E", TEXT), copy)[1]] == [Cause.EYE_SKIP]
    assert chances(TEXT, copy)[Cause.EYE_SKIP] == chances(TEXT, TEXT)[Cause.EYE_SKIP]


def test_a_single_minim_letter_had_its_chance() -> None:
    """Errors of a cause never outnumber its chances: m written in is a run of minims misread."""
    original, copy = "of þam cleofe", "of þain cleofe"
    assert [one.cause for one in judged(Witness("E", original), copy)[1]] == [Cause.MINIMS]
    assert chances(original, copy)[Cause.MINIMS] >= 1
