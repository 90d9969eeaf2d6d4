/* The frequencies at which a search looks, and the scratch memory of its threads. */
#include "studies/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Constraints times unknowns: three blocks of as many doubles a thread. */
static const double most_products = 1e7;

/* For qsort: rising. */
static int compare_frequencies(const void *a, const void *b)
{
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

/* All that a descent needs is taken here, before any loop. */
static fl_status take_walker(fl_walker *walker, fl_probe *probe, fl_error *error)
{
    size_t n = probe->search->count, m = probe->entry_count;
    fl_arena *arena = &probe->arena;
    walker->quantities =
        fl_arena_take(arena, probe->search->study->design->quantity_count, sizeof(double));
    walker->power = fl_arena_take(arena, m, sizeof(double));
    walker->gradient = fl_arena_take(arena, n * m, sizeof(double));
    walker->figures = fl_arena_take(arena, m, sizeof(double));
    walker->slopes = fl_arena_take(arena, m, sizeof(double));
    walker->seen = fl_arena_take(arena, m, sizeof(size_t));
    walker->slack = fl_arena_take(arena, m, sizeof(double));
    walker->best = fl_arena_take(arena, n, sizeof(double));
    walker->point = fl_arena_take(arena, n + 1, sizeof(double));
    walker->bounds = fl_arena_take(arena, 2 * (n + 1), sizeof(double));
    walker->moving = fl_arena_take(arena, n, sizeof(size_t));
    walker->indices = fl_arena_take(arena, n, sizeof(size_t));
    if (walker->quantities == NULL || walker->power == NULL || walker->gradient == NULL ||
        walker->figures == NULL || walker->slopes == NULL || walker->seen == NULL ||
        walker->slack == NULL || walker->best == NULL || walker->point == NULL ||
        walker->bounds == NULL || walker->moving == NULL || walker->indices == NULL)
        return fl_fail_memory(error);
    return fl_work_new(&walker->work, probe->margins, error);
}

/* Margins and walkers for the grids. */
static fl_status complete(fl_probe *probe, fl_error *error)
{
    fl_search *search = probe->search;
    const fl_study *study = search->study;
    fl_status status =
        fl_margins_new(&probe->margins, study->design, study->groundwork, probe->grids, error);
    if (status != FL_OK)
        return status;
    probe->entry_count = fl_margins_entry_count(probe->margins);
    if ((double)probe->entry_count * (double)(search->count + 1) > most_products)
        return fl_fail(error, FL_BAD_INPUT, study->design->file,
                       "%zu values to size at %zu frequencies of all cases and requirements are "
                       "more than fit in memory",
                       search->count, probe->entry_count);
    size_t threads = (size_t)study->threads;
    probe->walkers = fl_arena_take(&probe->arena, threads, sizeof *probe->walkers);
    if (probe->walkers == NULL)
        return fl_fail_memory(error);
    status = fl_margins_fold(probe->margins, search->present,
                             &(fl_unknowns){search->unknowns, search->count}, error);
    for (size_t i = 0; i < threads && status == FL_OK; i++) {
        probe->walker_count = i + 1;
        status = take_walker(&probe->walkers[i], probe, error);
    }
    return status;
}

/* A probe that owns nothing yet, so that release may follow any failure. */
static void probe_init(fl_probe *probe, fl_search *search)
{
    *probe = (fl_probe){.search = search};
    fl_arena_init(&probe->arena);
}

/* Release may follow at any point: what is not yet there is NULL or counted as none. */
fl_status fl_probe_new(fl_probe *probe, fl_search *search, size_t points, fl_error *error)
{
    const fl_design *design = search->study->design;
    probe_init(probe, search);
    probe->grids = fl_band_grids(&probe->arena, design, points);
    return probe->grids ? complete(probe, error) : fl_fail_memory(error);
}

/* The walkers' counts go into the search's: sums of whole numbers, in any order the same. */
void fl_probe_release(fl_probe *probe)
{
    for (size_t i = 0; i < probe->walker_count; i++) {
        probe->search->evaluations += probe->walkers[i].evaluations;
        fl_work_free(probe->walkers[i].work);
    }
    fl_margins_free(probe->margins);
    fl_arena_release(&probe->arena);
    probe->margins = NULL;
    probe->walker_count = 0;
}

/* Peaks of several runs fall together, and on points of the grid. */
static size_t drop_repeated(double *sorted, size_t count)
{
    static const double same = 1e-12; /* relative */
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || sorted[i] - sorted[kept - 1] > same * sorted[i])
            sorted[kept++] = sorted[i];
    return kept;
}

