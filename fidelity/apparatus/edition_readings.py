"""Write what was proposed, conjectured and decided of one place of an edition, as TEI.

Arrives: proposals, conjectures and decisions that touch the place. Leaves: readings without ``@wit``, notes,
and which witnesses' readings the notes point at. Start reading at ``ReadingsOfPlace``.

``@cert`` is the probability where the blind test allows a figure, and of what witnesses have, which the blind
test does not try. Where the test allows a range only, there is no ``@cert``, and the note gives the range.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from xml.sax.saxutils import escape

from fidelity.apparatus.cells import evidence_cell
from fidelity.apparatus.concerns import Said
from fidelity.apparatus.edition_text import MAIN, Group
from fidelity.apparatus.sentences import believed, tested
from fidelity.apparatus.tei_letters import letters_alone
from fidelity.apparatus.tei_names import TeiNames
from fidelity.letters import encode
from fidelity.terms import OPE_CODICUM, ProposedReading
from fidelity.terms.conjecture import Conjecture, Rival
from fidelity.terms.decisions import DecisionUse, Ruling

PROGRAM = "fidelity"  # by what the program is named among those responsible
PERSON = "person"
NOBODY_NAMED = "not named in the dossier"
LETTER_ALONE = "a letter alone is proposed: the rest of the word is not settled"
# Kinds of proposals as causes: what the Guidelines suggest for @cause and, with x-, our own (CAUSES_TOLD).
CAUSES = {
    "misreading": "paleographicConfusion",
    "letter": "paleographicConfusion",
    "habit": "x-habitOfSpelling",
    "division": "x-wordDivision",
    "punctuation": "x-punctuation",
    "capital": "x-capital",
    "gap": "x-illegible",
    "taken": "x-takenFromWitness",
}
OTHER_CAUSE = "x-undetermined"
CAUSES_TOLD = {
    "paleographicConfusion": "he took one letter, or some letters together, for others",
    "x-habitOfSpelling": "he spelled as he was used to, here as in the survivors",
    "x-wordDivision": "he parted or joined words otherwise",
    "x-punctuation": "he set a stop otherwise, or none",
    "x-capital": "he wrote a capital for a small letter, or a small letter for a capital",
    "x-illegible": "he could not read letters, and marked that",
    "x-takenFromWitness": "he took it from another witness: no slip of his",
    "x-undetermined": "none of these",
}

Put = Callable[
    [tuple[int, int], str], str
]  # letters of the copy, what is put for them -> the words of the place


class ReadingsOfPlace:
    """What is said of one place.

    Args:
        text: id of the text.
        names: the xml:ids of the document.
        groups: what the witnesses have.
        put: puts a reading into the words of the copy.
        adopted: index of the group that has what the editor adopted there; None if none has.

    Attributes:
        readings: those that no witness has, written.
        notes: written.
        pointed: index of a group -> xml:id by which a note points at it.
    """

    def __init__(
        self, text: str, names: TeiNames, groups: Sequence[Group], put: Put, adopted: int | None = None
    ) -> None:
        self._text, self._names, self._groups, self._put = text, names, groups, put
        self._adopted = adopted
        self._program = f"#{names.name(PROGRAM)}"
        self._proposed: dict[str, str] = {}  # what was proposed, by its words
        self.readings: list[str] = []
        self.notes: list[str] = []
        self.pointed: dict[int, str] = {}

    def add(self, one: Said) -> None:
        """Add one thing that is said of the place."""
        if one.proposal:
            self._propose(one.proposal)
        if one.conjecture:
            self._conjecture(*one.conjecture, one.number)
        if one.decision:
            self._decided(one.decision)

    def _propose(self, one: ProposedReading) -> None:
        """Add what the program proposes, or that it holds the place to be corrupt."""
        if not one.is_proposal:
            self._note("suspect", grounds(one), "", one)
            return
        reading = self._put(one.copy_span, encode(one.proposed))
        has = with_reading(self._groups, reading) if one.ground == OPE_CODICUM else None
        if has is not None:
            name = self.pointed.setdefault(has, self._names.name(self._text, f"w{one.number}"))
            self._note("proposed", grounds(one), name, one)
            return
        if reading not in self._proposed:
            self._proposed[reading] = name = self._names.name(self._text, f"r{one.number}")
            kind = "proposed" if one.ground == OPE_CODICUM else "conjecture"
            kind += '" subtype="letter' if one.single else ""
            cause = CAUSES.get(one.kind, OTHER_CAUSE)
            about = f'n="{one.number}" type="{kind}" resp="{self._program}" cause="{cause}"{_cert(one)}'
            self.readings.append(f'<rdg xml:id="{name}" {about}>{letters_alone(reading)}</rdg>')
        self._note("grounds", grounds(one), self._proposed[reading], one)

    def _conjecture(self, made: Conjecture, rival: Rival, number: int) -> None:
        """Add what somebody conjectured, and how the program judges it."""
        judged, resp = rival.reading, self.person(made.by)
        name = self._names.name(self._text, f"c{number}")
        reading = letters_alone(self._put(judged.copy_span, encode(judged.proposed)))
        self.readings.append(f'<rdg xml:id="{name}" type="conjecture" resp="{resp}">{reading}</rdg>')
        if made.note:
            self.notes.append(
                f'<note type="remark" resp="{resp}" target="#{name}">{escape(made.note)}</note>'
            )
        seen = [one for one in judged.evidence if one.count]  # of what was never seen the reasons tell
        told = [f"rank {rival.rank:,} of {rival.of:,}", *rival.why, *evidence_cell(seen)]
        self._note("judged", "; ".join(told), name, judged)

    def _decided(self, use: DecisionUse) -> None:
        """Add a decision of the editor's, with his reason."""
        one = use.decision
        what = " ".join(filter(None, [str(one.ruling), one.value]))
        told = ": ".join(filter(None, [what, one.reason])) + (f" ({one.when})" if one.when else "")
        about = f'type="decision" subtype="{one.ruling}" resp="{self.person(one.who)}"'
        if one.ruling is Ruling.ADOPTED and self._adopted is not None:
            name = self._names.name(self._text, "adopted", str(one.locus))
            about += f' target="#{self.pointed.setdefault(self._adopted, name)}"'
        self.notes.append(f"<note {about}>{escape(told)}</note>")

    def person(self, who: str) -> str:
        """Give the reference to somebody who decided or conjectured."""
        return f"#{self._names.name(PERSON, who)}"

    def _note(self, kind: str, told: str, target: str, figure: ProposedReading) -> None:
        """Add a note of the program's, with the probability or its range."""
        aims = f' target="#{target}"' if target else ""
        row = f' n="{figure.number}"' if figure.number and kind != "judged" else ""  # in readings.csv
        about = f'type="{kind}"{row} resp="{self._program}"{aims}{_cert(figure)}'
        self.notes.append(f"<note {about}>probability {_shown(figure)}; {escape(told)}</note>")


