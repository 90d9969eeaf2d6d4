/* Arcs and bundles: limits in two dimensions, hand-made sums of filaments, charges by pulses, and
 * random shapes. */
#include "check.h"

#include "models/arc.h"
#include "models/conductor.h"
#include "models/filament.h"
#include "sample.h"

static const double pi = 3.14159265358979323846;

static void straight(fl_arc *arc, double length, double height, size_t pieces)
{
    arc->pieces = pieces;
    for (size_t i = 0; i <= pieces; i++) {
        arc->run[i] = length * (double)i / (double)pieces;
        arc->height[i] = height;
    }
}

/* Inductance and, of more than 4 pieces, capacitance of a bundle as a whole. */
typedef struct sums {
    double inductance, capacitance;
} sums;

static sums solve(const fl_bundle *bundle)
{
    fl_error error = {0};
    fl_chain chain;
    sums all = {0.0, 0.0};
    const bool charges = bundle->plane && bundle->arc->pieces > 4;
    check_ok(fl_bundle_solve(&chain, bundle, charges, &error), error);
    for (size_t i = 0; i < bundle->arc->pieces; i++) {
        all.inductance += chain.inductance[i];
        all.capacitance += chain.capacitance[i];
    }
    return all;
}

static sums solve_straight(double length, double height, size_t pieces)
{
    fl_arc arc;
    fl_bundle bundle;
    straight(&arc, length, height, pieces);
    fl_bundle_wires(&bundle, &arc, 25e-6, 100e-6);
    return solve(&bundle);
}

/* Ends, top and length of a parabola: its slope is b / s - 2 c x / s^2, and the length has a closed
 * form in the slopes. */
static void test_parabola(void **unused)
{
    (void)unused;
    const fl_parabola p = {.span = 500e-6, .start = 110e-6, .end = 70e-6, .top = 120e-6};
    fl_arc arc;
    double length[2];
    for (int k = 0; k < 2; k++) {
        double top = 0.0;
        fl_arc_parabola(&arc, &p, k == 0 ? 32 : 64);
        for (size_t i = 0; i <= arc.pieces; i++)
            top = fmax(top, arc.height[i]);
        check_close(p.start, arc.height[0], 1e-15, "start");
        check_close(p.end, arc.height[arc.pieces], 1e-12, "end");
        check_close(p.span, arc.run[arc.pieces], 1e-15, "span");
        check_close(p.start + p.top, top, 1e-3, "top");
        length[k] = fl_arc_length(&arc);
    }
    const double root = sqrt(p.top * (p.top - p.end + p.start));
    const double first = (2.0 * p.top + 2.0 * root) / p.span;
    const double last = first - 2.0 * (first - (p.end - p.start) / p.span);
    const double wanted =
        (first * hypot(1.0, first) + asinh(first) - last * hypot(1.0, last) - asinh(last)) *
        p.span / (2.0 * (first - last));
    check_close(wanted, length[1], 2e-4, "64 chords");
    check_close(wanted, (4.0 * length[1] - length[0]) / 3.0, 1e-6, "chords extrapolated");
}

/* A long low wire: what a longer one has more is exact in two dimensions, mu0 / 2 pi acosh(h / a)
 * and 2 pi eps0 / acosh(h / a) [Ramo 1994]. */
static void test_long_wire(void **unused)
{
    (void)unused;
    static const double heights[] = {14e-6, 25e-6, 50e-6, 150e-6, 300e-6};
    for (size_t i = 0; i < sizeof heights / sizeof *heights; i++) {
        const double h = heights[i], shape = acosh(h / 12.5e-6);
        const sums one = solve_straight(0.2, h, 8), two = solve_straight(0.4, h, 16);
        check_close(fl_permeability() / (2.0 * pi) * shape, (two.inductance - one.inductance) / 0.2,
                    1e-6, "L' at %g", h);
        /* The parabola of the charge is not quite even near the ends. */
        check_close(2.0 * pi * fl_permittivity() / shape, (two.capacitance - one.capacitance) / 0.2,
                    1e-5, "C' at %g", h);
    }
}

/* Without a plane a straight wire is Rosa's, however it is cut. */
static void test_lone_wire(void **unused)
{
    (void)unused;
    fl_arc arc;
    fl_bundle bundle;
    for (size_t pieces = 1; pieces <= 64; pieces *= 2) {
        straight(&arc, 1e-3, 150e-6, pieces);
        fl_bundle_wires(&bundle, &arc, 25e-6, 0.0);
        bundle.plane = false;
        check_close(0.817527e-9, solve(&bundle).inductance, 1e-6, "%zu pieces", pieces);
        check_close(fl_round_inductance(1e-3, 12.5e-6), solve(&bundle).inductance, 1e-11,
                    "%zu pieces", pieces);
        /* Over ground, the image of the charge's height: h + sqrt(h^2 - a^2) away, not 2 h. */
        const double away = 150e-6 + sqrt(150e-6 * 150e-6 - 12.5e-6 * 12.5e-6);
        bundle.plane = true;
        check_close(fl_round_inductance(1e-3, 12.5e-6) - fl_round_inductance(1e-3, away),
                    solve(&bundle).inductance, 1e-11, "%zu pieces over ground", pieces);
        check_close(0.582554e-9, solve(&bundle).inductance, 1e-3, "with the image 2 h away");
    }
}

