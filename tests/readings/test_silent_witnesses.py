"""A transcript of the copy's own original is weighed with his copies, and is asked for what it has too."""

from __future__ import annotations

from fidelity.readings.other_witnesses import BesideCopy, OtherWitnesses
from fidelity.sources.collate import Given, collate
from fidelity.sources.rates import WitnessRate
from fidelity.sources.tradition import Tradition
from fidelity.terms import Witness


def test_it_is_asked_though_it_has_no_vote() -> None:
    """K has no vote at the word, and still it is told what K has; what V lacks is not told."""
    texts = {"X": "þæt hus on fyre wæs", "K": "þæt scip on fyre wæs", "V": "on fyre wæs"}
    given = [Given(siglum, Witness(siglum, text)) for siglum, text in texts.items()]
    rates = {siglum: WitnessRate(5.0) for siglum in texts}
    tradition = Tradition(collate(given[0], given[1:], "X"), rates, heard_elsewhere=frozenset("K"))
    telling = BesideCopy(tradition).at(9, 11)
    assert telling is not None and telling.reading_of("K") is None
    asked = OtherWitnesses({"X": tradition})
    assert asked.has("X", 4, 7, "K") == "scip"
    assert asked.has("X", 4, 7, "V") is None
    assert asked.has("Y", 4, 7, "K") is None
