"""Original and copy side by side: nothing lost, every difference marked, and told without colour."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given, reject, settings
from hypothesis import strategies as st

from fidelity.apparatus.addresses import address
from fidelity.apparatus.facing import facing_content
from fidelity.apparatus.facing_letters import HAND, HIS_MARK, LINE_END, TURN
from fidelity.apparatus.facing_lines import LONGEST_LINE
from fidelity.apparatus.facing_marks import HERE, JOINED, LEFT_OUT, NOTHING, OTHER, PARTED, PUT_IN
from fidelity.dossier import Survivor
from fidelity.dossier.contents import Passage
from fidelity.errors import UnrelatedTextsError
from fidelity.judge import Audit, judge
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.read import read_witness
from tests.apparatus.facing_view import View, html_of, judged

DEMOS = Path(__file__).parents[2] / "demo_pairs"
EVIL = "<script>alert(1)</script> \"><img src=x> ]]> &amp; '\u202eabc\u202c \u200fabc"


def assert_whole(audit: Audit) -> None:
    """Check that both texts stand in the view, letter by letter, and each difference with its mark."""
    made = html_of(audit, whole_up_to=10**9)
    view = View(made)
    texts = [(decode(one.original.letters), decode(one.copy.letters)) for one in audit.alignments]
    assert view.texts() == tuple("".join(side) for side in zip(*texts, strict=True))
    ids = view.all("id")
    assert len(ids) == len(set(ids))
    for one in audit.variants:
        assert str(one.number) in view.all("data-variant"), one
        assert ids.count(f"variant-{one.number}") == 1
        assert address(str(one.locus)) in ids
    assert set(view.all("data-variant")) == {str(one.number) for one in audit.variants}
    for survivor, alignment in zip(audit.dossier.survivors, audit.alignments, strict=True):
        for label in alignment.original.labels:
            assert address(f"{survivor.id} {label}") in ids


@pytest.mark.parametrize("demo", ["wickenby_short", "wickenby_long"])
def test_the_demos_stand_in_it_letter_by_letter(demo: str) -> None:
    """Both texts are given back by the view, each line at its address, each difference at its word's."""
    assert_whole(judge(DEMOS / demo))


LETTERS = st.sampled_from([*"abnmuſꞅþé<&", "u\u0304"])  # the last is one letter of two code points
WORDS = st.lists(st.lists(LETTERS, min_size=1, max_size=9).map("".join), min_size=1, max_size=8)
LINES = st.lists(WORDS.map(" ".join), min_size=1, max_size=8).map("\n".join)


