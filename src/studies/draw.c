/* Draws of one production sample: standard normals by counter, correlated, made into deviations. */
#include <math.h>
#include <string.h>

#include "base/random.h"
#include "base/text.h"
#include "studies/draw.h"

/* Most correlated groups of one level; the factor takes their cube in time. */
enum { MOST_CORRELATED = 1000 };

/* A pivot this near zero is rounding: the correlations then fix one group by the others. */
static const double PIVOT_ROOM = 1e-12;
/* What may be left beside such a pivot: the root of it, by the inequality of Cauchy. */
static const double COLUMN_ROOM = 1e-6;

/** Where groups stand at one level. */
typedef struct placing {
    size_t *draw;   /* [group_count] draw of the group; FL_NONE: none at this level */
    size_t *member; /* [group_count] place in the block; FL_NONE: not correlated */
} placing;

/* Where each group's draw of one level is; none is correlated so far. */
static fl_status take_placing(placing *places, fl_arena *arena, const fl_design *design,
                              fl_level level, fl_error *error)
{
    places->draw = fl_arena_take(arena, design->group_count, sizeof *places->draw);
    places->member = fl_arena_take(arena, design->group_count, sizeof *places->member);
    if (!places->draw || !places->member)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->group_count; i++)
        places->draw[i] = places->member[i] = FL_NONE;
    for (size_t i = 0; i < design->draw_count; i++) {
        const fl_draw *draw = &design->draws[i];
        if (draw->level == level && draw->group != FL_NONE)
            places->draw[draw->group] = i;
    }
    return FL_OK;
}

/* True when the correlation acts: both groups have a draw at the level. */
static bool acts(const fl_correlation *correlation, const placing *places)
{
    return places->draw[correlation->group[0]] != FL_NONE &&
           places->draw[correlation->group[1]] != FL_NONE;
}

/* Gives each correlated group its place in the block, in the order of their naming. */
static size_t place_members(placing *places, const fl_design *design)
{
    size_t count = 0;
    for (size_t i = 0; i < design->correlation_count; i++) {
        const fl_correlation *correlation = &design->correlations[i];
        if (!acts(correlation, places))
            continue;
        for (size_t end = 0; end < 2; end++) {
            size_t *member = &places->member[correlation->group[end]];
            if (*member == FL_NONE)
                *member = count++;
        }
    }
    return count;
}

/* The matrix of correlations of the block: 1 on the diagonal, 0 between groups of which the design
 * says nothing. Both triangles are filled: factorise overwrites the lower one, and refuse reads the
 * upper. */
static fl_status take_block(fl_draw_block *own, fl_arena *arena, const fl_design *design,
                            const placing *places, fl_error *error)
{
    size_t n = own->count;
    own->draws = fl_arena_take(arena, n, sizeof *own->draws);
    own->factor = fl_arena_take(arena, n * n, sizeof *own->factor);
    if (!own->draws || !own->factor)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->group_count; i++)
        if (places->member[i] != FL_NONE)
            own->draws[places->member[i]] = places->draw[i];
    for (size_t i = 0; i < n; i++)
        own->factor[i * n + i] = 1.0;
    for (size_t i = 0; i < design->correlation_count; i++) {
        const fl_correlation *correlation = &design->correlations[i];
        if (!acts(correlation, places))
            continue;
        size_t a = places->member[correlation->group[0]];
        size_t b = places->member[correlation->group[1]];
        own->factor[a * n + b] = own->factor[b * n + a] = correlation->value;
    }
    return FL_OK;
}

/* What is left of entry (i, j), j <= i, when the columns before j are taken off. */
static double remainder_at(const double *factor, size_t n, size_t i, size_t j)
{
    double rest = i == j ? 1.0 : factor[i * n + j];
    for (size_t k = 0; k < j; k++)
        rest -= factor[i * n + k] * factor[j * n + k];
    return rest;
}

/* Cholesky factor in the lower triangle, L with L L^T the correlations, column by column; zero
 * pivots are allowed. Returns the row that contradicts the rows before it, or FL_NONE: a matrix
 * that is not positive semidefinite belongs to no distribution. */
