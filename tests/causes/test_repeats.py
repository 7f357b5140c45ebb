"""Errors of the eye that jumps and of the pen that repeats, each beside what only looks like it."""

from __future__ import annotations

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.causes.decide import decide
from fidelity.causes.facts import Facts
from fidelity.letters import encode
from fidelity.terms import Cause, Variant, Witness
from fidelity.variants.collect import collect
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness


def one_variant(original: str | Witness, copy: str) -> Variant:
    """Judge a pair of texts that differ in one place."""
    witness = Witness("O", encode(original)) if isinstance(original, str) else original
    alignment = align_witnesses(witness, Witness("C", encode(copy)))
    facts = Facts(alignment, NO_FOLDS, places_of(witness))
    [variant] = decide(collect(alignment, "O", NO_FOLDS), {"O": facts})
    return variant


def causes(variant: Variant) -> set[Cause]:
    """Give every cause that fits."""
    return {variant.cause, *variant.other_causes}


@pytest.mark.parametrize(
    ("original", "copy"),
    [
        ("of þam clife on þa greatan ac of þære ac ofer þone", "of þam clife on þa greatan ac ofer þone"),
        (
            "he beleac þæt hus and he beleac þa duru mid cæge",
            "he beleac þa duru mid cæge",
        ),  # beginnings alike
        ("andlang ræwe of hæselræwe eft on ellenford", "andlang ræwe eft on ellenford"),  # ends alike
    ],
)
def test_eye_skip(original: str, copy: str) -> None:
    """Words are lost, and what is lost begins or ends like what stands beside it."""
    assert one_variant(original, copy).cause is Cause.EYE_SKIP


@pytest.mark.parametrize(
    ("original", "copy"),
    [
        (
            "wring þonne þurh claþ and dryp on þæt eage",
            "wring þonne claþ and dryp on þæt eage",
        ),  # nothing alike
        ("cnuca on ecede strangum and smyre", "cnuca on ecede stranum and smyre"),  # less than a word
    ],
)
def test_no_eye_skip(original: str, copy: str) -> None:
    """A word lost beside nothing like it, or a letter lost, is no eye-skip."""
    assert Cause.EYE_SKIP not in causes(one_variant(original, copy))


def test_line_skip() -> None:
    """A whole line lost is a line skip, though nothing stands alike; half a line is none."""
    original = read_witness("on þone hwitan stan\ngenim betonican\nleaf and rudan wos", siglum="O")
    assert one_variant(original, "on þone hwitan stan leaf and rudan wos").cause is Cause.LINE_SKIP
    half = one_variant(original, "on þone hwitan stan betonican leaf and rudan wos")
    assert Cause.LINE_SKIP not in causes(half)


@pytest.mark.parametrize(
    ("original", "copy"),
    [
        ("þa ealdan mylne on þone stan", "þa ealdan mylne mylne on þone stan"),
        ("brocas on þa ealdan mylne of", "brocas on þa on þa ealdan mylne of"),
        ("genim betonican leaf", "genim betotonican leaf"),
    ],
)
def test_dittography(original: str, copy: str) -> None:
    """Words or letters written twice, wherever the second of the two is taken to begin."""
    assert one_variant(original, copy).cause is Cause.DITTOGRAPHY


def test_no_dittography() -> None:
    """Letters put in that do not stand beside them are no dittography."""
    assert Cause.DITTOGRAPHY not in causes(one_variant("genim betonican leaf", "genim betonicran leaf"))


@pytest.mark.parametrize(
    ("original", "copy"),
    [("wyrttruman gecnuca ætsomne", "wyrtruman gecnuca ætsomne"), ("genim banana wos", "genim bana wos")],
)
def test_haplography(original: str, copy: str) -> None:
    """A letter or group that stood twice is written once."""
    assert one_variant(original, copy).cause is Cause.HAPLOGRAPHY


def test_no_haplography() -> None:
    """A letter lost that stood once is no haplography."""
    assert Cause.HAPLOGRAPHY not in causes(
        one_variant("wyrttruman gecnuca ætsomne", "wyrttruma gecnuca ætsomne")
    )


def test_metathesis() -> None:
    """Letters, or words, in another order."""
    assert one_variant("mid linenum claþe gif", "mid linenum calþe gif").cause is Cause.METATHESIS
    assert one_variant("cnuca on strangum ecede and", "cnuca on ecede strangum and").cause is Cause.METATHESIS
