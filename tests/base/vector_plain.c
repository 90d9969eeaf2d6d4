/* Operations on lanes against the same formulas by the C library, lane by lane. */
#include <complex.h>

#include "lanes.h"

typedef double _Complex number;

#define J ((number)_Complex_I)

static number pair(const double *state, size_t node, size_t row, size_t lane)
{
    const double *at = state + node * FL_WAVE + row * FL_LANES + lane;
    return at[0] + J * at[FL_LANES];
}

/* Counters across the end of a word, and the distribution's tails. */
static void test_random(void **unused)
{
    (void)unused;
    static const uint64_t firsts[] = {0, 77, UINT64_C(0xffffffe0), UINT64_C(1) << 40};
    double u[FL_LANES], z[FL_LANES];
    for (size_t r = 0; r < sizeof firsts / sizeof *firsts; r++)
        for (uint32_t item = 0; item < 40; item++) {
            fl_vector_plain()->uniforms(u, 1 + r, firsts[r], item);
            fl_vector_plain()->quantiles(z, u);
            for (size_t i = 0; i < FL_LANES; i++) {
                check_near(fl_random_uniform(1 + r, firsts[r] + i, item), u[i], 0.0, "uniform");
                /* The tails' logarithm is good to a unit of the last place. */
                check_close(fl_normal_quantile(u[i]), z[i], 1e-15, "quantile of %.17g", u[i]);
            }
        }
    for (size_t i = 0; i < FL_LANES; i++)
        u[i] = i < 40 ? pow(10.0, -0.4 * (double)i) : 1.0 - pow(2.0, -(double)(i - 39));
    u[0] = 0.075;
    fl_vector_plain()->quantiles(z, u);
    for (size_t i = 0; i < FL_LANES; i++)
        check_near(fl_normal_quantile(u[i]), z[i], 1e-15 * fabs(z[i]), "quantile of %.17g", u[i]);
}

static void test_polynomials(void **unused)
{
    (void)unused;
    static lane_input in;
    static lane_output out;
    lane_fill(&in, &lane_reaches[0]);
    lane_run(&out, fl_vector_plain(), &in);
    for (size_t i = 0; i < FL_LANES; i++) {
        const double x = in.values[i], y = in.values[FL_LANES + i];
        const double products[] = {1.0, x, y, x * y};
        for (size_t r = 0; r < 7; r++) {
            double sum = 0.0;
            for (size_t t = 0; t < 4; t++)
                sum += in.fixed[r + t] * products[t];
            check_near(sum, out.sums[r][i], 0.0, "row %zu", r);
        }
    }
}

typedef struct expected {
    number series, shunt[3], cosh, sinh, wave_cosh, wave_sinh;
    double z, wave_z;
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
        .wave_z = mean[0]};
}

static void check_state(const lane_output *out, size_t which, size_t n, size_t lane, number v,
                        number i, double room)
{
    const number got_v = pair(out->states[which], n, 0, lane);
    const number got_i = pair(out->states[which], n, 2, lane);
    check_near(0.0, cabs(got_v - v), room, "step %zu, node %zu, lane %zu: V", which, n, lane);
    check_near(0.0, cabs(got_i - i), room, "step %zu, node %zu, lane %zu: I", which, n, lane);
}

static void check_lane(const lane_input *in, const lane_output *out, size_t n, size_t lane)
{
    const expected e = expect(in, n, lane);
    const number v = pair(in->state, n, 0, lane), i = pair(in->state, n, 2, lane);
    const double *f = in->fixed + 8 * n, *x = in->fixed + 2 * n;
    const double size = (cabs(v) + 120.0 * cabs(i)) * (cabs(e.cosh) + cabs(e.sinh)) + 1.0;
    /* Rounding, and the libraries' own, of angles up to 3e5 in steps of 6e-11. */
    const double far = in->values[2 * FL_LANES + lane] * 2e-16, room = size * (1e-14 + far);
    const number wave_open = e.wave_sinh / e.wave_cosh / e.wave_z;
    const number open = e.sinh / e.cosh / e.z, shorted = e.cosh / e.sinh / e.z;
    check_state(out, 0, n, lane, v + e.series * i, i, room + 1e-15 * cabs(e.series * i));
    check_state(out, 1, n, lane, v, i + e.shunt[0] * v, room);
    check_state(out, 2, n, lane, v, i + e.shunt[1] * v, room);
    check_state(out, 3, n, lane, e.cosh * v + e.z * e.sinh * i, e.cosh * i + e.sinh * v / e.z,
                room);
    check_state(out, 4, n, lane, v, i + open * v, room * (1.0 + cabs(open * open) * e.z * e.z));
    check_state(out, 5, n, lane, v, i + shorted * v,
                room * (1.0 + cabs(shorted * shorted) * e.z * e.z));
    check_state(out, 6, n, lane, e.wave_cosh * v + e.wave_z * e.wave_sinh * i,
                e.wave_cosh * i + e.wave_sinh * v / e.wave_z,
                room * (cabs(e.wave_cosh) + cabs(e.wave_sinh)));
    check_state(out, 7, n, lane, v, i + wave_open * v,
                room * (1.0 + cabs(wave_open * wave_open) * e.wave_z * e.wave_z));
    check_state(out, 8, n, lane, (f[0] + J * f[1]) * v + (f[2] + J * f[3]) * i,
                (f[4] + J * f[5]) * v + (f[6] + J * f[7]) * i, 1e-14);
    check_state(out, 9, n, lane, v + (x[0] + J * x[1]) * i, i, 1e-14);
    check_state(out, 10, n, lane, v, i + (x[0] + J * x[1]) * v, 1e-14);
}

