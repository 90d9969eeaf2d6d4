/** Operations on lanes against the same formulas by the C library, lane by lane: the same checks at
 * every width, so that two widths differ by no more than both are allowed. */
#ifndef FL_TESTS_BASE_LANE_CHECKS_H
#define FL_TESTS_BASE_LANE_CHECKS_H

#include <complex.h>

#include "lanes.h"

typedef double _Complex number;

#define J ((number)_Complex_I)

/* The width under test; skips where the processor lacks it. */
static const fl_vector *vector_under_test(void **width)
{
    const fl_vector *vector = fl_vector_of(*(const int *)*width);
    if (vector == NULL)
        skip();
    assert_int_equal(vector->width, *(const int *)*width);
    return vector;
}

static number pair(const double *at)
{
    return at[0] + J * at[1];
}

/* Counters across the end of a word, in numbers that are and are not whole counters. */
static void test_random(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static const uint64_t firsts[] = {0, 77, UINT64_C(0xffffffe0), UINT64_C(1) << 40};
    static const size_t counts[] = {1, 4, 15, LANE_ROWS, 41};
    static double z[41][FL_LANES], u[41][FL_LANES], behind[41][FL_LANES];
    for (size_t r = 0; r < sizeof firsts / sizeof *firsts; r++)
        for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
            vector->normals(z[0], u[0], counts[c], 1 + r, firsts[r]);
            vector->uniforms(behind[0], counts[c], 1 + r, firsts[r], 8);
            for (uint32_t item = 0; item < counts[c]; item++)
                for (size_t i = 0; i < FL_LANES; i++) {
                    const uint64_t sample = firsts[r] + i;
                    check_near(fl_random_uniform(1 + r, sample, item), u[item][i], 0.0, "uniform");
                    check_near(fl_random_uniform(1 + r, sample, 8 + item), behind[item][i], 0.0,
                               "uniform of a later item");
                    check_close(fl_random_normal(1 + r, sample, item), z[item][i], 1e-13,
                                "normal of %.17g", u[item][i]);
                }
            vector->normals(behind[0], NULL, counts[c], 1 + r, firsts[r]);
            assert_memory_equal(behind, z, counts[c] * sizeof *z);
        }
}

/* Middle, tails and beyond, and where they meet. */
static void test_quantiles(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    double u[2 * FL_LANES], z[2 * FL_LANES];
    for (size_t i = 0; i < FL_LANES; i++) {
        u[i] = i < 40 ? pow(10.0, -0.4 * (double)i) : 1.0 - pow(2.0, -(double)(i - 39));
        u[FL_LANES + i] = i < 60 ? 0.001 + (double)i / 60.1 : 1e-17;
    }
    u[0] = 0.5 - FL_MIDDLE;
    u[1] = 0.5 + FL_MIDDLE;
    u[2] = nextafter(0.5 - FL_MIDDLE, 0.0);
    u[3] = 0.5;
    vector->quantiles(z, u, 2);
    for (size_t i = 0; i < sizeof u / sizeof *u; i++)
        check_near(fl_normal_draw(u[i]), z[i], 1e-13 * fabs(z[i]), "quantile of %.17g", u[i]);
}

static void test_polynomials(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static lane_input in;
    static lane_output out;
    lane_fill(&in, &lane_reaches[0]);
    lane_run(&out, vector, &in);
    for (size_t i = 0; i < FL_LANES; i++) {
        const double x = in.values[i], y = in.values[FL_LANES + i];
        const double products[] = {1.0, x, y, x * y};
        for (size_t r = 0; r < 7; r++) {
            double sum = 0.0, size = 0.0;
            for (size_t t = 0; t < 4; t++) {
                sum += in.fixed[r + t] * products[t];
                size += fabs(in.fixed[r + t] * products[t]);
            }
            /* Four products and three sums at either route, each off by half a unit at most. */
            check_near(sum, out.sums[r][i], 8.0 * 0x1p-53 * size, "row %zu", r);
        }
    }
}

