/* Sensitivity: what the worst return loss gains or loses with each quantity. */
#include <math.h>
#include <stdlib.h>

#include "studies/search.h"

/* Up and down this near to opposite, relative: the same frequency stays the worst. */
static const double SMOOTH = 1e-3;

static const double PER_CENT = 0.01;

/** The local worsts at the nominal values, and how each moves. */
typedef struct slopes_at {
    fl_arena arena;
    const fl_study *study;
    const double *nominal;
    bool of_return_loss; /* else of the margin */
    fl_margins *margins; /* on the frequencies of the peaks */
    fl_work *work;
    size_t *unknowns; /* [unknown_count] */
    size_t unknown_count;
    double *power;    /* [entry_count] */
    double *gradient; /* [unknown_count][entry_count] */
    double *value_db; /* [entry_count] return loss or margin; INFINITY: not looked at */
    double *factor;   /* [entry_count] d value_db / d power */
    size_t entry_count;
    double base_db; /* least of value_db */
} slopes_at;

/* An upper limit on a return loss is no wish for a good match. */
static bool asks_return_loss(const fl_requirement *requirement)
{
    return requirement->asked == FL_RETURN_LOSS && requirement->at_least;
}

/* For qsort: rising. */
static int by_value(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

/* Ends of the band and the local worsts in it, rising, each once. */
static fl_status peak_grid(fl_grid *grid, fl_arena *arena, const fl_band *band,
                           const fl_peak_list *list, size_t index)
{
    double *found = fl_arena_take(arena, list->count + 2, sizeof *found);
    if (!found)
        return FL_NO_MEMORY;
    size_t count = 0, kept = 1;
    found[count++] = band->low;
    found[count++] = band->high;
    for (size_t i = 0; i < list->count; i++)
        if (list->peaks[i].band == index)
            found[count++] = list->peaks[i].frequency;
    qsort(found, count, sizeof *found, by_value);
    for (size_t i = 1; i < count; i++)
        if (found[i] > found[kept - 1])
            found[kept++] = found[i];
    *grid = (fl_grid){found, kept};
    return FL_OK;
}

/* Margins on the local worsts alone: a derivative of the worst is that of one of them. */
static fl_status make_margins(slopes_at *at, fl_error *error)
{
    const fl_design *design = at->study->design;
    fl_peak_list list = {0};
    fl_status status = fl_peak_list_find(&list, at->study, at->nominal, error);
    if (status != FL_OK)
        goto cleanup;
    fl_grid *grids = fl_arena_take(&at->arena, design->band_count, sizeof *grids);
    if (!grids)
        status = fl_fail_memory(error);
    for (size_t i = 0; i < design->band_count && status == FL_OK; i++)
        if (peak_grid(&grids[i], &at->arena, &design->bands[i], &list, i) != FL_OK)
            status = fl_fail_memory(error);
    if (status == FL_OK)
        status = fl_margins_new(&at->margins, design, at->study->groundwork, grids, error);
cleanup:
    fl_peak_list_release(&list);
    return status;
}

/* Quantities that are sized or carry a spread. */
static fl_status collect_unknowns(slopes_at *at, fl_error *error)
{
    const fl_design *design = at->study->design;
    at->unknowns = fl_arena_take(&at->arena, design->quantity_count, sizeof *at->unknowns);
    if (!at->unknowns)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].sized || design->quantities[i].spread_count > 0)
            at->unknowns[at->unknown_count++] = i;
    return FL_OK;
}

