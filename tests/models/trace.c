/* Microstrip and its stub as sections: covered strips against an integral equation, limits, sums,
 * passivity, and a fit over what varies in production. */
#include <complex.h>

#include "check.h"

#include "models/microstrip.h"
#include "section.h"

enum {
    WIDTH,
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

/* A board line at 60 GHz; values of no one in particular. */
static const double board[ALL] = {280e-6, 1e-3, 0.0,   0.0,   0.0,   127e-6,
                                  3.5,    2e-3, 18e-6, 5.8e7, 0.3e-6};

/* Rows: integral equation with the layered Green's function, exact to 2e-5, computed. The band is
 * so low and the metal so good that neither dispersion nor metal shows. */
static void test_covered(void **unused)
{
    (void)unused;
    static const struct {
        double u, er, cover, height, impedance, permittivity;
    } rows[] = {{1.0, 9.8, 1.0, 0.5, 49.30581735127436, 6.574486252842363},
                {1.0, 9.8, 4.0, 0.5, 46.85653310286404, 7.279773087097279},
                {1.0, 9.8, 4.0, 2.0, 45.738343111330714, 7.640069171580667},
                {2.2, 3.48, 3.5, 0.15, 49.48108867661987, 2.9018309118844794},
                {2.2, 3.48, 3.5, 0.5, 47.97336838828062, 3.0870962451369626},
                {2.2, 3.48, 3.5, 5.0, 45.36581936316708, 3.4521771774091796},
                {3.0, 2.2, 2.2, 1.0, 48.37793120408384, 2.0804967185796124},
                {1.0, 4.4, 4.4, 50.0, 60.27324338340956, 4.39955774869689}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double p[ALL] = {[WIDTH] = rows[i].u * 1e-4,
                               [LENGTH] = 1e-3,
                               [COVER] = rows[i].cover,
                               [COVER_HEIGHT] = rows[i].height * 1e-4,
                               [HEIGHT] = 1e-4,
                               [PERMITTIVITY] = rows[i].er,
                               [CONDUCTIVITY] = 1e13};
        check_close(rows[i].impedance, section_property(&fl_microstrip, p, 1e8, "impedance"), 5e-4,
                    "Z0 u %g er %g cover %g", rows[i].u, rows[i].er, rows[i].cover);
        check_close(rows[i].permittivity,
                    section_property(&fl_microstrip, p, 1e8, "effective permittivity"), 5e-4,
                    "ee u %g er %g cover %g", rows[i].u, rows[i].er, rows[i].cover);
    }
}

/* A cover of 1 is none, whichever way it is solved; a thick one of the substrate's makes one medium
 * without dispersion. */
static void test_cover_limits(void **unused)
{
    (void)unused;
    double p[ALL];
    for (size_t i = 0; i < 4; i++) {
        static const double widths[] = {80e-6, 150e-6, 280e-6, 600e-6};
        memcpy(p, board, sizeof p);
        p[WIDTH] = widths[i];
        static const char *const names[] = {"impedance", "effective permittivity",
                                            "loss per length"};
        static const double tolerances[] = {2.5e-3, 5e-3, 2e-2};
        for (size_t k = 0; k < 3; k++) {
            p[COVER] = 0.0;
            const double bare = section_property(&fl_microstrip, p, 60e9, names[k]);
            p[COVER] = 1.0;
            check_close(bare, section_property(&fl_microstrip, p, 60e9, names[k]), tolerances[k],
                        "%s of %g m", names[k], widths[i]);
        }
    }
    memcpy(p, board, sizeof p);
    p[COVER] = p[PERMITTIVITY];
    p[CONDUCTIVITY] = 1e13;
    for (double f = 1e9; f < 100e9; f *= 2.0)
        check_close(p[PERMITTIVITY],
                    section_property(&fl_microstrip, p, f, "effective permittivity"), 1e-4,
                    "one medium at %g", f);
}

/* Two halves are the whole; what is without length is not there. */
static void test_length(void **unused)
{
    (void)unused;
    double p[ALL], whole[1][FL_VALUES], part[1][FL_VALUES], none[1][FL_VALUES];
    memcpy(p, board, sizeof p);
    section_values(whole, &fl_microstrip, p, 60e9);
    p[LENGTH] *= 0.5;
    section_values(part, &fl_microstrip, p, 60e9);
    p[LENGTH] = 0.0;
    section_values(none, &fl_microstrip, p, 60e9);
    for (size_t k = 0; k < FL_NODES; k++)
        check_close(whole[0][k], part[0][k], 1e-14, "impedance");
    for (size_t v = FL_NODES; v < FL_VALUES; v++) {
        check_close(whole[0][v], 2.0 * part[0][v], 1e-14, "value %zu", v);
        check_near(0.0, none[0][v], 0.0, "value %zu of nothing", v);
    }
}

/* The stub is longer than drawn by the open end. */
static void test_stub(void **unused)
{
    (void)unused;
    double z, e, values[1][FL_VALUES], line[1][FL_VALUES], p[ALL];
    memcpy(p, board, sizeof p);
    const fl_strip strip = {p[WIDTH], p[HEIGHT], p[THICKNESS], p[PERMITTIVITY]};
    fl_microstrip_static(&z, &e, &strip);
    const double added = p[HEIGHT] * fl_microstrip_end(p[WIDTH] / p[HEIGHT], p[PERMITTIVITY], e);
    check_close(added,
                section_property(&fl_open_microstrip_stub, p, 60e9, "length of the open end"), 1e-9,
                "end");
    check_close(p[LENGTH], section_property(&fl_open_microstrip_stub, p, 60e9, "length"), 1e-15,
                "length as drawn");
    section_values(values, &fl_open_microstrip_stub, p, 60e9);
    p[LENGTH] += added;
    section_values(line, &fl_microstrip, p, 60e9);
    for (size_t v = 0; v < FL_VALUES; v++)
        check_close(line[0][v], values[0][v], 1e-9, "value %zu", v);
}

/* Low-frequency limit: static impedance and permittivity of good metal. */
static void test_low(void **unused)
{
    (void)unused;
    double z, e, p[ALL];
    memcpy(p, board, sizeof p);
    p[CONDUCTIVITY] = 1e19; /* its inside inductance is 1e-6 of all */
    const fl_strip strip = {p[WIDTH], p[HEIGHT], p[THICKNESS], p[PERMITTIVITY]};
    fl_microstrip_static(&z, &e, &strip);
    check_close(z, section_property(&fl_microstrip, p, 1e6, "impedance"), 1e-5, "Z0");
    check_close(e, section_property(&fl_microstrip, p, 1e6, "effective permittivity"), 1e-5, "ee");
}

static double random_between(uint64_t *state, double low, double high)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return low * pow(high / low, (double)(*state >> 11) / 9007199254740992.0);
}

