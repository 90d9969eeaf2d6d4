/* Via: the fitted formula, plating, rows of vias, pads, and what the ranges give. */
#include "check.h"

#include "models/disc.h"
#include "models/filament.h"
#include "varied.h"

static const double pi = 3.14159265358979323846;

enum {
    DRILL,
    HEIGHT,
    COUNT,
    PITCH,
    PAD,
    ANTIPAD,
    PLATING,
    BOARD_HEIGHT,
    PERMITTIVITY,
    LOSS,
    METAL,
    CONDUCTIVITY,
    ALL
};

static const double plain[ALL] = {0.2e-3, 0.0,    1.0, 0.4e-3, 0.0,   0.0,
                                  20e-6,  127e-6, 3.5, 0.0,    18e-6, 58e6};

static double inductance(const double *p)
{
    return varied_value("via", p, 1, 1);
}

static double capacitance(const double *p)
{
    return varied_value("via", p, 0, 0);
}

/* L = mu0 / 2pi (h ln((h + s) / r) + 1.5 (r - s)) [Goldfarb1991], computed from the formula. */
static void test_formula(void **unused)
{
    (void)unused;
    static const struct {
        double height, radius, inductance;
    } rows[] = {{100e-6, 25e-6, 1.8470958753089572e-11},  {100e-6, 40e-6, 1.2633634084614896e-11},
                {200e-6, 100e-6, 2.0663379682158725e-11}, {254e-6, 100e-6, 3.253599032281904e-11},
                {635e-6, 300e-6, 6.912747578020162e-11},  {168e-6, 75e-6, 1.9254297847621102e-11}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        memcpy(p, plain, sizeof p);
        p[DRILL] = 2.0 * rows[i].radius;
        p[HEIGHT] = rows[i].height;
        check_close(rows[i].inductance, inductance(p), 1e-9, "height %g", rows[i].height);
        p[BOARD_HEIGHT] = rows[i].height;
        p[HEIGHT] = 0.0;
        check_close(rows[i].inductance, inductance(p), 1e-9, "of the substrate");
    }
}

/* A rule of thumb, 5.08 h (ln(4 h / d) + 1) nH in inches [Johnson1993]: printed "about 1.2 nH" for
 * a hole of 0.016 inches through a board of 0.063 inches. It has the return far away. */
static void test_rule_of_thumb(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[DRILL] = 0.016 * 25.4e-3;
    p[HEIGHT] = 0.063 * 25.4e-3;
    const double found = inductance(p);
    assert_true(found < 1.2e-9);
    assert_true(found > 0.3e-9);
    /* The partial inductance of the tube is 0.5 (s - r) more, h ln(2 h / r) - h for a thin one. */
    p[DRILL] = 1e-6;
    p[HEIGHT] = 1e-3;
    p[PLATING] = 0.4e-6;
    const double partial = 2e-7 * (1e-3 * log(2.0 * 1e-3 / 0.5e-6) - 1e-3);
    check_close(partial - 2e-7 * 0.5e-3, inductance(p), 1e-3, "thin");
}

/* R = Rdc sqrt(1 + f / fd), fd = 1 / (pi mu0 sigma t^2) [Goldfarb1991], computed from the formula;
 * the other route is the annulus one skin depth thick. */
static void test_plating(void **unused)
{
    (void)unused;
    static const struct {
        double height, radius, plating, conductivity, frequency, resistance;
    } rows[] = {{100e-6, 40e-6, 4e-6, 4.1e7, 10e9, 0.01324498301328356},
                {100e-6, 40e-6, 4e-6, 4.1e7, 30e9, 0.022654902063821092},
                {100e-6, 40e-6, 4e-6, 4.1e7, 77e9, 0.036153974427361915},
                {254e-6, 100e-6, 20e-6, 5.8e7, 10e9, 0.011725035530566502},
                {254e-6, 100e-6, 20e-6, 5.8e7, 30e9, 0.02030097293337177},
                {254e-6, 100e-6, 20e-6, 5.8e7, 77e9, 0.03252021148586432}};
    const fl_physics *physics = (const fl_physics *)sample_kind("via");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL], values[FL_ELEMENTS][FL_VALUES];
        memcpy(p, plain, sizeof p);
        p[DRILL] = 2.0 * rows[i].radius;
        p[HEIGHT] = rows[i].height;
        p[PLATING] = rows[i].plating;
        p[CONDUCTIVITY] = rows[i].conductivity;
        const fl_setting setting = {.w0 = 2.0 * pi * rows[i].frequency};
        fl_error error = {0};
        check_ok(physics->solve(values, p, &setting, &error), error);
        check_close(rows[i].resistance, values[1][0], 1e-9, "%g Hz", rows[i].frequency);
        const double depth =
            1.0 / sqrt(pi * rows[i].frequency * fl_permeability() * rows[i].conductivity);
        check_close(rows[i].height / (rows[i].conductivity * 2.0 * pi * rows[i].radius * depth),
                    values[1][0], 0.15, "skin, %g Hz", rows[i].frequency);
    }
}

