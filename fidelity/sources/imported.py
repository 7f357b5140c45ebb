"""Tell whether a copy has a stretch from another witness than its original.

Arrives: copies, other witnesses, what the survivors tell of the copyist. Leaves: an ``Imported`` for each
text and witness: the places where the witness is peculiar, the best stretch, what chance would do, and a
verdict in plain words. Start reading at ``imported``.

A contaminated copy lacks some peculiar errors of its main exemplar and shows such of another (Maas 1957,
§ 10); of a lost exemplar only the second half can be seen, and where the sharing begins and ends. An ancestor
common to the witness and the lost original explains shared errors as well, but they do not stop at an edge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fidelity.confusions.count import AnswerCounts
from fidelity.dossier import Dossier, OtherWitness
from fidelity.errors import UnrelatedTextsError
from fidelity.letters import decode, whole_words
from fidelity.settings import Settings
from fidelity.sources.coincidence import Coincidence, learned, plain
from fidelity.sources.direction import Known, known_from
from fidelity.sources.facing import Facing, face
from fidelity.sources.peculiar import peculiar_places
from fidelity.sources.scan import Best
from fidelity.sources.thirds import Case, Third
from fidelity.sources.verdict import Tested, fisher_of, tested_of
from fidelity.terms import LOST_LETTER, Score, Variant, Witness
from fidelity.terms.imported import Imported, PeculiarLocus, Sharing, Stretch, Verdict, together
from fidelity.variants.citations import Citations
from fidelity.witnesses.folds import Folds

MOST_OWN = 12  # slips of his own that are named

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Survivors:
    """What the survivors tell that is needed here.

    Attributes:
        chances: what this copyist does by himself.
        known: what is known of the words of the originals' language.
    """

    chances: Coincidence
    known: Known


def survivors_of(
    dossier: Dossier, counts: AnswerCounts, variants: Sequence[Variant], scores: Sequence[Score]
) -> Survivors:
    """Give what the survivors tell that is needed here.

    Args:
        dossier: the texts.
        counts, variants, scores: of the survivors, causes decided.
    """
    folds = dossier.folds
    texts = [*(one.original for one in dossier.survivors), *dossier.references]
    return Survivors(learned(counts, variants, scores, folds), known_from(texts, variants, folds))


def imported(
    dossier: Dossier, survivors: Survivors, progress: Progress = lambda _: None
) -> tuple[Imported, ...]:
    """Tell for every text and every other witness of it whether the copy has a stretch from there.

    Args:
        dossier: the texts.
        survivors: what the survivors tell of the copyist.
        progress: told in a few words what is being done.

    Returns:
        One for each text and witness, in the order of the dossier. A witness that depends on the copy, or
        was made from the same original, is left out; the latter is a third like any other.
    """
    found = []
    for text, copy, original in _texts(dossier):
        witnesses = [one for one in dossier.witnesses if one.of == text]
        lines = _lines(dossier, text, witnesses)
        of_copy = {text, dossier.copyist_siglum}  # how his copy is cited
        for one in witnesses:
            if one.from_original or of_copy & lines[one.witness.siglum]:
                continue
            progress(f"looking in {text} for what is taken from {one.witness.siglum}")
            thirds = (
                [Third(original, is_original=True)] if original else _thirds(one, witnesses, lines, of_copy)
            )
            found.append(judged(text, copy, one.witness, thirds, survivors, dossier.folds, dossier.settings))
    return tuple(found)


def _texts(dossier: Dossier) -> Iterator[tuple[str, Witness, Witness | None]]:
    """Give id, copy and presumed original (if it survives) of every text, the lost ones first."""
    yield from ((lost.id, lost.copy, None) for lost in dossier.lost)
    yield from ((one.id, one.copy, one.original) for one in dossier.survivors)


def _lines(dossier: Dossier, text: str, witnesses: Sequence[OtherWitness]) -> dict[str, set[str]]:
    """Give for each witness itself and all from which it descends, as a whole or in part, as declared."""
    sources = {
        one.witness.siglum: {each.source for each in dossier.dependence.get((text, one.witness.siglum), ())}
        | ({one.depends_on} if one.depends_on else set())
        for one in witnesses
    }
    found = {}
    for siglum in sources:
        line, new = {siglum}, {siglum}
        while new:
            new = {above for one in new for above in sources.get(one, ())} - line
            line |= new
        found[siglum] = line
    return found


def _thirds(
    one: OtherWitness, witnesses: Sequence[OtherWitness], lines: Mapping[str, set[str]], of_copy: set[str]
) -> list[Third]:
    """Give the witnesses that are independent of this one and of the copy.

    Of several that descend one from the other the first counts alone.
    """
    found: list[OtherWitness] = []
    for other in witnesses:
        line = lines[other.witness.siglum]
        if other is one or of_copy & line or line & lines[one.witness.siglum]:
            continue
        if any(line & lines[each.witness.siglum] for each in found):
            continue
        found.append(other)
    return [Third(other.witness) for other in found]


def judged(
    text: str,
    copy: Witness,
    witness: Witness,
    thirds: Sequence[Third],
    survivors: Survivors,
    folds: Folds,
    settings: Settings,
) -> Imported:
    """Tell of one copy and one witness whether the copy has a stretch from there.

    Args:
        text: id of the text.
        copy, witness: the two.
        thirds: independent witnesses to compare with; the original itself, if it is at hand.
        survivors: what the survivors tell of the copyist.
        folds: letterforms counted as equal.
        settings: ``seed``, and ``confidence`` for the limits of the stretch.
    """
    lost = not any(third.is_original for third in thirds)
    case = Case(text, copy, witness, tuple(thirds), survivors.chances, survivors.known, folds)
    try:
        with_copy = face(witness, copy, folds, text)
        places = peculiar_places(case, with_copy)
    except UnrelatedTextsError as error:
        note = f"not compared: {error}"
        return Imported(text, witness.siglum, Verdict.TOO_LITTLE, lost=lost, note=note)
    tested = tested_of(places, settings, f"{text} {witness.siglum}")
    best = tested.best
    stretch = None if best is None else _stretch(best, tested.counted, with_copy, text)
    within = tested.counted[best.first : best.last + 1] if best else []
    return Imported(
        text=text,
        siglum=witness.siglum,
        verdict=tested.verdict,
        places=tuple(places),
        stretch=stretch,
        weight=together(one.coincidence for one in within if one.own and one.sharing is Sharing.SHARED),
        p_value=tested.p_values[0],
        p_if_common_ancestor=tested.p_values[1],
        p_throughout=tested.p_values[2],
        fisher_p=fisher_of(tested.counted, best),
        own_habits=_own_habits(with_copy, places, stretch, case) if stretch else (),
        extant=with_copy.share_of_second(),
        lost=lost,
        note=_note(tested, thirds),
    )


def _stretch(best: Best, counted: Sequence[PeculiarLocus], with_copy: Facing, text: str) -> Stretch:
    """Give the best stretch with its limits in the copy's letters."""
    size = len(with_copy.second.letters)
    before = counted[best.earliest - 1].copy_span[1] if best.earliest else 0
    after = counted[best.latest + 1].copy_span[0] if best.latest + 1 < len(counted) else size
    first, last = counted[best.first].copy_span[0], counted[best.last].copy_span[1]
    first, last = whole_words(with_copy.second.letters, first, last)
    start, end = with_copy.extant_within(before, after)
    widest = min(start, first), max(end, last)
    words = Citations(with_copy.second, text).ends(*widest)
    return Stretch(
        best.first,
        best.last,
        best.earliest,
        best.latest,
        best.latest_first,
        best.earliest_last,
        (first, last),
        widest,
        (words[0], words[1] or words[0]),
    )


