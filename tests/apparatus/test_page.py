"""The page loads nothing, lets no text be taken for markup, and can be read by everyone."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from fidelity.apparatus.page import page
from fidelity.apparatus.page_content import LONGEST
from fidelity.terms import Cause
from tests.apparatus.made import made_audit

VOID = {"meta", "link", "br", "img", "input", "hr"}


class Page(HTMLParser):
    """Notes every element with its attributes, and that what is opened is closed."""

    def __init__(self, html: str) -> None:
        """Read the page."""
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Check that the innermost element is the one that ends."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Note text."""
        self.text.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        """Give the attributes of every element of a name."""
        return [attributes for name, attributes in self.found if name == tag]


@pytest.fixture(scope="module")
def html() -> str:
    """Give the page of the audit made by hand."""
    return page(made_audit())


def test_elements_are_closed(html: str) -> None:
    """Every element that is opened is closed, in order."""
    assert Page(html).open == []


def test_nothing_is_loaded(html: str) -> None:
    """There is no link to anything outside, the page forbids loading, and runs its own script alone."""
    found = Page(html)
    assert not {"link", "img", "iframe", "object", "form", "base"} & {tag for tag, _ in found.found}
    assert all(str(attributes["href"]).startswith("#") for attributes in found.all("a"))
    assert "http:" not in html
    assert "https:" not in html
    assert all(target.startswith("data:font/woff2;base64,") for target in re.findall(r"url\(([^)]*)\)", html))
    assert "@import" not in html
    (policy,) = [str(meta["content"]) for meta in found.all("meta") if meta.get("http-equiv")]
    (script,) = re.findall(r"<script>(.*?)</script>", html, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert policy == (
        f"default-src 'none'; style-src 'unsafe-inline'; font-src data:; script-src 'sha256-{digest}'"
    )


def test_links_lead_somewhere(html: str) -> None:
    """Every link leads to a part of the page that is there."""
    found = Page(html)
    ids = [attributes["id"] for _, attributes in found.found if "id" in attributes]
    assert {str(attributes["href"])[1:] for attributes in found.all("a")} <= set(ids)
    assert len(ids) == len(set(ids))


def test_texts_are_never_markup() -> None:
    """Whatever a text, a name or a note holds stands on the page as letters."""
    evil = "<script>alert(1)</script>&amp;\"'"
    audit = made_audit()
    reading = replace(audit.readings[0], transmitted=evil, proposed=evil, passage=evil, parallels=(evil,))
    confusion = replace(audit.confusions[0], original=evil, copy=evil)
    pattern = replace(audit.patterns[0], pattern=evil, example=evil)
    dossier = replace(audit.dossier, copyist_name=evil, copyist_dates=evil, inputs=((evil, evil),))
    made = page(
        replace(
            audit,
            dossier=dossier,
            readings=(reading,),
            confusions=(confusion,),
            patterns=(pattern,),
            notes=(evil,),
            skipped=(evil,),
        )
    )
    assert made.count("<script") == 1
    assert Page(made).text.count(evil) >= 9


def test_tables_can_be_read_aloud(html: str) -> None:
    """The page names its language; each table has a caption, and every heading cell its scope."""
    found = Page(html)
    assert found.all("html") == [{"lang": "en"}]
    assert len(found.all("table")) == len(found.all("caption")) > 5
    assert {attributes.get("scope") for attributes in found.all("th")} == {"col", "row"}
    assert len(found.all("h1")) == 1
    assert [tag for tag, _ in found.found if tag in ("h1", "h2", "h3")][:2] == ["h1", "h2"]


def luminance(colour: str) -> float:
    """Give the relative luminance of a colour (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_contrast(html: str) -> None:
    """In light, dark and print every colour of letters stands off its ground by 7 to 1 (WCAG 2.2, 1.4.6)."""
    schemes = [
        dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", rule)) for rule in re.findall(r":root \{([^}]*)\}", html)
    ]
    assert len(schemes) == 3
    for scheme in schemes:
        for ground in ("paper", "band"):
            for ink in ("ink", "soft", "link", "rubric"):
                light, dark = sorted((luminance(scheme[ground]), luminance(scheme[ink])), reverse=True)
                assert (light + 0.05) / (dark + 0.05) >= 7, (ground, ink)


def test_dark_and_print_are_provided_for(html: str) -> None:
    """The page follows a dark screen, and prints on A4."""
    assert "prefers-color-scheme: dark" in html
    assert "size: A4" in html
    assert "@media print" in html


def rows_of_readings(html: str) -> list[str]:
    """Give the rows of the list of all proposals."""
    part = html[html.index('id="readings"') :]
    return re.findall(r"<tr><th scope=\"row\">(?:<a [^>]*>)?X 3v.*?</tr>", part)


def test_a_probability_never_stands_alone(html: str) -> None:
    """Each proposed reading has beside its probability what the blind test found."""
    rows = re.findall(
        r"<tr><th scope=\"row\">(?:<a [^>]*>)?X 3v.*?</tr>", html[html.index('id="readings"') :]
    )
    assert len(rows) == 3
    assert all(re.search(r"\d+ of \d+ right|not tested", row) for row in rows)


def test_a_range_stands_where_no_figure_is_borne_out(html: str) -> None:
    """The first probability is borne out; for the third the blind test supports a range only."""
    rows = re.findall(
        r"<tr><th scope=\"row\">(?:<a [^>]*>)?X 3v.*?</tr>", html[html.index('id="readings"') :]
    )
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row)[2] for row in rows]
    assert cells == ["0.712", "0-1", "0.3-0.85"]
    assert "0.55<" not in "".join(rows)


def test_what_is_not_shown_is_told() -> None:
    """A long table says how many rows there are, and where they are."""
    audit = made_audit()
    made = page(replace(audit, confusions=audit.confusions * LONGEST))
    assert f"The first {LONGEST} of {2 * LONGEST}." in made


def test_a_bare_audit_has_a_page() -> None:
    """Without lost texts, blind test, confusions or patterns there is still a page that says so."""
    audit = made_audit()
    bare = replace(
        audit,
        dossier=replace(audit.dossier, lost=(), inputs=()),
        readings=(),
        trial=None,
        confusions=(),
        patterns=(),
    )
    made = page(bare)
    assert Page(made).open == []
    assert "There was no blind test" in made
    assert "No reading is proposed" in made


def test_rules_and_shifts_are_told(html: str) -> None:
    """Rules are shown for all surroundings together, a shift is said in words; without any is neither."""
    text = " ".join("".join(Page(html).text).split())
    assert "The rules behind them, run over everything" in text
    assert "at the end of a word" not in text
    assert "X: the spelling þ→th stands at 24 % of its places there, at 87 % in the survivors." in text
    bare = page(replace(made_audit(), rules=(), rule_places=(), shifts=()))
    assert 'id="rules"' not in bare and 'id="transfer"' not in bare


def test_photographs_are_linked_where_that_is_safe() -> None:
    """The address is escaped as any other letters are; what would be run is printed and no link."""
    audit = made_audit()
    (recheck,) = audit.rechecks[:1]
    again = replace(audit, rechecks=(replace(recheck, page="12r"),))
    pattern = "https://example.org/{folio}?a=1&b=\"'<"
    made = Page(page(replace(again, dossier=replace(audit.dossier, image_pattern=pattern))))
    assert made.open == []
    links = [str(one["href"]) for one in made.all("a") if not str(one["href"]).startswith("#")]
    assert links == [pattern.replace("{folio}", "12r")]
    for bad in ("javascript:alert('{folio}')", "data:text/html,{folio}"):
        made = Page(page(replace(again, dossier=replace(audit.dossier, image_pattern=bad))))
        assert all(str(one["href"]).startswith("#") for one in made.all("a"))


def test_names_of_the_program_are_said_in_words() -> None:
    """What is read has no name with "_", no backtick and no power of e; commands stand as commands."""
    audit = made_audit()
    variant = replace(audit.variants[0], other_causes=(Cause.LETTER_CONFUSION, Cause.LATER_HAND))
    skipped = ("imported: needs other witnesses: `fidelity imported`",)
    made = page(replace(audit, variants=(variant,), skipped=skipped, notes=("a < b `c",)))
    read = re.sub(r"<style.*?</style>|<script.*?</script>|[\w.]+\.(csv|json)", "", made, flags=re.DOTALL)
    text = "".join(Page(read).text)
    assert re.findall(r"[a-z]+_[a-z]+|e\^", text) == []
    assert "letter confusion; later hand" in text
    assert "<code>fidelity imported</code>" in made
    assert "a &lt; b `c" in made


def test_a_pair_without_a_proposal_is_not_said_to_be_left_out() -> None:
    """Where nothing is proposed of a pair the cell is empty: the sign ∅ would propose to leave it out."""
    audit = made_audit()
    pairs = tuple(replace(one, proposed="", undecided=False) for one in audit.parallels.pairs)
    assert pairs
    made = page(replace(audit, parallels=replace(audit.parallels, pairs=pairs)))
    part = made[made.index('id="pairs"') :].split("</section>")[0]
    assert "In the lost texts" in part
    assert "∅" not in part
