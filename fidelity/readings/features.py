"""What the calibration looks at when it judges a reading.

Arrives: a reading that might be proposed and the model. Leaves: numbers. Start reading at ``word_features``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.model import Model
from fidelity.readings.steps import steps_between

# What each feature is guessed to do to the odds before anything is held out (all others: nothing).
# The first is the model's own log odds, which count a little less than it thinks; the last is how
# improbable a slip at every recurrence would be, in nats (``_recurring_slip``).
FIRST_GUESS = {0: 0.8, -1: -1.0}
DOUBT_GUESS = {0: 0.8}  # the same for what asks whether a unit is corrupt at all
CHANNEL = 3  # the column of the plain channel's odds
LITTLE = 1e-4  # added to both sides of a ratio of chances
MOST_NATS = 15.0  # of the plain channel's odds: more is certain enough


def log_odds(p: float) -> float:
    """Give log(p / (1 - p)) with p kept between 1e-4 and 1 - 1e-4."""
    p = min(max(p, 1e-4), 1 - 1e-4)
    return math.log(p / (1 - p))


def channel_odds(proposed: str, transmitted: str, before: str, model: Model) -> float:
    """Give the log odds of a reading against the transmitted one by plain Bayes, in nats.

    What the words are worth after the word before, times how often he does each operation, whatever stands
    around it. The model's own posterior asks what stood around; where an error was never met in such
    surroundings, or never at all, this one is not so sure that it cannot be.
    """
    did = sum(math.log(model.tags.rate(*step)) for step in steps_between(proposed, transmitted))
    return max(min(worth_odds(proposed, transmitted, before, model) + did, MOST_NATS), -MOST_NATS)


def worth_odds(proposed: str, transmitted: str, before: str, model: Model) -> float:
    """Give how much more the words of a reading are worth than the transmitted ones, in nats."""
    return worth(proposed, before, model) - worth(transmitted, before, model)


def _followed(proposed: str, transmitted: str, after: str, model: Model) -> float:
    """Give how much better the copied word after follows a reading than the transmitted one, in nats."""
    words, copied = proposed.split(), transmitted.split()
    if not words or not copied or after not in model.words:
        return 0.0
    there, here = (model.words.probability(after, one[-1]) for one in (words, copied))
    return math.log(there / here)


def worth(text: str, before: str, model: Model) -> float:
    """Give the log of what the words of a reading are worth, in nats."""
    total = 0.0
    for word in text.split():
        total += math.log(max(model.words.probability(word, before), 1e-300))
        before = word
    return total


def _known(text: str, model: Model) -> tuple[float, float, float]:
    """Give the share of a reading's words that are known, the log count of the rarest, and of its forms."""
    words = text.split()
    if not words:
        return 0.0, 0.0, 0.0
    counts = [model.words.counts[word] for word in words]
    forms = min(model.spelling.count(word) for word in words)
    return sum(count > 0 for count in counts) / len(words), math.log1p(min(counts)), math.log1p(forms)


def _written(text: str, model: Model) -> float:
    """Give the log count, in all his copies, of the rarest word of a reading.

    A form he writes again and again is seldom a slip; one he writes once may be.
    """
    return math.log1p(min((model.written.get(word, 0) for word in text.split()), default=0))


def _recurring_slip(unit: str, proposed: str, transmitted: str, model: Model) -> float:
    """Give how improbable it is that the same slip was made at every recurrence of a form.

    A form that stands often in his copies, where the survivors could not test it, is a word the
    model has not met rather than a rare slip made every time; a habit may well come every time.
    The log of the recurrences, times -log of the rate of the rarest assumed step.
    """
    written = min((model.written.get(word, 0) for word in unit.split()), default=0)
    untested = written / (model.memory.seen(unit).total() + 1)
    if untested <= 1:
        return 0.0
    rarest = min((model.tags.rate(*step) for step in steps_between(proposed, transmitted)), default=1.0)
    return math.log(untested) * -math.log(rarest)


