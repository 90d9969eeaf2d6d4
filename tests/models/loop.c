/* Loops as lines: they settle, they give no more than they take, their sums are those described. */
#include "check.h"

#include <complex.h>

#include "models/filament.h"
#include "models/loop.h"
#include "sample.h"

static const double pi = 3.14159265358979323846;

/* A loop of one wire of 25 um, 0.5 mm long, over a die of 100 um. */
static void a_loop(fl_loop *loop, size_t pieces, double cover)
{
    const fl_parabola p = {.span = 400e-6, .start = 112.5e-6, .end = 112.5e-6, .top = 130e-6};
    memset(loop, 0, sizeof *loop);
    fl_arc_parabola(&loop->arc, &p, pieces);
    fl_bundle_wires(&loop->bundle, &loop->arc, 25e-6, 100e-6);
    loop->cover = cover;
    loop->each = true;
}

/* Scattering of lines in a row between 50 ohm; values as those of FL_FORM_LINE at w0. */
static void scatter(double complex s[2], double (*values)[FL_VALUES], size_t lines, double w)
{
    double complex a = 1.0, b = 0.0, c = 0.0, d = 1.0;
    for (size_t i = 0; i < lines; i++) {
        const double complex theta = values[i][1] + (double complex)I * w * values[i][2];
        const double complex x = ccosh(theta), y = csinh(theta), z = values[i][0];
        const double complex row[4] = {a * x + b * y / z, a * y * z + b * x, c * x + d * y / z,
                                       c * y * z + d * x};
        a = row[0], b = row[1], c = row[2], d = row[3];
    }
    check_near(1.0, creal(a * d - b * c), 1e-12, "reciprocal");
    const double complex below = a + b / 50.0 + c * 50.0 + d;
    s[0] = (a + b / 50.0 - c * 50.0 - d) / below;
    s[1] = 2.0 / below;
}

/* A line for so many pieces, however many the loop has: halves, right to the second order. */
static size_t lines_of(double (*values)[FL_VALUES], const fl_loop *loop, size_t each)
{
    fl_chain chain;
    fl_error error = {0};
    const size_t lines = loop->arc.pieces / each;
    check_ok(fl_bundle_solve(&chain, &loop->bundle, true, &error), error);
    for (size_t i = 0; i < lines; i++) {
        double l = 0.0, c = 0.0;
        for (size_t k = i * each; k < (i + 1) * each; k++) {
            l += chain.inductance[k];
            c += loop->cover * chain.capacitance[k];
        }
        values[i][0] = sqrt(l / c);
        values[i][1] = 0.0;
        values[i][2] = sqrt(l * c);
    }
    return lines;
}

static void compare(double complex (*s)[2], double (*values)[FL_VALUES], size_t lines, double w,
                    double allowed, const char *what)
{
    scatter(s[1], values, lines, w);
    check_near(0.0, cabs(s[0][0] - s[1][0]), allowed, "reflection, %s at %g rad/s", what, w);
    check_near(0.0, cabs(s[0][1] - s[1][1]), allowed, "transmission, %s at %g rad/s", what, w);
}

/* The lines against a line for each filament, which is exact for these filaments, and against one
 * for each two of twice the filaments. Measured: 3e-5 and 1e-4 at 28 GHz in air; 2e-3 and 2.5e-3 at
 * 100 GHz in mould, where the wire is a third of a wavelength long. */
static void test_settled(void **unused)
{
    (void)unused;
    static const struct {
        double frequency, cover, same, twice;
    } rows[] = {{28e9, 1.0, 5e-5, 2e-4},
                {77e9, 1.0, 5e-4, 1e-3},
                {100e9, 1.0, 5e-4, 1e-3},
                {28e9, 3.7, 2e-4, 5e-4},
                {100e9, 3.7, 3e-3, 3e-3}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double complex s[2][2];
        double values[FL_ARC_PIECES][FL_VALUES];
        fl_loop loop;
        fl_error error = {0};
        const double w = 2.0 * pi * rows[i].frequency;
        a_loop(&loop, FL_LOOP_PIECES, rows[i].cover);
        check_close(0.5e-3, fl_arc_length(&loop.arc), 0.02, "length");
        check_ok(fl_loop_lines(values, &loop, w, &error), error);
        scatter(s[0], values, FL_LOOP_LINES, w);
        compare(s, values, lines_of(values, &loop, 1), w, rows[i].same, "a line a filament");
        a_loop(&loop, 2 * FL_LOOP_PIECES, rows[i].cover);
        compare(s, values, lines_of(values, &loop, 2), w, rows[i].twice, "twice the filaments");
    }
}

