"""Give every reader inputs that were spoilt at random: nothing but a FidelityError may come out.

    python -m tests.fuzz.run --count 200000 --seed 1

prints how many inputs were read, refused and let through, the kinds of errors, and the slowest.
The same seed gives the same inputs.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from fidelity.dossier import read_dossier
from fidelity.errors import FidelityError
from fidelity.witnesses.read import read_witness
from tests.fuzz.seeds import PIECES, PLAIN, READERS, harmful, packed

MOST_SPOILT = 6  # changes made to one input; more of them only give noise that is refused at once
MEMORY = 2_000_000_000  # bytes of address space; the program with its libraries takes some 0.5 GB of it


@dataclass
class Tally:
    """What came of the inputs.

    Attributes:
        read: how many were read without fault, by reader.
        refused: how many were refused, by reader.
        kinds: how many errors there were of each kind.
        wrong: what else came out, with the input.
        slowest: seconds, reader and size in bytes of the input that took longest.
    """

    read: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    wrong: list[tuple[str, bytes, str]] = field(default_factory=list)
    slowest: tuple[float, str, int] = (0.0, "", 0)


def spoilt(rng: random.Random, name: str) -> bytes:
    """Spoil a sound input: cut, double, swap, put in signs, flip bytes."""
    data = READERS[name][2]
    for _ in range(rng.choice((1, 1, 1, 2, 3, MOST_SPOILT))):
        at, to = sorted(rng.randrange(len(data) + 1) for _ in range(2))
        to = min(to, at + rng.choice((1, 3, 10, 200)))
        change = rng.randrange(5)
        if change == 0:
            data = data[:at] + data[to:]
        elif change == 1:
            data = data[:to] + data[at:to] * rng.choice((1, 2, 50)) + data[to:]
        elif change == 2:
            other = READERS[rng.choice(list(READERS))][2]
            data = data[:at] + other[rng.randrange(len(other)) :][:30] + data[to:]
        else:
            data = (
                data[:at] + rng.choice(PIECES) * rng.choice((1, 1, 1, 20)) + data[at if change == 3 else to :]
            )
    made = bytearray(data.encode("utf-8", "surrogatepass"))
    if made and rng.random() < 0.1:
        for _ in range(rng.randint(1, 3)):
            made[rng.randrange(len(made))] = rng.randrange(256)
    return bytes(made)


def inputs(count: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """Give so many inputs: first those made to do harm, then spoilt ones, each reader in turn."""
    rng = random.Random(seed)
    names = list(READERS)
    made = list(harmful())[:count]
    yield from made
    for at in range(count - len(made)):
        name = names[at % len(names)]
        yield name, spoilt(rng, name)


def lay_out(folder: Path) -> None:
    """Lay out what a dossier names, with a link that goes in a circle and one that leads outside."""
    for name in ("o.txt", "c.txt", "x.txt", "k.txt"):
        (folder / name).write_text(PLAIN, encoding="utf-8")
    (folder / "circle.txt").symlink_to(folder / "circle.txt")
    (folder / "link.txt").symlink_to(Path(sys.executable))


def try_one(name: str, data: bytes, folder: Path, tally: Tally) -> None:
    """Give one input to its reader and enter what comes of it."""
    ending, profile, _ = READERS[name]
    file = folder / (f"input{ending}" if profile else "dossier.toml")
    file.write_bytes(packed(ending, data))
    begun = time.perf_counter()
    try:
        if profile:
            read_witness(file, profile=profile)
        else:
            read_dossier(file)
        tally.read[name] += 1
    except FidelityError as error:
        tally.refused[name] += 1
        tally.kinds[type(error).__name__] += 1
        str(error)
    except Exception as error:  # whatever it is, it is what is looked for
        tally.kinds[type(error).__name__] += 1
        tally.wrong.append((name, data, f"{type(error).__name__}: {error}"))
    taken = time.perf_counter() - begun
    tally.slowest = max(tally.slowest, (taken, name, len(data)))


def fuzz(count: int, seed: int, folder: Path) -> Tally:
    """Give the readers so many inputs; tell what came of them."""
    lay_out(folder)
    tally = Tally()
    for name, data in inputs(count, seed):
        try_one(name, data, folder, tally)
    return tally


def main() -> int:
    """Run the fuzz from the command line; the exit code is 1 where anything was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--memory", type=int, default=MEMORY, help="bytes; more is an error")
    asked = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (asked.memory, asked.memory))
    begun = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        tally = fuzz(asked.count, asked.seed, Path(folder))
    print(f"{asked.count:,} inputs, seed {asked.seed}, {time.perf_counter() - begun:.0f} s")
    for name in READERS:
        print(f"  {name}: {tally.read[name]:,} read, {tally.refused[name]:,} refused")
    print("errors:", ", ".join(f"{kind} {count:,}" for kind, count in tally.kinds.most_common()) or "none")
    taken, name, size = tally.slowest
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1000:,} MB")
    print(f"slowest: {taken:.2f} s, {name}, {size:,} bytes")
    for name, data, what in tally.wrong[:20]:
        print(f"WRONG {name}: {what}\n  {data[:300]!r}")
    return 1 if tally.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
