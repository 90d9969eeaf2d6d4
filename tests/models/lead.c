/* Lead: one medium, the strip it becomes when thin, ground leads, and the trade's values. */
#include "check.h"

#include "models/filament.h"
#include "varied.h"

static const double pi = 3.14159265358979323846;

enum {
    LENGTH,
    WIDTH,
    THICKNESS,
    STANDOFF,
    COVER,
    BELOW,
    LOSS,
    GROUND_LEADS,
    SPACING,
    FUSED,
    CONDUCTIVITY,
    ALL
};

static const double plain[ALL] = {0.4e-3, 0.25e-3, 0.2e-3,  150e-6, 3.7, 1.0,
                                  0.0,    0.0,     0.25e-3, 0.0,    58e6};

static double told(const double *p, const char *name)
{
    return varied_property("lead", p, name);
}

/* In one medium L' C' = mu0 eps0 er, the metal's inside apart. */
static void test_one_medium(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[BELOW] = p[COVER] = 3.7;
    p[CONDUCTIVITY] = 1e15;
    for (p[FUSED] = 1.0, p[GROUND_LEADS] = 0.0; p[GROUND_LEADS] < 3.0; p[GROUND_LEADS] += 1.0)
        check_close(3.7 * fl_permittivity() * fl_permeability() * p[LENGTH] * p[LENGTH],
                    told(p, "inductance") * told(p, "capacitance"), 3e-3, "grounds %g",
                    p[GROUND_LEADS]);
}

/* A thin lead in air is a strip over ground, Z = 60 ln(F / u + sqrt(1 + 4 / u^2)),
 * F = 6 + (2 pi - 6) exp(-(30.666 / u)^0.7528), 0.01 % for u up to 1 [Hammerstad1980]; near the
 * ground it is a plate, C' = eps0 (w / h + 2 / pi (1 + ln(1 + pi w / 2 h))) [Palmer1937]. */
static void test_thin(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[COVER] = 1.0;
    p[THICKNESS] = 1e-3 * p[STANDOFF];
    p[CONDUCTIVITY] = 1e15;
    for (double u = 0.3; u < 30.0; u *= 2.0) {
        const double f = 6.0 + (2.0 * pi - 6.0) * exp(-pow(30.666 / u, 0.7528));
        const double wanted = 376.730313668 / (2.0 * pi) * log(f / u + sqrt(1.0 + 4.0 / (u * u)));
        p[WIDTH] = u * p[STANDOFF];
        check_close(wanted, told(p, "impedance"), 6e-3, "u %g", u);
    }
    p[WIDTH] = 100.0 * p[STANDOFF];
    check_close(fl_permittivity() * (100.0 + 2.0 / pi * (1.0 + log(1.0 + pi * 50.0))),
                told(p, "capacitance") / p[LENGTH], 0.01, "flush");
}

/* Denser or nearer: more capacitance; the inductance does not know of dielectrics. */
static void test_media(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    const double inductance = told(p, "inductance");
    double before = 0.0;
    for (p[COVER] = 1.0; p[COVER] < 8.0; p[COVER] += 0.9) {
        assert_true(told(p, "capacitance") > before);
        before = told(p, "capacitance");
        check_close(inductance, told(p, "inductance"), 1e-6, "cover %g", p[COVER]);
    }
    p[COVER] = 3.7;
    before = 0.0;
    for (p[BELOW] = 1.0; p[BELOW] < 8.0; p[BELOW] += 0.9) {
        assert_true(told(p, "capacitance") > before);
        before = told(p, "capacitance");
    }
    p[BELOW] = 1.0;
    before = 1.0;
    for (p[STANDOFF] = 20e-6; p[STANDOFF] < 400e-6; p[STANDOFF] *= 1.3) {
        assert_true(told(p, "capacitance") < before);
        before = told(p, "capacitance");
    }
}

/* Ground leads: more capacitance; fused, less inductance and the more the nearer; free, that of
 * the lone lead. Far away they are not there, but for what a mesh over so wide a section misses. */
static void test_ground_leads(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    const double inductance = told(p, "inductance"), capacitance = told(p, "capacitance");
    for (double fused = 0.0; fused < 2.0; fused += 1.0) {
        double more = capacitance, less = inductance;
        p[FUSED] = fused;
        for (p[GROUND_LEADS] = 1.0; p[GROUND_LEADS] < 3.0; p[GROUND_LEADS] += 1.0) {
            p[SPACING] = plain[SPACING];
            assert_true(told(p, "capacitance") > more);
            more = told(p, "capacitance");
            if (fused > 0.0)
                assert_true(told(p, "inductance") < less);
            else
                check_close(inductance, told(p, "inductance"), 1e-12, "free");
            less = told(p, "inductance");
            p[SPACING] = 20.0 * plain[SPACING];
            check_close(capacitance, told(p, "capacitance"), 5e-3, "far away");
            check_close(inductance, told(p, "inductance"), 1e-3, "far away");
        }
    }
    p[GROUND_LEADS] = 2.0;
    double before = 1.0;
    for (p[SPACING] = 1e-3; p[SPACING] > 50e-6; p[SPACING] *= 0.8) {
        assert_true(told(p, "inductance") < before);
        before = told(p, "inductance");
    }
}

