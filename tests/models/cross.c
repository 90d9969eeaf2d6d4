/* Line constants of cross-sections against exact and independent solutions; limits, smoothness. */
#include "check.h"

#include <gsl/gsl_sf_ellint.h>

#include "models/cross_strip.h"

static const double free_space = 376.730313668; /* ohm */

static double complete(double k)
{
    return gsl_sf_ellint_RF(0.0, 1.0 - k * k, 1.0, GSL_PREC_DOUBLE);
}

/* K(k') / K(k) */
static double ratio(double k)
{
    return complete(sqrt(1.0 - k * k)) / complete(k);
}

/* Strips without thickness. Source of all: an integral equation with the layered Green's function
 * in Chebyshev polynomials, which agrees with the exact stripline to 1e-14; six digits kept. */
static void test_microstrip(void **unused)
{
    (void)unused;
    static const struct {
        double width, permittivity, cover_height, cover_permittivity, lid;
        double impedance, effective;
        double tolerance;
    } rows[] = {
        {0.1, 2.2, 0.0, 1.0, 0.0, 202.57840, 1.682391, 3e-4},
        {0.5, 2.2, 0.0, 1.0, 0.0, 126.64657, 1.732540, 3e-4},
        {1.0, 2.2, 0.0, 1.0, 0.0, 94.90815, 1.774398, 4e-4},
        {3.081, 2.2, 0.0, 1.0, 0.0, 49.98999, 1.88336, 4e-4},
        {5.0, 2.2, 0.0, 1.0, 0.0, 35.44634, 1.939581, 4e-4},
        {1.0, 3.48, 0.0, 1.0, 0.0, 78.59590, 2.587369, 4e-4},
        {2.2, 3.48, 0.0, 1.0, 0.0, 50.95822, 2.736038, 4e-4},
        {1.0, 4.4, 0.0, 1.0, 0.0, 71.01472, 3.169286, 4e-4},
        {0.2, 9.8, 0.0, 1.0, 0.0, 90.02538, 6.040234, 4e-4},
        {0.5, 9.8, 0.0, 1.0, 0.0, 66.54652, 6.275083, 4e-4},
        {1.0, 9.8, 0.0, 1.0, 0.0, 49.30582, 6.574486, 4e-4},
        {5.0, 9.8, 0.0, 1.0, 0.0, 17.66352, 7.810812, 4e-4},
        {1.0, 12.9, 0.0, 1.0, 0.0, 43.2944, 8.52697, 4e-4},
        {1.0, 9.8, 0.5, 1.0, 0.0, 49.30582, 6.574486, 4e-4},
        {1.0, 9.8, 0.5, 4.0, 0.0, 46.85653, 7.279773, 5e-4},
        {1.0, 9.8, 2.0, 4.0, 0.0, 45.73834, 7.640069, 5e-4},
        {2.2, 3.48, 0.15, 3.5, 0.0, 49.48109, 2.901831, 4e-4},
        {2.2, 3.48, 0.5, 3.5, 0.0, 47.97337, 3.087096, 4e-4},
        {2.2, 3.48, 5.0, 3.5, 0.0, 45.36582, 3.452177, 4e-4},
        {3.0, 2.2, 1.0, 2.2, 0.0, 48.37793, 2.080497, 4e-4},
        {1.0, 4.4, 50.0, 4.4, 0.0, 60.27324, 4.399558, 4e-4},
        {1.0, 9.8, 0.0, 1.0, 5.0, 48.71678, 6.444064, 4e-4},
        {1.0, 9.8, 0.0, 1.0, 2.0, 46.81481, 6.056116, 4e-4},
        {2.2, 3.48, 0.0, 1.0, 3.0, 48.53309, 2.597485, 4e-4},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        strip s;
        strip_init(&s, rows[i].width, 0.0, rows[i].permittivity);
        if (rows[i].cover_height > 0.0)
            strip_cover(&s, rows[i].cover_height, rows[i].cover_permittivity);
        s.cross.lid = rows[i].lid > 0.0 ? 1.0 + rows[i].lid : 0.0;
        const fl_cross_mode mode = solve(&s.cross, 0.0).modes[0];
        check_close(rows[i].impedance, mode.impedance, rows[i].tolerance, "impedance, row %zu", i);
        check_close(rows[i].effective, mode.permittivity, rows[i].tolerance, "effective, row %zu",
                    i);
    }
}