static size_t factorise(double *factor, size_t n)
{
    for (size_t j = 0; j < n; j++) {
        double pivot = remainder_at(factor, n, j, j);
        if (pivot < -PIVOT_ROOM)
            return j;
        double root = pivot > PIVOT_ROOM ? sqrt(pivot) : 0.0;
        factor[j * n + j] = root;
        for (size_t i = j + 1; i < n; i++) {
            double rest = remainder_at(factor, n, i, j);
            if (root == 0.0 && fabs(rest) > COLUMN_ROOM)
                return i;
            factor[i * n + j] = root > 0.0 ? rest / root : 0.0;
        }
    }
    return FL_NONE;
}

/* Members among the first last + 1 that correlations join with the last one, itself first. */
static size_t joined(size_t *members, bool *seen, const fl_draw_block *own, size_t last)
{
    size_t count = 1;
    members[0] = last;
    seen[last] = true;
    for (size_t done = 0; done < count; done++)
        for (size_t i = 0; i <= last; i++) {
            size_t low = i < members[done] ? i : members[done];
            size_t high = i < members[done] ? members[done] : i;
            if (!seen[i] && own->factor[low * own->count + high] != 0.0) {
                seen[i] = true;
                members[count++] = i;
            }
        }
    return count;
}

/* Names the groups that the culprit is joined with: the contradiction is among them. */
static fl_status refuse(const fl_draw_block *own, size_t culprit, const fl_design *design,
                        fl_level level, fl_error *error)
{
    fl_arena arena;
    fl_text names;
    fl_arena_init(&arena);
    fl_text_init(&names);
    fl_status status = FL_BAD_INPUT;
    size_t *members = fl_arena_take(&arena, own->count, sizeof *members);
    bool *seen = fl_arena_take(&arena, own->count, sizeof *seen);
    if (!members || !seen) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    size_t count = joined(members, seen, own, culprit);
    for (size_t i = 0, named = 0; i <= culprit; i++) {
        if (!seen[i])
            continue;
        named++;
        const char *between = named == 1 ? "" : named < count ? ", " : " and ";
        fl_text_print(&names, "%s'%s'", between, design->draws[own->draws[i]].name);
    }
    if (fl_text_failed(&names)) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    fl_fail(error, status, "correlations", "at level '%s' the groups contradict each other: %s",
            fl_level_name(level), names.bytes);
cleanup:
    fl_text_release(&names);
    fl_arena_release(&arena);
    return status;
}

/* Levels are independent of each other, so that each has a factor of its own. */
static fl_status make_block(fl_draw_block *own, fl_arena *arena, const fl_design *design,
                            fl_level level, fl_error *error)
{
    placing places;
    fl_status status = take_placing(&places, arena, design, level, error);
    if (status != FL_OK)
        return status;
    own->count = place_members(&places, design);
    if (own->count > MOST_CORRELATED)
        return fl_fail(error, FL_BAD_INPUT, "correlations",
                       "expected at most %d correlated groups at level '%s', found %zu",
                       MOST_CORRELATED, fl_level_name(level), own->count);
    status = take_block(own, arena, design, &places, error);
    if (status != FL_OK)
        return status;
    size_t culprit = factorise(own->factor, own->count);
    return culprit == FL_NONE ? FL_OK : refuse(own, culprit, design, level, error);
}

/* Without any the uniform numbers of a lot need not be kept. */
static bool has_shapes(const fl_design *design)
{
    for (size_t i = 0; i < design->quantity_count; i++)
        for (size_t k = 0; k < design->quantities[i].spread_count; k++) {
            const fl_spread *spread = &design->quantities[i].spreads[k];
            if (spread->shape != FL_NORMAL || spread->within != 0.0)
                return true;
        }
    return false;
}

/* Levels that samples share need numbers of their own, and the dimensions of even points are
 * draws. */
