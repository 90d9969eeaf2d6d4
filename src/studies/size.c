/* The main job: sizes a design for the best worst margin over band, requirements and cases. */
#include "studies/search.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

/* Frequencies in a band: while looking around, and when it counts. What lies between is looked up
 * at the end. */
enum { COARSE_POINTS = 21, FULL_LEAST = 61, FULL_MOST = 401 };

/* How many of the coarse search's ends go on to the full grid, and of those to the polish. */
enum { FULL_COUNT = 12, POLISH_COUNT = 3 };

/* Two points are one when no value differs by more than this share of its range. */
static const double same_place = 1e-3;

/* A value this share of its range from an end is at the end. */
static const double at_end = 1e-6;

/* Ever closer descents on ever fewer points. Tolerances are of the point, relative. */
static const fl_descent coarse_descent = {
    .tolerance = 1e-4, .evaluations = 200, .rounds = 1, .stretch = 7};
static const fl_descent full_descent = {
    .tolerance = 1e-6, .evaluations = 300, .rounds = 2, .stretch = 8};
static const fl_descent last_descent = {.tolerance = 1e-9, .evaluations = 500, .rounds = 6};

/* Many starts end in one valley. */
static bool same(const fl_search *search, const double *a, const double *b)
{
    for (size_t i = 0; i < search->count; i++)
        if (fabs(a[i] - b[i]) > same_place * (search->high[i] - search->low[i]))
            return false;
    return true;
}

/* Moves the best distinct candidates to the front; returns how many, at most room. */
static size_t pick_distinct(fl_candidate *sorted, size_t count, const fl_search *search,
                            size_t room)
{
    size_t kept = 0;
    for (size_t i = 0; i < count && kept < room; i++) {
        bool fresh = true;
        for (size_t k = 0; k < kept && fresh; k++)
            fresh = !same(search, sorted[i].values, sorted[k].values);
        if (!fresh)
            continue;
        fl_candidate swapped = sorted[kept];
        sorted[kept] = sorted[i];
        sorted[i] = swapped;
        kept++;
    }
    return kept;
}

/* Sorted later: each candidate keeps its index. */
static fl_status make_starts(fl_candidate **starts, size_t *count, fl_arena *arena,
                             const fl_search *search, fl_error *error)
{
    *count = fl_starts_count(search->count);
    *starts = fl_candidates_new(arena, *count, search->count);
    if (*starts == NULL)
        return fl_fail_memory(error);
    /* the values of candidates lie in one block */
    return fl_starts_fill((*starts)[0].values, *count, search, error);
}

/* Descends from all starts on few frequencies; the ends are sorted. What narrow peaks there are
 * between the frequencies is of no matter yet: a valley is found, not its floor. */
static fl_status look_around(fl_search *search, fl_candidate *starts, size_t count, fl_error *error)
{
    fl_probe probe;
    fl_status status = fl_probe_new(&probe, search, COARSE_POINTS, error);
    if (status == FL_OK) {
        fl_descent descent = coarse_descent;
        descent.probe = &probe;
        fl_search_loop(search, "sizing", 0.0, 0.8, count);
        status = fl_descend_all(&descent, starts, count, error);
        fl_candidates_sort(starts, count);
    }
    fl_probe_release(&probe);
    return status;
}

/* The polish adds the frequencies that matter: more points of a grid only cost time. */
static size_t full_points(const fl_design *design)
{
    if (design->points < FULL_LEAST)
        return FULL_LEAST;
    return design->points < FULL_MOST ? design->points : FULL_MOST;
}

/* Polishes the first few points; values become the best over the continuous band. The first is
 * polished even after a stop, as a margin is needed; its descent then ends at once. */
static fl_status polish_best(fl_probe *probe, fl_candidate *points, size_t count, double *values,
                             double *margin_db, fl_error *error)
{
    fl_search *search = probe->search;
    fl_status status = FL_OK;
    fl_descent descent = last_descent;
    descent.probe = probe;
    *margin_db = -HUGE_VAL;
    fl_search_loop(search, "sizing", 0.9, 1.0, count);
    for (size_t i = 0; i < count && status == FL_OK; i++) {
        double found_db = -HUGE_VAL;
        if (i > 0 && fl_search_stopped(search))
            break;
        status = fl_polish(&descent, points[i].values, &found_db, error);
        if (status == FL_OK && found_db > *margin_db) {
            *margin_db = found_db;
            memcpy(values, points[i].values, search->count * sizeof *values);
        }
        fl_search_step(search);
    }
    return status;
}

/* The best free values, from all starts: coarse, full, polished. A stop skips the full descents. */
static fl_status size_free(fl_probe *probe, fl_candidate *starts, size_t count, double *values,
                           double *margin_db, fl_error *error)
{
    fl_search *search = probe->search;
    fl_status status = look_around(search, starts, count, error);
    if (status != FL_OK)
        return status;
    size_t kept = pick_distinct(starts, count, search, FULL_COUNT);
    fl_descent descent = full_descent;
    descent.probe = probe;
    fl_search_loop(search, "sizing", 0.8, 0.9, kept);
    if (!fl_search_stopped(search)) {
        status = fl_descend_all(&descent, starts, kept, error);
        fl_candidates_sort(starts, kept);
        kept = pick_distinct(starts, kept, search, POLISH_COUNT);
    }
    if (status != FL_OK)
        return status;
    kept = kept < POLISH_COUNT ? kept : POLISH_COUNT;
    return polish_best(probe, starts, kept, values, margin_db, error);
}

