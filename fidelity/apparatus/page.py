"""Make the page: one file to read, print and send, that loads nothing.

Arrives: an audit. Leaves: HTML. Start reading at ``page``; ``sections_of`` says which parts it has and in
what order, what it looks like is in ``page.html.j2``. Every figure stands in a table file or in summary.json.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fidelity.apparatus.addresses import Places, address, addresses_in
from fidelity.apparatus.facing import facing_content
from fidelity.apparatus.lost_text import LostText, lost_texts
from fidelity.apparatus.page_content import section_content
from fidelity.apparatus.page_frame import framed
from fidelity.dossier import LostText as Lost
from fidelity.dossier import Survivor
from fidelity.judge import Audit


@dataclass(frozen=True)
class Section:
    """One part of the page.

    Attributes:
        id: its address.
        title: as it stands over it and in the contents.
        template: what fills it in.
        text: the lost text it shows, if it shows one.
    """

    id: str
    title: str
    template: str
    text: LostText | None = None


# Parts in the order in which the argument goes: how he copied, how far to believe what follows from it, the
# lost texts, what else bears on them. A part with a name stands only where there is something under it.
_COPYING = (
    ("short", "In short", ""),
    ("score", "Score card", ""),
    ("confusions", "Letters taken for others", ""),
    ("patterns", "Patterns to review", ""),
    ("drift", "As he went on", ""),
    ("facing", "His copies beside the originals", "facing"),
    ("differences", "Every difference", "variants"),
    ("test", "Blind test", ""),
)
_FOLLOWING = (
    ("readings", "All proposals", ""),
    ("conjectures", "Conjectures of the dossier", "conjectures"),
    ("transfer", "Does it hold for the lost texts?", "shifts"),
    ("rules", "The rules behind them, run over everything", "rules"),
    ("own", "Your own rules and readings, run over everything", "own_rules"),
    ("hands", "Other hands", "hand_sentences"),
    ("pairs", "Pairs, totals and lists", "parallels"),
    ("imported", "Taken from elsewhere", "imported"),
    ("attestation", "What the witnesses read", "attestation"),
    ("copies", "Several copies of one text", "copies"),
    ("marks", "His own marks", "marks"),
    ("again", "To look at again", "look_again"),
    ("forecast", "To be expected in the lost texts", "forecast_rows"),
    ("cautions", "To bear in mind", ""),
    ("colophon", "Colophon", ""),
)


def page(audit: Audit) -> str:
    """Give the report as one self-contained page of HTML."""
    content = section_content(audit) | {
        "title": f"How {audit.dossier.copyist_name or 'he'} copied, and what his originals may have had",
        "subtitle": _subtitle(audit),
    }
    facing = facing_content(audit)
    content["facing"] = facing
    content["look_again"] = content["rechecks"] or content["rescued"]
    lost = lost_texts(audit)
    content["sections"] = list(sections_of(content, lost))
    in_lost = _addresses_of(lost)
    names = {one.id for one in audit.dossier.lost}
    everywhere = Places(
        names | {one.id for one in audit.dossier.survivors},
        in_lost.union(*(text.addresses() for text in facing)),
    )
    return framed("page.html.j2", content, everywhere, Places(names, in_lost), _languages(audit))


def sections_of(content: Mapping[str, object], lost: list[LostText]) -> Iterator[Section]:
    """Give the parts of the page in their order."""
    for name, title, needed in _COPYING:
        if not needed or content[needed]:
            yield Section(name, title, f"parts/{name}.html.j2")
    for text in lost:
        title = f"{text.id} as he copied it, and what is proposed"
        yield Section(address(text.id, "text"), title, "parts/lost.html.j2", text)
    for name, title, needed in _FOLLOWING:
        if not needed or content[needed]:
            yield Section(name, title, f"parts/{name}.html.j2")


def _addresses_of(lost: list[LostText]) -> set[str]:
    """Give the addresses of lines and words of the lost texts."""
    lines = [line for text in lost for _, lines in text.pages for line in lines]
    return {where for line in lines for where in (line.address, *addresses_in(line.letters))}


def _languages(audit: Audit) -> dict[str, str]:
    """Give the language of each text, where it has but one."""
    told = {one.id: one.copy.language for one in audit.dossier.lost}
    for survivor in audit.dossier.survivors:
        if not any(one.language for one in survivor.passages):
            told[survivor.id] = survivor.original.language
    return {name: language for name, language in told.items() if language}


def _subtitle(audit: Audit) -> str:
    """Say whose copies these are, and which texts they are of."""
    dossier = audit.dossier
    parts = [dossier.copyist_dates] if dossier.copyist_dates else []
    judged = ", ".join(_named(one) for one in dossier.survivors)
    lost = f"; lost: {', '.join(_named(one) for one in dossier.lost)}" if dossier.lost else ""
    parts.append(f"Judged by {judged}{lost}")
    return ". ".join(parts) + "."


def _named(one: Survivor | Lost) -> str:
    """Give a text's id, and what manuscript that is where the dossier tells."""
    return f"{one.id} ({one.name})" if one.name else one.id
