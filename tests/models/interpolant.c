/* Piecewise cubics: exact at the points, exact for cubics, fourth order, smooth. */
#include "check.h"

#include "models/interpolant.h"

enum { MOST = 400 };

static const double low = 1e9;
static const double high = 40e9;

/** count points from low to high; shape 0: even steps, 1: steps of 1 : 3 : 0.5, 2: even ratios. */
static void make_points(double *x, size_t count, int shape)
{
    static const double steps[] = {1.0, 3.0, 0.5};
    double at = 0.0;
    for (size_t i = 0; i < count; ++i) {
        x[i] = at;
        at += shape == 1 ? steps[i % 3] : 1.0;
    }
    const double last = x[count - 1];
    for (size_t i = 0; i < count; ++i)
        x[i] = shape == 2 ? low * pow(high / low, x[i] / last) : low + (high - low) * x[i] / last;
}

typedef void curve(double value[2], double x);

/* A wave that turns 3.5 rad over the range and dies away. */
static void wave(double value[2], double x)
{
    const double t = (x - low) / (high - low);
    value[0] = exp(-t) * cos(3.5 * t);
    value[1] = -exp(-t) * sin(3.5 * t);
}

static void sample(fl_knot *knots, const double *x, size_t count, curve *f)
{
    for (size_t i = 0; i < count; ++i)
        f(knots[i].value, x[i]);
    fl_knots_slopes(knots, 1, x, count);
}

static double error_at(const fl_knot *knots, const double *x, size_t count, curve *f, double at)
{
    double got[2];
    double wanted[2];
    fl_knots_value(got, knots, x, count, at);
    f(wanted, at);
    return hypot(got[0] - wanted[0], got[1] - wanted[1]);
}

/** Largest error in the intervals first to last. */
static double largest_error(const fl_knot *knots, const double *x, size_t count, size_t first,
                            size_t last)
{
    double largest = 0.0;
    for (size_t k = first; k <= last; ++k)
        for (int part = 1; part < 16; ++part)
            largest = fmax(largest,
                           error_at(knots, x, count, wave, x[k] + (x[k + 1] - x[k]) * part / 16.0));
    return largest;
}

static void exact_at_the_points(void **state)
{
    (void)state;
    for (size_t count = 2; count < 40; ++count)
        for (int shape = 0; shape < 3; ++shape) {
            double x[MOST];
            fl_knot knots[MOST];
            make_points(x, count, shape);
            sample(knots, x, count, wave);
            for (size_t i = 0; i < count; ++i)
                check_near(0.0, error_at(knots, x, count, wave, x[i]), 0.0, "point %zu of %zu", i,
                           count);
        }
}

/* c0 + c1 t + ...: degree count - 1 up to 3 comes back, also with uneven steps. */
static void exact_for_polynomials(void **state)
{
    (void)state;
    static const double c[4] = {0.3, -1.1, 0.7, 0.9};
    for (size_t count = 2; count < 12; ++count)
        for (int shape = 0; shape < 3; ++shape) {
            const size_t degree = count < 4 ? count - 1 : 3;
            double x[MOST];
            fl_knot knots[MOST];
            make_points(x, count, shape);
            for (size_t i = 0; i < count; ++i) {
                const double t = x[i] / high;
                const double power[4] = {1.0, t, t * t, t * t * t};
                knots[i].value[0] = knots[i].value[1] = 0.0;
                for (size_t n = 0; n <= degree; ++n)
                    knots[i].value[n % 2] += c[n] * power[n];
            }
            fl_knots_slopes(knots, 1, x, count);
            for (int part = 0; part <= 100; ++part) {
                const double at = low + (high - low) * part / 100.0;
                const double t = at / high;
                const double power[4] = {1.0, t, t * t, t * t * t};
                double wanted[2] = {0.0, 0.0};
                double got[2];
                for (size_t n = 0; n <= degree; ++n)
                    wanted[n % 2] += c[n] * power[n];
                fl_knots_value(got, knots, x, count, at);
                check_near(wanted[0], got[0], 1e-13, "real, %zu points at %g", count, at);
                check_near(wanted[1], got[1], 1e-13, "imaginary, %zu points at %g", count, at);
            }
        }
}

