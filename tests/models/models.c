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
        if (physics->evaluate != NULL)
            assert_true(physics->kind.parameter_count <= FL_CLOSED_PARTIALS);
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

/* Typical parameters of a kind that has a length: whatever has no name here keeps its fallback. */
static void typical(double *parameters, const fl_kind *kind)
{
    static const struct {
        const char *name;
        double value;
    } named[] = {{"width", 150e-6},
                 {"gap", 100e-6},
                 {"die width", 100e-6},
                 {"board width", 200e-6},
                 {"length", 400e-6},
                 {"thickness", 200e-6},
                 {"standoff", 127e-6},
                 {"substrate height", 127e-6},
                 {"substrate permittivity", 3.5},
                 {"substrate loss tangent", 0.003},
                 {"loss tangent", 0.01}};
    for (size_t i = 0; i < kind->parameter_count; i++) {
        parameters[i] = kind->parameters[i].fallback;
        for (size_t k = 0; k < sizeof named / sizeof *named; k++)
            if (strcmp(kind->parameters[i].name, named[k].name) == 0)
                parameters[i] = named[k].value;
    }
}

/* Of a kind with a length, delays and losses are proportional to it and nothing else changes. */
static void test_along(void **unused)
{
    (void)unused;
    size_t seen = 0;
    fl_setting setting;
    fl_setting_init(&setting, 28e9, 26.5e9, 29.5e9);
    for (size_t i = 0; fl_models[i] != NULL; i++) {
        const fl_physics *physics = fl_models[i];
        const fl_section section = {.name = "x", .kind = &physics->kind};
        double p[FL_PARTIALS], one[FL_ELEMENTS][FL_VALUES], five[FL_ELEMENTS][FL_VALUES];
        fl_error error = {0};
        if (physics->along == 0)
            continue;
        seen++;
        assert_string_equal(physics->kind.parameters[physics->along - 1].name, "length");
        typical(p, &physics->kind);
        check_ok(physics->solve(one, p, &setting, &error), error);
        p[physics->along - 1] *= 5.0;
        check_ok(physics->solve(five, p, &setting, &error), error);
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                check_close(one[e][v] * (v < fl_form_along(physics->forms[e]) ? 1.0 : 5.0),
                            five[e][v], 1e-14, "%s %zu.%zu", physics->kind.name, e, v);
        /* A line is refused where solving it as long is: 174 dB and no more. */
        const bool wave = physics->forms[0] == FL_FORM_WAVE;
        const double most =
            20.0 / (five[0][FL_VALUES - 1] *
                    sqrt(2.0 * acos(-1.0) * setting.nodes[FL_NODES - 1] / setting.w0));
        assert_int_equal(fl_section_bear(five, &section, 0.9 * most, &setting, &error), FL_OK);
        assert_int_equal(fl_section_bear(five, &section, 1.1 * most * (double)physics->form_count,
                                         &setting, &error),
                         wave ? FL_BAD_INPUT : FL_OK);
    }
    assert_int_equal(seen, 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_table), cmocka_unit_test(test_along),
                                       cmocka_unit_test(test_corners)};
    return cmocka_run_group_tests_name("models/models", tests, NULL, NULL);
}
