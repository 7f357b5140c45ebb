# cython: boundscheck=False, wraparound=False, initializedcheck=False, cdivision=True, language_level=3
"""The inner loop of the restoration: carry every restoration on, letter by letter, and keep the best.

Arrives: the copied letters as numbers and all that is known, as arrays (``Known``). Leaves: ``Ways``: the
states after each letter with the sum of all ways that lead there, and the steps from one to the next. Start
reading at ``carry``.

This file is plain Python. Where a C compiler is at hand when the package is built, the same file is
compiled with the types of ``carry.pxd``; the results are the same.

A state is the context of the language, the word begun and the word before, each as far as anything is
known of it: what can never be told apart again is one state. Sums are probabilities, not logs, and are
divided by the largest of each column, so that nothing but multiplying and adding is needed.
"""

NOT_FOUND = -1
NO_WORD = -1  # what no known word begins with
LOOK_BACK = 4  # tags before a letter that its context may ask for


class Known:
    """What the loop looks up: arrays and numbers, as ``readings/known.py`` lays them out."""

    def __init__(self, tables, numbers):
        self.first, self.sign, self.leads_to, self.worth = tables[:4]
        self.roots, self.first_choice, self.choice, self.choice_worth = tables[4:8]
        self.first_letter, self.letter, self.language, self.division = tables[8:12]
        self.left, self.shorter, self.word, self.follows, self.gain, self.lean = tables[12:]
        self.stride, self.letters, self.words, self.pairs, self.start = numbers[:5]
        self.flat, self.length = numbers[5:]


class Ways:
    """The states after each letter, and the steps that lead to them: room for both, and for one letter's.

    ``first_state`` says where the states after each letter begin, ``reached`` the sum of all ways to each
    as a part of the largest sum after that letter, ``scale`` by what all were divided. ``first_step`` says
    where the steps to each state begin: ``came_from`` which state, by which ``tag``, and their ``worth``.
    ``now`` and ``new`` have seven numbers a state: context, word begun, word before, the last four tags.
    """

    def __init__(self, found, scratch, sizes):
        self.first_state, self.reached, self.scale, self.ends = found[:4]
        self.first_step, self.came_from, self.tag, self.worth = found[4:]
        self.now, self.new, self.total, self.best, self.kept, self.ranked, self.next_step = scratch[:7]
        self.step_to, self.step_from, self.step_tag, self.step_worth, self.slot, self.slot_round = scratch[7:]
        self.most_states, self.most_steps, self.most_new, self.most_raw, self.slots = sizes
        self.round = self.news = self.raw = self.ties = 0
        self.to_context = self.to_word = self.to_before = 0
        self.factor = 1.0


def find(known, node, sign):
    """Give the branch of a node that has a sign, or -1."""
    low, end = known.first[node], known.first[node + 1]
    high = end
    while low < high:
        middle = (low + high) >> 1
        if known.sign[middle] < sign:
            low = middle + 1
        else:
            high = middle
    if low < end and known.sign[low] == sign:
        return low
    return NOT_FOUND


def context_of(known, ways, copied, length, at, state):
    """Give the node of the longest context met of a copied letter, as one state sees it."""
    node = known.roots[copied[at]]
    for level in range(1, 2 * LOOK_BACK + 1):
        distance = (level + 1) >> 1
        sign = 0
        if level & 1:
            if at >= distance:
                sign = copied[at - distance] * known.stride + ways.now[7 * state + 2 + distance]
        elif at + distance < length:
            sign = copied[at + distance]
        found = find(known, node, sign)
        if found < 0:
            break
        node = known.leads_to[found]
    return node


def finish_word(known, ways):
    """Let the word begun be finished: weigh it, and make it the word before."""
    word = known.word[ways.to_word - known.words] if ways.to_word >= 0 else 0
    before, found = ways.to_before, NOT_FOUND
    if before > 0 and word > 0:
        found = find(known, known.pairs + before, word)
    if found >= 0:
        ways.factor *= known.worth[found]
    else:
        ways.factor *= known.gain[word] * known.lean[before]
    ways.to_before = known.follows[word]
    ways.to_word = known.words


