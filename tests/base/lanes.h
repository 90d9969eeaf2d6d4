/** Every operation on lanes, at some width, on the same numbers. */
#ifndef FL_TESTS_BASE_LANES_H
#define FL_TESTS_BASE_LANES_H

#include <stdlib.h>

#include "base/random.h"
#include "base/vector.h"
#include "check.h"

enum { LANE_ROWS = 18 }; /* more than are taken at once */
enum { LANE_NODES = 3, LANE_PAIRS = 2, LANE_POINTS = 8, LANE_WEIGHTS = 2 };

/** Numbers to work on. */
typedef struct lane_input {
    double start[4 * LANE_NODES], end[FL_END * LANE_NODES];
    double values[3 * FL_LANES], lagging[2 * FL_LANES], wave[3 * LANE_WEIGHTS * FL_LANES];
    double omega[LANE_NODES], root[LANE_NODES], weights[LANE_WEIGHTS * LANE_NODES];
    double series[LANE_NODES / 2 * FL_PAIR_ROOM];
    double fixed[8 * LANE_NODES], farad[2 * LANE_NODES], imaginary[2 * LANE_NODES];
    double still[2 * FL_LANES];
    double matrix[LANE_POINTS * LANE_NODES], scale[LANE_POINTS];
    double bends[LANE_PAIRS], highest[LANE_PAIRS];
} lane_input;

/** How long lines are: sizes of phase and decay. */
typedef struct lane_reach {
    const char *name;
    double phase, decay;
} lane_reach;

static const lane_reach lane_reaches[] = {
    {"short, lossless", 0.09, 0.0},
    {"tiny", 0.09, 1e-3},
    {"short", 0.19, 1.5e-3},
    {"half turn, lossless", 3.0, 0.0},
    {"an eighth", 0.7, 0.02},
    {"turns", 40.0, 0.02},
    {"lossy", 2.0, 5.0},
    {"far", 3e5, 1.0},
    {"swallowed", 1.0, 19.0},
};
enum { LANE_REACHES = sizeof lane_reaches / sizeof *lane_reaches };

static double lane_between(uint32_t *item, double low, double high)
{
    return low + (high - low) * fl_random_uniform(11, 0, (*item)++);
}

/** Impedances of 20 to 120, phases and decays up to the reach at the highest node. */
static void lane_fill(lane_input *in, const lane_reach *reach)
{
    uint32_t item = 0;
    for (size_t i = 0; i < 4 * LANE_NODES; i++)
        in->start[i] = lane_between(&item, -2.0, 2.0);
    for (size_t i = 0; i < FL_END * LANE_NODES; i++)
        in->end[i] = lane_between(&item, i % FL_END < 4 ? -60.0 : 0.5, i % FL_END < 4 ? 60.0 : 2.0);
    for (size_t n = 0; n < LANE_NODES; n++) {
        in->omega[n] = 1.0 - 0.1 * (double)(LANE_NODES - 1 - n);
        in->root[n] = sqrt(in->omega[n]);
        in->weights[n] = 0.25 * (double)n;
        in->weights[LANE_NODES + n] = 1.0 - in->weights[n];
    }
    for (size_t i = 0; i < FL_LANES; i++) {
        in->values[i] = lane_between(&item, 20.0, 120.0);
        in->values[FL_LANES + i] = lane_between(&item, 0.0, reach->decay);
        in->values[2 * FL_LANES + i] = lane_between(&item, 0.0, reach->phase);
    }
    for (size_t i = 0; i < FL_LANES; i++) {
        in->lagging[i] = in->still[i] = in->values[i];
        in->still[FL_LANES + i] = 0.0;
        in->lagging[FL_LANES + i] = 0.1 + reach->decay;
    }
    for (size_t n = 0; n < LANE_NODES; n++) {
        const double lag = in->omega[n] * in->lagging[FL_LANES];
        in->farad[2 * n] = in->omega[n] * lag / (1.0 + lag * lag);
        in->farad[2 * n + 1] = in->omega[n] / (1.0 + lag * lag);
        in->imaginary[2 * n] = 0.0;
        in->imaginary[2 * n + 1] = lane_between(&item, -1.0, 1.0);
    }
    for (size_t i = 0; i < LANE_WEIGHTS * FL_LANES; i++) {
        in->wave[i] = lane_between(&item, 20.0, 120.0);
        in->wave[LANE_WEIGHTS * FL_LANES + i] = lane_between(&item, 0.0, reach->phase);
        in->wave[2 * LANE_WEIGHTS * FL_LANES + i] = lane_between(&item, 0.0, reach->decay);
    }
    for (size_t i = 0; i < 8 * LANE_NODES; i++)
        in->fixed[i] = lane_between(&item, -1.0, 1.0);
    for (size_t i = 0; i < LANE_POINTS * LANE_NODES; i++)
        in->matrix[i] = lane_between(&item, 0.1, 1.0) * (i % 4 < 2 ? 1.0 : 0.01);
    /* The matrix is of no polynomial: none is convex. */
    for (size_t i = 0; i < LANE_PAIRS; i++) {
        in->bends[i] = (double)NAN;
        in->highest[i] = 1.0;
    }
    for (size_t i = 0; i < LANE_POINTS; i++)
        in->scale[i] = lane_between(&item, 0.1, 1.0);
}

