/* Filaments: closed forms of the literature, the double integral by adaptive quadrature, and sums
 * that must not depend on how a wire is cut. */
#include "check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

#include "models/conductor.h"
#include "models/filament.h"
#include "sample.h"

static const double nano = 1e-9;

/* Inner integral from the point at s of a, by the logarithm of distances. */
typedef struct pair {
    const fl_filament *a, *b;
} pair;

static double distance(const double p[3], const double q[3])
{
    return sqrt(pow(p[0] - q[0], 2) + pow(p[1] - q[1], 2) + pow(p[2] - q[2], 2));
}

static double inner(double s, void *data)
{
    const pair *both = data;
    double point[3];
    for (int k = 0; k < 3; k++)
        point[k] = both->a->from[k] + s * (both->a->to[k] - both->a->from[k]);
    const double length = distance(both->b->from, both->b->to);
    const double sum = distance(point, both->b->from) + distance(point, both->b->to);
    return 2.0 * atanh(length / sum) * distance(both->a->from, both->a->to);
}

static double by_quadrature(const fl_filament *a, const fl_filament *b)
{
    gsl_set_error_handler_off();
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(1000);
    pair both = {a, b};
    const gsl_function f = {inner, &both};
    double result, error;
    gsl_integration_qag(&f, 0.0, 1.0, 0.0, 1e-12, 1000, GSL_INTEG_GAUSS61, w, &result, &error);
    gsl_integration_workspace_free(w);
    return result;
}

