"""Make the page of the blind test: how far to believe the proposals, and why some were wrong.

Arrives: a blind test and its dossier. Leaves: HTML, one page that loads nothing. Start reading at
``trial_page``; ``trial_content`` gives the parts that stand in the report of an audit too. Every
figure in it stands in a table of ``TRIAL_TABLES``.
"""

from __future__ import annotations

from fidelity.apparatus.entries_trial import (
    brier_rows,
    level_rows,
    method_rows,
    mistake_rows,
    reliability_rows,
    survivors_shown,
    unseen_place_rows,
    unseen_rows,
)
from fidelity.apparatus.page_frame import framed
from fidelity.apparatus.pictures.of_audit import pictures_of_trial
from fidelity.apparatus.sentences import (
    belief,
    brier_sentence,
    left_out,
    suspects_sentence,
    too_few_tested,
    unseen_sentence,
)
from fidelity.apparatus.summary import colophon, inputs_of
from fidelity.dossier import Dossier
from fidelity.terms import Trial
from fidelity.trial.mistakes import MOST_MISTAKES
from fidelity.trial.rounds import CHANNEL

SURVIVORS_SHOWN, MISTAKES_SHOWN, UNSEEN_SHOWN = 30, 10, 20  # nobody reads more on a page; the files have more


def trial_page(trial: Trial, dossier: Dossier) -> str:
    """Give the blind test as one self-contained page of HTML."""
    who = f"{dossier.copyist_name}'s" if dossier.copyist_name else "his"
    few = too_few_tested(trial)
    more = f"{few}; more survivors would help." if few else ""
    sentences = [belief(trial), trial.decisions, more, unseen_sentence(trial), suspects_sentence(trial)]
    content = {
        "title": f"How far to believe what is proposed for {who} lost originals",
        "subtitle": f"Tried blind on {', '.join(one.id for one in dossier.survivors)}.",
        "sentences": [sentence for sentence in sentences if sentence],
        "test": trial_content(trial),
        "colophon": colophon(dossier.settings),
        "inputs": inputs_of(dossier),
    }
    return framed("trial.html.j2", content)


def trial_content(trial: Trial) -> dict[str, object]:
    """Give what a page shows of the blind test."""
    by_survivor, how_many = survivors_shown(trial, SURVIVORS_SHOWN)
    places = sorted(unseen_place_rows(trial), key=lambda row: not row["good_words"])
    return {
        "rounds": trial.rounds,
        "held": left_out(trial),
        "confidence": f"{trial.confidence:.0%}",
        "levels": level_rows(trial),
        "bands": reliability_rows(trial),
        "pictures": pictures_of_trial(trial),
        "brier": brier_sentence(trial),
        "parts": brier_rows(trial),
        "by_survivor": by_survivor,
        "survivors_note": f"{how_many.capitalize()}. " if how_many else "",
        "methods": method_rows(trial),
        "with_channel": any(one.method == CHANNEL for one in trial.methods),
        "mistakes": [
            row | {"false_alarm": one.reading.false_alarm}
            for row, one in zip(mistake_rows(trial)[:MISTAKES_SHOWN], trial.mistakes, strict=False)
        ],
        "most_mistakes": MOST_MISTAKES,
        "unseen": unseen_rows(trial) if trial.unseen_shares and trial.unseen_shares[0].wrong_places else [],
        "unseen_sentence": unseen_sentence(trial),
        "unseen_places": places[:UNSEEN_SHOWN],
        "wrong_letters": trial.wrong_letters,
        "wrong_letters_left": trial.wrong_letters_left,
    }
