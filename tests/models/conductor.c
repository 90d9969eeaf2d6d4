/* Conductors: published self-inductances, skin-effect tables, and limits either side of them. */
#include "check.h"

#include "models/conductor.h"
#include "models/filament.h"

static const double pi = 3.14159265358979323846;

/* Computed from the forms exact in length [Rosa 1908]; the long-wire forms, 2 l (ln(2 l / r) - 1)
 * and - 3/4, are low by 2 r in cm and nH. */
static void test_round(void **unused)
{
    (void)unused;
    static const struct {
        double length, radius, even, surface;
    } rows[] = {{1e-3, 12.5e-6, 0.867527, 0.817527},
                {0.3e-3, 12.5e-6, 0.189746, 0.174746},
                {0.5e-3, 12.5e-6, 0.365687, 0.340687},
                {2e-3, 12.5e-6, 2.009824, 1.909824},
                {1.0, 1e-3, 1370.380, 1320.380}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double l = rows[i].length, r = rows[i].radius;
        check_close(rows[i].even * 1e-9, fl_round_inductance_even(l, r), 3e-6, "even %g", l);
        check_close(rows[i].surface * 1e-9, fl_round_inductance(l, r), 3e-6, "surface %g", l);
        check_close(2e-7 * (l * (log(2.0 * l / r) - 0.75) + r), fl_round_inductance_even(l, r),
                    r * r / (l * l), "long form %g", l);
    }
}

/* A tube much longer than wide is a round wire but for the mean distance 4 r / pi in place of r in
 * the small term; and one of any length is a cage of filaments. */
static void test_tube(void **unused)
{
    (void)unused;
    const double r = 1e-3;
    check_close(fl_round_inductance(1.0, r) + 2e-7 * r * (4.0 / pi - 1.0),
                fl_tube_inductance(1.0, r), 1e-6, "long");
    const int n = 400;
    const double height = 2e-3;
    double sum = fl_round_inductance(height, r / n);
    for (int i = 1; i < n; i++) {
        const double x = 2.0 * r * sin(pi * i / n);
        const fl_filament a = {{0, 0, 0}, {0, 0, height}}, b = {{x, 0, 0}, {x, 0, height}};
        sum += fl_filament_mutual(&a, &b);
    }
    /* n filaments of radius r / n have the geometric mean distance r exactly. */
    check_close(sum / n, fl_tube_inductance(height, r), 1e-5, "cage of filaments");
}

/* Bars and tapes [Grover 1946], [Ruehli 1972], computed from their forms. */
static void test_flat(void **unused)
{
    (void)unused;
    static const struct {
        double length, width, thickness, bar, tape;
    } rows[] = {{1e-3, 75e-6, 12.7e-6, 0.729316, 0.761636},
                {1e-3, 250e-6, 25.4e-6, 0.508846, 0.532036}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        check_close(rows[i].bar * 1e-9,
                    fl_bar_inductance(rows[i].length, rows[i].width, rows[i].thickness), 2e-6,
                    "bar %zu", i);
        check_close(rows[i].tape * 1e-9, fl_tape_inductance(rows[i].length, rows[i].width), 2e-6,
                    "tape %zu", i);
        /* A bar of no thickness is a tape, but for terms of the order (width / length)^2. */
        check_close(fl_tape_inductance(rows[i].length, rows[i].width),
                    fl_bar_inductance(rows[i].length, rows[i].width, 0.0), 1e-2, "thin %zu", i);
    }
}

/* The tape as the mean of parallel filaments over its width, weight 2 (w - x) / w^2, by midpoints
 * in x = w u^3, which takes the logarithm's edge off. */
static void test_tape_by_filaments(void **unused)
{
    (void)unused;
    const double l = 1e-3, w = 250e-6;
    const int n = 2000;
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        const double u = (i + 0.5) / n, x = w * u * u * u;
        sum += 2.0 * (w - x) / (w * w) * fl_round_inductance(l, x) * 3.0 * w * u * u / n;
    }
    check_close(sum, fl_tape_inductance(l, w), 1e-6, "mean over filaments");
}

