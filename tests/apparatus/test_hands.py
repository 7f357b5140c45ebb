"""How it is told what he did with other hands, and which words may be another's."""

from __future__ import annotations

from dataclasses import replace

from fidelity.apparatus.entries_hands import hands_summary
from fidelity.apparatus.hands_in_words import hands_sentences, layer_caution, worth
from fidelity.apparatus.page import page
from fidelity.apparatus.screen_hands import hands_at, hands_screen
from fidelity.terms import Hands
from fidelity.terms.hands import KEPT_APART
from tests.apparatus.made import made_audit, made_hands


def test_sentences() -> None:
    """Three things are said: what he did, what was found by what, and what such finds are worth."""
    on_layers, on_lost, on_trial = hands_sentences(made_hands())
    assert on_layers == (
        "Of one addition by another hand in the survivors' originals he copied 1 as text (limits of"
        " the share: 0.1-0.9);"
        " none kept apart, none left out, none changed. None of them counts as an error of his."
    )
    assert on_lost.startswith(
        "In X one stretch looks like a later hand's. Looked for by the words that additions"
    )
    assert "Not looked for by language: no other language to compare with." in on_lost
    assert "question to a palaeographer, not a verdict" in on_lost
    assert "found 2 of 3 additions" in on_trial
    assert (
        "the words that additions begin with: 2 of 3 were another hand's (a share of 0.2 to 0.9)" in on_trial
    )


def test_nothing_marked_is_said() -> None:
    """Where no original has anything marked, that is said, and no caution is given."""
    (only,) = hands_sentences(Hands())
    assert "has anything marked" in only
    assert layer_caution(replace(made_audit(), hands=Hands())) == ""


def test_each_candidate_is_told_with_its_worth() -> None:
    """Beside each candidate stands what its grounds were worth, or that they are untried."""
    first, second = made_hands().candidates
    assert worth(first) == (
        "in the survivors, the words that additions begin with: 2 of 3 were another hand's"
        " (a share of 0.2 to 0.9)"
    )
    assert "untried" in worth(second)
    told = hands_at([first], made_hands().layers)
    assert told[0].startswith("Another hand? X 3v:3.1")
    assert told[1] == "E 1r:1.3 “i. uetonica” is by another hand (h2) in the original: reproduced."
    screen = hands_screen(made_audit(), 100)
    assert "in the original, not marked there" in " ".join(screen.split())


def test_caution_by_what_he_did() -> None:
    """Only who copied additions as text makes every line of a lost text doubtful."""
    audit = made_audit()
    assert "no line of a lost text is sure" in layer_caution(audit)
    apart = replace(audit.hands, layers=tuple(replace(one, done=KEPT_APART) for one in audit.hands.layers))
    assert "no line of a lost text is sure" not in layer_caution(replace(audit, hands=apart))


def test_summary_and_page() -> None:
    """The summary has the counts of all survivors; the page escapes the texts' letters."""
    facts = hands_summary(made_hands())
    assert facts["candidates"] == {"E": 1, "X": 1}
    assert facts["letterform_mixtures"] == 1
    html = page(made_audit())
    assert "&lt;b&gt;&amp;amp;&lt;/b&gt;" in html and 'href="#hands"' in html
