"""Letterforms of another script among those of the text."""

from __future__ import annotations

from fidelity.dossier import Passage
from fidelity.hands.letterforms import Forms, mixtures_of
from fidelity.terms import Witness
from fidelity.variants.places import places_of
from fidelity.witnesses.read import read_witness
from tests.hands.dossiers import hands_in, survivor

MAIN = "ᵹenim þa ꞅpeꞇan ꞅalꝼian ⁊ bac ƿiþ ƿæꞇꞃe ꞅele ꝺꞃincan ᵹeoꞃne on þꞃim ꝺaᵹum oꝼ ꝼæꞇe "
COPY = "genim þa swetan salfian and bac wiþ wætre sele drincan georne on þrim dagum of fæte "


def forms_of(text: str, script: str = "insular") -> Forms:
    witness: Witness = read_witness(text, siglum="X", script=script)
    return Forms(witness, places_of(witness))


def words(forms: Forms, *, mixed: bool) -> list[str]:
    letters = forms.witness.letters
    return [letters[one.start : one.end] for one in forms.of_another_script() if one.mixed is mixed]


def test_caroline_words_among_insular() -> None:
    """A word all of whose letters with two forms are Caroline is found; one that has both is a mixture."""
    forms = forms_of(MAIN * 9 + "ruta ꞅꞇan " + "ᵹerꞇ " + MAIN)
    assert words(forms, mixed=False) == ["ruta"]
    assert words(forms, mixed=True) == ["ᵹerꞇ"]
    (one,) = mixtures_of(forms, "X", lost=True)
    assert (one.word, one.letters, one.usual, one.marked) == ("ᵹerꞇ", ("r",), ("ꞃ",), False)


def test_insular_words_among_caroline() -> None:
    """The other way round: an insular word in a text in Caroline letters."""
    plain = "genim ruta et mitte in aquam frigidam et da bibere tribus diebus de fonte "
    assert words(forms_of(plain * 3 + "ꞃuꞇa " + plain, "caroline"), mixed=False) == ["ꞃuꞇa"]


def test_words_without_such_letters_say_nothing() -> None:
    """A word that has no letter with two forms, a capital, and a numeral are no sign of a script."""
    forms = forms_of(MAIN * 9 + "hunan Giꝼ .uiii. ælc " + MAIN)
    assert words(forms, mixed=False) == words(forms, mixed=True) == []


def test_where_letterforms_are_not_transcribed_nothing_is_told() -> None:
    """A transcript in modern letters, and one that is not in the letters of its script, tell nothing."""
    assert not forms_of(COPY * 4).usual
    other = forms_of(COPY * 20 + "ꞅꞇan ")
    assert not other.usual
    assert "not written in the letterforms" in other.why


def test_a_letter_written_in_both_forms_is_no_sign() -> None:
    """Where the main hand has ꞅ and s side by side, s makes no word foreign; r still does."""
    both = "ᵹenim þa swetan salꝼian ꞅele ꝺꞃincan ᵹeoꞃne ꞅæþ ꞅe man "
    forms = forms_of(both * 5 + "es ra ")
    assert "s" not in forms.usual
    assert words(forms, mixed=False) == ["ra"]


def test_a_passage_in_another_script_is_left_aside() -> None:
    """What the dossier declares to be in another script is no candidate."""
    witness = read_witness(f"ruta mitte in aqua\n{MAIN * 9}", siglum="X", script="insular")
    places = places_of(witness, (Passage((0, 1), script="caroline"),))
    assert list(Forms(witness, places).of_another_script()) == []
    assert len(list(Forms(witness, places_of(witness)).of_another_script())) == 2  # ruta, mitte


def test_marked_in_the_original_or_asked_about() -> None:
    """In the originals a marked word shows what the ground is worth; an unmarked one is a question."""
    original = MAIN * 9 + "⸌ruta⸍ " + MAIN + "apium stan " + MAIN
    copy = COPY * 9 + "ruta " + COPY + "apium stan " + COPY
    found = hands_in(survivor(original, copy))
    assert [(one.words, one.lost, one.kinds) for one in found.candidates] == [
        ("stan", False, ("letterforms",))
    ]
    (tried,) = found.tried
    assert (tried.candidates, tried.right) == (2, 1)
    assert found.candidates[0].tried == tried
