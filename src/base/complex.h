/**
 * Complex arithmetic on pairs of doubles, for loops over lanes held as separate real and imaginary
 * arrays. The C library's complex type checks for infinities at every product, which keeps such
 * loops from being vectorised.
 */
#ifndef FL_BASE_COMPLEX_H
#define FL_BASE_COMPLEX_H

typedef struct fl_complex {
    double re, im;
} fl_complex;

static inline fl_complex fl_add(fl_complex a, fl_complex b)
{
    return (fl_complex){a.re + b.re, a.im + b.im};
}

static inline fl_complex fl_subtract(fl_complex a, fl_complex b)
{
    return (fl_complex){a.re - b.re, a.im - b.im};
}

static inline fl_complex fl_multiply(fl_complex a, fl_complex b)
{
    return (fl_complex){a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}

static inline fl_complex fl_scale(fl_complex a, double factor)
{
    return (fl_complex){a.re * factor, a.im * factor};
}

static inline fl_complex fl_conjugate(fl_complex a)
{
    return (fl_complex){a.re, -a.im};
}

static inline double fl_squared(fl_complex a)
{
    return a.re * a.re + a.im * a.im;
}

static inline fl_complex fl_divide(fl_complex a, fl_complex b)
{
    return fl_scale(fl_multiply(a, fl_conjugate(b)), 1.0 / fl_squared(b));
}

#endif