/* Two in a row have (L + M) / 2; M is that of two filaments [Grover1946] less half of what the
 * formula leaves out of one. Rows go from one via to a part of it. */
static void test_rows(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    const double one = inductance(p), height = p[BOARD_HEIGHT];
    for (p[PITCH] = 0.21e-3; p[PITCH] < 3e-3; p[PITCH] *= 1.3) {
        const fl_filament a = {{0.0, 0.0, 0.0}, {0.0, 0.0, height}};
        const fl_filament b = {{p[PITCH], 0.0, 0.0}, {p[PITCH], 0.0, height}};
        const double mutual =
            fl_filament_mutual(&a, &b) - 1e-7 * (hypot(height, p[PITCH]) - p[PITCH]);
        p[COUNT] = 2.0;
        check_close(0.5 * (one + mutual), inductance(p), 1e-9, "two, pitch %g", p[PITCH]);
        double before = one;
        for (int count = 2; count <= 16; count++) {
            p[COUNT] = count;
            const double now = inductance(p);
            assert_true(now < before);
            assert_true(now > one / count);
            before = now;
        }
    }
    p[COUNT] = 16.0;
    p[PITCH] = 1.0;
    check_close(one / 16.0, inductance(p), 1e-3, "far apart");
}

/* Without an antipad the pads are discs; with one there is the barrel too, and its loss. */
static void test_pads(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    check_near(0.0, capacitance(p), 0.0, "no pad");
    p[PAD] = 0.4e-3;
    const double disc = fl_disc_on_slab(0.2e-3, p[BOARD_HEIGHT], p[PERMITTIVITY]);
    check_close(disc, capacitance(p), 1e-12, "disc");
    p[COUNT] = 3.0;
    check_close(3.0 * disc, capacitance(p), 1e-12, "three");
    p[COUNT] = 1.0;
    double before = 1.0;
    for (p[ANTIPAD] = 0.25e-3; p[ANTIPAD] < 2e-3; p[ANTIPAD] *= 1.2) {
        assert_true(capacitance(p) < before);
        before = capacitance(p);
    }
    assert_true(before < 0.5 * disc);
    p[ANTIPAD] = 0.25e-3; /* the barrel adds to the pad */
    assert_true(capacitance(p) > disc);
    /* Most of the field is in the substrate: the loss is up to that of all of it. */
    p[LOSS] = 0.01;
    const double loss = varied_value("via", p, 0, 1) * 2.0 * pi * 28e9;
    assert_true(loss > 0.007 && loss < 0.01);
    p[ANTIPAD] = 0.0;
    p[PERMITTIVITY] = 100.0; /* nearly all of it */
    check_close(0.01, varied_value("via", p, 0, 1) * 2.0 * pi * 28e9, 0.02, "loss of a disc");
}

/* Board vias of the trade: 8 pH (127 um board, 0.2 mm), 33 pH (254 um, 0.2 mm), 95 pH (508 um,
 * 0.25 mm), computed by the same formula elsewhere. */
static void test_trade(void **unused)
{
    (void)unused;
    static const struct {
        double height, drill, inductance;
    } rows[] = {{127e-6, 0.2e-3, 8e-12}, {254e-6, 0.2e-3, 33e-12}, {508e-6, 0.25e-3, 95e-12}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        memcpy(p, plain, sizeof p);
        p[HEIGHT] = rows[i].height;
        p[DRILL] = rows[i].drill;
        check_near(rows[i].inductance, inductance(p), 0.6e-12, "board %g", rows[i].height);
    }
}

