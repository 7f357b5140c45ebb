"""Whatever the texts and their signs, every difference is judged, and counts keep to their chances."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.dossier import Dossier, Survivor
from fidelity.errors import UnrelatedTextsError
from fidelity.judge import judge
from fidelity.settings import Settings
from fidelity.terms import Cause
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness

TEXT = "on þone hwitan stan of þam ⁊ mid nyhtū .ui. syx .iiii. feower minimum genim wyrttruman ꝥ feld"
WORDS = TEXT.split()
SIGNS = ("{}", "{}", "{}", "[{}]", "⟦{}⟧", "⸌{}⸍", "<{}>", "({})", "{}.", "[..]{}", "{}\n")


@st.composite
def texts(draw: st.DrawFn) -> tuple[str, str]:
    """Draw an original and a copy in Leiden signs that have most words in common."""
    words = draw(st.lists(st.sampled_from(WORDS), min_size=3, max_size=15))
    sides = []
    for _ in range(2):
        side = []
        for word in words:
            if draw(st.integers(0, 5)) == 0:
                at = draw(st.integers(0, len(word)))
                word = word[:at] + draw(st.text("nmurstæ", max_size=2)) + word[at + 1 :]
            side.append(draw(st.sampled_from(SIGNS)).format(word) if word else "x")
        if draw(st.booleans()):
            side.insert(draw(st.integers(0, len(side))), draw(st.sampled_from(WORDS)))
        sides.append(" ".join(side).replace("\n ", "\n") + " of þære ealdan stræte")
    return sides[0], sides[1]


@settings(deadline=None, max_examples=100)
@given(texts())
def test_every_difference_is_judged(pair: tuple[str, str]) -> None:
    """A cause has its evidence, rivals are others, errors never exceed chances, numbers run on."""
    first, second = (read_witness(text, siglum="E", profile="leiden", script="insular") for text in pair)
    folds = load_folds([], [("⁊", "and"), ("ꝥ", "þæt")])
    dossier = Dossier(
        Path(),
        "",
        "",
        folds,
        (Survivor("E", first, second),),
        (),
        (),
        (),
        Settings(),
        words=(("feld", "field"),),
    )
    try:
        found = judge(dossier)
    except UnrelatedTextsError:
        return
    everything = [*found.variants, *found.mended]
    assert [one.number for one in everything] == list(range(1, len(everything) + 1))
    for one in everything:
        assert bool(one.evidence) == (one.cause is not Cause.UNDETERMINED)
        assert one.cause not in one.other_causes and len(set(one.other_causes)) == len(one.other_causes)
    assert all(one.corrected for one in found.mended) and not any(one.corrected for one in found.variants)
    assert all(score.errors <= score.chances for score in found.scores)
    skipped = {Cause(line.split(":")[0]) for line in found.skipped if not line.startswith("drift")}
    assert not skipped & {cause for one in everything for cause in (one.cause, *one.other_causes)}
