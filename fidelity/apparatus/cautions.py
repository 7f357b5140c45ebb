"""What a reader must bear in mind whenever a result is quoted, with this dossier's own figures.

Arrives: an audit. Leaves: sentences in plain words. Start reading at ``cautions``; each of the
functions below it is one caution.

The list is printed every time, on the terminal in one line, in the page and in summary.json.
"""

from __future__ import annotations

from collections.abc import Callable

from fidelity.apparatus.entries_outlook import drift_sentence
from fidelity.apparatus.entries_parallels import parallels_caution
from fidelity.apparatus.entries_texts import checked_sentence
from fidelity.apparatus.hands_in_words import layer_caution
from fidelity.apparatus.sentences import HALF, left_out
from fidelity.dossier import Survivor
from fidelity.judge import Audit

IN_ONE_LINE = (
    "These are proposed readings, to be judged by an editor: every probability holds only under the"
    " conditions named in report.html."
)
LETTERS = "letters"  # the measure by which survivors are compared


def cautions(audit: Audit) -> list[str]:
    """Give every caution that applies, in a fixed order."""
    return [said for caution in _CAUTIONS if (said := caution(audit))]


def _exemplar(audit: Audit) -> str:
    """The survivors must be what he copied from, and like what is lost."""
    first = (
        "All of this holds only if the surviving originals are the very manuscripts he copied from, and if"
        " the lost ones were like them in script and age."
    )
    return " ".join([first, *(_same_script(audit, lost.id, lost.copy.script) for lost in audit.dossier.lost)])


def _same_script(audit: Audit, lost: str, script: str) -> str:
    """Say which survivors are in the script presumed of a lost text."""
    if not script:
        return f"The dossier does not say in which script {lost} was written."
    same = [one.id for one in audit.dossier.survivors if script in _scripts(one)]
    if not same:
        return f"No survivor is in {script} script, which is presumed of {lost}: nothing was learned from it."
    return f"{lost} is presumed to be in {script} script, as {_listed(same)}."


def _scripts(survivor: Survivor) -> set[str]:
    return {survivor.original.script, *(passage.script for passage in survivor.passages)}


def _listed(names: list[str]) -> str:
    """Join names as one speaks them.

    >>> _listed(["E"]), _listed(["E", "B", "G"])
    ('is E', 'are E, B and G')
    """
    if len(names) == 1:
        return f"is {names[0]}"
    return f"are {', '.join(names[:-1])} and {names[-1]}"


def _base_rate(audit: Audit) -> str:
    """A probability is of the original given the copy, not of the error given the original."""
    text = (
        "The probability of a proposed reading is the chance that the original had it, given what the copy"
        " has. It is not the rate at which he makes that mistake: where a letter is common, most of what"
        " looks like a common mistake is no mistake."
    )
    misleading = (one for one in audit.confusions if one.systematic and one.p_original_given_copy < HALF)
    found = next(misleading, None)
    if found is None:
        return text
    return (
        f"{text} He wrote {found.copy} for {found.original} in {found.count:,} of {found.chances:,} places,"
        f" but of all his {found.copy} in the survivors only {found.p_original_given_copy:.1%} stand for"
        f" {found.original}."
    )


def _never_seen(audit: Audit) -> str:
    """No error seen is not no error (Hanley & Lippman-Hand 1983; title from memory)."""
    return (
        "What was never seen is not thereby excluded. Where he made a mistake in none of n places, up to"
        " about 3 in n remain possible (95% limit; Hanley & Lippman-Hand 1983); and of a letter that the"
        " survivors do not have, they tell nothing."
    )


def _invisible(audit: Audit) -> str:
    """Errors that give a good word do not show."""
    text = (
        "Mistakes that give good sense, wrong numerals and names, and lines left out altogether cannot be"
        " seen in a copy whose original is lost."
    )
    judged = [one.makes_word for one in audit.variants if one.makes_word is not None]
    if not judged:
        return f"{text} How many there are could not be measured in the survivors."
    words = sum(judged)
    share = f"{words:,} of {len(judged):,} altered words ({words / len(judged):.0%})"
    return f"{text} In the survivors, {share} came out as words known from the originals, as far as these go."


def _pairs(audit: Audit) -> str:
    """Numerals make sense however they are read, and partners may have been made to agree."""
    return parallels_caution(audit.parallels)


def _drift(audit: Audit) -> str:
    """He need not have copied alike at all times."""
    text = "He may have copied differently in other years, other books, or when he was tired."
    rates = [
        (score.errors / score.chances, score)
        for score in audit.scores
        if score.measure == LETTERS and score.text != "all" and score.chances
    ]
    tested = drift_sentence(audit.course.drifts, audit.dossier.settings.false_discovery)
    if len(rates) < 2:
        return f"{text} One survivor cannot show how his texts differ. {tested}"
    low, high = min(rates, key=lambda rate: rate[0]), max(rates, key=lambda rate: rate[0])
    return (
        f"{text} The survivors go from {1000 * low[0]:.3g} ({low[1].text}) to {1000 * high[0]:.3g}"
        f" ({high[1].text}) wrong letters per 1,000. {tested}"
    )


def _transcripts(audit: Audit) -> str:
    """The modern transcripts have their own errors."""
    text = (
        "The transcripts of originals and copies that were compared have mistakes of their own, and each"
        " counts here as his. Look at the manuscript or a photograph before a reading is adopted."
    )
    return " ".join([text, *map(checked_sentence, audit.proofread)])


def _hold_out(audit: Audit) -> str:
    """What suggested a rule cannot confirm it."""
    text = "A rule that these survivors suggested is not confirmed by the same survivors."
    if audit.trial is None:
        return f"{text} No blind test was made: nothing here has been put to the proof."
    return (
        f"{text} Only the blind test counts as a proof, for there the text that was judged"
        f" ({left_out(audit.trial)} in each round) was kept out of the learning."
    )


def _few_survivors(audit: Audit) -> str:
    """The scale of probabilities rests on few texts."""
    number = len(audit.dossier.survivors)
    texts = "one survivor" if number == 1 else f"{number} survivors"
    return (
        f"The scale of probabilities was set on {texts} and no more. How much texts differ from one another"
        " can hardly be told from so few; a further lost text may lie outside what they show."
    )


def _specialist(audit: Audit) -> str:
    """What the tool does not judge."""
    return (
        "The ground given for a reading is only that of the copying. Whether it makes sense and fits the"
        " grammar, the style and the metre is for an editor who knows the language to judge; which hand wrote"
        " a word, and when, is for a palaeographer. A proposed reading is a conjecture, and the text as"
        " transmitted stands beside it always."
    )


_CAUTIONS: tuple[Callable[[Audit], str], ...] = (
    _exemplar,
    _base_rate,
    _never_seen,
    _invisible,
    _pairs,
    _drift,
    _transcripts,
    _hold_out,
    _few_survivors,
    layer_caution,
    _specialist,
)
