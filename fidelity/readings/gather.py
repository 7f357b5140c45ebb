# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""Gather from all restorations of a stretch what each letter and each unit may have read.

Arrives: the states and steps that ``carry.py`` found. Leaves: the probability of each tag at each letter, and
of each reading between two word divisions. Start reading at ``weigh_back``, then ``letters``, ``readings``.

This file is plain Python. Where a C compiler is at hand when the package is built, the same file is
compiled with the types of ``gather.pxd``; the results are the same.

Forward and backward sums (Baum et al. 1970, Ann. Math. Stat. 41, 164-171) give what every part is worth
within the whole. Readings are kept in a tree of letters, so that each is spelled once, however many ways
lead to it.
"""

NONE = -1


class Sums:
    """The sums over all restorations of a stretch, and room for what is gathered.

    ``behind`` is for each state the sum of all ways on from it, in the measure of ``reached``; ``total`` that
    of all restorations. ``first_answer`` says where the answers of each letter begin: ``answer``, a tag, and
    its ``chance``. Readings are numbers: ``parent`` is the reading without its last letter ``last``, reading
    0 is empty. ``lists`` of readings, each with its sum, stand in two halves, one for each of two letters.
    """

    def __init__(self, found, tags, gathered, scratch, sizes):
        self.first_state, self.reached, self.scale, self.ends = found[:4]
        self.first_step, self.came_from, self.tag, self.worth = found[4:]
        self.first_letter, self.letter = tags
        self.behind, self.first_answer, self.answer, self.chance = gathered[:4]
        self.parent, self.last, self.found, self.found_chance = gathered[4:]
        self.place, self.child, self.sibling, self.stamp, self.spot = scratch[:5]
        self.first_listed, self.listed, self.listed_sum, self.leaving, self.ranked = scratch[5:]
        self.most_readings, self.most_listed, self.most_states = sizes
        self.readings = self.round = self.ties = 0
        self.total = 1.0


def weigh_back(sums, length):
    """Sum up from the end of a stretch of so many letters what every state leads to."""
    for state in range(sums.first_state[length], sums.first_state[length + 1]):
        sums.behind[state] = sums.ends[state - sums.first_state[length]]
    for at in range(length, 0, -1):
        for state in range(sums.first_state[at - 1], sums.first_state[at]):
            sums.behind[state] = 0.0
        for state in range(sums.first_state[at], sums.first_state[at + 1]):
            after = sums.behind[state] / sums.scale[at]
            for step in range(sums.first_step[state], sums.first_step[state + 1]):
                sums.behind[sums.came_from[step]] += sums.worth[step] * after
    sums.total = sums.behind[0]


def letters(sums, length):
    """Give every tag of every letter its probability."""
    count = 0
    for at in range(length):
        first = count
        sums.first_answer[at] = first
        for state in range(sums.first_state[at + 1], sums.first_state[at + 2]):
            after = sums.behind[state] / sums.scale[at + 1] / sums.total
            for step in range(sums.first_step[state], sums.first_step[state + 1]):
                tag = sums.tag[step]
                if sums.place[tag] < first:
                    sums.place[tag] = count
                    sums.answer[count] = tag
                    sums.chance[count] = 0.0
                    count += 1
                way = sums.reached[sums.came_from[step]] * sums.worth[step] * after
                sums.chance[sums.place[tag]] += way
        for place in range(first, count):
            sums.place[sums.answer[place]] = NONE
    sums.first_answer[length] = count


def longer(sums, reading, tag):
    """Give the reading that a tag makes of another, or -1 where there is no room."""
    for at in range(sums.first_letter[tag], sums.first_letter[tag + 1]):
        letter = sums.letter[at]
        child = sums.child[reading]
        while child != NONE and sums.last[child] != letter:
            child = sums.sibling[child]
        if child == NONE:
            child = sums.readings
            if child >= sums.most_readings:
                return NONE
            sums.readings = child + 1
            sums.parent[child] = reading
            sums.last[child] = letter
            sums.sibling[child] = sums.child[reading]
            sums.child[reading] = child
            sums.child[child] = NONE
            sums.stamp[child] = 0
        reading = child
    return reading


def enter(sums, start, border):
    """List the empty reading for each state at a unit's start, with the sum of the ways over the border."""
    count = 0
    first = sums.first_state[start]
    for state in range(first, sums.first_state[start + 1]):
        total = 1.0 if start == 0 else 0.0
        for step in range(sums.first_step[state], sums.first_step[state + 1]):
            if sums.tag[step] == border:
                total += sums.reached[sums.came_from[step]] * sums.worth[step] / sums.scale[start]
        sums.first_listed[state - first] = count
        if total > 0.0:
            sums.listed[count] = 0
            sums.listed_sum[count] = total
            count += 1
    sums.first_listed[sums.first_state[start + 1] - first] = count


