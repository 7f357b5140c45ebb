# Types for scan.py when it is compiled. See that file for what everything means.
cimport cython

cdef long long INFINITE
cdef unsigned long long FACTOR, WORD
cdef int TOP

@cython.locals(
    found=cython.Py_ssize_t, run=cython.ulonglong, last=cython.ulonglong, at=cython.Py_ssize_t, place=cython.Py_ssize_t
)
cpdef Py_ssize_t choose_places(
    const unsigned char[::1] letters, Py_ssize_t width, Py_ssize_t count, unsigned long long below,
    long long[::1] places)

@cython.locals(
    size=cython.Py_ssize_t, size_copy=cython.Py_ssize_t, run=cython.Py_ssize_t, end=cython.Py_ssize_t,
    here=cython.Py_ssize_t, there=cython.Py_ssize_t, byte=cython.Py_ssize_t
)
cpdef void lengthen(
    const unsigned char[::1] original, const unsigned char[::1] copy, Py_ssize_t width,
    long long[::1] ends, const long long[::1] shift, const long long[::1] limit, bint limited, bint backward)

@cython.locals(
    window=cython.Py_ssize_t, start=cython.Py_ssize_t, start_copy=cython.Py_ssize_t,
    length=cython.Py_ssize_t, at=cython.Py_ssize_t, a=cython.Py_ssize_t, b=cython.Py_ssize_t,
    changed=cython.int, was_changed=cython.int, dearer=cython.longlong, leaving_out=cython.longlong,
    putting_in=cython.longlong
)
cpdef void mark_straight(
    const Py_ssize_t[::1] shapes, Py_ssize_t windows,
    const int[::1] original_grams, const int[::1] copy_grams, Py_ssize_t stride, Py_ssize_t stride_copy,
    const int[::1] original_folded, const int[::1] copy_folded,
    const long long[::1] table, Py_ssize_t columns, bint several,
    const long long[::1] least, const long long[::1] omitted, const long long[::1] added,
    unsigned char[::1] straight)
