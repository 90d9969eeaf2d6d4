/* Candidates: descended from side by side, sorted. Ranks are in studies/ranks. */
#include "rig.h"

static void test_sort(void **state)
{
    (void)state;
    fl_arena arena;
    fl_arena_init(&arena);
    fl_candidate *candidates = fl_candidates_new(&arena, 4, 2);
    assert_true(candidates[3].figure == HUGE_VAL);
    candidates[1].figure = 2.0;
    candidates[2].figure = 1.0;
    candidates[3].figure = 2.0;
    fl_candidates_sort(candidates, 4);
    const size_t wanted[4] = {2, 1, 3, 0};
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(candidates[i].index, wanted[i]);
    fl_arena_release(&arena);
}

static void test_all(void **state)
{
    (void)state;
    rig own;
    fl_error error;
    fl_arena arena;
    rig_open(&own, 0.35e-9);
    fl_arena_init(&arena);
    fl_candidate *candidates = fl_candidates_new(&arena, 5, 2);
    for (size_t i = 0; i < 5; i++)
        candidates[i].values[0] = candidates[i].values[1] = 20e-15 + 20e-15 * (double)i;
    check_ok(fl_descend_all(&own.descent, candidates, 5, &error), error);
    for (size_t i = 0; i < 5; i++)
        check_near(11.3618, fl_figure_margin(candidates[i].figure), 1e-3, "start %zu", i);
    own.search.stopped = 1;
    candidates[0].figure = 7.0;
    check_ok(fl_descend_all(&own.descent, candidates, 5, &error), error);
    assert_true(candidates[0].figure == 7.0);
    fl_arena_release(&arena);
    rig_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_sort), cmocka_unit_test(test_all)};
    return cmocka_run_group_tests_name("studies/candidates", tests, NULL, NULL);
}
