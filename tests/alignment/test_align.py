"""What an alignment keeps its word about, whatever the texts are."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses, kept_share
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds, load_folds
from fidelity.witnesses.read import read_witness
from tests.planted import saga_lines

FOLDS = Folds({"ꞅ": "s", "ſ": "s"}, (("⁊", "and"), ("ae", "æ"), ("ꝥ", "þæt")))
ALPHABET = "abenrmsꞅſdt⁊ꝥþæ \t"


def align(original: str, copy: str, folds: Folds = NO_FOLDS) -> Alignment:
    """Align two strings of letters."""
    return align_witnesses(Witness("O", original), Witness("C", copy), folds)


@st.composite
def copies(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a text and a copy of it: a few stretches exchanged, left out, put in or written out."""
    original = draw(st.text(ALPHABET, max_size=50))
    copy = original
    for _ in range(draw(st.integers(0, 6))):
        start = draw(st.integers(0, len(copy)))
        end = min(start + draw(st.sampled_from([0, 1, 1, 2, 6])), len(copy))
        copy = copy[:start] + draw(st.text(ALPHABET, max_size=6)) + copy[end:]
    if draw(st.booleans()):
        copy = copy.replace("⁊", "and").replace("ꞅ", "s").replace("ꝥ", "þæt")
    return original, copy


@settings(deadline=None, max_examples=150)
@given(copies(), st.sampled_from([NO_FOLDS, FOLDS]))
def test_an_alignment_gives_back_both_texts(pair: tuple[str, str], folds: Folds) -> None:
    """Steps cover both texts without holes; joined, they are the texts; each is what it says."""
    original, copy = pair
    try:
        steps = align(original, copy, folds).steps.tolist()
    except UnrelatedTextsError:
        return
    assert "".join(original[o0:o1] for o0, o1, *_ in steps) == original
    assert "".join(copy[c0:c1] for _, _, c0, c1, _ in steps) == copy
    at, at_copy = 0, 0
    for o0, o1, c0, c1, kind in steps:
        assert (o0, c0) == (at, at_copy) and o1 - o0 + c1 - c0 > 0
        at, at_copy = o1, c1
        if kind == StepKind.KEPT:
            assert folds.same(original[o0:o1], copy[c0:c1])
        elif kind == StepKind.CHANGED:
            assert max(o1 - o0, c1 - c0) <= 3
        else:
            assert min(o1 - o0, c1 - c0) == 0 and max(o1 - o0, c1 - c0) > 3
    assert (at, at_copy) == (len(original), len(copy))


@settings(deadline=None, max_examples=60)
@given(st.text(ALPHABET, min_size=1, max_size=400), st.sampled_from([NO_FOLDS, FOLDS]))
def test_a_text_against_itself(text: str, folds: Folds) -> None:
    """A text copied without a slip is one kept run, and all of it is kept."""
    alignment = align(text, text, folds)
    assert alignment.steps.tolist() == [[0, len(text), 0, len(text), StepKind.KEPT]]
    assert kept_share(alignment) == 1.0


def test_nothing_against_nothing() -> None:
    """Two empty texts are aligned by no step at all."""
    assert len(align("", "").steps) == 0


def test_steps_cannot_be_changed_afterwards() -> None:
    """The record of an alignment is frozen, its table of steps too."""
    with pytest.raises(ValueError, match="read-only"):
        align("on þa ac", "on þa ac").steps[0, 0] = 1


