"""Put the blind test on a terminal.

Arrives: a blind test. Leaves: text to be printed. Start reading at ``trial_screen``; an audit shows the
first of its tables only (``trial_tables``).
"""

from __future__ import annotations

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_trial import (
    band_rows,
    brier_rows,
    level_rows,
    method_rows,
    mistake_rows,
    precision_rows,
    reliability_rows,
    survivors_shown,
    unseen_place_rows,
    unseen_rows,
)
from fidelity.apparatus.sentences import (
    belief,
    brier_sentence,
    suspects_sentence,
    too_few_tested,
    unseen_sentence,
)
from fidelity.apparatus.tables import paragraphs, shown, shown_in, titled
from fidelity.terms import Trial

FIRST_SURVIVORS, FIRST_MISTAKES, FIRST_UNSEEN = 20, 5, 10  # on the screen; the page and the files have more

_LEVELS = ("at_least", "proposals", "right", "precision", "low", "high", "restored", "wrong_places", "recall")
_BANDS = ("from", "to", "proposals", "said", "found", "low", "high")
_SURVIVORS = ("survivor", "kind", "proposals", "right", "precision")
_PARTS = ("kind", "proposals", "right", "brier_score", "reliability", "resolution", "uncertainty")
_METHODS = ("method", "at_least", "changed", "right", "precision", "restored", "wrong_letters_left")
_UNSEEN = ("kind", "wrong_places", "unseen", "share", "low", "high", "good_words")
_PLACES = ("locus", "transmitted", "original", "kind", "good_words")


def trial_screen(trial: Trial, width: int) -> str:
    """Show all of a blind test: by probability and kind, beside simple methods, mistakes, the unseen."""
    few = too_few_tested(trial)
    more = f"{few}; more survivors would help." if few else ""
    said = [belief(trial), trial.decisions, more, unseen_sentence(trial), suspects_sentence(trial)]
    levels, bands = ("kind", *_LEVELS), ("kind", *_BANDS, "recall")
    places = sorted(unseen_place_rows(trial), key=lambda row: not row["good_words"])[:FIRST_UNSEEN]
    first = f"The first of the unseen, good words first ({len(places)} of {len(trial.unseen):,})"
    parts = [
        paragraphs(filter(None, said), width),
        titled("Proposals from one probability upward", levels, level_rows(trial), width),
        titled("What was said and what was found", bands, reliability_rows(trial), width),
        titled("Brier score and its parts", _PARTS, brier_rows(trial), width),
        paragraphs(filter(None, [brier_sentence(trial)]), width),
        _survivors("At 0.5 or more, by survivor", trial, width),
        titled("Beside simple methods in the same rounds", _METHODS, method_rows(trial), width),
        _letters(trial),
        f"The worst mistakes\n\n{_mistakes(mistake_rows(trial)[:FIRST_MISTAKES], width) or 'none'}",
        titled("Wrong places at which nothing was proposed", _UNSEEN, unseen_rows(trial), width),
        titled(first, _PLACES, places, width) if places else "",
    ]
    return "\n\n".join(part for part in parts if part)


def trial_tables(trial: Trial, width: int) -> str:
    """Give the tables of the blind test that an audit shows."""
    levels, bands = precision_rows(trial), band_rows(trial)
    said = [brier_sentence(trial), unseen_sentence(trial), _letters(trial)]
    return "\n\n".join(
        [
            titled("Blind test: proposals from one probability upward", _LEVELS, levels, width),
            titled("Blind test: what was said and what was found", _BANDS, bands, width),
            _survivors("Blind test: at 0.5 or more, by survivor", trial, width),
            paragraphs(filter(None, said), width),
        ]
    )


def _survivors(title: str, trial: Trial, width: int) -> str:
    """Show how proposals fared on each survivor."""
    rows, how_many = survivors_shown(trial, FIRST_SURVIVORS)
    return titled(f"{title} ({how_many})" if how_many else title, _SURVIVORS, rows, width)


def _letters(trial: Trial) -> str:
    """Say how many wrong letters there are, and how many are left."""
    before, after = shown(trial.wrong_letters), shown(trial.wrong_letters_left)
    return f"Wrong letters {before}, with the proposals of 0.5 or more {after}."


def _mistakes(rows: list[Row], width: int) -> str:
    """Tell mistakes one by one."""
    told = []
    for row in rows:
        for_letter = (
            f" for “{shown_in('transmitted', row['transmitted'])}”" if row["scope"] == "letter" else ""
        )
        proposed = (
            f"“{shown_in('proposed', row['proposed'])}”{for_letter} proposed with {shown(row['probability'])}"
        )
        right = row["outcome"] == "the copy was right"
        truth = row["outcome"] if right else f"the original has “{shown_in('original', row['original'])}”"
        reasons = row["reasons"] if isinstance(row["reasons"], tuple) else ()
        why = "; ".join(map(str, reasons))
        more = f" (so at {row['places']} places)" if row["places"] != 1 else ""
        told.append(
            f"{row['locus']} “{row['context']}”: {proposed} ({row['kind']}); {truth}{more}. Why: {why}."
        )
    return paragraphs(told, width)
