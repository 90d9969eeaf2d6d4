/* The table of kinds, and the check of ranges that do not fit together. */
#include "check.h"

#include "sample.h"

static void test_table(void **unused)
{
    (void)unused;
    const fl_kind *kinds[32];
    const size_t count = fl_models_kinds(kinds, 32);
    assert_true(count > 0 && count < 32);
    assert_null(fl_models[count]);
    for (size_t i = 0; i < count; i++) {
        const fl_physics *physics = fl_models[i];
        assert_ptr_equal(kinds[i], &physics->kind);
        assert_true(physics->kind.parameter_count <= FL_PARTIALS);
        assert_true(physics->form_count >= 1 && physics->form_count <= FL_ELEMENTS);
        assert_true((physics->evaluate != NULL) != (physics->solve != NULL));
        assert_non_null(physics->describe);
        for (size_t j = 0; j < i; j++)
            assert_string_not_equal(kinds[i]->name, kinds[j]->name);
    }
    assert_int_equal(fl_models_kinds(kinds, 1), count);
}

/* A pitch of 60 to 120 um and a diameter of 25 to 80 um: only one corner is wrong. */
static void test_corners(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "bond wires");
    sample_set(&s, "count", 2.0);
    const size_t diameter = sample_set(&s, "diameter", 25e-6);
    sample_set(&s, "span", 400e-6);
    sample_set(&s, "loop height", 120e-6);
    const size_t pitch = sample_set(&s, "pitch", 100e-6);
    check_ok(fl_models_check(&s.design, &error), error);
    s.quantities[pitch].sized = s.quantities[diameter].sized = true;
    s.quantities[pitch].low = 60e-6;
    s.quantities[pitch].high = 120e-6;
    s.quantities[diameter].low = 25e-6;
    s.quantities[diameter].high = 50e-6;
    check_ok(fl_models_check(&s.design, &error), error);
    s.quantities[diameter].high = 80e-6;
    assert_int_equal(fl_models_check(&s.design, &error), FL_BAD_INPUT);
    assert_string_equal(error.place, "sample");
    assert_non_null(strstr(error.message, "pitch"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_table),
                                       cmocka_unit_test(test_corners)};
    return cmocka_run_group_tests_name("models/models", tests, NULL, NULL);
}
