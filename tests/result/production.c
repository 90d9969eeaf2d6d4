/* What production does to pictures, in a result. */
#include "asked.h"

static int stop(void *payload, const char *stage, double done)
{
    (void)done;
    return strcmp(stage, payload) == 0;
}

static void add(asked *a, char *stop_at)
{
    fl_error error;
    asked_read(a, asked_text, "yield");
    a->study.progress = stop_at ? stop : NULL;
    a->study.payload = stop_at;
    check_ok(fl_result_add_response(a->result, &a->study, a->quantities, &error), error);
    check_ok(fl_result_add_pictures(a->result, &a->study, a->quantities, true, &error), error);
}

/** As the study gives it at the frequencies of the picture; a copy. */
static void shows_envelope(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    fl_envelope wanted;
    fl_levels levels;
    add(&a, NULL);
    const fl_result_pictures *pictures = a.result->pictures;
    const fl_grid grid = {pictures->frequencies, pictures->count};
    check_ok(fl_envelope_run(&wanted, &a.study, a.quantities, &grid, FL_PORT_BOARD, &error), error);
    check_ok(fl_levels_run(&levels, &a.study, a.quantities, &error), error);
    asked_forget(&a);
    assert_int_equal(pictures->samples, 100);
    const double *at = wanted.values;
    for (size_t c = 0; c < 2; c++) {
        const fl_result_envelope *got = &pictures->cases[c].envelope;
        for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++)
            for (size_t i = 0; i < 5; i++)
                check_near(*at++, got->return_loss_db[p][i], 0.0, "return loss");
        for (size_t p = 0; p < FL_ENVELOPE_PERCENTS; p++)
            for (size_t i = 0; i < 5; i++)
                check_near(*at++, got->insertion_loss_db[p][i], 0.0, "insertion loss");
    }
    assert_int_equal(pictures->levels.count, 3); /* wafer, die, assembly */
    assert_int_equal(levels.count, 3);
    for (size_t i = 0; i < 3; i++)
        check_near(levels.items[i].share, pictures->levels.items[i].share, 0.0, "share");
    assert_false(a.result->interrupted);
    fl_envelope_release(&wanted);
    fl_result_free(a.result);
}

/** The result is then an interrupted one, with the pictures that need no draws. */
static void keeps_the_rest_when_stopped(void **state)
{
    (void)state;
    static char stages[][16] = {"envelope", "levels"};
    for (size_t i = 0; i < 2; i++) {
        asked a;
        add(&a, stages[i]);
        assert_true(a.result->interrupted);
        assert_non_null(a.result->pictures);
        assert_non_null(a.result->pictures->cases[0].present.return_loss_db);
        assert_int_equal(a.result->pictures->samples > 0, i == 1);
        assert_int_equal(a.result->pictures->levels.count, 0);
        asked_forget(&a);
        fl_result_free(a.result);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(shows_envelope),
                                       cmocka_unit_test(keeps_the_rest_when_stopped)};
    return cmocka_run_group_tests_name("result/production", tests, NULL, NULL);
}
