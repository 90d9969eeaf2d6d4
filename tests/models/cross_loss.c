/* Losses of cross-sections: resistance against exact cases, conductance against identities. */
#include "check.h"

#include "models/cross_strip.h"

static const double frequency = 1e10;
static const double conductivity = 5.8e7;

/* sqrt(pi f mu0 / sigma) */
static double smooth_resistance(void)
{
    const double pi = acos(-1.0);
    return sqrt(pi * frequency * 4e-7 * pi / conductivity);
}

/* Wide strip close to the plane: even currents on both, R = 2 Rs / w; the rest falls with h / w. */
static void test_wide_strip(void **unused)
{
    (void)unused;
    double last = 1.0;
    static const double widths[] = {20.0, 80.0, 320.0, 1280.0};
    for (size_t i = 0; i < 4; ++i) {
        const double width = widths[i];
        strip s;
        strip_init(&s, width, 0.5, 1.0);
        s.conductor.conductivity = s.cross.conductivity = conductivity;
        const double got = solve(&s.cross, frequency).modes[0].resistance;
        const double missing = 1.0 - got / (2.0 * smooth_resistance() / width);
        check_near(0.0, missing / last, 0.4, "width %g", width);
        assert_true(missing > 0.0);
        last = missing;
    }
    assert_true(last < 0.01);
}

/* A lone square: R = (4 / pi) Rs / perimeter. By the map of the outside of a circle to that of a
 * square, charge goes as |sin 2 t|^(-1/2), so the factor is the mean of |sin|^(1/2) times that of
 * |sin|^(-1/2), 0.762760 * 1.669254. */
static void test_square(void **unused)
{
    (void)unused;
    fl_cross_conductor c[] = {{.left = -500.5, .right = -499.5, .thickness = 1.0, .signal = 1},
                              {.left = 499.5, .right = 500.5, .thickness = 1.0}};
    const fl_cross cross = {.conductors = c, .conductor_count = 2};
    const double wanted = 4.0 / acos(-1.0) * smooth_resistance() / 4.0;
    c[0].conductivity = conductivity;
    check_close(wanted, solve(&cross, frequency).modes[0].resistance, 2e-3, "one");
    c[1].conductivity = conductivity;
    check_close(2.0 * wanted, solve(&cross, frequency).modes[0].resistance, 2e-3, "two");
}

/* The other way to the same: the integral of the square of the surface current, by 16, 32 and 64
 * elements a half side, each with its r^(-1/3) at the edge, extrapolated; computed, and sure to
 * some 0.2 %. */
static void test_current_integral(void **unused)
{
    (void)unused;
    static const double rows[][4] = {
        {1.0, 0.01, 0.0299, 4e-3}, {2.0, 0.07, 0.01416, 3e-3}, {1.0, 0.5, 0.01505, 3e-3}};
    for (size_t i = 0; i < 3; ++i) {
        strip s;
        strip_init(&s, rows[i][0], rows[i][1], 4.0);
        s.conductor.conductivity = s.cross.conductivity = conductivity;
        check_close(rows[i][2], solve(&s.cross, frequency).modes[0].resistance, rows[i][3],
                    "row %zu", i);
    }
}

/* Losses of parts add up; roughness multiplies each: 1.8421 at 0.4 um, 77 GHz, 5.8e7 S/m. */
static void test_parts(void **unused)
{
    (void)unused;
    double got[3];
    for (size_t i = 0; i < 3; ++i) {
        strip s;
        strip_init(&s, 2.0, 0.1, 4.0);
        s.conductor.conductivity = i != 1 ? conductivity : 0.0;
        s.cross.conductivity = i != 0 ? conductivity : 0.0;
        got[i] = solve(&s.cross, 77e9).modes[0].resistance;
        if (i != 0)
            continue;
        s.conductor.roughness = 0.4e-6;
        check_close(1.8421224 * got[0], solve(&s.cross, 77e9).modes[0].resistance, 1e-6, "rough");
    }
    check_close(got[0] + got[1], got[2], 1e-5, "sum");
    assert_true(got[0] > got[1] && got[1] > 0.0);
}

