/* What pictures show, in a result. */
#include "asked.h"

static void add(asked *a, const char *text)
{
    fl_error error;
    asked_read(a, text, "response");
    check_ok(fl_result_add_response(a->result, &a->study, a->quantities, &error), error);
    check_ok(fl_result_add_pictures(a->result, &a->study, a->quantities, false, &error), error);
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

/** A page's frequencies are the design's, but no more than are seen; ends are kept. */
static void thins_out(void **state)
{
    (void)state;
    asked a;
    fl_error error;
    char text[sizeof asked_text + 16];
    const char *points = strstr(asked_text, "\"points\": 5,");
    assert_non_null(points);
    snprintf(text, sizeof text, "%.*s\"points\": 5000,%s", (int)(points - asked_text), asked_text,
             points + strlen("\"points\": 5,"));
    asked_read(&a, text, "response");
    check_ok(fl_result_add_pictures(a.result, &a.study, a.quantities, false, &error), error);
    const fl_result_pictures *pictures = a.result->pictures;
    assert_int_equal(pictures->count, 201);
    check_near(26e9, pictures->frequencies[0], 0.0, "first");
    check_near(30e9, pictures->frequencies[200], 0.0, "last");
    assert_int_equal(pictures->wide_count, 301);
    check_near(2.6e9, pictures->wide[0], 1.0, "first of the wide sweep");
    check_near(90e9, pictures->wide[300], 1.0, "last of the wide sweep");
    assert_null(pictures->cases[0].envelope.return_loss_db[0]);
    asked_forget(&a);
    fl_result_free(a.result);
}

/** The walk ends where the return loss begins: at the board port, here 50 ohm with reactance. */
static void walks_to_board(void **state)
{
    (void)state;
    asked a;
    add(&a, asked_text);
    for (size_t c = 0; c < 2; c++) {
        const fl_result_picture *picture = &a.result->pictures->cases[c];
        assert_int_equal(picture->section_count, 3);
        assert_string_equal(picture->sections[2], "stub");
        for (size_t i = 0; i < FL_WALKS; i++) {
            const fl_walk *walk = &picture->walks[i];
            const fl_walk_step *end = &walk->steps[3];
            const double *g = end->reflection[end->count - 1];
            check_near(26e9 + 2e9 * (double)i, walk->frequency, 1.0, "frequency");
            check_near(50.0, walk->reference, 0.0, "reference");
            /* Z = R (1 + g) / (1 - g), then |Z - Zp*| / |Z + Zp|, Zp = 50 + j5 ohm. */
            const double square = (1.0 - g[0]) * (1.0 - g[0]) + g[1] * g[1];
            const double r = 50.0 * (1.0 - g[0] * g[0] - g[1] * g[1]) / square;
            const double x = 100.0 * g[1] / square;
            const double s = hypot(r - 50.0, x + 5.0) / hypot(r + 50.0, x + 5.0);
            check_near(picture->present.return_loss_db[2 * i], -20.0 * log10(s), 1e-9,
                       "case %zu, walk %zu", c, i);
        }
    }
    asked_forget(&a);
    fl_result_free(a.result);
}

/** The example's file of the path as it was is the path that is found without being told. */
static void finds_uncompensated_example(void **state)
{
    (void)state;
    static const char folder[] = FL_SOURCE_DIR "/examples/absorb/";
    static const char *const names[] = {"absorb.json", "uncompensated.json"};
    fl_result *results[2] = {NULL};
    for (size_t i = 0; i < 2; i++) {
        char file[sizeof folder + 32];
        fl_design *design = NULL;
        fl_error error;
        fl_options options;
        fl_options_init(&options);
        options.pictures = 1;
        snprintf(file, sizeof file, "%s%s", folder, names[i]);
        check_ok(fl_design_read(&design, file, FL_SOURCE_DIR "/models", &error), error);
        check_ok(fl_response(&results[i], design, &options, &error), error);
        fl_design_free(design);
    }
    double worst = 200.0;
    for (size_t c = 0; c < 2; c++) {
        const fl_result_picture *got = &results[0]->pictures->cases[c];
        const fl_result_picture *wanted = &results[1]->pictures->cases[c];
        assert_int_equal(got->left_out_count, 3);
        for (size_t i = 0; i < results[0]->pictures->count; i++) {
            check_near(wanted->present.return_loss_db[i], got->uncompensated.return_loss_db[i],
                       1e-6, "return loss");
            worst = fmin(worst, got->uncompensated.return_loss_db[i]);
        }
        for (size_t i = 0; i < results[0]->pictures->wide_count; i++)
            check_near(wanted->wide_present.insertion_loss_db[i],
                       got->wide_uncompensated.insertion_loss_db[i], 1e-6, "far beyond");
    }
    check_near(10.00, worst, 0.01, "as the example says");
    fl_result_free(results[0]);
    fl_result_free(results[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_present), cmocka_unit_test(shows_uncompensated),
        cmocka_unit_test(thins_out), cmocka_unit_test(walks_to_board),
        cmocka_unit_test(finds_uncompensated_example)};
    return cmocka_run_group_tests_name("result/pictures", tests, NULL, NULL);
}