def with_reading(groups: Sequence[Group], reading: str) -> int | None:
    """Give the index of the witnesses that have a reading letter for letter; None if none has."""
    others = (at for at, group in enumerate(groups) if MAIN not in group.columns)
    return next((at for at in others if groups[at].letters == reading), None)


def _cert(one: ProposedReading) -> str:
    """Give the probability where it may be shown as a figure: TEI's @cert knows no range."""
    shown = believed(one)
    if isinstance(shown, float):
        return f' cert="{_digits(shown)}"'
    return f' cert="{shown[1:]}"' if shown.startswith(">") else ""


def _shown(one: ProposedReading) -> str:
    """Give the probability as it may be shown, a range as TEI writes one."""
    shown = believed(one)
    if isinstance(shown, float):
        return _digits(shown)
    if shown.startswith(">"):
        return escape(shown)
    low, high = shown.split("-")
    return f'<num atLeast="{low}" atMost="{high}">{shown}</num>'


def _digits(probability: float) -> str:
    """Write a probability with the three digits that the page shows, as XML Schema writes decimals.

    >>> _digits(0.937413), _digits(0.00001234), _digits(1.0)
    ('0.937', '0.0000123', '1')
    """
    return f"{Decimal(f'{probability:.3g}'):f}"


def grounds(one: ProposedReading) -> str:
    """Say in a line what a proposal rests on, or that none is made."""
    told = "corrupt more probably than not, no reading proposed"
    if one.is_proposal:
        told = "ope codicum" if one.ground == OPE_CODICUM else "ope ingenii"
        told += f"; {LETTER_ALONE}" if one.single else ""
    steps = evidence_cell(one.evidence) or one.steps
    return "; ".join(filter(None, [told, *steps, f"blind test: {tested(one)}", *one.beside, one.note]))
