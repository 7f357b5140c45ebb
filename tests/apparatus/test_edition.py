"""The edition file: every witness is had back from it, and it reads as the copy does."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from fidelity.apparatus.collated import CollatedText, collated_text
from fidelity.apparatus.edition import edition
from fidelity.apparatus.edition_witness import witness_of
from fidelity.terms import Witness
from tests.apparatus.made_editions import MadeText, texts


def given_as(witness: Witness, siglum: str) -> Witness:
    """Give a witness as the edition has it: under its siglum, without the name of its file."""
    return replace(witness, siglum=siglum, file="", trusted_states=frozenset(), marks=())


def check_witnesses(document: str, text: CollatedText) -> None:
    """Compare every witness that was collated with what the file gives back."""
    for siglum, witness in zip(text.collation.sigla, text.collation.witnesses, strict=True):
        assert witness_of(document, text.id, siglum) == given_as(witness, siglum)


@settings(max_examples=200, deadline=None)
@given(texts())
def test_every_witness_is_had_back_from_the_file(made: MadeText) -> None:
    """Whatever the witnesses are like, each comes back letter for letter and line for line."""
    audit = made.audit()
    text = collated_text(audit.dossier, audit.dossier.lost[0])
    check_witnesses(edition(audit, [text]), text)
