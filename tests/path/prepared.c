/* Costly sections made ready: the fit against the model itself, inside its range and out of it. */
#include "check.h"

#include "path/solution.h"
#include "sample.h"

enum { SPAN, LOOP, COVER };

/* Wires whose span and loop height spread, and whose mould is sized. */
static void wires_sample(sample *s)
{
    static const fl_spread span = {.shape = FL_NORMAL, .amount = 15e-6};
    static const fl_spread loop = {.shape = FL_UNIFORM, .amount = 0.15, .relative = true};
    sample_init(s, 20e9, 40e9);
    sample_add(s, "bond wires");
    sample_set(s, "count", 2.0);
    sample_set(s, "span", 400e-6);
    sample_set(s, "loop height", 130e-6);
    sample_set(s, "cover", 3.0);
    sample_set(s, "diameter", 25e-6);
    sample_set(s, "pitch", 100e-6);
    s->quantities[SPAN].spreads = &span;
    s->quantities[SPAN].spread_count = 1;
    s->quantities[LOOP].spreads = &loop;
    s->quantities[LOOP].spread_count = 1;
    s->quantities[COVER].sized = true;
    s->quantities[COVER].low = 1.0;
    s->quantities[COVER].high = 4.0;
}

static void values_of(const sample *s, const fl_groundwork *groundwork, double (*values)[FL_VALUES],
                      double *jacobian)
{
    fl_error error = {0};
    fl_path *path = NULL;
    const fl_stretch all = fl_case_stretch(groundwork, 0);
    check_ok(fl_path_new(&path, groundwork, &all, &error), error);
    assert_true(fl_path_values(path, s->values, values, jacobian));
    fl_path_free(path);
}

static void test_fit_is_model(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    double solved[FL_ELEMENTS][FL_VALUES], got[FL_ELEMENTS][FL_VALUES];
    uint64_t state = 1;
    wires_sample(&s);
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error), error);
    const fl_prepared *prepared = fl_groundwork_prepared(fitted, 0, 0);
    assert_non_null(prepared);
    assert_null(fl_groundwork_prepared(plain, 0, 0));
    assert_true(fl_prepared_error(prepared) < 1e-4);
    for (int i = 0; i < 50; i++) {
        s.values[SPAN] = sample_between(&state, 320e-6, 480e-6);
        s.values[LOOP] = sample_between(&state, 111e-6, 149e-6);
        s.values[COVER] = sample_between(&state, 1.0, 4.0);
        values_of(&s, plain, solved, NULL);
        values_of(&s, fitted, got, NULL);
        const size_t elements = fl_section_physics(&s.sections[0])->form_count;
        for (size_t e = 0; e < elements; e++)
            for (size_t v = 0; v < 3; v++)
                check_close(solved[e][v], got[e][v], 2e-4, "element %zu value %zu", e, v);
    }
    /* Out of the range, ten sigmas off, the model itself answers. */
    s.values[SPAN] = 550e-6;
    values_of(&s, plain, solved, NULL);
    values_of(&s, fitted, got, NULL);
    assert_true(solved[0][0] == got[0][0] && solved[0][2] == got[0][2]);
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

/* Slopes of the fit against differences of the model: both are within the fit's error. */
static void test_slopes(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    double got[FL_ELEMENTS][FL_VALUES], above[FL_ELEMENTS][FL_VALUES],
        below[FL_ELEMENTS][FL_VALUES];
    static double jacobian[FL_ELEMENTS * FL_VALUES * SAMPLE_QUANTITIES];
    wires_sample(&s);
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error), error);
    values_of(&s, fitted, got, jacobian);
    const size_t elements = fl_section_physics(&s.sections[0])->form_count;
    for (size_t q = SPAN; q <= COVER; q++) {
        const double value = s.values[q], step = 1e-3;
        s.values[q] = value * (1.0 + step);
        values_of(&s, plain, above, NULL);
        s.values[q] = value * (1.0 - step);
        values_of(&s, plain, below, NULL);
        s.values[q] = value;
        for (size_t e = 0; e < elements; e++)
            for (size_t v = 0; v < 3; v++)
                check_near((above[e][v] - below[e][v]) / (2.0 * step),
                           jacobian[(e * FL_VALUES + v) * s.design.quantity_count + q] * value,
                           2e-3 * fabs(got[e][v]), "element %zu value %zu by %s", e, v,
                           s.quantities[q].name);
    }
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