@settings(deadline=None, max_examples=60)
@given(st.text("abcde ", min_size=1, max_size=80), st.data())
def test_wrong_letters_look_the_same_from_the_copy(text: str, data: st.DataObject) -> None:
    """Where letters were only exchanged for foreign ones, aligning backwards gives the same steps."""
    places = data.draw(st.lists(st.integers(0, len(text) - 1), max_size=max(len(text) // 8, 1)))
    copy = "".join("x" if at in places and letter != " " else letter for at, letter in enumerate(text))
    there, back = align(text, copy), align(copy, text)
    mirrored = there.steps[:, [2, 3, 0, 1, 4]].tolist()
    assert back.steps.tolist() == mirrored


def test_a_letter_and_its_form_are_kept_apart_and_free() -> None:
    """A declared form is kept as it is written; without the fold it is a change."""
    original, copy = "of þam hwitan ꞅꞇane ⁊ on wulfes beorh", "of þam hwitan stane and on wulfes beorh"
    folded = align(original, copy, load_folds(["insular"], [("⁊", "and")]))
    assert {kind for *_, kind in folded.steps.tolist()} == {StepKind.KEPT}
    assert folded.original.letters == original
    assert pairs_of(align("of þam hwitan ꞅꞇane on", "of þam hwitan stane on")) == [("ꞅ", "s"), ("ꞇ", "t")]


def test_an_expansion_in_the_originals_letterforms() -> None:
    """An abbreviation written out in folded letterforms is as free as Folds.same says it is."""
    folds = load_folds(["insular"], [("⁊", "and")])
    assert folds.same("⁊", "anꝺ")
    alignment = align("he ⁊ heo ⁊ ic", "he anꝺ heo anꝺ ic", folds)
    assert {kind for *_, kind in alignment.steps.tolist()} == {StepKind.KEPT}


def test_two_letters_counted_as_two_others() -> None:
    """Each kept step is equal by the folds, also where a pair of letters stands for another pair."""
    folds = load_folds([], [("vv", "uu")])
    alignment = align("avvbvvc", "auubuuc", folds)
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        assert kind == StepKind.KEPT
        assert folds.same("avvbvvc"[o0:o1], "auubuuc"[c0:c1])


def pairs_of(alignment: Alignment) -> list[tuple[str, str]]:
    """Give the letters of every step that keeps nothing."""
    original, copy = alignment.original.letters, alignment.copy.letters
    changed = [step for step in alignment.steps.tolist() if step[4] != StepKind.KEPT]
    return [(original[o0:o1], copy[c0:c1]) for o0, o1, c0, c1, _ in changed]


@pytest.mark.parametrize(("letters", "written"), [("rn", "m"), ("cl", "d"), ("m", "in"), ("ni", "m")])
def test_operations_of_several_letters_are_learned(letters: str, written: str) -> None:
    """Rn taken for m, cl for d: where it recurs, it is one step and not two slips."""
    words = "stan corn ealdan clif mearc beorn claþ niman hamora eornost clæne nihtes man " * 4
    copy = words.replace(letters, written)
    alignment = align(words, copy)
    assert set(pairs_of(alignment)) == {(letters, written)}
    assert len(pairs_of(alignment)) == words.count(letters)
    assert alignment.rounds > 1


def test_a_skip_is_one_step() -> None:
    """What the eye jumped over is one long step, not many letters left out; of like cuts any will do."""
    original = "of þam clife on þa greatan ac. of þære ac ofer þone feld on wulfstanes beorh"
    copy = original.replace(". of þære ac", "")
    alignment = align(original, copy)
    [(skipped, written)] = pairs_of(alignment)
    assert (len(skipped), written) == (len(". of þære ac"), "")
    assert alignment.steps[1].tolist()[4] == StepKind.SKIPPED


@pytest.mark.parametrize(
    ("original", "copy", "gap"),
    [
        ("ofer þone elnbogan on bind", "ofer þone elnbogan elnbogan on bind", ("", "elnbogan")),
        ("of clife on þa greatan ac of þære ac ofer", "of clife on þa greatan ac ofer", ("of þære ac", "")),
    ],
)
def test_gaps_settle_on_word_borders(original: str, copy: str, gap: tuple[str, str]) -> None:
    """Of the cuts that cost the same, words written twice or skipped are whole words."""
    [(skipped, added)] = pairs_of(align(original, copy))
    assert (skipped + added).strip() in {"".join(gap), "ac of þære"}  # which of two like words is open
    assert (skipped + added).strip() != skipped + added


def test_an_exchange_of_neighbours_is_one_step() -> None:
    """Two letters in the wrong order are one step of two letters a side."""
    original = "lege on þone fot and bind mid linenum claþe"
    assert pairs_of(align(original, original.replace("claþe", "calþe"))) == [("la", "al")]


def test_word_divisions_are_letters() -> None:
    """A division set wrong is one step with a space on one side."""
    assert pairs_of(align("do on ærenfæt emmicel wæteres", "do on æren fæt em micel wæteres")) == [
        ("", " "),
        ("", " "),
    ]


def test_borders_of_fields_answer_each_other(tmp_path: Path) -> None:
    """A glossary's columns stay columns, though a gloss or a lemma was replaced altogether."""
    original, copy = tmp_path / "original.tsv", tmp_path / "copy.tsv"
    entries = ["lemma\tgloss", "acer\thlin", "alnus\talor", "ardea\thragra", "pirus\tpyrige", "uulpes\tfox"]
    original.write_text("\n".join(entries), encoding="utf-8")
    entries[1:5:3] = "ager\tæcer", "pinus\tpintreow"
    copy.write_text("\n".join(entries), encoding="utf-8")
    alignment = align_witnesses(read_witness(original), read_witness(copy))
    letters, written = alignment.original.letters, alignment.copy.letters
    answered = []
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        if "\t" in letters[o0:o1] + written[c0:c1]:
            assert kind == StepKind.KEPT and letters[o0:o1].count("\t") == written[c0:c1].count("\t")
            answered += [c0 + at for at, letter in enumerate(letters[o0:o1]) if letter == "\t"]
    assert answered == [at for at, letter in enumerate(written) if letter == "\t"]
    assert letters.count("\t") == len(answered) == 5


def test_texts_with_nothing_in_common_are_refused() -> None:
    """Two texts, or a text and letters that it has not, are no original and copy; the report says so."""
    lines = saga_lines()
    one, other = " ".join(lines[:20]), " ".join(lines[900:920])
    foreign = "abcd " * 20, "efgh " * 20
    for original, copy in [(one, other), (one[:60], other[:60]), (one, one[::-1]), foreign]:
        with pytest.raises(UnrelatedTextsError, match="nothing in common") as caught:
            align(original, copy)
        assert "named first" in str(caught.value)
    assert kept_share(align(one, one.replace("r", "n"))) > 0.9


def test_a_bad_copy_is_still_a_copy() -> None:
    """A copy with every fifth letter wrong is not taken for another text."""
    original = " ".join(saga_lines()[:20])
    copy = "".join("x" if at % 5 == 0 and letter != " " else letter for at, letter in enumerate(original))
    assert 0.75 < kept_share(align(original, copy)) < 0.85
