/* Step in width: the formula written out in its usual units, and its limits. */
#include "check.h"

#include "models/microstrip.h"
#include "section.h"

enum {
    DIE_WIDTH,
    BOARD_WIDTH,
    HEIGHT,
    PERMITTIVITY,
    NARROWEST_LINE = HEIGHT + 6,
    NARROWEST_GAP,
    ALL
};

/* [Hong2001]: C = 0.00137 h sqrt(e1) / Z1 (1 - W2 / W1) (e1 + 0.3) / (e1 - 0.258)
 * (W1 / h + 0.264) / (W1 / h + 0.8) pF, L = 0.000987 h (1 - Z1 / Z2 sqrt(e1 / e2))^2 nH, h in um,
 * from memory; the constants have three digits. */
static void test_formula(void **unused)
{
    (void)unused;
    static const double widths[][2] = {{280e-6, 100e-6}, {500e-6, 350e-6}, {150e-6, 50e-6}};
    for (size_t i = 0; i < 3; i++) {
        const double p[ALL] = {widths[i][0], widths[i][1], 127e-6, 3.5};
        double z1, e1, z2, e2, values[FL_ELEMENTS][FL_VALUES];
        fl_microstrip_static(&z1, &e1, &(fl_strip){p[DIE_WIDTH], p[HEIGHT], 0.0, 3.5});
        fl_microstrip_static(&z2, &e2, &(fl_strip){p[BOARD_WIDTH], p[HEIGHT], 0.0, 3.5});
        const double u = p[DIE_WIDTH] / p[HEIGHT];
        const double c = 0.00137e-12 * 127.0 * sqrt(e1) / z1 *
                         (1.0 - p[BOARD_WIDTH] / p[DIE_WIDTH]) * (e1 + 0.3) / (e1 - 0.258) *
                         (u + 0.264) / (u + 0.8);
        const double l = 0.000987e-9 * 127.0 * pow(1.0 - z1 / z2 * sqrt(e1 / e2), 2.0);
        check_close(c, section_property(&fl_step, p, 60e9, "capacitance"), 5e-3, "C %zu", i);
        check_close(l, section_property(&fl_step, p, 60e9, "inductance"), 1e-3, "L %zu", i);
        /* The inductance is shared as those of the lines per length. */
        section_values(values, &fl_step, p, 60e9);
        check_close(z1 * sqrt(e1) / (z2 * sqrt(e2)), values[0][1] / values[2][1], 1e-9, "share");
    }
}

static void test_turned(void **unused)
{
    (void)unused;
    double p[ALL] = {280e-6, 100e-6, 127e-6, 3.5};
    double values[FL_ELEMENTS][FL_VALUES], turned[FL_ELEMENTS][FL_VALUES];
    section_values(values, &fl_step, p, 60e9);
    p[DIE_WIDTH] = 100e-6;
    p[BOARD_WIDTH] = 280e-6;
    section_values(turned, &fl_step, p, 60e9);
    check_close(values[0][1], turned[2][1], 1e-12, "wide side");
    check_close(values[2][1], turned[0][1], 1e-12, "narrow side");
    check_close(values[1][0], turned[1][0], 1e-12, "middle");
    p[DIE_WIDTH] = p[BOARD_WIDTH];
    section_values(values, &fl_step, p, 60e9);
    check_near(0.0, values[0][1] + values[2][1], 0.0, "inductance of no step");
    check_near(0.0, values[1][0], 0.0, "capacitance of no step");
}

static void test_fit(void **unused)
{
    (void)unused;
    const double p[ALL] = {280e-6, 100e-6, 127e-6, 3.5};
    static const size_t varied[] = {DIE_WIDTH, BOARD_WIDTH, HEIGHT, PERMITTIVITY};
    assert_true(section_fit(&fl_step, p, varied, 4, 0.15, 60e9) < 1e-3);
}

static void test_ranges(void **unused)
{
    (void)unused;
    double p[ALL] = {280e-6, 100e-6, 127e-6, 3.5};
    const fl_setting setting = section_setting(60e9);
    assert_null(fl_step.refuse(p));
    assert_null(fl_step.caution(p, &setting));
    p[NARROWEST_LINE] = 101e-6;
    assert_non_null(strstr(fl_step.caution(p, &setting), "'narrowest line'"));
    p[NARROWEST_LINE] = 0.0;
    p[BOARD_WIDTH] = 50e-6;
    assert_non_null(fl_step.caution(p, &setting));
    p[BOARD_WIDTH] = 1e-6;
    assert_non_null(fl_step.refuse(p));
    p[BOARD_WIDTH] = 100e-6;
    p[PERMITTIVITY] = 12.0;
    assert_non_null(fl_step.caution(p, &setting));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_formula),
                                       cmocka_unit_test(test_turned), cmocka_unit_test(test_fit),
                                       cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/step", tests, NULL, NULL);
}
