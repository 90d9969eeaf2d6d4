/* Points of failure nearest to the nominal values, in the space of independent normal draws. */
#include <math.h>
#include <string.h>

#include "base/random.h"
#include "studies/rare.h"

enum { MOST_STEPS = 60, MOST_STARTS = 8, STEP_HALVINGS = 10, HALVINGS = 40 };

/* Beyond so many sigmas nothing is looked for: 1 part in 10^32. */
static const double farthest = 12.0;

/* Starts away from the middle, and sigmas within which two points are one. */
static const double start_distance = 3.0, same_distance = 0.3;

/* Sigmas to which a point is found: samples spread about it by one. */
static const double enough = 1e-3;

/** One search: the worst of a run in a third of its band. */
typedef struct seeker {
    const fl_production *run;
    const fl_run *of;
    size_t third;
    double *gradient;                     /* [spread_count][entry_count] */
    double *partial;                      /* [quantity_count] */
    double *slopes, *target, *trial, *at; /* [draw_count] */
    double *found;                        /* [MOST_STARTS][draw_count] starts */
    size_t start_count;
} seeker;

static double dot(const double *a, const double *b, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

static size_t draws_of(const seeker *own)
{
    return own->run->study->design->draw_count;
}

/* The worst entry of the third; FL_NONE: it has no point of the grid. */
static size_t worst_entry(const seeker *own, const fl_requirement *requirement, const double *power)
{
    const double sign = requirement->at_least ? 1.0 : -1.0;
    const fl_band *band = &own->run->study->design->bands[requirement->band];
    size_t worst = FL_NONE;
    for (size_t i = 0; i < own->of->count; i++) {
        const size_t entry = own->of->first + i;
        if (fl_band_third(band, own->of->frequencies[i]) != own->third)
            continue;
        if (worst == FL_NONE || sign * power[entry] > sign * power[worst])
            worst = entry;
    }
    return worst;
}

/* How far from failing: 1 less the ratio of amplitudes 10^(-margin / 20), which is nearly linear in
 * the draws where decibels are not; below 0 it fails. NAN: not known there. */
static double look(seeker *own, const double *draws, double *slopes)
{
    const fl_production *run = own->run;
    const fl_counting *counting = &run->counting;
    const fl_requirement *requirement = &run->study->design->requirements[own->of->requirement];
    const size_t entries = fl_margins_entry_count(run->margins);
    const fl_unknowns unknowns = {counting->spread, counting->spread_count};
    fl_lot *lot = &run->lots[0];
    memcpy(lot->draws, draws, draws_of(own) * sizeof *draws);
    fl_sampler_apply(run->sampler, counting->nominal, lot->quantities, lot->draws);
    if (!(slopes ? fl_margins_gradient(run->margins, lot->work, lot->quantities, &unknowns,
                                       lot->power, own->gradient)
                 : fl_margins_power(run->margins, lot->work, lot->quantities, lot->power)))
        return (double)NAN;
    const size_t entry = worst_entry(own, requirement, lot->power);
    if (entry == FL_NONE)
        return (double)NAN;
    double slope;
    const double figure = fl_margin_figure(requirement, lot->power[entry], &slope);
    const double ratio = pow(figure, 0.5 / requirement->weight);
    if (!slopes)
        return 1.0 - ratio;
    for (size_t k = 0; k < counting->spread_count; k++)
        own->partial[counting->spread[k]] = -0.5 * ratio * slope / (figure * requirement->weight) *
                                            own->gradient[k * entries + entry];
    fl_sampler_slopes(run->sampler, counting->nominal, lot->draws, own->partial, slopes);
    return 1.0 - ratio;
}

/* Towards the target, by half as long a step each time, until distance and margin together are
 * less than before [Zhang1995]. */
static bool advance(seeker *own, double margin, double norm)
{
    const size_t n = draws_of(own);
    const double here = dot(own->at, own->at, n), there = dot(own->target, own->target, n);
    const double weight = 2.0 * sqrt(fmax(here, there)) / norm;
    const double before = 0.5 * here + weight * fabs(margin);
    for (int halvings = 0; halvings < STEP_HALVINGS; halvings++) {
        const double step = ldexp(1.0, -halvings);
        for (size_t i = 0; i < n; i++)
            own->trial[i] = own->at[i] + step * (own->target[i] - own->at[i]);
        const double found = look(own, own->trial, NULL);
        if (!(0.5 * dot(own->trial, own->trial, n) + weight * fabs(found) < before))
            continue;
        memcpy(own->at, own->trial, n * sizeof *own->at);
        return true;
    }
    return false;
}

/* The point nearest to the middle on the plane that the slopes tell of [Rackwitz1978]; returns how
 * far it is from the present one. */
static double aim(seeker *own, double margin, double square)
{
    const size_t n = draws_of(own);
    double along = (dot(own->slopes, own->at, n) - margin) / square, step = 0.0;
    along = fmax(fmin(along, farthest / sqrt(square)), -farthest / sqrt(square));
    for (size_t i = 0; i < n; i++) {
        own->target[i] = along * own->slopes[i];
        step += (own->target[i] - own->at[i]) * (own->target[i] - own->at[i]);
    }
    return sqrt(step);
}

/* Where a search has ended beyond the limit, at a bend of it: back to it, on the straight way to
 * the middle. False when it has not come so far. */
static bool go_back(seeker *own)
{
    double low = 0.0, high = 1.0;
    if (!(look(own, own->at, NULL) <= 0.0))
        return false;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = 0.5 * (low + high);
        for (size_t k = 0; k < draws_of(own); k++)
            own->trial[k] = middle * own->at[k];
        if (look(own, own->trial, NULL) > 0.0)
            low = middle;
        else
            high = middle;
    }
    for (size_t k = 0; k < draws_of(own); k++)
        own->at[k] *= high;
    return true;
}