/* Leads of the trade, 0.18 to 0.30 by 0.30 to 0.50 by 0.20 to 0.25 mm at a pitch of 0.5 mm: 0.05
 * to 0.15 nH with 30 to 100 fF; common practice, no source. The ends of these ranges are met to a
 * fifth: the widest lead over laminate has 105 fF. */
static void test_trade(void **unused)
{
    (void)unused;
    for (int k = 0; k < 16; k++) {
        double p[ALL];
        memcpy(p, plain, sizeof p);
        p[WIDTH] = k & 1 ? 0.3e-3 : 0.18e-3;
        p[LENGTH] = k & 2 ? 0.5e-3 : 0.3e-3;
        p[GROUND_LEADS] = 2.0;
        p[SPACING] = 0.5e-3 - p[WIDTH];
        p[BELOW] = k & 4 ? 3.5 : 1.0;
        p[FUSED] = k & 8 ? 1.0 : 0.0;
        assert_true(told(p, "inductance") > 0.04e-9 && told(p, "inductance") < 0.15e-9);
        assert_true(told(p, "capacitance") > 25e-15 && told(p, "capacitance") < 110e-15);
    }
    double p[ALL]; /* 0.4 mm at 60 GHz in mould: 0.15 wavelengths, that is 54 degrees */
    memcpy(p, plain, sizeof p);
    p[BELOW] = 3.7;
    check_close(0.154 * 360.0 * 28.0 / 60.0, told(p, "electrical length"), 0.02, "length");
}

static void test_loss(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    const double metal = varied_value("lead", p, 0, 1);
    p[CONDUCTIVITY] /= 4.0;
    check_close(2.0 * metal, varied_value("lead", p, 0, 1), 0.01, "half the conductivity's root");
    p[CONDUCTIVITY] = 1e15;
    p[BELOW] = 3.7;
    p[LOSS] = 0.01;
    const double angle =
        2.0 * varied_value("lead", p, 0, 1) / (2.0 * pi * 28e9 * varied_value("lead", p, 0, 2));
    assert_true(angle > 0.002 && angle < 0.01); /* the standoff has no loss */
}

static void test_sweep(void **unused)
{
    (void)unused;
    uint64_t state = 7;
    for (int k = 0; k < 40; k++) {
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        memcpy(p, plain, sizeof p);
        p[LENGTH] = sample_between(&state, 0.05e-3, 2e-3);
        p[WIDTH] = 50e-6 * pow(20.0, sample_random(&state));
        p[THICKNESS] = 10e-6 * pow(50.0, sample_random(&state));
        p[STANDOFF] = 10e-6 * pow(50.0, sample_random(&state));
        p[COVER] = sample_between(&state, 1.0, 10.0);
        p[BELOW] = sample_between(&state, 1.0, 10.0);
        p[LOSS] = 0.03 * sample_random(&state);
        p[GROUND_LEADS] = k % 3;
        p[SPACING] = 30e-6 * pow(40.0, sample_random(&state));
        p[FUSED] = k % 2;
        varied_values(values, "lead", p);
        for (size_t v = 0; v < 3; v++)
            assert_true(isfinite(values[0][v]) && values[0][v] > 0.0);
        assert_true(values[0][2] > 0.999 * p[LENGTH] / 299792458.0); /* no faster than light */
    }
}

static void test_fit(void **unused)
{
    (void)unused;
    static const size_t which[] = {WIDTH, STANDOFF, SPACING};
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[GROUND_LEADS] = 2.0;
    check_near(0.0, varied_error(&(varied_plan){"lead", p, which, 3, 0.2}), 5e-4, "fit");
}

static void test_refusals(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("lead");
    const fl_setting setting = varied_setting();
    double p[ALL];
    memcpy(p, plain, sizeof p);
    assert_null(physics->refuse(p));
    assert_null(physics->caution(p, &setting));
    p[GROUND_LEADS] = 3.0;
    assert_non_null(physics->refuse(p));
    p[GROUND_LEADS] = 1.0;
    assert_null(physics->refuse(p));
    p[SPACING] = 0.0;
    assert_non_null(physics->refuse(p));
    p[SPACING] = 0.3e-3;
    p[FUSED] = 2.0;
    assert_non_null(physics->refuse(p));
    p[FUSED] = 0.0;
    p[LENGTH] = 1e-3;
    assert_non_null(strstr(physics->caution(p, &setting), "free"));
    p[FUSED] = 1.0;
    assert_null(physics->caution(p, &setting));
    p[STANDOFF] = 0.8e-3;
    assert_non_null(strstr(physics->caution(p, &setting), "standoff"));
    p[STANDOFF] = 0.1e-3;
    p[THICKNESS] = 1e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "skin"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_medium), cmocka_unit_test(test_thin),
        cmocka_unit_test(test_media),      cmocka_unit_test(test_ground_leads),
        cmocka_unit_test(test_trade),      cmocka_unit_test(test_loss),
        cmocka_unit_test(test_sweep),      cmocka_unit_test(test_fit),
        cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests_name("models/lead", tests, NULL, NULL);
}
