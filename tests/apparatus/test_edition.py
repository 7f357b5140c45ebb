"""The edition file: every witness is had back from it, it is valid, and it says who proposes what."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from fidelity.apparatus.collated import CollatedText, collated_text
from fidelity.apparatus.concerns import adopted_in
from fidelity.apparatus.edition import edition
from fidelity.apparatus.edition_witness import witness_of
from fidelity.audit import Audit
from fidelity.dossier import LostText, OtherWitness
from fidelity.errors import DataError
from fidelity.letters import encode
from fidelity.readings.apply import edited_copy
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.conjecture import Conjecture, JudgedUnit, Rival
from fidelity.terms.decisions import Decision, DecisionUse, Ruling
from fidelity.terms.findings import StepEvidence
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.plain import LINE_END_MARKS
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.taken_out import as_written, taken_out
from fidelity.witnesses.tei import read_tei
from tests.apparatus.made import made_audit
from tests.apparatus.made_editions import MadeText, texts
from tests.scenario.laid_out import audited
from tests.tei_schema import faults

HYPHENS = f"[{re.escape(LINE_END_MARKS)}]"
NS = {"t": "http://www.tei-c.org/ns/1.0"}
POINTERS = ("wit", "resp", "target", "corresp", "hand", "source", "edRef")
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


def made(copy: Witness, *others: OtherWitness, readings: tuple[ProposedReading, ...] = ()) -> Audit:
    """Give an audit of one lost text."""
    return MadeText(copy, (), others, readings).audit()


def other(siglum: str, text: str, date: str = "") -> OtherWitness:
    """Give another witness of X."""
    return OtherWitness("X", read_witness(text, siglum=siglum, profile="leiden"), date=date)


def proposal(
    copy: Witness, words: str, proposed: str, probability: float = 0.7, **about: object
) -> ProposedReading:
    """Propose something for words that the copy has once."""
    start = copy.letters.index(encode(words))
    span = start, start + len(encode(words))
    found = ProposedReading(1, "X", replace(copy.locus(start), text="X"), span, words, proposed, probability)
    return replace(found, **{"borne_out": True, "tried": 10, "tried_right": 7, **about})  # type: ignore[arg-type]


def elements(document: str, path: str) -> list[etree._Element]:
    """Give the elements of a path."""
    return etree.fromstring(document.encode()).findall(path, NS)


def given_as(witness: Witness, siglum: str) -> Witness:
    """Give a witness as the edition has it: under its siglum, without the name of its file."""
    return replace(witness, siglum=siglum, file="", trusted_states=frozenset(), marks=())


def check_witnesses(document: str, text: CollatedText) -> None:
    """Compare every witness that was collated with what the file gives back."""
    for siglum, witness in zip(text.collation.sigla, text.collation.witnesses, strict=True):
        assert witness_of(document, text.id, siglum) == given_as(witness, siglum)


def check_pointers(document: str) -> None:
    """See that each name is given once and whatever is pointed at is there."""
    root = etree.fromstring(document.encode())
    names = [one.get(XML_ID) for one in root.iter() if one.get(XML_ID)]
    assert len(set(names)) == len(names)
    for one in root.iter():
        for pointer in " ".join(one.get(name, "") for name in POINTERS).split():
            assert pointer.removeprefix("#") in names


@settings(max_examples=60, deadline=None)
@given(texts())
def test_every_witness_is_had_back_from_the_file(text: MadeText) -> None:
    """Whatever the witnesses are like, each comes back letter for letter and line for line."""
    audit = text.audit()
    collated = collated_text(audit.dossier, audit.dossier.lost[0])
    document = edition(audit, [collated])
    check_witnesses(document, collated)
    check_pointers(document)


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=texts())
def test_whatever_is_written_is_valid(schema: etree.RelaxNG, text: MadeText) -> None:
    """Any witnesses and readings make a valid document, by the schema of the Guidelines."""
    assert faults(schema, edition(text.audit())) == []


@settings(max_examples=30, deadline=None)
@given(texts())
def test_the_reader_of_transcriptions_reads_the_copy(text: MadeText) -> None:
    """Read as any TEI, the file gives the copy, the editor's readings in it where he adopted some.

    Hyphens apart: a letter like one, at the end of a line whose word runs on, is then taken for the mark.
    """
    audit = text.audit()
    read, _ = read_tei(edition(audit))
    adopted = adopted_in(audit, "X")
    expected = edited_copy(text.copy, adopted, 1.0)[0] if adopted else text.copy
    assert re.sub(HYPHENS, "", read.letters) == re.sub(HYPHENS, "", expected.letters)


def test_the_demo_with_decisions_is_valid_and_whole(schema: etree.RelaxNG) -> None:
    """The short demo, with a copy of the copy and an adopted reading, is valid and holds all witnesses."""
    audit = audited("KWT", adopted="wæs")
    collated = collated_text(audit.dossier, audit.dossier.lost[0])
    document = edition(audit, [collated])
    assert collated.collation.sigla == ("C", "K", "W", "T")
    assert faults(schema, document) == []
    check_witnesses(document, collated)
    check_pointers(document)
    (lemma,) = elements(document, ".//t:lem[@type='adopted']")
    assert (lemma.text, lemma.get("wit"), lemma.get("resp")) == ("wæs", "#X.K", None)
    (note,) = elements(document, ".//t:note[@type='decision']")
    assert note.get("target") == f"#{lemma.get(XML_ID)}"
    person = next(
        one for one in elements(document, ".//t:respStmt") if f"#{one.get(XML_ID)}" == note.get("resp")
    )
    assert person.findtext("t:name", namespaces=NS) == "E. Ditor"
    assert [
        one.text for one in elements(document, ".//t:lem[@type='adopted']/../t:rdg[@wit='#X.C #X.T']")
    ] == ["wær"]
    (dependent,) = elements(document, ".//t:witness[@n='T']/t:ref")
    assert dependent.get("target") == "#X.C"


def test_a_proposal_has_its_figure_its_cause_and_no_witness() -> None:
    """A conjecture of the program's has @resp, @cert and @cause, and stands beside what is transmitted."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    document = edition(made(copy, readings=(proposal(copy, "wær", "wæs", 0.62),)))
    (reading,) = elements(document, ".//t:rdg")
    assert dict(reading.attrib) == {
        XML_ID: "X.r1", "n": "1", "type": "conjecture", "resp": "#fidelity", "cause": "paleographicConfusion",
        "cert": "0.62",
    }  # fmt: skip
    assert reading.text == "wæs"
    assert [(one.get("wit"), one.text) for one in elements(document, ".//t:lem")] == [("#X.C", "wær")]
    assert "Ic <app n=" in document and "</app> on fyre" in document