/* Rows of the gradient are as long as there are entries; the product is checked for overflow. */
static fl_status take_arrays(slopes_at *at, fl_error *error)
{
    at->entry_count = fl_margins_entry_count(at->margins);
    size_t entries = at->entry_count;
    at->power = fl_arena_take(&at->arena, entries, sizeof *at->power);
    at->value_db = fl_arena_take(&at->arena, entries, sizeof *at->value_db);
    at->factor = fl_arena_take(&at->arena, entries, sizeof *at->factor);
    at->gradient =
        at->unknown_count > SIZE_MAX / sizeof *at->gradient
            ? NULL
            : fl_arena_take(&at->arena, entries, at->unknown_count * sizeof *at->gradient);
    if (!at->power || !at->value_db || !at->factor || !at->gradient)
        return fl_fail_memory(error);
    return fl_work_new(&at->work, at->margins, error);
}

/* Value in dB of an entry, and its derivative with respect to the power: value = -10 log10(x), x
 * the power or the figure of the margin; d value / d power = -10 / ln 10 (dx / d power) / x. */
static void value_entry(slopes_at *at, size_t entry, const fl_requirement *requirement)
{
    double power = at->power[entry], slope = 1.0;
    double x = at->of_return_loss ? power : fl_margin_figure(requirement, power, &slope);
    at->value_db[entry] = fl_loss_db(x);
    /* At the ceiling the value stands still. */
    bool moves = at->value_db[entry] < FL_CEILING_DB;
    at->factor[entry] = moves ? -10.0 / log(10.0) * slope / x : 0.0;
}

/* Entries of requirements that do not count are out of the way at INFINITY. The least value is what
 * changes are counted from. */
static void value_entries(slopes_at *at)
{
    const fl_design *design = at->study->design;
    size_t run_count;
    const fl_run *runs = fl_margins_runs(at->margins, &run_count);
    at->base_db = (double)INFINITY;
    for (size_t run = 0; run < run_count; run++) {
        const fl_requirement *requirement = &design->requirements[runs[run].requirement];
        bool counts = !at->of_return_loss || asks_return_loss(requirement);
        for (size_t i = runs[run].first; i < runs[run].first + runs[run].count; i++) {
            at->value_db[i] = (double)INFINITY;
            if (counts)
                value_entry(at, i, requirement);
            at->base_db = fmin(at->base_db, at->value_db[i]);
        }
    }
}

/* One gradient at the nominal values gives the slopes of all local worsts for all quantities. */
static fl_status find_slopes(slopes_at *at, fl_error *error)
{
    const fl_design *design = at->study->design;
    for (size_t i = 0; i < design->requirement_count; i++)
        if (asks_return_loss(&design->requirements[i]))
            at->of_return_loss = true;
    fl_status status = make_margins(at, error);
    if (status == FL_OK)
        status = collect_unknowns(at, error);
    if (status == FL_OK)
        status = take_arrays(at, error);
    if (status != FL_OK)
        return status;
    const fl_unknowns unknowns = {at->unknowns, at->unknown_count};
    if (!fl_margins_gradient(at->margins, at->work, at->nominal, &unknowns, at->power,
                             at->gradient))
        return fl_fail(error, FL_BAD_INPUT, at->study->design->file,
                       "expected values that make a physical response, found some that do not");
    value_entries(at);
    return FL_OK;
}

static void release(slopes_at *at)
{
    fl_work_free(at->work);
    fl_margins_free(at->margins);
    fl_arena_release(&at->arena);
}

/* Change of the worst value when an unknown moves by a step: each local worst moves along its
 * derivative, and the least of them is the new worst. */
static double change_of(const slopes_at *at, size_t unknown, double step)
{
    const double *gradient = &at->gradient[unknown * at->entry_count];
    double worst = (double)INFINITY;
    for (size_t i = 0; i < at->entry_count; i++)
        if (at->value_db[i] < (double)INFINITY)
            worst = fmin(worst, at->value_db[i] + at->factor[i] * gradient[i] * step);
    return worst - at->base_db;
}

/* Derivatives serve here, as 1 % is small; a sigma may not be, which is why it is computed anew. At
 * a nominal value of 0 a percent is nothing, and so are the changes. */