static void test_sweep(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("via");
    uint64_t state = 5;
    for (int k = 0; k < 60; k++) {
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        memcpy(p, plain, sizeof p);
        p[DRILL] = 50e-6 * pow(10.0, sample_random(&state));
        p[HEIGHT] = k % 2 ? 0.0 : 50e-6 * pow(20.0, sample_random(&state));
        p[COUNT] = 1.0 + k % 16;
        p[PITCH] = p[DRILL] * sample_between(&state, 1.01, 10.0);
        p[PAD] = k % 3 ? p[DRILL] * sample_between(&state, 1.01, 3.0) : 0.0;
        p[ANTIPAD] = k % 5 ? p[DRILL] * sample_between(&state, 1.02, 5.0) : 0.0;
        p[PLATING] = p[DRILL] * sample_between(&state, 0.01, 0.5);
        p[BOARD_HEIGHT] = 50e-6 * pow(10.0, sample_random(&state));
        p[PERMITTIVITY] = sample_between(&state, 1.0, 13.0);
        p[LOSS] = 0.02 * sample_random(&state);
        p[METAL] = k % 7 ? 70e-6 * sample_random(&state) : 0.0;
        varied_values(values, "via", p);
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                assert_true(isfinite(values[e][v]) && values[e][v] >= 0.0);
        assert_true(values[1][1] > 0.0 && values[1][0] > 0.0);
        assert_true((values[0][0] > 0.0) == (p[PAD] > 0.0 || p[ANTIPAD] > 0.0));
    }
}

/* Sizes far out of any range give values or an error, never what is not finite. */
static void test_extremes(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("via");
    const fl_setting setting = varied_setting();
    uint64_t state = 3;
    for (int k = 0; k < 60; k++) {
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        memcpy(p, plain, sizeof p);
        p[DRILL] = 1e-9 * pow(1e9, sample_random(&state));
        p[BOARD_HEIGHT] = 1e-9 * pow(1e9, sample_random(&state));
        p[PLATING] = 0.1 * p[DRILL];
        p[PAD] = p[DRILL] * (1.0 + pow(1e-12, sample_random(&state)));
        p[ANTIPAD] = k % 3 ? p[DRILL] * (1.0 + pow(1e-12, sample_random(&state))) : 0.0;
        p[COUNT] = 1.0 + k % 4;
        p[PITCH] = p[DRILL] * (1.0 + pow(1e-12, sample_random(&state)));
        if (physics->refuse(p) != NULL || physics->solve(values, p, &setting, NULL) != FL_OK)
            continue;
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                assert_true(isfinite(values[e][v]) && values[e][v] >= 0.0);
    }
}

static void test_fit(void **unused)
{
    (void)unused;
    static const size_t which[] = {DRILL, ANTIPAD, BOARD_HEIGHT};
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[PAD] = 0.4e-3;
    p[ANTIPAD] = 0.6e-3;
    p[COUNT] = 2.0;
    p[PITCH] = 0.7e-3;
    check_near(0.0, varied_error(&(varied_plan){"via", p, which, 3, 0.15}), 5e-4, "fit");
}

static void test_refusals(void **unused)
{
    (void)unused;
    static const struct {
        size_t which;
        double value;
    } wrong[] = {{COUNT, 17.0}, {PITCH, 0.15e-3},   {PAD, 0.15e-3},       {ANTIPAD, 0.1e-3},
                 {PAD, 20e-3},  {PLATING, 0.11e-3}, {PERMITTIVITY, 101.0}};
    static const struct {
        size_t which;
        double value;
    } odd[] = {{BOARD_HEIGHT, 90e-6}, {HEIGHT, 700e-6}, {HEIGHT, 400e-6},
               {DRILL, 0.25e-3},      {PAD, 0.7e-3},    {ANTIPAD, 3e-3}};
    const fl_physics *physics = (const fl_physics *)sample_kind("via");
    const fl_setting setting = varied_setting();
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[COUNT] = 2.0;
    p[DRILL] = 0.15e-3;
    assert_null(physics->refuse(p));
    assert_null(physics->caution(p, &setting));
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        const double kept = p[wrong[i].which];
        p[wrong[i].which] = wrong[i].value;
        assert_non_null(physics->refuse(p));
        p[wrong[i].which] = kept;
    }
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        const double kept = p[odd[i].which];
        p[odd[i].which] = odd[i].value;
        assert_non_null(physics->caution(p, &setting));
        p[odd[i].which] = kept;
    }
    p[COUNT] = 1.0; /* a lone via may be as wide as it likes */
    p[ANTIPAD] = 9e-3;
    assert_null(physics->refuse(p));
    assert_string_equal(physics->caution(p, &setting),
                        "'pad' or 'antipad' is over 20 times the substrate's height");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_formula), cmocka_unit_test(test_rule_of_thumb),
        cmocka_unit_test(test_plating), cmocka_unit_test(test_rows),
        cmocka_unit_test(test_pads),    cmocka_unit_test(test_trade),
        cmocka_unit_test(test_sweep),   cmocka_unit_test(test_extremes),
        cmocka_unit_test(test_fit),     cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests_name("models/via", tests, NULL, NULL);
}
