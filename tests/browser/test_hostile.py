"""Texts that look like markup, script, path or formula are shown as what they are, and do nothing.

Judged by Chromium, which takes apart the page and the pictures, by lxml and by the csv module.
"""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree

import fidelity
from fidelity.apparatus.folder import write_audit
from fidelity.apparatus.page import page
from fidelity.apparatus.trial_page import trial_page
from fidelity.dossier import LostText
from fidelity.judge import Audit
from fidelity.letters import decode
from fidelity.terms import Locus
from fidelity.witnesses.read import read_witness
from tests.apparatus.made import made_audit
from tests.browser.chromium import Chromium
from tests.browser.hostile import IDS, LONG_WORD, NAME, NOTE, WORDS, harmless, laid_out_hostile
from tests.browser.seen import NARROW, Seen

# Elements by name; and what may not be there: what runs, or loads, or was not put there by a template.
NAMES = "[...document.querySelectorAll('*')].map((one) => one.tagName.toLowerCase())"
RUNNING = """[...document.querySelectorAll('*')].filter((one) =>
    [...one.attributes].some((attribute) => attribute.name.startsWith('on'))
    || /^\\s*javascript:/i.test(one.getAttribute('href') ?? '')).map((one) => one.outerHTML.slice(0, 200))"""
TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")  # directions of Unicode (UAX 9)
NEVER = {"img", "iframe", "object", "embed", "form", "base", "textarea", "u", "i"}


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> tuple[Audit, Path]:
    """Give the audit of the hostile dossier, and the folder of its results."""
    folder = tmp_path_factory.mktemp("hostile")
    audit = fidelity.audit(laid_out_hostile(folder / "dossier"))
    write_audit(audit, folder / "results")
    return audit, folder / "results"


def page_of(audit: Audit, name: str) -> str:
    """Give the report, or the page of the blind test."""
    assert audit.trial
    return page(audit) if name == "report" else trial_page(audit.trial, audit.dossier)


@pytest.mark.parametrize("name", ["report", "trial"])
def test_shown_and_not_run(browser: Chromium, hostile: tuple[Audit, Path], tmp_path: Path, name: str) -> None:
    """No dialog, no complaint, no request; the same elements as with harmless letters, and none that runs."""
    audit, _ = hostile
    found = []
    for kind, shown in (("hostile", audit), ("harmless", harmless(audit))):
        file = tmp_path / f"{kind}.html"
        file.write_text(page_of(shown, name), encoding="utf-8")
        with Seen(browser, file, NARROW) as seen:
            assert seen.complaints() == []
            assert seen.requests() == []
            assert seen.value(RUNNING) == []
            assert seen.value("document.documentElement.scrollWidth") <= NARROW
            found.append((Counter(seen.value(NAMES)), seen.value("document.title")))
    (elements, title), (harmless_elements, _) = found
    assert elements == harmless_elements
    assert not NEVER & set(elements)
    assert NAME in title


def test_every_letter_is_there(browser: Chromium, hostile: tuple[Audit, Path]) -> None:
    """What is hostile can be read on the page, letter for letter, a word of 400 letters too."""
    audit, results = hostile
    with Seen(browser, results / "report.html") as seen:
        text = seen.value("document.body.textContent")
        words = decode(audit.dossier.lost[0].copy.letters).split()
        seen_words = [word for word in words if not TURNING & set(word)]
        assert [word for word in seen_words if word not in text] == []
        assert len(set(seen_words) & {*WORDS, *(word.replace("s", "r") for word in WORDS)}) > 12
        assert LONG_WORD.replace("s", "r") in text or LONG_WORD in text
        assert NOTE.split(" \u202e")[0] in text and f"{IDS['E']} 4" in text


def test_text_that_turns_round_is_told(browser: Chromium, hostile: tuple[Audit, Path]) -> None:
    """A sign that would turn round what follows stands by its code point; Hebrew letters stay letters."""
    audit, results = hostile
    assert TURNING & set(decode(audit.dossier.lost[0].copy.letters))
    with Seen(browser, results / "report.html") as seen:
        text = seen.value("document.body.textContent")
        assert not TURNING & set(text)
        assert "U+202E" in text and "U+2067" in text and "\u05e9\u05dc" in text


def test_pictures_are_sound(browser: Chromium, hostile: tuple[Audit, Path]) -> None:
    """Every picture is well-formed XML without script, and Chromium has nothing to say of it."""
    _, results = hostile
    pictures = sorted(results.rglob("*.svg"))
    assert pictures
    for file in pictures:
        names = {etree.QName(one).localname for one in etree.parse(file).iter(etree.Element)}
        assert "svg" in names and "script" not in names
        with Seen(browser, file) as seen:
            assert seen.complaints() == []
            assert seen.requests() == []


def test_a_word_of_ten_thousand_letters(browser: Chromium, tmp_path: Path) -> None:
    """It stands whole in page and edition file, proposed and transmitted, and makes the page no wider."""
    word, other = "<sr>" * 2500, "<ss>" * 2500
    audit = made_audit()
    lost = read_witness(f"Ic {word} on\nfæste", siglum="X", script="insular", language="ang")
    reading = replace(
        audit.readings[0], locus=Locus("X", "1", 2), copy_span=(3, 3 + len(word)), transmitted=word,
        proposed=other, context=word, passage=f"Ic {word} on", alternatives=((word, 0.2),),
    )  # fmt: skip
    dossier = replace(audit.dossier, lost=(LostText("X", replace(lost, file="X.txt")),))
    write_audit(replace(audit, dossier=dossier, readings=(reading,)), tmp_path / "results")
    tree = etree.parse(tmp_path / "results" / "apparatus.xml")
    assert word in "".join(str(one) for one in tree.xpath("//text()"))
    with Seen(browser, tmp_path / "results" / "report.html", NARROW) as seen:
        seen.unfold()
        assert seen.complaints() == []
        assert seen.value("document.documentElement.scrollWidth") <= NARROW
        text = seen.value("document.body.textContent")
        assert word in text and other in text


def test_edition_file_is_sound(hostile: tuple[Audit, Path]) -> None:
    """The edition file is well-formed, and its letters are those of the copy."""
    audit, results = hostile
    tree = etree.parse(results / "apparatus.xml")
    assert not tree.xpath("//*[local-name() = 'script' or local-name() = 'img']")
    text = "".join(str(one) for one in tree.xpath("//text()"))
    assert "<!--" in text and "javascript:alert(1)" in text
    assert audit.dossier.lost


def test_tables_keep_their_columns(hostile: tuple[Audit, Path]) -> None:
    """Every table reads back with as many cells in each row as it has columns."""
    _, results = hostile
    for file in sorted(results.glob("*.csv")):
        with file.open(encoding="utf-8", newline="") as rows:
            sizes = {len(row) for row in csv.reader(rows, strict=True)}
        assert len(sizes) == 1, file.name
