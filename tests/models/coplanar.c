/* Grounded coplanar line: the elliptic form for narrow gaps, microstrip for wide ones, a fit. */
#include "check.h"

#include "section.h"

enum {
    WIDTH,
    GAP,
    LENGTH,
    COVER,
    COVER_HEIGHT,
    COVER_LOSS,
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

static const double board[ALL] = {300e-6, 150e-6, 1e-3, 0.0,   0.0,   0.0,
                                  254e-6, 3.48,   4e-3, 35e-6, 5.8e7, 0.4e-6};

/* Rows: the elliptic form [Ghione1987] for a thin metal, computed apart. It sets a magnetic wall
 * into the gaps, which is right to 0.5 % while these are well under the height. */
static void test_elliptic(void **unused)
{
    (void)unused;
    static const struct {
        double width, gap, height, er, impedance, permittivity, tolerance;
    } rows[] = {{5e-05, 3.6e-05, 0.000254, 9.9, 56.592949007897964, 5.492113225914089, 5e-3},
                {0.0001, 6e-05, 0.000635, 9.8, 54.258695168367176, 5.422578591764806, 5e-3},
                {2e-05, 1.2e-05, 0.0001, 11.7, 49.812804700493686, 6.393937349102925, 5e-3},
                {0.0003, 0.00015, 0.000254, 3.48, 64.65010939250864, 2.44054749229206, 5e-3}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double p[ALL] = {
            [WIDTH] = rows[i].width,   [GAP] = rows[i].gap,         [LENGTH] = 1e-3,
            [HEIGHT] = rows[i].height, [PERMITTIVITY] = rows[i].er, [CONDUCTIVITY] = 1e13};
        check_close(rows[i].impedance, section_property(&fl_grounded_coplanar, p, 1e8, "impedance"),
                    rows[i].tolerance, "Z0 %g %g", rows[i].width, rows[i].gap);
        check_close(rows[i].permittivity,
                    section_property(&fl_grounded_coplanar, p, 1e8, "effective permittivity"),
                    rows[i].tolerance, "ee %g %g", rows[i].width, rows[i].gap);
    }
}

/* Far grounds: the microstrip, in all that is told of it. The mesh in a gap of twelve heights is
 * coarse: 0.1 % in impedance and 0.2 % in permittivity, falling with the square of the fineness. */
static void test_wide_gaps(void **unused)
{
    (void)unused;
    static const char *const names[] = {"impedance", "effective permittivity", "loss per length"};
    static const double tolerances[] = {2e-3, 2.5e-3, 5e-3};
    for (size_t k = 0; k < 3; k++) {
        double p[ALL];
        memcpy(p, board, sizeof p);
        p[GAP] = 3e-3;
        const double found = section_property(&fl_grounded_coplanar, p, 10e9, names[k]);
        const double strip[] = {p[WIDTH],
                                p[LENGTH],
                                1.0,
                                0.0,
                                0.0,
                                p[HEIGHT],
                                p[PERMITTIVITY],
                                p[LOSS_TANGENT],
                                p[THICKNESS],
                                p[CONDUCTIVITY],
                                p[ROUGHNESS],
                                0.0,
                                0.0};
        check_close(section_property(&fl_microstrip, strip, 10e9, names[k]), found, tolerances[k],
                    "%s", names[k]);
    }
}

/* Wider gaps: more impedance and permittivity, less loss; a cover: less impedance. */
static void test_monotony(void **unused)
{
    (void)unused;
    double impedance = 0.0, loss = 1e9, effective = 1.0, p[ALL];
    memcpy(p, board, sizeof p);
    for (p[GAP] = 20e-6; p[GAP] < 700e-6; p[GAP] *= 1.3) {
        const double z = section_property(&fl_grounded_coplanar, p, 10e9, "impedance");
        const double a = section_property(&fl_grounded_coplanar, p, 10e9, "loss per length");
        const double low =
            section_property(&fl_grounded_coplanar, p, 10e9, "effective permittivity");
        const double high =
            section_property(&fl_grounded_coplanar, p, 60e9, "effective permittivity");
        assert_true(z > impedance && a < loss && low > effective);
        assert_true(high > low && high < p[PERMITTIVITY]);
        impedance = z;
        loss = a;
        effective = low;
    }
    memcpy(p, board, sizeof p);
    impedance = section_property(&fl_grounded_coplanar, p, 10e9, "impedance");
    p[COVER] = 1.0;
    check_close(impedance, section_property(&fl_grounded_coplanar, p, 10e9, "impedance"), 2e-4,
                "cover of air");
    p[COVER] = 3.0;
    assert_true(section_property(&fl_grounded_coplanar, p, 10e9, "impedance") < 0.95 * impedance);
}

static void test_fit(void **unused)
{
    (void)unused;
    static const size_t varied[] = {WIDTH, GAP, HEIGHT, PERMITTIVITY};
    assert_true(section_fit(&fl_grounded_coplanar, board, varied, 3, 0.15, 60e9) < 1e-3);
    assert_true(section_fit(&fl_grounded_coplanar, board, varied + 1, 3, 0.15, 60e9) < 1e-3);
}

static void test_ranges(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    const fl_setting setting = section_setting(28e9), high = section_setting(150e9);
    assert_null(fl_grounded_coplanar.refuse(p));
    assert_null(fl_grounded_coplanar.caution(p, &setting));
    assert_non_null(fl_grounded_coplanar.caution(p, &high));
    p[NARROWEST_GAP] = 1.01 * p[GAP];
    assert_non_null(strstr(fl_grounded_coplanar.caution(p, &setting), "'narrowest gap'"));
    p[NARROWEST_LINE] = 1.01 * p[WIDTH];
    assert_non_null(strstr(fl_grounded_coplanar.caution(p, &setting), "'narrowest line'"));
    p[NARROWEST_LINE] = p[NARROWEST_GAP] = 0.0;
    p[GAP] = 1e-6;
    assert_non_null(fl_grounded_coplanar.refuse(p));
    p[GAP] = 4e-3;
    assert_non_null(fl_grounded_coplanar.caution(p, &setting));
    p[WIDTH] = 30e-3;
    assert_non_null(fl_grounded_coplanar.refuse(p));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_elliptic), cmocka_unit_test(test_wide_gaps),
        cmocka_unit_test(test_monotony), cmocka_unit_test(test_fit), cmocka_unit_test(test_ranges)};
    return cmocka_run_group_tests_name("models/coplanar", tests, NULL, NULL);
}
