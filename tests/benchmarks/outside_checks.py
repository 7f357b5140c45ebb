"""How often totals, numbered lists and alphabetical order speak up where nothing is wrong, and where it is.

Arrives: the demos, and the texts of ``real_sets`` where there are any. Leaves: tables of the checks made on
texts as their scribes wrote them, and on made recipes and lists, sound ones and such with one number misread.
Run it from the project's root as ``python -m tests.benchmarks.outside_checks``; start reading at ``main``.

Of the real sets only what is learned from, and what is given as more text, is read.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence

from tabulate import tabulate

from fidelity.dossier import read_dossier
from fidelity.readings.outside import LostText, Ways, outside_checks
from fidelity.terms import Witness
from fidelity.terms.parallels import CheckKind
from fidelity.variants.lists import out_of_order, out_of_sequence
from fidelity.variants.numeral_slips import misread_from, numerals_in
from fidelity.variants.numerals import value_of_numeral
from fidelity.variants.totals import Total, total_words, totals_in
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.folds import NO_FOLDS, Folds
from fidelity.witnesses.read import read_witness
from tests.benchmarks.real_sets import RealSet, parser_of_sets, read_options, sets_at_hand

TENS, UNITS = ("", "x", "xx"), ("", "i", "ii", "iii", "iiii", "u", "ui", "uii", "uiii", "uiiii")
WORDS = ("leaf", "and", "of", "þam", "wyrta", "nim", "on", "ealaþ", "seoþ", "croppas", "drincan", "hunig")
WAYS = {("r", "n"): 2, ("s", "r"): 1, ("c", "e"): 1}
LIST = 30  # entries


def main() -> None:
    """Print the tables."""
    parser = parser_of_sets(__doc__)
    parser.add_argument("--made", type=int, default=2000, help="so many recipes and lists are made")
    parser.add_argument("--seed", type=int, default=1)
    options = read_options(parser)
    columns = ("text", "letters", "numerals", *map(str, CheckKind), "contradicted")
    print("As their scribes wrote them\n")
    print(
        tabulate(
            [*_demos(), *(row for name, one in sets_at_hand(options, print) for row in _real(name, one))],
            columns,
        )
    )
    drawn = random.Random(options.seed)
    print("\nRecipes with a total, among other numerals\n")
    print(tabulate(_totals(options.made, drawn), ("", "of", "contradicted", "right mend", "alone")))
    print("\nLists\n")
    print(tabulate(_lists(options.made, drawn), ("", "of", "lists told of", "the right place")))


def _demos() -> Iterator[tuple[object, ...]]:
    for name in ("wickenby_short", "wickenby_long"):
        dossier = read_dossier(data_folder("demo_pairs") / name)
        for text in (*(one.original for one in dossier.survivors), *dossier.references):
            yield _row(f"{name} {text.siglum}", text, dossier.folds)


def _real(name: str, one: RealSet) -> Iterator[tuple[object, ...]]:
    originals = [one.pieces[at][0] for at in one.learned]
    for what, lines in (("learned", originals), ("more", one.references)):
        if lines:
            yield _row(f"{name}, {what}", read_witness("\n".join(lines), siglum=name), NO_FOLDS)


def _row(name: str, text: Witness, folds: Folds) -> tuple[object, ...]:
    lost = LostText(text.siglum, text, folds)
    found = outside_checks(lost, Ways(WAYS, folds))
    kinds = Counter(one.kind for one in found)
    wrong = sum(not one.holds for one in found)
    return name, len(text), len(lost.numerals), *(kinds[kind] for kind in CheckKind), wrong


def _spelled(value: int) -> str:
    return f".{TENS[value // 10]}{UNITS[value % 10]}."


def _recipe(drawn: random.Random, misread: bool) -> tuple[str, int, str]:
    """Make a recipe after another: its text, where its numeral is misread (-1: nowhere), what stood there."""
    values = [drawn.randint(2, 12) for _ in range(drawn.randint(2, 4))]
    while sum(values) > 29:
        values.pop()
    numerals = [_spelled(value) for value in values]
    open_ = [at for at, one in enumerate(numerals) if misread_from(one, ())]
    if misread and not open_:
        return _recipe(drawn, misread)
    parts = []
    for _ in range(drawn.randint(0, 3)):
        parts += [_spelled(drawn.randint(2, 12)), *drawn.choices(WORDS, k=6)]
    wrong, place, right = drawn.choice(open_) if misread else -1, -1, ""
    for at, one in enumerate(numerals):
        written = one
        if at == wrong:
            place, right = len(" ".join([*parts, ""])), one
            written = drawn.choice(misread_from(one, ()))
        parts += [written, *drawn.choices(WORDS, k=3)]
    return " ".join([*parts, "ealra", _spelled(sum(values)), "seoþ"]), place, right


def _totals(made: int, drawn: random.Random) -> Iterator[tuple[object, ...]]:
    for name, misread in (("sound", False), ("one numeral misread", True)):
        contradicted = mended = alone = tested = 0
        for _ in range(made):
            text, at, right = _recipe(drawn, misread)
            for one in _tested(text):
                tested += 1
                contradicted += not one.holds
                told = {(mend.numeral.span[0], mend.reading) for mend in one.mends}
                mended += (at, right) in told
                alone += told == {(at, right)}
        yield name, tested, contradicted, mended, alone


def _tested(text: str) -> list[Total]:
    return list(totals_in(text, numerals_in(text), total_words(), ()))


def _lists(made: int, drawn: random.Random) -> Iterator[tuple[object, ...]]:
    words = sorted({"".join(drawn.choices("abcdefghilmnoprstu", k=6)) for _ in range(5000)})
    sound = found = right = 0
    for _ in range(made):
        sound += bool(out_of_sequence(range(1, LIST)))
        at = drawn.randint(1, LIST - 2)
        numbers = _with_misread(list(range(1, LIST)), at, drawn)
        told = out_of_sequence(numbers)
        found += bool(told)
        right += [one.at for one in told] == [at]
    yield "numbers in sequence", made, sound, ""
    yield "one number misread", made, found, right
    yield from _orders(made, words, drawn)


def _with_misread(numbers: list[int], at: int, drawn: random.Random) -> list[int]:
    """Put another number there: one that the numeral may be misread as, if there is any."""
    others = misread_from(_spelled(numbers[at]), ())
    value = value_of_numeral(drawn.choice(others)) if others else None
    numbers[at] = value or 99
    return numbers


def _orders(made: int, words: Sequence[str], drawn: random.Random) -> Iterator[tuple[object, ...]]:
    in_order = in_none = moved = right = 0
    for _ in range(made):
        entries = sorted(drawn.sample(words, LIST))
        in_order += bool(out_of_order(entries)[0])
        in_none += bool(out_of_order(drawn.sample(entries, LIST))[1])
        at = drawn.randrange(LIST)
        entries[at] = drawn.choice("abcdefghilmnoprstu") + entries[at][1:]
        if entries == sorted(entries):
            continue
        told = out_of_order(entries)[0]
        moved += bool(told)
        right += [one.at for one in told] == [at]
    yield "entries in order", made, in_order, ""
    yield "entries in no order, taken to be in order", made, in_none, ""
    yield "one first letter wrong, where that breaks the order", made, moved, right


if __name__ == "__main__":
    main()
