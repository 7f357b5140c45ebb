"""The apparatus in plain text: a line for each place, as editors print them."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given, settings

from fidelity.apparatus.printed_apparatus import printed_apparatus
from fidelity.apparatus.printed_head import WIDTH, settings_in_words
from fidelity.audit import Audit
from fidelity.letters import encode
from fidelity.settings import Settings
from fidelity.terms import Locus, Witness
from fidelity.terms.conjecture import Conjecture, JudgedUnit, Rival
from fidelity.terms.decisions import Decision, DecisionUse, Ruling
from fidelity.witnesses.read import read_witness
from tests.apparatus.made_editions import MadeText, texts
from tests.apparatus.test_edition import made, other, proposal
from tests.scenario.laid_out import audited


def places(audit: Audit) -> list[str]:
    """Give the lines of the places of X, wrapped ones joined."""
    text = printed_apparatus(audit).split("\nX\n=\n")[1].split("\n\n\nCautions")[0]
    return re.sub(r"\n +", " ", text.split("\n\n")[-1]).splitlines()


def decided(copy: Witness, words: str, ruling: Ruling, value: str = "", who: str = "E. Ditor") -> DecisionUse:
    """Decide of words that the copy has once."""
    start = copy.letters.index(encode(words))
    return DecisionUse(
        Decision("X", "1.1", ruling, words, value=value, reason="the verb asks for it", who=who),
        span=(start, start + len(encode(words))),
    )


def test_readings_of_witnesses_stand_after_the_lemma() -> None:
    """Variants, omissions, additions, losses and words moved are told as editors tell them."""
    copy = read_witness("Ic wær on fyre fæste geboren gang þriwa ymb", siglum="X")
    audit = made(
        copy,
        other("K", "Ic wæs on fyre swiþe fæste geboren gang ymb"),
        other("W", "Ic wær on fi[---] gebor[---] gang þriwa ymb"),
    )
    assert places(audit) == [
        "1.2  wær C W] wæs K",
        "1.4  fyre C K] fi[---] W",
        "1.4  fyre] add. swiþe K; not in C",
        "1.6  geboren C K] gebor[---] W",
        "1.8  þriwa C W] om. K",
    ]


def test_what_is_proposed_says_how_sure_it_is() -> None:
    """A proposal has its figure or its range, one of a witness stands with the witness, suspect ones so."""
    copy = read_witness("Ic wær on fyre fæste", siglum="X")
    audit = made(
        copy,
        other("K", "Ic wæs on fyre fæste"),
        readings=(
            proposal(copy, "wær", "wæs", 0.99995, ground="ope_codicum"),
            proposal(copy, "fyre", "fire", borne_out=False, probability_low=0.2, probability_high=0.64,
                     steps=("i→y",)),
            proposal(copy, "fæste", "", 0.71, verdict="suspect"),
        ),
    )  # fmt: skip
    assert places(audit) == [
        "1.2  wær C] wæs K (cod. >0.999)",
        "1.4  fyre C K] fire prop. 0.2-0.64 (i→y)",
        "1.5  fæste C K] susp. 0.71",
    ]


def test_decisions_and_conjectures_bear_names() -> None:
    """What the editor adopted is the lemma, in his name; a crux stands between daggers."""
    copy = read_witness("Ic wær on fyre fæste", siglum="X")
    adopted = proposal(copy, "wær", "wæs", decision=str(Ruling.ADOPTED))
    conjecture = Conjecture("X", Locus("X", "1", 5), "X 1.5", (15, 20), "feste", "A. Nother")
    rival = Rival(proposal(copy, "fæste", "feste", 0.0412), "conjecture", 2, 9, (conjecture,))
    unit = JudgedUnit("X", conjecture.locus, (15, 20), "fæste", "fæste", (rival,))
    uses = (decided(copy, "wær", Ruling.ADOPTED, "wæs"), decided(copy, "fyre", Ruling.CRUX, who=""))
    audit = replace(made(copy, readings=(adopted,)), decisions=uses, conjectures=(unit,))
    assert places(audit) == [
        "1.2  wæs adopted by E. Ditor] wær C; wæs prop. 0.7",
        "1.4  †fyre† C] crux by not named in the dossier (the verb asks for it)",
        "1.5  fæste C] feste conj. A. Nother (0.0412)",
    ]


def test_what_the_editor_adopted_from_a_witness_stands_once() -> None:
    """The witness that has it stands in the lemma, with the program's figure, and not among the others."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    about = {"decision": str(Ruling.ADOPTED), "ground": "ope_codicum", "by_witness": True}
    found = made(copy, other("K", "Ic wæs on fyre"), readings=(proposal(copy, "wær", "wæs", 0.9, **about),))
    told = places(replace(found, decisions=(decided(copy, "wær", Ruling.ADOPTED, "wæs"),)))
    assert told == ["1.2  wæs K (cod. 0.9), adopted by E. Ditor] wær C"]


