/* Placing of sized values on the grids that a process can make. */
#include "studies/search.h"

#include <math.h>
#include <omp.h>
#include <stdlib.h>
#include <string.h>

/* Points kept from one value placed to the next; grid points tried around each free value, more of
 * them while they are few. */
enum { BEAM = 4, NEAR_TRIES = 2, WIDE_TRIES = 4, FEW_AXES = 4, MANY_AXES = 16 };

/* Multiples of each axis that are tried over its whole range, about this many in all; how many of
 * those that promise more than the best placed point are placed in full, each one more than all of
 * the beam's work where axes are many. */
enum { SCAN_ALL = 96, SCAN_LEAST = 4, SCAN_MOST = 32, MOST_SEEDS = 24, FEW_SEEDS = 4 };
/* Axes up to which many seeds are placed. */
enum { SEED_AXES = 8 };

/* A loss this small is not worth a scan. */
static const double worth_db = 0.05;

/* Bounds on work that in practice ends far sooner. */
enum { MOST_WALKS = 60, MOST_TURNS = 4 };

/* A neighbour must be better by this share of the figure. */
static const double least_gain = 1e-12;

/* The probe's word holds when the continuous band is no worse than this. */
static const double true_db = 1e-4;

/* An unknown that has a grid. */
typedef struct fl_axis {
    size_t unknown;
    double step, first, last; /* multiples of the step */
    double stiffness;         /* figure a step away from the free values */
} fl_axis;

typedef struct fl_placing {
    fl_arena arena;
    fl_probe *probe;
    fl_search *search; /* the probe's */
    fl_axis *axes;     /* stiffest first */
    size_t axis_count;
    bool *held;              /* [search->count] placed already */
    fl_moves moves;          /* to the neighbours of a placed point */
    fl_descent descent;      /* of the values that are free while others are held */
    fl_candidate beam[BEAM]; /* best first */
    size_t beam_count;
    size_t beam_most;  /* at most BEAM */
    fl_candidate best; /* placed point */
} fl_placing;

/* The quantity behind an unknown. */
static const fl_quantity *quantity_of(const fl_search *search, size_t unknown)
{
    return &search->study->design->quantities[search->unknowns[unknown]];
}

/* Ranges without a multiple were refused before the search began. */
static void axis_set(fl_axis *axis, const fl_search *search, size_t unknown)
{
    *axis = (fl_axis){.unknown = unknown, .step = quantity_of(search, unknown)->grid};
    (void)fl_grid_range(&axis->first, &axis->last, axis->step, search->low[unknown],
                        search->high[unknown]);
}

/* A step over the end of the range stays at the last multiple. */
static double axis_value(const fl_axis *axis, double k)
{
    return fl_grid_multiple(axis->step, fmin(fmax(k, axis->first), axis->last));
}

bool fl_search_gridded(const fl_search *search)
{
    for (size_t i = 0; i < search->count; i++)
        if (quantity_of(search, i)->grid > 0.0)
            return true;
    return false;
}

void fl_place_nearest(const fl_search *search, double *values)
{
    for (size_t i = 0; i < search->count; i++) {
        fl_axis axis;
        if (!(quantity_of(search, i)->grid > 0.0))
            continue;
        axis_set(&axis, search, i);
        values[i] = axis_value(&axis, round(values[i] / axis.step));
    }
}

/* The stiffest value is placed first: the others are still free to make up for it. */
static int compare_axes(const void *a, const void *b)
{
    const fl_axis *x = a, *y = b;
    if (x->stiffness != y->stiffness)
        return x->stiffness > y->stiffness ? -1 : 1;
    return (x->unknown > y->unknown) - (x->unknown < y->unknown);
}

/* By the figure one step away on either side, the others unmoved. */
static void measure_stiffness(fl_placing *placing, double *values)
{
    fl_walker *walker = &placing->probe->walkers[0];
    for (size_t i = 0; i < placing->axis_count; i++) {
        fl_axis *axis = &placing->axes[i];
        double kept = values[axis->unknown];
        for (int side = -1; side <= 1; side += 2) {
            values[axis->unknown] = kept + side * axis->step;
            double figure = fl_probe_figure(placing->probe, walker, values);
            axis->stiffness = fmax(axis->stiffness, figure);
        }
        values[axis->unknown] = kept;
    }
    qsort(placing->axes, placing->axis_count, sizeof *placing->axes, compare_axes);
}

/* The free values are the first point of the beam. With many axes the beam is one point wide, as
 * each point of it costs descents at every axis. */