@st.composite
def pairs(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a text and a copy of it in which words were changed, dropped, doubled, swapped and moved."""
    original = draw(LINES)
    words = re.split(r"([ \n])", original)
    for _ in range(draw(st.integers(0, 6))):
        at, to = (draw(st.integers(0, len(words) - 1)) for _ in range(2))
        what = draw(st.sampled_from(["change", "drop", "double", "move", "join"]))
        if what == "change":
            words[at] = draw(st.text("abnmr \n", min_size=1, max_size=6))
        elif what == "drop" and len(words) > 1:
            del words[at]
        elif what == "double":
            words.insert(at, words[at] + " ")
        elif what == "move":
            words.insert(to, words.pop(at))
        else:
            words[at] = words[at].replace(" ", "").replace("\n", "-\n")
    return original, "".join(words)


@settings(max_examples=60)
@given(pairs())
@example(("wæs he\nand <b>", "wæs\nhe and <b"))
@example(("aa bb cc dd ee ff\ngg hh", "aa ee ff gg bb cc dd hh"))
def test_nothing_is_lost_and_nothing_unmarked(pair: tuple[str, str]) -> None:
    """Whatever was done to a text, the view gives both texts back, and marks every difference."""
    if not all(text.strip() for text in pair):
        reject()
    try:
        audit = judged(pair)
    except UnrelatedTextsError:
        reject()
    assert_whole(audit)


@pytest.mark.parametrize(
    ("original", "copy", "forms"),
    [
        ("on þam lande", "on þan lande", [OTHER, OTHER]),
        ("on þam lande", "on þani lande", [OTHER, OTHER]),
        ("on þam lande", "on þa lande", [LEFT_OUT, NOTHING]),
        ("on þam lande", "on þamu lande", [NOTHING, PUT_IN]),
        ("on þam lande", "on þamlande", [PARTED, JOINED]),
        ("on þam lande", "on þ am lande", [JOINED, PARTED]),
    ],
)
def test_each_kind_of_difference_has_its_form(original: str, copy: str, forms: list[str]) -> None:
    """Other letters, omission, addition and division are marked each in its form, in both texts."""
    frame = "þæt is seo boc ðe we {} rædað ealle dagas"
    view = View(html_of(judged((frame.format(original), frame.format(copy)))))
    assert [form for (form,) in view.classes()] == forms


def test_what_was_moved_is_marked_at_both_places() -> None:
    """A passage that stands elsewhere in the copy is marked and told of at both its places."""
    moved = "hælde wæter ofer ealle stanas\n"
    text = [
        "ða com se mann to þære byrig\n",
        "fægere blostman weoxon þær inne\n",
        "swa he ær gecwæð be þam\n",
    ]
    html = html_of(judged(("".join([moved, *text]), "".join([*text, moved]))))
    forms = [form for (form,) in View(html).classes()]
    assert forms.count(HERE) == 1 and forms.index("away") < forms.index(HERE)
    assert "moved, in the copy it stands at E0 4" in html and "stood at E0 1" in html


def said_of(original: str, copy: str) -> list[str]:
    """Give what is said below the lines of a pair, as it is read."""
    found = re.findall(r'class="told"><td[^>]*>(.*?)</td>', html_of(judged((original, copy))), re.DOTALL)
    return [re.sub(r"<[^>]+>", "", one) for one in found]


def test_no_stop_of_ours_follows_letters_of_a_text() -> None:
    """What is said begins after a dash, letters in brackets: a word's stops are told from ours."""
    assert said_of("ofer tune. on ea", "ofer tune; on ea") == [
        "tune. → tune; – punctuation (. → ;), variant 1"
    ]


def test_what_was_left_out_or_put_in_is_said_once() -> None:
    """Where whole words were left out, or put in, only those that stay are named before them."""
    whole = "ða com se mann to þære byrig, nim þa wyrt, ða eode he ham."
    short = whole.replace(" nim þa wyrt,", "")
    for said, what in ((said_of(whole, short), "left out"), (said_of(short, whole), "put in")):
        assert len(said) == 1 and said[0].count("þa wyrt") == 1, said
        assert f"þa wyrt, {what})" in said[0]


def test_texts_are_never_markup() -> None:
    """Hostile letters, a word of ten thousand and marks of direction stand in their cells as letters."""
    lines = f"ðis is {EVIL}\n{'a' * 10_000}\nþæt is on ende"
    audit = judged((lines, lines.replace("þæt", "þær").replace("alert", "alart")))
    assert_whole(audit)
    view = View(html_of(audit))
    assert not {"script", "img"} & {tag for tag, _ in view.found}
    cells = [known for tag, known in view.found if tag == "td" and "colspan" not in known]
    assert cells and all(known["dir"] == "auto" for known in cells)


def test_a_long_line_is_set_in_parts() -> None:
    """A paragraph is cut at blanks, so that original and copy stay beside each other; its parts are cited."""
    line = " ".join(f"word{at}" for at in range(200))
    audit = judged((line, line.replace("word150", "wort150")))
    rows = [row for row in View(html_of(audit)).rows if row]
    assert len(rows) > 5
    assert all(len(row[0]) <= 1.5 * LONGEST_LINE and row[0].split()[0] == row[1].split()[0] for row in rows)
    assert facing_content(audit)[0].leaves[0].rows[1].place == f"1.{len(rows[0][0].split()) + 1}"
    assert_whole(audit)


def test_a_faithful_copy_has_no_marks() -> None:
    """Where the copy differs nowhere, letterforms counted equal apart, nothing is marked."""
    audit = judged(("þiꞅ iꞅ on lanꝺe\nealle ðagas", "þis is on lande\nealle ðagas"))
    assert View(html_of(audit)).classes() == []
    (text,) = facing_content(audit, whole_up_to=0)
    assert [row.alike for leaf in text.leaves for row in leaf.rows] == ["2 lines"]


def test_states_hands_and_line_ends_are_shown() -> None:
    """What the transcriber says of letters is there as a class; what he wrote at a line's end, as letters."""
    original = "Wiþ [heaf]odece ⸌uetonica⸍ ge-\nnim (þo)nne ⟦and⟧ wyrte"
    copy = "Wiþ heafodece uetonica genim\nþonne wyrte"
    html = html_of(judged((original, copy), profile="leiden"))
    for name in ("restored", "expanded", "deleted", HAND):
        assert f'class="{name}"' in html.split("<details")[1]
    assert f'<span class="{LINE_END}">-</span>' in html
    assert f'<span class="{TURN}">' in html.split("<details")[1]


def test_his_own_marks_stand_in_the_copy() -> None:
    """A query of the copyist's is shown once, where he put it, and is no letter of the text."""
    signs = HisMarks(doubtful=("(?)",), vouched=("sic",), stands_before=("sic",))
    original = read_witness("se man com ofer\nþa wæter ealle", siglum="E")
    copy = read_witness("se man (?) com ofer\nsic þa wæter ealle", siglum="E", his_marks=signs)
    audit = judged(Survivor("E", original, copy))
    row = html_of(audit).split('id="at-E_1"')[1]
    assert row.count("(?)") == 1 and f'man<span class="{HIS_MARK}"> (?)</span> com' in row
    assert row.count("sic") == 1 and f'<span class="{HIS_MARK}">sic </span>þa' in row
    assert_whole(audit)


def test_languages_are_named() -> None:
    """A line is in its passage's language; of an entry each field by itself, in both texts."""
    original = Witness("G", "pinus\tpintreow quercus\tac", (0, 15), ("1", "2"), ("", ""), ("", ""),
                       fields=("lemma", "gloss"), language="ang")  # fmt: skip
    copy = replace(original, letters=original.letters.replace("pinus", "pimus"))
    passage = Passage((0, 2), field="lemma", language="la")
    view = View(html_of(judged(Survivor("G", original, copy, (passage,)))))
    spans = [known["lang"] for tag, known in view.found if tag == "span" and "lang" in known]
    assert spans == ["la", "ang"] * 4
    lines = judged(Survivor("G", original, copy, (Passage((0, 1), language="la"),)))
    cells = [known.get("lang") for tag, known in View(html_of(lines)).found if tag == "td"]
    assert cells == ["la", "la", None, "ang", "ang"]


def test_it_can_be_read_aloud() -> None:
    """Every table has its caption and column heads, every line its row head, and each difference is told."""
    view = View(html_of(judge(DEMOS / "wickenby_short")))
    tables = sum(tag == "table" for tag, _ in view.found)
    assert tables == sum(tag == "caption" for tag, _ in view.found) == 3
    assert {known.get("scope") for tag, known in view.found if tag == "th"} == {"col", "row"}
    roles = {"table": "table", "tr": "row", "td": "cell"}
    assert all(known.get("role") == roles[tag] for tag, known in view.found if tag in roles)


def test_a_text_of_one_letter() -> None:
    """The smallest text there is has its line."""
    one = Witness("E", "a")
    view = View(html_of(judged(Survivor("E", one, replace(one, siglum="E")))))
    assert view.texts() == ("a", "a")