/* Nothing varies: the values are the model's to the last bit. */
static void test_constant(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    double solved[FL_ELEMENTS][FL_VALUES], got[FL_ELEMENTS][FL_VALUES];
    wires_sample(&s);
    for (size_t q = SPAN; q <= COVER; q++)
        s.quantities[q] = (fl_quantity){.name = "x", .value = s.values[q], .only_case = FL_NONE};
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error), error);
    values_of(&s, plain, solved, NULL);
    values_of(&s, fitted, got, NULL);
    const size_t elements = fl_section_physics(&s.sections[0])->form_count;
    for (size_t e = 0; e < elements; e++)
        assert_memory_equal(solved[e], got[e], 3 * sizeof(double));
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

enum { LENGTH, WIDTH };

/* A lead whose length and width vary; tied: the width is a quarter of the length. */
static void lead_sample(sample *s, bool tied)
{
    static const fl_spread spread = {.shape = FL_NORMAL, .amount = 12e-6};
    sample_init(s, 20e9, 40e9);
    sample_add(s, "lead");
    sample_set(s, "length", 400e-6);
    sample_set(s, "width", 200e-6);
    sample_set(s, "thickness", 200e-6);
    sample_set(s, "standoff", 127e-6);
    sample_set(s, "loss tangent", 0.01);
    for (size_t q = LENGTH; q <= WIDTH; q++) {
        s->quantities[q].spreads = &spread;
        s->quantities[q].spread_count = 1;
    }
    for (size_t i = 0; tied && i < FL_PARTIALS; i++)
        if (s->terms[0][i].quantity == WIDTH)
            s->terms[0][i] = (fl_term){LENGTH, 0.25, 20e-6, true};
}

/* A length is not fitted, and its slope is exact; outside its range the model answers. */
static void check_length(bool tied)
{
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    double solved[FL_VALUES], got[FL_VALUES], above[FL_VALUES], below[FL_VALUES];
    static double jacobian[FL_VALUES * SAMPLE_QUANTITIES];
    lead_sample(&s, tied);
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error), error);
    assert_int_equal(fl_prepared_solution(fl_groundwork_prepared(fitted, 0, 0))->input_count, 1);
    for (double length = 340e-6; length < 470e-6; length += 20e-6) {
        const double step = 1e-4 * length;
        s.values[LENGTH] = length + step;
        values_of(&s, plain, &above, NULL);
        s.values[LENGTH] = length - step;
        values_of(&s, plain, &below, NULL);
        s.values[LENGTH] = length;
        values_of(&s, plain, &solved, NULL);
        memset(jacobian, 0, sizeof jacobian);
        values_of(&s, fitted, &got, jacobian);
        for (size_t v = 0; v < 3; v++) {
            check_close(solved[v], got[v], 1e-5, "value %zu at %g", v, length);
            check_near((above[v] - below[v]) / (2.0 * step) * length,
                       jacobian[v * s.design.quantity_count + LENGTH] * length, 1e-4 * fabs(got[v]),
                       "slope of value %zu at %g", v, length);
        }
    }
    s.values[LENGTH] = 500e-6;
    values_of(&s, plain, &solved, NULL);
    values_of(&s, fitted, &got, NULL);
    assert_memory_equal(solved, got, 3 * sizeof(double));
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

static void test_length(void **unused)
{
    (void)unused;
    check_length(false);
    check_length(true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_fit_is_model),
                                       cmocka_unit_test(test_slopes), cmocka_unit_test(test_length),
                                       cmocka_unit_test(test_constant)};
    return cmocka_run_group_tests_name("path/prepared", tests, NULL, NULL);
}
