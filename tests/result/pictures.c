/* What pictures show, in a result. */
#include "asked.h"

static void add(asked *a, const char *text)
{
    fl_error error;
    asked_read(a, text, "response");
    check_ok(fl_result_add_response(a->result, &a->study, a->quantities, &error), error);
    check_ok(fl_result_add_pictures(a->result, &a->study, a->quantities, &error), error);
}

/** The present response is that of the result, computed by itself. */
static void shows_present(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    const fl_result_pictures *pictures = a.result->pictures;
    assert_int_equal(pictures->port, FL_PORT_BOARD);
    assert_int_equal(pictures->count, 5);
    for (size_t c = 0; c < 2; c++)
        for (size_t i = 0; i < pictures->count; i++) {
            const double *s22 = a.result->cases[c].response.s22[i];
            const double *s21 = a.result->cases[c].response.s21[i];
            check_near(a.result->cases[c].response.frequencies[i], pictures->frequencies[i], 1e-3,
                       "frequency %zu", i);
            check_near(-20.0 * log10(hypot(s22[0], s22[1])),
                       pictures->cases[c].present.return_loss_db[i], 1e-9, "return loss");
            check_near(-20.0 * log10(hypot(s21[0], s21[1])),
                       pictures->cases[c].present.insertion_loss_db[i], 1e-9, "insertion loss");
        }
    asked_forget(&a);
    fl_result_free(a.result);
}

/* asked_text without its stub, which is the one section that is sized and spare. */
static const char bare_text[] =
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 5,"
    " \"ports\": {\"die\": {\"resistance\": \"60 ohm\", \"parallel capacitance\": \"10 fF\"},"
    "             \"board\": {\"impedance\": [\"50 ohm\", \"5 ohm\"]}},"
    " \"path\": [{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": \"20 fF\"},"
    "  {\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    "   \"inductance\": \"0.1 nH\"}]}";

/** Leaving a section out is the same as not writing it. */
static void shows_uncompensated(void **state)
{
    (void)state;
    asked a, bare;
    add(&a, asked_text);
    add(&bare, bare_text);
    const fl_result_picture *got = &a.result->pictures->cases[0];
    const fl_result_picture *wanted = &bare.result->pictures->cases[0];
    assert_int_equal(got->left_out_count, 1);
    assert_string_equal(got->left_out[0], "stub");
    assert_null(wanted->uncompensated.return_loss_db);
    assert_int_equal(wanted->left_out_count, 0);
    for (size_t i = 0; i < 5; i++) {
        check_near(wanted->present.return_loss_db[i], got->uncompensated.return_loss_db[i], 1e-9,
                   "return loss %zu", i);
        check_near(wanted->present.insertion_loss_db[i], got->uncompensated.insertion_loss_db[i],
                   1e-9, "insertion loss %zu", i);
        assert_true(fabs(got->present.return_loss_db[i] - got->uncompensated.return_loss_db[i]) >
                    0.01);
    }
    asked_forget(&a);
    asked_forget(&bare);
    fl_result_free(a.result);
    fl_result_free(bare.result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(shows_present),
                                       cmocka_unit_test(shows_uncompensated)};
    return cmocka_run_group_tests_name("result/pictures", tests, NULL, NULL);
}