/* [Hammerstad1980] is good to some 0.2 % here, and its correction for thickness is a fit. */
static void test_thick_microstrip(void **unused)
{
    (void)unused;
    static const double rows[][5] = {{1.0, 9.8, 0.01, 48.9953, 6.52786},
                                     {2.0, 3.48, 0.07, 52.7912, 2.67195}};
    for (size_t i = 0; i < 2; ++i) {
        strip s;
        strip_init(&s, rows[i][0], rows[i][2], rows[i][1]);
        const fl_cross_mode mode = solve(&s.cross, 0.0).modes[0];
        check_close(rows[i][3], mode.impedance, 2e-3, "impedance, row %zu", i);
        check_close(rows[i][4], mode.permittivity, 2e-3, "effective, row %zu", i);
    }
}

/* Exact [Cohn1955]: zero thickness, between planes 1 apart. */
static void test_striplines(void **unused)
{
    (void)unused;
    const double pi = acos(-1.0);
    fl_cross_conductor c[2] = {{.bottom = 0.5, .signal = 1}, {.bottom = 0.5, .signal = 2}};
    fl_cross cross = {.conductors = c, .conductor_count = 1, .ground = true, .lid = 1.0};
    static const double widths[] = {0.25, 0.5, 1.0, 2.0};
    for (size_t i = 0; i < 4; ++i) {
        c[0].left = -(c[0].right = 0.5 * widths[i]);
        const double wanted = free_space / 4.0 / ratio(1.0 / cosh(0.5 * pi * widths[i]));
        check_close(wanted, solve(&cross, 0.0).modes[0].impedance, 4e-4, "width %g", widths[i]);
    }
    cross.conductor_count = 2;
    static const double spacings[] = {0.1, 0.3, 1.0};
    for (size_t i = 0; i < 3; ++i) {
        const double w = 0.7, s = spacings[i];
        c[0].left = -(c[1].right = w + 0.5 * s);
        c[0].right = -(c[1].left = 0.5 * s);
        const double outer = tanh(0.5 * pi * (w + s));
        const fl_cross_result r = solve(&cross, 0.0);
        assert_int_equal(2, r.mode_count);
        check_close(free_space / 4.0 * ratio(tanh(0.5 * pi * w) * outer), r.modes[0].impedance,
                    4e-4, "even, spacing %g", s);
        check_close(free_space / 4.0 * ratio(tanh(0.5 * pi * w) / outer), r.modes[1].impedance,
                    8e-4, "odd, spacing %g", s);
    }
}

/* Without a ground plane. Coplanar on a half space: exact [Wen1969]. Two strips: the exact values
 * of Love's equation in the plane, 11.68133 and 3.26347, computed. */
static void test_without_ground(void **unused)
{
    (void)unused;
    fl_cross_layer layer = {.top = 1e5, .permittivity = 12.9};
    fl_cross_conductor c[] = {
        {.left = -50.0, .right = 50.0, .bottom = 1e5, .signal = 1},
        {.left = -HUGE_VAL, .right = -110.0, .bottom = 1e5},
        {.left = 110.0, .right = HUGE_VAL, .bottom = 1e5},
    };
    fl_cross cross = {.layers = &layer, .layer_count = 1, .conductors = c, .conductor_count = 3};
    fl_cross_mode mode = solve(&cross, 0.0).modes[0];
    check_close(6.95, mode.permittivity, 1e-5, "coplanar");
    check_close(free_space / 4.0 / sqrt(6.95) * ratio(50.0 / 110.0), mode.impedance, 5e-4,
                "coplanar");
    static const double plates[][2] = {{10.0, 11.68133}, {2.0, 3.26347}};
    for (size_t i = 0; i < 2; ++i) {
        const double half = 0.5 * plates[i][0];
        fl_cross_conductor pair[] = {{.left = -half, .right = half, .bottom = 1.0, .signal = 1},
                                     {.left = -half, .right = half}};
        cross = (fl_cross){.conductors = pair, .conductor_count = 2};
        check_close(free_space / plates[i][1], solve(&cross, 0.0).modes[0].impedance, 4e-4,
                    "plates, row %zu", i);
    }
    /* Squares far apart are wires of the diameter 1.18034 sides [Polya1951]. */
    fl_cross_conductor squares[] = {
        {.left = -500.5, .right = -499.5, .thickness = 1.0, .signal = 1},
        {.left = 499.5, .right = 500.5, .thickness = 1.0}};
    cross = (fl_cross){.conductors = squares, .conductor_count = 2};
    check_close(free_space / acos(-1.0) * log(1000.0 / 0.5901702),
                solve(&cross, 0.0).modes[0].impedance, 1e-4, "squares");
}

