/* What is folded, and how many steps are left. */
#include "lanes.h"

/* Six sections from the die to the board; which of them spread. */
static void open_six(block_rig *own, const bool spreads[6])
{
    memset(own, 0, sizeof *own);
    sample_init(&own->parts, 20e9, 40e9);
    for (size_t i = 0; i < 6; i++) {
        static const char *const kinds[] = {"series inductor", "shunt capacitor", "line"};
        sample_add(&own->parts, kinds[i % 3]);
        const size_t first = i % 3 == 0   ? sample_set(&own->parts, "inductance", 80e-12)
                             : i % 3 == 1 ? sample_set(&own->parts, "capacitance", 40e-15)
                                          : sample_set(&own->parts, "impedance", 60.0);
        if (i % 3 == 2) {
            sample_set(&own->parts, "length", 0.4e-3);
            sample_set(&own->parts, "permittivity", 3.0);
        }
        own->parts.quantities[first].spreads = &rig_spread;
        own->parts.quantities[first].spread_count = spreads[i];
    }
    sample_require(&own->parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
    sample_require(&own->parts, FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0);
    rig_arrange(own);
    own->parts.design.case_count = 1;
    own->parts.requirements[1].band = 0;
    own->parts.design.band_count = 1;
    rig_finish(own);
}

typedef struct fold_row {
    const char *name;
    bool spreads[6];
    size_t board, die; /* steps of the march to either port */
} fold_row;

/* The march to the board begins at the die: constant sections there are in its start, those at the
 * board in its end. */
static const fold_row fold_rows[] = {
    {"all spread", {true, true, true, true, true, true}, 6, 6},
    {"none", {false, false, false, false, false, false}, 0, 0},
    {"ends", {false, false, true, true, false, false}, 2, 2},
    {"middle", {true, false, false, false, false, true}, 3, 3},
    {"one shunt", {true, false, true, true, true, true}, 6, 6},
    {"by turns", {false, true, false, true, false, true}, 5, 5},
};

static void test_fold(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof fold_rows / sizeof *fold_rows; r++) {
        const fold_row *row = &fold_rows[r];
        block_rig own;
        uint64_t state = r;
        open_six(&own, row->spreads);
        rig_move(&own, &state, 0.1);
        fl_block *block = rig_block(&own, 2, true);
        const fl_track *tracks = block->sweeps[0]->tracks;
        if (tracks[FL_PORT_BOARD].step_count != row->board ||
            tracks[FL_PORT_DIE].step_count != row->die)
            fail_msg("%s: %zu and %zu steps, wanted %zu and %zu", row->name,
                     tracks[FL_PORT_BOARD].step_count, tracks[FL_PORT_DIE].step_count, row->board,
                     row->die);
        fl_error error = {0};
        fl_block_work *work = NULL;
        check_ok(fl_block_work_new(&work, block, &error), error);
        assert_int_equal(rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 1e-9, 1e-3),
                         0);
        fl_block_work_free(work);
        fl_block_free(block);
        rig_close(&own);
    }
}

/* A lone shunt is no matrix, two sections together are one. */
static void test_kinds(void **unused)
{
    (void)unused;
    static const bool one[] = {true, false, true, true, true, true};
    static const bool two[] = {true, false, false, true, true, true};
    static const bool series[] = {true, true, true, false, true, true};
    static const bool *const rows[] = {one, two, series};
    static const fl_step_kind kinds[] = {FL_STEP_SHUNT, FL_STEP_CHAIN, FL_STEP_SERIES};
    static const size_t steps[] = {1, 1, 3};
    for (size_t r = 0; r < 3; r++) {
        block_rig own;
        uint64_t state = r;
        open_six(&own, rows[r]);
        rig_move(&own, &state, 0.1);
        fl_block *block = rig_block(&own, 2, true);
        assert_int_equal(block->sweeps[0]->tracks[FL_PORT_BOARD].steps[steps[r]].kind, kinds[r]);
        fl_block_free(block);
        rig_close(&own);
    }
}

/* Two lines alike, another length, a capacitor without spread, and a line as the first. */
static void open_alike(block_rig *own)
{
    memset(own, 0, sizeof *own);
    sample_init(&own->parts, 20e9, 40e9);
    for (size_t i = 0; i < 5; i++) {
        sample_add(&own->parts, i == 3 ? "shunt capacitor" : "line");
        if (i == 3) {
            sample_set(&own->parts, "capacitance", 30e-15);
        } else if (i == 0) {
            const size_t impedance = sample_set(&own->parts, "impedance", 60.0);
            own->parts.quantities[impedance].spreads = &rig_spread;
            own->parts.quantities[impedance].spread_count = 1;
            sample_set(&own->parts, "length", 0.3e-3);
            sample_set(&own->parts, "permittivity", 3.0);
            sample_set(&own->parts, "loss", 100.0);
        } else {
            memcpy(own->parts.terms[i], own->parts.terms[0], sizeof own->parts.terms[0]);
        }
        if (i == 2)
            sample_set(&own->parts, "length", 0.5e-3);
    }
    sample_require(&own->parts, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
    sample_require(&own->parts, FL_INSERTION_LOSS, FL_PORT_BOARD, false, 1.0);
    rig_arrange(own);
    own->parts.design.case_count = 1;
    rig_finish(own);
}

/* Lines alike in a row are one longer line. */
static void test_alike(void **unused)
{
    (void)unused;
    block_rig own;
    uint64_t state = 1;
    fl_error error = {0};
    fl_block_work *work = NULL;
    open_alike(&own);
    rig_move(&own, &state, 0.1);
    fl_block *block = rig_block(&own, 2, true);
    const fl_track *track = &block->sweeps[0]->tracks[FL_PORT_BOARD];
    assert_int_equal(track->step_count, 4);
    assert_int_equal(track->steps[0].times, 2);
    assert_int_equal(track->steps[1].times, 1);
    assert_int_equal(track->steps[3].times, 1);
    check_ok(fl_block_work_new(&work, block, &error), error);
    assert_int_equal(rig_compare(&own, fl_block_worst(block, work, rig_rows(&own)), 1e-9, 1e-3), 0);
    fl_block_work_free(work);
    fl_block_free(block);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_fold), cmocka_unit_test(test_kinds),
                                       cmocka_unit_test(test_alike)};
    return cmocka_run_group_tests_name("response/block_plan", tests, NULL, NULL);
}