/* Of itself w exp(-3/2), next to itself 0.89252 w [Grover 1946 ch. 3]; the two forms meet. */
static void test_tape_distance(void **unused)
{
    (void)unused;
    check_close(0.22313016, fl_tape_distance(1.0, 0.0), 1e-7, "itself");
    check_close(0.89252, fl_tape_distance(1.0, 1.0), 1e-5, "next");
    check_close(fl_tape_distance(1.0, 20.0 - 1e-9), fl_tape_distance(1.0, 20.0 + 1e-9), 1e-9,
                "where the forms meet");
}

/* Outer radii: of a square 0.5901703 of its side [Polya and Szego 1951], of a tape w / 4; between
 * them rising with thickness, and bounded by the circles of the same girth and area. */
static void test_bar_radius(void **unused)
{
    (void)unused;
    check_close(0.5901702995, fl_bar_radius(1.0, 1.0), 1e-9, "square");
    check_close(0.25, fl_bar_radius(1.0, 1e-9), 1e-7, "tape");
    double before = 0.25;
    for (double t = 0.01; t <= 1.0; t += 0.03) {
        const double radius = fl_bar_radius(1.0, t);
        assert_true(radius > before && radius > sqrt(t / pi) && radius < (1.0 + t) / pi);
        before = radius;
    }
}

/* Depths at 10 GHz [Pozar 2011, Example 1.2, from memory; recomputed]. */
static void test_depth(void **unused)
{
    (void)unused;
    static const struct {
        double conductivity, depth;
    } rows[] = {
        {3.816e7, 0.8147e-6}, {5.813e7, 0.6601e-6}, {4.098e7, 0.7862e-6}, {6.173e7, 0.6406e-6}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_close(rows[i].depth, fl_skin_depth(rows[i].conductivity, 2.0 * pi * 1e10), 1e-4,
                    "%g S/m", rows[i].conductivity);
}

/* R / R0 and L / L0 by x = r sqrt(w mu sigma) [Rosa and Grover 1911, from memory, the last digit
 * recomputed]. */
static void test_skin_table(void **unused)
{
    (void)unused;
    static const double rows[][3] = {{1.0, 1.00519, 0.99741}, {1.5, 1.02582, 0.98711},
                                     {2.0, 1.07816, 0.96114}, {2.5, 1.17538, 0.91347},
                                     {3.0, 1.31809, 0.84517}, {4.0, 1.67787, 0.68632},
                                     {5.0, 2.04273, 0.55597}, {10.0, 3.79858, 0.28162}};
    const double r = 1e-3, sigma = 5.8e7;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double x = rows[i][0];
        const double w = x * x / (r * r * fl_permeability() * sigma);
        const fl_complex z = fl_round_impedance(r, sigma, w);
        check_near(rows[i][1], z.re * pi * r * r * sigma, 1.1e-5, "R at %g", x);
        check_near(rows[i][2], z.im / (w * fl_permeability() / (8.0 * pi)), 1.1e-5, "L at %g", x);
    }
}

/* Gold wire of 25 um, 4.1e7 S/m: computed from the Bessel functions by other code. */
static void test_gold_wire(void **unused)
{
    (void)unused;
    static const double rows[][3] = {{1e9, 138.255, 123.791},
                                     {10e9, 407.806, 394.780},
                                     {30e9, 696.910, 684.144},
                                     {60e9, 980.315, 967.651},
                                     {77e9, 1108.863, 1096.227}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double w = 2.0 * pi * rows[i][0], r = 12.5e-6, sigma = 4.1e7;
        const fl_complex z = fl_round_impedance(r, sigma, w);
        check_close(rows[i][1], z.re, 5e-6, "R at %g Hz", rows[i][0]);
        check_close(rows[i][2], z.im, 5e-6, "X at %g Hz", rows[i][0]);
        const double depth = fl_skin_depth(sigma, w);
        check_close(1.0 / (pi * sigma * depth * (2.0 * r - depth)), z.re, 4e-3, "annulus");
    }
}