/* The roof of two straight parts [computed from filaments and their images, surface current]. The
 * parts of one wire act on each other at the distance of a radius, which is right for those of a
 * smooth arc; at a sharp corner it is worth up to mu0 / 2 pi times the radius. */
static void test_roof(void **unused)
{
    (void)unused;
    const fl_arc arc = {2, {0.0, 300e-6, 600e-6}, {100e-6, 250e-6, 100e-6}};
    fl_bundle bundle;
    fl_bundle_wires(&bundle, &arc, 25e-6, 0.0);
    check_near(0.380628e-9, solve(&bundle).inductance, 2e-7 * 12.5e-6, "over ground");
    bundle.plane = false;
    check_near(0.465530e-9, solve(&bundle).inductance, 2e-7 * 12.5e-6, "alone");
}

/* Inductance between two whole wires k pitches apart, by filaments as the bundle has them. */
static double whole(const fl_bundle *bundle, size_t k)
{
    const fl_arc *arc = bundle->arc;
    const double a = bundle->radius;
    double sum = 0.0;
    for (size_t i = 0; i < arc->pieces; i++) {
        for (size_t j = 0; j < arc->pieces; j++) {
            const fl_filament own = {{arc->run[i], 0, arc->height[i]},
                                     {arc->run[i + 1], 0, arc->height[i + 1]}};
            fl_filament other = {{arc->run[j], bundle->mean[k], arc->height[j]},
                                 {arc->run[j + 1], bundle->mean[k], arc->height[j + 1]}};
            sum += fl_filament_mutual(&own, &other);
            fl_filament low[2] = {own, other};
            for (int f = 0; f < 2; f++) {
                low[f].from[2] = (low[f].from[2] + sqrt(pow(low[f].from[2], 2) - a * a)) / 2.0;
                low[f].to[2] = (low[f].to[2] + sqrt(pow(low[f].to[2], 2) - a * a)) / 2.0;
                low[f].from[1] = low[f].to[1] = f == 0 ? 0.0 : (double)k * bundle->pitch;
            }
            low[1].from[2] *= -1.0;
            low[1].to[2] *= -1.0;
            sum -= bundle->plane ? fl_filament_mutual(&low[0], &low[1]) : 0.0;
        }
    }
    return sum;
}

/* 1 / (v' L^-1 v) with v one on the signal: plain elimination of the full matrix. */
static double reduced(const fl_bundle *bundle)
{
    const size_t n = bundle->signals + bundle->returns, first = bundle->returns == 2;
    double m[FL_BUNDLE_MOST][FL_BUNDLE_MOST + 1], x[FL_BUNDLE_MOST], couple[FL_BUNDLE_MOST];
    for (size_t k = 0; k < n; k++)
        couple[k] = whole(bundle, k);
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++)
            m[i][j] = couple[i > j ? i - j : j - i];
        m[i][n] = i >= first && i < first + bundle->signals;
    }
    for (size_t k = 0; k < n; k++)
        for (size_t i = k + 1; i < n; i++)
            for (size_t j = n + 1; j-- > k;)
                m[i][j] -= m[i][k] / m[k][k] * m[k][j];
    double total = 0.0;
    for (size_t i = n; i-- > 0;) {
        x[i] = m[i][n];
        for (size_t j = i + 1; j < n; j++)
            x[i] -= m[i][j] * x[j];
        x[i] /= m[i][i];
        total += i >= first && i < first + bundle->signals ? x[i] : 0.0;
    }
    return 1.0 / total;
}

static void a_loop(fl_arc *arc, fl_bundle *bundle, double pitch)
{
    const fl_parabola p = {.span = 500e-6, .start = 112.5e-6, .end = 72.5e-6, .top = 150e-6};
    fl_arc_parabola(arc, &p, 8);
    fl_bundle_wires(bundle, arc, 25e-6, pitch);
}

/* Rows of every kind, folded or not, against the full matrix. */
static void test_rows(void **unused)
{
    (void)unused;
    fl_arc arc;
    fl_bundle bundle;
    a_loop(&arc, &bundle, 80e-6);
    for (bundle.signals = 1; bundle.signals <= 4; bundle.signals++)
        for (bundle.returns = 0; bundle.returns <= 2; bundle.returns++)
            check_close(reduced(&bundle), solve(&bundle).inductance, 1e-11, "%zu and %zu returns",
                        bundle.signals, bundle.returns);
}

