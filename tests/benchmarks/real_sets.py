"""Two sets of real copies whose originals survive, and the tasks that can be made of them.

Arrives: the folder that the environment variable FIDELITY_BENCHMARKS names; the texts are not part of the
project. Each set lies in a folder of its own:

- ``parzifal``: ``exemplar.txt`` and ``copy.txt``, verse for verse, and ``exemplar_elsewhere.txt``, more
  of the exemplar. Learned from the first half of the verses; the rest is taken for the copy of a lost
  original.
- ``prints``: ``original/NNN.txt`` and ``copy/NNN.txt``, stretches of print as one reader took them.
  Learned from the even stretches; the odd ones are taken for lost.

Leaves: a ``Task``, what is learned from and what is to be restored, with the truth kept apart. Start reading
at ``RealSet``.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

VARIABLE = "FIDELITY_BENCHMARKS"
BESIDE = Path(__file__).parents[3] / "shared" / "benchmarks"  # where the texts may lie if nothing is named
VERSES_TOGETHER = 50  # where verses are drawn at random, about so many that follow one another are


@dataclass(frozen=True)
class Task:
    """What is learned from, what is to be restored, and, kept apart, the truth.

    Attributes:
        survivors: pairs of original and copy.
        lost: copies of the originals taken for lost.
        references: more text in the originals' language.
        truth: the lost originals, for scoring.
    """

    survivors: Sequence[tuple[str, str]]
    lost: Sequence[str]
    references: Sequence[str]
    truth: Sequence[str]


@dataclass(frozen=True)
class RealSet:
    """Original and copy piece by piece, and how pieces make texts.

    Attributes:
        pieces: verses or stretches, each an original and its copy, in order.
        learned: which of them are learned from, by the set's own protocol; the others are lost.
        references: more text in the originals' language.
        together: so many neighbours are drawn together where pieces are drawn at random.
        one_text: whether all pieces learned from are one text, and all lost ones another.
    """

    pieces: Sequence[tuple[str, str]]
    learned: tuple[int, ...]
    references: Sequence[str]
    together: int
    one_text: bool

    @property
    def lost(self) -> tuple[int, ...]:
        learned = set(self.learned)
        return tuple(number for number in range(len(self.pieces)) if number not in learned)

    def for_tuning(self) -> RealSet:
        """Give the half that is learned from as a set of its own, halved again by the same rule.

        What is chosen by looking at figures is chosen here: the lost half is not even read.
        """
        pieces = [self.pieces[number] for number in self.learned]
        learned = range(len(pieces) // 2) if self.one_text else range(0, len(pieces), 2)
        return RealSet(pieces, tuple(learned), self.references, self.together, self.one_text)

    def task(self, learned: Iterable[int], lost: Iterable[int], has_references: bool = True) -> Task:
        """Make the task of learning from some pieces and restoring others; both are put in order."""
        survivors, truth = self._texts(learned), self._texts(lost)
        return Task(
            survivors=survivors,
            lost=[copy for _, copy in truth],
            references=self.references if has_references else [],
            truth=[original for original, _ in truth],
        )

    def _texts(self, numbers: Iterable[int]) -> list[tuple[str, str]]:
        pairs = [self.pieces[number] for number in sorted(numbers)]
        if not self.one_text:
            return pairs
        originals, copies = zip(*pairs, strict=True)
        return [("\n".join(originals), "\n".join(copies))]

    def blocks(self, numbers: Sequence[int], rng: np.random.Generator) -> Iterator[list[int]]:
        """Cut pieces into blocks of neighbours, as equal as can be, and give them in an order drawn."""
        wanted = max(round(len(numbers) / self.together), 1)
        cut = np.array_split(np.array(numbers), wanted)
        return (cut[at].tolist() for at in rng.permutation(wanted))

    def split(self, rng: np.random.Generator) -> Task:
        """Draw the half that is learned from; the other half is lost."""
        blocks = list(self.blocks(range(len(self.pieces)), rng))
        half = (len(blocks) + 1) // 2
        learned, lost = ([at for block in some for at in block] for some in (blocks[:half], blocks[half:]))
        return self.task(learned, lost)

    def fewer(self, share: float, rng: np.random.Generator, has_references: bool = True) -> Task:
        """Learn from a share of the learned pieces only, blocks drawn at random; the same are lost."""
        wanted = max(round(share * len(self.learned)), 1)
        drawn = [at for block in self.blocks(self.learned, rng) for at in block]
        return self.task(drawn[:wanted], self.lost, has_references)


def parzifal(folder: Path) -> RealSet:
    """Give the medieval copy: verses of one text, and the exemplar elsewhere."""
    original, copy = (_read(folder / name).splitlines() for name in ("exemplar.txt", "copy.txt"))
    pieces = list(zip(original, copy, strict=True))
    learned = tuple(range(len(pieces) // 2))
    return RealSet(pieces, learned, [_read(folder / "exemplar_elsewhere.txt")], VERSES_TOGETHER, True)


def prints(folder: Path) -> RealSet:
    """Give the stretches of print: even ones survive, odd ones are lost."""
    files = sorted((folder / "original").glob("*.txt"))
    pieces = [(_read(file), _read(folder / "copy" / file.name)) for file in files]
    learned = tuple(at for at, file in enumerate(files) if int(file.stem) % 2 == 0)
    return RealSet(pieces, learned, [], 1, False)


SETS: Mapping[str, Callable[[Path], RealSet]] = {"parzifal": parzifal, "prints": prints}


def by_protocol(one: RealSet) -> Task:
    """Give the task of a set's own protocol."""
    return one.task(one.learned, one.lost)


