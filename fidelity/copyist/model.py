"""The whole model of the copyist: his habits, the originals' language, and what he made of words.

Arrives: the survivors as tagged letters, the originals' and reference texts on the normalised
level. Leaves: a ``Model`` for ``readings/``. Start reading at ``learn``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from fidelity.copyist.context_tree import Floats
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.lexicon import Lexicon, lexicon_of
from fidelity.copyist.script_tags import ScriptTags
from fidelity.copyist.spelling import Spelling
from fidelity.copyist.tagging import Tagged, word_spans
from fidelity.copyist.tags import TagModel
from fidelity.copyist.word_tags import WordTags


@dataclass(frozen=True)
class Weights:
    """How much each part of the model counts in the log-linear mixture.

    The defaults were chosen on the learning halves of two real pairs of original and copy.

    Attributes:
        habits: for log P(tag | context).
        in_words: for log P(tag | the word it stands in); together about as much as one would have alone.
        language: for log P(letter | letters before); full weight does harm.
        length: nats for each restored letter, against the pull of the language to short texts.
        words: for what a word gains by being a known word, after the word before.
    """

    habits: float = 0.6
    in_words: float = 0.7
    language: float = 0.5
    length: float = 0.7
    words: float = 0.4


class WordMemory:
    """What each written word stood for in the survivors.

    Args:
        stretches: the survivors' copies with their tags.
    """

    def __init__(self, stretches: Iterable[Tagged]) -> None:
        self.answers: defaultdict[str, Counter[str]] = defaultdict(Counter)
        for stretch in stretches:
            for start, end in word_spans(stretch.copied):
                if all(stretch.trusted[start:end]):
                    self.answers[stretch.copied[start:end]][stretch.original(start, end)] += 1

    def seen(self, written: str) -> Counter[str]:
        """Give how often each original word was answered by this written one."""
        return self.answers.get(written, Counter())


@dataclass(frozen=True)
class Model:
    """What is known of the copyist and of the originals' language.

    Attributes:
        tags: what stood in the original, given what he wrote.
        in_words: the same, given the whole word around it.
        in_scripts: what the script of the passage adds to that.
        letters: which letters follow which in the originals.
        words: the words of the originals.
        spelling: which of their forms are the same word.
        memory: what each written word stood for.
        written: how often each word form stands in all his copies, survivors' and lost texts'.
        weights: how the parts are mixed.
    """

    tags: TagModel
    in_words: WordTags
    in_scripts: ScriptTags
    letters: Letters
    words: Words
    spelling: Spelling
    memory: WordMemory
    written: Mapping[str, int] = field(default_factory=dict)
    weights: Weights = field(default_factory=Weights)

    def beside_habits(self, copied: str, scripts: Sequence[str]) -> Floats:
        """Give what is added to the habits at each letter of a stretch, in nats: a row for each letter.

        Args:
            copied: its letters.
            scripts: for each the script of the original there; "" where it is not known.
        """
        found = self.weights.in_words * self.in_words.log_chances(copied)
        more = self.in_scripts.log_ratios(copied, scripts)
        return found if more is None else found + more

    @cached_property
    def lexicon(self) -> Lexicon:
        """Give the words laid out."""
        return lexicon_of(self.words)


def learn(
    survivors: Sequence[Tagged],
    texts: Sequence[str],
    published: Iterable[tuple[str, str]] = (),
    written: Mapping[str, int] | None = None,
    weights: Weights | None = None,
) -> Model:
    """Learn the model of the copyist.

    Args:
        survivors: his copies with their tags.
        texts: the survivors' originals and the reference texts, normalised.
        published: letter confusions in print for the scripts concerned, (original, misread),
            folded: worth trying even where he was never seen to make them.
        written: how often each word form stands in all his copies; nothing of the originals.
        weights: of the mixture; the measured defaults if None.
    """
    letters = Letters(texts)
    words = Words(texts, letters)
    tags = TagModel(survivors, published)
    return Model(
        tags,
        WordTags(survivors, tags),
        ScriptTags(survivors, tags),
        letters,
        words,
        Spelling(words.counts),
        WordMemory(survivors),
        written or {},
        weights or Weights(),
    )