/* Two wires: (L + M) / 2, between a half of one and one [Grover 1946]. */
static void test_two_wires(void **unused)
{
    (void)unused;
    fl_arc arc;
    fl_bundle bundle;
    for (double pitch = 30e-6; pitch < 2e-3; pitch *= 2.0) {
        a_loop(&arc, &bundle, pitch);
        const double one = solve(&bundle).inductance;
        bundle.signals = 2;
        const double two = solve(&bundle).inductance;
        check_close((whole(&bundle, 0) + whole(&bundle, 1)) / 2.0, two, 1e-12, "pitch %g", pitch);
        assert_true(two > one / 2.0 && two < one);
    }
}

/* One return: Ls - M^2 / Lg. Two: Ls - 2 Msg^2 / (Lg + Mgg), which the loop formula
 * Ls + Lg / 2 + Mgg / 2 - 2 Msg [Grover 1946] tends to from above as the plane goes away and the
 * wires must carry all of the return: what is left falls as the logarithm of the height. */
static void test_returns(void **unused)
{
    (void)unused;
    fl_arc arc;
    fl_bundle bundle;
    double before = 1.0;
    for (double h = 1e-3; h < 1e7; h *= 100.0) {
        straight(&arc, 100.0 * h, h, 4);
        fl_bundle_wires(&bundle, &arc, 25e-6, 50e-6);
        const double own = whole(&bundle, 0), next = whole(&bundle, 1), over = whole(&bundle, 2);
        bundle.signals = bundle.returns = 1;
        check_close(own - next * next / own, solve(&bundle).inductance, 1e-9, "one at %g", h);
        bundle.returns = 2;
        const double two = solve(&bundle).inductance;
        check_close(own - 2.0 * next * next / (own + over), two, 1e-9, "two at %g", h);
        const double loop = own + own / 2.0 + over / 2.0 - 2.0 * next;
        const double more = loop / two - 1.0;
        assert_true(more > 0.0 && more < before);
        before = more;
    }
    assert_true(before < 0.02);
    /* Two returns, alone in space per length: 0.2 uH/m (3/2 ln(s/a) - ln(2)/2), from the logarithms
     * of the distances. */
    check_close(2e-7 * (1.5 * log(4.0) - 0.5 * log(2.0)),
                solve(&bundle).inductance / fl_arc_length(&arc), 0.02, "per length");
}

/* Each charge of a conductor cut into pieces with an even charge each: the same potential on all.
 * The parabola may only store less, as it is one of their shapes but for the pieces' steps, and the
 * pieces gather more at the free ends. */
static double by_pulses(const fl_arc *arc, double a)
{
    const size_t n = arc->pieces;
    double m[32][33], x[32], total = 0.0;
    assert_true(n <= 32);
    for (size_t i = 0; i < n; i++) {
        const fl_filament own = {{arc->run[i], 0, arc->height[i]},
                                 {arc->run[i + 1], 0, arc->height[i + 1]}};
        for (size_t j = 0; j < n; j++) {
            const fl_filament near = {{arc->run[j], a, arc->height[j]},
                                      {arc->run[j + 1], a, arc->height[j + 1]}};
            const fl_filament image = {{arc->run[j], 0, -arc->height[j]},
                                       {arc->run[j + 1], 0, -arc->height[j + 1]}};
            m[i][j] = fl_filament_potential(&own, &near) - fl_filament_potential(&own, &image);
        }
        m[i][n] = 1.0;
    }
    for (size_t k = 0; k < n; k++)
        for (size_t i = k + 1; i < n; i++)
            for (size_t j = n + 1; j-- > k;)
                m[i][j] -= m[i][k] / m[k][k] * m[k][j];
    for (size_t i = n; i-- > 0;) {
        x[i] = m[i][n];
        for (size_t j = i + 1; j < n; j++)
            x[i] -= m[i][j] * x[j];
        total += x[i] /= m[i][i];
    }
    return total;
}

static void test_charges(void **unused)
{
    (void)unused;
    const fl_parabola shapes[] = {{500e-6, 112.5e-6, 112.5e-6, 75e-6},
                                  {500e-6, 112.5e-6, 72.5e-6, 150e-6},
                                  {300e-6, 262.5e-6, 62.5e-6, 100e-6},
                                  {900e-6, 112.5e-6, 152.5e-6, 250e-6}};
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        fl_arc arc;
        fl_bundle bundle;
        fl_arc_parabola(&arc, &shapes[i], 16);
        fl_bundle_wires(&bundle, &arc, 25e-6, 0.0);
        const double smooth = solve(&bundle).capacitance, pulses = by_pulses(&arc, 12.5e-6);
        assert_true(smooth < 1.002 * pulses);
        check_close(pulses, smooth, 0.03, "shape %zu", i);
    }
}