def _read(file: Path) -> str:
    return file.read_text(encoding="utf-8")


def lay_out(task: Task, folder: Path) -> None:
    """Write the dossier that the program is shown; nothing of the truth is in it."""
    parts = ['[copyist]\nname = "the copyist"\n']
    for number, (original, copy) in enumerate(task.survivors):
        (folder / f"S{number:03}_original.txt").write_text(original, encoding="utf-8")
        (folder / f"S{number:03}_copy.txt").write_text(copy, encoding="utf-8")
        files = f'original = "S{number:03}_original.txt"\ncopy = "S{number:03}_copy.txt"\n'
        parts.append(f'[[survivor]]\nid = "S{number:03}"\n{files}')
    for number, copy in enumerate(task.lost):
        (folder / f"L{number:03}.txt").write_text(copy, encoding="utf-8")
        parts.append(f'[[lost]]\nid = "L{number:03}"\ncopy = "L{number:03}.txt"\n')
    for number, text in enumerate(task.references):
        (folder / f"R{number:03}.txt").write_text(text, encoding="utf-8")
        parts.append(f'[[reference]]\nfiles = ["R{number:03}.txt"]\n')
    (folder / "dossier.toml").write_text("\n".join(parts), encoding="utf-8")


def benchmark_folder() -> Path | None:
    """Find the texts: where the environment says, else beside the project; None where they are not."""
    named = os.environ.get(VARIABLE)
    folder = Path(named) if named else BESIDE
    return folder if folder.is_dir() else None


def sets_at_hand(options: argparse.Namespace, show: Callable[[str], None]) -> Iterator[tuple[str, RealSet]]:
    """Read the sets that are named (all if none is), and say which are skipped."""
    folder = benchmark_folder()
    for name in options.sets or SETS:
        if folder is None or not (folder / name).is_dir():
            show(f"{name}: skipped, its texts are not there; {VARIABLE} must name the folder that holds them")
        else:
            one = SETS[name](folder / name)
            yield name, one.for_tuning() if options.tuning else one


def parser_of_sets(description: str | None) -> argparse.ArgumentParser:
    """Make the command line of a benchmark: which sets are wanted, and where their figures go."""
    parser = argparse.ArgumentParser(description=description, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("sets", nargs="*", help=f"which sets: {', '.join(SETS)}; all if none is named")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    parser.add_argument("--tuning", action="store_true", help="within the half that is learned from")
    return parser


def read_options(parser: argparse.ArgumentParser) -> argparse.Namespace:
    """Read the command line; a set that there is not is a fault of usage."""
    options = parser.parse_args()
    if unknown := set(options.sets) - set(SETS):
        parser.error(f"no such set: {', '.join(sorted(unknown))}")
    return options
