/* Taper: equal ends are a line, turned round it is its mirror, and its chain is fine enough. */
#include <complex.h>

#include "check.h"

#include "section.h"

enum {
    DIE_WIDTH,
    BOARD_WIDTH,
    LENGTH,
    COVER,
    COVER_HEIGHT,
    COVER_LOSS,
    HEIGHT,
    PERMITTIVITY,
    LOSS_TANGENT,
    THICKNESS,
    CONDUCTIVITY,
    ROUGHNESS,
    NARROWEST_LINE,
    NARROWEST_GAP,
    ALL
};

static const double board[ALL] = {100e-6, 280e-6, 500e-6, 0.0,   0.0,   0.0,
                                  127e-6, 3.5,    2e-3,   18e-6, 5.8e7, 0.3e-6};

static void test_equal_ends(void **unused)
{
    (void)unused;
    double p[ALL], values[FL_ELEMENTS][FL_VALUES], line[1][FL_VALUES];
    memcpy(p, board, sizeof p);
    p[DIE_WIDTH] = p[BOARD_WIDTH];
    section_values(values, &fl_taper, p, 60e9);
    section_values(line, &fl_microstrip, p + 1, 60e9);
    for (size_t e = 0; e < fl_taper.form_count; e++)
        for (size_t v = 0; v < FL_VALUES; v++)
            check_close(line[0][v] / (v < FL_NODES ? 1.0 : (double)fl_taper.form_count),
                        values[e][v], 1e-12, "element %zu value %zu", e, v);
}

static void test_turned(void **unused)
{
    (void)unused;
    double p[ALL], values[FL_ELEMENTS][FL_VALUES], turned[FL_ELEMENTS][FL_VALUES];
    memcpy(p, board, sizeof p);
    section_values(values, &fl_taper, p, 60e9);
    p[DIE_WIDTH] = board[BOARD_WIDTH];
    p[BOARD_WIDTH] = board[DIE_WIDTH];
    section_values(turned, &fl_taper, p, 60e9);
    for (size_t e = 0; e < fl_taper.form_count; e++)
        for (size_t v = 0; v < FL_VALUES; v++)
            check_close(values[e][v], turned[fl_taper.form_count - 1 - e][v], 1e-10,
                        "element %zu value %zu", e, v);
}

/* Multiplies a chain matrix by that of a line, at a node. */
static void chain(double complex m[4], const double *values, size_t node, const fl_setting *setting)
{
    const double w = 2.0 * acos(-1.0) * setting->nodes[node], z = values[node];
    const double complex theta = values[2 * FL_NODES + node] * sqrt(w / setting->w0) +
                                 (double complex)I * w * values[FL_NODES + node];
    const double complex c = ccosh(theta), s = csinh(theta), a = m[0], b = m[1], d = m[2], e = m[3];
    m[0] = a * c + b * s / z;
    m[1] = a * s * z + b * c;
    m[2] = d * c + e * s / z;
    m[3] = d * s * z + e * c;
}

/* Reflection between the impedances given, of a taper cut into `tapers` in a row. */
static double complex reflection(const double *parameters, size_t tapers, double centre)
{
    double complex m[4] = {1.0, 0.0, 0.0, 1.0};
    const fl_setting setting = section_setting(centre);
    for (size_t i = 0; i < tapers; i++) {
        double p[ALL], values[FL_ELEMENTS][FL_VALUES];
        const double slope = (parameters[BOARD_WIDTH] - parameters[DIE_WIDTH]) / (double)tapers;
        memcpy(p, parameters, sizeof p);
        p[DIE_WIDTH] = parameters[DIE_WIDTH] + (double)i * slope;
        p[BOARD_WIDTH] = p[DIE_WIDTH] + slope;
        p[LENGTH] = parameters[LENGTH] / (double)tapers;
        section_values(values, &fl_taper, p, centre);
        for (size_t e = 0; e < fl_taper.form_count; e++)
            chain(m, values[e], FL_NODES / 2, &setting);
    }
    const double z1 = 80.0, z2 = 50.0;
    const double complex up = m[0] * z2 + m[1] - z1 * (m[2] * z2 + m[3]);
    return up / (m[0] * z2 + m[1] + z1 * (m[2] * z2 + m[3]));
}

/* Twice and four times the lines move the reflection by little, and by ever less. */
static void test_fine_enough(void **unused)
{
    (void)unused;
    for (double length = 200e-6; length < 3.3e-3; length *= 2.0) {
        double p[ALL];
        memcpy(p, board, sizeof p);
        p[LENGTH] = length;
        const double complex once = reflection(p, 1, 77e9), twice = reflection(p, 2, 77e9);
        const double complex more = reflection(p, 4, 77e9);
        check_near(0.0, cabs(once - twice), 2e-3, "length %g", length);
        assert_true(cabs(twice - more) < 0.5 * cabs(once - twice));
    }
}

static void test_properties(void **unused)
{
    (void)unused;
    static const double ends[] = {100e-6, 280e-6};
    static const char *const names[] = {"impedance at the die", "impedance at the board"};
    for (size_t i = 0; i < 2; i++) {
        double p[ALL];
        memcpy(p, board, sizeof p);
        p[BOARD_WIDTH] = ends[i];
        check_close(section_property(&fl_microstrip, p + 1, 60e9, "impedance"),
                    section_property(&fl_taper, board, 60e9, names[i]), 1e-12, "%s", names[i]);
    }
    double low = 1e9, high = 0.0;
    for (size_t i = 0; i < 2; i++) {
        double p[ALL];
        memcpy(p, board, sizeof p);
        p[BOARD_WIDTH] = ends[i];
        const double angle = section_property(&fl_microstrip, p + 1, 60e9, "electrical length");
        low = fmin(low, angle);
        high = fmax(high, angle);
    }
    const double angle = section_property(&fl_taper, board, 60e9, "electrical length");
    assert_true(angle > low && angle < high);
}

static void test_fit(void **unused)
{
    (void)unused;
    double p[ALL];
    static const size_t varied[] = {DIE_WIDTH, BOARD_WIDTH, HEIGHT, PERMITTIVITY};
    assert_true(section_fit(&fl_taper, board, varied, 4, 0.15, 60e9) < 1e-3);
    memcpy(p, board, sizeof p);
    p[COVER] = 3.0;
    assert_true(section_fit(&fl_taper, p, varied, 2, 0.15, 60e9) < 1e-3);
}

static void test_ranges(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    const fl_setting setting = section_setting(60e9);
    assert_null(fl_taper.refuse(p));
    assert_null(fl_taper.caution(p, &setting));
    p[LENGTH] = 50e-6;
    assert_non_null(fl_taper.caution(p, &setting));
    p[LENGTH] = 10e-3;
    assert_non_null(fl_taper.caution(p, &setting));
    p[DIE_WIDTH] = 1e-6;
    assert_non_null(fl_taper.refuse(p));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_equal_ends),  cmocka_unit_test(test_turned),
        cmocka_unit_test(test_fine_enough), cmocka_unit_test(test_properties),
        cmocka_unit_test(test_fit),         cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/taper", tests, NULL, NULL);
}
