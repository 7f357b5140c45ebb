# Types for scan.py when it is compiled. See that file for what everything means.
cimport cython

cdef long long INFINITE, FAR
cdef unsigned long long FACTOR, CUBE, WORD
cdef int TOP, CHANGED, LONGEST

@cython.locals(
    found=cython.Py_ssize_t, first=cython.ulonglong, ahead=cython.Py_ssize_t, at=cython.Py_ssize_t,
    place=cython.Py_ssize_t
)
cpdef Py_ssize_t choose_runs(
    const unsigned char[::1] letters, Py_ssize_t width, Py_ssize_t length, unsigned long long below,
    unsigned long long[::1] hashes, long long[::1] places)

@cython.locals(mixed=cython.ulonglong, most=cython.Py_ssize_t)
cdef unsigned long long hash_of(
    const unsigned char[::1] letters, Py_ssize_t width, Py_ssize_t place, Py_ssize_t length) noexcept nogil

@cython.locals(number=cython.ulonglong, at=cython.Py_ssize_t)
cdef unsigned long long bytes_at(
    const unsigned char[::1] letters, Py_ssize_t start, Py_ssize_t count) noexcept nogil

@cython.locals(
    size=cython.Py_ssize_t, size_copy=cython.Py_ssize_t, run=cython.Py_ssize_t, end=cython.Py_ssize_t,
    here=cython.Py_ssize_t, there=cython.Py_ssize_t
)
cpdef void lengthen(
    const unsigned char[::1] original, const unsigned char[::1] copy, Py_ssize_t width,
    long long[::1] ends, const long long[::1] shift, const long long[::1] limit, bint limited, bint backward)

@cython.locals(
    window=cython.Py_ssize_t, start=cython.Py_ssize_t, start_copy=cython.Py_ssize_t,
    length=cython.Py_ssize_t, length_copy=cython.Py_ssize_t, shorter=cython.Py_ssize_t,
    more=cython.Py_ssize_t, more_copy=cython.Py_ssize_t, at=cython.Py_ssize_t, gap=cython.Py_ssize_t,
    i=cython.Py_ssize_t, j=cython.Py_ssize_t, a=cython.Py_ssize_t, before=cython.longlong,
    after=cython.longlong, cost=cython.longlong, other=cython.longlong
)
cpdef void prove_paths(
    const Py_ssize_t[::1] shapes, Py_ssize_t windows,
    const int[::1] original_grams, const int[::1] copy_grams, Py_ssize_t stride, Py_ssize_t stride_copy,
    const int[::1] original_folded, const int[::1] copy_folded,
    const long long[::1] table, Py_ssize_t columns, bint several,
    const long long[::1] least, const long long[::1] omitted, const long long[::1] added,
    int[::1] proved)

@cython.locals(here=cython.int, before=cython.int)
cdef bint is_exchange(
    Py_ssize_t at, Py_ssize_t at_copy, const int[::1] original_folded,
    const int[::1] copy_folded) noexcept nogil

@cython.locals(at=cython.Py_ssize_t)
cdef bint has_listed(
    Py_ssize_t start, Py_ssize_t length, const int[::1] grams, Py_ssize_t stride) noexcept nogil

@cython.locals(at=cython.Py_ssize_t, least=cython.longlong)
cdef long long least_of(
    const long long[::1] costs, Py_ssize_t start, Py_ssize_t length, const int[::1] grams) noexcept nogil

@cython.locals(
    size=cython.Py_ssize_t, first=cython.Py_ssize_t, after=cython.Py_ssize_t, end=cython.Py_ssize_t,
    o=cython.int, end_o=cython.int, c=cython.int, end_c=cython.int, key=cython.longlong,
    key_copy=cython.longlong, one_operation=cython.bint, at=cython.Py_ssize_t, step=cython.Py_ssize_t
)
cpdef void find_changes(
    const int[::1] steps, const unsigned char[::1] original, const unsigned char[::1] copy,
    Py_ssize_t width, const unsigned char[::1] spaces, long long[::1] single, long long[::1] several,
    long long[::1] members, long long[::1] found)

cdef bint stand_together(const int[::1] steps, Py_ssize_t at) noexcept nogil

@cython.locals(
    size=cython.Py_ssize_t, key=cython.longlong, at=cython.Py_ssize_t, number=cython.Py_ssize_t
)
cdef long long packed(
    const unsigned char[::1] letters, Py_ssize_t width, Py_ssize_t start, Py_ssize_t end,
    const unsigned char[::1] spaces) noexcept nogil

@cython.locals(
    found=cython.Py_ssize_t, at=cython.Py_ssize_t, o=cython.int, c=cython.int, n=cython.int, m=cython.int,
    row=cython.Py_ssize_t, column=cython.Py_ssize_t, gap=cython.double, price=cython.double
)
cpdef Py_ssize_t price_steps(
    const int[::1] steps, const unsigned char[::1] original, const unsigned char[::1] copy,
    Py_ssize_t width, const double[::1] table, Py_ssize_t columns, const double[::1] gaps,
    double gap_open, double never, double[::1] prices, unsigned char[::1] others)

@cython.locals(
    found=cython.Py_ssize_t, shift=cython.Py_ssize_t, window=cython.Py_ssize_t, o=cython.Py_ssize_t,
    end=cython.Py_ssize_t, across=cython.Py_ssize_t, end_across=cython.Py_ssize_t,
    least=cython.Py_ssize_t, most=cython.Py_ssize_t, first=cython.Py_ssize_t, at=cython.Py_ssize_t
)
cpdef Py_ssize_t find_along(
    const unsigned char[::1] original, const unsigned char[::1] copy, Py_ssize_t width,
    const long long[::1] windows, Py_ssize_t near, Py_ssize_t shortest, long long[::1] runs)

@cython.locals(byte=cython.Py_ssize_t)
cdef bint alike(
    const unsigned char[::1] original, const unsigned char[::1] copy, Py_ssize_t width,
    Py_ssize_t at, Py_ssize_t at_copy) noexcept nogil
