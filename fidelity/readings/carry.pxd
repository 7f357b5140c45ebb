# Types for carry.py when it is compiled. See that file for what everything means.
cimport cython

cdef int NOT_FOUND, NO_WORD, LOOK_BACK

cdef class Known:
    cdef int[::1] first, leads_to, roots, first_choice, choice, first_letter, letter, language
    cdef int[::1] shorter, word, follows
    cdef long long[::1] sign
    cdef double[::1] worth, choice_worth, left, gain, lean
    cdef unsigned char[::1] division
    cdef long long stride
    cdef int letters, words, pairs, start
    cdef double flat, length

cdef class Ways:
    cdef int[::1] first_state, first_step, came_from, tag, now, new, kept, next_step
    cdef int[::1] step_to, step_from, step_tag, slot, slot_round
    cdef double[::1] reached, scale, ends, worth, total, best, ranked, step_worth
    cdef Py_ssize_t most_states, most_steps, most_new, most_raw, slots
    cdef int round, news, raw, ties, to_context, to_word, to_before
    cdef double factor

@cython.locals(low=cython.Py_ssize_t, end=cython.Py_ssize_t, high=cython.Py_ssize_t, middle=cython.Py_ssize_t)
cdef int find(Known known, int node, long long sign) noexcept

@cython.locals(node=cython.int, level=cython.int, distance=cython.int, found=cython.int, sign=cython.longlong)
cdef int context_of(
    Known known, Ways ways, int[::1] copied, Py_ssize_t length, Py_ssize_t at, Py_ssize_t state) noexcept

@cython.locals(word=cython.int, before=cython.int, found=cython.int)
cdef void finish_word(Known known, Ways ways) noexcept

@cython.locals(context=cython.int, at=cython.Py_ssize_t, letter=cython.int, found=cython.int)
cdef void spell(Known known, Ways ways, Py_ssize_t state, int tag) noexcept

@cython.locals(
    base=cython.Py_ssize_t, mixed=cython.longlong, slot=cython.Py_ssize_t, number=cython.int, at=cython.Py_ssize_t)
cdef int enter(Ways ways, Py_ssize_t state, int tag, bint apart) noexcept

@cython.locals(at=cython.Py_ssize_t)
cdef bint same_tags(Ways ways, Py_ssize_t new, int tag, Py_ssize_t now) noexcept

@cython.locals(
    start=cython.Py_ssize_t, state=cython.Py_ssize_t, node=cython.int, choice=cython.Py_ssize_t, tag=cython.int,
    worth=cython.double, way=cython.double, number=cython.int, back=cython.Py_ssize_t)
cdef bint step_on(
    Known known, Ways ways, int[::1] copied, Py_ssize_t length, Py_ssize_t at, double[::1] extra,
    Py_ssize_t tags, bint apart) noexcept

@cython.locals(
    limit=cython.double, count=cython.Py_ssize_t, number=cython.Py_ssize_t, total=cython.double,
    at=cython.Py_ssize_t)
cdef double least_kept(Ways ways, Py_ssize_t beam, double largest, double behind) noexcept

@cython.locals(
    limit=cython.double, largest=cython.double, total=cython.double, first=cython.Py_ssize_t,
    count=cython.Py_ssize_t, number=cython.Py_ssize_t, part=cython.Py_ssize_t)
cdef bint keep(Ways ways, Py_ssize_t at, Py_ssize_t beam, double behind) noexcept

@cython.locals(raw=cython.Py_ssize_t, to=cython.Py_ssize_t, state=cython.Py_ssize_t, step=cython.Py_ssize_t)
cdef bint put_steps(Ways ways, Py_ssize_t first, Py_ssize_t count) noexcept

@cython.locals(
    slot=cython.Py_ssize_t, part=cython.Py_ssize_t, at=cython.Py_ssize_t, states=cython.Py_ssize_t,
    state=cython.Py_ssize_t)
cpdef Py_ssize_t carry(
    Known known, Ways ways, int[::1] copied, Py_ssize_t length, Py_ssize_t beam, double behind,
    double[::1] extra, Py_ssize_t tags, bint apart) except? -2
