# Types for inner.py when it is compiled. See that file for what everything means.
cimport cython

cdef long long INFINITE
cdef int FROM_SWAP, FROM_OMISSION, FROM_ADDITION, CODE_BITS, OMISSION_GOES_ON, ADDITION_GOES_ON
cdef int KEPT, CHANGED, SKIPPED, LONGEST

cdef Py_ssize_t band_start(
    Py_ssize_t row, Py_ssize_t length, Py_ssize_t length_copy, Py_ssize_t half_band) noexcept nogil

@cython.locals(
    i=cython.Py_ssize_t, j=cython.Py_ssize_t, at=cython.Py_ssize_t, k=cython.Py_ssize_t,
    m=cython.Py_ssize_t, n=cython.Py_ssize_t, a=cython.Py_ssize_t, b=cython.Py_ssize_t,
    size=cython.Py_ssize_t, width=cython.Py_ssize_t, low=cython.Py_ssize_t, high=cython.Py_ssize_t,
    base=cython.Py_ssize_t, above_row=cython.Py_ssize_t, to_cell=cython.Py_ssize_t,
    count=cython.Py_ssize_t, swapping=cython.int, swapped=cython.int,
    omitting=cython.longlong, extending=cython.longlong, addition=cython.longlong, best=cython.longlong,
    left=cython.longlong, cost=cython.longlong, diagonal=cython.longlong, above=cython.longlong,
    opened=cython.longlong, code=cython.int, way=cython.int
)
cdef long long fill(
    Py_ssize_t start, Py_ssize_t start_copy, Py_ssize_t length, Py_ssize_t length_copy,
    Py_ssize_t half_band,
    int[::1] original_grams, int[::1] copy_grams, Py_ssize_t stride, Py_ssize_t stride_copy,
    int[::1] original_folded, int[::1] copy_folded,
    long long[::1] table, Py_ssize_t columns,
    int[::1] multi_originals, int[::1] multi_copies, Py_ssize_t multi_count,
    long long gap_open, long long[::1] original_gaps, long long[::1] copy_gaps, long long swap_cost,
    long long[::1] rows, long long[::1] omissions, unsigned char[::1] back, Py_ssize_t[::1] active) noexcept nogil

@cython.locals(
    i=cython.Py_ssize_t, j=cython.Py_ssize_t, was_i=cython.Py_ssize_t, was_j=cython.Py_ssize_t,
    width=cython.Py_ssize_t, code=cython.int, goes_on=cython.int, kind=cython.int
)
cdef Py_ssize_t walk(
    Py_ssize_t start, Py_ssize_t start_copy, Py_ssize_t length, Py_ssize_t length_copy,
    Py_ssize_t half_band, int[::1] original_folded, int[::1] copy_folded,
    Py_ssize_t first, Py_ssize_t first_copy, Py_ssize_t proved,
    unsigned char[::1] back, int[::1] steps, Py_ssize_t at, Py_ssize_t join_below) noexcept nogil

cdef Py_ssize_t put(
    int begin, int end, int begin_copy, int end_copy, int kind, int[::1] steps,
    Py_ssize_t at, Py_ssize_t join_below) noexcept nogil

@cython.locals(
    at=cython.Py_ssize_t, window=cython.Py_ssize_t, start=cython.Py_ssize_t,
    start_copy=cython.Py_ssize_t, length=cython.Py_ssize_t, length_copy=cython.Py_ssize_t,
    half_band=cython.Py_ssize_t, first=cython.Py_ssize_t, first_copy=cython.Py_ssize_t,
    end=cython.Py_ssize_t, end_copy=cython.Py_ssize_t, after=cython.Py_ssize_t,
    join_below=cython.Py_ssize_t, width=cython.Py_ssize_t
)
cpdef Py_ssize_t solve(
    Py_ssize_t[::1] shapes, Py_ssize_t windows, int[::1] proved, Py_ssize_t most_cells,
    int kept_between,
    int[::1] original_grams, int[::1] copy_grams, Py_ssize_t stride, Py_ssize_t stride_copy,
    int[::1] original_folded, int[::1] copy_folded,
    long long[::1] table, Py_ssize_t columns,
    int[::1] multi_originals, int[::1] multi_copies, Py_ssize_t multi_count,
    long long gap_open, long long[::1] original_gaps, long long[::1] copy_gaps, long long swap_cost,
    long long[::1] rows, long long[::1] omissions, unsigned char[::1] back, Py_ssize_t[::1] active,
    int[::1] steps, Py_ssize_t room)
