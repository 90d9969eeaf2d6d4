/* Text report: losses over the band. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_one_case(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    made_one_case(&m);
    m.s[0][3][2][0] = 0.0; /* a perfect match at the board */
    fl_text text = made_page(fl_page_response, &m);
    /* -20 log10 0.1 is 20 dB, -20 log10 0.9 is 0.915 dB. */
    assert_string_equal(text.bytes,
                        "\nResponse in dB\n"
                        "     GHz  return loss die  return loss board  insertion loss\n"
                        "  26.500            20.00              20.00            0.92\n"
                        "  28.000            20.00              20.00            0.92\n"
                        "  29.500            20.00           over 200            0.92\n");
    fl_text_release(&text);
}

static void writes_the_worst_case_first(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_response, &m);
    const char *two = strstr(text.bytes, "\nResponse in dB, case 'two', the worst\n");
    assert_non_null(two);
    check_has(two, "\nResponse in dB, case 'one'\n");
    check_lacks(text.bytes, "The other cases");
    fl_text_release(&text);
}

static void takes_nine_lines_of_many(void **state)
{
    (void)state;
    enum { POINTS = 61 };
    static double frequencies[POINTS], s[POINTS][2];
    made m;
    made_all(&m);
    made_one_case(&m);
    for (size_t i = 0; i < POINTS; i++)
        frequencies[i] = 1e6 * (double)(100 + i);
    m.result.band_high = 160e6;
    m.cases[0].response = (fl_scatter){POINTS, frequencies, s, s, s, s};
    fl_text text = made_page(fl_page_response, &m);
    static const char *const parts[] = {"     MHz  ", "\n  100.000  ", "\n  108.000  ",
                                        "\n  130.000  ", "\n  160.000  "};
    size_t lines = 0;
    for (const char *c = text.bytes; *c; c++)
        lines += *c == '\n';
    check_near(3.0 + 9.0, (double)lines, 0.0, "lines");
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        check_has(text.bytes, parts[i]);
    fl_text_release(&text);
}

static void writes_nothing_without_response(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    fl_text text = made_page(fl_page_response, &m);
    assert_string_equal(text.bytes, "");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_one_case),
                                       cmocka_unit_test(writes_the_worst_case_first),
                                       cmocka_unit_test(takes_nine_lines_of_many),
                                       cmocka_unit_test(writes_nothing_without_response)};
    return cmocka_run_group_tests_name("reports/text_response", tests, NULL, NULL);
}