/* Largest singular value of the line between 50 ohm, at a node. */
static double gain(const double *values, size_t node, const fl_setting *setting)
{
    const double w = 2.0 * acos(-1.0) * setting->nodes[node];
    const double complex theta = values[2 * FL_NODES + node] * sqrt(w / setting->w0) +
                                 (double complex)I * w * values[FL_NODES + node];
    const double complex z = values[node] / 50.0, sinh = csinh(theta), cosh = ccosh(theta);
    const double complex under = 2.0 * cosh + (z + 1.0 / z) * sinh;
    const double complex s11 = (z - 1.0 / z) * sinh / under, s21 = 2.0 / under;
    return fmax(cabs(s11 + s21), cabs(s11 - s21));
}

/* Any line within the ranges is passive, slower than light and finite. */
static void test_passive(void **unused)
{
    (void)unused;
    uint64_t state = 7;
    for (int i = 0; i < 400; i++) {
        double p[ALL], values[1][FL_VALUES];
        p[HEIGHT] = random_between(&state, 50e-6, 400e-6);
        p[WIDTH] = p[HEIGHT] * random_between(&state, 0.1, 10.0);
        p[LENGTH] = random_between(&state, 10e-6, 5e-3);
        p[PERMITTIVITY] = random_between(&state, 1.0, 13.0);
        p[LOSS_TANGENT] = random_between(&state, 1e-4, 3e-2);
        p[THICKNESS] = random_between(&state, 1e-6, 0.3 * fmin(p[WIDTH], p[HEIGHT]));
        p[CONDUCTIVITY] = random_between(&state, 1e7, 6e7);
        p[ROUGHNESS] = random_between(&state, 0.05e-6, 3e-6);
        p[COVER] = i % 4 == 0 ? random_between(&state, 1.0, 4.0) : 0.0;
        p[COVER_HEIGHT] = i % 8 == 0 ? p[THICKNESS] * random_between(&state, 1.1, 20.0) : 0.0;
        p[COVER_LOSS] = i % 8 == 0 ? 0.01 : 0.0;
        const fl_setting setting = section_setting(random_between(&state, 1e9, 60e9));
        assert_null(fl_microstrip.refuse(p));
        fl_error error;
        check_ok(fl_microstrip.solve(values, p, &setting, &error), error);
        for (size_t k = 0; k < FL_NODES; k++) {
            assert_true(values[0][k] > 1.0 && values[0][k] < 400.0);
            assert_true(values[0][FL_NODES + k] >= 0.999999 * p[LENGTH] / 299792458.0);
            assert_true(values[0][2 * FL_NODES + k] > 0.0);
            assert_true(gain(values[0], k, &setting) <= 1.0);
        }
    }
}