def test_a_probability_not_borne_out_is_a_range_and_no_figure() -> None:
    """Where the blind test allows a range only, @cert is wanting and the note has the range."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    reading = proposal(copy, "wær", "wæs", borne_out=False, probability_low=0.21, probability_high=0.83)
    document = edition(made(copy, readings=(reading,)))
    assert elements(document, ".//t:rdg")[0].get("cert") is None
    (number,) = elements(document, ".//t:note/t:num")
    assert (number.get("atLeast"), number.get("atMost")) == ("0.21", "0.83")


def test_a_reading_of_witnesses_is_pointed_at() -> None:
    """What a witness has and the program proposes stands once, as the witness's; the note points at it."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    reading = proposal(copy, "wær", "wæs", ground="ope_codicum", by_witness=True)
    document = edition(made(copy, other("K", "Ic wæs on fyre"), readings=(reading,)))
    (witness,) = elements(document, ".//t:rdg")
    assert (witness.get("wit"), witness.text, witness.get("resp")) == ("#X.K", "wæs", None)
    (note,) = elements(document, ".//t:note[@type='proposed']")
    assert (note.get("target"), note.get("cert")) == (f"#{witness.get(XML_ID)}", "0.7")


@pytest.mark.parametrize(
    ("witness", "lemma"),
    [
        ("Ic wæs on fyre", ("#X.K", None)),
        ("Ic wæ[s] on fyre", (None, "#person.E._20Ditor")),
        ("Ic wes on fyre", (None, "#person.E._20Ditor")),
    ],
)
def test_an_adopted_reading_that_a_witness_has_stands_once(
    schema: etree.RelaxNG, witness: str, lemma: tuple[str | None, str | None]
) -> None:
    """It is the witness's own, and the decision points at it; else, or if restored there, the editor's."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    reading = proposal(copy, "wær", "wæs", decision=str(Ruling.ADOPTED))
    use = DecisionUse(Decision("X", "1.2", Ruling.ADOPTED, "wær", value="wæs", who="E. Ditor"), span=(3, 6))
    audit = replace(made(copy, other("K", witness), readings=(reading,)), decisions=(use,))
    document = edition(audit)
    assert faults(schema, document) == []
    check_pointers(document)
    check_witnesses(document, collated_text(audit.dossier, audit.dossier.lost[0]))
    (found,) = elements(document, ".//t:lem[@type='adopted']")
    assert (found.get("wit"), found.get("resp")) == lemma
    (note,) = elements(document, ".//t:note[@type='decision']")
    having = elements(document, ".//t:app/*[@wit='#X.K']")[0].get(XML_ID)
    assert note.get("target") == (f"#{having}" if having else None)
    assert (having is None) == ("wes" in witness)


def test_a_reading_put_in_after_the_last_letter_is_in_the_lemma() -> None:
    """An adopted addition at the very end of the text is read with it."""
    copy = read_witness("Ic wær", siglum="X")
    reading = proposal(copy, "wær", " on", decision=str(Ruling.ADOPTED))
    reading = replace(reading, copy_span=(6, 6), transmitted="")
    use = DecisionUse(Decision("X", "1.2", Ruling.ADOPTED, "wær", value="wær on"), span=(3, 6))
    document = edition(replace(made(copy, readings=(reading,)), decisions=(use,)))
    assert read_tei(document)[0].letters == "Ic wær on"


def test_a_letter_alone_is_said_to_be_one(schema: etree.RelaxNG) -> None:
    """A letter of a word that is not settled is of that subtype, and the note says so; a word is not."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    word, letter = proposal(copy, "wær", "wæs"), proposal(copy, "y", "i", single=True, kind="letter")
    document = edition(made(copy, readings=(word, replace(letter, number=2))))
    assert faults(schema, document) == []
    found = [(one.text, one.get("subtype")) for one in elements(document, ".//t:rdg")]
    assert found == [("wæs", None), ("fire", "letter")]
    notes = ["".join(one.itertext()) for one in elements(document, ".//t:note[@type='grounds']")]
    assert ["a letter alone is proposed" in one for one in notes] == [False, True]


