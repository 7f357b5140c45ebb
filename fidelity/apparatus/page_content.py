"""Gather what the sections of the report show, from the rows that the table files have.

Arrives: an audit. Leaves: what the templates fill in, by name. Start reading at ``section_content``. Every
figure stands in a table file or in summary.json.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from markupsafe import Markup, escape

from fidelity.apparatus.accounts import account
from fidelity.apparatus.cells import Row, significant, where_the_rest_is
from fidelity.apparatus.entries import TABLES, reading_rows, score_card, variant_rows
from fidelity.apparatus.entries_attestation import attestation_content
from fidelity.apparatus.entries_copies import copies_content
from fidelity.apparatus.entries_habits import pattern_rows
from fidelity.apparatus.entries_hands import candidate_row
from fidelity.apparatus.entries_imported import imported_content
from fidelity.apparatus.entries_marks import marks_content
from fidelity.apparatus.entries_outlook import (
    SHOWN,
    check_rows,
    coverage,
    drift_rows,
    drift_sentence,
    forecast_rows,
    forecast_sentences,
    headline_forecasts,
)
from fidelity.apparatus.entries_parallels import CHECK, of_survivors, parallel_rows, told_in_short
from fidelity.apparatus.entries_place import conjecture_rows
from fidelity.apparatus.entries_rules import headline_shifts, place_rows, rule_rows, shift_rows
from fidelity.apparatus.entries_texts import set_aside_sentence, text_rows
from fidelity.apparatus.hands_in_words import QUESTION, hands_sentences, worth
from fidelity.apparatus.page_frame import FIGURE
from fidelity.apparatus.pictures.of_audit import pictures_of
from fidelity.apparatus.sentences import believed, range_in_words, tested
from fidelity.apparatus.summary import summary
from fidelity.apparatus.tables import shown_in
from fidelity.apparatus.trial_page import trial_content
from fidelity.judge import Audit
from fidelity.terms import DECIDED, ProposedReading
from fidelity.trial.transfer import told

NO_SHARE = "No share is given where the survivors never have the letters: there is no evidence"
LIKELIEST = 6  # tests of drift, those that come nearest to a find
MOST_TOLD = 25  # habits in words; habits.csv has all
MOST_DAMAGE = 15  # patterns of which it is told what they would have done; patterns.csv has all
MOST_AGAIN = 20  # places to look at again; recheck.csv has all
MOST_DIFFERENCES = 2000  # half a megabyte of page; variants.csv has all
_TEST = re.compile(r"^\w+(?=:)")  # opens what is told of a test that was not made
LONGEST = 50  # rows of confusions and patterns; nobody reads more on a page, the files have all


def section_content(audit: Audit) -> dict[str, object]:
    """Give what the sections show, all but the texts themselves."""
    facts = summary(audit)
    dossier = audit.dossier
    card_columns, card = score_card(audit.scores)
    return {
        "sentences": facts["in_short"],
        "texts": text_rows(dossier),
        "set_aside": set_aside_sentence(dossier),
        "confidence": f"{dossier.settings.confidence:.0%}",
        "settings": dossier.settings,
        "card_columns": card_columns,
        "card": card,
        "confusions": TABLES["confusions"].rows(audit)[:LONGEST],
        "confusions_note": where_the_rest_is(len(audit.confusions), LONGEST, "confusions.csv"),
        "patterns": TABLES["patterns"].rows(audit)[:LONGEST],
        **_habits(audit),
        "patterns_note": where_the_rest_is(
            len(audit.patterns), LONGEST, "patterns.csv; every place: variants.csv"
        ),
        **_differences(audit),
        "pictures": {one.name: one for one in pictures_of(audit)},
        "test": trial_content(audit.trial) if audit.trial else None,
        **_outlook(audit),
        "readings": _readings(audit),
        "conjectures": _conjectures(audit),
        **_rules(audit),
        **_parallels(audit),
        **_again(audit),
        "copies": copies_content(audit),
        "marks": marks_content(audit),
        **_hands(audit),
        "imported": imported_content(audit),
        "attestation": attestation_content(audit),
        "shifts": shift_rows(headline_shifts(audit.shifts)),
        "shift_sentences": told(audit.shifts),
        **{name: facts[name] for name in ("cautions", "colophon", "inputs")},
        "skipped": [with_commands(_TEST.sub(_in_words, one)) for one in audit.skipped],
        "notes": list(map(with_commands, dict.fromkeys((*dossier.notes, *audit.notes)))),
    }


def with_commands(sentence: str) -> Markup:
    """Set commands that a sentence has between backticks as commands; everything else is escaped.

    >>> with_commands("a < b: `fidelity imported`")
    Markup('a &lt; b: <code>fidelity imported</code>')
    """
    parts = sentence.split("`")
    if len(parts) % 2 == 0:  # a single one is a letter of a text
        return escape(sentence)
    return Markup("").join(
        Markup("<code>{}</code>").format(part) if at % 2 else escape(part) for at, part in enumerate(parts)
    )


def _in_words(test: re.Match[str]) -> str:
    """Give the name of a test that was not made, as the page has names of causes."""
    return shown_in("cause", test[0])


def _differences(audit: Audit) -> dict[str, object]:
    """Give the differences, as many as a page can hold."""
    number = len(audit.variants) + len(audit.mended)
    shown = variant_rows([*audit.variants, *audit.mended][:MOST_DIFFERENCES])
    first = f"The first {MOST_DIFFERENCES:,} of {number:,}. " if number > MOST_DIFFERENCES else ""
    return {"variants": shown, "variants_note": f"{first}All of them, with more of each: variants.csv"}


def _habits(audit: Audit) -> dict[str, object]:
    """Give the habits in words, and what the worst patterns would have done to the lost texts."""
    worst = audit.patterns[:MOST_DAMAGE] if audit.dossier.lost else ()
    number, settings = len(audit.habits), audit.dossier.settings
    levels = settings.confidence, settings.false_discovery
    return {
        "habits": [
            (
                one.confusion.original,
                one.confusion.copy,
                account(one, *levels),
            )
            for one in audit.habits[:MOST_TOLD]
        ],
        "habits_note": f"The first {MOST_TOLD} of {number:,}; all: habits.csv" if number > MOST_TOLD else "",
        "damage": pattern_rows(worst),
    }


def _outlook(audit: Audit) -> dict[str, object]:
    """Give what is to be expected in the lost texts, and whether he changed as he went on."""
    outlook, course = audit.outlook, audit.course
    likeliest = sorted(course.drifts, key=lambda one: (one.q_value, one.p_value))[:LIKELIEST]
    checks = [one for one in outlook.checks if one.measure in SHOWN]
    return {
        "drift": drift_sentence(course.drifts, audit.dossier.settings.false_discovery),
        "drift_rows": drift_rows(likeliest),
        "forecast": forecast_sentences(outlook.forecasts, audit.trial),
        "forecast_rows": forecast_rows(headline_forecasts(outlook.forecasts), audit.trial),
        "check_rows": check_rows(checks),
        "coverage": coverage(outlook.checks),
    }


def _rules(audit: Audit) -> dict[str, object]:
    """Give what became of the rules behind the proposals, and where one was followed here and not there."""
    rules = rule_rows([one for one in audit.rules if not (one.where or one.by)])
    places = place_rows([one for one in audit.rule_places if not one.by])
    own = place_rows([one for one in audit.rule_places if one.by])
    return {
        "rules": rules[:LONGEST],
        "rules_tested": list({row["rule"]: row for row in rules[:LONGEST]}.values()),
        "rules_untested": "" if all(one.is_tested for one in audit.rules) else f". {NO_SHARE}",
        "rules_note": where_the_rest_is(
            len(rules), LONGEST, "consistency.csv, which tells of narrower surroundings too"
        ),
        "rule_places": places[:LONGEST],
        "rule_places_note": where_the_rest_is(len(places), LONGEST, "consistency_places.csv"),
        "own_rules": rule_rows([one for one in audit.rules if one.by]),
        "own_places": own[:LONGEST],
        "own_places_note": where_the_rest_is(len(own), LONGEST, "consistency_places.csv"),
    }


def _parallels(audit: Audit) -> dict[str, object]:
    """Give what is known of pairs, totals and lists; of pairs those first of which there is most to say."""
    rows = parallel_rows(audit.parallels)
    seen = of_survivors(rows)
    checks = [row for row in rows if row["what"] == CHECK]
    pairs = [row for row in rows if row not in seen and row not in checks]
    pairs.sort(key=lambda row: (not (row["proposed"] or row["may_be"]), row["what"] == "pair"))
    pairs = [row | {"proposed": row["proposed"] or None} for row in pairs]  # "" would be read as left out
    return {
        "parallels": told_in_short(audit.parallels),
        "coupled": seen,
        "lost_pairs": pairs[:LONGEST],
        "lost_pairs_note": where_the_rest_is(len(pairs), LONGEST, "parallels.csv"),
        "checks": checks[:LONGEST],
        "checks_note": where_the_rest_is(len(checks), LONGEST, "parallels.csv"),
    }


def _again(audit: Audit) -> dict[str, object]:
    """Give the places to look at again, and what only the copies keep."""
    return {
        "rechecks": TABLES["recheck"].rows(audit)[:MOST_AGAIN],
        "rechecks_note": f"All of them: recheck.csv, {len(audit.rechecks):,} in number",
        "rescued": TABLES["rescued"].rows(audit)[:LONGEST],
        "rescued_note": where_the_rest_is(len(audit.rescued), LONGEST, "rescued.csv"),
    }


def _hands(audit: Audit) -> dict[str, object]:
    """Give what is known of other hands; nothing where no text has any, and none could be looked for."""
    hands = audit.hands
    known = hands.layers or hands.candidates or hands.mixtures or any(one.lost for one in hands.searches)
    candidates: list[Row] = [candidate_row(one) | {"worth": worth(one)} for one in hands.candidates]
    return {
        "hand_sentences": hands_sentences(hands) if known else (),
        "layers": TABLES["layers"].rows(audit)[:LONGEST],
        "layers_note": where_the_rest_is(
            len(hands.layers), LONGEST, "layers.csv; counts by hand, with limits: layer_shares.csv"
        ),
        "hand_candidates": candidates[:LONGEST],
        "hand_candidates_note": " ".join(
            (QUESTION, where_the_rest_is(len(candidates), LONGEST, "hand_candidates.csv"))
        ),
        "hand_searches": [row for row in TABLES["hand_searches"].rows(audit) if row["lost"]],
        "mixtures": TABLES["letterform_mixtures"].rows(audit)[:LONGEST],
        "mixtures_note": where_the_rest_is(len(hands.mixtures), LONGEST, "letterform_mixtures.csv"),
    }


def _readings(audit: Audit) -> list[tuple[str, list[Row]]]:
    """Give the proposed readings of each lost text, in the order of the text."""
    order = {text.id: at for at, text in enumerate(audit.dossier.lost)}
    every = sorted(audit.readings + audit.decided, key=lambda one: (order.get(one.text, 0), one.copy_span))
    readings = every if audit.decided else audit.readings
    by_text: dict[str, list[Row]] = {}
    for row, reading in zip(reading_rows(readings), readings, strict=True):
        by_text.setdefault(reading.text, []).append(row | with_test(reading))
    return list(by_text.items())


def _conjectures(audit: Audit) -> list[Row]:
    """Give what became of the editor's conjectures, each with the range of its probability in one cell."""
    rows = conjecture_rows(audit)
    limits = [(row["probability_low"], row["probability_high"]) for row in rows]
    ranges = [
        range_in_words(low, high) if isinstance(low, float) and isinstance(high, float) else ""
        for low, high in limits
    ]
    return [
        row | {"conjecture": row["reading"], "range": told} for row, told in zip(rows, ranges, strict=True)
    ]