typedef struct expected {
    number series, shunt[3], cosh, sinh, wave_cosh, wave_sinh;
    double z, wave_z, wave_phase;
} expected;

/* Forms of elements as fl_form has them, by the C library. */
static expected expect(const lane_input *in, size_t n, size_t lane)
{
    double at[3], mean[3];
    const double w = in->omega[n];
    for (size_t k = 0; k < 3; k++) {
        const double *row = in->wave + k * LANE_WEIGHTS * FL_LANES + lane;
        at[k] = in->values[k * FL_LANES + lane];
        mean[k] = in->weights[n] * row[0] + in->weights[LANE_NODES + n] * row[FL_LANES];
    }
    const number theta = at[1] * in->root[n] + J * w * at[2];
    const number wave = mean[2] * in->root[n] + J * w * mean[1];
    return (expected){
        .series = at[0] + J * (w * at[1] - at[2] / w),
        .shunt = {1.0 / (at[0] + J * w * at[1]), J * w * at[0] / (1.0 + J * w * at[1]), 0.0},
        .cosh = ccosh(theta),
        .sinh = csinh(theta),
        .wave_cosh = ccosh(wave),
        .wave_sinh = csinh(wave),
        .z = at[0],
        .wave_z = mean[0],
        .wave_phase = cimag(wave)};
}

/* What is left after a matrix {a, b, c, d}: |V + x I|^2 f, and the size of what was added. */
static double squared(const number m[4], number v, number i, const double *x, double f)
{
    const number sum = m[0] * v + m[1] * i + pair(x) * (m[2] * v + m[3] * i);
    return f * creal(sum * conj(sum));
}

/* A march of one or more legs is true to share of the sizes of its terms, squared. */
static void check_march(const lane_input *in, const lane_output *out, size_t which, size_t n,
                        size_t lane, const number m[4], double share)
{
    const number v = pair(in->start + 4 * n), i = pair(in->start + 4 * n + 2);
    const double *end = in->end + FL_END * n;
    for (size_t k = 0; k < 2; k++) {
        const double *x = end + 2 * k;
        const double got = (k == 0 ? out->reflected : out->arrived)[which][n * FL_LANES + lane];
        const double size = (cabs(m[0]) + cabs(pair(x) * m[2])) * cabs(v) +
                            (cabs(m[1]) + cabs(pair(x) * m[3])) * cabs(i);
        check_near(squared(m, v, i, x, end[4 + k]), got, share * size * size * end[4 + k],
                   "march %zu, node %zu, lane %zu, %zu", which, n, lane, k);
    }
}

/* m behind first. */
static void behind(number to[4], const number first[4], const number m[4])
{
    const number both[4] = {m[0] * first[0] + m[1] * first[2], m[0] * first[1] + m[1] * first[3],
                            m[2] * first[0] + m[3] * first[2], m[2] * first[1] + m[3] * first[3]};
    memcpy(to, both, sizeof both);
}