def word_features(
    transmitted: str, proposed: str, readings: Mapping[str, float], beside: tuple[str, str], model: Model
) -> tuple[float, ...]:
    """Give what the calibration looks at for a reading of a whole unit.

    Args:
        transmitted: the copied letters.
        proposed: the reading.
        readings: every reading of the restored line with its posterior.
        beside: the copied words before and after; "" for none.
        model: what is known of the copyist and the language.
    """
    p = readings.get(proposed, 0.0)
    others = [q for text, q in readings.items() if text not in (proposed, transmitted)]
    seen = model.memory.seen(transmitted)
    times = seen.total()
    known, rarest, forms = _known(proposed, model)
    known_copy, rarest_copy, forms_copy = _known(transmitted, model)
    divisions = proposed.count(" ") - transmitted.count(" ")
    return (
        log_odds(p),
        math.log((p + LITTLE) / (readings.get(transmitted, 0.0) + LITTLE)),
        math.log((p + LITTLE) / (max(others, default=0.0) + LITTLE)),
        channel_odds(proposed, transmitted, beside[0], model),
        _followed(proposed, transmitted, beside[1], model),
        known,
        known_copy,
        rarest,
        rarest_copy,
        forms - rarest,
        forms_copy - rarest_copy,
        math.log1p(times),
        (seen[proposed] + 0.5) / (times + 1.0),
        (seen[transmitted] + 0.5) / (times + 1.0),
        math.log1p(Levenshtein.distance(transmitted, proposed)),
        float(divisions > 0),
        float(divisions < 0),
        math.log1p(len(transmitted)),
        _written(proposed, model),
        _recurring_slip(transmitted, proposed, transmitted, model),
    )


def doubt_features(
    transmitted: str, readings: Mapping[str, float], channel: float, model: Model
) -> tuple[float, ...]:
    """Give what the calibration looks at when it asks whether a copied unit is corrupt at all.

    Args:
        transmitted: the copied letters.
        readings: every reading of the restored line with its posterior.
        channel: the best plain odds of any other reading (``channel_odds``), nats.
        model: what is known of the copyist and the language.
    """
    seen = model.memory.seen(transmitted)
    times = seen.total()
    known, rarest, forms = _known(transmitted, model)
    best = max((p for text, p in readings.items() if text != transmitted), default=0.0)
    return (
        log_odds(1.0 - readings.get(transmitted, 0.0)),
        log_odds(best),
        channel,
        known,
        rarest,
        forms - rarest,
        math.log1p(times),
        (seen[transmitted] + 0.5) / (times + 1.0),
        float(len(transmitted.split()) > 1),
        math.log1p(len(transmitted)),
        _written(transmitted, model),
    )


def letter_features(
    unit: str, at: int, answers: Mapping[str, float], readings: Mapping[str, float], before: str, model: Model
) -> tuple[float, ...]:
    """Give what the calibration looks at for the best other answer to a single letter.

    Args:
        unit: the copied letters of the unit.
        at: which of them is asked about.
        answers: every answer of the restored line with its posterior.
        readings: the same for the whole unit.
        before: the copied word before.
        model: what is known of the copyist and the language.
    """
    letter = unit[at]
    tag, p, second = best_other(letter, answers)
    edited = unit[:at] + tag + unit[at + 1 :]
    seen = model.tags.seen(letter)
    best_word = max((q for text, q in readings.items() if text != unit), default=0.0)
    known, rarest, forms = _known(edited, model)
    return (
        log_odds(p),
        math.log((p + LITTLE) / (answers.get(letter, 0.0) + LITTLE)),
        math.log((p + LITTLE) / (second + LITTLE)),
        log_odds(best_word),
        log_odds(readings.get(unit, 0.0)),
        channel_odds(edited, unit, before, model),
        known,
        rarest,
        forms - rarest,
        _known(unit, model)[0],
        math.log1p(seen[tag]),
        (seen[tag] + 0.5) / (seen.total() + 1.0),
        (seen[letter] + 0.5) / (seen.total() + 1.0),
        math.log1p(Levenshtein.distance(letter, tag)),
        float(letter.isspace() or any(x.isspace() for x in tag)),
        math.log1p(len(unit)),
        _written(unit, model),
        _recurring_slip(unit, tag, letter, model),
    )


def best_other(letter: str, answers: Mapping[str, float]) -> tuple[str, float, float]:
    """Give the best answer but "as it stands", its posterior, and that of the next."""
    others = sorted(
        ((p, tag) for tag, p in answers.items() if tag != letter), key=lambda pair: (-pair[0], pair[1])
    )
    if not others:
        return "", 0.0, 0.0
    return others[0][1], others[0][0], others[1][0] if len(others) > 1 else 0.0