def test_a_word_goes_before_a_letter_that_makes_the_same() -> None:
    """Where word and letter are proposed with the same outcome, the reading is of the word."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    letter = replace(proposal(copy, "wær", "wæs"), copy_span=(5, 6), transmitted="r", proposed="s")
    letter = replace(letter, single=True, kind="letter")
    document = edition(made(copy, readings=(letter, replace(proposal(copy, "wær", "wæs"), number=2))))
    assert [(one.get("n"), one.get("subtype")) for one in elements(document, ".//t:rdg")] == [("2", None)]


def test_manuscripts_are_called_by_their_names(schema: etree.RelaxNG) -> None:
    """What the dossier calls the lost manuscript, his copies and the witnesses stands in the header."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    called = replace(other("K", "Ic wæs on fyre"), name="Brockhurst <MS>")
    audit = made(copy, called)
    lost = replace(audit.dossier.lost[0], name="Hallowmere MS 9 & more", copy_names=("volume C", "draft"))
    lost = replace(lost, other_copies=(copy,))
    document = edition(replace(audit, dossier=replace(audit.dossier, lost=(lost,))))
    assert faults(schema, document) == []
    (title,) = elements(document, ".//t:titleStmt/t:title")
    assert (title.text or "").startswith("Hallowmere MS 9 & more (X): the transmitted text")
    assert elements(document, ".//t:listWit/t:head")[0].text == "Witnesses of X, Hallowmere MS 9 & more"
    found = {
        one.get("n"): one.findtext("t:name", namespaces=NS) for one in elements(document, ".//t:witness")
    }
    assert found == {"C": "volume C", "C2": "draft", "K": "Brockhurst <MS>"}


