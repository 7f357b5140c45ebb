"""What is written as TEI is valid against the schema of the Guidelines (``tests/tei_schema.py``)."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from lxml import etree

from fidelity.letters import encode
from fidelity.terms import LOST_LETTER, State, Witness
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_write import write_tei
from tests.tei_schema import faults
from tests.witnesses.test_tei_write import witnesses


def test_the_schema_finds_faults(schema: etree.RelaxNG) -> None:
    """The schema is at work: an element where it may not stand is found."""
    document = write_tei(read_witness("stan")).replace("<ab>", "<ab><teiHeader/>")
    assert faults(schema, document)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(witness=witnesses())
def test_whatever_is_written_is_valid(schema: etree.RelaxNG, witness: Witness) -> None:
    """Letters in any state and hand, any pages, numbers and line ends are written as valid TEI."""
    assert faults(schema, write_tei(witness)) == []


def test_every_state_in_every_hand_is_valid(schema: etree.RelaxNG) -> None:
    """Each state in each hand, with letters, blanks and tabs that need an element, is valid."""
    cases = [
        (LOST_LETTER if state in (State.LOST, State.LOST_UNKNOWN) else letter, state, hand)
        for state, hand, letter in product(State, range(3), ["a", " ", "\t", encode("u\u0304"), "&"])
    ]
    witness = Witness(
        "B",
        "".join(letter for letter, _, _ in cases),
        states=bytes(state for _, state, _ in cases),
        hands=bytes(hand for _, _, hand in cases),
        hand_names=("main", "added", "the glossator"),
    )
    document = write_tei(witness)
    assert faults(schema, document) == []
    assert read_tei(document)[0] == witness


@pytest.mark.parametrize(
    "witness",
    [
        read_witness("[fol. 12r]\nþa lanꝺ-\nᵹemæꞃa\n[fol. 12v]\nꞇo ellenꝼoꞃꝺa\n", siglum="E", language="ang"),
        read_witness("mo[ꞃᵹen] ạ (m) ⟦stan⟧ [.3]", profile="leiden", script="insular"),
        Witness("G", "acer\th lin\nalnus\t".replace("\n", " "), (0, 11), ("7", "9"), ("", ""), ("", ""),
                fields=("lemma", "gloss")),
        Witness("", "stan", labels=("12v:4",), pages=("12r",)),
    ],
    ids=["pages", "leiden", "fields", "citation"],
)  # fmt: skip
def test_kinds_of_texts_are_valid(schema: etree.RelaxNG, witness: Witness) -> None:
    """Pages, understood editorial signs, parallel fields and whole citations are written as valid TEI."""
    assert faults(schema, write_tei(witness)) == []