/* Values computed from the formulas of the sources, each confirmed by the double integral. */
static void test_published_forms(void **unused)
{
    (void)unused;
    static const struct {
        fl_filament a, b;
        double mutual, relative;
        const char *source;
    } rows[] = {
        {{{0, 0, 0}, {1e-3, 0, 0}},
         {{0, 1e-4, 0}, {1e-3, 1e-4, 0}},
         0.41864707763717607,
         1e-12,
         "Rosa 1908, 0.1 mm"},
        {{{0, 0, 0}, {1e-3, 0, 0}},
         {{0, 2e-4, 0}, {1e-3, 2e-4, 0}},
         0.2985268877108392,
         1e-12,
         "Rosa 1908, 0.2 mm"},
        {{{0, 0, 0}, {5e-4, 0, 0}},
         {{0, 1.5e-4, 0}, {5e-4, 1.5e-4, 0}},
         0.1174865821207476,
         1e-12,
         "Rosa 1908, 0.5 mm long"},
        {{{0, 0, 0}, {1e-3, 0, 0}},
         {{0, 1e-3, 0}, {1e-3, 1e-3, 0}},
         0.09343200492928962,
         1e-12,
         "Rosa 1908, as far as long"},
        {{{0, 0, 0}, {1e-3, 0, 0}},
         {{1.2e-3, 3e-4, 0}, {1.8e-3, 3e-4, 0}},
         0.06365967282442856,
         1e-12,
         "Grover 1946 ch. 6, unequal"},
        {{{0, 0, 0}, {5e-4, 0, 0}},
         {{0, 0, 0}, {3.5e-4, 6.062177826491071e-4, 0}},
         0.06425368894119732,
         1e-12,
         "Grover 1946 ch. 7, meeting at 60 degrees"},
        {{{0, 0, 0}, {1e-3, 0, 0}},
         {{0, 2e-4, 0}, {9e-4, 5e-4, 3e-4}},
         0.18709617216254287,
         1e-11,
         "Campbell 1915, skew"},
        {{{0, 0, 0}, {8e-4, 0, 1e-4}},
         {{2e-4, 1.5e-4, 5e-5}, {1e-3, 3.5e-4, 4e-4}},
         0.1773843383399967,
         1e-11,
         "Campbell 1915, skew and near"},
        {{{0, 0, 0}, {5e-4, 0, 2.5e-4}},
         {{5e-4, 1e-4, 2.5e-4}, {1e-3, 1e-4, 0}},
         0.043880690237153546,
         1e-11,
         "Campbell 1915, two halves of a roof"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        check_close(rows[i].mutual * nano, fl_filament_mutual(&rows[i].a, &rows[i].b),
                    rows[i].relative, "%s", rows[i].source);
        check_close(rows[i].mutual * nano, fl_filament_mutual(&rows[i].b, &rows[i].a),
                    rows[i].relative, "%s, the other way", rows[i].source);
        check_close(by_quadrature(&rows[i].a, &rows[i].b),
                    fl_filament_integral(&rows[i].a, &rows[i].b), 1e-9, "%s, integral",
                    rows[i].source);
    }
}

/* Filaments in space: any; nearly parallel; end to end with a small gap. */
static void random_filaments(fl_filament *a, fl_filament *b, int kind, uint64_t *state)
{
    const double small = pow(10.0, -5.0 * sample_random(state));
    const double share = 0.2 + sample_random(state);
    for (int k = 0; k < 3; k++) {
        a->from[k] = sample_random(state);
        a->to[k] = sample_random(state);
        b->from[k] =
            kind == 2 ? a->to[k] + small * (sample_random(state) - 0.5) : sample_random(state);
        b->to[k] = kind == 1 ? b->from[k] + share * (a->to[k] - a->from[k]) +
                                   small * (sample_random(state) - 0.5)
                             : sample_random(state);
    }
}

static void test_against_quadrature(void **unused)
{
    (void)unused;
    uint64_t state = 1;
    for (int i = 0; i < 3000; i++) {
        fl_filament a, b;
        random_filaments(&a, &b, i % 3, &state);
        check_close(by_quadrature(&a, &b), fl_filament_integral(&a, &b), 1e-9, "pair %d", i);
    }
}

/* A cut of both filaments anywhere leaves the sum: closed forms and quadrature in turn. */
static void test_cuts(void **unused)
{
    (void)unused;
    uint64_t state = 2;
    for (int i = 0; i < 3000; i++) {
        fl_filament a, b;
        random_filaments(&a, &b, i % 3, &state);
        fl_filament first = a, second = a;
        const double cut = sample_random(&state);
        for (int k = 0; k < 3; k++)
            first.to[k] = second.from[k] = a.from[k] + cut * (a.to[k] - a.from[k]);
        check_close(fl_filament_integral(&a, &b),
                    fl_filament_integral(&first, &b) + fl_filament_integral(&second, &b), 2e-11,
                    "pair %d cut at %g", i, cut);
    }
}

/* In line, a gap g between: (l+m+g) ln(l+m+g) - (l+g) ln(l+g) - (m+g) ln(m+g) + g ln g, the limit
 * of the parallel form [Grover 1946 ch. 6]; and touching, g = 0. */
static void test_in_line(void **unused)
{
    (void)unused;
    static const double gaps[] = {1.0, 0.1, 1e-3, 1e-6, 0.0};
    const double l = 0.7, m = 0.4;
    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++) {
        const double g = gaps[i];
        const fl_filament a = {{0, 0, 0}, {l, 0, 0}}, b = {{l + g, 0, 0}, {l + g + m, 0, 0}};
        const double wanted = (l + m + g) * log(l + m + g) - (l + g) * log(l + g) -
                              (m + g) * log(m + g) + (g > 0.0 ? g * log(g) : 0.0);
        check_close(wanted, fl_filament_integral(&a, &b), 1e-12, "gap %g", g);
    }
}

/* Directions turn the sign of the mutual inductance, never of the integral. */
static void test_directions(void **unused)
{
    (void)unused;
    const fl_filament a = {{0, 0, 0}, {1, 0, 0}}, b = {{0.1, 0.5, 0.2}, {0.8, 0.9, 0.4}};
    const fl_filament turned = {{0.8, 0.9, 0.4}, {0.1, 0.5, 0.2}}, across = {{0, 1, 0}, {0, 2, 0}};
    check_close(-fl_filament_mutual(&a, &b), fl_filament_mutual(&a, &turned), 1e-13, "turned");
    check_close(fl_filament_integral(&a, &b), fl_filament_integral(&a, &turned), 1e-13, "turned");
    check_near(0.0, fl_filament_mutual(&a, &across), 1e-22, "at a right angle");
}

/* Two distant filaments are point charges: 1 / (4 pi eps0 R). */
static void test_potential(void **unused)
{
    (void)unused;
    const fl_filament a = {{0, 0, 0}, {1e-3, 0, 0}}, b = {{0, 0, 10}, {0, 2e-3, 10}};
    check_close(8.9875517923e9 / 10.0, fl_filament_potential(&a, &b), 1e-7, "far apart");
    check_close(8.8541878128e-12, fl_permittivity(), 1e-9, "permittivity of vacuum");
    check_close(1.25663706212e-6, fl_permeability(), 1e-9, "permeability of vacuum");
}

