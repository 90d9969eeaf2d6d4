/* Judges and adds up many samples at once, in rows of lanes: the fast way of tally.c. */
#include <math.h>
#include <string.h>

#include "studies/tally.h"

/* Nearly always none: they are looked at by eights first. */
static uint64_t doubtful_lanes(const fl_lane_worst *found)
{
    uint64_t lanes = 0;
    for (size_t i = 0; i < FL_LANES; i += sizeof lanes) {
        uint64_t some;
        memcpy(&some, &found->doubtful[i], sizeof some);
        for (size_t k = i; some != 0 && k < i + sizeof some; k++)
            lanes |= (uint64_t)found->doubtful[k] << k;
    }
    return lanes;
}

/** Verdicts in the making: rows and lanes of one block of samples. */
typedef struct judging {
    const fl_counting *counting;
    const fl_vector *vector;
    const fl_lane_worst *found;
    double *figure_db; /* [FL_LANES] */
    uint64_t left;     /* lanes that are not decided here */
} judging;

/* No run has been looked at yet. */
FL_WIDE static void fill_row(double *to, double value)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = value;
}

/* A lane without a number keeps what it has: it is among the doubtful ones. */
FL_WIDE static void lower_row(double *to, const double *row)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = row[i] < to[i] ? row[i] : to[i];
}

/* As fl_margin_db. */
FL_WIDE static void margin_row(double *to, const double *loss_db, double factor, double limit_db)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = factor * (loss_db[i] - limit_db);
}

/* The figure follows return losses where any is asked for, else margins. */
static void add_figure(judging *own, const fl_requirement *asked, const double *loss_db)
{
    double margin_db[FL_LANES];
    if (own->counting->has_return_loss) {
        if (fl_asks_return_loss(asked))
            lower_row(own->figure_db, loss_db);
        return;
    }
    margin_row(margin_db, loss_db, asked->at_least ? asked->weight : -asked->weight,
               asked->limit_db);
    lower_row(own->figure_db, margin_db);
}

/* Returns the lanes that fail: whose margin is below zero by more than fl_margin_met allows. That
 * is a limit on the loss as well, so that all comparisons are of one row. */
static uint64_t judge_run(judging *own, size_t run)
{
    double loss_db[FL_LANES];
    const fl_requirement *asked = fl_counting_requirement(own->counting, run);
    const double room = FL_MARGIN_ROOM_DB / asked->weight, limit = asked->limit_db;
    const double limits[] = {limit - FL_NEAR_DB, limit + FL_NEAR_DB,
                             asked->at_least ? limit - room : limit + room};
    uint64_t under[3];
    own->vector->losses(loss_db, own->found->power[run]);
    own->vector->below(under, loss_db, limits, 3);
    own->left |= under[1] & ~under[0];
    add_figure(own, asked, loss_db);
    return asked->implied ? 0 : asked->at_least ? under[2] : ~under[2];
}

/* One instruction where the processor has it. */
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

/* Lanes whose figure is at the limit or above; those too near to it are left. */
static uint64_t reaching_lanes(judging *own, double limit_db)
{
    const double limits[] = {limit_db - FL_NEAR_DB, limit_db, limit_db + FL_NEAR_DB};
    uint64_t under[3];
    own->vector->below(under, own->figure_db, limits, 3);
    own->left |= under[2] & ~under[0];
    return ~under[1];
}

uint64_t fl_tally_add_lanes(fl_tally *tally, const fl_counting *counting, fl_judged *judged,
                            const fl_vector *vector, const fl_lane_worst *found, size_t count)
{
    const fl_design *design = counting->design;
    judging own = {counting, vector, found, judged->figure_db, doubtful_lanes(found)};
    fill_row(judged->figure_db, HUGE_VAL);
    for (size_t run = 0; run < counting->run_count; run++)
        tally->failing[run] = judge_run(&own, run);
    for (size_t i = 0; i < design->requirement_count; i++)
        tally->reaching[i] = reaching_lanes(&own, design->requirements[i].limit_db);
    const uint64_t added = fl_first_lanes(count) & ~own.left;
    add_runs(tally, &own, added, &judged->passed);
    judged->physical = added;
    tally->passed += count_lanes(judged->passed);
    for (size_t i = 0; i < design->requirement_count; i++)
        tally->reached[i] += count_lanes(added & tally->reaching[i]);
    return fl_first_lanes(count) & own.left;
}

/* Figures as differences from the base, nothing for lanes without one; returns their squares,
 * summed by turns. */
FL_WIDE static double take_outputs(fl_output *outputs, const double *figure_db, double base_db,
                                   uint64_t lanes)
{
    double squares[8] = {0.0};
    for (size_t i = 0; i < FL_LANES; i++) {
        const bool counts = (lanes >> i & 1) != 0;
        outputs[i].value = counts ? figure_db[i] - base_db : 0.0;
        outputs[i].count = counts ? 1.0 : 0.0;
    }
    for (size_t i = 0; i < FL_LANES; i++)
        squares[i % 8] += outputs[i].value * outputs[i].value;
    return ((squares[0] + squares[4]) + (squares[1] + squares[5])) +
           ((squares[2] + squares[6]) + (squares[3] + squares[7]));
}

/* Quantities that are counted at once: their bins stay in the nearest memory. */
enum { TOGETHER = 16 };

/* Deviations are summed apart for failing and passing samples; figures are stored by place, and the
 * histogram takes them when blocks are merged, as it is shared. */
void fl_tally_add_rows(fl_tally *tally, const fl_counting *counting, const fl_judged *judged,
                       const fl_vector *vector, const double (*quantities)[FL_LANES], size_t count)
{
    fl_output outputs[FL_LANES];
    uint64_t bins[TOGETHER][FL_LANES];
    const double *rows[TOGETHER];
    const double squares =
        take_outputs(outputs, judged->figure_db, counting->base_db, judged->physical);
    const uint64_t lanes[] = {fl_first_lanes(count) & ~judged->passed, judged->passed};
    for (size_t first = 0; first < counting->spread_count; first += TOGETHER) {
        const size_t rest = counting->spread_count - first,
                     some = rest < TOGETHER ? rest : TOGETHER;
        for (size_t i = 0; i < some; i++)
            rows[i] = quantities[counting->spread[first + i]];
        vector->deviations(tally->deviations + first, bins, rows, counting->rulers + first, some,
                           lanes);
        fl_share_add_many(tally->shares + first, some, (const uint64_t(*)[FL_LANES])bins, outputs,
                          squares);
    }
    memcpy(tally->figures_db + tally->samples, judged->figure_db, count * sizeof(double));
    tally->samples += count;
    if (counting->dice > 0)
        fl_tally_add_wafers(tally, counting, judged->passed, count);
}