def test_what_moves_with_a_proposal_is_said() -> None:
    """Numeral and word stand or fall together: at the one the other is named."""
    text = printed_apparatus(audited("KW"))
    assert "11.11  .iu. C] .ui. prop. 0.38-1 (ui→iu; with feower → syx)" in text.splitlines()


def test_a_letter_alone_is_marked() -> None:
    """A letter of a word that is not settled does not pass for a proposal of the word."""
    copy = read_witness("Ic wær on fyre", siglum="X")
    letter = proposal(copy, "y", "i", 0.4, single=True, kind="letter", steps=("i→y",))
    assert places(made(copy, readings=(letter,))) == ["1.4  fyre C] fire prop. litt. 0.4 (i→y)"]


def test_how_far_each_witness_reaches_is_said() -> None:
    """Of a witness that has a part stands which; lost words do not count, omitted ones do."""
    copy = read_witness("Ic wær on\nfyre fæste geboren\nof þam heard mid", siglum="X")
    whole = other("K", "Ic wær on fyre fæste geboren of heard mid")
    part = other("W", "wær on [---] fæste geboren of þam")
    text = printed_apparatus(made(copy, replace(whole, name="Brockhurst MS"), part))
    head = text.split("\nX\n=\n\n")[1].split("\n\n")[0]
    assert head.splitlines()[1:] == [
        "K        Brockhurst MS",
        "W        Another witness of the text: 1.2-1.3, 2.2-3.2",
    ]


def test_places_and_readings_stand_in_columns() -> None:
    """However long the places are, all readings begin in one column, lines that run on too."""
    copy = read_witness("[fol. 12r]\n" + "\n".join(["Ic wær on fyre fæste geboren of þam heard"] * 3))
    text = "\n".join(["Ic wæs on fyre fæste geboren of þam herd"] * 3)
    printed = printed_apparatus(made(replace(copy, siglum="X"), other("K", text)))
    lines = printed.split("\n\n\nCautions")[0].split("\n\n")[-1].splitlines()
    assert len(lines) == 6
    assert {re.match(r"\S+ +", line).end() for line in lines} == {len("12r:1.2  ")}  # type: ignore[union-attr]


def test_settings_are_told_in_words() -> None:
    """Every setting is told, none by its name in the program."""
    told = settings_in_words(Settings(seed=777, states_as_evidence=("expanded",)))
    assert "clear, expanded" in told and "777" in told and "_" not in told
    assert len(told.split("; ")) == len(Settings().colophon())


def test_words_in_another_order_are_told_at_both_places() -> None:
    """Where a witness has a word elsewhere near by, each place names the other."""
    copy = read_witness("gang þriwa ymb þin hus songanges and cweð", siglum="X")
    told = places(made(copy, other("K", "gang ymb þin hus þriwa songanges and cweð")))
    assert told == [
        "1.2  þriwa C] transp. to 1.5 K",
        "1.5  hus] add. þriwa (transp. from 1.2) K; not in C",
    ]


def test_nothing_to_tell_is_told() -> None:
    """A text of which nothing is proposed and that has no other witness has an empty apparatus."""
    assert places(made(read_witness("Ic wær", siglum="X"))) == [
        "No place has another reading, and none is proposed."
    ]


def test_head_and_end_explain_it() -> None:
    """The head says that these are proposed readings and explains sigla and signs; cautions end it."""
    text = printed_apparatus(made(read_witness("Ic wær", siglum="X"), other("K", "Ic wæs", date="s. xi")))
    head = text.split("\nX\n=\n")[0]
    assert "These are proposed readings" in " ".join(head.split()) and "om.      the witness leaves" in head
    assert "K        Another witness of the text; s. xi" in text
    assert text.count("\n1. ") == 1 and "Cautions" in text


@settings(max_examples=30, deadline=None)
@given(texts())
def test_every_place_is_one_entry(text: MadeText) -> None:
    """Whatever the witnesses are like, no line is too long, but for one word, and no stand-in is left."""
    printed = printed_apparatus(text.audit())
    assert "▯" not in printed and "\t" not in printed
    for line in printed.splitlines():
        assert len(line) <= WIDTH or len(line.split()) <= 2