static void fill_percent(fl_slope *slope, const slopes_at *at, size_t unknown)
{
    double step = PER_CENT * slope->nominal;
    slope->percent_up = change_of(at, unknown, step);
    slope->percent_down = change_of(at, unknown, -step);
    double sum = fabs(slope->percent_up + slope->percent_down);
    bool smooth = sum <= SMOOTH * fmax(fabs(slope->percent_up), fabs(slope->percent_down));
    slope->percent = smooth ? slope->percent_up : fmin(slope->percent_up, slope->percent_down);
}

/* Worst return loss (or margin) over the continuous band. Runs have the same order in all margins
 * of a design. */
static double worst_of(const fl_peaks *peaks, const slopes_at *at)
{
    if (!at->of_return_loss)
        return peaks->margin_db;
    const fl_design *design = at->study->design;
    size_t run_count;
    const fl_run *runs = fl_margins_runs(at->margins, &run_count);
    double worst = (double)INFINITY;
    for (size_t run = 0; run < run_count; run++)
        if (asks_return_loss(&design->requirements[runs[run].requirement]))
            worst = fmin(worst, peaks->worst[run].value_db);
    return worst;
}

/* Worst value with one quantity moved, all computed anew; NAN when it cannot be, which is an answer
 * and no error. quantities are as before at the end. */
static fl_status value_moved(double *value_db, const slopes_at *at, double *quantities,
                             const fl_slope *slope, double step, fl_error *error)
{
    fl_peaks peaks = {0};
    fl_error own;
    quantities[slope->quantity] = slope->nominal + step;
    fl_status status = fl_peaks_find(&peaks, at->study, quantities, &own);
    quantities[slope->quantity] = slope->nominal;
    *value_db = status == FL_OK ? worst_of(&peaks, at) : (double)NAN;
    fl_peaks_release(&peaks);
    if (status == FL_BAD_INPUT)
        return FL_OK;
    if (status != FL_OK && error)
        *error = own;
    return status;
}

/* Everything of one row but its share of variance. */
static fl_status fill_slope(fl_slope *slope, const slopes_at *at, size_t unknown,
                            double *quantities, fl_error *error)
{
    const fl_quantity *quantity = &at->study->design->quantities[at->unknowns[unknown]];
    fill_percent(slope, at, unknown);
    if (quantity->spread_count == 0)
        return FL_OK;
    double up, down;
    fl_status status = value_moved(&up, at, quantities, slope, slope->sigma, error);
    if (status == FL_OK)
        status = value_moved(&down, at, quantities, slope, -slope->sigma, error);
    if (status != FL_OK)
        return status;
    slope->sigma_up = up - at->base_db;
    slope->sigma_down = down - at->base_db;
    slope->per_sigma = fmin(slope->sigma_up, slope->sigma_down); /* NAN only if both are */
    return FL_OK;
}

/* Rows done so far stand when the study is stopped. */
static fl_status fill_slopes(fl_sensing *sensing, const slopes_at *at, fl_error *error)
{
    const fl_study *study = at->study;
    const fl_design *design = study->design;
    fl_arena *arena = &sensing->arena;
    sensing->slopes = fl_arena_take(arena, at->unknown_count, sizeof *sensing->slopes);
    double *quantities = fl_arena_take(arena, design->quantity_count, sizeof *quantities);
    if (!sensing->slopes || !quantities)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++)
        quantities[i] = at->nominal[i];
    fl_status status = FL_OK;
    for (size_t i = 0; i < at->unknown_count && status == FL_OK && !sensing->interrupted; i++) {
        size_t own = at->unknowns[i];
        sensing->slopes[i] = (fl_slope){
            .quantity = own,
            .nominal = at->nominal[own],
            .sigma = fl_quantity_sigma(&design->quantities[own], at->nominal[own]),
            .sigma_up = (double)NAN,
            .sigma_down = (double)NAN,
            .per_sigma = (double)NAN,
            .share = (double)NAN,
        };
        status = fill_slope(&sensing->slopes[i], at, i, quantities, error);
        sensing->count = i + 1;
        double done = (double)sensing->count / (double)at->unknown_count;
        if (fl_study_stopped(study, "sensitivity", done))
            sensing->interrupted = sensing->count < at->unknown_count;
    }
    return status;
}