/* The error falls at least with the square of the fineness. */
static void test_convergence(void **unused)
{
    (void)unused;
    double last[2] = {1.0, 1.0};
    for (size_t fineness = 5; fineness <= 20; fineness *= 2) {
        strip s;
        strip_init(&s, 1.0, 0.0, 9.8);
        s.cross.fineness = fineness;
        const fl_cross_mode mode = solve(&s.cross, 0.0).modes[0];
        const double errors[2] = {fabs(mode.impedance / 49.305817 - 1.0),
                                  fabs(mode.permittivity / 6.5744863 - 1.0)};
        for (size_t k = 0; k < 2; ++k) {
            check_near(0.0, errors[k] / last[k], 1.0 / 3.6, "fineness %zu, value %zu", fineness, k);
            last[k] = errors[k];
        }
    }
}

/* A cover like air changes nothing; a thick one like the substrate fills all. A slot in the upper
 * of two planes: narrow, the upper plane is whole; wide, there is only the lower. */
static void test_limits(void **unused)
{
    (void)unused;
    strip s;
    strip_init(&s, 2.0, 0.1, 3.48);
    const fl_cross_mode bare = solve(&s.cross, 0.0).modes[0];
    strip_cover(&s, 0.5, 1.0);
    fl_cross_mode mode = solve(&s.cross, 0.0).modes[0];
    check_close(bare.impedance, mode.impedance, 1e-12, "cover like air");
    strip_cover(&s, 500.0, 3.48);
    mode = solve(&s.cross, 0.0).modes[0];
    check_close(3.48, mode.permittivity, 1e-4, "filled");
    const fl_cross_layer layers[] = {{1.0, 3.48, 0.0}, {2.0, 3.48, 0.0}};
    fl_cross_conductor c[] = {
        {.left = -1.0, .right = 1.0, .bottom = 2.0, .thickness = 0.1, .signal = 1},
        {.left = -HUGE_VAL, .right = -0.005, .bottom = 1.0},
        {.left = 0.005, .right = HUGE_VAL, .bottom = 1.0},
    };
    const fl_cross slotted = {layers, 2, c, 3, true, 0.0, 0.0, 0.0, 0};
    mode = solve(&slotted, 0.0).modes[0];
    check_close(bare.impedance, mode.impedance, 1e-3, "narrow slot");
    check_close(bare.permittivity, mode.permittivity, 1e-3, "narrow slot");
    strip_init(&s, 1.0, 0.05, 3.48);
    const fl_cross_mode deep = solve(&s.cross, 0.0).modes[0];
    c[2].right = HUGE_VAL;
    c[1].right = -(c[2].left = 200.0);
    mode = solve(&slotted, 0.0).modes[0];
    check_close(deep.impedance, mode.impedance, 1e-3, "wide slot");
    check_close(deep.permittivity, mode.permittivity, 1e-3, "wide slot");
}

/* Third differences of a smooth curve are small: no step of more than 1e-7 hides in it. */
static void test_smooth(void **unused)
{
    (void)unused;
    double values[2][24];
    for (size_t k = 0; k < 24; ++k) {
        strip s;
        const double step = 1e-3 * (double)k;
        strip_init(&s, 2.0 * (1.0 + step), 0.1 * (1.0 - step), 3.48);
        s.conductor.conductivity = s.cross.conductivity = 5.8e7;
        strip_cover(&s, 0.3 * (1.0 + step), 3.5);
        const fl_cross_mode mode = solve(&s.cross, 1e10).modes[0];
        values[0][k] = mode.impedance / 50.0;
        values[1][k] = mode.resistance * 1e3;
        for (size_t i = 0; i < 2 && k >= 3; ++i) {
            const double *v = &values[i][k - 3];
            check_near(0.0, (v[3] - 3.0 * v[2] + 3.0 * v[1] - v[0]) / v[0], i == 0 ? 2e-9 : 2e-7,
                       "value %zu, step %zu", i, k);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_microstrip),  cmocka_unit_test(test_thick_microstrip),
        cmocka_unit_test(test_striplines),  cmocka_unit_test(test_without_ground),
        cmocka_unit_test(test_convergence), cmocka_unit_test(test_limits),
        cmocka_unit_test(test_smooth),
    };
    return cmocka_run_group_tests_name("models/cross", tests, NULL, NULL);
}
