/** Functions of arrays of any length. Private: see vector.h. */
#ifndef FL_BASE_VECTOR_FUNCTION_H
#define FL_BASE_VECTOR_FUNCTION_H

#include "base/vector_pack.h"

/* The last numbers of an array, filled up with ones. */
FL_PACKED pack load_some(const double *from, size_t count)
{
    double some[FL_WIDTH];
    for (size_t i = 0; i < FL_WIDTH; i++)
        some[i] = i < count ? from[i] : 1.0;
    return load(some);
}

FL_PACKED void store_some(double *to, pack p, size_t count)
{
    double some[FL_WIDTH];
    store(some, p);
    for (size_t i = 0; i < count; i++)
        to[i] = some[i];
}

static void exponentials(double *y, const double *x, size_t count)
{
    size_t i = 0;
    for (; i + FL_WIDTH <= count; i += FL_WIDTH)
        store(y + i, power_of_e(load(x + i)));
    if (i < count)
        store_some(y + i, power_of_e(load_some(x + i, count - i)), count - i);
}

static void logarithms(double *y, const double *x, size_t count)
{
    size_t i = 0;
    for (; i + FL_WIDTH <= count; i += FL_WIDTH)
        store(y + i, logarithm(load(x + i)));
    if (i < count)
        store_some(y + i, logarithm(load_some(x + i, count - i)), count - i);
}

/* Sizes over 1 by their inverse, then those over tan(pi / 8) by the turn through pi / 4, then the
 * series up to a term of 1e-17. */
FL_PACKED pack arctangent(pack x)
{
    const pack one = same(1.0), size = size_of(x);
    const mask over = (mask)(size > one);
    const pack inverse = pick(over, one / size, size);
    const mask wide = (mask)(inverse > same(0.41421356237309503));
    const pack t = pick(wide, (inverse - one) / (inverse + one), inverse), z = t * t;
    /* Two sums side by side, of every other term: half the wait. */
    const pack zz = z * z;
    pack even = same(1.0 / 41.0), odd = same(-1.0 / 39.0);
    for (int n = 37; n >= 5; n -= 4) {
        even = even * zz + same(1.0 / n);
        odd = odd * zz + same(-1.0 / (n - 2));
    }
    const pack sum = even * z + odd;
    const pack angle = t + t * (z * sum);
    /* pi / 4 and pi / 2 in two parts each */
    const pack turned =
        pick(wide, same(0.78539816339744828) + (angle + same(3.0616169978683830e-17)), angle);
    const pack found =
        pick(over, same(1.5707963267948966) - (turned - same(6.1232339957367660e-17)), turned);
    return (pack)((mask)found | ((mask)x & FL_SAME(mask, INT64_MIN)));
}

static void arctangents(double *y, const double *x, size_t count)
{
    size_t i = 0;
    for (; i + FL_WIDTH <= count; i += FL_WIDTH)
        store(y + i, arctangent(load(x + i)));
    if (i < count)
        store_some(y + i, arctangent(load_some(x + i, count - i)), count - i);
}

/* Angles so large that quarter turns cannot be taken off exactly go one by one. */
static void turns(double *sine, double *cosine, const double *x, size_t count)
{
    double most = 0.0;
    for (size_t k = 0; k < count; k++)
        most = fabs(x[k]) <= most ? most : fabs(x[k]);
    const reach far = most <= 1e5 ? REACH_TURNS : REACH_FAR;
    for (size_t i = 0; i < count; i += FL_WIDTH) {
        const size_t some = count - i < FL_WIDTH ? count - i : FL_WIDTH;
        pack s, c;
        if (some == FL_WIDTH) {
            turn(load(x + i), far, &s, &c);
            store(sine + i, s);
            store(cosine + i, c);
            continue;
        }
        turn(load_some(x + i, some), far, &s, &c);
        store_some(sine + i, s, some);
        store_some(cosine + i, c, some);
    }
}

#endif