static fl_status placing_init(fl_placing *placing, fl_probe *probe, double *values, fl_error *error)
{
    fl_search *search = probe->search;
    size_t n = search->count;
    *placing = (fl_placing){.probe = probe, .search = search};
    fl_arena_init(&placing->arena);
    placing->axes = fl_arena_take(&placing->arena, n, sizeof *placing->axes);
    placing->held = fl_arena_take(&placing->arena, n, sizeof *placing->held);
    fl_candidate *points = fl_candidates_new(&placing->arena, BEAM + 1, n);
    if (placing->axes == NULL || placing->held == NULL || points == NULL)
        return fl_fail_memory(error);
    memcpy(placing->beam, points, sizeof placing->beam);
    placing->best = points[BEAM];
    for (size_t i = 0; i < n; i++)
        if (quantity_of(search, i)->grid > 0.0)
            axis_set(&placing->axes[placing->axis_count++], search, i);
    placing->beam_most = placing->axis_count <= MANY_AXES ? BEAM : 1;
    placing->moves = fl_moves_of(placing->axis_count, placing->axis_count < n);
    placing->descent = (fl_descent){.probe = probe,
                                    .held = placing->held,
                                    .tolerance = 1e-5,
                                    .evaluations = 60,
                                    .rounds = 2,
                                    .stretch = 8};
    measure_stiffness(placing, values);
    memcpy(placing->beam[0].values, values, n * sizeof *values);
    placing->beam_count = 1;
    return FL_OK;
}

/* If nothing is of use the beam stays as it was. */
static void keep_beam(fl_placing *placing, const fl_candidate *sorted, size_t count)
{
    size_t kept = 0;
    for (size_t i = 0; i < count && kept < placing->beam_most && isfinite(sorted[i].figure); i++) {
        fl_candidate *into = &placing->beam[kept++];
        memcpy(into->values, sorted[i].values, placing->search->count * sizeof(double));
        into->figure = sorted[i].figure;
    }
    if (kept > 0)
        placing->beam_count = kept;
}

/* Places one more value: the grid points around it, below first, the values still free sized anew.
 * The best of all points of the beam make the next beam. Stopped, the beam stays unplaced. */
static fl_status place_axis(fl_placing *placing, const fl_axis *axis, size_t tries, fl_error *error)
{
    static const double around[WIDE_TRIES] = {0.0, 1.0, -1.0, 2.0};
    size_t n = placing->search->count, count = placing->beam_count * tries;
    fl_arena scratch;
    fl_arena_init(&scratch);
    fl_candidate *candidates = fl_candidates_new(&scratch, count, n);
    if (candidates == NULL) {
        fl_arena_release(&scratch);
        return fl_fail_memory(error);
    }
    for (size_t i = 0; i < count; i++) {
        const double *values = placing->beam[i / tries].values;
        double below = floor(values[axis->unknown] / axis->step);
        memcpy(candidates[i].values, values, n * sizeof *values);
        candidates[i].values[axis->unknown] = axis_value(axis, below + around[i % tries]);
    }
    placing->held[axis->unknown] = true;
    fl_status status = fl_descend_all(&placing->descent, candidates, count, error);
    if (status == FL_OK && !fl_search_stopped(placing->search)) {
        fl_candidates_sort(candidates, count);
        keep_beam(placing, candidates, count);
    }
    fl_arena_release(&scratch);
    return status;
}

/* Places all that is not held yet, stiffest first. After a stop all values go to their nearest
 * multiples, so that what is returned can be made in any case. */
static fl_status place_all(fl_placing *placing, fl_error *error)
{
    fl_status status = FL_OK;
    size_t tries = placing->axis_count <= FEW_AXES ? WIDE_TRIES : NEAR_TRIES;
    for (size_t i = 0; i < placing->axis_count && status == FL_OK; i++)
        if (!placing->held[placing->axes[i].unknown])
            status = place_axis(placing, &placing->axes[i], tries, error);
    if (!fl_search_stopped(placing->search))
        return status;
    for (size_t i = 0; i < placing->beam_count; i++)
        fl_place_nearest(placing->search, placing->beam[i].values);
    return status;
}

/* A move past the end of a range repeats a nearer neighbour, which does no harm. */
static void set_neighbours(fl_candidate *candidates, const fl_placing *placing,
                           const double *values, long *steps)
{
    for (size_t i = 0; i < placing->moves.count; i++) {
        memcpy(candidates[i].values, values, placing->search->count * sizeof *values);
        candidates[i].figure = HUGE_VAL;
        candidates[i].index = i;
        fl_move(steps, &placing->moves, i);
        for (size_t k = 0; k < placing->axis_count; k++) {
            const fl_axis *axis = &placing->axes[k];
            double at = round(values[axis->unknown] / axis->step);
            candidates[i].values[axis->unknown] = axis_value(axis, at + (double)steps[k]);
        }
    }
}

