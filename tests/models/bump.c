/* Bump: the loop of short cylinders, pads, and the ranges of the trade. */
#include "check.h"

#include "models/conductor.h"
#include "models/disc.h"
#include "physics.h"

static const double pi = 3.14159265358979323846;

enum { DIAMETER, HEIGHT, PAD, RETURNS, PITCH, DISTANCE, CONDUCTIVITY, COVER, ALL };

static const double ball[ALL] = {60e-6, 60e-6, 80e-6, 0.0, 150e-6, 0.0, 1e15, 3.5};

static void solve(double (*values)[FL_VALUES], const double *p)
{
    const fl_physics *physics = (const fl_physics *)sample_kind("bump");
    const fl_setting setting = {.w0 = 2.0 * pi * 28e9};
    fl_error error = {0};
    check_ok(physics->solve(values, p, &setting, &error), error);
}

static double inductance(const double *p)
{
    double values[FL_ELEMENTS][FL_VALUES];
    solve(values, p);
    return values[1][1];
}

/* One return: 2 (L - M); two: 3/2 L + Mgg / 2 - 2 M [Grover 1946], with Rosa's parallel filaments
 * for M; both fall as the returns come near. Far away they add the returns' own. */
static void test_returns(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, ball, sizeof p);
    const double own = fl_tube_inductance(60e-6, 30e-6);
    check_close(own, inductance(p), 1e-4, "alone");
    const double next = fl_round_inductance(60e-6, 150e-6);
    const double over = fl_round_inductance(60e-6, 300e-6);
    p[RETURNS] = 1.0;
    check_close(2.0 * (own - next), inductance(p), 1e-4, "one");
    p[RETURNS] = 2.0;
    check_close(1.5 * own + 0.5 * over - 2.0 * next, inductance(p), 1e-4, "two");
    double before = 0.0;
    for (p[PITCH] = 80e-6; p[PITCH] < 1e-3; p[PITCH] *= 1.2) {
        assert_true(inductance(p) > before);
        before = inductance(p);
    }
    p[PITCH] = 1.0;
    check_close(1.5 * own, inductance(p), 2e-4, "far away");
}

/* Tall bumps: per length mu0 / pi ln(pitch / radius) of two, and of three wires in a plane
 * mu0 / 2 pi (3/2 ln(s / a) - ln(2) / 2), from the logarithms of the distances. */
static void test_tall(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, ball, sizeof p);
    p[HEIGHT] = 0.1;
    p[RETURNS] = 1.0;
    check_close(4e-7 * log(5.0) * p[HEIGHT], inductance(p), 2e-3, "two");
    p[RETURNS] = 2.0;
    check_close(2e-7 * (1.5 * log(5.0) - 0.5 * log(2.0)) * p[HEIGHT], inductance(p), 2e-3, "three");
}

/* Pads: that of the facing ground at `ground distance`, or at the height; the bump's own diameter
 * if none is given; underfill multiplies. */
static void test_pads(void **unused)
{
    (void)unused;
    double p[ALL], values[FL_ELEMENTS][FL_VALUES];
    memcpy(p, ball, sizeof p);
    solve(values, p);
    check_close(3.5 * fl_disc_capacitance(40e-6, 60e-6), values[0][0], 1e-12, "given pad");
    check_near(values[0][0], values[2][0], 0.0, "either side");
    check_near(0.0, values[0][1], 0.0, "no loss");
    p[PAD] = 0.0;
    p[DISTANCE] = 100e-6;
    solve(values, p);
    check_close(3.5 * fl_disc_capacitance(30e-6, 100e-6), values[0][0], 1e-12, "own pad");
    check_close(2.0 * values[0][0], physics_property("bump", p, 2.0 * pi * 28e9, "capacitance"),
                1e-12, "both");
}

/* 10 to 50 pH and 10 to 40 fF a joint for 25 to 80 um [common practice, no source]: those with a
 * return beside them. */
static void test_trade(void **unused)
{
    (void)unused;
    const double w0 = 2.0 * pi * 28e9;
    for (double size = 50e-6; size <= 80e-6; size += 10e-6) {
        const double p[ALL] = {size, size, 1.3 * size, 1.0, 3.0 * size, 0.0, 7e6, 3.5};
        const double l = physics_property("bump", p, w0, "inductance");
        const double c = physics_property("bump", p, w0, "capacitance");
        assert_true(l > 10e-12 && l < 50e-12);
        assert_true(c > 10e-15 && c < 50e-15);
        assert_true(physics_property("bump", p, w0, "resistance") < 0.2);
    }
}

static void test_ranges(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("bump");
    fl_setting setting;
    double p[ALL];
    fl_setting_init(&setting, 28e9, 26e9, 30e9);
    memcpy(p, ball, sizeof p);
    assert_null(physics->refuse(p));
    assert_null(physics->caution(p, &setting));
    p[RETURNS] = 1.0;
    p[PITCH] = 100e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "pitch"));
    p[PITCH] = 60e-6;
    assert_non_null(strstr(physics->refuse(p), "pitch"));
    p[RETURNS] = 3.0;
    assert_non_null(strstr(physics->refuse(p), "returns"));
    memcpy(p, ball, sizeof p);
    p[PAD] = 50e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "pad"));
    p[PAD] = 400e-6;
    p[DISTANCE] = 45e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "radius"));
    p[DISTANCE] = 20e-6;
    assert_non_null(strstr(physics->refuse(p), "radius"));
    fl_setting_init(&setting, 300e9, 290e9, 310e9);
    memcpy(p, ball, sizeof p);
    assert_non_null(strstr(physics->caution(p, &setting), "wavelength"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_returns), cmocka_unit_test(test_tall),
                                       cmocka_unit_test(test_pads), cmocka_unit_test(test_trade),
                                       cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/bump", tests, NULL, NULL);
}
