# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""Loops over letters that are worth compiling; where they are not, arrays do the same work elsewhere.

Arrives: letters and places as arrays. Leaves: what was found, in arrays that the caller made. Each
function says which one it stands in for, with the same results; the types are in ``scan.pxd``.
"""

INFINITE = 1 << 61  # ``costs.UNREACHED``
FACTOR = 0x9E3779B97F4A7C15  # ``seeds.FACTOR``
WORD = (1 << 64) - 1
TOP = 56  # bits below the last of eight bytes


def choose_places(letters, width, count, below, places):
    """Choose runs of letters by the hash of their first eight bytes; return how many (``seeds.py``).

    Args:
        letters: the text in bytes; width: bytes to a letter.
        count: how many runs there are, each of eight bytes at least.
        below: hashes below this number are chosen.
        places: room for the places of all.
    """
    found = 0
    run = 0
    at = 0
    for place in range(count):
        while at < place * width + 8:
            last = letters[at]  # as wide as the run
            run = (run >> 8) | (last << TOP)
            at += 1
        places[found] = place  # overwritten by the next where it is not chosen
        if (run * FACTOR) & WORD < below:
            found += 1
    return found


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
            byte = 0
            while byte < width and original[here * width + byte] == copy[there * width + byte]:
                byte += 1
            if byte < width:
                break
            here += -1 if backward else 1
            there += -1 if backward else 1
        ends[run] = here + 1 if backward else here


def mark_straight(
    shapes, windows, original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded,
    table, columns, several, least, omitted, added, straight,
):  # fmt: skip
    """Mark the windows in which one letter surely answers one (``straight.py``).

    Args:
        shapes, windows: as in ``inner.solve``.
        original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded, table, columns:
            as in ``inner.fill``.
        several: whether there are operations of several letters.
        least, omitted, added: as ``straight.bounds`` gives them.
        straight: for each window, set to 1 where it is one.
    """
    for window in range(windows):
        start = shapes[7 * window]
        start_copy = shapes[7 * window + 1]
        length = shapes[7 * window + 2]
        if length != shapes[7 * window + 3]:
            continue
        dearer = 0
        leaving_out = INFINITE
        putting_in = INFINITE
        was_changed = 0
        at = 1
        while at <= length:
            changed = 1 if original_folded[start + at] != copy_folded[start_copy + at] else 0
            if changed and was_changed:  # may be an exchange of neighbours
                break
            was_changed = changed
            if several and at > 1:
                if original_grams[stride + start + at] >= 0 or copy_grams[stride_copy + start_copy + at] >= 0:
                    break
                if at > 2 and original_grams[2 * stride + start + at] >= 0:
                    break
                if at > 2 and copy_grams[2 * stride_copy + start_copy + at] >= 0:
                    break
            a = original_grams[start + at]
            b = copy_grams[start_copy + at]
            dearer += table[a * columns + b] - least[a]
            if dearer >= INFINITE:
                break
            leaving_out = omitted[a] if omitted[a] < leaving_out else leaving_out
            putting_in = added[b] if added[b] < putting_in else putting_in
            at += 1
        if at > length and (length == 0 or dearer < leaving_out + putting_in):
            straight[window] = 1
