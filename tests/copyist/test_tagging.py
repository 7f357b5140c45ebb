"""Tags from an alignment: they spell the original, and damage teaches nothing."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import Tagged, in_scripts, normalise, shared_out, tag_alignment
from fidelity.dossier import Passage
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import State, StepKind, Witness
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS, Folds, load_folds
from fidelity.witnesses.read import read_witness

FOLDS = Folds({"ꞅ": "s", "ꞇ": "t"}, (("⁊", "and"), ("ꝥ", "þæꞇ")))


def tag(original: Witness | str, copy: str, folds: Folds = NO_FOLDS) -> Tagged:
    """Align and tag."""
    witness = Witness("O", original) if isinstance(original, str) else original
    return tag_alignment(align_witnesses(witness, Witness("C", copy), folds), folds)


@st.composite
def small_edits(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a text and a copy with a few slips of one to three letters, none at the first letter."""
    original = draw(st.text("abemnr ꞅꞇ⁊", min_size=1, max_size=60))
    copy = original
    for _ in range(draw(st.integers(0, 4))):
        start = draw(st.integers(1, len(copy)))
        end = start + draw(st.integers(0, 2))
        copy = copy[:start] + draw(st.text("abemnrst ", max_size=3)) + copy[end:]
    if draw(st.booleans()):
        copy = copy.replace("⁊", "and").replace("ꞅ", "s")
    return original, copy


@settings(deadline=None, max_examples=150)
@given(small_edits(), st.sampled_from([NO_FOLDS, FOLDS]))
def test_joined_tags_are_the_original(pair: tuple[str, str], folds: Folds) -> None:
    """Where nothing was skipped, the tags joined are the whole original, normalised.

    A sign that the copyist kept is its own tag, so both sides are compared written out.
    """
    original, copy = pair
    try:
        alignment = align_witnesses(Witness("O", original), Witness("C", copy), folds)
    except UnrelatedTextsError:
        return
    kinds = alignment.steps[:, 4].tolist()
    assume(StepKind.SKIPPED not in kinds and not alignment.moved and alignment.steps[0, 3] > 0)
    tagged = tag_alignment(alignment, folds)
    assert len(tagged.copied) == len(tagged.tags) == len(tagged.trusted) == len(copy)
    assert tagged.copied == folds.fold(copy)
    assert normalise(tagged.original(0, len(copy)), folds) == normalise(original, folds)
    assert all(tagged.trusted)


def test_letters_left_out_at_the_very_beginning() -> None:
    """A text whose first letter the copy lacks is still spelled in full by the tags."""
    tagged = tag("se ealda beorh on felda", "e ealda beorh on felda")
    assert tagged.original(0, len(tagged.copied)) == "se ealda beorh on felda"


def test_one_tag_for_each_letter() -> None:
    """Right letters, a wrong one, one put in, one left out, and two for one, in one line."""
    tagged = tag("of þære corn ecge on bite swa hit ær", "of þæne corm eecge on bte swa hit ær")
    assert tagged.tags[5:7] == ("r", "e")
    assert tagged.original(0, len(tagged.copied)) == "of þære corn ecge on bite swa hit ær"
    assert tagged.tags[tagged.copied.index("bte")] == "bi"  # what was left out hangs on the letter before


def test_several_letters_are_shared_out() -> None:
    """The first original letters go to the first written ones, all that is left to the last."""
    assert shared_out("rn", "m") == ["rn"]
    assert shared_out("m", "rn") == ["m", ""]
    assert shared_out("uul", "wl") == ["u", "ul"]
    assert shared_out("", "in") == ["", ""]


@given(st.text("abc", max_size=3), st.text("xyz", min_size=1, max_size=3))
def test_sharing_out_loses_nothing(original: str, written: str) -> None:
    """As many tags as written letters, and joined they are the original's letters."""
    shares = shared_out(original, written)
    assert len(shares) == len(written)
    assert "".join(shares) == original


def test_a_skip_teaches_nothing() -> None:
    """Nine letters jumped over hang nowhere, and the letter before the gap is not trusted."""
    original = "of þam clife on þa greatan ac of þære ac ofer þone feld"
    tagged = tag(original, original.replace(" of þære ac", ""))
    assert tagged.original(0, len(tagged.copied)) == tagged.copied
    assert tagged.trusted.count(False) == 1


def test_matter_put_in_teaches_nothing() -> None:
    """A phrase that is only in the copy answers nothing and is not trusted."""
    tagged = tag("genim betonican leaf and rudan", "genim betonican i. uetonica leaf and rudan")
    start = tagged.copied.index(" i. uetonica")
    added = slice(start, start + len(" i. uetonica"))
    doubtful = [at for at, trusted in enumerate(tagged.trusted) if not trusted]
    assert len(doubtful) == len(" i. uetonica")
    assert set(tagged.tags[doubtful[0] : doubtful[-1] + 1]) == {""}
    assert abs(doubtful[0] - added.start) <= 1


def test_damage_teaches_nothing() -> None:
    """Letters that are not clear in the original, or by another hand, are not trusted."""
    text = "on þa hæselræwe andlang"
    states = bytes(State.RESTORED if at in (8, 9) else State.CLEAR for at in range(len(text)))
    assert not any(tag(Witness("O", text, states=states), text).trusted[8:10])
    hands = bytes(at in range(6, 15) for at in range(len(text)))
    other_hand = Witness("O", text, hands=hands, hand_names=("main", "added"))
    assert not any(tag(other_hand, text).trusted[6:15])


def test_damage_spoils_only_its_own_letters() -> None:
    """Two restored letters leave the clear letters around them to learn from."""
    text = "on þa hæselræwe andlang"
    states = bytes(State.RESTORED if at in (8, 9) else State.CLEAR for at in range(len(text)))
    trusted = tag(Witness("O", text, states=states), text).trusted
    assert [at for at, good in enumerate(trusted) if not good] == [8, 9]


def test_the_normalised_level() -> None:
    """Letterforms are folded, the first declared expansion of a sign is written out, the rest stays."""
    assert normalise("ꞅꞇan ⁊ ꝥ", FOLDS) == "stan and þæt"
    two = load_folds([], [("⁊", "and"), ("⁊", "et"), ("ae", "æ")])
    assert normalise("⁊ praeda", two) == "and praeda"
    assert normalise("ꞅꞇan", NO_FOLDS) == "ꞅꞇan"


@given(st.text("abst ꞅꞇ⁊ꝥ", max_size=30))
def test_normalising_twice_changes_nothing_more(text: str) -> None:
    """A normalised text is on its level already."""
    assert normalise(normalise(text, FOLDS), FOLDS) == normalise(text, FOLDS)


def test_each_copied_letter_knows_its_script() -> None:
    """A survivor whose second line is in another script: letters of the copy follow the original's lines."""
    original = read_witness("of me stan\nac þis wæs", siglum="A")
    copy = read_witness("of mee stan ac this wæs", siglum="A")
    alignment = align_witnesses(original, copy)
    passages = (Passage((1, 2), script="caroline"),)
    places = places_of(replace(original, script="insular"), passages)
    tagged = in_scripts(tag_alignment(alignment, NO_FOLDS), alignment, places)
    border = copy.letters.index("ac")
    assert set(tagged.scripts[: border - 1]) == {"insular"}
    assert set(tagged.scripts[border:]) == {"caroline"}
    assert len(tagged.scripts) == len(tagged.copied)
    assert in_scripts(tagged, alignment, places_of(original)).scripts == tagged.scripts  # none is named