def test_suspect_places_and_cruces_have_no_other_reading() -> None:
    """A place that is only suspect, or past mending, keeps its words and has a note that says so."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    suspect = proposal(copy, "fyre", "", verdict="suspect", kind="corrupt")
    audit = made(copy, readings=(suspect,))
    crux = DecisionUse(
        Decision("X", "1.2", Ruling.CRUX, "wær", reason="no sense", who="E. Ditor"), span=(3, 6)
    )
    document = edition(replace(audit, decisions=(crux,)))
    assert elements(document, ".//t:rdg") == []
    assert [one.text for one in elements(document, ".//t:lem")] == ["wær", "fyre"]
    kinds = [(one.get("type"), one.get("subtype")) for one in elements(document, ".//t:app/t:note")]
    assert kinds == [("decision", "crux"), ("suspect", None)]
    assert "crux: no sense" in document


def test_conjectures_of_persons_are_theirs() -> None:
    """A conjecture has its author's @resp and no @cert; how the program judges it stands in a note."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    seen = StepEvidence("i→y", 0, 20, 0.0, 0.1), StepEvidence("i→i", 9, 20, 0.2, 0.7)
    judged = proposal(copy, "fyre", "fire", 0.04, evidence=seen)
    conjecture = Conjecture("X", Locus("X", "1", 4), "X 1.4", (10, 14), "fire", "Ælf & Co", "to be weighed")
    rival = Rival(
        judged,
        "conjecture",
        3,
        17,
        (conjecture,),
        ("less probable than another", "needs what was never seen: i→y (0 of 20 chances)"),
    )
    unit = JudgedUnit("X", conjecture.locus, (10, 14), "fyre", "on fyre", (rival,))
    document = edition(replace(made(copy), conjectures=(unit,)))
    (reading,) = elements(document, ".//t:rdg")
    names = {
        one.get(XML_ID): one.findtext("t:name", namespaces=NS) for one in elements(document, ".//t:respStmt")
    }
    assert names[reading.get("resp", "").removeprefix("#")] == "Ælf & Co"
    assert reading.get("cert") is None and reading.get("wit") is None
    (note,) = elements(document, ".//t:note[@type='judged']")
    assert "".join(note.itertext()).count("i→y") == 1
    assert note.get("cert") == "0.04" and "rank 3 of 17; less probable than another; needs" in (
        note.text or ""
    )
    check_pointers(document)


def test_an_adopted_reading_over_a_line_end_keeps_the_line() -> None:
    """Where the editor joins words over a line end the lemma has the line beginning, as an edited text."""
    copy = read_witness("gang þriwa ymb þin\nhus and cweð", siglum="X")
    reading = proposal(copy, "þin hus", "þinhus", decision=str(Ruling.ADOPTED))
    use = DecisionUse(
        Decision("X", "1.4-2.1", Ruling.ADOPTED, "þin hus", value="þinhus"), span=reading.copy_span
    )
    document = edition(replace(made(copy, readings=(reading,)), decisions=(use,)))
    read, _ = read_tei(document)
    edited, _ = edited_copy(copy, [reading], 1.0)
    assert (read.letters, read.lines) == (edited.letters, edited.lines) and edited.line_ends == ("-", "")
    assert witness_of(document, "X", "C") == given_as(copy, "C")


def test_his_own_signs_are_kept() -> None:
    """What he marked as unread or doubtful stands as a mark of his, and can be put back as he wrote it."""
    read = read_witness("þa sta.. (?) ymb\nþæne .... weg (?)\nsic ofer", siglum="X")
    copy = taken_out(read, HisMarks(letter_unread=(".",), doubtful=("(?)",)))
    document = edition(made(copy, other("K", "þa stan ymb\nþæne weg\nofer")))
    back = witness_of(document, "X", "C", with_signs=True)
    assert back == given_as(as_written(copy), "C") and back.letters == read.letters
    assert witness_of(document, "X", "C") == given_as(copy, "C")
    kinds = [one.get("function") for one in elements(document, ".//t:metamark")]
    assert kinds == [str(mark.kind) for mark in copy.marks]
    assert [one.get("source") for one in elements(document, ".//t:metamark")] == ["#X.C"] * len(kinds)


SIGNED = ["on", "fyre", "fæ..e", "gebor...", "....", "wæs(?)", "ic (?)", "(?) nu", "_", "a   b", "sæ (!)"]


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.lists(st.sampled_from(SIGNED), min_size=1, max_size=5), min_size=1, max_size=4),
    st.lists(st.sampled_from(["on", "fyre", "fæste", "geboren", "wæs", "ic", "nu"]), max_size=8),
)
def test_his_signs_are_put_back_wherever_they_stand(lines: list[list[str]], words: list[str]) -> None:
    """Signs at any place, several together, beside gaps and line ends, come back as he wrote them."""
    signs = HisMarks(
        letter_unread=(".",), some_unread=("_",), blanks=True, doubtful=("(?)",), vouched=("(!)",)
    )
    read = read_witness("\n".join("ac " + " ".join(line) for line in lines), siglum="X")
    try:
        copy = taken_out(read, signs)
    except DataError:  # a line of nothing but signs is refused
        return
    document = edition(made(copy, *(other("K", text) for text in [" ".join(words)] if text)))
    assert witness_of(document, "X", "C", with_signs=True).letters == read.letters
    assert witness_of(document, "X", "C") == given_as(copy, "C")


