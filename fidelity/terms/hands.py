"""Other hands: what the copyist did with them in the survivors, and where a lost text may have had some.

Start reading at ``Hands``.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.terms.witness import Locus

ADDED, CANCELLED, BOTH = (
    "added",
    "cancelled",
    "added and cancelled",
)  # what a stretch is to the main hand's text
REPRODUCED, KEPT_APART, LEFT_OUT, CHANGED = "reproduced", "kept apart", "left out", "changed"
DONE = (REPRODUCED, KEPT_APART, LEFT_OUT, CHANGED)  # what a copy may do with a stretch
MARKED, OPENING, LANGUAGE, FORMS = "marked", "opening", "language", "letterforms"
KINDS = (MARKED, OPENING, LANGUAGE, FORMS)  # the grounds on which words may be another hand's


@dataclass(frozen=True)
class Layer:
    """A stretch of a survivor's original that another hand wrote, or that was cancelled.

    Attributes:
        text: id of the survivor.
        locus, last_locus: of its first word in the original and, if that is another, of its last.
        original: the stretch, as printed.
        copy: what the copy has for it, as printed; "" for nothing.
        hand: who wrote it, as the transcript names him.
        layer: "added", "cancelled", or "added and cancelled".
        done: what the copy does with it, one of ``DONE``.
        how: by what it is kept apart, or that it stands elsewhere; "" else.
        same: whether the copy has the same letters, by the declared folds; None where it has none.
        script, language: declared of the place; "" where they are not.
        after: the word before it in the original, as printed; "" at the beginning of an entry.
        copy_locus: place in the copy; None where it has nothing.
        span, copy_span: offsets in original and copy, half-open.
        page: on which it stands, as errors are clustered by.
    """

    text: str
    locus: Locus
    last_locus: Locus | None
    original: str
    copy: str
    hand: str
    layer: str
    done: str
    how: str
    same: bool | None
    script: str
    language: str
    after: str
    copy_locus: Locus | None
    span: tuple[int, int]
    copy_span: tuple[int, int]
    page: str


@dataclass(frozen=True)
class LayerShare:
    """How often the copyist did one thing with stretches of one kind.

    Attributes:
        text: id of the survivor; "all" for all of them.
        hand: who wrote them; "" for any.
        layer: as ``Layer.layer``.
        done: as ``Layer.done``.
        count: how often he did it.
        of: out of how many stretches.
        low, high: limits of the share, 0-1.
        method: of the interval.
    """

    text: str
    hand: str
    layer: str
    done: str
    count: int
    of: int
    low: float
    high: float
    method: str


@dataclass(frozen=True)
class Tried:
    """What one kind of ground is worth, tried where the hands are known.

    Attributes:
        kinds: the grounds that came together, of ``KINDS``.
        candidates: how many stretches of the survivors were candidates on them.
        right: how many of these are another hand's.
        low, high: limits of the share that are, 0-1.
    """

    kinds: tuple[str, ...]
    candidates: int
    right: int
    low: float
    high: float


@dataclass(frozen=True)
class Candidate:
    """Words of which a palaeographer may be asked whether another hand wrote them.

    Attributes:
        text: id of the text.
        lost: whether it is a lost text; else it is the original of a survivor, with no such mark there.
        locus, last_locus: of the first word and, if that is another, of the last.
        words: as printed.
        span: their letters in the copy (of a survivor: in the original), half-open.
        kinds: the grounds, of ``KINDS``.
        why: each of them in words.
        position: where they stand in line or entry, and whether additions in survivors stood so.
        passage: the words with those around them.
        tried: what these grounds were worth in the survivors; None where they made no candidate there.
    """

    text: str
    lost: bool
    locus: Locus
    last_locus: Locus | None
    words: str
    span: tuple[int, int]
    kinds: tuple[str, ...]
    why: tuple[str, ...]
    position: str
    passage: str
    tried: Tried | None = None


@dataclass(frozen=True)
class Mixture:
    """A word whose letterforms belong to two scripts.

    Attributes:
        text: id of the text.
        lost: as ``Candidate.lost``.
        locus: of the word.
        word: as printed.
        letters: its letters that are of another script than the rest of the text, as printed.
        usual: the forms that these letters have in the rest of the text, as printed.
        marked: whether the transcript gives the word, or a part of it, to another hand.
    """

    text: str
    lost: bool
    locus: Locus
    word: str
    letters: tuple[str, ...]
    usual: tuple[str, ...]
    marked: bool


@dataclass(frozen=True)
class Search:
    """One thing that was looked for in one text.

    Attributes:
        text: id of the text.
        lost: as ``Candidate.lost``.
        kind: of ``KINDS``.
        looked: whether it could be looked for.
        what: what was looked for, or why it could not be, in words.
        words: in how many words.
        found: how many candidates came of it.
    """

    text: str
    lost: bool
    kind: str
    looked: bool
    what: str
    words: int
    found: int


@dataclass(frozen=True)
class Hands:
    """All that is known of other hands.

    Attributes:
        layers: the survivors' stretches, in order.
        shares: what he did with them, by survivor and hand, then over all.
        candidates: words that may be another hand's, in order of the texts.
        mixtures: words with letterforms of two scripts.
        searches: what was looked for.
        tried: what each kind of ground is worth, tried on the survivors.
        left_out: what was left out together when it was tried; "" where it was not tried.
        additions: how many additions copied as text there were to be found when it was tried.
        additions_found: how many of them were among the candidates.
    """

    layers: tuple[Layer, ...] = ()
    shares: tuple[LayerShare, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    mixtures: tuple[Mixture, ...] = ()
    searches: tuple[Search, ...] = ()
    tried: tuple[Tried, ...] = ()
    left_out: str = ""
    additions: int = 0
    additions_found: int = 0
