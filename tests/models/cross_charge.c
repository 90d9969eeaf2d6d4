/* Charges of cross-sections with several signals: symmetry used or not, reciprocity, numbering. */
#include "check.h"

#include "models/cross_strip.h"

/* Two thick lines under a cover, between grounds at the sides. */
static const fl_cross_layer layers[] = {{1.0, 3.48, 0.004}, {1.4, 3.3, 0.02}};

static const fl_cross_conductor pair[] = {
    {.left = -1.5,
     .right = -0.5,
     .bottom = 1.0,
     .thickness = 0.2,
     .signal = 1,
     .conductivity = 1e7},
    {.left = 0.5, .right = 1.5, .bottom = 1.0, .thickness = 0.2, .signal = 2, .conductivity = 1e7},
    {.left = -4.0, .right = -2.5, .bottom = 1.0, .thickness = 0.2},
    {.left = 2.5, .right = 4.0, .bottom = 1.0, .thickness = 0.2},
};

static fl_cross make(const fl_cross_conductor *conductors)
{
    return (fl_cross){.layers = layers,
                      .layer_count = 2,
                      .conductors = conductors,
                      .conductor_count = 4,
                      .ground = true,
                      .conductivity = 1e7};
}

static void check_same(const fl_cross_result *a, const fl_cross_result *b, double tolerance)
{
    const double scale[4] = {a->capacitance[0][0], a->inductance[0][0], a->resistance[0][0],
                             a->conductance[0][0]};
    for (size_t i = 0; i < 2; ++i) {
        for (size_t j = 0; j < 2; ++j) {
            check_near(0.0, (a->capacitance[i][j] - b->capacitance[i][j]) / scale[0], tolerance,
                       "C %zu %zu", i, j);
            check_near(0.0, (a->inductance[i][j] - b->inductance[i][j]) / scale[1], tolerance,
                       "L %zu %zu", i, j);
            check_near(0.0, (a->resistance[i][j] - b->resistance[i][j]) / scale[2],
                       20.0 * tolerance, "R %zu %zu", i, j);
            check_near(0.0, (a->conductance[i][j] - b->conductance[i][j]) / scale[3], tolerance,
                       "G %zu %zu", i, j);
        }
    }
}

/* One ground a hair wider: no plane of symmetry is found, and the whole is solved. */
static void test_halves(void **unused)
{
    (void)unused;
    fl_cross_conductor c[4];
    memcpy(c, pair, sizeof c);
    fl_cross cross = make(c);
    const fl_cross_result half = solve(&cross, 1e10);
    c[3].right += 1e-7;
    const fl_cross_result whole = solve(&cross, 1e10);
    assert_int_equal(2, half.mode_count);
    assert_int_equal(0, whole.mode_count);
    check_same(&half, &whole, 1e-6);
    /* The same without a ground plane, where the potential far away is found as well. */
    cross.ground = false;
    const fl_cross_result free_whole = solve(&cross, 1e10);
    memcpy(c, pair, sizeof c);
    const fl_cross_result free_half = solve(&cross, 1e10);
    check_same(&free_half, &free_whole, 1e-6);
}

/* Maxwell's matrix: positive alone, negative between, and charge is lost to the ground only. The
 * two signals are alike. Modes are sums and differences. */
static void test_matrix(void **unused)
{
    (void)unused;
    const fl_cross cross = make(pair);
    const fl_cross_result r = solve(&cross, 1e10);
    check_close(r.capacitance[0][0], r.capacitance[1][1], 1e-12, "alike");
    assert_true(r.capacitance[0][1] < 0.0);
    assert_true(r.capacitance[0][0] > -r.capacitance[0][1]);
    assert_true(r.inductance[0][1] > 0.0 && r.resistance[0][1] > 0.0);
    assert_true(r.conductance[0][1] < 0.0);
    check_close(r.capacitance[0][0] - r.capacitance[0][1], r.modes[1].capacitance, 1e-12, "odd");
    check_close(sqrt((r.inductance[0][0] + r.inductance[0][1]) /
                     (r.capacitance[0][0] + r.capacitance[0][1])),
                r.modes[0].impedance, 1e-12, "even");
}

/* Both lines as one signal, at the same potential: the even wave, of half the impedance. */
static void test_one_signal(void **unused)
{
    (void)unused;
    fl_cross_conductor c[4];
    memcpy(c, pair, sizeof c);
    const fl_cross cross = make(c);
    const fl_cross_mode even = solve(&cross, 1e10).modes[0];
    c[1].signal = 1;
    const fl_cross_mode both = solve(&cross, 1e10).modes[0];
    check_close(0.5 * even.impedance, both.impedance, 1e-10, "impedance");
    check_close(even.permittivity, both.permittivity, 1e-10, "permittivity");
    check_close(0.5 * even.resistance, both.resistance, 1e-6, "resistance");
    check_close(2.0 * even.conductance, both.conductance, 1e-10, "conductance");
}

/* Three signals: what the matrices say does not depend on the order of conductors, nor on where
 * x is counted from; units scale. */
static void test_numbering(void **unused)
{
    (void)unused;
    fl_cross_conductor c[4];
    memcpy(c, pair, sizeof c);
    c[2].signal = 3;
    c[2].left = -3.0;
    fl_cross cross = make(c);
    const fl_cross_result first = solve(&cross, 0.0);
    const fl_cross_conductor moved[4] = {c[3], c[2], c[1], c[0]};
    memcpy(c, moved, sizeof c);
    for (size_t k = 0; k < 4; ++k) {
        c[k].left += 7.0;
        c[k].right += 7.0;
    }
    const fl_cross_result second = solve(&cross, 0.0);
    assert_int_equal(3, first.signal_count);
    for (size_t i = 0; i < 3; ++i)
        for (size_t j = 0; j < 3; ++j)
            check_near(first.capacitance[i][j], second.capacitance[i][j],
                       1e-9 * first.capacitance[0][0], "C %zu %zu", i, j);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_halves), cmocka_unit_test(test_matrix),
                                       cmocka_unit_test(test_one_signal),
                                       cmocka_unit_test(test_numbering)};
    return cmocka_run_group_tests_name("models/cross_charge", tests, NULL, NULL);
}
