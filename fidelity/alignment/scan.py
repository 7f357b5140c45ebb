# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""Loops over letters that are worth compiling; where they are not, arrays do the same work elsewhere.

Arrives: letters and places as arrays. Leaves: what was found, in arrays that the caller made. Each
function says which one it stands in for, with the same results; the types are in ``scan.pxd``.
"""

INFINITE = 1 << 61  # ``costs.UNREACHED``
FAR = 1 << 60  # no path of single letters is so dear
FACTOR = 0x9E3779B97F4A7C15  # ``seeds.FACTOR``
CUBE = 0x9E3779B97F4A7C15**3 & (1 << 64) - 1
WORD = (1 << 64) - 1
TOP = 56  # bits below the last of eight bytes
CHANGED = 1  # ``StepKind.CHANGED``
LONGEST = 3  # ``packing.LONGEST``


def choose_runs(letters, width, length, below, hashes, places):
    """Choose runs of letters by the hash of their first eight bytes; return how many (``seeds.py``).

    Args:
        letters: the text in bytes; width: bytes to a letter.
        length: letters in a run, of eight bytes at least unless all are chosen.
        below: runs whose first eight bytes have a hash below this number are chosen; 0 for all.
        hashes, places: room for those of all runs.
    """
    found = 0
    first = 0
    ahead = 8 - width if below else 0
    if below:
        first = bytes_at(letters, 0, ahead) << 8 * width
    for place in range(len(letters) // width - length + 1):
        for at in range(place * width + ahead, place * width + 8 if below else 0):
            first = (first >> 8) | (bytes_at(letters, at, 1) << TOP)
        if not below or (first * FACTOR) & WORD < below:
            places[found] = place
            hashes[found] = hash_of(letters, width, place, length)
            found += 1
    return found


def hash_of(letters, width, place, length):
    """Give the hash of a run of letters; as many of them at once as eight bytes hold, then halves."""
    mixed = 0
    most = 8 // width
    while length > 0:
        while most > length:
            most //= 2
        mixed = (mixed * CUBE + bytes_at(letters, place * width, most * width)) & WORD
        mixed ^= mixed >> 29
        place += most
        length -= most
    return (mixed * FACTOR) & WORD


def bytes_at(letters, start, count):
    """Give up to eight bytes of a text as one number, the lowest first."""
    number = 0
    for at in range(start + count - 1, start - 1, -1):
        number = (number << 8) | letters[at]
    return number


def lengthen(original, copy, width, ends, shift, limit, limited, backward):
    """Move the ends of runs outward as long as the letters agree (``seeds.lengthened``).

    Args:
        original, copy: the texts in bytes; width: bytes to a letter.
        ends: where the runs end, in letters; changed.
        shift: for each run its place in the copy less that in the original.
        limit: for each run where to go no further, if ``limited``.
        backward: whether to go toward the beginning of the text.
    """
    size = len(original) // width
    size_copy = len(copy) // width
    for run in range(len(ends)):
        end = ends[run]
        here = end - 1 if backward else end
        there = here + shift[run]
        while 0 <= here < size and 0 <= there < size_copy and not (limited and here >= limit[run]):
            if not alike(original, copy, width, here, there):
                break
            here += -1 if backward else 1
            there += -1 if backward else 1
        ends[run] = here + 1 if backward else here


def prove_paths(
    shapes, windows, original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded,
    table, columns, several, least, omitted, added, proved,
):  # fmt: skip
    """Find the windows in which letter surely answers letter, but for one more on one side at most.

    The proof is that of ``straight.py``. A letter more on one side stands alone there, and the others
    answer each other; any other path has a gap on either side. Of places for the gap that cost the
    same the first is taken, as ``inner.fill`` and ``inner.walk`` do.

    Args:
        shapes, windows: as in ``inner.solve``.
        original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded, table, columns:
            as in ``inner.fill``.
        several: whether there are operations of several letters.
        least, omitted, added: as ``straight.bounds`` gives them.
        proved: for each window, set to the letters before the gap where it is one, else to -1.
    """
    for window in range(windows):
        start, start_copy = shapes[7 * window], shapes[7 * window + 1]
        length, length_copy = shapes[7 * window + 2], shapes[7 * window + 3]
        proved[window] = -1
        more, more_copy = max(length - length_copy, 0), max(length_copy - length, 0)
        if more > 1 or more_copy > 1:
            continue
        shorter = length - more
        before, after, gap = 0, FAR, 0  # what letters cost above the least, before the gap and with it
        at = 0
        while at <= shorter and before < FAR:
            i, j = start + at, start_copy + at
            if at > 0:
                before += table[original_grams[i] * columns + copy_grams[j]] - least[original_grams[i]]
                a = original_grams[i + more]
                after += table[a * columns + copy_grams[j + more_copy]] - least[a]
            if at > 1 and (
                is_exchange(i, j, original_folded, copy_folded)
                or is_exchange(i + more, j + more_copy, original_folded, copy_folded)
            ):
                break
            cost = before
            if more:
                cost += omitted[original_grams[i + 1]]
            elif more_copy:
                cost += added[copy_grams[j + 1]]
            if cost < after:
                after, gap = cost, at
            at += 1
        if at <= shorter:
            continue
        if several and (
            has_listed(start, length, original_grams, stride)
            or has_listed(start_copy, length_copy, copy_grams, stride_copy)
        ):
            continue
        other = least_of(omitted, start, length, original_grams)
        other += least_of(added, start_copy, length_copy, copy_grams)
        if after < min(other, FAR):
            proved[window] = gap


def is_exchange(at, at_copy, original_folded, copy_folded):
    """Tell whether two different letters that end here may be an exchange of neighbours."""
    here, before = original_folded[at], original_folded[at - 1]
    return here != before and here == copy_folded[at_copy - 1] and before == copy_folded[at_copy]


def has_listed(start, length, grams, stride):
    """Tell whether two or three letters of a window take part in an operation of several."""
    for at in range(2, length + 1):
        if grams[stride + start + at] >= 0 or (at > 2 and grams[2 * stride + start + at] >= 0):
            return True
    return False


def least_of(costs, start, length, grams):
    """Give the least cost of a window's letters; infinite where there are none."""
    least = INFINITE
    for at in range(start + 1, start + length + 1):
        least = min(least, costs[grams[at]])
    return least


