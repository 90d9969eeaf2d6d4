/* Elements of a path, their values, and the jacobian through terms. */
#include "check.h"

#include "sample.h"

static void path_of(const sample *s, fl_path **path, fl_networks **networks)
{
    fl_error error = {0};
    check_ok(fl_networks_read(networks, &s->design, &error), error);
    check_ok(fl_path_new(path, &s->design, *networks, 0, &error), error);
}

/* Two capacitors of one quantity, the second half of it and 5 fF more. */
static void test_terms(void **unused)
{
    (void)unused;
    sample s;
    fl_path *path = NULL;
    fl_networks *networks = NULL;
    double values[2][FL_VALUES], jacobian[2 * FL_VALUES * 1];
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    const size_t quantity = sample_set(&s, "capacitance", 40e-15);
    sample_add(&s, "shunt capacitor");
    s.terms[1][0] = (fl_term){.quantity = quantity, .times = 0.5, .plus = 5e-15, .given = true};
    path_of(&s, &path, &networks);
    assert_int_equal(path->element_count, 2);
    check_close(2.0 * acos(-1.0) * 30e9, path->w0, 1e-15, "w0");
    assert_true(fl_path_values(path, s.values, values, jacobian));
    check_close(40e-15, values[0][0], 1e-15, "first");
    check_close(25e-15, values[1][0], 1e-15, "second");
    check_near(1.0, jacobian[0], 0.0, "first slope");
    check_near(0.5, jacobian[FL_VALUES], 0.0, "second slope");
    s.values[quantity] = -20e-15; /* makes the first negative */
    assert_false(fl_path_values(path, s.values, values, NULL));
    fl_path_free(path);
    fl_networks_free(networks);
}

/* The wires' chain: every value's slope by every dimension against a difference. */
static void test_wires_jacobian(void **unused)
{
    (void)unused;
    sample s;
    fl_path *path = NULL;
    fl_networks *networks = NULL;
    static const struct {
        const char *name;
        double value;
    } set[] = {{"diameter", 25e-6},    {"span", 400e-6},       {"loop height", 120e-6},
               {"die height", 100e-6}, {"land height", 60e-6}, {"pitch", 100e-6},
               {"conductivity", 4e7},  {"cover", 3.7}};
    enum { COUNT = 8, ROOM = FL_ELEMENTS * FL_VALUES };
    double values[FL_ELEMENTS][FL_VALUES], above[FL_ELEMENTS][FL_VALUES],
        below[FL_ELEMENTS][FL_VALUES], jacobian[ROOM * COUNT];
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "bond wires");
    sample_set(&s, "count", 3.0);
    for (size_t i = 0; i < COUNT; i++)
        sample_set(&s, set[i].name, set[i].value);
    path_of(&s, &path, &networks);
    assert_true(fl_path_values(path, s.values, values, jacobian));
    for (size_t q = 0; q < COUNT; q++) {
        const double value = s.values[q], step = 1e-5;
        s.values[q] = value * (1.0 + step);
        assert_true(fl_path_values(path, s.values, above, NULL));
        s.values[q] = value * (1.0 - step);
        assert_true(fl_path_values(path, s.values, below, NULL));
        s.values[q] = value;
        for (size_t e = 0; e < path->element_count; e++)
            for (size_t v = 0; v < FL_VALUES; v++)
                check_near((above[e][v] - below[e][v]) / (2.0 * step),
                           jacobian[(e * FL_VALUES + v) * COUNT + q] * value,
                           1e-8 * fabs(values[e][v]), "element %zu value %zu by %s", e, v,
                           set[q].name);
    }
    fl_path_free(path);
    fl_networks_free(networks);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_terms),
                                       cmocka_unit_test(test_wires_jacobian)};
    return cmocka_run_group_tests_name("path/path", tests, NULL, NULL);
}
