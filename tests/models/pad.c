/* Pad: the plate when short, the line when long, and the trade's values. */
#include "check.h"

#include "models/filament.h"
#include "models/plate.h"
#include "varied.h"

static const double pi = 3.14159265358979323846;

enum { WIDTH, LENGTH, PULLBACK, HEIGHT, PERMITTIVITY, LOSS, METAL, CONDUCTIVITY, ROUGHNESS, ALL };

static const double plain[ALL] = {0.25e-3, 0.4e-3, 0.0, 127e-6, 3.5, 0.0, 0.0, 58e6, 0.0};

static double end_of(const double *p)
{
    return varied_value("pad", p, 0, 0);
}

/* Per metre, of the line. */
static double line_of(const double *p)
{
    return varied_value("pad", p, 1, 2) / varied_value("pad", p, 1, 0) / p[LENGTH];
}

/* Two equal strips, C / eps of the pair: solved elsewhere, and w / d (1 + d / (pi w) (1 +
 * ln(2 pi w / d))) [Palmer1937], which is 0.4 % and 4.3 % under it. One strip over ground at half
 * the distance has twice that. */
static void test_strip_pair(void **unused)
{
    (void)unused;
    static const struct {
        double apart, pair, palmer, relative;
    } rows[] = {{0.1, 11.681330076699899, 11.636259924891776, 5e-3},
                {0.5, 3.263468862764864, 3.123959926165, 0.05}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        memcpy(p, plain, sizeof p);
        p[WIDTH] = p[LENGTH] = 1e-3;
        p[HEIGHT] = 0.5e-3 * rows[i].apart;
        p[PERMITTIVITY] = 1.0;
        const double found = line_of(p) / (2.0 * fl_permittivity());
        check_close(rows[i].pair, found, 5e-4, "apart %g", rows[i].apart);
        check_close(rows[i].palmer, found, rows[i].relative, "closed, apart %g", rows[i].apart);
    }
}

/* The whole is the plate, as long as its ends know of each other. */
static void test_short(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    fl_error error = {0};
    for (p[LENGTH] = 10e-6; p[LENGTH] < 1.5e-3; p[LENGTH] *= 1.5) {
        const fl_plate plate = {p[WIDTH], p[LENGTH], p[HEIGHT], p[PERMITTIVITY]};
        double whole = 0.0;
        check_ok(fl_plate_capacitance(&whole, &plate, &error), error);
        check_close(whole, 2.0 * end_of(p) + line_of(p) * p[LENGTH], 2e-3, "length %g", p[LENGTH]);
        check_close(whole, varied_property("pad", p, "capacitance"), 2e-3, "told");
    }
}

/* A long pad is the line: ends that no longer change, and impedances of the trade, computed by
 * closed formulas [Hammerstad1980] for the same board. */
static void test_long(void **unused)
{
    (void)unused;
    static const struct {
        double width, impedance;
    } rows[] = {{280e-6, 50.0}, {100e-6, 88.0}, {75e-6, 99.0}};
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[METAL] = 1e-6;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        p[WIDTH] = rows[i].width;
        p[LENGTH] = 4e-3;
        check_close(rows[i].impedance, varied_value("pad", p, 1, 0), 0.02, "width %g", p[WIDTH]);
        const double end = end_of(p);
        p[LENGTH] = 40e-3;
        check_close(end, end_of(p), 0.02, "end of a long one, width %g", p[WIDTH]);
        /* As if each end were longer by 0.3 to 0.5 heights; common practice, no source. */
        const double longer = end / line_of(p) / p[HEIGHT];
        assert_true(longer > 0.25 && longer < 0.5);
    }
}

/* Board pads of the trade: 51 and 69 fF on 127 um, 40 fF on 254 um, er 3.5, computed elsewhere for
 * discs of their area; and a cut-out that doubles the height does what a thicker board does. */
static void test_trade(void **unused)
{
    (void)unused;
    static const struct {
        double width, length, height, capacitance;
    } rows[] = {{0.25e-3, 0.4e-3, 127e-6, 51e-15},
                {0.3e-3, 0.5e-3, 127e-6, 69e-15},
                {0.25e-3, 0.4e-3, 254e-6, 40e-15}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL];
        memcpy(p, plain, sizeof p);
        p[WIDTH] = rows[i].width;
        p[LENGTH] = rows[i].length;
        p[HEIGHT] = rows[i].height;
        const double found = varied_property("pad", p, "capacitance");
        check_close(rows[i].capacitance, found, 0.03, "row %zu", i);
        p[PULLBACK] = rows[i].height;
        p[HEIGHT] = 100e-6;
        check_close(found, varied_property("pad", p, "capacitance"), 1e-12, "cut out");
    }
}

/* Deeper: less capacitance, all the way. Of a cut-out 20 to 50 % is usual; common practice. */
static void test_pullback(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    const double whole = varied_property("pad", p, "capacitance");
    double before = whole;
    for (p[PULLBACK] = 140e-6; p[PULLBACK] < 1e-3; p[PULLBACK] *= 1.2) {
        const double now = varied_property("pad", p, "capacitance");
        assert_true(now < before);
        before = now;
    }
    assert_true(before > 0.5 * whole && before < 0.8 * whole);
}