/* Two lines far from each other have the resistance of one, and no common one. */
static void test_two_lines(void **unused)
{
    (void)unused;
    strip s;
    strip_init(&s, 2.0, 0.1, 4.0);
    s.conductor.conductivity = s.cross.conductivity = conductivity;
    const double one = solve(&s.cross, frequency).modes[0].resistance;
    fl_cross_conductor c[2] = {s.conductor, s.conductor};
    c[0].left -= 100.0;
    c[0].right -= 100.0;
    c[1].signal = 2;
    s.cross.conductors = c;
    s.cross.conductor_count = 2;
    const fl_cross_result r = solve(&s.cross, frequency);
    check_close(one, r.resistance[0][0], 1e-3, "first");
    check_close(one, r.resistance[1][1], 1e-3, "second");
    check_near(0.0, r.resistance[0][1] / one, 1e-3, "common");
}

/* Filled evenly G = w C tan; else the sum over layers of tan er dC / d er, here by differences. */
static void test_conductance(void **unused)
{
    (void)unused;
    const double omega = 2.0 * acos(-1.0) * frequency;
    strip s;
    strip_init(&s, 1.0, 0.1, 4.0);
    s.layers[0].top = 2.0;
    s.layers[0].loss_tangent = 0.01;
    s.cross.lid = 2.0;
    fl_cross_result r = solve(&s.cross, frequency);
    check_close(0.01 * omega * r.capacitance[0][0], r.conductance[0][0], 1e-9, "filled");
    strip_init(&s, 1.0, 0.1, 9.8);
    strip_cover(&s, 0.3, 4.0);
    s.layers[0].loss_tangent = 0.002;
    s.layers[1].loss_tangent = 0.03;
    r = solve(&s.cross, frequency);
    double wanted = 0.0;
    for (size_t k = 0; k < 2; ++k) {
        const double middle = s.layers[k].permittivity;
        double c[2];
        for (size_t i = 0; i < 2; ++i) {
            s.layers[k].permittivity = middle * (i == 0 ? 0.999 : 1.001);
            c[i] = solve(&s.cross, 0.0).capacitance[0][0];
        }
        s.layers[k].permittivity = middle;
        wanted += omega * s.layers[k].loss_tangent * (c[1] - c[0]) / 0.002;
    }
    check_close(wanted, r.conductance[0][0], 1e-6, "layers");
}

/* alpha = k0 er (ee - 1) tan / (2 sqrt(ee) (er - 1)) = G Z0 / 2 [Pozar2011, eq. 3.30]: it takes ee
 * for linear in er, which is right to a few percent. */
static void test_filling_factor(void **unused)
{
    (void)unused;
    const double omega = 2.0 * acos(-1.0) * frequency;
    static const double permittivities[] = {2.2, 3.48, 9.9};
    for (size_t i = 0; i < 3; ++i) {
        const double er = permittivities[i];
        strip s;
        strip_init(&s, 1.0, 0.0, er);
        s.layers[0].loss_tangent = 0.001;
        const fl_cross_mode m = solve(&s.cross, frequency).modes[0];
        const double alpha = omega / 299792458.0 * er * (m.permittivity - 1.0) * 0.001 /
                             (2.0 * sqrt(m.permittivity) * (er - 1.0));
        check_close(alpha, 0.5 * m.conductance * m.impedance, 0.03, "permittivity %g", er);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wide_strip),       cmocka_unit_test(test_square),
        cmocka_unit_test(test_current_integral), cmocka_unit_test(test_parts),
        cmocka_unit_test(test_two_lines),        cmocka_unit_test(test_conductance),
        cmocka_unit_test(test_filling_factor),
    };
    return cmocka_run_group_tests_name("models/cross_loss", tests, NULL, NULL);
}
