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
    check_ok(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error), error);
    assert_non_null(fl_groundwork_prepared(fitted, 0, 0));
    assert_ptr_equal(fl_prepared_solution(fl_groundwork_prepared(fitted, 0, 0)),
                     fl_prepared_solution(fl_groundwork_prepared(fitted, 1, 0)));
    assert_null(fl_groundwork_prepared(fitted, 1, 1));
    assert_int_equal(fitted->solution_count, 1);
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
    assert_int_equal(fl_groundwork_fit(&fitted, plain, &(fl_vary){true, true, s.values, 0}, &error),
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

static size_t add_size(sample *s, const char *parameter, double low, double high)
{
    const size_t quantity = sample_set(s, parameter, 0.5 * (low + high));
    s->quantities[quantity].sized = true;
    s->quantities[quantity].low = low;
    s->quantities[quantity].high = high;
    return quantity;
}

/* Two wires of 25 um: a pitch under 50 um is out of the model's range. */
static const struct {
    double pitch[2], diameter[2]; /* range; sized if it is one */
    const char *warning;          /* the only one; NULL: none */
} ranges[] = {
    {{60e-6, 100e-6}, {25e-6, 25e-6}, NULL},
    {{40e-6, 100e-6}, {25e-6, 25e-6}, "'bond wires' with 'pitch' at its low end: 'pitch' is under"},
    {{40e-6, 50e-6}, {25e-6, 25e-6}, "'bond wires': 'pitch' is under 2 diameters"},
    {{60e-6, 60e-6}, {20e-6, 35e-6}, "'bond wires' with 'diameter' at its high end: 'pitch' is"},
    {{40e-6, 80e-6}, {20e-6, 35e-6}, "'bond wires' with 'diameter' at its high end: 'pitch' is"},
    {{40e-6, 100e-6}, {20e-6, 30e-6}, "'bond wires' with 'pitch' at its low end: 'pitch' is"},
};

/* Each text once, and in the order of the parameters: the diameter comes before the pitch. */
static void test_ends_of_ranges(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        sample s;
        fl_error error = {0};
        fl_groundwork *groundwork = NULL;
        sample_init(&s, 20e9, 40e9);
        sample_add(&s, "bond wires");
        sample_set(&s, "count", 2.0);
        sample_set(&s, "span", 400e-6);
        sample_set(&s, "loop height", 120e-6);
        add_size(&s, "diameter", ranges[i].diameter[0], ranges[i].diameter[1]);
        add_size(&s, "pitch", ranges[i].pitch[0], ranges[i].pitch[1]);
        check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
        const char *told = fl_groundwork_warning(groundwork, 0);
        assert_int_equal(fl_groundwork_warning_count(groundwork), ranges[i].warning ? 1 : 0);
        if (ranges[i].warning != NULL && strstr(told, ranges[i].warning) == NULL)
            fail_msg("row %zu: wanted %s, got %s", i, ranges[i].warning, told);
        fl_groundwork_free(groundwork);
    }
}

/* A size of several parameters is taken to its ends in all of them at once: wires of a pitch of
 * four diameters never are too near. */
static void test_ends_of_a_shared_size(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "bond wires");
    sample_set(&s, "count", 2.0);
    sample_set(&s, "span", 400e-6);
    sample_set(&s, "loop height", 120e-6);
    const size_t diameter = add_size(&s, "diameter", 10e-6, 60e-6);
    sample_set(&s, "pitch", 0.0);
    for (size_t i = 0; i < FL_PARTIALS; i++)
        if (s.terms[0][i].quantity == diameter + 1)
            s.terms[0][i] = (fl_term){.quantity = diameter, .times = 4.0, .given = true};
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    assert_int_equal(fl_groundwork_warning_count(groundwork), 0);
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
        cmocka_unit_test(test_shared_fit),     cmocka_unit_test(test_model_ends),
        cmocka_unit_test(test_warnings_once),  cmocka_unit_test(test_setting),
        cmocka_unit_test(test_ends_of_ranges), cmocka_unit_test(test_ends_of_a_shared_size)};
    return cmocka_run_group_tests_name("path/groundwork", tests, NULL, NULL);
}