/* Bound at which one chosen value stands: an end of its range, or the last multiple of its grid
 * within it. Where the search would have it freely does not count: a reader who sees a value at an
 * end wants to be told. */
static fl_bound bound_of(const fl_quantity *quantity, double chosen)
{
    double slack = at_end * (quantity->high - quantity->low);
    double low = quantity->low, high = quantity->high, first, last;
    if (quantity->grid > 0.0 &&
        fl_grid_range(&first, &last, quantity->grid, quantity->low, quantity->high)) {
        low = fl_grid_multiple(quantity->grid, first);
        high = fl_grid_multiple(quantity->grid, last);
    }
    if (chosen <= low + slack)
        return FL_BOUND_LOW;
    return chosen >= high - slack ? FL_BOUND_HIGH : FL_BOUND_NONE;
}

/* Before the search, so that placing cannot fail for it. */
static fl_status check_grids(const fl_search *search, fl_error *error)
{
    for (size_t i = 0; i < search->count; i++) {
        const fl_quantity *quantity = &search->study->design->quantities[search->unknowns[i]];
        double first, last;
        if (quantity->grid > 0.0 &&
            !fl_grid_range(&first, &last, quantity->grid, quantity->low, quantity->high))
            return fl_fail(error, FL_BAD_INPUT, quantity->place,
                           "expected a multiple of the grid of '%s' within its range, found none",
                           quantity->name);
    }
    return FL_OK;
}

/* Quantities that are not sized keep their present values. */
static void record(fl_sizing *sizing, const fl_search *search, const double *values)
{
    const fl_quantity *quantities = search->study->design->quantities;
    fl_search_quantities(search, values, sizing->quantities);
    for (size_t i = 0; i < search->count; i++) {
        size_t index = search->unknowns[i];
        sizing->bounds[index] = bound_of(&quantities[index], values[i]);
    }
}

/* Sizes, with at least one unknown: freely first, then on the grids. A placed point that turns out
 * better than the free one shows that the free one was not the best; the margin told is then the
 * better of the two. */
static fl_status size(fl_sizing *sizing, fl_search *search, fl_error *error)
{
    fl_arena scratch;
    fl_probe probe;
    fl_candidate *starts = NULL;
    size_t n = search->count;
    double free_db = -HUGE_VAL, placed_db = -HUGE_VAL;
    fl_arena_init(&scratch);
    double *values = fl_arena_take(&scratch, n, sizeof *values);
    double *freely = fl_arena_take(&scratch, n, sizeof *freely);
    fl_status status = fl_probe_new(&probe, search, full_points(search->study->design), error);
    if (status == FL_OK && (values == NULL || freely == NULL))
        status = fl_fail_memory(error);
    if (status == FL_OK)
        status = make_starts(&starts, &sizing->starts, &scratch, search, error);
    if (status == FL_OK)
        status = size_free(&probe, starts, sizing->starts, freely, &free_db, error);
    if (status != FL_OK)
        goto cleanup;
    memcpy(values, freely, n * sizeof *values);
    placed_db = free_db;
    if (fl_search_gridded(search))
        status = fl_place(&probe, values, &placed_db, error);
    if (status != FL_OK)
        goto cleanup;
    record(sizing, search, values);
    sizing->margin_db = placed_db;
    sizing->free_margin_db = fmax(free_db, placed_db);
cleanup:
    fl_probe_release(&probe);
    fl_arena_release(&scratch);
    return status;
}

/* Nothing to size: the present values and their margin. */
static fl_status keep_present(fl_sizing *sizing, const fl_search *search, fl_error *error)
{
    fl_peaks peaks;
    fl_search_quantities(search, NULL, sizing->quantities);
    fl_status status = fl_peaks_find(&peaks, search->study, sizing->quantities, error);
    if (status == FL_OK)
        sizing->margin_db = sizing->free_margin_db = peaks.margin_db;
    fl_peaks_release(&peaks);
    return status;
}

/* The error handler of the library would end the program: it is off before threads begin. */
fl_status fl_sizing_run(fl_sizing *sizing, const fl_study *study, fl_error *error)
{
    fl_search search;
    size_t count = study->design->quantity_count;
    *sizing = (fl_sizing){.quantities = NULL};
    fl_arena_init(&sizing->arena);
    gsl_set_error_handler_off();
    fl_status status = fl_search_init(&search, study, error);
    if (status != FL_OK)
        goto cleanup;
    sizing->quantities = fl_arena_take(&sizing->arena, count, sizeof *sizing->quantities);
    sizing->bounds = fl_arena_take(&sizing->arena, count, sizeof *sizing->bounds);
    if (sizing->quantities == NULL || sizing->bounds == NULL)
        status = fl_fail_memory(error);
    if (status == FL_OK)
        status = check_grids(&search, error);
    if (status == FL_OK)
        status =
            search.count > 0 ? size(sizing, &search, error) : keep_present(sizing, &search, error);
    sizing->evaluations = (size_t)search.evaluations;
    sizing->interrupted = fl_search_stopped(&search);
cleanup:
    fl_search_release(&search);
    return status;
}

void fl_sizing_release(fl_sizing *sizing)
{
    fl_arena_release(&sizing->arena);
    sizing->quantities = NULL;
    sizing->bounds = NULL;
}
