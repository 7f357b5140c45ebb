"""Say in three sentences what an audit found: how he copied, how far to believe it, what follows.

Arrives: an audit. Leaves: sentences with their numbers. Start reading at ``three_sentences``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor

from fidelity.apparatus.cells import ALL, significant
from fidelity.apparatus.tables import shown
from fidelity.judge import Audit
from fidelity.terms import OPE_CODICUM, Confusion, Precision, ProposedReading, Score, Trial
from fidelity.terms.decisions import APPLIED, Ruling

HALF = 0.5  # a reading at least this probable is more likely right than wrong
WIDE = 0.5  # an interval wider than this cannot tell mostly right from mostly wrong

ALL_BUT_SURE = 0.999  # no reading is surer than that, whatever is reckoned from assumptions


def three_sentences(audit: Audit) -> list[str]:
    """Give the result in three sentences; fewer where there was no blind test to make."""
    return [text for text in (_copying(audit), _belief(audit), _proposals(audit)) if text]


def headline(scores: tuple[Score, ...], measure: str) -> Score | None:
    """Give the score of one measure over all survivors."""
    return next((one for one in scores if one.text == ALL and one.measure == measure), None)


def tested(reading: ProposedReading) -> str:
    """Say in a few words how proposals of about this probability fared in the blind test."""
    if reading.by_witness:
        return "by witnesses"
    if not reading.tried:
        return "not tested"
    outcome = "right" if reading.is_proposal else "corrupt"
    own = f"{reading.right_of_kind:,} of {reading.tried_of_kind:,}" if reading.tried_of_kind else "none"
    kinds = "" if reading.tried_kind or not reading.is_proposal else f", of all kinds ({own} of its own)"
    return f"{reading.tried_right:,} of {reading.tried:,} {outcome}{kinds}"


def believed(reading: ProposedReading) -> float | str:
    """Give the probability as it may be shown: the figure, or the range to be expected of one more text."""
    low, high = reading.probability_low, reading.probability_high
    if reading.by_witness:
        return (
            significant(reading.probability) if reading.probability < ALL_BUT_SURE else f">{ALL_BUT_SURE:g}"
        )
    if not reading.tried:
        return "0-1"
    if reading.borne_out:
        return significant(reading.probability)
    return range_in_words(low, high)


def range_in_words(low: float, high: float) -> str:
    """Give the limits of a share with two digits, no narrower than they are.

    >>> range_in_words(0.126, 0.844)
    '0.12-0.85'
    """
    return f"{_outward(low, floor)}-{_outward(high, ceil)}"


def _outward(limit: float, rounded: Callable[[float], int]) -> str:
    """Round a limit to two digits, away from the middle."""
    return f"{rounded(round(100 * limit, 6)) / 100:g}"


def left_out(trial: Trial) -> str:
    """Say what was left out together in each round of a blind test."""
    return "a survivor or more" if trial.left_out == "survivor" else f"some {trial.left_out}"


def shown_letters(letters: str) -> str:
    """Make nothing and a space visible in running text.

    >>> shown_letters(""), shown_letters(" "), shown_letters("ꞅ")
    ('nothing', 'a space', 'ꞅ')
    """
    return {"": "nothing", " ": "a space"}.get(letters, letters)


def _copying(audit: Audit) -> str:
    """Say how often he went wrong, and in what most often."""
    who = audit.dossier.copyist_name or "The copyist"
    score = headline(audit.scores, "letters")
    if score is None:
        return f"{who}: the survivors offer no letters to judge by."
    number = len(audit.dossier.survivors)
    texts = "one text that survives" if number == 1 else f"{number} texts that survive"
    rate, low, high = (1000 * x for x in (score.errors / score.chances, score.low, score.high))
    text = (
        f"{who} went wrong at {score.errors:,} of {score.chances:,} letters in {texts}: {rate:.3g} per 1,000"
        f" ({audit.dossier.settings.confidence:.0%} interval {low:.3g} to {high:.3g})"
    )
    common = max(audit.confusions, key=lambda one: one.count, default=None)
    return f"{text}{'; ' + _commonest(common) if common else ''}."


def _commonest(confusion: Confusion) -> str:
    """Say what the commonest confusion is."""
    original, copy = shown_letters(confusion.original), shown_letters(confusion.copy)
    habit = "" if confusion.systematic else ", which may be chance"
    places = f"{confusion.count:,} of {confusion.chances:,} places{habit}"
    return f"most often he wrote {copy} for {original} ({places})"


def belief(trial: Trial) -> str:
    """Say how the blind test came out."""
    start = f"In the blind test ({trial.rounds} rounds, {left_out(trial)} kept out in each)"
    half = _at_half(trial)
    if half is None or not half.proposals:
        return f"{start} no reading was proposed with a probability of {HALF:g} or more."
    level = f"{trial.confidence:.0%} interval"
    text = (
        f"{start} {half.right:,} of {half.proposals:,} readings proposed with a probability of {HALF:g} or"
        f" more were right ({half.right / half.proposals:.0%}; {level} {half.low:.0%} to {half.high:.0%})"
    )
    restored = f"{half.restored:,} of {half.wrong_places:,} altered places were restored in full"
    left = f"the wrong letters went from {trial.wrong_letters:,} to {trial.wrong_letters_left:,}"
    return f"{text}, {restored}, and {left}."


def brier_sentence(trial: Trial) -> str:
    """Say what the Brier score is, and of which parts it is the sum."""
    whole = next(iter(trial.brier_parts), None)
    if whole is None:
        return "" if trial.brier is None else f"Brier score {shown(trial.brier)} (0 is best)."
    within = whole.within_variance - whole.within_covariance
    return (
        f"Brier score {shown(whole.score)} (0 is best) = reliability {shown(whole.reliability)} (0 is best)"
        f" - resolution {shown(whole.resolution)} (the more the better) + uncertainty"
        f" {shown(whole.uncertainty)} (what always saying the mean would score) {'-' if within < 0 else '+'}"
        f" {shown(abs(within))} within the bands."
    )


def unseen_sentence(trial: Trial) -> str:
    """Say how many wrong places went unseen: a lost text must be expected to hide as many of its own."""
    whole = next(iter(trial.unseen_shares), None)
    if whole is None or not whole.wrong_places:
        return ""
    one = whole.good_words == 1
    are = "is a good word in a good place" if one else "are good words in good places"
    good = f"{whole.good_words:,} of these {are}, where nothing can show"
    return (
        f"Of {whole.wrong_places:,} wrong places {whole.unseen:,} went unseen: nothing was proposed there"
        f" with a probability of {trial.report_from:g} or more. {good}. A lost text must be expected to hide"
        f" {whole.unseen / whole.wrong_places:.0%} of its wrong places ({trial.confidence:.0%} interval"
        f" {whole.low:.0%} to {whole.high:.0%})."
    )


def suspects_sentence(trial: Trial) -> str:
    """Say how places fared that were marked as corrupt without a proposal."""
    marked = trial.suspects
    if marked is None or not marked.places:
        return ""
    outcome = (
        f"{marked.places:,} places were marked as corrupt without a proposal; {marked.corrupt:,} were so"
        f" ({trial.confidence:.0%} interval {marked.low:.0%} to {marked.high:.0%})."
    )
    if marked.hold:
        return f"{outcome} They count as seen."
    return f"{outcome} Such marks are not to be believed here: none is made, and none counts as seen."


def too_few_tested(trial: Trial | None) -> str:
    """Say that the blind test tried too few proposals to bear out a probability; "" where it did not."""
    half = _at_half(trial)
    if half is None or (half.proposals and half.high - half.low <= WIDE):
        return ""
    likely = f"with a probability of {HALF:g} or more"
    found = f"{half.proposals:,} {likely}, {half.right:,} right" if half.proposals else f"none {likely}"
    return (
        f"Too few proposals could be tested on these survivors ({found}; {half.wrong_places:,} altered places"
        " in all) to bear out any probability"
    )


def _belief(audit: Audit) -> str:
    """Say how the blind test came out, or that there was none."""
    if audit.trial is not None:
        return belief(audit.trial)
    return (
        "There was no blind test, so that no probability given here has been tried."
        if audit.dossier.lost
        else ""
    )


def _proposals(audit: Audit) -> str:
    """Say what is proposed for the lost texts."""
    lost = audit.dossier.lost
    if not lost:
        return ""
    names = lost[0].id if len(lost) == 1 else f"{len(lost)} lost texts"
    proposed = [one for one in audit.readings if one.is_proposal and not one.is_decided]
    decided = _decided(audit)
    if not proposed:
        none = f"For {names} no reading is proposed; that does not say that the copy is right."
        return none + decided + _suspect(audit) + _held_low(audit)
    probable = [one for one in proposed if one.probability >= HALF]
    likely = [one.probability for one in probable]
    number = len(proposed)
    text = f"For {names} {number:,} {'reading is' if number == 1 else 'readings are'} proposed"
    if not likely:
        none = f"{text}, none with a probability of {HALF:g} or more."
        return none + decided + _suspect(audit) + _held_low(audit)
    right = shown(sum(likely))
    text += f", {len(likely):,} with a probability of {HALF:g} or more"
    text += f", about {right} of which should be right by these probabilities"
    return f"{text}{_at_rate(probable, audit.trial)}.{decided}{_suspect(audit)}"


def _at_rate(probable: Sequence[ProposedReading], trial: Trial | None) -> str:
    """Say how many would be right at the rate of the blind test, which tries no other witnesses."""
    half = _at_half(trial)
    if half is None or not half.proposals:
        return ""
    attested = sum(one.ground == OPE_CODICUM for one in probable)
    alone = len(probable) - attested
    at_rate = shown(alone * half.right / half.proposals)
    if not attested:
        return f", and about {at_rate} at the rate of the blind test"
    rest = f"; of the other {alone:,} about {at_rate} at the rate of the blind test" if alone else ""
    return f"; {attested:,} of them another copy or witness has, which the blind test does not try{rest}"


def _decided(audit: Audit) -> str:
    """Say how many places the editor has settled; they are no proposals any more."""
    lost = {text.id for text in audit.dossier.lost}
    settled = [
        use
        for use in audit.decisions
        if use.applied == APPLIED and use.decision.text in lost and use.decision.ruling is not Ruling.OPEN
    ]
    if not settled:
        return ""
    places = "1 place more is" if len(settled) == 1 else f"{len(settled):,} places more are"
    return f" {places} decided by the editor, and not counted here."


def _suspect(audit: Audit) -> str:
    """Say how many places are marked as corrupt without a proposal, and how such marks fared."""
    marked = [one.probability for one in audit.readings if not one.is_proposal and not one.is_decided]
    if not marked:
        return ""
    places = "place is" if len(marked) == 1 else "places are"
    text = f" {len(marked):,} more {places} suspect: probably corrupt, but no reading is settled"
    tried = audit.trial.suspects if audit.trial else None
    if tried is None or not tried.places:
        return f"{text}."
    return f"{text} (in the blind test {tried.corrupt:,} of {tried.places:,} such places were corrupt)."


def _held_low(audit: Audit) -> str:
    """Say why no reading is held probable, where the blind test had too little to go by."""
    few = too_few_tested(audit.trial)
    listed = f"{audit.dossier.settings.report_from:g}"
    more = f"all are held low, and those below {listed} are not listed; more survivors would help."
    return f" {few}: {more}" if few else ""


def _at_half(trial: Trial | None) -> Precision | None:
    """Give how proposals more probable than not fared in the blind test."""
    return next((one for one in trial.precisions if one.at_least == HALF), None) if trial else None
