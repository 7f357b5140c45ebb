# Types for gather.py when it is compiled. See that file for what everything means.
cimport cython

cdef int NONE

cdef class Sums:
    cdef int[::1] first_state, first_step, came_from, tag, first_letter, letter
    cdef int[::1] first_answer, answer, parent, last, found, place, child, sibling, stamp, spot
    cdef int[::1] first_listed, listed
    cdef double[::1] reached, scale, ends, worth, behind, chance, found_chance, listed_sum, leaving, ranked
    cdef int most_readings, most_listed, most_states, round, ties
    cdef readonly int readings
    cdef double total

@cython.locals(state=cython.int, at=cython.int, after=cython.double, step=cython.int)
cpdef void weigh_back(Sums sums, int length)

@cython.locals(
    count=cython.int, at=cython.int, first=cython.int, state=cython.int, after=cython.double, step=cython.int,
    tag=cython.int, way=cython.double, place=cython.int)
cpdef void letters(Sums sums, int length)

@cython.locals(at=cython.int, letter=cython.int, child=cython.int)
cdef int longer(Sums sums, int reading, int tag) noexcept

@cython.locals(count=cython.int, first=cython.int, state=cython.int, total=cython.double, step=cython.int)
cdef void enter(Sums sums, int start, int border) noexcept

@cython.locals(count=cython.int, at=cython.int, total=cython.double, rank=cython.int)
cdef double least_listed(Sums sums, int low, int high, int most) noexcept

@cython.locals(limit=cython.double, end=cython.int, at=cython.int, total=cython.double)
cdef int fewer(Sums sums, int low, int high, int most) noexcept

@cython.locals(
    here=cython.int, there=cython.int, states=cython.int, states_there=cython.int, before=cython.int,
    first=cython.int, count=cython.int, state=cython.int, low=cython.int, step=cython.int, came=cython.int,
    worth=cython.double, place=cython.int, reading=cython.int)
cdef bint spell_on(Sums sums, int at, int side, int most) noexcept

@cython.locals(first=cython.int, state=cython.int, after=cython.double, step=cython.int)
cdef void leave(Sums sums, int end, int length, int border) noexcept

@cython.locals(
    side=cython.int, at=cython.int, count=cython.int, half=cython.int, states=cython.int, state=cython.int,
    after=cython.double, place=cython.int, reading=cython.int)
cpdef int readings(
    Sums sums, int length, int start, int end, int border, int border_after, int most) except? -2
