/* Disc over a plane: far and near limits, and rings of charge as another route. */
#include "check.h"

#include <gsl/gsl_sf_ellint.h>

#include "models/disc.h"
#include "models/filament.h"

static const double pi = 3.14159265358979323846;

/* Far off: 8 eps0 a / (1 - a / pi h), a disc in space and the potential of its image. Near: two
 * discs in series [Kirchhoff 1877], eps0 (pi a^2 / h + 2 a (ln(8 pi a / h) - 1)), which leaves out
 * terms of the order h ln^2(h / a). */
static void test_limits(void **unused)
{
    (void)unused;
    const double eps0 = fl_permittivity();
    for (double h = 20.0; h < 3000.0; h *= 3.0)
        check_close(8.0 * eps0 / (1.0 - 1.0 / (pi * h)), fl_disc_capacitance(1.0, h),
                    0.2 / (h * h * h), "height %g", h);
    for (double h = 0.25; h >= 0.125; h *= 0.5) {
        const double wanted = eps0 * (pi / h + 2.0 * (log(8.0 * pi / h) - 1.0));
        const double got = fl_disc_capacitance(1.0, h);
        assert_true(got > wanted);
        check_close(wanted, got, 0.1 * h * pow(log(h), 2) + 0.05, "height %g", h);
    }
}

/* Mean inverse distance of two circles: 2 K(k) / (pi s), s their farthest points' distance. */
static double ring_potential(double r, double q, double z)
{
    const double far = hypot(r + q, z);
    const double k = 2.0 * sqrt(r * q) / far;
    return 2.0 / (pi * far) * gsl_sf_ellint_Kcomp(fmin(k, 1.0 - 1e-14), GSL_PREC_DOUBLE);
}

/* Rings at r = sin(t) hold the charge of a free disc but for a smooth factor; a ring acts on
 * itself as a wire with the radius of a quarter of its share of the width. */
static double by_rings(double height)
{
    enum { N = 60 };
    double matrix[N][N + 1];
    for (int i = 0; i < N; i++) {
        const double t = pi / 2.0 * (i + 0.5) / N, r = sin(t);
        for (int j = 0; j < N; j++) {
            const double u = pi / 2.0 * (j + 0.5) / N, q = sin(u);
            const double own = log(8.0 * r * 4.0 / (pi / 2.0 / N * cos(t))) / (pi * r);
            matrix[i][j] =
                (i == j ? own : ring_potential(r, q, 0.0)) - ring_potential(r, q, 2.0 * height);
        }
        matrix[i][N] = 1.0;
    }
    double total = 0.0, x[N];
    for (int k = 0; k < N; k++)
        for (int i = k + 1; i < N; i++)
            for (int j = N; j >= k; j--)
                matrix[i][j] -= matrix[i][k] / matrix[k][k] * matrix[k][j];
    for (int i = N - 1; i >= 0; i--) {
        x[i] = matrix[i][N];
        for (int j = i + 1; j < N; j++)
            x[i] -= matrix[i][j] * x[j];
        total += x[i] /= matrix[i][i];
    }
    return 4.0 * pi * fl_permittivity() * total;
}

static void test_rings(void **unused)
{
    (void)unused;
    static const double heights[] = {0.125, 0.25, 0.5, 1.0, 2.0, 8.0};
    for (size_t i = 0; i < sizeof heights / sizeof *heights; i++)
        check_close(by_rings(heights[i]), fl_disc_capacitance(1.0, heights[i]), 1.5e-2, "height %g",
                    heights[i]);
}

/* C / (eps0 a) of two discs d apart, solved elsewhere with 400 nodes and more [Love1949]; a pad
 * over ground at h = d / 2 has twice that. */
static void test_love(void **unused)
{
    (void)unused;
    static const struct {
        double apart, capacitance, relative;
    } rows[] = {{0.05, 68.92852511222, 3e-5},    {0.1, 36.93232194211126, 1e-8},
                {0.2, 20.703049015182955, 1e-8}, {0.5, 10.718299220260972, 1e-8},
                {1.0, 7.283139931330496, 1e-8},  {2.0, 5.552108938274179, 1e-8}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_close(2.0 * fl_permittivity() * rows[i].capacitance,
                    fl_disc_capacitance(1.0, rows[i].apart / 2.0), rows[i].relative, "apart %g",
                    rows[i].apart);
}

/* Disc on a slab: the same equation with its kernel integrated over wavenumbers, solved elsewhere
 * [Chew1980]; their closed form, typed from memory, within 1 % for er under 3 and 2.5 % above. */
static void test_slab(void **unused)
{
    (void)unused;
    static const struct {
        double radius, height, permittivity, capacitance, closed, relative;
    } rows[] = {{1e-3, 100e-6, 2.65, 8.705133871766796e-13, 8.673218945033856e-13, 0.01},
                {500e-6, 127e-6, 2.2, 1.7620869653631664e-13, 1.7463517274183173e-13, 0.01},
                {250e-6, 127e-6, 2.2, 5.686292786026119e-14, 5.665132804957877e-14, 0.01},
                {250e-6, 168e-6, 3.48, 7.147726499519601e-14, 7.194543276773642e-14, 0.01},
                {100e-6, 100e-6, 12.9, 7.725226819817965e-14, 7.904368177815008e-14, 0.025},
                {50e-6, 10e-6, 3.9, 3.503464912582715e-14, 3.4845531404612086e-14, 0.01},
                {300e-6, 254e-6, 9.8, 1.9290140929232707e-13, 1.958385799239239e-13, 0.025}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double found = fl_disc_on_slab(rows[i].radius, rows[i].height, rows[i].permittivity);
        check_close(rows[i].capacitance, found, 1e-8, "radius %g", rows[i].radius);
        check_close(rows[i].closed, found, rows[i].relative, "closed, radius %g", rows[i].radius);
    }
}

/* Twice the size, twice the capacitance; nearer, more of it. */
static void test_scale(void **unused)
{
    (void)unused;
    check_close(2.0 * fl_disc_capacitance(40e-6, 30e-6), fl_disc_capacitance(80e-6, 60e-6), 1e-13,
                "scale");
    for (double h = 0.125; h < 4.0; h *= 1.1)
        assert_true(fl_disc_capacitance(1.0, h) > fl_disc_capacitance(1.0, 1.1 * h));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_limits), cmocka_unit_test(test_rings),
                                       cmocka_unit_test(test_scale), cmocka_unit_test(test_love),
                                       cmocka_unit_test(test_slab)};
    return cmocka_run_group_tests_name("models/disc", tests, NULL, NULL);
}
