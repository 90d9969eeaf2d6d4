/** Chain matrices, a lane at a time: V' = a V + b I, I' = c V + d I. Private. */
#ifndef FL_RESPONSE_CHAIN_H
#define FL_RESPONSE_CHAIN_H

#include "base/complex.h"
#include "path/path.h"

static inline fl_complex fl_lane(const fl_complex_lanes *lanes, size_t i)
{
    return (fl_complex){lanes->re[i], lanes->im[i]};
}

static inline void fl_lane_set(const fl_complex_lanes *lanes, size_t i, fl_complex value)
{
    lanes->re[i] = value.re;
    lanes->im[i] = value.im;
}

typedef struct fl_chain {
    fl_complex a, b, c, d;
} fl_chain;

/** Chain parameters as they are kept, x, y, z and t. */
static inline fl_chain fl_chain_load(const fl_twoport *from, size_t i)
{
    return (fl_chain){fl_lane(&from->x, i), fl_lane(&from->y, i), fl_lane(&from->z, i),
                      fl_lane(&from->t, i)};
}

static inline void fl_chain_store(const fl_twoport *to, size_t i, fl_chain m)
{
    fl_lane_set(&to->x, i, m.a);
    fl_lane_set(&to->y, i, m.b);
    fl_lane_set(&to->z, i, m.c);
    fl_lane_set(&to->t, i, m.d);
}

static inline fl_complex fl_chain_det(fl_chain m)
{
    return fl_subtract(fl_multiply(m.a, m.d), fl_multiply(m.b, m.c));
}

/** As met from the other side: [d b; c a] over the determinant, which is 1 where a two-port is
 * reciprocal. */
static inline fl_chain fl_chain_turned(fl_chain m)
{
    return (fl_chain){m.d, m.b, m.c, m.a};
}

static inline fl_chain fl_chain_divided(fl_chain m, fl_complex by)
{
    return (fl_chain){fl_divide(m.a, by), fl_divide(m.b, by), fl_divide(m.c, by),
                      fl_divide(m.d, by)};
}

/** Chain matrix of an element as the march to a port meets it; its two-port as filled, of data as
 * met from die to board. */
fl_chain fl_chain_of(fl_action action, const fl_twoport *twoport, int driven, size_t i);

/** The matrix of m with first before it. */
fl_chain fl_chain_after(fl_chain first, fl_chain m);

#endif
