/* Judges Monte Carlo samples against the requirements and adds them up, block by block. */
#include <math.h>
#include <string.h>

#include "studies/tally.h"

bool fl_asks_return_loss(const fl_requirement *requirement)
{
    return requirement->asked == FL_RETURN_LOSS && requirement->at_least;
}

const fl_requirement *fl_counting_requirement(const fl_counting *counting, size_t run)
{
    return &counting->design->requirements[counting->runs[run].requirement];
}

/* A value that does not move is in the middle bin. */
fl_ruler fl_counting_ruler(double nominal, double sigma)
{
    return (fl_ruler){.centre = nominal,
                      .scale = sigma > 0.0 ? FL_SHARE_BINS_PER_SIGMA / sigma : 0.0,
                      .last = FL_SHARE_BINS - 1};
}

/* Sigmas are about the nominal values of this study, which may be sized ones. */
fl_status fl_counting_take(fl_counting *counting, fl_arena *arena, const fl_design *design,
                           const double *nominal, const fl_margins *margins, fl_error *error)
{
    *counting = (fl_counting){.design = design, .nominal = nominal};
    counting->runs = fl_margins_runs(margins, &counting->run_count);
    counting->spread = fl_arena_take(arena, design->quantity_count, sizeof *counting->spread);
    counting->sigma = fl_arena_take(arena, design->quantity_count, sizeof *counting->sigma);
    counting->rulers = fl_arena_take(arena, design->quantity_count, sizeof *counting->rulers);
    if (!counting->spread || !counting->sigma || !counting->rulers)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++) {
        if (design->quantities[i].spread_count == 0)
            continue;
        const double sigma = fl_quantity_sigma(&design->quantities[i], nominal[i]);
        counting->sigma[counting->spread_count] = sigma;
        counting->rulers[counting->spread_count] = fl_counting_ruler(nominal[i], sigma);
        counting->spread[counting->spread_count++] = i;
    }
    for (size_t i = 0; i < design->requirement_count; i++)
        if (fl_asks_return_loss(&design->requirements[i]))
            counting->has_return_loss = true;
    return FL_OK;
}

fl_status fl_verdict_take(fl_verdict *verdict, fl_arena *arena, const fl_counting *counting,
                          fl_error *error)
{
    size_t cases = counting->design->case_count;
    *verdict = (fl_verdict){
        .worst = fl_arena_take(arena, counting->run_count, sizeof *verdict->worst),
        .case_passed = fl_arena_take(arena, cases, sizeof *verdict->case_passed),
        .return_loss_db = fl_arena_take(arena, cases, sizeof *verdict->return_loss_db),
        .margin_db = fl_arena_take(arena, cases, sizeof *verdict->margin_db),
    };
    if (!verdict->worst || !verdict->case_passed || !verdict->return_loss_db || !verdict->margin_db)
        return fl_fail_memory(error);
    return FL_OK;
}

/* The smaller of two, where NAN is none. */
static double least(double a, double b)
{
    return isnan(a) || b < a ? b : a;
}

/* Adds one run to the verdict of its case. The margin takes in an implied requirement as well:
 * without any other it is the one figure there is. */
static void judge_run(fl_verdict *verdict, const fl_counting *counting, size_t run)
{
    const fl_requirement *requirement = fl_counting_requirement(counting, run);
    const fl_worst *worst = &verdict->worst[run];
    size_t own = counting->runs[run].case_index;
    verdict->margin_db[own] = least(verdict->margin_db[own], worst->margin_db);
    if (!requirement->implied && !fl_margin_met(worst->margin_db))
        verdict->case_passed[own] = false;
    if (fl_asks_return_loss(requirement))
        verdict->return_loss_db[own] = least(verdict->return_loss_db[own], worst->value_db);
}

/* No run has been judged yet. */
static void begin_verdict(fl_verdict *verdict, const fl_counting *counting, bool physical)
{
    verdict->physical = verdict->passed = physical;
    verdict->figure_db = (double)NAN;
    for (size_t i = 0; i < counting->design->case_count; i++) {
        verdict->case_passed[i] = physical;
        verdict->return_loss_db[i] = verdict->margin_db[i] = (double)NAN;
    }
}

/* From the worst of all runs to cases and figure. */
static void end_verdict(fl_verdict *verdict, const fl_counting *counting)
{
    for (size_t run = 0; run < counting->run_count; run++)
        judge_run(verdict, counting, run);
    const double *figures =
        counting->has_return_loss ? verdict->return_loss_db : verdict->margin_db;
    for (size_t i = 0; i < counting->design->case_count; i++) {
        verdict->passed = verdict->passed && verdict->case_passed[i];
        verdict->figure_db = least(verdict->figure_db, figures[i]);
    }
}