static void choose_numbers(fl_sampler *sampler)
{
    bool apart = sampler->points != NULL;
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++)
        apart = apart || sampler->sharing[level] > 1;
    sampler->numbers = apart ? &sampler->apart : &sampler->joined;
}

/* Without correlations all blocks are empty, and correlate does nothing. */
fl_status fl_sampler_new(fl_sampler **sampler, const fl_design *design, fl_error *error)
{
    fl_sampler *made = fl_memory_take(1, sizeof *made);
    if (!made)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    made->design = design;
    made->shaped = has_shapes(design);
    fl_sampler_follow(made, &(fl_plan){0});
    fl_status status = fl_numbers_apart(&made->apart, &made->arena, design, error);
    if (status == FL_OK)
        status = fl_numbers_joined(&made->joined, &made->arena, design, error);
    if (design->correlation_count > 0)
        for (int level = 0; level < FL_LEVEL_COUNT && status == FL_OK; level++)
            status = make_block(&made->blocks[level], &made->arena, design, (fl_level)level, error);
    if (status != FL_OK) {
        fl_sampler_free(made);
        return status;
    }
    *sampler = made;
    return FL_OK;
}

/* Also of one that was not made whole. */
void fl_sampler_free(fl_sampler *sampler)
{
    if (!sampler)
        return;
    fl_points_free(sampler->points);
    fl_arena_release(&sampler->arena);
    fl_memory_free(sampler);
}

/* Dice, and the assemblies and boards that they go into, are one each. */
void fl_sampler_follow(fl_sampler *sampler, const fl_plan *plan)
{
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++)
        sampler->sharing[level] = 1;
    if (plan->wafers > 0) {
        sampler->sharing[FL_LEVEL_LOT] = fl_plan_dice(plan);
        sampler->sharing[FL_LEVEL_WAFER] = plan->dice;
    }
    choose_numbers(sampler);
}

/* Points follow the number of samples as well, so that they are made anew for each study. */
fl_status fl_sampler_even(fl_sampler *sampler, const fl_study *study, fl_error *error)
{
    fl_points *points = NULL;
    if (fl_sampling_is_even(study->design->sampling)) {
        const fl_status status = fl_points_new(&points, study, error);
        if (status != FL_OK)
            return status;
    }
    fl_points_free(sampler->points);
    sampler->points = points;
    choose_numbers(sampler);
    return FL_OK;
}

/* z = L x, in place: from the last row up, so that a row still finds the independent draws before
 * it. */
static void correlate(double *draws, const fl_draw_block *own)
{
    for (size_t i = own->count; i-- > 0;) {
        double sum = 0.0;
        for (size_t j = 0; j <= i; j++)
            sum += own->factor[i * own->count + j] * draws[own->draws[j]];
        draws[own->draws[i]] = sum;
    }
}

/* A standard normal number cut at -limit and limit, at the same place in its distribution as z: u'
 * = Phi(-limit) + u (1 - 2 Phi(-limit)), and back. So draws of one group stay in step whatever
 * their shapes [Nelsen2006]. */
static double truncated(double z, double limit)
{
    /* The lower half only: there shares are small numbers and keep all their digits. */
    double low = -fabs(z);
    double cut = fl_normal_share(-limit);
    double share = cut + fl_normal_share(low) * (1.0 - 2.0 * cut);
    double size = fmin(-fl_normal_draw(share), limit);
    return copysign(fmax(size, 0.0), z);
}

/* Deviation of one component in SI. A uniform takes its place from z too: half-width times 2 Phi(z)
 * - 1. */
static double deviation(const fl_spread *spread, double nominal, double z)
{
    const double amount = fl_spread_amount(spread, nominal);
    if (amount == 0.0)
        return 0.0;
    if (spread->shape == FL_UNIFORM)
        return amount * (1.0 - 2.0 * fl_normal_share(-z));
    if (spread->within == 0.0)
        return amount * z;
    double within = spread->within * (spread->within_relative ? nominal : 1.0);
    return amount * truncated(z, fabs(within / amount));
}

