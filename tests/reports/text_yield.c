/* Text report: yield. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_all(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_yield, &m);
    assert_string_equal(text.bytes,
                        "\nYield of 20 000 samples, seed 7, with 95 % confidence intervals\n"
                        "  case                 passed    yield     from        to\n"
                        "  one                  19 400  97.00 %  96.00 %   99.00 %\n"
                        "  two                  19 400  98.00 %  96.00 %   99.00 %\n"
                        "  every case together  19 999  99.99 %  96.45 %  100.00 %\n"
                        "  1 sample has a value that cannot be; counted as failed.\n"
                        "\nWorst return loss: this share of parts has less\n"
                        "       1 %      50 %\n"
                        "  13.10 dB  17.90 dB\n"
                        "\nWhat fails, most frequent first, and where in its band it is worst\n"
                        "  case  requirement              samples  low in band  middle  high\n"
                        "  two   return loss, board port    1 500        1 200       1   299\n"
                        "  one   insertion loss                 3            0       3     0\n"
                        "\nMean values of parts that pass and that fail; share of the variance\n"
                        "  quantity   passing parts  failing parts  shift in sigma  variance\n"
                        "  gap (two)         249 um         262 um           +1.10    31.0 %\n"
                        "  width              80 um          81 um           +0.20     1.0 %\n");
    fl_text_release(&text);
}

static void says_what_intervals_come_from(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    made_plan(&m);
    fl_text text = made_page(fl_page_yield, &m);
    check_has(text.bytes, "\nYield of 12 000 samples, seed 7, with 95 % confidence intervals\n"
                          "  3 lots of 2 wafers of 2 000 dice\n");
    check_has(text.bytes,
              "  Dice of a lot are not independent: the intervals come from how much the "
              "lots\n  differ, and are as wide as those of 411 dice made one by one.\n");
    check_has(text.bytes, "\nFrom wafer to wafer");
    fl_text_release(&text);
    m.result.basis = FL_BASIS_WAFERS;
    text = made_page(fl_page_yield, &m);
    check_has(text.bytes, "Dice of a wafer are not independent");
    fl_text_release(&text);
    m.result.effective = 0.0;
    m.result.samples = 4000;
    m.result.plan.wafers = 1;
    m.result.plan.dice = 4000;
    text = made_page(fl_page_yield, &m);
    check_has(text.bytes, "1 lot of 1 wafer of 4 000 dice");
    check_has(text.bytes, "and one wafer says nothing of the next:\n"
                          "  there is no interval.\n");
    fl_text_release(&text);
}

static void says_how_it_sampled(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.sampling = FL_SAMPLING_LATIN;
    m.result.basis = FL_BASIS_REPLICATES;
    m.result.samples = 16384;
    m.result.effective = 40961.7;
    fl_text text = made_page(fl_page_yield, &m);
    check_has(text.bytes, "\nYield of 16 384 Latin hypercube samples, seed 7, with 95 % confidence "
                          "intervals\n");
    check_has(text.bytes,
              "  The intervals come from how much 16 replicates differ, and are as wide as\n"
              "  those of 40 961 random samples.\n");
    fl_text_release(&text);
}

static void says_how_rare(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_failure_point points[] = {{0, 0, 4.5678}};
    fl_result_failure places[] = {
        {.case_name = "only", .asked = FL_RETURN_LOSS, .port = FL_PORT_BOARD}};
    m.result.sampling = FL_SAMPLING_IMPORTANCE;
    m.result.basis = FL_BASIS_WEIGHTS;
    m.result.rare = (fl_rarity){2.347e-6, 2.1e-6, 2.6e-6, 1.25e-7, 1234, 567.8, points, 1};
    m.result.failure_points = places;
    fl_text text = made_page(fl_page_yield, &m);
    check_has(text.bytes, " importance samples, seed 7, ");
    check_has(text.bytes, "2.35e-06  2.1e-06  2.6e-06  1.25e-07           1 234");
    check_has(text.bytes, "Where failure is nearest");
    check_has(text.bytes, "return loss, board port    4.57");
    fl_text_release(&text);
}

static void says_why_it_ended(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.low = 0.948;
    m.result.high = 0.9518;
    m.result.stopping = (fl_stopping){0.002, true, 7, 16, 0.997};
    fl_text text = made_page(fl_page_yield, &m);
    check_has(text.bytes,
              "\n  Half-width 0.19 % where 0.2 % was asked for; look 7 of at most 16.\n");
    fl_text_release(&text);
    m.result.stopping = (fl_stopping){0.001, false, 16, 16, 0.997};
    text = made_page(fl_page_yield, &m);
    check_has(text.bytes,
              "\n  Half-width 0.19 %, not the 0.1 % asked for: it takes more samples.\n");
    fl_text_release(&text);
}

static void leaves_out_what_says_nothing(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    made_one_case(&m);
    made_yield(&m);
    m.result.passed = m.result.samples;
    m.result.not_physical = 0;
    m.result.failure_count = 0;
    m.result.percentile_count = 0;
    fl_text text = made_page(fl_page_yield, &m);
    check_has(text.bytes,
              "\n  passed    yield     from        to\n  20 000  99.99 %  96.45 %  100.00 %\n");
    static const char *const absent[] = {"every case", "cannot be", "Worst return loss",
                                         "What fails", "Mean values"};
    for (size_t i = 0; i < sizeof absent / sizeof absent[0]; i++)
        check_lacks(text.bytes, absent[i]);
    fl_text_release(&text);
}

static void bears_unknown_shifts(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.shifts[1].shift.sigmas = m.shifts[1].shift.share = (double)NAN;
    fl_text text = made_page(fl_page_yield, &m);
    const char *width = strstr(text.bytes, "\n  width  ");
    assert_non_null(width);
    check_has(width, "\n  gap (two)");
    check_lacks(text.bytes, "nan");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_all),          cmocka_unit_test(says_what_intervals_come_from),
        cmocka_unit_test(says_how_it_sampled), cmocka_unit_test(says_how_rare),
        cmocka_unit_test(says_why_it_ended),   cmocka_unit_test(leaves_out_what_says_nothing),
        cmocka_unit_test(bears_unknown_shifts)};
    return cmocka_run_group_tests_name("reports/text_yield", tests, NULL, NULL);
}