def spell(known, ways, state, tag):
    """Spell a tag after a state: set the context, word and word before it leads to, and its factor."""
    context, ways.factor = ways.now[7 * state], 1.0
    ways.to_word, ways.to_before = ways.now[7 * state + 1], ways.now[7 * state + 2]
    for at in range(known.first_letter[tag], known.first_letter[tag + 1]):
        letter = known.letter[at]
        ways.factor *= known.length
        found = find(known, context, known.language[letter])
        while found < 0 and context > known.letters:
            ways.factor *= known.left[context - known.letters]
            context = known.shorter[context - known.letters]
            found = find(known, context, known.language[letter])
        if found < 0:
            ways.factor *= known.left[0] * known.flat
        else:
            ways.factor *= known.worth[found]
            context = known.leads_to[found]
        if known.division[letter]:
            if ways.to_word != known.words:
                finish_word(known, ways)
        elif ways.to_word >= 0:
            found = find(known, ways.to_word, letter)
            ways.to_word = known.leads_to[found] if found >= 0 else NO_WORD
    ways.to_context = context


def enter(ways, state, tag, apart):
    """Give the number of the state that a tag leads to, a new one where it was not yet reached."""
    base = 7 * state + 3
    mixed = ways.to_context * 1000003 + ways.to_word * 10007 + ways.to_before * 101
    if apart:
        mixed += tag * 31 + ways.now[base] * 37 + ways.now[base + 1] * 41 + ways.now[base + 2] * 43
    slot = (mixed ^ (mixed >> 15)) & (ways.slots - 1)
    while ways.slot_round[slot] == ways.round:
        number = ways.slot[slot]
        at = 7 * number
        if ways.new[at] == ways.to_context and ways.new[at + 1] == ways.to_word:
            if ways.new[at + 2] == ways.to_before and (not apart or same_tags(ways, at + 3, tag, base)):
                return number
        slot = (slot + 1) & (ways.slots - 1)
    number = ways.news
    ways.slot_round[slot], ways.slot[slot] = ways.round, number
    at = 7 * number
    ways.new[at], ways.new[at + 1], ways.new[at + 2] = ways.to_context, ways.to_word, ways.to_before
    ways.total[number], ways.best[number] = 0.0, -1.0
    ways.news = number + 1
    return number


def same_tags(ways, new, tag, now):
    """Tell whether a new state's last tags are this one and the last of an old state."""
    for at in range(1, LOOK_BACK):
        if ways.new[new + at] != ways.now[now + at - 1]:
            return False
    return ways.new[new] == tag


def step_on(known, ways, copied, length, at, extra, tags, apart):
    """Carry the states over one more letter; say whether there was room."""
    ways.round += 1
    ways.news = ways.raw = 0
    start = ways.first_state[at]
    for state in range(ways.first_state[at + 1] - start):
        node = context_of(known, ways, copied, length, at, state)
        for choice in range(known.first_choice[node], known.first_choice[node + 1]):
            if ways.raw >= ways.most_raw or ways.news >= ways.most_new:
                return False
            tag = known.choice[choice]
            spell(known, ways, state, tag)
            worth = known.choice_worth[choice] * ways.factor
            if tags > 0:
                worth *= extra[at * tags + tag]
            way = ways.reached[start + state] * worth
            number = enter(ways, state, tag, apart)
            ways.total[number] += way
            if way > ways.best[number]:
                ways.best[number] = way
                ways.new[7 * number + 3] = tag
                for back in range(LOOK_BACK - 1):
                    ways.new[7 * number + 4 + back] = ways.now[7 * state + 3 + back]
            ways.step_to[ways.raw], ways.step_from[ways.raw] = number, start + state
            ways.step_tag[ways.raw], ways.step_worth[ways.raw] = tag, worth
            ways.raw += 1
    return True


