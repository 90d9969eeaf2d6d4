/* Groundwork far beyond the bands: dispersive lines against a band there, cuts, notes. */
#include "check.h"

#include "path/groundwork.h"
#include "sample.h"

static void add_strip(sample *s, double cover)
{
    sample_add(s, "microstrip");
    sample_set(s, "width", 0.28e-3);
    sample_set(s, "length", 1.2e-3);
    sample_set(s, "substrate height", 127e-6);
    sample_set(s, "substrate permittivity", 3.5);
    sample_set(s, "substrate loss tangent", 0.01);
    sample_set(s, "substrate metal thickness", 18e-6);
    sample_set(s, "cover", cover);
}

/** Two-port of a section at one frequency: cosh, sinh and impedance of the line that it is. */
static void line_at(double got[5], const fl_groundwork *groundwork, const double *quantities,
                    double frequency)
{
    fl_error error = {0};
    fl_path *path = NULL;
    double values[FL_ELEMENTS][FL_VALUES], lanes[6], weights[FL_NODES], root, omega;
    const fl_setting *setting = fl_groundwork_setting(groundwork);
    const fl_stretch stretch = fl_case_stretch(groundwork, 0);
    check_ok(fl_path_new(&path, groundwork, &stretch, &error), error);
    assert_true(fl_path_values(path, quantities, values, NULL));
    fl_twoport line = {
        .x = {lanes, lanes + 1}, .y = {lanes + 2, lanes + 3}, .z = {lanes + 4, lanes + 5}};
    omega = 2.0 * acos(-1.0) * frequency;
    root = sqrt(omega / setting->w0);
    for (size_t k = 0; k < FL_NODES; k++) {
        weights[k] = 1.0;
        for (size_t j = 0; j < FL_NODES; j++)
            if (j != k)
                weights[k] *=
                    (frequency - setting->nodes[j]) / (setting->nodes[k] - setting->nodes[j]);
    }
    fl_twoport_fill(&line, path->elements[0].form, values[0],
                    &(fl_lanes){1, &omega, &root, weights});
    memcpy(got, lanes, 5 * sizeof *got);
    fl_path_free(path);
}

/** The same line with a band about one frequency. */
static void line_near(double got[5], double cover, double frequency)
{
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    sample_init(&s, 0.98 * frequency, 1.02 * frequency);
    add_strip(&s, cover);
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    line_at(got, groundwork, s.values, frequency);
    fl_groundwork_free(groundwork);
}

/** Closed formulas without cover, solved in the plane with one: both at nodes of frequency. A
 * polynomial through five nodes is true to 0.05 % over a factor of thirty; continued from the band
 * it is not. The impedance at the lowest frequency is the least smooth, as the current then fills
 * the metal. */
static void test_strip(void **unused)
{
    (void)unused;
    static const double covers[] = {1.0, 3.5}, places[] = {6e9, 15e9, 45e9, 80e9};
    for (size_t c = 0; c < 2; c++) {
        sample s;
        fl_error error = {0};
        fl_groundwork *plain = NULL, *fitted = NULL, *wide = NULL;
        fl_band band = {2.65e9, 88.5e9};
        sample_init(&s, 26.5e9, 29.5e9);
        add_strip(&s, covers[c]);
        check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
        check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){.quantities = s.values}, &error),
                 error);
        check_ok(fl_groundwork_widen(&wide, &band, fitted, s.values, &error), error);
        check_near(2.65e9, band.low, 0.0, "low end");
        check_near(88.5e9, band.high, 0.0, "high end");
        for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
            double wanted[5], got[5];
            line_near(wanted, covers[c], places[i]);
            line_at(got, wide, s.values, places[i]);
            for (int k = 0; k < 4; k++)
                check_near(wanted[k], got[k], 0.0005, "cover %g, %g Hz, part %d", covers[c],
                           places[i], k);
            check_close(wanted[4], got[4], 0.0005, "cover %g, %g Hz, impedance", covers[c],
                        places[i]);
        }
        fl_groundwork_free(wide);
        fl_groundwork_free(fitted);
        fl_groundwork_free(plain);
    }
}