def test_several_lost_texts_stand_in_one_file(schema: etree.RelaxNG) -> None:
    """Each lost text has its own witnesses, though their sigla are the same."""
    audit = made(read_witness("Ic wær on fyre", siglum="X"), other("K", "Ic wæs on fyre"))
    second = LostText("Ý 2", read_witness("þa stan\nymb", siglum="Ý 2"))
    dossier = replace(audit.dossier, lost=(*audit.dossier.lost, second))
    document = edition(replace(audit, dossier=dossier))
    assert faults(schema, document) == []
    check_pointers(document)
    assert witness_of(document, "Ý 2", "C").letters == "þa stan ymb"
    assert witness_of(document, "X", "K").letters == "Ic wæs on fyre"


@pytest.mark.parametrize(("text", "siglum"), [("Z", "C"), ("X", "Q")])
def test_a_witness_that_is_not_there_is_told(text: str, siglum: str) -> None:
    """Asking for a text or a witness that the file has not is a fault in the data."""
    document = edition(made(read_witness("Ic wær", siglum="X")))
    with pytest.raises(DataError, match="has no"):
        witness_of(document, text, siglum)


def test_a_stranger_is_described_and_left_out(schema: etree.RelaxNG) -> None:
    """A witness that has nothing in common with the copy is listed with the reason; others are collated."""
    words = "gang þriwa ymb þin hus songanges and cweð ic beluce þis hus mid haligum wordum ne mæg se sceaþa"
    stranger = " ".join(["lupus messor pinus silex turris"] * 4)
    audit = made(
        read_witness(words, siglum="X"), other("Q", stranger), other("K", words.replace("þin", "þine"))
    )
    collated = collated_text(audit.dossier, audit.dossier.lost[0])
    document = edition(audit, [collated])
    assert collated.collation.sigla == ("C", "K")
    (told,) = elements(document, ".//t:witness[@n='Q']")
    assert "Not set beside the others" in "".join(told.itertext())
    assert faults(schema, document) == []


def test_dependence_and_language_stand_with_the_witness() -> None:
    """Who was copied from whom, and in what language a witness is, is said where it is listed."""
    audit = made(read_witness("Ic wær on fyre", siglum="X"), other("T", "Ic wær on fire", date="1762"))
    stretch = DependentStretch("C", (0, 14), "1.1-1.4")
    document = edition(replace(audit, dossier=replace(audit.dossier, dependence={("X", "T"): (stretch,)})))
    (told,) = elements(document, ".//t:witness[@n='T']")
    assert "1762. Copied from C (1.1-1.4, declared)." in "".join(told.itertext())


def test_hostile_letters_stay_letters(schema: etree.RelaxNG) -> None:
    """Markup, the end of CDATA, marks of direction, a word of ten thousand letters: letters, no more."""
    words = [
        "<script>alert(1)</script>",
        "]]>",
        '"><img',
        "&lt;",
        "\u202eabc\u202c",
        "\u200fשלום",
        "a" * 10_000,
        "on",
    ]
    copy = read_witness(" ".join(words), siglum="<X> & '\"")
    audit = made(copy, OtherWitness("X", read_witness(" ".join(reversed(words)), siglum="]]>\"'")))
    document = edition(replace(audit, notes=("]]> <b>&",)))
    collated = collated_text(audit.dossier, audit.dossier.lost[0])
    check_witnesses(document, collated)
    assert faults(schema, document) == []
    assert "<script" not in document and not re.search(
        "<(img|b)>?", document.split("<text")[1].split("<body>")[0]
    )


def test_what_xml_cannot_hold_is_replaced_in_notes(schema: etree.RelaxNG) -> None:
    """A control character in what somebody wrote about the texts gives no broken file."""
    audit = made(read_witness("Ic wær", siglum="X"), other("K", "Ic wæs", date="s. \x01 xi"))
    document = edition(audit)
    assert faults(schema, document) == [] and "s. \ufffd xi" in document


def test_cautions_and_colophon_stand_in_the_header() -> None:
    """Program, version, settings, inputs with their digests and every caution are in the header."""
    audit = replace(made_audit())
    document = edition(audit)
    assert len(elements(document, ".//t:note[@type='caution']")) == 11
    (program,) = elements(document, ".//t:application")
    assert program.get("ident") == "fidelity" and "false_discovery" in "".join(program.itertext())
    listed = ["".join(one.itertext()) for one in elements(document, ".//t:list[@type='inputs']/t:item")]
    assert listed == [f"{file} SHA-256 {digest}" for file, digest in sorted(audit.dossier.inputs)]
    (encoding,) = elements(document, ".//t:variantEncoding")
    assert dict(encoding.attrib) == {"method": "parallel-segmentation", "location": "internal"}