/* Steps to the best neighbour until none is better. All neighbours are judged before a step, so
 * that the walk does not depend on threads; it ends, as the figure falls with each step. */
static fl_status walk(fl_placing *placing, fl_candidate *point, fl_error *error)
{
    fl_status status = FL_OK;
    fl_arena scratch;
    fl_arena_init(&scratch);
    size_t n = placing->search->count;
    long *steps = fl_arena_take(&scratch, placing->axis_count, sizeof *steps);
    fl_candidate *candidates = fl_candidates_new(&scratch, placing->moves.count, n);
    if (steps == NULL || candidates == NULL)
        status = fl_fail_memory(error);
    for (int i = 0; i < MOST_WALKS && status == FL_OK; i++) {
        set_neighbours(candidates, placing, point->values, steps);
        status = fl_descend_all(&placing->descent, candidates, placing->moves.count, error);
        fl_candidates_sort(candidates, placing->moves.count);
        if (!(candidates[0].figure < point->figure * (1.0 - least_gain)))
            break;
        memcpy(point->values, candidates[0].values, n * sizeof(double));
        point->figure = candidates[0].figure;
        if (fl_search_stopped(placing->search))
            break;
    }
    fl_arena_release(&scratch);
    return status;
}

/* Walks from a point whose figure is not known on this probe: the probe may have grown. */
static fl_status begin_walk(fl_placing *placing, fl_candidate *point, fl_error *error)
{
    fl_walker *walker = &placing->probe->walkers[0];
    if (fl_descend(&placing->descent, walker, point->values, &point->figure) != FL_OK)
        return fl_fail_memory(error);
    return walk(placing, point, error);
}

/* Points of the beam may end in different valleys. */
static fl_status walk_beam(fl_placing *placing, fl_error *error)
{
    fl_status status = FL_OK;
    for (size_t i = 0; i < placing->beam_count && status == FL_OK; i++) {
        placing->beam[i].index = i;
        status = begin_walk(placing, &placing->beam[i], error);
    }
    fl_candidates_sort(placing->beam, placing->beam_count);
    return status;
}

/* The beam is sorted: its first point stands for all. The first point of all is taken whatever it
 * is, as something has to be returned. */
static void take_better(fl_placing *placing)
{
    const fl_candidate *point = &placing->beam[0];
    if (isfinite(placing->best.figure) && !(point->figure < placing->best.figure))
        return;
    memcpy(placing->best.values, point->values, placing->search->count * sizeof(double));
    placing->best.figure = point->figure;
}

/* Sizes the others anew at multiples over the whole range of every axis: the figures tell how good
 * a point placed there may become. */
static fl_status scan(fl_placing *placing, fl_candidate *seeds, size_t per_axis,
                      const double *freely, fl_error *error)
{
    fl_status status = FL_OK;
    size_t n = placing->search->count;
    for (size_t i = 0; i < placing->axis_count && status == FL_OK; i++) {
        const fl_axis *axis = &placing->axes[i];
        double stride = (axis->last - axis->first) / (double)(per_axis - 1);
        memset(placing->held, 0, n * sizeof *placing->held);
        placing->held[axis->unknown] = true;
        for (size_t j = 0; j < per_axis; j++) {
            double *values = seeds[i * per_axis + j].values;
            memcpy(values, freely, n * sizeof *values);
            values[axis->unknown] = axis_value(axis, round(axis->first + stride * (double)j));
        }
        status = fl_descend_all(&placing->descent, seeds + i * per_axis, per_axis, error);
    }
    return status;
}

/* From a value placed anywhere in its range to a placed point, and downhill from there. The seed's
 * index tells which axis is placed. */
static fl_status place_seed(fl_placing *placing, const fl_candidate *seed, size_t per_axis,
                            fl_error *error)
{
    size_t n = placing->search->count;
    memset(placing->held, 0, n * sizeof *placing->held);
    placing->held[placing->axes[seed->index / per_axis].unknown] = true;
    memcpy(placing->beam[0].values, seed->values, n * sizeof(double));
    placing->beam_count = 1;
    fl_status status = place_all(placing, error);
    placing->beam_count = 1;
    if (status != FL_OK || fl_search_stopped(placing->search))
        return status;
    status = walk_beam(placing, error);
    take_better(placing);
    return status;
}

/* Descents of the places around a point, and of a walk of two steps from it. */
static size_t guess_steps(const fl_placing *placing, size_t points)
{
    const size_t tries = placing->axis_count <= FEW_AXES ? WIDE_TRIES : NEAR_TRIES;
    return points * (placing->axis_count * tries + 2 * placing->moves.count);
}