/* Inductance of a wire of straight parts from filaments, and of their images. */
static double wire_inductance(const double (*points)[3], int parts, double radius, bool plane)
{
    double sum = 0.0;
    for (int i = 0; i < parts; i++) {
        fl_filament own, other;
        memcpy(own.from, points[i], sizeof own.from);
        memcpy(own.to, points[i + 1], sizeof own.to);
        for (int j = 0; j < parts; j++) {
            memcpy(other.from, points[j], sizeof other.from);
            memcpy(other.to, points[j + 1], sizeof other.to);
            sum += i == j ? fl_round_inductance(fl_filament_length(&own), radius)
                          : fl_filament_mutual(&own, &other);
            other.from[2] = -other.from[2];
            other.to[2] = -other.to[2];
            sum -= plane ? fl_filament_mutual(&own, &other) : 0.0;
        }
    }
    return sum;
}

/* Partial inductances and images, surface current: values computed apart from this code. */
static void test_wires_over_ground(void **unused)
{
    (void)unused;
    const double r = 12.5e-6;
    const double flat[2][3] = {{0, 0, 150e-6}, {1e-3, 0, 150e-6}};
    const double roof[3][3] = {{0, 0, 100e-6}, {300e-6, 0, 250e-6}, {600e-6, 0, 100e-6}};
    const double high[3][3] = {{0, 0, 1.0}, {300e-6, 0, 1.00015}, {600e-6, 0, 1.0}};
    check_close(0.5825537864578504 * nano, wire_inductance(flat, 1, r, true), 1e-11, "flat wire");
    check_close(0.817527 * nano, wire_inductance(flat, 1, r, false), 1e-6, "flat wire alone");
    check_close(0.38062808138237657 * nano, wire_inductance(roof, 2, r, true), 1e-10, "roof");
    check_close(0.4655295297672712 * nano, wire_inductance(high, 2, r, true), 1e-10,
                "roof one metre up");
}

/* A rectangle of wire, surface current [Grover 1946 ch. 8, his formula without the inside]. */
static void test_rectangle(void **unused)
{
    (void)unused;
    const double a = 3e-3, b = 2e-3, r = 1e-6, d = hypot(a, b);
    const double corners[5][3] = {{0, 0, 0}, {a, 0, 0}, {a, b, 0}, {0, b, 0}, {0, 0, 0}};
    const double wanted = 4e-7 * (a * log(2.0 * a / r) + b * log(2.0 * b / r) + 2.0 * d -
                                  a * asinh(a / b) - b * asinh(b / a) - 2.0 * (a + b) + 2.0 * r);
    /* The formula's wire is long: what is left is of the order (r / b)^2. */
    check_close(wanted, wire_inductance(corners, 4, r, false), 1e-6, "rectangle");
}

/* What overlaps has no finite integral, but no infinity comes out. */
static void test_degenerate(void **unused)
{
    (void)unused;
    const fl_filament a = {{0, 0, 0}, {1, 0, 0}}, over = {{0.2, 0, 0}, {0.9, 0, 0}};
    const fl_filament crossing = {{0.5, -1, 0}, {0.5, 1, 0}}, none = {{0, 1, 0}, {0, 1, 0}};
    assert_true(isfinite(fl_filament_integral(&a, &a)));
    assert_true(isfinite(fl_filament_integral(&a, &over)));
    assert_true(isfinite(fl_filament_integral(&a, &none)));
    /* Two bars that cross in their middles, lengths 1 and 2: four meeting pairs of 1/2 and 1,
     * each l asinh(m / l) + m asinh(l / m) [from the form of filaments that meet]. */
    check_close(4.0 * (0.5 * asinh(2.0) + asinh(0.5)), fl_filament_integral(&a, &crossing), 1e-12,
                "crossing");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_published_forms),
                                       cmocka_unit_test(test_against_quadrature),
                                       cmocka_unit_test(test_cuts),
                                       cmocka_unit_test(test_in_line),
                                       cmocka_unit_test(test_directions),
                                       cmocka_unit_test(test_potential),
                                       cmocka_unit_test(test_wires_over_ground),
                                       cmocka_unit_test(test_rectangle),
                                       cmocka_unit_test(test_degenerate)};
    return cmocka_run_group_tests_name("models/filament", tests, NULL, NULL);
}