def find_changes(steps, original, copy, width, spaces, single, several, members, found):
    """Go through the steps of a stretch and enter the changes in it (``changes.changes_in``).

    Args:
        steps: five numbers a step.
        original, copy: the texts in bytes; width: bytes to a letter.
        spaces: for each letter by its number from 1 whether it is white space.
        single, several, members: room for what ``changes.Changes`` holds.
        found: set to how many rows ``several`` and ``members`` have then.
    """
    size = len(spaces)
    end = len(steps) // 5
    first = 0
    while first < end:
        if steps[5 * first + 4] != CHANGED:
            first += 1
            continue
        after = first + 1  # past the steps that are one change
        while after < end and steps[5 * after + 4] == CHANGED and stand_together(steps, after):
            after += 1
        o, end_o = steps[5 * first], steps[5 * after - 4]
        c, end_c = steps[5 * first + 2], steps[5 * after - 2]
        key = key_copy = -1
        if (end_o - o > 1 or end_c - c > 1) and end_o - o <= LONGEST and end_c - c <= LONGEST:
            key = packed(original, width, o, end_o, spaces)
            key_copy = packed(copy, width, c, end_c, spaces)
        one_operation = key >= 0 and key_copy >= 0
        if one_operation:
            several[2 * found[0]], several[2 * found[0] + 1] = key, key_copy
            found[0] += 1
        for at in range(first, after):
            o, end_o, c, end_c = steps[5 * at], steps[5 * at + 1], steps[5 * at + 2], steps[5 * at + 3]
            if end_o - o > 1 or end_c - c > 1:
                continue
            step = size * (bytes_at(original, width * o, width) + 1) if end_o > o else 0
            step += bytes_at(copy, width * c, width) + 1 if end_c > c else 0
            if one_operation:
                members[3 * found[1]], members[3 * found[1] + 1] = key, key_copy
                members[3 * found[1] + 2] = step
                found[1] += 1
            else:
                single[step] += 1
        first = after


def stand_together(steps, at):
    """Tell whether a step begins in both texts where the one before it ends."""
    return steps[5 * at] == steps[5 * at - 4] and steps[5 * at + 2] == steps[5 * at - 2]


def packed(letters, width, start, end, spaces):
    """Put up to three letters into one number (``packing.packed``); -1 where there is a space among them."""
    size = len(spaces)
    key = 0
    for at in range(start, start + LONGEST):
        number = bytes_at(letters, width * at, width) + 1 if at < end else 0
        if spaces[number]:
            return -1
        key = key * size + number
    return key


def price_steps(steps, original, copy, width, table, columns, gaps, gap_open, never, prices, others):
    """Give what steps of at most one letter a side cost; return how many they are (``steps.cost_of``).

    Args:
        steps: five numbers a step.
        original, copy: the texts in bytes; width: bytes to a letter.
        table, columns: cost of each letter of the original by each of the copy, in nats, row after row.
        gaps: cost of each letter in a long gap; gap_open: cost of the gap beside them.
        never: cost of what is no operation.
        prices: room for the cost of each step.
        others: for each step, set to 1 where it has more letters on a side.
    """
    found = 0
    for at in range(len(steps) // 5):
        o, c = steps[5 * at], steps[5 * at + 2]
        n, m = steps[5 * at + 1] - o, steps[5 * at + 3] - c
        others[at] = n > 1 or m > 1
        if n > 1 or m > 1:
            continue
        row = bytes_at(original, width * o, width) + 1 if n else 0
        column = bytes_at(copy, width * c, width) + 1 if m else 0
        gap = never if n and m else gaps[max(row, column) - 1] + gap_open
        price = table[row * columns + column]
        prices[found] = price if price < gap else gap
        found += 1
    return found


def find_along(original, copy, width, windows, near, shortest, runs):
    """Find runs of equal letters in the direction of a window's ends; return how many (``anchors.py``).

    Args:
        original, copy: the texts in bytes; width: bytes to a letter.
        windows: four numbers a window: original start and end, copy start and end.
        near: letters by which its ends may be shifted against each other.
        shortest: letters in the shortest run.
        runs: room for three numbers a run: original start, copy start, length.
    """
    found = 0
    for shift in range(-near, near + 1):
        for window in range(len(windows) // 4):
            o, end = windows[4 * window], windows[4 * window + 1]
            across, end_across = windows[4 * window + 2] - o, windows[4 * window + 3]
            least, most = min(end_across - across - end, 0), max(end_across - across - end, 0)
            if shift < least or shift > most:
                continue
            across += shift
            end = min(end, end_across - across)
            first = o + max(-shift, 0)
            for at in range(first, end + 1):
                if at < end and alike(original, copy, width, at, at + across):
                    continue
                if at - first >= shortest:
                    runs[3 * found], runs[3 * found + 1] = first, first + across
                    runs[3 * found + 2] = at - first
                    found += 1
                first = at + 1
    return found


def alike(original, copy, width, at, at_copy):
    """Tell whether two letters are the same."""
    for byte in range(width):
        if original[width * at + byte] != copy[width * at_copy + byte]:
            return False
    return True
