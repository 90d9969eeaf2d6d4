/* How a study takes its options from the caller and the design. */
#include "circuit.h"

static int answer(void *payload, const char *stage, double done)
{
    assert_string_equal(stage, "sizing");
    assert_true(done == 0.25);
    return *(int *)payload;
}

static const struct {
    fl_options options;
    uint64_t seed, samples;
    size_t kept;
    int threads; /* 0: at least one */
} rows[] = {
    {{.samples = 0, .seed = -1, .threads = 0}, 7, 500, 0, 0},
    {{.samples = 20, .seed = 0, .threads = 3, .keep_samples = 1}, 0, 20, 20, 3},
    {{.samples = 50000, .seed = 9, .threads = 1, .keep_samples = 1}, 9, 50000, 10000, 1},
    {{.samples = 1, .seed = -1, .threads = 1000000}, 7, 1, 0, 256},
};

static void test_options(void **state)
{
    (void)state;
    fl_design design = {.samples = 500, .seed = 7};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fl_study study;
        fl_study_init(&study, &design, NULL, &rows[i].options);
        assert_ptr_equal(study.design, &design);
        assert_int_equal(study.seed, rows[i].seed);
        assert_int_equal(study.samples, rows[i].samples);
        assert_int_equal(study.kept, rows[i].kept);
        if (rows[i].threads > 0)
            assert_int_equal(study.threads, rows[i].threads);
        assert_true(study.threads >= 1);
    }
}

static void test_defaults(void **state)
{
    (void)state;
    fl_design design = {.samples = 500, .seed = 7};
    fl_study study;
    fl_study_init(&study, &design, NULL, NULL);
    assert_int_equal(study.seed, 7);
    assert_int_equal(study.samples, 500);
    assert_int_equal(study.kept, 0);
    assert_true(study.threads >= 1);
    assert_false(fl_study_stopped(&study, "sizing", 0.0));
}

static void test_progress(void **state)
{
    (void)state;
    fl_design design = {.samples = 1};
    fl_study study;
    int wanted = 0;
    fl_options options = {.seed = -1, .progress = answer, .payload = &wanted};
    fl_study_init(&study, &design, NULL, &options);
    assert_false(fl_study_stopped(&study, "sizing", 0.25));
    wanted = 2;
    assert_true(fl_study_stopped(&study, "sizing", 0.25));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_options),
        cmocka_unit_test(test_defaults),
        cmocka_unit_test(test_progress),
    };
    return cmocka_run_group_tests_name("studies/study", tests, NULL, NULL);
}