/* A sample that is not physical has no figures and fails in every case. */
void fl_verdict_judge(fl_verdict *verdict, const fl_counting *counting, const double *power)
{
    begin_verdict(verdict, counting, power != NULL);
    if (!power)
        return;
    for (size_t run = 0; run < counting->run_count; run++)
        verdict->worst[run] =
            fl_run_worst(&counting->runs[run], fl_counting_requirement(counting, run), power);
    end_verdict(verdict, counting);
}

/* The figure is compared with all limits, as add_reached does. */
static bool near_limit(const fl_verdict *verdict, const fl_counting *counting)
{
    for (size_t run = 0; run < counting->run_count; run++)
        if (fabs(verdict->worst[run].value_db - fl_counting_requirement(counting, run)->limit_db) <
            FL_NEAR_DB)
            return true;
    for (size_t i = 0; i < counting->design->requirement_count; i++)
        if (fabs(verdict->figure_db - counting->design->requirements[i].limit_db) < FL_NEAR_DB)
            return true;
    return false;
}

bool fl_verdict_judge_lane(fl_verdict *verdict, const fl_counting *counting,
                           const fl_lane_worst *found, size_t lane)
{
    if (found->doubtful[lane])
        return false;
    begin_verdict(verdict, counting, true);
    for (size_t run = 0; run < counting->run_count; run++) {
        const fl_run *own = &counting->runs[run];
        const size_t point = (size_t)found->point[run][lane];
        const double power = found->power[run][lane];
        verdict->worst[run] =
            (fl_worst){.entry = own->first + point,
                       .frequency = own->frequencies[point],
                       .value_db = fl_loss_db(power),
                       .margin_db = fl_margin_db(fl_counting_requirement(counting, run), power)};
    }
    end_verdict(verdict, counting);
    return !near_limit(verdict, counting);
}

/* Wafers that a block may have dice of. */
static size_t wafer_rows(const fl_counting *counting)
{
    return counting->dice > 0 ? (size_t)((FL_BLOCK_SAMPLES - 1) / counting->dice) + 2 : 0;
}

/* Counts of a wafer: of each case, and of every case together. */
static size_t columns(const fl_counting *counting)
{
    return counting->design->case_count + 1;
}

/* A tally's size follows the design, never the number of samples. */
fl_status fl_tally_take(fl_tally *tally, fl_arena *arena, const fl_counting *counting,
                        fl_error *error)
{
    const fl_design *design = counting->design;
    size_t spreads = counting->spread_count;
    *tally = (fl_tally){
        .case_passed = fl_arena_take(arena, design->case_count, sizeof *tally->case_passed),
        .failed = fl_arena_take(arena, counting->run_count, sizeof *tally->failed),
        .reached = fl_arena_take(arena, design->requirement_count, sizeof *tally->reached),
        .deviations = fl_arena_take(arena, spreads, sizeof *tally->deviations),
        .shares = fl_arena_take(arena, spreads, sizeof *tally->shares),
        .failing = fl_arena_take(arena, counting->run_count, sizeof *tally->failing),
        .reaching = fl_arena_take(arena, design->requirement_count, sizeof *tally->reaching),
        .figures_db = fl_arena_take(arena, FL_BLOCK_SAMPLES, sizeof *tally->figures_db),
        .passing = fl_arena_take(arena, design->case_count, sizeof *tally->passing),
        .wafers =
            fl_arena_take(arena, wafer_rows(counting) * columns(counting), sizeof *tally->wafers),
    };
    if (!tally->case_passed || !tally->failed || !tally->reached || !tally->deviations ||
        !tally->shares || !tally->failing || !tally->reaching || !tally->figures_db ||
        !tally->wafers || !tally->passing)
        return fl_fail_memory(error);
    return FL_OK;
}

/* figures_db need not be cleared: only those of counted samples are read. */
void fl_tally_clear(fl_tally *tally, const fl_counting *counting)
{
    const fl_design *design = counting->design;
    tally->samples = tally->passed = tally->not_physical = 0;
    memset(tally->case_passed, 0, design->case_count * sizeof *tally->case_passed);
    memset(tally->failed, 0, counting->run_count * sizeof *tally->failed);
    memset(tally->reached, 0, design->requirement_count * sizeof *tally->reached);
    memset(tally->deviations, 0, counting->spread_count * sizeof *tally->deviations);
    memset(tally->shares, 0, counting->spread_count * sizeof *tally->shares);
}

/* The first wafer of a block may have begun in an earlier one. */
void fl_tally_begin(fl_tally *tally, const fl_counting *counting, uint64_t first)
{
    fl_tally_clear(tally, counting);
    tally->first = first;
    tally->row = 0;
    if (counting->dice == 0)
        return;
    tally->left = counting->dice - first % counting->dice;
    memset(tally->passing, 0, counting->design->case_count * sizeof *tally->passing);
    memset(tally->wafers, 0, wafer_rows(counting) * columns(counting) * sizeof *tally->wafers);
}