static void check_lane(const lane_input *in, const lane_output *out, size_t n, size_t lane)
{
    const expected e = expect(in, n, lane);
    const number fixed = pair(in->fixed + 2 * n);
    /* Twice what the series of a turn leave out, below 5e-12, and the rounding, the libraries' own,
     * of angles up to 3e5 in steps of 6e-11. */
    const double far = in->values[(size_t)2 * FL_LANES + lane] * 1e-15, room = 1e-11 + far;
    /* Its angle is a sum of products at both routes. */
    const double wave_room = 2e-12 + e.wave_phase * 2e-15;
    const number shunts[] = {e.shunt[0],
                             e.shunt[1],
                             e.sinh / e.cosh / e.z,
                             e.cosh / e.sinh / e.z,
                             e.wave_sinh / e.wave_cosh / e.wave_z,
                             fixed};
    static const size_t which[] = {FL_LEG_BRANCH,       FL_LEG_CAPACITOR, FL_LEG_OPEN_STUB,
                                   FL_LEG_SHORTED_STUB, FL_LEG_WAVE_STUB, FL_LEG_FIXED_SHUNT};
    const number series[] = {1.0, e.series, 0.0, 1.0}, fixed_series[] = {1.0, fixed, 0.0, 1.0};
    const number line[] = {e.cosh, e.z * e.sinh, e.sinh / e.z, e.cosh};
    const number wave[] = {e.wave_cosh, e.wave_z * e.wave_sinh, e.wave_sinh / e.wave_z,
                           e.wave_cosh};
    const double *f = in->fixed + 8 * n;
    const number chain[] = {pair(f), pair(f + 2), pair(f + 4), pair(f + 6)};
    const number shunt[] = {1.0, 0.0, fixed, 1.0};
    number twice[4], three[4];
    for (size_t k = 0; k < sizeof which / sizeof *which; k++) {
        const number own[] = {1.0, 0.0, shunts[k], 1.0};
        /* Near a pole what little rounding there is grows with it. */
        const double pole = k >= 2 && k <= 4 ? 1.0 + cabs(shunts[k]) * e.z : 1.0;
        const double share = which[k] == FL_LEG_WAVE_STUB ? wave_room : room;
        check_march(in, out, which[k], n, lane, own, share * pole);
    }
    check_march(in, out, FL_LEG_SERIES, n, lane, series, room);
    check_march(in, out, FL_LEG_FIXED_SERIES, n, lane, fixed_series, room);
    check_march(in, out, FL_LEG_LINE, n, lane, line, room);
    check_march(in, out, FL_LEG_WAVE, n, lane, wave, wave_room);
    check_march(in, out, FL_LEG_CHAIN, n, lane, chain, room);
    behind(twice, line, line);
    check_march(in, out, LANE_TWICE, n, lane, twice, 2.0 * room);
    behind(three, line, shunt);
    behind(three, three, line);
    check_march(in, out, LANE_THREE, n, lane, three, 2.0 * room);
    check_march(in, out, LANE_USUAL_LINE, n, lane, line, room);
    const double w = in->omega[n];
    const number lagging = J * w * in->lagging[lane] / (1.0 + J * w * in->lagging[FL_LANES]);
    const number usual[] = {1.0, 0.0, lagging, 1.0};
    check_march(in, out, LANE_USUAL_CAPACITOR, n, lane, usual, room);
    const number coil[] = {1.0, J * in->imaginary[2 * n + 1], 0.0, 1.0};
    const number both[] = {1.0, 0.0, lagging + J * w * in->still[lane], 1.0};
    behind(three, coil, both);
    check_march(in, out, LANE_BEHIND, n, lane, three, 1e-13);
}

/* Every leg by itself, and lines alike, by the C library's complex functions. */
static void test_marches(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static lane_input in;
    static lane_output out;
    for (size_t r = 0; r < LANE_REACHES; r++) {
        lane_fill(&in, &lane_reaches[r]);
        lane_run(&out, vector, &in);
        for (size_t n = 0; n < LANE_NODES; n++)
            for (size_t lane = 0; lane < FL_LANES; lane++)
                check_lane(&in, &out, n, lane);
    }
}

/* Value at a point of the grid as the matrix is told to give it. */
static double at_point(const lane_input *in, const double *rows, size_t point, size_t lane)
{
    const size_t row = point < LANE_POINTS / 2 ? point : LANE_POINTS - 1 - point;
    const double *weights = in->matrix + row / 2 * 8 + row % 2;
    const double low = rows[lane], middle = rows[FL_LANES + lane];
    const double high = rows[(size_t)2 * FL_LANES + lane];
    const double odd = weights[2] * (low - high);
    return weights[0] * (low + high) + weights[4] * middle + (row == point ? odd : -odd);
}