/* From the land to the die: the same pieces in the other order. All sizes twice: twice the sums. */
static void test_symmetry(void **unused)
{
    (void)unused;
    const fl_parabola there = {500e-6, 112.5e-6, 72.5e-6, 150e-6};
    const fl_parabola back = {500e-6, 72.5e-6, 112.5e-6, 190e-6};
    const fl_parabola twice = {1e-3, 225e-6, 145e-6, 300e-6};
    fl_arc arc[3];
    fl_chain chain[3];
    fl_error error = {0};
    fl_arc_parabola(&arc[0], &there, 20);
    fl_arc_parabola(&arc[1], &back, 20);
    fl_arc_parabola(&arc[2], &twice, 20);
    for (int i = 0; i < 3; i++) {
        fl_bundle bundle;
        fl_bundle_wires(&bundle, &arc[i], i < 2 ? 25e-6 : 50e-6, i < 2 ? 80e-6 : 160e-6);
        bundle.signals = 2;
        bundle.returns = 1;
        check_ok(fl_bundle_solve(&chain[i], &bundle, true, &error), error);
    }
    for (size_t i = 0; i < 20; i++) {
        check_close(chain[0].inductance[i], chain[1].inductance[19 - i], 1e-9, "L of %zu", i);
        check_close(chain[0].capacitance[i], chain[1].capacitance[19 - i], 1e-9, "C of %zu", i);
        check_close(2.0 * chain[0].inductance[i], chain[2].inductance[i], 1e-9, "2 L of %zu", i);
        check_close(2.0 * chain[0].capacitance[i], chain[2].capacitance[i], 1e-9, "2 C of %zu", i);
    }
}

/* Shapes of the trade and around: all is positive, settled against half of the pieces, and the wave
 * is not faster than light along the line of sight between the ends. */
static void test_random_loops(void **unused)
{
    (void)unused;
    uint64_t state = 3;
    for (int i = 0; i < 300; i++) {
        const double diameter = sample_between(&state, 15e-6, 50e-6);
        const double span = sample_between(&state, 6.0 * diameter, 2e-3);
        const double start = diameter / 2.0 + sample_between(&state, 20e-6, 300e-6);
        const double top = span * sample_between(&state, 0.1, 0.8);
        const double rise = sample_between(&state, -0.5, 0.5) * fmin(top, start);
        const fl_parabola p = {span, start, start + rise, top};
        sums found[2];
        for (int k = 0; k < 2; k++) {
            fl_arc arc;
            fl_bundle bundle;
            fl_arc_parabola(&arc, &p, k == 0 ? 16 : 32);
            fl_bundle_wires(&bundle, &arc, diameter, diameter * (2.0 + (double)(i % 5)));
            bundle.signals = (size_t)(1 + i % 4);
            bundle.returns = (size_t)(i % 3);
            found[k] = solve(&bundle);
        }
        check_close(found[1].inductance, found[0].inductance, 0.02, "L of loop %d", i);
        check_close(found[1].capacitance, found[0].capacitance, 0.02, "C of loop %d", i);
        assert_true(299792458.0 * sqrt(found[1].inductance * found[1].capacitance) >
                    hypot(span, rise));
    }
}

/* Wires that lie in the plane or in each other have no solution, and say so. */
static void test_failures(void **unused)
{
    (void)unused;
    fl_arc arc;
    fl_bundle bundle;
    fl_error error = {0};
    fl_chain chain = {.share = 7.0};
    straight(&arc, 1e-3, 12.5e-6, 8);
    fl_bundle_wires(&bundle, &arc, 25e-6, 0.0);
    assert_int_equal(fl_bundle_solve(&chain, &bundle, true, &error), FL_BAD_INPUT);
    assert_non_null(strstr(error.message, "touch"));
    straight(&arc, 1e-3, 100e-6, 8);
    fl_bundle_wires(&bundle, &arc, 25e-6, 1e-6);
    bundle.signals = 3;
    assert_int_equal(fl_bundle_solve(&chain, &bundle, true, &error), FL_BAD_INPUT);
    check_near(7.0, chain.share, 0.0, "left as it was");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_parabola),  cmocka_unit_test(test_long_wire),
        cmocka_unit_test(test_lone_wire), cmocka_unit_test(test_roof),
        cmocka_unit_test(test_rows),      cmocka_unit_test(test_two_wires),
        cmocka_unit_test(test_returns),   cmocka_unit_test(test_charges),
        cmocka_unit_test(test_symmetry),  cmocka_unit_test(test_random_loops),
        cmocka_unit_test(test_failures)};
    return cmocka_run_group_tests_name("models/arc", tests, NULL, NULL);
}
