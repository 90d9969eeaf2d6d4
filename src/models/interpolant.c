/* Piecewise cubics through complex points over frequency. */
#include "models/interpolant.h"

enum { STENCIL = 5 };

/** Points whose polynomial gives the slope at one of them. */
typedef struct stencil {
    size_t first, count;
    double weights[STENCIL]; /* d polynomial / d value, per hertz; 0 at the point itself */
} stencil;

/**
 * Weights of the slope at point k: derivatives of the Lagrange polynomials. They multiply
 * differences to the value at k, so that a constant has slope zero exactly.
 */
static stencil stencil_at(size_t k, const double *x, size_t count)
{
    stencil s = {.count = count < STENCIL ? count : STENCIL};
    s.first = k < STENCIL / 2 ? 0 : k - STENCIL / 2;
    if (s.first > count - s.count)
        s.first = count - s.count;
    for (size_t j = s.first; j < s.first + s.count; ++j) {
        if (j == k)
            continue;
        double weight = 1.0 / (x[j] - x[k]);
        for (size_t i = s.first; i < s.first + s.count; ++i)
            if (i != j && i != k)
                weight *= (x[k] - x[i]) / (x[j] - x[i]);
        s.weights[j - s.first] = weight;
    }
    return s;
}

static void set_slope(fl_knot *knots, size_t k, const stencil *s)
{
    double slope[2] = {0.0, 0.0};
    for (size_t j = 0; j < s->count; ++j)
        for (size_t part = 0; part < 2; ++part)
            slope[part] += s->weights[j] * (knots[s->first + j].value[part] - knots[k].value[part]);
    knots[k].slope[0] = slope[0];
    knots[k].slope[1] = slope[1];
}

void fl_knots_slopes(fl_knot *knots, size_t curve_count, const double *frequencies, size_t count)
{
    for (size_t k = 0; k < count; ++k) {
        const stencil s = stencil_at(k, frequencies, count);
        for (size_t curve = 0; curve < curve_count; ++curve)
            set_slope(knots + curve * count, k, &s);
    }
}

/** Index of the last point at or below the frequency, which is inside. */
static size_t find_point(const double *frequencies, size_t count, double frequency)
{
    size_t low = 0;
    size_t high = count;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (frequencies[middle] <= frequency)
            low = middle;
        else
            high = middle;
    }
    return low;
}

void fl_knots_value(double value[2], const fl_knot *knots, const double *frequencies, size_t count,
                    double frequency)
{
    const size_t k = find_point(frequencies, count, frequency);
    const fl_knot *a = &knots[k];
    if (k == count - 1 || !(frequency > frequencies[k])) {
        value[0] = a->value[0];
        value[1] = a->value[1];
        return;
    }
    const fl_knot *b = &knots[k + 1];
    const double step = frequencies[k + 1] - frequencies[k];
    const double t = (frequency - frequencies[k]) / step;
    for (size_t part = 0; part < 2; ++part) {
        const double rise = b->value[part] - a->value[part];
        const double first = step * a->slope[part];
        const double last = step * b->slope[part];
        const double square = 3.0 * rise - 2.0 * first - last;
        const double cube = first + last - 2.0 * rise;
        value[part] = a->value[part] + t * (first + t * (square + t * cube));
    }
}