/* What varies on a board, by 15 %, bare, covered and as a stub. */
static void test_fit(void **unused)
{
    (void)unused;
    double p[ALL];
    static const size_t varied[] = {WIDTH, HEIGHT, PERMITTIVITY, THICKNESS};
    memcpy(p, board, sizeof p);
    assert_true(section_fit(&fl_microstrip, p, varied, 4, 0.15, 60e9) < 1e-3);
    assert_true(section_fit(&fl_open_microstrip_stub, p, varied, 4, 0.15, 60e9) < 1e-3);
    p[COVER] = 3.3;
    p[COVER_HEIGHT] = 40e-6;
    assert_true(section_fit(&fl_microstrip, p, varied, 3, 0.15, 60e9) < 1e-3);
    static const size_t cover[] = {WIDTH, COVER, COVER_HEIGHT};
    assert_true(section_fit(&fl_microstrip, p, cover, 3, 0.15, 60e9) < 1e-3);
}

static void check_caution(size_t parameter, double value, double centre, const char *wanted)
{
    double p[ALL];
    memcpy(p, board, sizeof p);
    p[parameter] = value;
    const fl_setting setting = section_setting(centre);
    const char *text = fl_microstrip.caution(p, &setting);
    if (wanted == NULL && text == NULL)
        return;
    if (wanted == NULL || text == NULL || strstr(text, wanted) == NULL) {
        print_error("parameter %zu at %g: wanted '%s', got '%s'\n", parameter, value,
                    wanted != NULL ? wanted : "", text != NULL ? text : "");
        fail();
    }
}

static void test_cautions(void **unused)
{
    (void)unused;
    check_caution(WIDTH, 280e-6, 60e9, NULL);
    check_caution(WIDTH, 10e-6, 60e9, "0.1 to 10");
    check_caution(WIDTH, 3e-3, 60e9, "resonance");
    check_caution(NARROWEST_LINE, 281e-6, 60e9, "'narrowest line'");
    check_caution(NARROWEST_LINE, 280e-6, 60e9, NULL);
    check_caution(PERMITTIVITY, 20.0, 10e9, "over 18");
    check_caution(HEIGHT, 300e-6, 110e9, "tenth of a wavelength");
    check_caution(THICKNESS, 60e-6, 60e9, "'cover' of 1");
    check_caution(THICKNESS, 0.3e-6, 60e9, "skin depths");
    check_caution(COVER, 4.0, 60e9, "denser");
}

static void test_refusals(void **unused)
{
    (void)unused;
    double p[ALL];
    memcpy(p, board, sizeof p);
    assert_null(fl_microstrip.refuse(p));
    p[WIDTH] = 1e-6;
    assert_non_null(fl_microstrip.refuse(p));
    memcpy(p, board, sizeof p);
    p[PERMITTIVITY] = 130.0;
    assert_non_null(fl_microstrip.refuse(p));
    memcpy(p, board, sizeof p);
    p[COVER_HEIGHT] = 30e-6; /* of no cover */
    assert_non_null(fl_microstrip.refuse(p));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_covered), cmocka_unit_test(test_cover_limits),
        cmocka_unit_test(test_length),  cmocka_unit_test(test_stub),
        cmocka_unit_test(test_low),     cmocka_unit_test(test_passive),
        cmocka_unit_test(test_fit),     cmocka_unit_test(test_cautions),
        cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests_name("models/trace", tests, NULL, NULL);
}
