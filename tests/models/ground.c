/* Ground connection: parallel down-bonds, and what comes in series. */
#include "check.h"

#include "models/conductor.h"
#include "physics.h"

static const double pi = 3.14159265358979323846;

enum { COUNT, DIAMETER, SPAN, LOOP, DIE, PITCH, CONDUCTIVITY, INDUCTANCE, ALL };

static const double bonds[ALL] = {1.0, 25e-6, 300e-6, 75e-6, 100e-6, 100e-6, 4.1e7, 0.0};

static double of(const double *p, const char *name)
{
    return physics_property("ground", p, 2.0 * pi * 28e9, name);
}

/* 0.1 to 0.3 nH for one of the trade [common practice, no source]; the more in parallel the less,
 * but never as little as without coupling; wide apart, just that. */
static void test_parallel(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, bonds, sizeof p);
    const double one = of(p, "inductance");
    assert_true(one > 0.1e-9 && one < 0.3e-9);
    double before = one;
    for (int count = 2; count <= 16; count++) {
        p[COUNT] = count;
        const double all = of(p, "inductance");
        assert_true(all < before && all > one / count);
        before = all;
    }
    p[COUNT] = 2.0;
    p[PITCH] = 0.1;
    /* What is left acts between the uprights and, the same way, those of the images. */
    check_close((one + 2e-7 * p[DIE] * p[DIE] / p[PITCH]) / 2.0, of(p, "inductance"), 1e-5,
                "far apart");
    check_close(of(bonds, "resistance") / 2.0, of(p, "resistance"), 1e-9, "resistance");
}

/* The inductance below adds to that of the wires, or is all. */
static void test_series(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("ground");
    const fl_setting setting = {.w0 = 2.0 * pi * 28e9};
    fl_error error = {0};
    double p[ALL], values[FL_ELEMENTS][FL_VALUES];
    memcpy(p, bonds, sizeof p);
    const double wires = of(p, "inductance");
    p[INDUCTANCE] = 20e-12;
    check_close(wires + 20e-12, of(p, "inductance"), 1e-13, "both");
    check_ok(physics->solve(values, p, &setting, &error), error);
    check_close(wires + 20e-12, values[0][1], 1e-13, "value");
    check_close(of(p, "resistance"), values[0][0], 1e-13, "resistance");
    check_close(setting.w0 * values[0][1], of(p, "reactance"), 1e-13, "reactance");
    check_near(0.0, values[0][2], 0.0, "no capacitor in series");
    p[COUNT] = 0.0;
    check_near(20e-12, of(p, "inductance"), 0.0, "no wires");
    check_near(0.0, of(p, "resistance"), 0.0, "no wires");
}

/* Halved span: 35 to 60 % less; a long low wire nears acosh(h / a) per length in the mean of its
 * heights, by the longer of two. */
static void test_span(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, bonds, sizeof p);
    const double whole = of(p, "inductance");
    p[SPAN] /= 2.0;
    const double part = of(p, "inductance") / whole;
    assert_true(part > 0.4 && part < 0.65);
    p[CONDUCTIVITY] = 1e16;
    p[DIE] = 100e-6;
    p[LOOP] = 1e-9;
    double slope = 0.0, wanted = 0.0;
    for (int k = 0; k < 2; k++) {
        p[SPAN] = k == 0 ? 0.1 : 0.2;
        slope += (k == 0 ? -1.0 : 1.0) * of(p, "inductance") / 0.1;
    }
    for (int i = 0; i < 100000; i++) {
        const double u = (i + 0.5) / 100000.0; /* falls as 1 - u^2 from a level start */
        wanted += 2e-7 * acosh((112.5e-6 - 100e-6 * u * u) / 12.5e-6) / 100000.0;
    }
    check_close(wanted, slope, 5e-3, "long wire");
}

static void test_ranges(void **unused)
{
    (void)unused;
    static const struct {
        int parameter;
        double value;
        const char *word;
    } rows[] = {{COUNT, 17.0, "count"},
                {SPAN, 0.0, "span"},
                {PITCH, 0.0, "pitch"},
                {PITCH, 20e-6, "pitch"}};
    const fl_physics *physics = (const fl_physics *)sample_kind("ground");
    fl_setting setting;
    double p[ALL];
    fl_setting_init(&setting, 28e9, 26e9, 30e9);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        memcpy(p, bonds, sizeof p);
        p[COUNT] = 2.0;
        assert_null(physics->refuse(p));
        assert_null(physics->caution(p, &setting));
        p[rows[i].parameter] = rows[i].value;
        assert_non_null(strstr(physics->refuse(p), rows[i].word));
    }
    memcpy(p, bonds, sizeof p);
    p[COUNT] = 2.0;
    p[PITCH] = 40e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "pitch"));
    p[PITCH] = 100e-6;
    p[SPAN] = 2e-3;
    assert_non_null(strstr(physics->caution(p, &setting), "span"));
    p[COUNT] = 0.0;
    p[SPAN] = 0.0;
    assert_null(physics->refuse(p));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_parallel),
                                       cmocka_unit_test(test_series), cmocka_unit_test(test_span),
                                       cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/ground", tests, NULL, NULL);
}
