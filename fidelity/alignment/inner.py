# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""The inner loop of the alignment: fill window after window of the weighted programme, walk each back.

Arrives: the windows' letters as numbers, the costs of every operation. Leaves: the steps of the
paths of least cost. Start reading at ``solve``, then ``fill``, then ``walk``.

This file is plain Python. Where a C compiler is at hand when the package is built, the same file
is compiled with the types of ``inner.pxd``; the results are the same to the last letter.

The recurrence is that of Wagner & Fischer (Journal of the ACM 21, 1974) with operations of up to
three letters on a side (generalised edit distance), an exchange of neighbours (Damerau, Comm.
ACM 7, 1964) and long gaps of affine cost (Gotoh, J. Mol. Biol. 162, 1982). Of ways that cost the
same the first in the order of ``fill`` is taken, but one letter for one before one left out.
"""

INFINITE = 1 << 61  # ``costs.UNREACHED``

# How a cell was reached, one byte: operations are 4 * original letters + copy letters (1-15).
FROM_SWAP = 16
FROM_OMISSION = 17
FROM_ADDITION = 18
CODE_BITS = 31
OMISSION_GOES_ON = 32
ADDITION_GOES_ON = 64

# What a step does, as ``StepKind`` has it: plain numbers, since this file is compiled.
KEPT = 0
CHANGED = 1
SKIPPED = 2
LONGEST = 3  # letters a side of an operation; a gap is a skip when it is longer


def band_start(row, length, length_copy, half_band):
    """Give the first column of a row that is filled: of the band around the diagonal, or the very first."""
    if half_band == 0:
        return 0
    low = row * length_copy // length - half_band
    if low > length_copy - 2 * half_band:
        low = length_copy - 2 * half_band
    if low < 0:
        low = 0
    return low


def fill(
    start, start_copy, length, length_copy, half_band,
    original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded,
    table, columns, multi_originals, multi_copies, multi_count,
    gap_open, original_gaps, copy_gaps, swap_cost, rows, omissions, back, active,
):  # fmt: skip
    """Fill one window and return the least cost.

    Args:
        start, start_copy: place before the window's first letter in the arrays of either side.
        length, length_copy: letters in the window.
        half_band: columns to either side of the diagonal; 0 for the whole window.
        original_grams: gram number of the 1, 2 and 3 letters that end at each place, three rows
            of ``stride``, -1 where such a gram takes part in no operation.
        copy_grams, stride_copy: the same for the copy.
        original_folded, copy_folded: one number for each letter, equal where the letters count
            as the same.
        table: cost of original gram by copy gram, row after row; gram 0 is the empty one.
        columns: width of a row of the table.
        multi_originals, multi_copies, multi_count: lengths of the operations of more than one
            letter on a side that the table holds.
        gap_open: cost of a long gap.
        original_gaps, copy_gaps: cost of each letter in it.
        swap_cost: cost of two neighbours exchanged.
        rows: room for four rows of costs; omissions: room for one row.
        back: room for one byte a cell, filled here for ``walk``.
        active: room for the operations that can end in a row, three numbers each.
    """
    size = length_copy + 1
    width = size
    if half_band > 0:
        width = 2 * half_band + 1
    for at in range(4 * size):
        rows[at] = INFINITE
    for at in range(size):
        omissions[at] = INFINITE
    for i in range(length + 1):
        low = band_start(i, length, length_copy, half_band)
        high = low + width
        if high > size:
            high = size
        base = (i & 3) * size
        above_row = ((i + 3) & 3) * size
        if half_band > 0 and i > 3:  # what the row four above left outside the band is out of reach
            for at in range(band_start(i - 4, length, length_copy, half_band), low):
                rows[base + at] = INFINITE
        to_cell = i * width - low
        a = 0
        count = 0
        omitting = INFINITE
        extending = 0
        swapping = -1
        swapped = -1
        if i > 0:
            a = original_grams[start + i]
            omitting = table[a * columns]
            extending = original_gaps[start + i]
            if i > 1:
                swapping = original_folded[start + i]
                swapped = original_folded[start + i - 1]
                if swapping == swapped:
                    swapping = -1
        for k in range(multi_count):
            m = multi_originals[k]
            if i >= m:
                b = 0
                if m > 0:
                    b = original_grams[(m - 1) * stride + start + i]
                if b >= 0:
                    active[3 * count] = m
                    active[3 * count + 1] = multi_copies[k]
                    active[3 * count + 2] = b * columns
                    count += 1
        a = a * columns
        addition = INFINITE
        best = INFINITE
        diagonal = INFINITE
        if i == 0:
            diagonal = -INFINITE  # makes good for the table, whose first cost is infinite: 0 to begin with
        elif low > 0:
            diagonal = rows[above_row + low - 1]
        for j in range(low, high):
            left = best
            b = copy_grams[start_copy + j]
            above = rows[above_row + j]
            opened = above + gap_open
            cost = omissions[j]
            code = OMISSION_GOES_ON if cost < opened else 0
            cost = (cost if cost < opened else opened) + extending
            omissions[j] = cost
            best = above + omitting
            way = FROM_OMISSION if cost < best else 4
            best = cost if cost < best else best
            cost = diagonal + table[a + b]
            diagonal = above
            way = 5 if cost <= best else way
            best = cost if cost <= best else best
            cost = left + table[b]
            way = 1 if cost < best else way
            best = cost if cost < best else best
            opened = left + gap_open
            code = code | ADDITION_GOES_ON if addition < opened else code
            addition = (addition if addition < opened else opened) + copy_gaps[start_copy + j]
            way = FROM_ADDITION if addition < best else way
            best = addition if addition < best else best
            for k in range(count):
                n = active[3 * k + 1]
                if j < n:
                    continue
                b = 0
                if n > 0:
                    b = copy_grams[(n - 1) * stride_copy + start_copy + j]
                if b >= 0:
                    m = active[3 * k]
                    cost = rows[((i - m) & 3) * size + j - n] + table[active[3 * k + 2] + b]
                    if cost < best:
                        best = cost
                        way = 4 * m + n
            if swapping >= 0 and j > 1 and swapping == copy_folded[start_copy + j - 1]:
                if swapped == copy_folded[start_copy + j]:
                    cost = rows[((i - 2) & 3) * size + j - 2] + swap_cost
                    if cost < best:
                        best = cost
                        way = FROM_SWAP
            rows[base + j] = best
            back[to_cell + j] = code | way
    return rows[(length & 3) * size + length_copy]


def walk(
    start, start_copy, length, length_copy, half_band, original_folded, copy_folded,
    first, first_copy, proved, back, steps, at, join_below,
):  # fmt: skip
    """Walk a filled window back and write its steps, the last first; return where the first one stands.

    Args:
        start, start_copy, length, length_copy, half_band, original_folded, copy_folded: as in ``fill``.
        first, first_copy: place of the window's first letter in the texts.
        proved: where the path is known without filling, the letters before its gap, as in ``solve``.
        back: what ``fill`` left.
        steps, at, join_below: as in ``put``. A long gap is one step, so is an exchange.
    """
    width = length_copy + 1
    if half_band > 0:
        width = 2 * half_band + 1
    i, j = length, length_copy
    while i > 0 or j > 0:
        goes_on = 5
        if proved < 0:
            goes_on = back[i * width + j - band_start(i, length, length_copy, half_band)]
        elif i > j and j == proved:
            goes_on = 4
        elif i < j and i == proved:
            goes_on = 1
        code = goes_on & CODE_BITS
        was_i, was_j = i, j
        if code == FROM_OMISSION:
            i -= 1
            while goes_on & OMISSION_GOES_ON:
                goes_on = back[i * width + j - band_start(i, length, length_copy, half_band)]
                i -= 1
        elif code == FROM_ADDITION:
            j -= 1
            while goes_on & ADDITION_GOES_ON:
                goes_on = back[i * width + j - band_start(i, length, length_copy, half_band)]
                j -= 1
        elif code == FROM_SWAP:
            i, j = i - 2, j - 2
        else:
            i, j = i - (code >> 2), j - (code & 3)
        kind = CHANGED
        if was_i - i > LONGEST or was_j - j > LONGEST:
            kind = SKIPPED
        elif code == 5 and original_folded[start + was_i] == copy_folded[start_copy + was_j]:
            kind = KEPT
        at = put(first + i, first + was_i, first_copy + j, first_copy + was_j, kind, steps, at, join_below)
    return at


def put(begin, end, begin_copy, end_copy, kind, steps, at, join_below):
    """Write a step before those written already; return where it stands.

    Args:
        begin, end, begin_copy, end_copy: what it covers of the texts.
        kind: what it does. Letters kept are joined to letters kept after them.
        steps: room for five numbers a step: original start and end, copy start and end, what it does.
        at: where the step after it stands.
        join_below: only to a step that stands before this place is it joined.
    """
    if kind == KEPT and at < join_below and steps[5 * at + 4] == KEPT:
        steps[5 * at] = begin
        steps[5 * at + 2] = begin_copy
        return at
    at -= 1
    steps[5 * at] = begin
    steps[5 * at + 1] = end
    steps[5 * at + 2] = begin_copy
    steps[5 * at + 3] = end_copy
    steps[5 * at + 4] = kind
    return at


def solve(
    shapes, windows, proved, most_cells, kept_between,
    original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded,
    table, columns, multi_originals, multi_copies, multi_count,
    gap_open, original_gaps, copy_gaps, swap_cost, rows, omissions, back, active, steps, room,
):  # fmt: skip
    """Solve window after window, the last first; return where the first step stands.

    Args:
        shapes: seven numbers a window, in order: ``start``, ``start_copy``, ``length``,
            ``length_copy`` and ``half_band`` of ``fill``; ``first`` and ``first_copy`` of ``walk``.
        windows: how many there are.
        proved: for each window whose path is known (``scan.prove_paths``) the letters before its only
            gap, any number where it has none; else -1.
        most_cells: two stretches of more cells have nothing in common.
        kept_between: 1 where the letters between one window and the next are kept, and given too.
        steps: room for five numbers for each letter of all windows, and for each window.
        room: how many steps that is; the last one comes to stand at the end.
        (the others): as in ``fill``; room for the largest window.
    """
    at = room
    join_below = room
    for window in range(windows - 1, -1, -1):
        start, start_copy = shapes[7 * window], shapes[7 * window + 1]
        length, length_copy = shapes[7 * window + 2], shapes[7 * window + 3]
        half_band = shapes[7 * window + 4]
        first, first_copy = shapes[7 * window + 5], shapes[7 * window + 6]
        end, end_copy = first + length, first_copy + length_copy
        if not kept_between:
            join_below = at
        elif window + 1 < windows:
            after = shapes[7 * window + 12]
            at = put(end, after, end_copy, shapes[7 * window + 13], KEPT, steps, at, join_below)
        width = 2 * half_band + 1 if half_band > 0 else length_copy + 1
        if proved[window] < 0 and (length + 1) * width > most_cells and length > 0 and length_copy > 0:
            at = put(end, end, first_copy, end_copy, SKIPPED, steps, at, join_below)
            at = put(first, end, first_copy, first_copy, SKIPPED, steps, at, join_below)
            continue
        if proved[window] < 0:
            fill(
                start, start_copy, length, length_copy, half_band,
                original_grams, copy_grams, stride, stride_copy, original_folded, copy_folded,
                table, columns, multi_originals, multi_copies, multi_count,
                gap_open, original_gaps, copy_gaps, swap_cost, rows, omissions, back, active,
            )  # fmt: skip
        at = walk(
            start, start_copy, length, length_copy, half_band, original_folded, copy_folded,
            first, first_copy, proved[window], back, steps, at, join_below,
        )  # fmt: skip
    return at