/* The old grid of one band with the peaks of that band. */
static fl_status merge(fl_grid *merged, fl_arena *arena, const fl_grid *old, size_t band,
                       const fl_peak_list *peaks)
{
    double *frequencies = fl_arena_take(arena, old->count + peaks->count, sizeof *frequencies);
    if (frequencies == NULL)
        return FL_NO_MEMORY;
    memcpy(frequencies, old->frequencies, old->count * sizeof *frequencies);
    size_t count = old->count;
    for (size_t i = 0; i < peaks->count; i++)
        if (peaks->peaks[i].band == band)
            frequencies[count++] = peaks->peaks[i].frequency;
    qsort(frequencies, count, sizeof *frequencies, compare_frequencies);
    *merged = (fl_grid){.frequencies = frequencies, .count = drop_repeated(frequencies, count)};
    return FL_OK;
}

/* Made beside the old one, which stays whole if memory runs out. */
fl_status fl_probe_extend(fl_probe *probe, const fl_peak_list *peaks, fl_error *error)
{
    fl_probe next;
    fl_status status = FL_OK;
    size_t bands = probe->search->study->design->band_count;
    probe_init(&next, probe->search);
    next.grids = fl_arena_take(&next.arena, bands, sizeof *next.grids);
    if (next.grids == NULL)
        status = fl_fail_memory(error);
    for (size_t i = 0; i < bands && status == FL_OK; i++)
        if (merge(&next.grids[i], &next.arena, &probe->grids[i], i, peaks) != FL_OK)
            status = fl_fail_memory(error);
    if (status == FL_OK)
        status = complete(&next, error);
    if (status != FL_OK) {
        fl_probe_release(&next);
        return status;
    }
    fl_probe_release(probe);
    *probe = next;
    return FL_OK;
}

const fl_requirement *fl_probe_asked(const fl_probe *probe, const fl_run *run)
{
    return &probe->search->study->design->requirements[run->requirement];
}

/* The figure of each run's worst entry alone. One that is not finite makes the point useless. */
double fl_probe_figure(const fl_probe *probe, fl_walker *walker, const double *values)
{
    size_t count = 0;
    const fl_run *runs = fl_margins_runs(probe->margins, &count);
    fl_search_quantities(probe->search, values, walker->quantities);
    walker->evaluations++;
    if (!fl_margins_power(probe->margins, walker->work, walker->quantities, walker->power))
        return HUGE_VAL;
    double worst = 0.0;
    for (size_t i = 0; i < count; i++) {
        const fl_requirement *asked = fl_probe_asked(probe, &runs[i]);
        const size_t entry = fl_run_worst_entry(&runs[i], asked, walker->power);
        const double figure = fl_margin_figure(asked, walker->power[entry], NULL);
        if (!isfinite(figure))
            return HUGE_VAL;
        worst = fmax(worst, figure);
    }
    return worst;
}

/* The figure is 10^(-margin / 10). */
double fl_figure_margin(double figure)
{
    double margin_db = figure > 0.0 ? -10.0 * log10(figure) : FL_CEILING_DB;
    return margin_db < FL_CEILING_DB ? margin_db : FL_CEILING_DB;
}
