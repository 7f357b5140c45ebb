# Types for inner.py when it is compiled. See that file for what everything means.
cimport cython

@cython.locals(
    i=cython.Py_ssize_t, j=cython.Py_ssize_t, at=cython.Py_ssize_t, k=cython.Py_ssize_t,
    low=cython.Py_ssize_t, high=cython.Py_ssize_t, low_before=cython.Py_ssize_t,
    low_there=cython.Py_ssize_t, shift=cython.Py_ssize_t, base=cython.Py_ssize_t,
    base_before=cython.Py_ssize_t, stride_o=cython.Py_ssize_t, stride_c=cython.Py_ssize_t,
    a=cython.Py_ssize_t, b=cython.Py_ssize_t, m=cython.Py_ssize_t, n=cython.Py_ssize_t,
    best=cython.double, cost=cython.double, opened=cython.double, carried=cython.double,
    above=cython.double, left=cython.double, addition=cython.double,
    code=cython.int, flags=cython.int, previous_omissions="double[::1]"
)
cpdef double fill(
    int[::1] original_grams, int[::1] copy_grams, int[::1] original_folded, int[::1] copy_folded,
    Py_ssize_t original_length, Py_ssize_t copy_length,
    double[::1] table, Py_ssize_t columns,
    int[::1] multi_originals, int[::1] multi_copies, Py_ssize_t multi_count,
    double gap_open, double[::1] original_gaps, double[::1] copy_gaps, double swap_cost,
    Py_ssize_t[::1] lows, Py_ssize_t width,
    double[::1] rows, double[::1] omissions, unsigned char[::1] back)

@cython.locals(
    i=cython.Py_ssize_t, j=cython.Py_ssize_t, was_i=cython.Py_ssize_t, was_j=cython.Py_ssize_t,
    code=cython.int, goes_on=cython.int,
)
cpdef list walk(unsigned char[::1] back, Py_ssize_t[::1] lows, Py_ssize_t width,
                Py_ssize_t original_length, Py_ssize_t copy_length)
