/* Multiples of a grid step, and the moves between neighbours. */
#include <stdlib.h>

#include "circuit.h"

/* Every multiple is the double that its decimal text reads as. */
static const struct {
    const char *step;
    fl_dimension dimension;
    int exponent;  /* of a unit of which the step is a whole number */
    long per_step; /* that number */
} steps[] = {
    {"1 fF", FL_CAPACITANCE, -15, 1},   {"2.5 fF", FL_CAPACITANCE, -16, 25},
    {"0.1 fF", FL_CAPACITANCE, -16, 1}, {"10 um", FL_LENGTH, -6, 10},
    {"30 um", FL_LENGTH, -6, 30},       {"12.7 um", FL_LENGTH, -7, 127},
    {"10 pH", FL_INDUCTANCE, -12, 10},  {"0.5 ohm", FL_RESISTANCE, -1, 5},
    {"25 ohm", FL_RESISTANCE, 0, 25},
};

static void test_multiples(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        double step = 0.0;
        fl_error error;
        check_ok(fl_unit_read(&step, steps[i].step, steps[i].dimension, &error), error);
        for (long k = 1; k < 400; k++) {
            char text[32];
            double wanted = 0.0;
            snprintf(text, sizeof text, "%ld", k * steps[i].per_step);
            assert_non_null(fl_number_read(&wanted, text, steps[i].exponent));
            check_near(wanted, fl_grid_multiple(step, (double)k), 0.0, "%ld times %s", k,
                       steps[i].step);
        }
    }
    /* a step that is no short decimal is multiplied as it is */
    assert_true(fl_grid_multiple(1.0 / 3.0, 5.0) == 5.0 * (1.0 / 3.0));
}

static const struct {
    double step, low, high;
    bool any;
    double first, last;
} ranges[] = {
    {1e-15, 10e-15, 150e-15, true, 10, 150},
    {1e-15, 10.2e-15, 149.9e-15, true, 11, 149},
    {7e-15, 8e-15, 13e-15, false, 0, 0},
    {7e-15, 8e-15, 14e-15, true, 2, 2},
    {0.1, 0.3, 0.7, true, 3, 7},
    {1e-5, 1e-4, 1.2e-3, true, 10, 120},
    {5.0, 0.0, 11.0, true, 0, 2},
};

static void test_ranges(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        double first = -1.0, last = -1.0;
        bool any = fl_grid_range(&first, &last, ranges[i].step, ranges[i].low, ranges[i].high);
        assert_int_equal(any, ranges[i].any);
        check_near(any ? ranges[i].first : -1.0, first, 0.0, "row %zu: first", i);
        check_near(any ? ranges[i].last : -1.0, last, 0.0, "row %zu: last", i);
        if (any) {
            assert_true(fl_grid_multiple(ranges[i].step, first) >= ranges[i].low);
            assert_true(fl_grid_multiple(ranges[i].step, last) <= ranges[i].high);
        }
    }
}

/* All moves are different; those of at most two single steps are all there. */
static void test_moves(void **state)
{
    (void)state;
    for (size_t axes = 1; axes <= 9; axes++)
        for (int sized = 0; sized <= 1; sized++) {
            fl_moves moves = fl_moves_of(axes, sized);
            long all[512][9];
            size_t small = 0;
            assert_true(moves.count <= 512);
            for (size_t i = 0; i < moves.count; i++) {
                long moved = 0;
                fl_move(all[i], &moves, i);
                for (size_t k = 0; k < axes; k++)
                    moved += labs(all[i][k]) > 1 ? 100 : labs(all[i][k]);
                small += moved == 1 || moved == 2 ? 1 : 0;
                for (size_t j = 0; j < i; j++)
                    assert_int_not_equal(memcmp(all[i], all[j], axes * sizeof(long)), 0);
            }
            assert_int_equal(small, 2 * axes + 2 * axes * (axes - 1));
        }
}

/* Far up only single steps are left. */
static void test_many_axes(void **state)
{
    (void)state;
    static long moved[500];
    fl_moves moves = fl_moves_of(500, false);
    assert_int_equal(moves.count, 1000);
    fl_move(moved, &moves, 999);
    assert_int_equal(moved[499], 1);
    moves = fl_moves_of(50, true);
    assert_int_equal(moves.count, 100 + 2 * 50 * 49);
    fl_move(moved, &moves, moves.count - 1);
    assert_int_equal(moved[48], 1);
    assert_int_equal(moved[49], 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_multiples),
        cmocka_unit_test(test_ranges),
        cmocka_unit_test(test_moves),
        cmocka_unit_test(test_many_axes),
    };
    return cmocka_run_group_tests_name("studies/lattice", tests, NULL, NULL);
}
