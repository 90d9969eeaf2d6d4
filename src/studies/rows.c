/* Judges and adds up many samples at once, in rows of lanes: the fast way of tally.c. */
#include <math.h>
#include <string.h>

#include "studies/tally.h"

static uint64_t doubtful_lanes(const fl_lane_worst *found)
{
    uint64_t lanes = 0;
    for (size_t i = 0; i < FL_LANES; i++)
        lanes |= (uint64_t)found->doubtful[i] << i;
    return lanes;
}

/* Lanes whose value is about a limit. */
static uint64_t near_limit(const fl_vector *vector, const double *row_db, double limit_db)
{
    return vector->below(row_db, limit_db + FL_NEAR_DB) &
           ~vector->below(row_db, limit_db - FL_NEAR_DB);
}

/** Verdicts in the making: rows and lanes of one block of samples. */
typedef struct judging {
    const fl_counting *counting;
    const fl_vector *vector;
    const fl_lane_worst *found;
    double *figure_db; /* [FL_LANES] */
    uint64_t left;     /* lanes that are not decided here */
} judging;

/* Margins as fl_margin_db has them; the figure follows return losses where any is asked for, else
 * margins. Returns the lanes that fail. */
static uint64_t judge_run(judging *own, size_t run)
{
    double loss_db[FL_LANES], margin_db[FL_LANES];
    const fl_requirement *asked = fl_counting_requirement(own->counting, run);
    const double factor = asked->at_least ? asked->weight : -asked->weight;
    own->vector->losses(loss_db, own->found->power[run]);
    for (size_t i = 0; i < FL_LANES; i++)
        margin_db[i] = factor * (loss_db[i] - asked->limit_db);
    own->left |= near_limit(own->vector, loss_db, asked->limit_db);
    const double *figure = own->counting->has_return_loss ? loss_db : margin_db;
    if (!own->counting->has_return_loss || fl_asks_return_loss(asked))
        for (size_t i = 0; i < FL_LANES; i++)
            own->figure_db[i] = figure[i] < own->figure_db[i] ? figure[i] : own->figure_db[i];
    return asked->implied ? 0 : own->vector->below(margin_db, -FL_MARGIN_ROOM_DB);
}

static uint64_t count_lanes(uint64_t lanes)
{
    return (uint64_t)__builtin_popcountll(lanes);
}

/* By the third of the band where each was worst. */
static void add_failures(fl_tally *tally, const judging *own, size_t run, uint64_t failing)
{
    const fl_run *asked = &own->counting->runs[run];
    const fl_band *band =
        &own->counting->design->bands[fl_counting_requirement(own->counting, run)->band];
    fl_failed *failed = &tally->failed[run];
    failed->count += count_lanes(failing);
    for (; failing != 0; failing &= failing - 1) {
        const size_t point = (size_t)own->found->point[run][__builtin_ctzll(failing)];
        failed->third[fl_band_third(band, asked->frequencies[point])]++;
    }
}

/* Runs come in the order of cases. What fails is kept by run until all lanes are decided. */
static void add_runs(fl_tally *tally, const judging *own, uint64_t added, uint64_t *passed)
{
    const fl_counting *counting = own->counting;
    size_t run = 0;
    *passed = added;
    for (size_t i = 0; i < counting->design->case_count; i++) {
        uint64_t failing = 0;
        for (; run < counting->run_count && counting->runs[run].case_index == i; run++) {
            add_failures(tally, own, run, tally->failing[run] & added);
            failing |= tally->failing[run];
        }
        tally->passing[i] = added & ~failing;
        tally->case_passed[i] += count_lanes(tally->passing[i]);
        *passed &= ~failing;
    }
}

uint64_t fl_tally_add_lanes(fl_tally *tally, const fl_counting *counting, fl_judged *judged,
                            const fl_vector *vector, const fl_lane_worst *found, size_t count)
{
    const fl_design *design = counting->design;
    judging own = {counting, vector, found, judged->figure_db, doubtful_lanes(found)};
    for (size_t i = 0; i < FL_LANES; i++)
        judged->figure_db[i] = HUGE_VAL;
    for (size_t run = 0; run < counting->run_count; run++)
        tally->failing[run] = judge_run(&own, run);
    for (size_t i = 0; i < design->requirement_count; i++)
        own.left |= near_limit(vector, judged->figure_db, design->requirements[i].limit_db);
    const uint64_t added = fl_first_lanes(count) & ~own.left;
    add_runs(tally, &own, added, &judged->passed);
    judged->physical = added;
    tally->passed += count_lanes(judged->passed);
    for (size_t i = 0; i < design->requirement_count; i++)
        tally->reached[i] += count_lanes(
            added & ~vector->below(judged->figure_db, design->requirements[i].limit_db));
    return fl_first_lanes(count) & own.left;
}

/* Figures as differences from the base, nothing for lanes without one; returns their squares,
 * summed by turns. */
static double take_outputs(fl_output *outputs, const fl_counting *counting, const fl_judged *judged)
{
    double squares[4] = {0.0};
    for (size_t i = 0; i < FL_LANES; i++) {
        const bool counts = (judged->physical >> i & 1) != 0;
        outputs[i].value = counts ? judged->figure_db[i] - counting->base_db : 0.0;
        outputs[i].count = counts ? 1.0 : 0.0;
    }
    for (size_t i = 0; i < FL_LANES; i++)
        squares[i % 4] += outputs[i].value * outputs[i].value;
    return squares[0] + squares[1] + squares[2] + squares[3];
}

/* A quantity at a time, so that its sums and bins stay at hand for all samples. Deviations are
 * summed apart for failing and passing samples; figures are stored by place, and the histogram
 * takes them when blocks are merged, as it is shared. */
void fl_tally_add_rows(fl_tally *tally, const fl_counting *counting, const fl_judged *judged,
                       const fl_vector *vector, const double (*quantities)[FL_LANES], size_t count)
{
    fl_output outputs[FL_LANES];
    uint64_t bins[FL_LANES];
    const double squares = take_outputs(outputs, counting, judged);
    const uint64_t lanes[] = {fl_first_lanes(count) & ~judged->passed, judged->passed};
    for (size_t i = 0; i < counting->spread_count; i++) {
        const double sigma = counting->sigma[i];
        const fl_ruler ruler = {.centre = counting->nominal[counting->spread[i]],
                                .scale = sigma > 0.0 ? FL_SHARE_BINS_PER_SIGMA / sigma : 0.0,
                                .last = FL_SHARE_BINS - 1};
        double sums[2];
        vector->deviations(sums, bins, quantities[counting->spread[i]], &ruler, lanes);
        tally->deviations[i][0] += sums[0];
        tally->deviations[i][1] += sums[1];
        fl_share_add_many(&tally->shares[i], bins, outputs, squares);
    }
    memcpy(tally->figures_db + tally->samples, judged->figure_db, count * sizeof(double));
    tally->samples += count;
    if (counting->dice > 0)
        fl_tally_add_wafers(tally, counting, judged->passed, count);
}