/* A loop from a high die to a land so low that nearly all charge sits at its end: lines stay
 * physical, and the sums of all lines stay those of all filaments. */
static void test_low_end(void **unused)
{
    (void)unused;
    static const double ends[] = {12.6e-6, 12.51e-6, 12.5001e-6};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        double values[FL_ARC_PIECES][FL_VALUES], sums[2] = {0.0, 0.0};
        fl_chain chain;
        fl_loop loop;
        fl_error error = {0};
        const fl_parabola p = {.span = 400e-6, .start = 300e-6, .end = ends[i], .top = 1e-6};
        a_loop(&loop, FL_LOOP_PIECES, 1.0);
        fl_arc_parabola(&loop.arc, &p, FL_LOOP_PIECES);
        check_ok(fl_loop_lines(values, &loop, 1e11, &error), error);
        check_ok(fl_bundle_solve(&chain, &loop.bundle, true, &error), error);
        for (size_t k = 0; k < FL_LOOP_LINES; k++) {
            assert_true(values[k][0] > 0.0 && isfinite(values[k][0]) && values[k][2] > 0.0);
            sums[0] += values[k][0] * values[k][2];
            sums[1] += values[k][2] / values[k][0];
        }
        for (size_t k = 0; k < FL_LOOP_PIECES; k++) {
            sums[0] -= chain.inductance[k];
            sums[1] -= chain.capacitance[k];
        }
        check_near(0.0, sums[0], 1e-22, "inductance");
        check_near(0.0, sums[1], 1e-26, "capacitance");
    }
}

static double property(const fl_loop *loop, double w0, const char *name)
{
    fl_property properties[FL_PROPERTIES];
    const size_t count = fl_loop_describe(properties, loop, w0);
    for (size_t i = 0; i < count; i++)
        if (strcmp(properties[i].name, name) == 0)
            return properties[i].value;
    return -1.0;
}

/* Sums over the lines: L = Z D, C = D / Z, R = 2 Z A; impedance and electrical length of the sums;
 * an internal impedance adds its length and, of each wire, its share. */
static void test_sums(void **unused)
{
    (void)unused;
    fl_loop loop;
    fl_error error = {0};
    double values[FL_LOOP_LINES][FL_VALUES], sums[3] = {0.0, 0.0, 0.0};
    const double w = 2.0 * pi * 40e9;
    a_loop(&loop, FL_LOOP_PIECES, 3.7);
    const double outside = property(&loop, w, "inductance");
    const double length = fl_arc_length(&loop.arc);
    loop.inside = (fl_complex){800.0, 700.0};
    check_ok(fl_loop_lines(values, &loop, w, &error), error);
    for (int i = 0; i < FL_LOOP_LINES; i++) {
        sums[0] += values[i][0] * values[i][2];
        sums[1] += values[i][2] / values[i][0];
        sums[2] += 2.0 * values[i][0] * values[i][1];
    }
    const double l = property(&loop, w, "inductance"), c = property(&loop, w, "capacitance");
    check_close(l, sums[0], 1e-12, "inductance");
    check_close(c, sums[1], 1e-12, "capacitance");
    check_close(property(&loop, w, "resistance"), sums[2], 1e-12, "resistance");
    check_close(800.0 * length, sums[2], 1e-12, "resistance from inside");
    check_close(outside + 700.0 * length / w, l, 1e-12, "inductance from inside");
    check_close(sqrt(l / c), property(&loop, w, "impedance"), 1e-12, "impedance");
    check_close(w * sqrt(l * c) * 180.0 / pi, property(&loop, w, "electrical length"), 1e-12,
                "electrical length");
    check_close(length, property(&loop, w, "wire length"), 1e-15, "length");
    loop.bundle.signals = 2;
    check_close(400.0 * length, property(&loop, w, "resistance"), 1e-12, "of each of two");
    loop.each = false;
    check_close(800.0 * length, property(&loop, w, "resistance"), 1e-12, "of both");
}