static fl_nodes lane_nodes(lane_input *in)
{
    fl_nodes nodes = {.count = LANE_NODES,
                      .omega = in->omega,
                      .root = in->root,
                      .weights = in->weights,
                      .points = LANE_WEIGHTS};
    fl_nodes_centre(&nodes, in->series);
    return nodes;
}

/** Marches: a leg of each kind in the order of the kinds; then two lines in a row, as one and by
 * turns that the second borrows, with something else between; a line and a capacitor near usual
 * values; and behind an inductor without spread that capacitor and one without a lag. */
enum {
    LANE_KINDS = FL_LEG_FIXED_SHUNT + 1,
    LANE_TWICE = LANE_KINDS,
    LANE_THREE,
    LANE_USUAL_LINE,
    LANE_USUAL_CAPACITOR,
    LANE_BEHIND,
    LANE_MARCHES,
    LANE_LEGS = 3
};

/** All that the operations give. */
typedef struct lane_output {
    double products[4 * FL_LANES], sums[7][FL_LANES];
    double reflected[LANE_MARCHES][LANE_NODES * FL_LANES];
    double arrived[LANE_MARCHES][LANE_NODES * FL_LANES];
    double power[3][FL_LANES], point[3][FL_LANES];
    double losses[FL_LANES], sums_off[2];
    uint64_t below, bins[FL_LANES];
} lane_output;

static void lane_polynomials(lane_output *out, const fl_vector *vector, const lane_input *in)
{
    static const fl_factor factors[] = {{0, 0}, {0, 0}, {0, 1}, {1, 1}};
    double *to[7];
    const double *rows[7];
    for (size_t r = 0; r < 7; r++) {
        to[r] = out->sums[r];
        rows[r] = in->fixed + r;
    }
    vector->products(out->products, factors, 4, in->values);
    vector->combine(to, rows, 7, out->products, 4);
}

static fl_leg lane_leg(const lane_input *in, fl_leg_kind kind, double times)
{
    const bool wave = kind == FL_LEG_WAVE || kind == FL_LEG_WAVE_STUB;
    return (fl_leg){.kind = kind,
                    .values = wave ? in->wave : in->values,
                    .fixed = in->fixed,
                    .times = times,
                    .usual = {.turn = {1.0, 0.0}}};
}

/* Those of the first lane. */
static fl_usual lane_usual(const lane_input *in, const fl_nodes *nodes)
{
    const double decay = in->values[FL_LANES], delay = in->values[2 * FL_LANES];
    const double growth = exp(2.0 * decay * nodes->root_centre);
    const double angle = 2.0 * delay * nodes->centre;
    return (fl_usual){decay, delay, {growth * cos(angle), growth * sin(angle)}};
}