def least_kept(ways, beam, largest, behind):
    """Give the total below which a new state is given up: far behind the best, or beyond the beam."""
    limit = largest * behind
    ways.ties = ways.news
    if beam <= 0 or ways.news <= beam:
        return limit
    count = 0
    for number in range(ways.news):
        total = ways.total[number]
        if total < limit or (count == beam and total <= ways.ranked[beam - 1]):
            continue
        if count < beam:
            count += 1
        at = count - 1
        while at > 0 and ways.ranked[at - 1] < total:
            ways.ranked[at] = ways.ranked[at - 1]
            at -= 1
        ways.ranked[at] = total
    if count == beam:  # of those that come last and are equal, only the first have room
        limit = ways.ranked[beam - 1]
        ways.ties = 0
        for at in range(beam):
            if ways.ranked[at] == limit:
                ways.ties += 1
    return limit


def keep(ways, at, beam, behind):
    """Keep the best of the new states, and the steps to them; say whether there was room."""
    largest = 0.0
    for number in range(ways.news):
        if ways.total[number] > largest:
            largest = ways.total[number]
    limit = least_kept(ways, beam, largest, behind)
    first = ways.first_state[at + 1]
    count = 0
    for number in range(ways.news):
        ways.kept[number] = NOT_FOUND
        total = ways.total[number]
        if total == limit:
            ways.ties -= 1
        if total < limit or (total == limit and ways.ties < 0):
            continue
        if first + count >= ways.most_states:
            return False
        ways.kept[number] = count
        ways.reached[first + count] = total / largest
        for part in range(7):
            ways.now[7 * count + part] = ways.new[7 * number + part]
        ways.first_step[first + count + 1] = 0
        count += 1
    ways.scale[at + 1] = largest
    ways.first_state[at + 2] = first + count
    return put_steps(ways, first, count)


def put_steps(ways, first, count):
    """Put the steps to the kept states in the order of these states; say whether there was room."""
    for raw in range(ways.raw):
        to = ways.kept[ways.step_to[raw]]
        if to >= 0:
            ways.first_step[first + to + 1] += 1
    for state in range(count):
        ways.next_step[state] = ways.first_step[first + state]
        ways.first_step[first + state + 1] += ways.first_step[first + state]
    if ways.first_step[first + count] > ways.most_steps:
        return False
    for raw in range(ways.raw):
        to = ways.kept[ways.step_to[raw]]
        if to >= 0:
            step = ways.next_step[to]
            ways.came_from[step] = ways.step_from[raw]
            ways.tag[step] = ways.step_tag[raw]
            ways.worth[step] = ways.step_worth[raw]
            ways.next_step[to] = step + 1
    return True


def carry(known, ways, copied, length, beam, behind, extra, tags, apart):
    """Carry restorations through a stretch; give the number of states, -1 where there was no room.

    Args:
        known, ways: what is looked up, and room for what is found.
        copied: numbers of the copied letters.
        length: how many there are.
        beam: states kept at each letter; 0 for all.
        behind: a state is given up if its sum is a smaller part than this of the best, 0-1.
        extra: a factor for each letter and tag, letter after letter; one number where ``tags`` is 0.
        tags: how many tags ``extra`` has for each letter.
        apart: whether states that differ in their last tags are kept apart.
    """
    ways.round = 0
    for slot in range(ways.slots):
        ways.slot_round[slot] = 0
    ways.first_state[0], ways.first_state[1] = 0, 1
    ways.reached[0] = ways.scale[0] = 1.0
    ways.first_step[0] = ways.first_step[1] = 0
    ways.now[0], ways.now[1] = known.start, known.words
    for part in range(2, 7):
        ways.now[part] = 0
    for at in range(length):
        if not step_on(known, ways, copied, length, at, extra, tags, apart):
            return -1
        if not keep(ways, at, beam, behind):
            return -1
    states = ways.first_state[length + 1]
    for state in range(states - ways.first_state[length]):
        ways.factor = 1.0
        ways.to_word, ways.to_before = ways.now[7 * state + 1], ways.now[7 * state + 2]
        if ways.to_word != known.words:
            finish_word(known, ways)
        ways.ends[state] = ways.factor
    return states
