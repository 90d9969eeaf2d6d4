/* Groundwork: warnings told once, shared fits, and what cannot be fitted. */
#include "check.h"

#include "path/groundwork.h"
#include "sample.h"

static const fl_spread ten_microns = {.shape = FL_NORMAL, .amount = 10e-6};

static void add_wires(sample *s, double span)
{
    sample_add(s, "bond wires");
    const size_t quantity = sample_set(s, "span", span);
    s->quantities[quantity].spreads = &ten_microns;
    s->quantities[quantity].spread_count = 1;
    sample_set(s, "loop height", 120e-6);
    sample_set(s, "diameter", 25e-6);
}

/* Two cases with the same wires share one fit; the second case's capacitor needs none. */
static void test_shared_fit(void **unused)
{
    (void)unused;
    sample s;
    fl_case cases[2];
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    sample_init(&s, 20e9, 40e9);
    add_wires(&s, 400e-6);
    sample_add(&s, "shunt capacitor");
    sample_set(&s, "capacitance", 50e-15);
    cases[0] = (fl_case){.name = "a", .sections = s.sections, .section_count = 1};
    cases[1] = (fl_case){.name = "b", .sections = s.sections, .section_count = 2};
    s.design.cases = cases;
    s.design.case_count = 2;
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values}, &error), error);
    assert_non_null(fl_groundwork_prepared(fitted, 0, 0));
    assert_ptr_equal(fl_groundwork_prepared(fitted, 0, 0), fl_groundwork_prepared(fitted, 1, 0));
    assert_null(fl_groundwork_prepared(fitted, 1, 1));
    assert_int_equal(fitted->owned_count, 1);
    fl_groundwork_free(fitted);
    fl_groundwork_free(plain);
}

/* The land stands as high as the loop's top is at three sigmas down: no wire is left there. */
static void test_model_ends(void **unused)
{
    (void)unused;
    static const fl_spread wide = {.shape = FL_NORMAL, .amount = 0.3, .relative = true};
    sample s;
    fl_error error = {0};
    fl_groundwork *plain = NULL, *fitted = NULL;
    sample_init(&s, 20e9, 40e9);
    add_wires(&s, 400e-6);
    sample_set(&s, "land height", 190e-6);
    s.quantities[1].spreads = &wide; /* the loop height */
    s.quantities[1].spread_count = 1;
    check_ok(fl_groundwork_new(&plain, &s.design, &error), error);
    assert_int_equal(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values}, &error),
                     FL_BAD_INPUT);
    assert_null(fitted);
    assert_non_null(strstr(error.place, "sample"));
    assert_non_null(strstr(error.message, "spread"));
    fl_groundwork_free(plain);
}

static void test_warnings_once(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    sample_init(&s, 20e9, 40e9);
    add_wires(&s, 400e-6);
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    const size_t before = fl_groundwork_warning_count(groundwork);
    for (int i = 0; i < 20; i++) {
        char text[32];
        snprintf(text, sizeof text, "warning %d", i / 2);
        check_ok(fl_groundwork_warn(groundwork,
                                    fl_arena_copy(&groundwork->arena, text, strlen(text)), &error),
                 error);
    }
    assert_int_equal(fl_groundwork_warning_count(groundwork), before + 10);
    assert_null(fl_groundwork_warning(groundwork, before + 10));
    assert_int_equal(fl_groundwork_warn(groundwork, NULL, &error), FL_NO_MEMORY);
    fl_groundwork_free(groundwork);
}

/* The nodes lie within the lowest and the highest frequency of all bands. */
static void test_setting(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    const fl_band bands[] = {{20e9, 40e9}, {60e9, 80e9}};
    sample_init(&s, 20e9, 40e9);
    add_wires(&s, 400e-6);
    s.design.bands = bands;
    s.design.band_count = 2;
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    const fl_setting *setting = fl_groundwork_setting(groundwork);
    check_close(2.0 * acos(-1.0) * 30e9, setting->w0, 1e-15, "centre of the design's band");
    assert_true(setting->nodes[0] > 20e9 && setting->nodes[FL_NODES - 1] < 80e9);
    check_close(50e9, setting->nodes[FL_NODES / 2], 1e-12, "middle node");
    fl_groundwork_free(groundwork);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shared_fit), cmocka_unit_test(test_model_ends),
        cmocka_unit_test(test_warnings_once), cmocka_unit_test(test_setting)};
    return cmocka_run_group_tests_name("path/groundwork", tests, NULL, NULL);
}