/* Draws that have one number z together, as components add up to the root of the sum of their
 * squares times z. */
static void part(const fl_sampler *sampler, const double *nominal, double *draws)
{
    const fl_design *design = sampler->design;
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        size_t number;
        const double all = fl_numbers_amount(&number, sampler->numbers, quantity, nominal[i]);
        for (size_t k = 0; k < quantity->spread_count && all > 0.0; k++) {
            const fl_spread *spread = &quantity->spreads[k];
            if (sampler->numbers->joined[spread->draw])
                draws[spread->draw] *= fl_spread_amount(spread, nominal[i]) / all;
        }
    }
}

/* Numbers are by seed, sample and draw alone, never by order: any thread gets the same sample. What
 * a wafer or a lot shares is by its own number in place of the sample's. */
void fl_sampler_draw(const fl_sampler *sampler, uint64_t seed, uint64_t sample,
                     const double *nominal, double *quantities, double *scratch)
{
    const fl_design *design = sampler->design;
    for (size_t i = 0; i < design->draw_count; i++)
        scratch[i] = sampler->points != NULL
                         ? fl_normal_draw(fl_points_at(sampler->points, sample, i))
                         : fl_random_normal(seed, sample / sampler->sharing[design->draws[i].level],
                                            (uint32_t)sampler->numbers->of[i]);
    part(sampler, nominal, scratch);
    fl_sampler_apply(sampler, nominal, quantities, scratch);
}

/* Components of one quantity add up, each about the nominal value. */
void fl_sampler_apply(const fl_sampler *sampler, const double *nominal, double *quantities,
                      double *draws)
{
    const fl_design *design = sampler->design;
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++)
        correlate(draws, &sampler->blocks[level]);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        double value = nominal[i];
        for (size_t k = 0; k < quantity->spread_count; k++) {
            const fl_spread *spread = &quantity->spreads[k];
            value += deviation(spread, nominal[i], draws[spread->draw]);
        }
        quantities[i] = value;
    }
}

/* Of a standard normal number cut at limit, by z: the ratio of the densities there and here. */
static double truncated_slope(double z, double limit)
{
    const double cut = fl_normal_share(-limit), at = truncated(z, limit);
    return (1.0 - 2.0 * cut) * exp(0.5 * (at * at - z * z));
}

/* Of deviation, by z. */
static double deviation_slope(const fl_spread *spread, double nominal, double z)
{
    static const double peak = 0.39894228040143267794; /* 1 / sqrt(2 pi) */
    const double amount = fl_spread_amount(spread, nominal);
    if (amount == 0.0)
        return 0.0;
    if (spread->shape == FL_UNIFORM)
        return amount * 2.0 * peak * exp(-0.5 * z * z);
    if (spread->within == 0.0)
        return amount;
    const double within = spread->within * (spread->within_relative ? nominal : 1.0);
    return amount * truncated_slope(z, fabs(within / amount));
}

/* Slopes by the independent draws, L^T times those by the correlated ones, in place: from the first
 * row down, so that a row still finds those behind it. */
static void uncorrelate(double *slopes, const fl_draw_block *own)
{
    for (size_t i = 0; i < own->count; i++) {
        double sum = 0.0;
        for (size_t j = i; j < own->count; j++)
            sum += own->factor[j * own->count + i] * slopes[own->draws[j]];
        slopes[own->draws[i]] = sum;
    }
}

/* By the chain rule, each component by itself. */
void fl_sampler_slopes(const fl_sampler *sampler, const double *nominal, const double *draws,
                       const double *partial, double *slopes)
{
    const fl_design *design = sampler->design;
    for (size_t i = 0; i < design->draw_count; i++)
        slopes[i] = 0.0;
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        for (size_t k = 0; k < quantity->spread_count; k++) {
            const fl_spread *spread = &quantity->spreads[k];
            slopes[spread->draw] +=
                partial[i] * deviation_slope(spread, nominal[i], draws[spread->draw]);
        }
    }
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++)
        uncorrelate(slopes, &sampler->blocks[level]);
}