/* Random loops: |S11|^2 + |S21|^2 is one without resistance and under one with it. */
static void test_passive(void **unused)
{
    (void)unused;
    uint64_t state = 5;
    for (int i = 0; i < 100; i++) {
        fl_loop loop;
        fl_error error = {0};
        double values[FL_LOOP_LINES][FL_VALUES];
        double complex s[2];
        const fl_parabola p = {.span = sample_between(&state, 150e-6, 1.5e-3),
                               .start = sample_between(&state, 50e-6, 300e-6),
                               .end = sample_between(&state, 50e-6, 150e-6),
                               .top = sample_between(&state, 120e-6, 300e-6)};
        a_loop(&loop, FL_LOOP_PIECES, sample_between(&state, 1.0, 7.0));
        fl_arc_parabola(&loop.arc, &p, FL_LOOP_PIECES);
        const double resistance = i % 2 ? sample_between(&state, 10.0, 3000.0) : 0.0;
        loop.inside = (fl_complex){resistance, resistance};
        loop.bundle.signals = (size_t)(1 + i % 3);
        loop.bundle.returns = (size_t)(i % 3);
        const double w = 2.0 * pi * sample_between(&state, 1e9, 100e9);
        check_ok(fl_loop_lines(values, &loop, w, &error), error);
        scatter(s, values, FL_LOOP_LINES, w);
        const double power = cabs(s[0]) * cabs(s[0]) + cabs(s[1]) * cabs(s[1]);
        check_near(1.0, power, i % 2 ? 0.5 : 1e-12, "loop %d", i);
        assert_true(i % 2 == 0 || power < 1.0);
    }
}

/* Each range has its warning. */
static void test_cautions(void **unused)
{
    (void)unused;
    fl_loop loop;
    fl_setting setting;
    fl_setting_init(&setting, 28e9, 26e9, 30e9);
    a_loop(&loop, FL_LOOP_PIECES, 3.7);
    assert_null(fl_loop_caution(&loop, &setting));
    fl_setting_init(&setting, 900e9, 800e9, 1000e9);
    assert_non_null(strstr(fl_loop_caution(&loop, &setting), "three quarters"));
    fl_setting_init(&setting, 110e9, 100e9, 120e9);
    assert_non_null(strstr(fl_loop_caution(&loop, &setting), "eighth"));
    const fl_parabola steep = {.span = 100e-6, .start = 100e-6, .end = 100e-6, .top = 130e-6};
    fl_arc_parabola(&loop.arc, &steep, FL_LOOP_PIECES);
    fl_setting_init(&setting, 5e9, 4e9, 6e9);
    assert_non_null(strstr(fl_loop_caution(&loop, &setting), "loop height"));
}

/* What has no solution is described by nothing and fails. */
static void test_failure(void **unused)
{
    (void)unused;
    fl_loop loop;
    fl_error error = {0};
    fl_property properties[FL_PROPERTIES];
    double values[FL_LOOP_LINES][FL_VALUES];
    a_loop(&loop, FL_LOOP_PIECES, 1.0);
    for (size_t i = 0; i <= loop.arc.pieces; i++)
        loop.arc.height[i] = 12.5e-6; /* in the plane */
    assert_int_equal(fl_loop_lines(values, &loop, 1e11, &error), FL_BAD_INPUT);
    assert_int_equal(fl_loop_describe(properties, &loop, 1e11), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_settled),  cmocka_unit_test(test_low_end),
        cmocka_unit_test(test_sums),     cmocka_unit_test(test_passive),
        cmocka_unit_test(test_cautions), cmocka_unit_test(test_failure)};
    return cmocka_run_group_tests_name("models/loop", tests, NULL, NULL);
}
