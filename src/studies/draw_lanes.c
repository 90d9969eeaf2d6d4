/* Draws of many samples at once, in rows: the fast way of draw.c. */
#include <math.h>
#include <string.h>

#include "base/random.h"
#include "studies/draw.h"

/* As correlate, in rows; the uniforms of shapes are then those of the correlated numbers. */
static void correlate_lanes(const fl_sampler *sampler, const fl_draw_lanes *lanes,
                            const fl_draw_block *own)
{
    const size_t *of = sampler->numbers->of;
    for (size_t i = own->count; i-- > 0;) {
        double sum[FL_LANES] = {0.0};
        for (size_t j = 0; j <= i; j++) {
            const double factor = own->factor[i * own->count + j];
            const double *from = lanes->normals[of[own->draws[j]]];
            for (size_t k = 0; k < FL_LANES; k++)
                sum[k] += factor * from[k];
        }
        memcpy(lanes->normals[of[own->draws[i]]], sum, sizeof sum);
    }
    for (size_t i = 0; i < own->count && sampler->shaped; i++) {
        const size_t row = of[own->draws[i]];
        for (size_t k = 0; k < FL_LANES; k++)
            lanes->uniforms[row][k] = fl_normal_share(lanes->normals[row][k]);
    }
}

/* Shares of the lower half, as those of truncated. */
FL_WIDE static void fill_shares(double *share, const double *u, double cut)
{
    for (size_t k = 0; k < FL_LANES; k++)
        share[k] = cut + (u[k] < 0.5 ? u[k] : 1.0 - u[k]) * (1.0 - 2.0 * cut);
}

FL_WIDE static void fill_sides(double *z, const double *u, double limit)
{
    for (size_t k = 0; k < FL_LANES; k++) {
        const double least = -z[k] < limit ? -z[k] : limit, size = least > 0.0 ? least : 0.0;
        z[k] = u[k] < 0.5 ? -size : size;
    }
}

/* As truncated, from the uniform number in the lower half. */
static void truncated_lanes(double *z, const double *u, const fl_vector *vector, double limit)
{
    double share[FL_LANES];
    fill_shares(share, u, fl_normal_share(-limit));
    vector->quantiles(z, share, 1);
    fill_sides(z, u, limit);
}

/* As deviation, of a row: a row that counts as a standard normal one. */
static const double *shaped_row(double *room, const fl_spread *spread, double nominal,
                                const fl_vector *vector, const double *u)
{
    const double within = spread->within * (spread->within_relative ? nominal : 1.0);
    if (spread->shape == FL_UNIFORM)
        for (size_t k = 0; k < FL_LANES; k++)
            room[k] = 2.0 * u[k] - 1.0;
    else
        truncated_lanes(room, u, vector, fabs(within / fl_spread_amount(spread, nominal)));
    return room;
}

FL_WIDE static void fill_row(double *to, double value)
{
    for (size_t k = 0; k < FL_LANES; k++)
        to[k] = value;
}

FL_WIDE static void begin_row(double *to, double nominal, double amount, const double *row)
{
    for (size_t k = 0; k < FL_LANES; k++)
        to[k] = nominal + amount * row[k];
}

FL_WIDE static void continue_row(double *to, double amount, const double *row)
{
    for (size_t k = 0; k < FL_LANES; k++)
        to[k] += amount * row[k];
}

/** A row of a quantity in the making. */
typedef struct adding {
    double *to, nominal;
    bool begun;
} adding;

/* The first component needs nothing that is there. */
static void add_row(adding *own, double amount, const double *row)
{
    if (own->begun)
        continue_row(own->to, amount, row);
    else
        begin_row(own->to, own->nominal, amount, row);
    own->begun = true;
}

/* A draw that samples share: one number a lot or wafer, and few of them among the lanes. */
static void share_draw(const fl_draw_lanes *lanes, uint64_t seed, uint64_t first, uint32_t draw,
                       uint64_t sharing)
{
    for (size_t k = 0; k < FL_LANES;) {
        const uint64_t left = sharing - (first + k) % sharing;
        const size_t end = left < FL_LANES - k ? k + (size_t)left : FL_LANES;
        const double uniform = fl_random_uniform(seed, (first + k) / sharing, draw);
        const double normal = fl_normal_draw(uniform);
        for (; k < end; k++) {
            lanes->uniforms[draw][k] = uniform;
            lanes->normals[draw][k] = normal;
        }
    }
}

/* Components that are not joined: each by its own row. */
static void add_component(adding *own, const fl_sampler *sampler, const fl_spread *spread,
                          const fl_vector *vector, const fl_draw_lanes *lanes)
{
    double room[FL_LANES];
    const double amount = fl_spread_amount(spread, own->nominal);
    const size_t row = sampler->numbers->of[spread->draw];
    if (amount == 0.0)
        return;
    if (spread->shape == FL_NORMAL && spread->within == 0.0)
        add_row(own, amount, lanes->normals[row]);
    else
        add_row(own, amount, shaped_row(room, spread, own->nominal, vector, lanes->uniforms[row]));
}

/* Joined components as one; what nothing moves keeps its nominal value. */
static void draw_quantity(double *to, const fl_sampler *sampler, const fl_quantity *quantity,
                          double nominal, const fl_vector *vector, const fl_draw_lanes *lanes)
{
    const fl_numbers *numbers = sampler->numbers;
    adding own = {to, nominal, false};
    size_t number = FL_NONE;
    const double all =
        quantity->spread_count > 1 ? fl_numbers_amount(&number, numbers, quantity, nominal) : 0.0;
    if (number != FL_NONE)
        add_row(&own, all, lanes->normals[number]);
    for (size_t k = 0; k < quantity->spread_count; k++)
        if (!numbers->joined[quantity->spreads[k].draw])
            add_component(&own, sampler, &quantity->spreads[k], vector, lanes);
    if (!own.begun)
        fill_row(to, nominal);
}

/* Whole rows of one number at a time: their counters differ in the sample alone. */
void fl_sampler_draw_lanes(const fl_sampler *sampler, const fl_vector *vector, uint64_t seed,
                           uint64_t first, const double *nominal, const fl_draw_lanes *lanes)
{
    const fl_design *design = sampler->design;
    const size_t count = sampler->numbers->count;
    if (sampler->points == NULL) {
        vector->normals(lanes->normals[0], sampler->shaped ? lanes->uniforms[0] : NULL, count, seed,
                        first);
    } else {
        fl_points_lanes(sampler->points, lanes->uniforms, vector, first);
        vector->quantiles(lanes->normals[0], lanes->uniforms[0], count);
    }
    for (size_t i = 0; i < design->draw_count; i++)
        if (sampler->sharing[design->draws[i].level] > 1)
            share_draw(lanes, seed, first, (uint32_t)i, sampler->sharing[design->draws[i].level]);
    for (size_t level = 0; level < FL_LEVEL_COUNT; level++)
        correlate_lanes(sampler, lanes, &sampler->blocks[level]);
    for (size_t i = 0; i < design->quantity_count; i++)
        draw_quantity(lanes->quantities[i], sampler, &design->quantities[i], nominal[i], vector,
                      lanes);
}
