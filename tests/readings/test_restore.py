"""What a proposal shows of the copy around it."""

from __future__ import annotations

from fidelity.readings.restore import passage_of
from fidelity.witnesses.read import read_witness


def test_a_proposal_is_shown_among_its_words() -> None:
    """Three words before and after, over line ends; fewer where the text begins or ends."""
    letters = read_witness("of me stan\nac rwa wæs on þam dæge").letters
    at = letters.index("rwa")
    assert passage_of(letters, (at, at + 3)) == "me stan ac rwa wæs on þam"
    assert passage_of(letters, (0, 2)) == "of me stan ac"
    end = len(letters)
    assert passage_of(letters, (end - 4, end)) == "wæs on þam dæge"