/* I0(z) / I1(z) by their power series, in long double; terms cancel beyond |z| = 12. */
static void test_power_series(void **unused)
{
    (void)unused;
    const double r = 1.0, sigma = 1.0 / fl_permeability();
    for (double size = 1e-3; size < 12.0; size *= 1.7) {
        const double w = size * size; /* k r = (1 + j) size / sqrt 2 */
        long double even_re = 0, even_im = 0, odd_re = 0, odd_im = 0, term_re = 1, term_im = 0;
        for (int m = 0; m < 200; m++) { /* (z / 2)^2m / m!^2, z^2 = j size^2 */
            even_re += term_re;
            even_im += term_im;
            odd_re += term_re / (m + 1);
            odd_im += term_im / (m + 1);
            const long double step =
                (long double)size * (long double)size / 4 / ((m + 1.0L) * (m + 1.0L));
            const long double turned = -term_im * step;
            term_im = term_re * step;
            term_re = turned;
        }
        /* Z = (even / odd) / (pi r^2 sigma) */
        const long double square = odd_re * odd_re + odd_im * odd_im;
        const double scale = 1.0 / (pi * r * r * sigma);
        const fl_complex z = fl_round_impedance(r, sigma, w);
        check_close((double)((even_re * odd_re + even_im * odd_im) / square) * scale, z.re, 1e-13,
                    "R at %g", size);
        check_near((double)((even_im * odd_re - even_re * odd_im) / square) * scale, z.im,
                   1e-13 * z.re, "X at %g", size);
    }
}

/* Limits: the whole section at low frequency, the annulus at high, no step between the forms. */
static void test_skin_limits(void **unused)
{
    (void)unused;
    const double r = 12.5e-6, sigma = 4.1e7;
    const fl_complex low = fl_round_impedance(r, sigma, 1e-3);
    check_close(1.0 / (pi * r * r * sigma), low.re, 1e-13, "low R");
    check_close(1e-3 * fl_permeability() / (8.0 * pi), low.im, 1e-7, "low L");
    const double w = 1e18, depth = fl_skin_depth(sigma, w);
    check_close(1.0 / (pi * sigma * depth * (2.0 * r - depth)), fl_round_impedance(r, sigma, w).re,
                1e-6, "annulus");
    const double joint = 40.0 / r * 40.0 / r / (fl_permeability() * sigma); /* |z| = 40 */
    const fl_complex below = fl_round_impedance(r, sigma, joint * (1.0 - 1e-14));
    const fl_complex above = fl_round_impedance(r, sigma, joint * (1.0 + 1e-14));
    check_close(below.re, above.re, 1e-13, "R where the forms meet");
    check_close(below.im, above.im, 1e-13, "X where the forms meet");
}

/* A flat conductor: 1 / (w t sigma) and its inside mu0 t / (12 w) at low frequency, both faces at
 * high, the surface impedance 1 / (sigma depth) each [Ramo 1994]. */
static void test_bar_impedance(void **unused)
{
    (void)unused;
    const double width = 75e-6, t = 12.5e-6, sigma = 4.1e7;
    const fl_complex low = fl_bar_impedance(width, t, sigma, 1.0);
    check_close(1.0 / (width * t * sigma), low.re, 1e-12, "low R");
    check_close(fl_permeability() * t / (12.0 * width), low.im, 1e-6, "low L");
    const double w = 2.0 * pi * 60e9;
    const fl_complex high = fl_bar_impedance(width, t, sigma, w);
    check_close(0.5 / (width * sigma * fl_skin_depth(sigma, w)), high.re, 1e-9, "high R");
    check_close(high.re, high.im, 1e-9, "high X");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_round),         cmocka_unit_test(test_tube),
        cmocka_unit_test(test_flat),          cmocka_unit_test(test_tape_by_filaments),
        cmocka_unit_test(test_tape_distance), cmocka_unit_test(test_bar_radius),
        cmocka_unit_test(test_depth),         cmocka_unit_test(test_skin_table),
        cmocka_unit_test(test_gold_wire),     cmocka_unit_test(test_power_series),
        cmocka_unit_test(test_skin_limits),   cmocka_unit_test(test_bar_impedance)};
    return cmocka_run_group_tests_name("models/conductor", tests, NULL, NULL);
}
