/* Elements of a path, their values, and the jacobian through terms. */
#include "check.h"

#include "sample.h"

static void path_of(const sample *s, fl_path **path, fl_groundwork **groundwork)
{
    fl_error error = {0};
    check_ok(fl_groundwork_new(groundwork, &s->design, &error), error);
    const fl_stretch all = fl_case_stretch(*groundwork, 0);
    check_ok(fl_path_new(path, *groundwork, &all, &error), error);
}

/* Two capacitors of one quantity, the second half of it and 5 fF more. */
static void test_terms(void **unused)
{
    (void)unused;
    sample s;
    fl_path *path = NULL;
    fl_groundwork *groundwork = NULL;
    double values[2][FL_VALUES], jacobian[2 * FL_VALUES * 1] = {0.0};
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    const size_t quantity = sample_set(&s, "capacitance", 40e-15);
    sample_add(&s, "shunt capacitor");
    s.terms[1][0] = (fl_term){.quantity = quantity, .times = 0.5, .plus = 5e-15, .given = true};
    path_of(&s, &path, &groundwork);
    assert_int_equal(path->element_count, 2);
    check_close(2.0 * acos(-1.0) * 30e9, fl_groundwork_setting(groundwork)->w0, 1e-15, "w0");
    assert_true(fl_path_values(path, s.values, values, jacobian));
    check_close(40e-15, values[0][0], 1e-15, "first");
    check_close(25e-15, values[1][0], 1e-15, "second");
    check_near(1.0, jacobian[0], 0.0, "first slope");
    check_near(0.5, jacobian[FL_VALUES], 0.0, "second slope");
    s.values[quantity] = -20e-15; /* makes the first negative */
    assert_false(fl_path_values(path, s.values, values, NULL));
    fl_path_free(path);
    fl_groundwork_free(groundwork);
}

/* A line and a stub: every value's slope by every parameter against a difference. */
static void test_jacobian(void **unused)
{
    (void)unused;
    sample s;
    fl_path *path = NULL;
    fl_groundwork *groundwork = NULL;
    double values[2][FL_VALUES], above[2][FL_VALUES], below[2][FL_VALUES],
        jacobian[2 * FL_VALUES * 8] = {0.0};
    sample_init(&s, 20e9, 40e9);
    for (int i = 0; i < 2; i++) {
        sample_add(&s, i == 0 ? "line" : "open stub");
        sample_set(&s, "impedance", 70.0);
        sample_set(&s, "length", 0.5e-3);
        sample_set(&s, "permittivity", 3.3);
        sample_set(&s, "loss", 120.0);
    }
    path_of(&s, &path, &groundwork);
    assert_true(fl_path_values(path, s.values, values, jacobian));
    for (size_t q = 0; q < 8; q++) {
        const double value = s.values[q], step = 1e-5;
        s.values[q] = value * (1.0 + step);
        assert_true(fl_path_values(path, s.values, above, NULL));
        s.values[q] = value * (1.0 - step);
        assert_true(fl_path_values(path, s.values, below, NULL));
        s.values[q] = value;
        for (size_t e = 0; e < 2; e++)
            for (size_t v = 0; v < 3; v++)
                check_near((above[e][v] - below[e][v]) / (2.0 * step),
                           jacobian[(e * FL_VALUES + v) * 8 + q] * value, 1e-8 * fabs(values[e][v]),
                           "element %zu value %zu by %s", e, v, s.quantities[q].name);
    }
    fl_path_free(path);
    fl_groundwork_free(groundwork);
}

/* Alike are sections of one kind whose parameters come from the same quantities in the same way. */
static void test_alike(void **unused)
{
    (void)unused;
    sample s;
    fl_path *path = NULL;
    fl_groundwork *groundwork = NULL;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    const size_t quantity = sample_set(&s, "capacitance", 40e-15);
    sample_add(&s, "shunt capacitor");
    s.terms[1][0] = (fl_term){.quantity = quantity, .times = 1.0, .given = true};
    sample_add(&s, "open stub");
    path_of(&s, &path, &groundwork);
    assert_true(fl_path_alike(path, 0, path, 0));
    assert_true(fl_path_alike(path, 0, path, 1));
    assert_false(fl_path_alike(path, 0, path, 2));
    s.terms[1][0].times = 0.5;
    assert_false(fl_path_alike(path, 0, path, 1));
    s.terms[1][0] = (fl_term){.quantity = FL_NONE, .plus = 40e-15, .given = true};
    assert_false(fl_path_alike(path, 0, path, 1));
    fl_path_free(path);
    fl_groundwork_free(groundwork);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_terms),
                                       cmocka_unit_test(test_jacobian),
                                       cmocka_unit_test(test_alike)};
    return cmocka_run_group_tests_name("path/path", tests, NULL, NULL);
}
