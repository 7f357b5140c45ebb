# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""The inner loop of the alignment: fill one window of the weighted programme, then walk it back.

Arrives: two stretches of letters as numbers, the costs of every operation. Leaves: the path of
least cost. Start reading at ``fill``, then ``walk``.

This file is plain Python. Where a C compiler is at hand when the package is built, the same file
is compiled with the types of ``inner.pxd``; the results are the same to the last letter.

The recurrence is that of Wagner & Fischer (Journal of the ACM 21, 1974) with operations of up to
three letters on a side (generalised edit distance), an exchange of neighbours (Damerau, Comm.
ACM 7, 1964) and long gaps of affine cost (Gotoh, J. Mol. Biol. 162, 1982).
"""

INFINITE = 1e300

# How a cell was reached, one byte: operations are 4 * original letters + copy letters (1-15).
FROM_SWAP = 16
FROM_OMISSION = 17
FROM_ADDITION = 18
CODE_BITS = 31
OMISSION_GOES_ON = 32
ADDITION_GOES_ON = 64


def fill(
    original_grams,
    copy_grams,
    original_folded,
    copy_folded,
    original_length,
    copy_length,
    table,
    columns,
    multi_originals,
    multi_copies,
    multi_count,
    gap_open,
    original_gaps,
    copy_gaps,
    swap_cost,
    lows,
    width,
    rows,
    omissions,
    back,
):
    """Fill the window and return the least cost.

    Args:
        original_grams: gram number of the 1, 2 and 3 letters that end at each place, three rows
            of ``original_length + 1``, -1 where such a gram takes part in no operation.
        copy_grams: the same for the copy.
        original_folded, copy_folded: one number for each letter, equal where the letters count
            as the same; places from 1.
        original_length, copy_length: letters in the window.
        table: cost of original gram by copy gram, row after row; gram 0 is the empty one.
        columns: width of a row of the table.
        multi_originals, multi_copies, multi_count: lengths of the operations of more than one
            letter on a side that the table holds.
        gap_open: cost of a long gap.
        original_gaps, copy_gaps: cost of each letter in it, by place, places from 1.
        swap_cost: cost of two neighbours exchanged.
        lows: for each row the first column inside the band.
        width: columns in the band.
        rows: room for four rows of costs; omissions: room for one row.
        back: room for one byte a cell, filled here for ``walk``.
    """
    previous_omissions = omissions
    for at in range(4 * width):
        rows[at] = INFINITE
    for at in range(width):
        previous_omissions[at] = INFINITE
    low_before = 0
    stride_o = original_length + 1
    stride_c = copy_length + 1
    for i in range(original_length + 1):
        low = lows[i]
        high = low + width
        if high > copy_length + 1:
            high = copy_length + 1
        base = (i & 3) * width - low
        if i > 0:
            low_before = lows[i - 1]
            base_before = ((i - 1) & 3) * width - low_before
            shift = low - low_before
            if shift > 0:  # the open omissions of the row above, moved with the band
                for at in range(width):
                    if at + shift < width:
                        previous_omissions[at] = previous_omissions[at + shift]
                    else:
                        previous_omissions[at] = INFINITE
        addition = INFINITE
        for j in range(low, high):
            best = INFINITE
            code = 0
            flags = 0
            if i == 0 and j == 0:
                best = 0.0
            if i > 0:
                a = original_grams[i]
                # above: one letter left out, or a long gap begun or carried on
                if j < low_before + width:
                    above = rows[base_before + j]
                    cost = above + table[a * columns]
                    if cost < best:
                        best = cost
                        code = 4
                    opened = above + gap_open
                else:
                    opened = INFINITE
                carried = previous_omissions[j - low]
                if carried < opened:
                    opened = carried
                    flags = flags | OMISSION_GOES_ON
                opened = opened + original_gaps[i]
                previous_omissions[j - low] = opened
                if opened < best:
                    best = opened
                    code = FROM_OMISSION
                if j > 0 and j - 1 >= low_before and j - 1 < low_before + width:
                    cost = rows[base_before + j - 1] + table[a * columns + copy_grams[j]]
                    if cost <= best:
                        best = cost
                        code = 5
            if j > low:
                left = rows[base + j - 1]
                cost = left + table[copy_grams[j]]
                if cost < best:
                    best = cost
                    code = 1
                opened = left + gap_open
                if addition < opened:
                    opened = addition
                    flags = flags | ADDITION_GOES_ON
                addition = opened + copy_gaps[j]
                if addition < best:
                    best = addition
                    code = FROM_ADDITION
            for k in range(multi_count):
                m = multi_originals[k]
                n = multi_copies[k]
                if i < m or j < n:
                    continue
                if m == 0:
                    a = 0
                else:
                    a = original_grams[(m - 1) * stride_o + i]
                if a < 0:
                    continue
                if n == 0:
                    b = 0
                else:
                    b = copy_grams[(n - 1) * stride_c + j]
                if b < 0:
                    continue
                low_there = lows[i - m]
                if j - n < low_there or j - n >= low_there + width:
                    continue
                cost = rows[((i - m) & 3) * width - low_there + j - n] + table[a * columns + b]
                if cost < best:
                    best = cost
                    code = 4 * m + n
            if i > 1 and j > 1 and original_folded[i] == copy_folded[j - 1]:
                if original_folded[i - 1] == copy_folded[j] and original_folded[i] != copy_folded[j]:
                    low_there = lows[i - 2]
                    if j - 2 >= low_there and j - 2 < low_there + width:
                        cost = rows[((i - 2) & 3) * width - low_there + j - 2] + swap_cost
                        if cost < best:
                            best = cost
                            code = FROM_SWAP
            rows[base + j] = best
            back[i * width + j - low] = code | flags
        for j in range(high, low + width):
            rows[base + j] = INFINITE
    return rows[(original_length & 3) * width - lows[original_length] + copy_length]


def walk(back, lows, width, original_length, copy_length):
    """Walk the filled window back and return its steps, last first, as one flat list.

    Four numbers a step: original start, original end, copy start, copy end. A long gap comes as
    one step; so does an exchange (two letters a side).
    """
    steps = []
    i = original_length
    j = copy_length
    while i > 0 or j > 0:
        code = back[i * width + j - lows[i]] & CODE_BITS
        was_i = i
        was_j = j
        if code == FROM_SWAP:
            i -= 2
            j -= 2
        elif code == FROM_OMISSION:
            goes_on = back[i * width + j - lows[i]] & OMISSION_GOES_ON
            i -= 1
            while goes_on:
                goes_on = back[i * width + j - lows[i]] & OMISSION_GOES_ON
                i -= 1
        elif code == FROM_ADDITION:
            goes_on = back[i * width + j - lows[i]] & ADDITION_GOES_ON
            j -= 1
            while goes_on:
                goes_on = back[i * width + j - lows[i]] & ADDITION_GOES_ON
                j -= 1
        else:
            i -= code >> 2
            j -= code & 3
        steps.append(i)
        steps.append(was_i)
        steps.append(j)
        steps.append(was_j)
    return steps
