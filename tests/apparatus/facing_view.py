"""What the tests of original and copy side by side share: texts judged, the view, and its reader.

Arrives: pairs of texts. Leaves: an audit, the view as markup, what stands in it. Start reading at ``View``.
"""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser

from fidelity.apparatus.addresses import Places
from fidelity.apparatus.facing import facing_content
from fidelity.apparatus.facing_letters import HIS_MARK, LINE_END, TURN
from fidelity.apparatus.page_frame import page_environment
from fidelity.dossier import Dossier, Survivor
from fidelity.judge import Audit, judge
from fidelity.witnesses.read import read_witness
from tests.apparatus.made import made_dossier


class View(HTMLParser):
    """Reads the view: its rows with their cells, and all elements."""

    def __init__(self, html: str) -> None:
        """Read it; what only shows where lines end is no letter of the texts."""
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.rows: list[list[str]] = []
        self._open: list[tuple[str, str]] = []
        self._cell = False
        self.feed(html)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element; a cell that spans no others is one of a text."""
        known = dict(attrs)
        self.found.append((tag, known))
        self._open.append((tag, str(known.get("class"))))
        if tag == "tr":
            self.rows.append([])
        if tag == "td" and "colspan" not in known:
            self.rows[-1].append("")
            self._cell = True

    def handle_endtag(self, tag: str) -> None:
        """Check that the innermost element is the one that ends."""
        assert self._open.pop()[0] == tag
        self._cell = self._cell and tag != "td"

    def handle_data(self, data: str) -> None:
        """Take the letters of a text."""
        if self._cell and self._open[-1][1] not in (LINE_END, TURN, HIS_MARK):
            self.rows[-1][-1] += data

    def texts(self) -> tuple[str, str]:
        """Give original and copy as they stand in the view."""
        lines = [row for row in self.rows if row]
        return "".join(row[0] for row in lines), "".join(row[1] for row in lines)

    def all(self, name: str) -> list[str]:
        """Give the values of an attribute, in order."""
        return [str(attributes[name]) for _, attributes in self.found if name in attributes]

    def classes(self) -> list[list[str]]:
        """Give the forms of the marks in the table, in order, the signs that explain them left out."""
        at = next(at for at, (tag, _) in enumerate(self.found) if tag == "details")
        return [[str(known["class"])] for tag, known in self.found[at:] if tag == "mark"]


def html_of(audit: Audit, **limits: int) -> str:
    """Give the view of an audit."""
    template = page_environment(Places(), Places(), {}).get_template("parts/facing.html.j2")
    return template.render(facing=facing_content(audit, **limits))


def judged(*pairs: tuple[str, str] | Survivor, profile: str = "plain") -> Audit:
    """Judge pairs of texts by themselves."""
    survivors = []
    for at, one in enumerate(pairs):
        if isinstance(one, Survivor):
            survivors.append(one)
            continue
        original, copy = (
            read_witness(text, siglum=f"E{at}", profile=profile, language="ang") for text in one
        )
        survivors.append(Survivor(f"E{at}", original, copy))
    dossier: Dossier = replace(made_dossier(), survivors=tuple(survivors), lost=())
    return judge(dossier)
