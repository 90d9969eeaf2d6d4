/* How many nodes a band needs. */
#include "lanes.h"

/* A line of so many wavelengths at the centre, mismatched by 2 to 1, behind a spread capacitor. */
static size_t nodes_of_line(double waves, double low, double high)
{
    block_rig own;
    uint64_t state = 7;
    memset(&own, 0, sizeof own);
    sample_init(&own.parts, low, high);
    sample_add(&own.parts, "shunt capacitor");
    const size_t moved = sample_set(&own.parts, "capacitance", 30e-15);
    own.parts.quantities[moved].spreads = &rig_spread;
    own.parts.quantities[moved].spread_count = 1;
    sample_add(&own.parts, "line");
    sample_set(&own.parts, "impedance", 100.0);
    sample_set(&own.parts, "length", waves * 299792458.0 / (0.5 * (low + high)));
    sample_set(&own.parts, "permittivity", 1.0);
    sample_require(&own.parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
    rig_arrange(&own);
    own.parts.design.case_count = own.parts.design.band_count = 1;
    rig_finish(&own);
    rig_move(&own, &state, 0.1);
    fl_block *block = rig_block(&own, 2, false);
    fl_error error = {0};
    fl_block_work *work = NULL;
    check_ok(fl_block_work_new(&work, block, &error), error);
    assert_true(rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 2.3e-7, 0.1) < 8);
    const size_t count = fl_block_node_count(block, 0);
    fl_block_work_free(work);
    fl_block_free(block);
    rig_close(&own);
    return count;
}

/* More with the length of the path and with the width of the band, all points if need be. */
static void test_count(void **unused)
{
    (void)unused;
    const size_t narrow = nodes_of_line(0.3, 29e9, 31e9), wide = nodes_of_line(0.3, 20e9, 40e9);
    const size_t longer = nodes_of_line(3.0, 20e9, 40e9), far = nodes_of_line(40.0, 20e9, 40e9);
    assert_in_range(narrow, 3, 6);
    assert_in_range(wide, narrow + 1, 12);
    assert_in_range(longer, wide + 1, RIG_POINTS);
    assert_int_equal(far, RIG_POINTS);
}

/* Measured data have kinks between their points: no polynomial goes through them. */
static void test_data(void **unused)
{
    (void)unused;
    for (uint64_t d = 0; d < 8; d++) {
        block_rig own;
        uint64_t state = 70 + d;
        fl_error error = {0};
        fl_block_work *work = NULL;
        rig_open(&own, &state, 1.0, true);
        fl_block *block = rig_block(&own, 2, false);
        check_ok(fl_block_work_new(&work, block, &error), error);
        assert_true(rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 2.3e-7, 0.1) <
                    8);
        fl_block_work_free(work);
        fl_block_free(block);
        rig_close(&own);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_count), cmocka_unit_test(test_data)};
    return cmocka_run_group_tests_name("response/block_nodes", tests, NULL, NULL);
}