def least_listed(sums, low, high, most):
    """Give the sum below which a reading is not carried on; of equal ones the first ``ties`` are."""
    count = 0
    for at in range(low, high):
        total = sums.listed_sum[at]
        if count == most and total <= sums.ranked[most - 1]:
            continue
        if count < most:
            count += 1
        rank = count - 1
        while rank > 0 and sums.ranked[rank - 1] < total:
            sums.ranked[rank] = sums.ranked[rank - 1]
            rank -= 1
        sums.ranked[rank] = total
    sums.ties = 0
    for rank in range(count):
        if sums.ranked[rank] == sums.ranked[count - 1]:
            sums.ties += 1
    return sums.ranked[count - 1]


def fewer(sums, low, high, most):
    """Leave of a list the readings of largest sum, in their order; give where it ends then."""
    limit = least_listed(sums, low, high, most)
    end = low
    for at in range(low, high):
        total = sums.listed_sum[at]
        if total == limit:
            sums.ties -= 1
        if total > limit or (total == limit and sums.ties >= 0):
            sums.listed[end] = sums.listed[at]
            sums.listed_sum[end] = total
            end += 1
    return end


def spell_on(sums, at, side, most):
    """Carry the readings of every state over one more letter; say whether there was room."""
    here, there = side * sums.most_listed, (1 - side) * sums.most_listed
    states, states_there = side * sums.most_states, (1 - side) * sums.most_states
    before, first = sums.first_state[at], sums.first_state[at + 1]
    count = there
    for state in range(first, sums.first_state[at + 2]):
        low = count
        sums.round += 1
        sums.first_listed[states_there + state - first] = low - there
        for step in range(sums.first_step[state], sums.first_step[state + 1]):
            came = states + sums.came_from[step] - before
            worth = sums.worth[step] / sums.scale[at + 1]
            for place in range(here + sums.first_listed[came], here + sums.first_listed[came + 1]):
                reading = longer(sums, sums.listed[place], sums.tag[step])
                if reading == NONE or count >= there + sums.most_listed:
                    return False
                if sums.stamp[reading] != sums.round:
                    sums.stamp[reading] = sums.round
                    sums.spot[reading] = count
                    sums.listed[count] = reading
                    sums.listed_sum[count] = 0.0
                    count += 1
                sums.listed_sum[sums.spot[reading]] += sums.listed_sum[place] * worth
        if most > 0 and count - low > most:
            count = fewer(sums, low, count, most)
    sums.first_listed[states_there + sums.first_state[at + 2] - first] = count - there
    return True


def leave(sums, end, length, border):
    """Sum up for each state at a unit's end the ways out over the border."""
    first = sums.first_state[end]
    for state in range(first, sums.first_state[end + 1]):
        sums.leaving[state - first] = sums.behind[state] if end == length else 0.0
    if end < length:
        for state in range(sums.first_state[end + 1], sums.first_state[end + 2]):
            after = sums.behind[state] / sums.scale[end + 1]
            for step in range(sums.first_step[state], sums.first_step[state + 1]):
                if sums.tag[step] == border:
                    sums.leaving[sums.came_from[step] - first] += sums.worth[step] * after


def readings(sums, length, start, end, border, border_after, most):
    """Give the readings of a unit their probabilities; return how many, -1 where there was no room.

    Args:
        sums: of the stretch, weighed back.
        length: letters of the stretch.
        start, end: span of the unit.
        border, border_after: tags of the word divisions around it, if it is no end of the stretch.
        most: readings carried for one state; 0 for all.
    """
    sums.readings = 1
    sums.child[0] = NONE
    sums.stamp[0] = 0
    sums.round = 0
    side = 0
    enter(sums, start, border)
    for at in range(start, end):
        if not spell_on(sums, at, side, most):
            return NONE
        side = 1 - side
    leave(sums, end, length, border_after)
    sums.round += 1
    count = 0
    half, states = side * sums.most_listed, side * sums.most_states
    for state in range(sums.first_state[end + 1] - sums.first_state[end]):
        after = sums.leaving[state] / sums.total
        if after > 0.0:
            for place in range(
                half + sums.first_listed[states + state], half + sums.first_listed[states + state + 1]
            ):
                reading = sums.listed[place]
                if sums.stamp[reading] != sums.round:
                    sums.stamp[reading] = sums.round
                    sums.spot[reading] = count
                    sums.found[count] = reading
                    sums.found_chance[count] = 0.0
                    count += 1
                sums.found_chance[sums.spot[reading]] += sums.listed_sum[place] * after
    return count