def _own_habits(
    with_copy: Facing, places: Sequence[PeculiarLocus], stretch: Stretch, case: Case
) -> tuple[str, ...]:
    """Name the copyist's own slips inside the stretch: what he has where all witnesses agree."""
    start, end = stretch.copy_span
    cited, told = Citations(with_copy.second, case.text), []
    proved = [one for one in places if one.proved]
    for span, copy_span, _ in with_copy.differences(case.folds):
        if not (start <= copy_span[0] and copy_span[1] <= end):
            continue
        if any(one.copy_span[0] <= copy_span[1] and copy_span[0] <= one.copy_span[1] for one in proved):
            continue
        pair = [with_copy.first.letters[slice(*span)], with_copy.second.letters[slice(*copy_span)]]
        reading, written = (plain(letters, case.folds) for letters in pair)
        if reading.strip() == written.strip() or LOST_LETTER in reading + written:
            continue
        told.append(f"{cited.ends(*copy_span)[0]} {decode(reading) or '-'}→{decode(written) or '-'}")
    more = f"and {len(told) - MOST_OWN} more"
    return (*told[:MOST_OWN], *((more,) if len(told) > MOST_OWN else ()))


def _note(tested: Tested, thirds: Sequence[Third]) -> str:
    """Say what else should be known of a verdict."""
    if not thirds:
        return "no third, independent witness: nothing shows which readings are this witness's own"
    count = len(tested.counted)
    if tested.verdict is Verdict.TOO_LITTLE:
        places = f"{count} place{'' if count == 1 else 's'}"
        return f"only {places} where this witness has a reading of its own and a third is extant"
    best = tested.best
    if tested.verdict is Verdict.IMPORTED and best and best.share > 0:
        return f"outside the stretch some {best.share:.0%} of its readings are shared as well"
    if tested.verdict is Verdict.THROUGHOUT:
        return "a common ancestor of this witness and the original, or one of them the other's source"
    return ""


def stretches(found: Iterable[Imported], certain_only: bool = False) -> dict[str, list[tuple[int, int, str]]]:
    """Give the imported stretches of every text, in letters of its copy, with the witness each is from.

    Args:
        found: what was found of each text and witness.
        certain_only: from the first shared place to the last; else as far as the stretch may reach.
    """
    spans: dict[str, list[tuple[int, int, str]]] = {}
    for one in found:
        if one.verdict is Verdict.IMPORTED and one.stretch is not None:
            start, end = one.stretch.copy_span if certain_only else one.stretch.widest_span
            spans.setdefault(one.text, []).append((start, end, one.siglum))
    return {text: sorted(some) for text, some in spans.items()}