static fl_leg lane_lagging(const lane_input *in)
{
    return (fl_leg){.kind = FL_LEG_CAPACITOR,
                    .values = in->lagging,
                    .fixed = in->farad,
                    .usual = {.delay = in->lagging[FL_LANES]}};
}

static void lane_behind(fl_leg legs[LANE_LEGS], const lane_input *in)
{
    legs[0] = (fl_leg){.kind = FL_LEG_FIXED_SERIES, .fixed = in->imaginary};
    legs[1] = lane_lagging(in);
    legs[2] = (fl_leg){.kind = FL_LEG_CAPACITOR, .values = in->still};
}

static void lane_marches(lane_output *out, const fl_vector *vector, lane_input *in)
{
    double left_out[LANE_NODES * FL_PACK_ROOM];
    double scratch[LANE_LEGS * (LANE_NODES * FL_TURN_ROOM + FL_FACTOR_ROOM)];
    const fl_nodes nodes = lane_nodes(in);
    for (size_t k = 0; k < LANE_MARCHES; k++) {
        fl_leg legs[LANE_LEGS];
        legs[0] = lane_leg(in, k < LANE_KINDS ? (fl_leg_kind)k : FL_LEG_LINE,
                           k == LANE_TWICE ? 2.0 : 1.0);
        if (k == LANE_USUAL_LINE)
            legs[0].usual = lane_usual(in, &nodes);
        if (k == LANE_USUAL_CAPACITOR)
            legs[0] = lane_lagging(in);
        legs[1] = lane_leg(in, FL_LEG_FIXED_SHUNT, 1.0);
        legs[2] = lane_leg(in, FL_LEG_LINE, 1.0);
        if (k == LANE_BEHIND)
            lane_behind(legs, in);
        const fl_route route = {.legs = legs,
                                .leg_count = k == LANE_THREE || k == LANE_BEHIND ? LANE_LEGS : 1,
                                .start = in->start,
                                .end = in->end,
                                .sized = true,
                                .reflected = out->reflected[k],
                                .arrived = out->arrived[k],
                                .scratch = scratch,
                                .left_out = left_out};
        vector->march(&route, &nodes);
    }
}

static void lane_counts(lane_output *out, const fl_vector *vector, const lane_input *in)
{
    const fl_ruler ruler = {60.0, 0.3, 31.0};
    const uint64_t lanes[2] = {UINT64_C(0x0123456789abcdef), UINT64_C(0xff00ff00ff00ff00)};
    vector->losses(out->losses, in->values + FL_LANES);
    vector->below(&out->below, in->values, &(double){70.0}, 1);
    vector->deviations(&out->sums_off, &out->bins, &(const double *){in->values}, &ruler, 1, lanes);
}

/** Runs everything. */
static void lane_run(lane_output *out, const fl_vector *vector, lane_input *in)
{
    memset(out, 0, sizeof *out);
    lane_polynomials(out, vector, in);
    lane_marches(out, vector, in);
    lane_counts(out, vector, in);
    const double *reflected = out->reflected[0], *arrived = out->arrived[0];
    fl_regrid lookup = {.nodes = LANE_NODES,
                        .points = LANE_POINTS,
                        .matrix = in->matrix,
                        .bends = in->bends,
                        .highest = in->highest,
                        .roughest = 1e300,
                        .scale = in->scale,
                        .greatest = true};
    vector->worst_reflected(out->power[0], out->point[0], reflected, arrived, &lookup);
    lookup.greatest = false;
    vector->worst_transmitted(out->power[1], out->point[1], arrived, &lookup);
    lookup.matrix = NULL;
    lookup.points = LANE_NODES;
    vector->worst_reflected(out->power[2], out->point[2], reflected, arrived, &lookup);
}

#endif