/* The worst of a grid, point by point. */
static void test_worst(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static lane_input in;
    static lane_output out;
    lane_fill(&in, &lane_reaches[0]);
    lane_run(&out, vector, &in);
    for (size_t lane = 0; lane < FL_LANES; lane++) {
        double most = 0.0, least = HUGE_VAL, at_nodes = HUGE_VAL;
        size_t where = 0;
        for (size_t g = 0; g < LANE_POINTS; g++) {
            const double top = at_point(&in, out.reflected[0], g, lane);
            const double bottom = at_point(&in, out.arrived[0], g, lane);
            where = top / bottom > most ? g : where;
            most = fmax(most, top / bottom);
            least = fmin(least, in.scale[g] / bottom);
        }
        for (size_t n = 0; n < LANE_NODES; n++)
            at_nodes = fmin(at_nodes, out.reflected[0][n * FL_LANES + lane] /
                                          out.arrived[0][n * FL_LANES + lane]);
        check_close(most, out.power[0][lane], 1e-13, "greatest reflection");
        check_near((double)where, out.point[0][lane], 0.0, "where it is");
        check_close(least, out.power[1][lane], 1e-13, "least transmission");
        check_close(at_nodes, out.power[2][lane], 1e-13, "least at the nodes");
    }
}

enum { MOST_DEGREE = 6, MOST_GRID = 21 };

/** Nodes and grid of polynomials over -1 to 1. */
typedef struct ruled {
    size_t nodes, points;
    double place[MOST_DEGREE], matrix[MOST_GRID * 2 * MOST_DEGREE];
    double bends[MOST_DEGREE * MOST_DEGREE], highest[MOST_DEGREE];
} ruled;

static double lagrange(const ruled *own, size_t node, double x)
{
    double weight = 1.0;
    for (size_t k = 0; k < own->nodes; k++)
        if (k != node)
            weight *= (x - own->place[k]) / (own->place[node] - own->place[k]);
    return weight;
}

static double grid_place(const ruled *own, size_t point)
{
    return -1.0 + 2.0 * (double)point / (double)(own->points - 1);
}

static void rule(ruled *own, size_t nodes, size_t points)
{
    const double pi = acos(-1.0);
    const size_t pairs = (nodes + 1) / 2, last = points - 1;
    *own = (ruled){.nodes = nodes, .points = points};
    for (size_t k = 0; k < nodes; k++)
        own->place[k] = -cos(pi * ((double)k + 0.5) / (double)nodes);
    for (size_t row = 0; row < (points + 3) / 4 * 2; row++)
        for (size_t h = 0; h < pairs; h++) {
            const double x = grid_place(own, row < last ? row : last);
            const double low = lagrange(own, h, x), high = lagrange(own, nodes - 1 - h, x);
            double *at = own->matrix + (row / 2 * pairs + h) * 4 + row % 2;
            at[0] = 2 * h + 1 == nodes ? low : 0.5 * (low + high);
            at[2] = 2 * h + 1 == nodes ? 0.0 : 0.5 * (low - high);
        }
    for (size_t k = 2; k < nodes; k++)
        for (size_t h = 0; h < pairs; h++) {
            const double square = (double)(k * k);
            own->highest[h] = 2.0 / (double)nodes * cos((double)k * acos(own->place[h]));
            own->bends[(k - 2) * pairs + h] =
                own->highest[h] * (k == 2 ? 4.0 : square * (square - 1.0) / 3.0);
        }
}

/* Some bend up, some down, some this way and that; all lanes of a row alike in this, so that whole
 * packs end early. */
static double bent(uint64_t row, size_t lane, double x)
{
    const double slope = fl_random_uniform(row, lane, 0) - 0.5;
    const double bend = fl_random_uniform(row, lane, 1) * (row % 3 == 0   ? 0.5
                                                           : row % 3 == 1 ? -0.5
                                                                          : 0.1);
    const double rest = row % 3 == 2 ? 0.5 : 0.01;
    return 1.5 + 0.6 * slope * x + bend * x * x +
           rest * (fl_random_uniform(row, lane, 2) - 0.5) * x * x * (4.0 * x * x - 3.0);
}