static void test_steps(void **unused)
{
    (void)unused;
    static lane_input in;
    static lane_output out;
    for (size_t r = 0; r < LANE_REACHES; r++) {
        lane_fill(&in, &lane_reaches[r]);
        lane_run(&out, fl_vector_plain(), &in);
        for (size_t n = 0; n < LANE_NODES; n++)
            for (size_t lane = 0; lane < FL_LANES; lane++)
                check_lane(&in, &out, n, lane);
    }
}

/* The worst of a grid, point by point. */
static void test_worst(void **unused)
{
    (void)unused;
    static lane_input in;
    static lane_output out;
    lane_fill(&in, &lane_reaches[0]);
    lane_run(&out, fl_vector_plain(), &in);
    for (size_t lane = 0; lane < FL_LANES; lane++) {
        double most = 0.0, least = HUGE_VAL;
        for (size_t g = 0; g < LANE_POINTS; g++) {
            double top = 0.0, bottom = 0.0;
            for (size_t n = 0; n < LANE_NODES; n++) {
                const double weight = in.matrix[g / 4 * 4 * LANE_NODES + n * 4 + g % 4];
                const number z = in.fixed[2 * n] + J * in.fixed[2 * n + 1];
                const number v = pair(in.state, n, 0, lane), i = pair(in.state, n, 2, lane);
                const double p = cabs(v - conj(z) * i), q = cabs(v + z * i);
                top += weight * p * p;
                bottom += weight * q * q;
            }
            most = fmax(most, top / bottom);
            least = fmin(least, in.scale[g] / bottom);
        }
        check_close(most, out.power[0][lane], 1e-13, "greatest reflection");
        check_close(least, out.power[1][lane], 1e-13, "least transmission");
        assert_true(out.point[0][lane] < LANE_POINTS && out.point[2][lane] < LANE_NODES);
    }
}

/* One power that is not finite makes its lane's worst NaN, and no other's. */
static void test_not_finite(void **unused)
{
    (void)unused;
    static const double bad[] = {0.0, HUGE_VAL, (double)NAN};
    double reflected[4 * FL_LANES], arrived[4 * FL_LANES], power[FL_LANES], point[FL_LANES];
    const fl_regrid lookup = {4, 4, NULL, NULL, true};
    for (size_t r = 0; r < sizeof bad / sizeof *bad; r++) {
        for (size_t i = 0; i < 4 * FL_LANES; i++)
            reflected[i] = arrived[i] = 1.0;
        reflected[FL_LANES + 9] = bad[r] > 0.0 ? bad[r] : 1.0;
        arrived[FL_LANES + 9] = bad[r] > 0.0 ? 1.0 : bad[r];
        fl_vector_plain()->worst_reflected(power, point, reflected, arrived, &lookup);
        for (size_t i = 0; i < FL_LANES; i++)
            assert_int_equal(i == 9, !isfinite(power[i]));
    }
}

/* Losses by the C library, lanes and bins one by one. */
static void test_counts(void **unused)
{
    (void)unused;
    static const double powers[] = {0.0, -1.0, 1e-300, 1e-20, 1.0, 3.0, 1e-3, 0.5, 0.999, 1e12};
    const fl_ruler ruler = {4.0, 2.5, 31.0};
    const uint64_t lanes[2] = {UINT64_C(0x8000000000000f01), UINT64_C(0x00ff)};
    double row[FL_LANES], db[FL_LANES], sums[2], wanted[2] = {0.0};
    uint64_t bins[FL_LANES], below = 0;
    for (size_t i = 0; i < FL_LANES; i++)
        row[i] = i < 10 ? powers[i] : 12.0 * fl_random_uniform(4, i, 0) - 2.0;
    fl_vector_plain()->losses(db, row);
    fl_vector_plain()->deviations(sums, bins, row, &ruler, lanes);
    for (size_t i = 0; i < FL_LANES; i++) {
        const double power = row[i] > 1e-20 ? row[i] : 1e-20;
        const double place = fmax(0.0, fmin(31.0, (row[i] - 4.0) * 2.5 + 15.5));
        check_near(-10.0 * log10(power), db[i], 1e-14 * (1.0 + fabs(db[i])), "loss of %g", row[i]);
        assert_int_equal(bins[i], (uint64_t)rint(place));
        below |= (uint64_t)(row[i] < 0.5) << i;
        for (size_t k = 0; k < 2; k++)
            wanted[k] += (lanes[k] >> i & 1) != 0 ? row[i] - 4.0 : 0.0;
    }
    assert_true(below == fl_vector_plain()->below(row, 0.5));
    for (size_t k = 0; k < 2; k++)
        check_near(wanted[k], sums[k], 1e-3, "sum of lanes %zu", k); /* 1e12 is among them */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random),      cmocka_unit_test(test_counts),
        cmocka_unit_test(test_polynomials), cmocka_unit_test(test_steps),
        cmocka_unit_test(test_worst),       cmocka_unit_test(test_not_finite),
    };
    return cmocka_run_group_tests_name("base/vector_plain", tests, NULL, NULL);
}
