"""The short demo's scenario, item 6: hand layers. B has three additions by its second hand; X has none."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.apparatus.cautions import cautions
from fidelity.apparatus.entries_hands import hands_facts, hands_summary
from fidelity.apparatus.entries_place import place_facts
from fidelity.apparatus.page import page
from fidelity.apparatus.screen_hands import hands_screen
from fidelity.apparatus.screen_place import place_screen
from fidelity.cli import main
from fidelity.dossier import Dossier
from fidelity.dossier.read import read_dossier
from fidelity.judge import Audit, judge
from fidelity.terms.hands import LANGUAGE, MARKED, OPENING, REPRODUCED
from fidelity.witnesses.data import data_folder

SHORT = data_folder("demo_pairs") / "wickenby_short"
ADDED = {"B 1.5": "i. uetonica", "B 5.7": "i. marubium", "B 8.17": "uel .u. niht"}


@pytest.fixture(scope="module")
def found() -> Audit:
    """Judge the short demo, and look for other hands."""
    return fidelity.hands(SHORT)


def test_item_6_three_additions_copied_as_text(found: Audit) -> None:
    """All three are reproduced; none is kept apart, none left out."""
    layers = found.hands.layers
    assert {str(one.locus): one.original for one in layers} == ADDED
    assert {(one.hand, one.layer, one.done, one.same) for one in layers} == {
        ("added", "added", REPRODUCED, True)
    }
    counts = {one.done: (one.count, one.of) for one in found.hands.shares if one.text == "all"}
    assert counts == {"reproduced": (3, 3), "kept apart": (0, 3), "left out": (0, 3), "changed": (0, 3)}
    assert [one.after for one in layers] == ["beꞇonican", "hunan", "ilce."]


def test_item_6_taken_out_of_the_error_counts(tmp_path: Path) -> None:
    """With the additions taken out of B altogether, every other measure has the same errors."""
    shutil.copytree(SHORT, tmp_path / "without")
    for name in ("original", "copy"):
        file = tmp_path / "without" / "B" / f"{name}.txt"
        text = file.read_text(encoding="utf-8")
        for words in ADDED.values():
            text = text.replace(f" ⸌{words}⸍", "").replace(f" {words}", "")
        file.write_text(text, encoding="utf-8")
    with_them, without = (
        {(one.text, one.measure): one.errors for one in judge(folder).scores}
        for folder in (SHORT, tmp_path / "without")
    )
    assert with_them.pop(("B", "later_hand")) == with_them.pop(("all", "later_hand")) == 3
    assert with_them == {key: errors for key, errors in without.items() if key[1] != "later_hand"}
    pairs = [
        {(one.original, one.copy): one.count for one in judge(folder).confusions}
        for folder in (SHORT, tmp_path / "without")
    ]
    assert pairs[0] == pairs[1]


def test_item_6_looked_for_in_x_and_none_found(found: Audit) -> None:
    """X has none: no candidate, and it is said what was looked for."""
    hands = found.hands
    assert (hands.candidates, hands.mixtures) == ((), ())
    looked = {one.kind: one for one in hands.searches if one.text == "X"}
    assert [looked[kind].looked for kind in (MARKED, OPENING, LANGUAGE)] == [True, True, True]
    assert "“i.” (B 1.5, B 5.7), “uel” (B 8.17)" in looked[OPENING].what
    assert "la" in looked[LANGUAGE].what
    assert not looked["letterforms"].looked


def test_item_6_tried_on_the_survivors(found: Audit) -> None:
    """By the words that additions begin with, two of the three are found when their lines are left out."""
    hands = found.hands
    assert (hands.left_out, hands.additions, hands.additions_found) == ("tenth of the lines", 3, 2)
    assert {one.kinds: (one.right, one.candidates) for one in hands.tried} == {
        (OPENING,): (2, 2),
        ("letterforms",): (3, 3),
    }


def with_gloss(dossier: Dossier) -> Dossier:
    """Put a gloss like those of B into X, after "wermoder" in line 11."""
    text = dossier.lost[0]
    copy = text.copy
    at = copy.letters.index("wermoder") + len("wermoder")
    gloss = " i. absinthium"
    lines = tuple(start + (len(gloss) if start > at else 0) for start in copy.lines)
    planted = replace(copy, letters=copy.letters[:at] + gloss + copy.letters[at:], lines=lines)
    return replace(dossier, lost=(replace(text, copy=planted),))


def test_item_6_the_same_look_would_be_found_in_x() -> None:
    """With a gloss of that look put into X it is found, with what such finds were worth in B."""
    found = fidelity.hands(with_gloss(read_dossier(SHORT)))
    (one,) = found.hands.candidates
    assert (one.words, str(one.locus), OPENING in one.kinds) == ("i. absinthium", "X 11.6", True)
    assert "second word after “genim”, as B 1.5, B 5.7" in one.position


def test_place_of_a_lost_text_asks() -> None:
    """At a place with such words the question is told; at the place beside it is not."""
    planted = with_gloss(read_dossier(SHORT))
    there, beside = fidelity.place(planted, "X 11.7"), fidelity.place(planted, "X 11.5")
    assert [one.words for one in there.candidates] == ["i. absinthium"]
    assert beside.candidates == ()
    screen = " ".join(place_screen(there, 100).split())
    assert "Another hand? X 11.6 “i. absinthium”" in screen and "question to a palaeographer" in screen
    rows = place_facts(there)["other_hands"]
    assert isinstance(rows, list) and rows[0]["words"] == "i. absinthium"


def test_told_everywhere(found: Audit) -> None:
    """Screen, page, summary, cautions and JSON say the same three things."""
    screen = " ".join(hands_screen(found, 100).split())
    assert "Of 3 additions by other hands in the survivors' originals he copied 3 as text" in screen
    assert "none kept apart, none left out, none changed" in screen
    assert "In X no word looks like a later hand's" in screen
    html = page(found)
    assert 'id="hands"' in html and "i. marubium" in html
    facts = hands_summary(found.hands)
    assert facts["candidates"] == {} and facts["additions_in_trial"] == 3
    assert any("he copied 3 as text: no line of a lost text is sure" in one for one in cautions(found))
    assert json.dumps(hands_facts(found))


def test_command() -> None:
    """The command prints it, as text and as JSON."""
    done = CliRunner().invoke(main, ["hands", str(SHORT)])
    assert done.exit_code == 0 and "i. uetonica" in done.output
    done = CliRunner().invoke(main, ["hands", str(SHORT), "--json"])
    facts = json.loads(done.output)
    assert [row["locus"] for row in facts["layers"]] == list(ADDED)
    assert facts["hand_candidates"] == []


def test_place_of_a_survivor_tells_the_hand() -> None:
    """At its place an addition is told for what it is."""
    done = CliRunner().invoke(main, ["place", str(SHORT), "B 5.8"])
    assert "“i. marubium” is by another hand (added) in the original: reproduced." in " ".join(
        done.output.split()
    )