static void check_ends(const fl_vector *vector, const ruled *own, uint64_t row, bool greatest)
{
    double top[MOST_DEGREE * FL_LANES], bottom[MOST_DEGREE * FL_LANES];
    double power[FL_LANES], point[FL_LANES];
    for (size_t n = 0; n < own->nodes; n++)
        for (size_t i = 0; i < FL_LANES; i++) {
            top[n * FL_LANES + i] = bent(row, i, own->place[n]);
            bottom[n * FL_LANES + i] = 2.0 + 0.1 * bent(row + 1, i, own->place[n]);
        }
    const fl_regrid lookup = {.nodes = own->nodes,
                              .points = own->points,
                              .matrix = own->matrix,
                              .bends = own->bends,
                              .highest = own->highest,
                              .roughest = 1e300,
                              .greatest = greatest};
    vector->worst_reflected(power, point, top, bottom, &lookup);
    for (size_t i = 0; i < FL_LANES; i++) {
        double wanted = greatest ? 0.0 : HUGE_VAL;
        for (size_t g = 0; g < own->points; g++) {
            const double x = grid_place(own, g);
            const double here = bent(row, i, x) / (2.0 + 0.1 * bent(row + 1, i, x));
            wanted = greatest ? fmax(wanted, here) : fmin(wanted, here);
        }
        check_close(wanted, power[i], 1e-12, "row %d, lane %zu", (int)row, i);
    }
}

/* The worst is found whether the power bends so that it must be at an end or not. */
static void test_ends(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    for (size_t nodes = 5; nodes <= MOST_DEGREE; nodes++)
        for (size_t points = MOST_GRID - 3; points <= MOST_GRID; points++) {
            ruled own;
            rule(&own, nodes, points);
            for (uint64_t row = 0; row < 60; row++) {
                check_ends(vector, &own, row, true);
                check_ends(vector, &own, row, false);
            }
        }
}

/* Lanes whose highest Chebyshev coefficients are too large, for the least of what is below, are
 * NaN: 0.01 i of the one and 0.02 of the other over 2 - 0.02. */
static void test_rough(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    for (size_t nodes = 5; nodes <= MOST_DEGREE; nodes++) {
        double top[MOST_DEGREE * FL_LANES], bottom[MOST_DEGREE * FL_LANES];
        double power[FL_LANES], point[FL_LANES];
        ruled own;
        rule(&own, nodes, MOST_GRID);
        for (size_t n = 0; n < nodes; n++)
            for (size_t i = 0; i < FL_LANES; i++) {
                const double highest = cos((double)(nodes - 1) * acos(own.place[n]));
                top[n * FL_LANES + i] = 1.0 + 0.01 * (double)i * highest;
                bottom[n * FL_LANES + i] = 2.0 - 0.02 * highest;
            }
        double least = bottom[0];
        for (size_t n = 1; n < nodes; n++)
            least = fmin(least, bottom[n * FL_LANES]);
        const fl_regrid lookup = {.nodes = nodes,
                                  .points = MOST_GRID,
                                  .matrix = own.matrix,
                                  .bends = own.bends,
                                  .highest = own.highest,
                                  .roughest = (0.02 + 0.205) / least,
                                  .greatest = true};
        vector->worst_reflected(power, point, top, bottom, &lookup);
        for (size_t i = 0; i < FL_LANES; i++)
            assert_int_equal(i > 20, isnan(power[i]) != 0);
    }
}

/* One power that is not finite makes its lane's worst NaN, and no other's. */
static void test_not_finite(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static const double bad[] = {0.0, HUGE_VAL, (double)NAN};
    double reflected[4 * FL_LANES], arrived[4 * FL_LANES], power[FL_LANES], point[FL_LANES];
    const fl_regrid lookup = {.nodes = 4, .points = 4, .greatest = true};
    for (size_t r = 0; r < sizeof bad / sizeof *bad; r++) {
        for (size_t i = 0; i < (size_t)4 * FL_LANES; i++)
            reflected[i] = arrived[i] = 1.0;
        reflected[FL_LANES + 9] = bad[r] > 0.0 ? bad[r] : 1.0;
        arrived[FL_LANES + 9] = bad[r] > 0.0 ? 1.0 : bad[r];
        vector->worst_reflected(power, point, reflected, arrived, &lookup);
        for (size_t i = 0; i < FL_LANES; i++)
            assert_int_equal(i == 9, !isfinite(power[i]));
    }
}

