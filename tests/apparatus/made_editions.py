"""Made lost texts with several witnesses, for the edition file: every difficulty a dossier can have.

Arrives: what hypothesis draws. Leaves: a ``MadeText``, and its audit. Start reading at ``texts``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate

from hypothesis import strategies as st

from fidelity.audit import Audit
from fidelity.dossier import LostText, OtherWitness
from fidelity.letters import decode, encode, whole_words
from fidelity.terms import LOST_LETTER, Locus, ProposedReading, State, Witness
from fidelity.terms.decisions import Decision, DecisionUse, Ruling
from fidelity.terms.parallels import Parallels
from tests.apparatus.made import made_audit
from tests.witnesses.test_tei_write import witnesses as any_witness

# Markup, an end of CDATA, letters beyond the first plane, private ones, marks that combine, right to left.
WORDS = [
    *(
        "on",
        "fyre",
        "fæste",
        "geboren",
        "ic",
        "wæs",
        "ꞅꞇan",
        "&amp;",
        "<script>alert(1)</script>",
        "]]>",
        '"><img',
    ),
    *("\U00010330\U00010331", "\ue5dc\uf1a0", "nyhtu\u0304", "e\u0328\u0304c", "\u200fשלום\u200f", "a-", "·"),
]
word = st.sampled_from([encode(one) for one in WORDS])
LOST = LOST_LETTER


@st.composite
def _copied(draw: st.DrawFn, words: list[str], may_be_lost: bool) -> list[str]:
    """Copy words badly: some left out, put in, changed, divided, joined, moved, lost."""
    made: list[str] = []
    for one in words:
        how = draw(
            st.sampled_from(
                ["kept"] * 8 + ["left out", "put in", "changed", "divided", "moved", "lost", "all"]
            )
        )
        if how == "left out":
            continue
        if how == "put in":
            made.append(draw(word))
        if how == "lost" and may_be_lost:
            made.append(draw(st.sampled_from([LOST, one[:1] + LOST, LOST + one[-1:]])))
            continue
        if how == "changed":
            one = one[:-1] + draw(st.sampled_from(["x", "", "þ"])) or "o"
        if how == "divided" and len(one) > 1:
            made += [one[:1], one[1:]]
        elif how == "moved" and made:
            made.insert(-1, one)
        elif how == "all" and made:
            made[-1] += one
        else:
            made.append(one)
    return made or ["on"]


@st.composite
def _laid_out(draw: st.DrawFn, words: list[str], siglum: str) -> Witness:
    """Lay words out in lines, on pages, over line ends, with states and hands."""
    letters = "".join(one + draw(st.sampled_from([" "] * 9 + ["  "])) for one in words).rstrip()
    cuts = sorted(draw(st.sets(st.integers(1, len(letters) - 1), max_size=4))) if len(letters) > 1 else []
    lines, ends, made = [0], [], ""
    for start, end in zip([0, *cuts], [*cuts, len(letters)], strict=True):
        piece = letters[start:end]
        made += piece
        if end == len(letters):
            ends.append("")
        elif piece.strip() and letters[end:].strip():
            runs_on = not piece[-1].isspace() and not letters[end].isspace() and draw(st.booleans())
            ends.append(draw(st.sampled_from("-\u2e17\u00ad")) if runs_on else "")
            made += "" if runs_on else " "
            lines.append(len(made))
    pages = sorted(
        draw(st.lists(st.sampled_from(["1r", "1v", "2r"]), min_size=len(lines), max_size=len(lines)))
    )
    known = {LOST: st.sampled_from([State.LOST, State.LOST_UNKNOWN])}
    blanks = {start - 1 for start in lines}
    some = st.sampled_from(
        [State.CLEAR] * 20 + [State.UNCLEAR, State.RESTORED, State.EXPANDED, State.DELETED]
    )
    marked = draw(st.booleans())
    states = bytes(
        draw(known[one]) if one == LOST else draw(some) if marked and at not in blanks else State.CLEAR
        for at, one in enumerate(made)
    )
    return Witness(
        siglum,
        made,
        lines=tuple(lines),
        labels=tuple(f"{page}:{at}" for at, page in enumerate(pages)),
        pages=tuple(pages),
        line_ends=tuple(ends),
        states=states if any(states) else b"",
        language=draw(st.sampled_from(["", "ang"])),
    )


def _table(words: list[str], siglum: str) -> st.SearchStrategy[Witness]:
    """Lay words out as entries of two fields."""
    words = [one for one in words if LOST not in one and "-" not in one] or ["on"]
    words += ["ende"] * (len(words) % 2)
    rows = ["\t".join(words[at : at + 2]) for at in range(0, len(words), 2)]
    table = Witness(
        siglum,
        " ".join(rows),
        lines=tuple(accumulate((len(row) + 1 for row in rows[:-1]), initial=0)),
        labels=tuple(str(at) for at in range(len(rows))),
        pages=("",) * len(rows),
        line_ends=("",) * len(rows),
        fields=("lemma", "gloss"),
    )
    return st.just(table)


@st.composite
def _proposals(draw: st.DrawFn, copy: Witness) -> list[ProposedReading]:
    """Propose readings for letters anywhere in the copy, over each other too; some are adopted."""
    made = []
    for number in range(draw(st.integers(0, 5))):
        start = draw(st.integers(0, len(copy)))
        end = min(start + draw(st.integers(0, 5)), len(copy))
        proposed = decode(draw(st.sampled_from(["", "s", "wæs on", " ", "e ", *map(encode, WORDS[:12])])))
        if "\t" in copy.letters[start:end] or (start == end and not proposed):
            continue
        if proposed == " " and not copy.letters[:start][-1:].strip():
            continue  # a second blank beside one: nobody proposes that, and white space in TEI is folded
        decision = draw(st.sampled_from(["", "", str(Ruling.ADOPTED)]))
        made.append(
            ProposedReading(
                number + 1,
                "X",
                Locus("X", "1", 1),
                (start, end),
                decode(copy.letters[start:end]),
                proposed,
                draw(st.sampled_from([0.31, 0.75])),
                verdict=draw(st.sampled_from(["proposed", "possible", "suspect"]))
                if not decision
                else "proposed",
                ground=draw(st.sampled_from(["ope_ingenii", "ope_codicum"])),
                by_witness=draw(st.booleans()),
                decision=decision,
            )
        )
    return made


@dataclass(frozen=True)
class MadeText:
    """A lost text with its witnesses, and readings all over it."""

    copy: Witness
    further: tuple[Witness, ...]
    others: tuple[OtherWitness, ...]
    readings: tuple[ProposedReading, ...]

    def audit(self) -> Audit:
        """Give an audit that found this; readings marked as adopted are decided so."""
        decisions = tuple(
            DecisionUse(
                Decision("X", "1.1", Ruling.ADOPTED, one.transmitted, value=one.proposed, who="E. <Ditor>"),
                span=whole_words(self.copy.letters, *one.copy_span),
            )
            for one in self.readings
            if one.decision
        )
        made = made_audit()
        lost = LostText("X", self.copy, self.further)
        dossier = replace(made.dossier, lost=(lost,), witnesses=self.others)
        found = replace(made, dossier=dossier, readings=self.readings, decisions=decisions)
        return replace(found, conjectures=(), decided=(), parallels=Parallels())


@st.composite
def texts(draw: st.DrawFn) -> MadeText:
    """Give a lost text with up to six other witnesses, his own other copy among them."""
    words = draw(st.lists(word, min_size=1, max_size=14))
    own = draw(st.sampled_from(["laid out", "laid out", "table", "any"]))
    if own == "any":
        copy = draw(any_witness().filter(lambda one: bool(one.letters.strip())))
    else:
        copied = draw(_copied(words, may_be_lost=own == "laid out"))
        copy = draw((_table if own == "table" else _laid_out)(copied, "X"))
    sigla = draw(st.lists(st.sampled_from(["K", "W", "T¹", "9", "a b"]), unique=True, max_size=4))
    others = []
    for siglum in sigla:
        copied = draw(_copied(words, may_be_lost=True))
        how = draw(st.sampled_from([_laid_out, _laid_out, _table]))
        others.append(OtherWitness("X", draw(how(copied, siglum))))
    if draw(st.booleans()):
        others.append(OtherWitness("X", replace(draw(any_witness()), siglum="Z")))
    others = [one for one in others if one.witness.letters.strip()]
    further = (draw(_laid_out(draw(_copied(words, may_be_lost=True)), "X")),) if draw(st.booleans()) else ()
    return MadeText(copy, further, tuple(others), tuple(draw(_proposals(copy))))
