/* The block evaluation against the scalar route, at every width. */
#include "lanes.h"

enum { DESIGNS = 120 };

/* No interpolation: rounding alone. The march goes through waves instead of matrices. */
static void test_whole(void **unused)
{
    (void)unused;
    static const double spreads[] = {0.0, 0.3, 1.0}; /* all folded, some, none */
    for (size_t s = 0; s < 3; s++)
        for (uint64_t d = 0; d < DESIGNS; d++) {
            block_rig own;
            uint64_t state = 100 * s + d;
            fl_error error = {0};
            fl_block_work *work = NULL;
            rig_open(&own, &state, spreads[s], d % 4 == 0);
            fl_block *block = rig_block(&own, 2, true);
            check_ok(fl_block_work_new(&work, block, &error), error);
            assert_int_equal(fl_block_node_count(block, 0), RIG_POINTS);
            assert_int_equal(
                rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 1e-9, 1e-3), 0);
            fl_block_work_free(work);
            fl_block_free(block);
            rig_close(&own);
        }
}

/* Interpolated, on lanes that the choice of nodes has not seen too: 1e-6 dB is 2.3e-7. A power
 * of less than a tenth of the limit counts as a tenth. */
static void test_nodes(void **unused)
{
    (void)unused;
    size_t fewer = 0, doubted = 0;
    for (uint64_t d = 0; d < 2 * DESIGNS; d++) {
        block_rig own;
        uint64_t state = 1000 + d;
        fl_error error = {0};
        fl_block_work *work = NULL;
        rig_open(&own, &state, 0.7, d % 4 == 0);
        fl_block *block = rig_block(&own, fl_vector_widest()->width, false);
        check_ok(fl_block_work_new(&work, block, &error), error);
        fewer += fl_block_node_count(block, 0) < RIG_POINTS;
        doubted += rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 2.3e-7, 0.1);
        fl_block_work_free(work);
        fl_block_free(block);
        rig_close(&own);
    }
    assert_true(fewer > DESIGNS);
    assert_true(doubted * 20 < (size_t)2 * DESIGNS * FL_LANES);
}

/* Two marches of the same formulas are off by rounding: as much as each may be off the scalar route
 * without interpolation. Returns the lanes that one of both doubts. */
static size_t check_alike(const fl_lane_worst *a, const fl_lane_worst *b, const block_rig *own)
{
    size_t doubted = 0;
    for (size_t lane = 0; lane < FL_LANES; lane++) {
        if (a->doubtful[lane] || b->doubtful[lane]) {
            doubted += a->doubtful[lane] != b->doubtful[lane];
            continue;
        }
        for (size_t r = 0; r < own->run_count; r++) {
            const fl_requirement *requirement =
                &own->parts.design.requirements[own->runs[r].requirement];
            const double limit = pow(10.0, -0.1 * requirement->limit_db);
            check_near(a->power[r][lane], b->power[r][lane],
                       1e-9 * fmax(a->power[r][lane], 1e-3 * limit), "run %zu, lane %zu", r, lane);
        }
    }
    return doubted;
}

/* Between widths: rounding alone, and the same nodes. */
static void test_widths(void **unused)
{
    (void)unused;
    size_t doubted = 0;
    for (uint64_t d = 0; d < DESIGNS / 2; d++) {
        block_rig own;
        uint64_t state = 5000 + d;
        fl_error error = {0};
        fl_block *blocks[2];
        fl_block_work *works[2] = {NULL};
        rig_open(&own, &state, 0.7, d % 4 == 0);
        for (int width = 4; width <= 8; width *= 2) {
            if (fl_vector_of(width) == NULL)
                continue;
            for (int k = 0; k < 2; k++) {
                blocks[k] = rig_block(&own, k == 0 ? 2 : width, false);
                check_ok(fl_block_work_new(&works[k], blocks[k], &error), error);
            }
            for (size_t run = 0; run < own.run_count; run++)
                assert_int_equal(fl_block_node_count(blocks[0], run),
                                 fl_block_node_count(blocks[1], run));
            doubted += check_alike(fl_block_worst(blocks[0], works[0], rig_rows(&own)),
                                   fl_block_worst(blocks[1], works[1], rig_rows(&own)), &own);
            for (int k = 0; k < 2; k++) {
                fl_block_work_free(works[k]);
                fl_block_free(blocks[k]);
            }
        }
        rig_close(&own);
    }
    assert_true(doubted <= 2);
}

/* Lanes with a value that cannot be, or is not a number, are told, and trouble no other lane. */
static void test_not_physical(void **unused)
{
    (void)unused;
    static const double wrong[] = {-1.0, (double)NAN, HUGE_VAL};
    size_t doubtful = 0;
    for (uint64_t d = 0; d < DESIGNS; d++) {
        block_rig own;
        uint64_t state = 9000 + d;
        fl_error error = {0};
        fl_block_work *work = NULL;
        rig_open(&own, &state, 1.0, false);
        fl_block *block = rig_block(&own, 2, true);
        check_ok(fl_block_work_new(&work, block, &error), error);
        for (size_t k = 0; k < 3; k++)
            own.quantities[d % own.parts.design.quantity_count][40 + k] *= wrong[k];
        const fl_lane_worst *found = fl_block_worst(block, work, rig_rows(&own));
        assert_int_equal(rig_compare(&own, found, 1e-9, 1e-3), 0);
        for (size_t k = 0; k < 3; k++)
            doubtful += found->doubtful[40 + k];
        fl_block_work_free(work);
        fl_block_free(block);
        rig_close(&own);
    }
    assert_true(doubtful > DESIGNS);
}

/* Nothing to try where the nominal values themselves are not physical. */
static void test_no_block(void **unused)
{
    (void)unused;
    block_rig own;
    uint64_t state = 3;
    rig_open(&own, &state, 1.0, false);
    own.parts.values[0] = own.quantities[0][0] = -1.0;
    assert_null(rig_block(&own, 2, false));
    assert_null(rig_block(&own, 2, true));
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_whole),    cmocka_unit_test(test_nodes),
        cmocka_unit_test(test_widths),   cmocka_unit_test(test_not_physical),
        cmocka_unit_test(test_no_block),
    };
    return cmocka_run_group_tests_name("response/block", tests, NULL, NULL);
}