/* Quantities that are sized and do not spread have no share, which stays NAN. */
static void copy_shares(fl_sensing *sensing, const fl_yielding *yielding)
{
    for (size_t i = 0; i < sensing->count; i++)
        for (size_t k = 0; k < yielding->shift_count; k++)
            if (yielding->shifts[k].quantity == sensing->slopes[i].quantity)
                sensing->slopes[i].share = yielding->shifts[k].share;
}

/* Samples of the shares when those of the study are for something else. */
enum { SHARE_SAMPLES = 100000 };

/* The shares need production samples, which the sensitivities do not: a yield is run for them when
 * none is given, or one of weighted samples. Memory is saved by keeping no samples; those of a plan
 * would only tell less than as many without one. */
static fl_status fill_shares(fl_sensing *sensing, const slopes_at *at, const fl_yielding *yielding,
                             fl_error *error)
{
    bool any = false;
    for (size_t i = 0; i < sensing->count; i++)
        any = any || at->study->design->quantities[sensing->slopes[i].quantity].spread_count > 0;
    if (!any || sensing->interrupted)
        return FL_OK;
    if (yielding && !at->study->rare) {
        copy_shares(sensing, yielding);
        return FL_OK;
    }
    fl_yielding own;
    fl_study study = *at->study;
    study.kept = 0;
    if ((study.plan.wafers > 0 || study.precision > 0.0 || study.rare) &&
        study.samples > SHARE_SAMPLES)
        study.samples = SHARE_SAMPLES;
    study.plan.wafers = 0;
    study.precision = 0.0;
    study.rare = false;
    fl_status status = fl_yielding_run(&own, &study, at->nominal, error);
    if (status == FL_OK) {
        copy_shares(sensing, &own);
        sensing->interrupted = own.interrupted;
    }
    fl_yielding_release(&own);
    return status;
}

/* Size of an effect; none known counts as none. */
static double size_of(double effect)
{
    return isnan(effect) ? 0.0 : fabs(effect);
}

/* By the effect of a sigma, then of a percent, then in the order of the design, so that no two rows
 * are equal. */
static int by_effect(const void *left, const void *right)
{
    const fl_slope *a = left, *b = right;
    double sigma_a = size_of(a->per_sigma), sigma_b = size_of(b->per_sigma);
    if (sigma_a != sigma_b)
        return sigma_a < sigma_b ? 1 : -1;
    double percent_a = size_of(a->percent), percent_b = size_of(b->percent);
    if (percent_a != percent_b)
        return percent_a < percent_b ? 1 : -1;
    return (a->quantity > b->quantity) - (a->quantity < b->quantity);
}

fl_status fl_sensing_run(fl_sensing *sensing, const fl_study *study, const double *nominal,
                         const fl_yielding *yielding, fl_error *error)
{
    slopes_at at = {.study = study, .nominal = nominal};
    *sensing = (fl_sensing){0};
    fl_arena_init(&sensing->arena);
    fl_arena_init(&at.arena);
    fl_status status = find_slopes(&at, error);
    if (status == FL_OK)
        status = fill_slopes(sensing, &at, error);
    if (status == FL_OK)
        status = fill_shares(sensing, &at, yielding, error);
    if (status != FL_OK)
        goto cleanup;
    sensing->base_db = at.base_db;
    qsort(sensing->slopes, sensing->count, sizeof *sensing->slopes, by_effect);
cleanup:
    release(&at);
    return status;
}

void fl_sensing_release(fl_sensing *sensing)
{
    fl_arena_release(&sensing->arena);
    sensing->slopes = NULL;
    sensing->count = 0;
}
