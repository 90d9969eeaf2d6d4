/** Random designs of several cases and bands with spreads, and blocks made for them. */
#ifndef FL_TESTS_RESPONSE_LANES_H
#define FL_TESTS_RESPONSE_LANES_H

#include "check.h"

#include "random.h"
#include "response/block.h"

enum { RIG_POINTS = 31, RIG_TRIALS = 12, RIG_CASES = 2, RIG_BANDS = 2 };

static const fl_spread rig_spread = {.shape = FL_NORMAL, .amount = 0.05, .relative = true};
static const char rig_data[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

typedef struct block_rig {
    sample parts;
    fl_case cases[RIG_CASES];
    fl_band bands[RIG_BANDS];
    double frequencies[RIG_BANDS][RIG_POINTS];
    fl_groundwork *groundwork;
    fl_margins *margins;
    fl_work *work;
    const fl_run *runs;
    size_t run_count, entries;
    double quantities[SAMPLE_QUANTITIES][FL_LANES];
    double one[SAMPLE_QUANTITIES];
    double *power; /* [entries] */
} block_rig;

/** Quantities of all lanes: those with a spread moved by up to so much of their value, twice as far
 * in the trials, of which the first is nominal. */
__attribute__((unused)) static void rig_move(block_rig *own, uint64_t *state, double share)
{
    for (size_t q = 0; q < own->parts.design.quantity_count; q++)
        for (size_t i = 0; i < FL_LANES; i++) {
            const double reach = i < RIG_TRIALS ? 2.0 * share : share;
            const double by = reach * (2.0 * sample_random(state) - 1.0);
            const bool moves = i > 0 && own->parts.quantities[q].spread_count > 0;
            own->quantities[q][i] = own->parts.values[q] * (moves ? 1.0 + by : 1.0);
        }
}

/* The second case lacks the first section; the second band is for the last requirement. */
static void rig_arrange(block_rig *own)
{
    fl_design *design = &own->parts.design;
    const fl_case all = own->parts.only;
    own->cases[0] = own->cases[1] = all;
    own->cases[1].name = "other";
    own->cases[1].sections = all.sections + 1;
    own->cases[1].section_count = all.section_count - 1;
    own->bands[0] = own->parts.band;
    own->bands[1] = (fl_band){30e9, 33e9};
    design->cases = own->cases;
    design->case_count = all.section_count > 1 ? 2 : 1;
    design->bands = own->bands;
    design->band_count = RIG_BANDS;
    own->parts.requirements[1].band = 1;
}

static void rig_finish(block_rig *own)
{
    fl_error error = {0};
    fl_grid grids[RIG_BANDS];
    for (size_t b = 0; b < RIG_BANDS; b++) {
        fl_band_grid(own->frequencies[b], &own->bands[b], RIG_POINTS);
        grids[b] = (fl_grid){own->frequencies[b], RIG_POINTS};
    }
    const fl_design *design = &own->parts.design;
    check_ok(fl_groundwork_new(&own->groundwork, design, &error), error);
    check_ok(fl_margins_new(&own->margins, design, own->groundwork, grids, &error), error);
    check_ok(fl_work_new(&own->work, own->margins, &error), error);
    own->runs = fl_margins_runs(own->margins, &own->run_count);
    own->entries = fl_margins_entry_count(own->margins);
    own->power = calloc(own->entries, sizeof(double));
    assert_non_null(own->power);
}

/** A random design in which so large a share of the quantities has a spread; with data it ends
 * with a measured section. */
__attribute__((unused)) static void rig_open(block_rig *own, uint64_t *state, double spreads,
                                             bool data)
{
    memset(own, 0, sizeof *own);
    random_sample(&own->parts, state);
    if (data)
        sample_add(&own->parts, "measured")->file = rig_data;
    for (size_t q = 0; q < own->parts.design.quantity_count; q++)
        if (sample_random(state) < spreads) {
            own->parts.quantities[q].spreads = &rig_spread;
            own->parts.quantities[q].spread_count = 1;
        }
    rig_arrange(own);
    rig_finish(own);
    rig_move(own, state, 0.1);
}

__attribute__((unused)) static void rig_close(block_rig *own)
{
    fl_work_free(own->work);
    fl_margins_free(own->margins);
    fl_groundwork_free(own->groundwork);
    free(own->power);
}

static const double (*rig_rows(const block_rig *own))[FL_LANES]
{
    return (const double(*)[FL_LANES])own->quantities;
}

/** A block tried on the first lanes. */
__attribute__((unused)) static fl_block *rig_block(const block_rig *own, int width, bool whole)
{
    fl_block *block = NULL;
    fl_error error = {0};
    const fl_trials trials = {own->parts.values, rig_rows(own), RIG_TRIALS};
    check_ok(fl_block_new(&block, own->margins, fl_vector_of(width), &trials, whole, &error),
             error);
    return block;
}

/** Powers of one lane by the scalar route, into own->power; false if it is not physical. */
__attribute__((unused)) static bool rig_power(block_rig *own, size_t lane)
{
    for (size_t q = 0; q < own->parts.design.quantity_count; q++)
        own->one[q] = own->quantities[q][lane];
    return fl_margins_power(own->margins, own->work, own->one, own->power);
}

/** All runs of all lanes against the scalar route: lanes that are not physical, and worst powers,
 * within a part of themselves or of a share of the limit. Returns how many other lanes are
 * doubtful. */
__attribute__((unused)) static size_t rig_compare(block_rig *own, const fl_lane_worst *found,
                                                  double relative, double share)
{
    size_t doubted = 0;
    for (size_t lane = 0; lane < FL_LANES; lane++) {
        if (!rig_power(own, lane)) {
            assert_true(found->doubtful[lane]);
            continue;
        }
        if (found->doubtful[lane]) {
            doubted++;
            continue;
        }
        for (size_t r = 0; r < own->run_count; r++) {
            const fl_requirement *requirement =
                &own->parts.design.requirements[own->runs[r].requirement];
            const fl_worst worst = fl_run_worst(&own->runs[r], requirement, own->power);
            const double wanted = own->power[worst.entry];
            const double limit = pow(10.0, -0.1 * requirement->limit_db);
            const double got = found->power[r][lane];
            check_near(wanted, got, relative * fmax(wanted, share * limit), "run %zu, lane %zu", r,
                       lane);
            const size_t point = (size_t)found->point[r][lane];
            check_near(wanted, own->power[own->runs[r].first + point],
                       4.0 * relative * fmax(wanted, share * limit), "place of run %zu, lane %zu",
                       r, lane);
        }
    }
    return doubted;
}

#endif
