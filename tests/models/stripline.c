/* Stripline: exact rows, thick strips by another formula, symmetry, loss, and a fit. */
#include "check.h"

#include "models/filament.h"
#include "section.h"

enum {
    WIDTH,
    LENGTH,
    STRIP_HEIGHT,
    HEIGHT,
    PERMITTIVITY,
    LOSS_TANGENT,
    THICKNESS,
    CONDUCTIVITY,
    ROUGHNESS,
    NARROWEST_LINE,
    NARROWEST_GAP,
    ALL
};

static const double pi = 3.14159265358979323846;

static const double board[ALL] = {150e-6, 1e-3, 0.0, 400e-6, 3.5, 2e-3, 18e-6, 5.8e7, 0.3e-6};

/* Rows: [Cohn1954], exact for thin strips, computed apart; and [Pozar2011] example 3.5, which has
 * w/b 0.830 for 50 ohm in 2.2. */
static void test_thin(void **unused)
{
    (void)unused;
    static const struct {
        double shape, er, impedance;
    } rows[] = {{0.25, 1.0, 139.91709934326815},
                {0.5, 1.0, 100.43245073007469},
                {0.83, 2.2, 49.96537026911126},
                {1.0, 2.2, 44.061405060633035},
                {2.0, 1.0, 38.57932255129093}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double p[ALL] = {[WIDTH] = rows[i].shape * 1e-3,
                         [LENGTH] = 1e-3,
                         [HEIGHT] = 1e-3,
                         [PERMITTIVITY] = rows[i].er,
                         [CONDUCTIVITY] = 1e19};
        check_close(rows[i].impedance, section_property(&fl_stripline, p, 1e9, "impedance"), 1e-6,
                    "w/b %g er %g", rows[i].shape, rows[i].er);
        check_close(rows[i].er, section_property(&fl_stripline, p, 1e9, "effective permittivity"),
                    1e-6, "w/b %g er %g", rows[i].shape, rows[i].er);
        p[STRIP_HEIGHT] = 0.5e-3; /* the same, solved as a section */
        check_close(rows[i].impedance, section_property(&fl_stripline, p, 1e9, "impedance"), 5e-4,
                    "solved w/b %g er %g", rows[i].shape, rows[i].er);
    }
    const double p[ALL] = {2.66e-3, 1e-3, 0.0, 3.2e-3, 2.2, 0.0, 0.0, 1e16, 0.0};
    check_close(50.0, section_property(&fl_stripline, p, 1e9, "impedance"), 3e-3, "50 ohm");
}

/* Wide thick strip between planes, w / (b - t) over 0.35 [Cohn1954]: two plates and the exact
 * fringing capacitance of their edges. */
static double thick_impedance(double w, double b, double t)
{
    const double x = 1.0 / (1.0 - t / b);
    const double fringe = (2.0 * x * log(x + 1.0) - (x - 1.0) * log(x * x - 1.0)) / pi;
    const double eta = sqrt(fl_permeability() / fl_permittivity());
    return eta / (4.0 * (w / b * x + fringe));
}

/* Impedance; and resistance by the receding of the same formula's surfaces [Wheeler1942]. */
static void test_thick(void **unused)
{
    (void)unused;
    static const double shapes[] = {0.7, 1.0, 2.0}, thick[] = {0.02, 0.1, 0.25};
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++) {
            const double b = 1e-3, w = shapes[i] * b, t = thick[j] * b, n = 1e-4 * t;
            double p[ALL] = {[WIDTH] = w,          [LENGTH] = 1e-3, [HEIGHT] = b,
                             [PERMITTIVITY] = 1.0, [THICKNESS] = t, [CONDUCTIVITY] = 1e16};
            check_close(thick_impedance(w, b, t),
                        section_property(&fl_stripline, p, 1e9, "impedance"), 3e-3,
                        "Z0 w/b %g t/b %g", shapes[i], thick[j]);
            p[CONDUCTIVITY] = 5.8e9;
            const double slope = (thick_impedance(w - 2.0 * n, b + 2.0 * n, t - 2.0 * n) -
                                  thick_impedance(w + 2.0 * n, b - 2.0 * n, t + 2.0 * n)) /
                                 (2.0 * n);
            const double eta = sqrt(fl_permeability() / fl_permittivity());
            const double surface = sqrt(pi * 1e10 * fl_permeability() / 5.8e9);
            const double wanted = surface * slope / eta / (2.0 * thick_impedance(w, b, t));
            check_close(wanted * 20.0 / log(10.0),
                        section_property(&fl_stripline, p, 1e10, "loss per length"), 2e-2,
                        "loss w/b %g t/b %g", shapes[i], thick[j]);
        }
}

/* A strip as far from one plane as from the other, within the error of the solution; the middle is
 * where impedance is greatest. */
static void test_offset(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    const double middle = section_property(&fl_stripline, p, 28e9, "impedance");
    p[STRIP_HEIGHT] = 0.5 * (p[HEIGHT] - p[THICKNESS]);
    check_close(middle, section_property(&fl_stripline, p, 28e9, "impedance"), 1e-9, "middle");
    p[STRIP_HEIGHT] = 120e-6;
    const double low = section_property(&fl_stripline, p, 28e9, "impedance");
    p[STRIP_HEIGHT] = p[HEIGHT] - p[THICKNESS] - 120e-6;
    check_close(low, section_property(&fl_stripline, p, 28e9, "impedance"), 1e-3, "mirrored");
    assert_true(low < middle);
}

/* Without metal's loss: k0 sqrt(er) tan / 2. */
static void test_dielectric_loss(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    p[CONDUCTIVITY] = 1e19;
    p[ROUGHNESS] = 0.0;
    check_close(2.0 * pi * 28e9 / 299792458.0 * sqrt(3.5) * 1e-3 * 20.0 / log(10.0),
                section_property(&fl_stripline, p, 28e9, "loss per length"), 1e-4, "loss");
}

static void test_fit(void **unused)
{
    (void)unused;
    double p[ALL];
    static const size_t varied[] = {WIDTH, HEIGHT, PERMITTIVITY, THICKNESS};
    assert_true(section_fit(&fl_stripline, board, varied, 4, 0.15, 60e9) < 1e-3);
    memcpy(p, board, sizeof p);
    p[THICKNESS] = 0.0;
    assert_true(section_fit(&fl_stripline, p, varied, 3, 0.15, 60e9) < 1e-3);
}

static void test_ranges(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    const fl_setting setting = section_setting(28e9), high = section_setting(200e9);
    assert_null(fl_stripline.refuse(p));
    assert_null(fl_stripline.caution(p, &setting));
    assert_non_null(fl_stripline.caution(p, &high));
    p[NARROWEST_LINE] = 1.01 * p[WIDTH];
    assert_non_null(strstr(fl_stripline.caution(p, &setting), "'narrowest line'"));
    p[NARROWEST_LINE] = 0.0;
    p[STRIP_HEIGHT] = 390e-6;
    assert_non_null(fl_stripline.refuse(p));
    p[STRIP_HEIGHT] = 0.0;
    p[THICKNESS] = 390e-6;
    assert_non_null(fl_stripline.refuse(p));
    memcpy(p, board, sizeof p);
    p[WIDTH] = 1.0;
    assert_non_null(fl_stripline.refuse(p));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_thin),   cmocka_unit_test(test_thick),
        cmocka_unit_test(test_offset), cmocka_unit_test(test_dielectric_loss),
        cmocka_unit_test(test_fit),    cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/stripline", tests, NULL, NULL);
}