/* Loss: that of the dielectric in the line, and none without. */
static void test_loss(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[CONDUCTIVITY] = 1e20;
    check_near(0.0, varied_value("pad", p, 1, 1), 1e-9, "no loss");
    check_near(0.0, varied_value("pad", p, 0, 1), 0.0, "no loss");
    p[LOSS] = 0.01;
    /* q = er / ee dee / der is the share of the field in the dielectric */
    const double below = line_of(p);
    const double angle = varied_value("pad", p, 0, 1) * 2.0 * pi * 28e9;
    p[PERMITTIVITY] *= 1.001;
    const double share = log(line_of(p) / below) / log(1.001);
    check_close(0.01 * share, angle, 3e-3, "ends");
    p[PERMITTIVITY] = plain[PERMITTIVITY];
    check_close(0.5 * angle * 2.0 * pi * 28e9 * varied_value("pad", p, 1, 2),
                varied_value("pad", p, 1, 1), 1e-6, "line");
    p[METAL] = 18e-6;
    p[CONDUCTIVITY] = 58e6;
    assert_true(varied_value("pad", p, 1, 1) >
                0.5 * angle * 2.0 * pi * 28e9 * varied_value("pad", p, 1, 2));
}

static void test_sweep(void **unused)
{
    (void)unused;
    uint64_t state = 11;
    for (int k = 0; k < 60; k++) {
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        memcpy(p, plain, sizeof p);
        p[HEIGHT] = 50e-6 * pow(10.0, sample_random(&state));
        p[WIDTH] = p[HEIGHT] * 0.05 * pow(400.0, sample_random(&state));
        p[LENGTH] = p[HEIGHT] * 0.05 * pow(2000.0, sample_random(&state));
        p[PULLBACK] = k % 2 ? p[HEIGHT] * sample_between(&state, 1.0, 4.0) : 0.0;
        p[PERMITTIVITY] = sample_between(&state, 1.0, 13.0);
        p[LOSS] = 0.02 * sample_random(&state);
        p[METAL] = k % 3 ? 70e-6 * sample_random(&state) : 0.0;
        p[ROUGHNESS] = 2e-6 * sample_random(&state);
        varied_values(values, "pad", p);
        for (size_t v = 0; v < 3; v++)
            assert_true(isfinite(values[1][v]) && values[1][v] >= 0.0);
        assert_true(values[1][0] > 0.0 && values[1][2] > 0.0);
        assert_true(isfinite(values[0][1]) && values[0][1] >= 0.0);
        if (!(isfinite(values[0][0]) && values[0][0] > 0.0)) {
            print_error("end %g of width %g, length %g, height %g, permittivity %g\n", values[0][0],
                        p[WIDTH], p[LENGTH], p[HEIGHT], p[PERMITTIVITY]);
            fail();
        }
    }
}

/* Sizes far out of any range give values or an error, never what is not finite. */
static void test_extremes(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("pad");
    const fl_setting setting = varied_setting();
    uint64_t state = 3;
    for (int k = 0; k < 60; k++) {
        double values[FL_ELEMENTS][FL_VALUES], p[ALL];
        memcpy(p, plain, sizeof p);
        p[WIDTH] = 1e-9 * pow(1e9, sample_random(&state));
        p[LENGTH] = 1e-9 * pow(1e9, sample_random(&state));
        p[HEIGHT] = 1e-9 * pow(1e9, sample_random(&state));
        p[METAL] = k % 2 ? 1e-9 * pow(1e6, sample_random(&state)) : 0.0;
        if (physics->refuse(p) != NULL || physics->solve(values, p, &setting, NULL) != FL_OK)
            continue;
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                if (!isfinite(values[e][v]) || values[e][v] < 0.0)
                    fail_msg("element %zu value %zu is %g of width %g, length %g, height %g", e, v,
                             values[e][v], p[WIDTH], p[LENGTH], p[HEIGHT]);
    }
}

static void test_fit(void **unused)
{
    (void)unused;
    static const size_t which[] = {WIDTH, LENGTH, HEIGHT};
    double p[ALL];
    memcpy(p, plain, sizeof p);
    p[METAL] = 18e-6;
    check_near(0.0, varied_error(&(varied_plan){"pad", p, which, 3, 0.2}), 5e-4, "fit");
}

static void test_refusals(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("pad");
    const fl_setting setting = varied_setting();
    double p[ALL];
    memcpy(p, plain, sizeof p);
    assert_null(physics->refuse(p));
    assert_null(physics->caution(p, &setting));
    p[PULLBACK] = 100e-6;
    assert_non_null(physics->refuse(p));
    p[PULLBACK] = 200e-6;
    assert_null(physics->refuse(p));
    p[PERMITTIVITY] = 101.0;
    assert_non_null(physics->refuse(p));
    p[PERMITTIVITY] = 3.5;
    p[WIDTH] = 9e-3;
    assert_non_null(physics->refuse(p));
    p[WIDTH] = 2e-3;
    assert_non_null(strstr(physics->caution(p, &setting), "wavelength"));
    p[WIDTH] = 8e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "0.05 times"));
    p[WIDTH] = 200e-6;
    p[METAL] = 1e-6;
    assert_non_null(strstr(physics->caution(p, &setting), "skin"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_strip_pair), cmocka_unit_test(test_short),
        cmocka_unit_test(test_long),       cmocka_unit_test(test_trade),
        cmocka_unit_test(test_pullback),   cmocka_unit_test(test_loss),
        cmocka_unit_test(test_sweep),      cmocka_unit_test(test_extremes),
        cmocka_unit_test(test_fit),        cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests_name("models/pad", tests, NULL, NULL);
}