/* From the point at to one of failure nearby. */
static bool seek(seeker *own)
{
    for (int i = 0; i < MOST_STEPS; i++) {
        const double margin = look(own, own->at, own->slopes);
        const double square = dot(own->slopes, own->slopes, draws_of(own));
        if (!isfinite(margin) || !isfinite(square) || !(square > 0.0))
            return false;
        const double norm = sqrt(square), step = aim(own, margin, square);
        if (step < enough && fabs(margin) < enough * norm)
            return true;
        if (!advance(own, margin, norm))
            break;
    }
    return go_back(own);
}

/* Where the next search begins, so many times a direction; beyond the room it is left out. */
static void add_start(seeker *own, const double *direction, double factor)
{
    if (own->start_count == MOST_STARTS)
        return;
    double *start = own->found + own->start_count++ * draws_of(own);
    for (size_t i = 0; i < draws_of(own); i++)
        start[i] = factor * direction[i];
}

/* The middle, and to both sides of it; where it is flat, as at a perfect match, any line. Returns
 * the margin there. */
static double make_starts(seeker *own)
{
    const size_t n = draws_of(own);
    own->start_count = 0;
    memset(own->at, 0, n * sizeof *own->at);
    const double margin = look(own, own->at, own->slopes);
    double norm = isfinite(margin) ? sqrt(dot(own->slopes, own->slopes, n)) : 0.0;
    if (norm > 0.0 && isfinite(norm))
        add_start(own, own->at, 1.0);
    for (size_t i = 0; i < n && !(norm > 0.0 && isfinite(norm)); i++)
        own->trial[i] = fl_random_normal(0, 0, (uint32_t)i);
    if (!(norm > 0.0 && isfinite(norm)))
        memcpy(own->slopes, own->trial, n * sizeof *own->slopes);
    norm = sqrt(dot(own->slopes, own->slopes, n));
    memcpy(own->target, own->slopes, n * sizeof *own->target);
    add_start(own, own->target, start_distance / norm);
    add_start(own, own->target, -start_distance / norm);
    return margin;
}

/* In its place by distance, unless it is one of those there. */
static bool insert(fl_rare_points *points, const seeker *own, fl_arena *arena, bool *is_new)
{
    const size_t n = draws_of(own);
    for (size_t i = 0; i < points->count; i++) {
        double square = 0.0;
        for (size_t k = 0; k < n; k++)
            square += pow(points->items[i].draws[k] - own->at[k], 2.0);
        if (square < same_distance * same_distance)
            return true;
    }
    *is_new = true;
    fl_rare_point made = {
        .is = {own->of->case_index, own->of->requirement, sqrt(dot(own->at, own->at, n))}};
    if (points->count == FL_RARE_POINTS)
        return true;
    made.draws = fl_arena_take(arena, n, sizeof *made.draws);
    if (made.draws == NULL)
        return false;
    memcpy(made.draws, own->at, n * sizeof *made.draws);
    size_t place = points->count++;
    for (; place > 0 && points->items[place - 1].is.sigmas > made.is.sigmas; place--)
        points->items[place] = points->items[place - 1];
    points->items[place] = made;
    return true;
}

/* Opposite to a point there is often another: too much of a value, and too little of it. */
static bool search(fl_rare_points *points, seeker *own, fl_arena *arena)
{
    for (size_t i = 0; i < own->start_count; i++) {
        bool is_new = false;
        memcpy(own->at, own->found + i * draws_of(own), draws_of(own) * sizeof *own->at);
        if (!seek(own))
            continue;
        if (!insert(points, own, arena, &is_new))
            return false;
        if (is_new)
            add_start(own, own->at, -1.0);
    }
    return true;
}

static bool take_seeker(seeker *own, fl_production *run)
{
    const fl_design *design = run->study->design;
    const size_t n = design->draw_count;
    const size_t entries = fl_margins_entry_count(run->margins);
    double **const rows[] = {&own->slopes, &own->target, &own->trial, &own->at};
    own->run = run;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if ((*rows[i] = fl_arena_take(&run->arena, n, sizeof **rows[i])) == NULL)
            return false;
    own->gradient =
        fl_arena_take(&run->arena, run->counting.spread_count * entries, sizeof(double));
    own->partial = fl_arena_take(&run->arena, design->quantity_count, sizeof *own->partial);
    own->found = fl_arena_take(&run->arena, MOST_STARTS * n, sizeof *own->found);
    return own->gradient != NULL && own->partial != NULL && own->found != NULL;
}

/* Runs and thirds in their order, on one thread: it is little beside the samples. */
fl_status fl_rare_find(fl_rare_points *points, fl_production *run, fl_error *error)
{
    const fl_counting *counting = &run->counting;
    seeker own = {0};
    points->count = 0;
    if (!take_seeker(&own, run))
        return fl_fail_memory(error);
    for (size_t i = 0; i < FL_BAND_THIRDS * counting->run_count; i++) {
        own.of = &counting->runs[i / FL_BAND_THIRDS];
        own.third = i % FL_BAND_THIRDS;
        if (run->study->design->requirements[own.of->requirement].implied)
            continue;
        if (make_starts(&own) <= 0.0) {
            points->count = 0;
            return FL_OK;
        }
        if (!search(points, &own, &run->arena))
            return fl_fail_memory(error);
    }
    return FL_OK;
}
