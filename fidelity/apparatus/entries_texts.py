"""Turn the texts of a dossier, and what was changed in one, into rows.

Arrives: a dossier, or the changes made by applying proposals. Leaves: rows. Start reading at
``text_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import Row, significant
from fidelity.dossier import Dossier
from fidelity.letters import is_punctuation
from fidelity.terms import DECIDED, LOST_LETTER, State, Witness
from fidelity.variants.set_aside import HIS_OWN

if TYPE_CHECKING:  # not needed to compare two texts, and slow to import
    from fidelity.readings.apply import Change
    from fidelity.trial.proofreading import Proofreading

CHANGE_COLUMNS = (
    *("reading", "text", "locus", "transmitted", "proposed", "probability", "kind", "ground", "evidence"),
    *("copy_start", "copy_end", "decision"),
)


def change_rows(changes: Sequence[Change]) -> list[Row]:
    """Give what was changed when proposals were applied."""
    return [
        {
            "reading": change.reading,
            "text": change.locus.text,
            "locus": str(change.locus),
            "transmitted": change.transmitted,
            "proposed": change.proposed,
            "probability": None if change.kind == DECIDED else significant(change.probability),
            "kind": change.kind,
            "ground": change.ground,
            "evidence": change.evidence,
            "copy_start": change.copy_span[0],
            "copy_end": change.copy_span[1],
            "decision": change.decision,
        }
        for change in changes
    ]


def texts_of(dossier: Dossier) -> list[tuple[str, str, Witness]]:
    """Give every text of a dossier: its name, what it is there for, and itself."""
    texts = [
        (one.id, role, witness)
        for one in dossier.survivors
        for role, witness in (
            *(("original", one.original), ("copy", one.copy)),
            *(("other copy", other) for other in one.other_copies),
        )
    ]
    for text in dossier.lost:
        texts.append((text.id, "copy of a lost original", text.copy))
        texts += [(text.id, "other copy of a lost original", other) for other in text.other_copies]
    texts += [(one.witness.siglum, f"witness of {one.of}", one.witness) for one in dossier.witnesses]
    return texts + [(one.siglum, "reference", one) for one in dossier.references]


def names_of(dossier: Dossier) -> list[str]:
    """Give what each text of ``texts_of`` is called, manuscript or copy, in its order; "" where none is."""
    names = []
    for one in dossier.survivors:
        names += [one.name, *_names(one.copy_names, 1 + len(one.other_copies))]
    for text in dossier.lost:
        first, *others = _names(text.copy_names, 1 + len(text.other_copies))
        names += [", known from ".join(filter(None, [text.name, first])), *others]
    return [*names, *(one.name for one in dossier.witnesses), *("" for _ in dossier.references)]


def _names(given: Sequence[str], number: int) -> list[str]:
    """Give the names of so many copies, "" for those that have none."""
    return [*given, *[""] * (number - len(given))]


def text_rows(dossier: Dossier) -> list[Row]:
    """Give the size of every text of a dossier, and what it is there for.

    Letters are counted without blanks, lost letters and punctuation; punctuation (Unicode class P:
    stops, dashes, and brackets where no profile says what they mean) has its own count.
    """
    return [{"text": name, "role": role, **_size(witness)} for name, role, witness in texts_of(dossier)]


def checked_rows(proofread: Sequence[Proofreading]) -> list[Row]:
    """Give what two readers found in the transcripts of the originals, and what both must have missed."""
    return [
        {
            "text": one.text,
            "letters": one.letters,
            "found_by_first": one.first,
            "found_by_second": one.second,
            "found_by_both": one.both,
            "missed_by_both": None if one.missed is None else significant(one.missed),
        }
        for one in proofread
    ]


def checked_sentence(one: Proofreading) -> str:
    """Say how many mistakes a transcript that was read twice must be expected to hold still.

    >>> from fidelity.trial.proofreading import Proofreading
    >>> checked_sentence(Proofreading("L", 40_000, 30, 24, 20, 2.0))  # doctest: +ELLIPSIS
    'In the transcript of L one reader found 30 mistakes and the other 24, 20 of them both; about 2 must ...'
    """
    text = f"In the transcript of {one.text} one reader found {one.first:,} mistakes and the other"
    text += f" {one.second:,}, {one.both:,} of them both"
    if one.missed is None:
        return f"{text}: how many both missed cannot be told from that."
    rate = 1000 * one.missed / max(one.letters, 1)
    return (
        f"{text}; about {one.missed:,.3g} must have escaped both (Pólya 1976), {rate:.2g} per 1,000 letters,"
        " or more if some are hard to see: so many of his mistakes may be theirs."
    )


def letters_by_state_and_hand(witness: Witness) -> Counter[tuple[State, str]]:
    """Count the letters of a text, blanks and punctuation apart, by their state and hand."""
    counts: Counter[tuple[State, str]] = Counter()
    for (letter, state, hand), count in _marked(witness).items():
        if not letter.isspace() and not is_punctuation(letter):
            counts[State(state), witness.hand_names[hand]] += count
    return counts


def _marked(witness: Witness) -> Counter[tuple[str, int, int]]:
    """Count each sign of a text in each state and hand; texts are long, and different signs few."""
    states = witness.states or bytes(len(witness))
    hands = witness.hands or bytes(len(witness))
    return Counter(zip(witness.letters, states, hands, strict=True))


def set_aside(dossier: Dossier) -> list[dict[str, object]]:
    """Give, for each survivor, how many letters of original and copy are no evidence, and why.

    Blanks and punctuation are not counted. A letter that is both marked and in another hand is
    counted under both reasons and once in all. What the copyist left blank is his own and not among them.
    """
    found: list[dict[str, object]] = []
    for one in dossier.survivors:
        letters, states, hands = _set_aside(one.original)
        in_copy, _, _ = _set_aside(one.copy, HIS_OWN)
        by_state = {each.name.lower(): count for each, count in sorted(states.items())}
        by_hand = dict(sorted(hands.items()))
        found.append(
            {"text": one.id, "letters": letters, "by_state": by_state, "by_hand": by_hand, "in_copy": in_copy}
        )
    return found


def set_aside_sentence(dossier: Dossier) -> str:
    """Say how many letters are no evidence, in originals and copies, and why; "" where there are none."""
    parts = []
    originals, copies = ([getattr(one, side) for one in dossier.survivors] for side in ("original", "copy"))
    for name, texts, besides in (("originals", originals, frozenset()), ("copies", copies, HIS_OWN)):
        states: Counter[State] = Counter()
        letters = in_hands = 0
        for text in texts:
            aside, by_state, by_hand = _set_aside(text, besides)
            letters += aside
            states += by_state
            in_hands += by_hand.total()
        if letters:
            why = [state_in_words(state, count) for state, count in sorted(states.items())]
            reasons = ", ".join(why + ([f"{in_hands:,} in another hand"] if in_hands else []))
            parts.append(f"in the {name} {letters:,} letters ({reasons})")
    return f"Set aside, as no evidence of how he copied: {'; '.join(parts)}." if parts else ""


def state_in_words(state: State, count: int) -> str:
    """Say how many letters stand in a state.

    >>> state_in_words(State.EXPANDED, 4100), state_in_words(State.LOST_UNKNOWN, 1)
    ('4,100 expanded', '1 gap of unknown extent')
    """
    if state is State.LOST_UNKNOWN:
        return f"{count:,} {'gap' if count == 1 else 'gaps'} of unknown extent"
    return f"{count:,} {state.name.lower()}"


def _set_aside(
    text: Witness, besides: frozenset[State] = frozenset()
) -> tuple[int, Counter[State], Counter[str]]:
    """Count the letters of a text that are no evidence: all, by state, by hand."""
    clear = {State.CLEAR, *text.trusted_states, *besides}
    letters = 0
    states: Counter[State] = Counter()
    hands: Counter[str] = Counter()
    for (state, hand), count in letters_by_state_and_hand(text).items():
        marked = state not in clear
        other = hand != text.hand_names[0]
        letters += count * (marked or other)
        states[state] += count * marked
        hands[hand] += count * other
    return letters, +states, +hands


def _size(witness: Witness) -> Row:
    """Count letters (lost ones apart), punctuation, words and lines of a text."""
    counts = Counter(witness.letters)
    punctuation = sum(count for sign, count in counts.items() if is_punctuation(sign))
    blanks = sum(count for sign, count in counts.items() if sign.isspace())
    return {
        "letters": len(witness) - blanks - punctuation - counts[LOST_LETTER],
        "punctuation": punctuation,
        "words": len(witness.letters.split()),
        "lines": len(witness.lines),
        "script": witness.script,
        "language": witness.language,
        "file": witness.file,
    }