size_t fl_band_third(const fl_band *band, double frequency)
{
    double place = (frequency - band->low) / (band->high - band->low) * FL_BAND_THIRDS;
    return place < 1.0 ? 0 : place < 2.0 ? 1 : 2;
}

/* A sample that is not physical fails every requirement, an implied one too: then there is no other
 * to count it under. */
static void add_failures(fl_tally *tally, const fl_counting *counting, const fl_verdict *verdict)
{
    for (size_t run = 0; run < counting->run_count; run++) {
        const fl_requirement *requirement = fl_counting_requirement(counting, run);
        const fl_worst *worst = &verdict->worst[run];
        fl_failed *failed = &tally->failed[run];
        if (!verdict->physical) {
            failed->count++;
        } else if (!requirement->implied && !fl_margin_met(worst->margin_db)) {
            failed->count++;
            const fl_band *band = &counting->design->bands[requirement->band];
            failed->third[fl_band_third(band, worst->frequency)]++;
        }
    }
}

/* NAN reaches nothing. The counts of limits that are not on a return loss are never read. */
static void add_reached(fl_tally *tally, const fl_counting *counting, double figure_db)
{
    const fl_design *design = counting->design;
    for (size_t i = 0; i < design->requirement_count; i++)
        if (figure_db >= design->requirements[i].limit_db)
            tally->reached[i]++;
}

void fl_tally_add(fl_tally *tally, const fl_counting *counting, const fl_verdict *verdict)
{
    tally->passed += verdict->passed;
    tally->not_physical += !verdict->physical;
    for (size_t i = 0; i < counting->design->case_count; i++)
        tally->case_passed[i] += verdict->case_passed[i];
    if (!verdict->passed)
        add_failures(tally, counting, verdict);
    add_reached(tally, counting, verdict->figure_db);
}

/* What rows.c does for all lanes at once. */
void fl_tally_mark(fl_tally *tally, const fl_counting *counting, const fl_verdict *verdict,
                   size_t lane)
{
    for (size_t i = 0; i < counting->design->case_count; i++)
        tally->passing[i] |= (uint64_t)verdict->case_passed[i] << lane;
}

/* Passes of some lanes, for the wafer at hand. */
static void add_to_wafer(fl_tally *tally, const fl_counting *counting, uint64_t passed,
                         uint64_t lanes)
{
    const size_t cases = counting->design->case_count;
    uint32_t *counts = &tally->wafers[tally->row * columns(counting)];
    for (size_t i = 0; i < cases; i++)
        counts[i] += (uint32_t)__builtin_popcountll(tally->passing[i] & lanes);
    counts[cases] += (uint32_t)__builtin_popcountll(passed & lanes);
}

/* Dice come one after the other: no division is needed to find their wafers. */
void fl_tally_add_wafers(fl_tally *tally, const fl_counting *counting, uint64_t passed,
                         size_t count)
{
    for (size_t lane = 0; lane < count;) {
        if (tally->left == 0) {
            tally->left = counting->dice;
            tally->row++;
        }
        const size_t rest = count - lane;
        const size_t step = tally->left < rest ? (size_t)tally->left : rest;
        add_to_wafer(tally, counting, passed, fl_first_lanes(step) << lane);
        tally->left -= step;
        lane += step;
    }
    memset(tally->passing, 0, counting->design->case_count * sizeof *tally->passing);
}

/* Sums of doubles depend on their order: blocks come in the order of samples, so that any number of
 * threads gives the same bits. */
void fl_tally_merge_counts(fl_tally *into, const fl_tally *from, const fl_counting *counting)
{
    into->samples += from->samples;
    into->passed += from->passed;
    into->not_physical += from->not_physical;
    for (size_t i = 0; i < counting->design->case_count; i++)
        into->case_passed[i] += from->case_passed[i];
    for (size_t i = 0; i < counting->design->requirement_count; i++)
        into->reached[i] += from->reached[i];
    for (size_t i = 0; i < counting->run_count; i++) {
        into->failed[i].count += from->failed[i].count;
        for (size_t third = 0; third < FL_BAND_THIRDS; third++)
            into->failed[i].third[third] += from->failed[i].third[third];
    }
}

void fl_tally_merge_sums(fl_tally *into, const fl_tally *from, const fl_counting *counting)
{
    for (size_t i = 0; i < counting->spread_count; i++) {
        into->deviations[i][0] += from->deviations[i][0];
        into->deviations[i][1] += from->deviations[i][1];
        fl_share_merge(&into->shares[i], &from->shares[i]);
    }
}

void fl_tally_merge(fl_tally *into, const fl_tally *from, const fl_counting *counting)
{
    fl_tally_merge_counts(into, from, counting);
    fl_tally_merge_sums(into, from, counting);
}