/** Sections without nodes keep their fit, those with nodes are made ready anew. */
static void test_shares_fits(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL, *wide = NULL;
    fl_band band = {2e9, 90e9};
    sample_init(&s, 26e9, 30e9);
    sample_add(&s, "bond wires");
    sample_set(&s, "span", 300e-6);
    sample_set(&s, "loop height", 120e-6);
    sample_set(&s, "diameter", 25e-6);
    add_strip(&s, 3.5);
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){.quantities = s.values}, &error), error);
    check_ok(fl_groundwork_widen(&wide, &band, fitted, s.values, &error), error);
    for (size_t i = 0; i < 2; i++) {
        const fl_prepared *before = fl_groundwork_prepared(fitted, 0, i);
        const bool same = fl_groundwork_prepared(wide, 0, i) == before;
        if (before)
            assert_int_equal(same, i == 0);
    }
    assert_non_null(fl_groundwork_prepared(wide, 0, 1));
    check_near(fl_groundwork_setting(fitted)->w0, fl_groundwork_setting(wide)->w0, 0.0, "centre");
    fl_groundwork_free(wide);
    /* Also from a groundwork without fits. */
    check_ok(fl_groundwork_widen(&wide, &band, plain, s.values, &error), error);
    assert_non_null(fl_groundwork_prepared(wide, 0, 1));
    fl_groundwork_free(wide);
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

/** Data from 15 to 45 GHz cut both ends, which is told once each. */
static void test_cut(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *wide = NULL;
    fl_band band = {2e9, 90e9};
    sample_init(&s, 20e9, 30e9);
    for (int i = 0; i < 2; i++) {
        sample_add(&s, "measured")->file = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";
        sample_set(&s, "die port", 1.0);
        sample_set(&s, "board port", 2.0);
    }
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_widen(&wide, &band, plain, s.values, &error), error);
    check_near(15e9, band.low, 0.0, "low end");
    check_near(45e9, band.high, 0.0, "high end");
    assert_int_equal(fl_groundwork_warning_count(wide), 2);
    assert_non_null(strstr(fl_groundwork_warning(wide, 0), "begins at 15 GHz"));
    assert_non_null(strstr(fl_groundwork_warning(wide, 1), "ends at 45 GHz"));
    fl_groundwork_free(wide);
    /* A band within the data is left as it is. */
    band = (fl_band){16e9, 44e9};
    check_ok(fl_groundwork_widen(&wide, &band, plain, s.values, &error), error);
    check_near(16e9, band.low, 0.0, "low end");
    assert_int_equal(fl_groundwork_warning_count(wide), 0);
    fl_groundwork_free(wide);
    fl_groundwork_free(plain);
}

/** A loop that is low against the wavelength in the band is not at three times of it. */
static void test_notes(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *wide = NULL;
    fl_band band = {2.6e9, 90e9};
    sample_init(&s, 26e9, 30e9);
    sample_add(&s, "bond wires");
    sample_set(&s, "span", 800e-6);
    sample_set(&s, "loop height", 500e-6);
    sample_set(&s, "diameter", 25e-6);
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    const size_t before = fl_groundwork_warning_count(plain);
    check_ok(fl_groundwork_widen(&wide, &band, plain, s.values, &error), error);
    assert_int_equal(before, 0);
    assert_int_equal(fl_groundwork_warning_count(wide), 1);
    assert_non_null(strstr(fl_groundwork_warning(wide, 0), "in the wide sweep 'bond wires': "));
    fl_groundwork_free(wide);
    /* What holds in the band already is not told again. */
    band = (fl_band){26e9, 30e9};
    check_ok(fl_groundwork_widen(&wide, &band, plain, s.values, &error), error);
    assert_int_equal(fl_groundwork_warning_count(wide), 0);
    fl_groundwork_free(wide);
    fl_groundwork_free(plain);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_strip),
                                       cmocka_unit_test(test_shares_fits),
                                       cmocka_unit_test(test_cut), cmocka_unit_test(test_notes)};
    return cmocka_run_group_tests_name("path/widen", tests, NULL, NULL);
}