/* Values that make up for each other leave valleys, along which the best point of the lattice may
 * lie far from the best free one. Seeds are tried best first, and only those that promise more than
 * the best placed point has: placing more values only makes them worse. */
static fl_status explore(fl_placing *placing, const double *freely, fl_error *error)
{
    size_t per_axis = SCAN_ALL / placing->axis_count;
    fl_arena scratch;
    fl_arena_init(&scratch);
    per_axis = per_axis < SCAN_LEAST ? SCAN_LEAST : per_axis;
    per_axis = per_axis > SCAN_MOST ? SCAN_MOST : per_axis;
    size_t count = per_axis * placing->axis_count;
    fl_candidate *seeds = fl_candidates_new(&scratch, count, placing->search->count);
    if (seeds == NULL) {
        fl_arena_release(&scratch);
        return fl_fail_memory(error);
    }
    fl_search_loop(placing->search, "placing", 0.3, 0.6, count);
    fl_status status = scan(placing, seeds, per_axis, freely, error);
    fl_candidates_sort(seeds, count);
    size_t most = placing->axis_count <= SEED_AXES ? MOST_SEEDS : FEW_SEEDS;
    for (size_t i = 0; i < count && i < most && status == FL_OK; i++) {
        if (!(seeds[i].figure < placing->best.figure) || fl_search_stopped(placing->search))
            break;
        const double from = 0.6 + 0.35 * (double)i / (double)most;
        fl_search_loop(placing->search, "placing", from, from + 0.35 / (double)most,
                       guess_steps(placing, 1));
        status = place_seed(placing, &seeds[i], per_axis, error);
    }
    fl_arena_release(&scratch);
    return status;
}

/* The best placed point as far as the probe can tell: first near the free values, then, if placing
 * cost much, over the whole ranges. At its end all axes are held, as settle needs it. */
static fl_status find(fl_placing *placing, const double *freely, fl_error *error)
{
    double free_figure = fl_probe_figure(placing->probe, &placing->probe->walkers[0], freely);
    fl_search_loop(placing->search, "placing", 0.0, 0.3, guess_steps(placing, placing->beam_most));
    fl_status status = place_all(placing, error);
    for (size_t i = 0; i < placing->axis_count; i++)
        placing->held[placing->axes[i].unknown] = true;
    if (status == FL_OK)
        status = walk_beam(placing, error);
    take_better(placing);
    double loss_db = fl_figure_margin(free_figure) - fl_figure_margin(placing->best.figure);
    bool worth = loss_db > worth_db && placing->axis_count <= MANY_AXES;
    if (status == FL_OK && worth && !fl_search_stopped(placing->search))
        status = explore(placing, freely, error);
    for (size_t i = 0; i < placing->axis_count; i++)
        placing->held[placing->axes[i].unknown] = true;
    return status;
}

/* Looks at the best point over the continuous band: a probe that had not seen all learns, and the
 * walk goes on. */
static fl_status settle(fl_placing *placing, double *values, double *margin_db, fl_error *error)
{
    fl_candidate *point = &placing->best;
    fl_status status = FL_OK;
    fl_descent last = placing->descent;
    last.tolerance = 1e-9;
    last.stretch = 1;
    last.evaluations = 300;
    last.rounds = 4;
    *margin_db = -HUGE_VAL;
    for (int turn = 0; turn < MOST_TURNS && status == FL_OK; turn++) {
        double found_db = -HUGE_VAL, hoped_db = fl_figure_margin(point->figure);
        status = fl_polish(&last, point->values, &found_db, error);
        if (status == FL_OK && found_db > *margin_db) {
            *margin_db = found_db;
            memcpy(values, point->values, placing->search->count * sizeof *values);
        }
        if (status != FL_OK || hoped_db - found_db <= true_db || fl_search_stopped(placing->search))
            break;
        status = begin_walk(placing, point, error);
    }
    return status;
}

fl_status fl_place(fl_probe *probe, double *values, double *margin_db, fl_error *error)
{
    fl_placing placing;
    double found_db = 0.0;
    fl_search_loop(probe->search, "placing", 0.0, 0.3, 0);
    fl_status status = placing_init(&placing, probe, values, error);
    if (status == FL_OK)
        status = find(&placing, values, error);
    fl_search_loop(probe->search, "placing", 0.95, 1.0, 0);
    if (status == FL_OK)
        status = settle(&placing, values, &found_db, error);
    if (status == FL_OK)
        *margin_db = found_db;
    fl_arena_release(&placing.arena);
    return status;
}