/* Half the step, a sixteenth of the error: inside, and in the two intervals at each end. */
static void fourth_order(void **state)
{
    (void)state;
    for (int shape = 0; shape < 3; ++shape) {
        double before[3] = {0.0, 0.0, 0.0};
        for (size_t count = 37; count <= 289; count = 2 * count - 1) {
            double x[MOST];
            fl_knot knots[MOST];
            make_points(x, count, shape);
            sample(knots, x, count, wave);
            const double now[3] = {largest_error(knots, x, count, 0, 1),
                                   largest_error(knots, x, count, 2, count - 4),
                                   largest_error(knots, x, count, count - 3, count - 2)};
            for (int part = 0; part < 3 && count > 37; ++part)
                if (before[part] / now[part] < 11.0)
                    fail_msg("shape %d, %zu points, part %d: error from %.3g to %.3g", shape, count,
                             part, before[part], now[part]);
            memcpy(before, now, sizeof now);
        }
    }
}

/* The figure of the header: p^4 / 384 inside and a little more at the ends. */
static void error_of_an_even_turn(void **state)
{
    (void)state;
    enum { COUNT = 36 };
    const double p = 3.5 / (COUNT - 1);
    double x[COUNT];
    fl_knot knots[COUNT];
    double inside = 0.0, all = 0.0;
    for (size_t i = 0; i < COUNT; ++i) {
        x[i] = (double)i;
        knots[i].value[0] = cos(p * (double)i);
        knots[i].value[1] = sin(p * (double)i);
    }
    fl_knots_slopes(knots, 1, x, COUNT);
    for (size_t i = 0; i < 16 * (COUNT - 1); ++i) {
        const double at = (double)i / 16.0;
        double got[2];
        fl_knots_value(got, knots, x, COUNT, at);
        const double error = hypot(got[0] - cos(p * at), got[1] - sin(p * at));
        all = fmax(all, error);
        if (at > 2.0 && at < COUNT - 3.0)
            inside = fmax(inside, error);
    }
    const double p4 = p * p * p * p;
    check_close(p4 / 384.0, inside, 0.1, "inside");
    assert_true(all <= p4 / 384.0 + p4 * p / 40.0);
}

static void smooth(void **state)
{
    (void)state;
    enum { COUNT = 20 };
    double x[COUNT];
    fl_knot knots[COUNT];
    make_points(x, COUNT, 1);
    sample(knots, x, COUNT, wave);
    for (size_t k = 1; k + 1 < COUNT; ++k) {
        /* Curvature alone parts the two slopes by 12 step / range^2, a tenth of what is allowed. */
        const double step = 1e-5 * (x[k + 1] - x[k]);
        double left[2], right[2];
        fl_knots_value(left, knots, x, COUNT, x[k] - step);
        fl_knots_value(right, knots, x, COUNT, x[k] + step);
        for (size_t part = 0; part < 2; ++part) {
            const double slope_left = (knots[k].value[part] - left[part]) / step;
            const double slope_right = (right[part] - knots[k].value[part]) / step;
            check_near(slope_left, slope_right, 1e-4 / (high - low), "slope at point %zu", k);
        }
    }
}

static void outside_is_the_end(void **state)
{
    (void)state;
    static const struct {
        double at;
        size_t end;
    } rows[] = {{0.0, 0}, {-1e300, 0}, {40.1e9, 9}, {1e300, 9}};
    double x[10];
    fl_knot knots[10];
    make_points(x, 10, 0);
    sample(knots, x, 10, wave);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        double got[2];
        fl_knots_value(got, knots, x, 10, rows[i].at);
        check_near(knots[rows[i].end].value[0], got[0], 0.0, "at %g", rows[i].at);
        check_near(knots[rows[i].end].value[1], got[1], 0.0, "at %g", rows[i].at);
    }
}

/* Values and steps as far apart as the reader lets through stay finite. */
static void extremes(void **state)
{
    (void)state;
    const double x[] = {0.0, 1e-6, nextafter(1e-6, 1.0), 1.0, nextafter(1e18, 0.0), 1e18};
    fl_knot knots[6];
    for (size_t i = 0; i < 6; ++i)
        knots[i] = (fl_knot){.value = {i % 2 ? 1e30 : -1e30, i % 3 ? 1e30 : -1e30}};
    fl_knots_slopes(knots, 1, x, 6);
    for (size_t i = 0; i < 5; ++i)
        for (int part = 0; part < 16; ++part) {
            double got[2];
            fl_knots_value(got, knots, x, 6, x[i] + (x[i + 1] - x[i]) * part / 16.0);
            assert_true(isfinite(got[0]) && isfinite(got[1]));
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_at_the_points),
        cmocka_unit_test(exact_for_polynomials),
        cmocka_unit_test(fourth_order),
        cmocka_unit_test(error_of_an_even_turn),
        cmocka_unit_test(smooth),
        cmocka_unit_test(outside_is_the_end),
        cmocka_unit_test(extremes),
    };
    return cmocka_run_group_tests_name("models/interpolant", tests, NULL, NULL);
}
