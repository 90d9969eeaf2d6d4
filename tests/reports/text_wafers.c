/* Text report: wafers and lots of a plan. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_both(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    made_plan(&m);
    fl_text text = made_page(fl_page_wafers, &m);
    assert_string_equal(
        text.bytes,
        "\nFrom wafer to wafer and from lot to lot: this share of them has no more\n"
        "  yield of  drawn     mean   sigma    least      5 %     50 %     95 %     best\n"
        "  a wafer       6  94.58 %  5.96 %  85.00 %  85.00 %  95.00 %  99.95 %  99.99 %\n"
        "  a lot         3  94.58 %  1.93 %  92.47 %  92.47 %  95.00 %  96.25 %  96.25 %\n"
        "\n"
        "  good dice of   dice   mean  least    5 %   50 %   95 %   best\n"
        "  a wafer       2 000  1 892  1 700  1 700  1 900  1 999  2 000\n"
        "  a lot         4 000  3 783  3 699  3 699  3 800  3 850  3 850\n");
    fl_text_release(&text);
}

/* Whole wafers, but not one whole lot, of an interrupted run; and a yield without a plan. */
static void leaves_out_what_is_not_whole(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    made_plan(&m);
    m.result.lots.count = 0;
    fl_text text = made_page(fl_page_wafers, &m);
    check_has(text.bytes, "a wafer");
    check_lacks(text.bytes, "a lot");
    fl_text_release(&text);
    made_all(&m);
    text = made_page(fl_page_wafers, &m);
    assert_int_equal(text.length, 0);
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_both),
                                       cmocka_unit_test(leaves_out_what_is_not_whole)};
    return cmocka_run_group_tests_name("reports/text_wafers", tests, NULL, NULL);
}