def with_test(reading: ProposedReading) -> Row:
    """Give the probability as it may be shown, the blind test's result, and the evidence by operation."""
    if reading.kind == DECIDED:
        proposed = reading.proposed if reading.is_proposal else "none"
        return {"proposed": proposed, "probability": "", "blind_test": ""}
    parallels, counterexamples = (
        _by_step([(one.step, getattr(one, what)) for one in reading.evidence]) or getattr(reading, what)
        for what in ("parallels", "counterexamples")
    )
    context = reading.context if reading.context != reading.transmitted else ""
    settled = {} if reading.is_proposal else {"proposed": "none settled"}
    return {
        **settled,
        "probability": believed(reading),
        f"probability{FIGURE}": significant(reading.probability),
        "blind_test": tested(reading),
        "parallels": parallels,
        "counterexamples": counterexamples,
        "context": context,
    }


def _by_step(cited: Sequence[tuple[str, tuple[str, ...]]]) -> tuple[str, ...]:
    """Give the places of each operation together, named by it where there are several.

    >>> _by_step([("s→r", ("L 1v:2.1",)), ("t→c", ("L 2r:1.3", "L 2r:4.1"))])
    ('s→r: L\\xa01v:2.1', 't→c: L\\xa02r:1.3, L\\xa02r:4.1')
    """
    told = [(step, ", ".join(locus.replace(" ", "\u00a0") for locus in loci)) for step, loci in cited if loci]
    return tuple(f"{step}: {loci}" if len(cited) > 1 else loci for step, loci in told)