/* Losses by the C library, lanes and bins one by one. */
static void test_counts(void **width)
{
    const fl_vector *vector = vector_under_test(width);
    static const double powers[] = {0.0, -1.0, 1e-300, 1e-20, 1.0, 3.0, 1e-3, 0.5, 0.999, 1e12};
    const fl_ruler rulers[] = {{4.0, 2.5, 31.0}, {-1.0, 0.0, 31.0}};
    const uint64_t lanes[2] = {UINT64_C(0x8000000000000f01), UINT64_C(0x00ff)};
    static const double limits[] = {0.5, -1.0, 4.0};
    double row[FL_LANES], db[FL_LANES], sums[2][2] = {{1.0, 2.0}, {0.0, 0.0}},
                                        wanted[2] = {1.0, 2.0};
    const double *const rows[] = {row, db};
    uint64_t bins[2][FL_LANES], below[3] = {0}, got[3];
    for (size_t i = 0; i < FL_LANES; i++)
        row[i] = i < 10 ? powers[i] : 12.0 * fl_random_uniform(4, i, 0) - 2.0;
    vector->losses(db, row);
    vector->deviations(sums, bins, rows, rulers, 2, lanes);
    vector->below(got, row, limits, 3);
    for (size_t i = 0; i < FL_LANES; i++) {
        const double power = row[i] > 1e-20 ? row[i] : 1e-20;
        const double place = fmax(0.0, fmin(31.0, (row[i] - 4.0) * 2.5 + 15.5));
        check_near(-10.0 * log10(power), db[i], 1e-14 * (1.0 + fabs(db[i])), "loss of %g", row[i]);
        assert_int_equal((uint32_t)bins[0][i], 2 * (uint32_t)rint(place));
        assert_int_equal((uint32_t)bins[1][i], 2 * 16); /* the middle, 15.5, to the even one */
        for (size_t k = 0; k < 3; k++)
            below[k] |= (uint64_t)(row[i] < limits[k]) << i;
        for (size_t k = 0; k < 2; k++)
            wanted[k] += (lanes[k] >> i & 1) != 0 ? row[i] - 4.0 : 0.0;
    }
    assert_memory_equal(below, got, sizeof got);
    assert_true(vector->reaches(row, -2.5));
    for (size_t i = 0; i < FL_LANES; i++) {
        row[i] = nextafter(-2.5, -5.0);
        assert_true(!vector->reaches(row, -2.5));
        row[i] = (double)NAN;
        assert_true(!vector->reaches(row, -2.5));
        row[i] = -2.5;
    }
    assert_true(vector->reaches(row, -2.5));
    for (size_t k = 0; k < 2; k++)
        check_near(wanted[k], sums[0][k], 1e-3, "sum of lanes %zu", k); /* 1e12 is among them */
}

/** All of them at the width that an int holds. */
#define LANE_CHECKS(width)                                                                         \
    cmocka_unit_test_prestate(test_quantiles, width),                                              \
        cmocka_unit_test_prestate(test_random, width),                                             \
        cmocka_unit_test_prestate(test_counts, width),                                             \
        cmocka_unit_test_prestate(test_polynomials, width),                                        \
        cmocka_unit_test_prestate(test_marches, width),                                            \
        cmocka_unit_test_prestate(test_worst, width), cmocka_unit_test_prestate(test_ends, width), \
        cmocka_unit_test_prestate(test_rough, width),                                              \
        cmocka_unit_test_prestate(test_not_finite, width)

#endif
