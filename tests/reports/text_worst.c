/* Text report: requirements where they are worst. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_worst_case_first(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_worst, &m);
    assert_string_equal(
        text.bytes, "\nRequirements where they are worst\n"
                    "  case  requirement                 asked     worst        at    margin\n"
                    "  two   return loss, board port  >= 15 dB  13.75 dB  29.5 GHz  -1.25 dB\n"
                    "  two   insertion loss            <= 5 dB   0.30 dB    28 GHz   4.70 dB\n"
                    "  one   return loss, board port  >= 15 dB  18.40 dB  29.5 GHz   3.40 dB\n"
                    "  one   insertion loss            <= 5 dB   0.30 dB    28 GHz   4.70 dB\n");
    fl_text_release(&text);
}

static void leaves_out_what_is_alike(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    made_one_case(&m);
    m.result.implied = true;
    m.worst[0][0].has_limit = false;
    m.cases[0].worst_count = 1;
    fl_text text = made_page(fl_page_worst, &m);
    assert_string_equal(text.bytes,
                        "\nRequirements where they are worst\n"
                        "  requirement              asked     worst        at  margin\n"
                        "  return loss, board port      -  18.40 dB  29.5 GHz       -\n");
    fl_text_release(&text);
}

static void shows_bands_and_weights(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.worst[0][1].band_low = m.worst[1][1].band_low = 10e9;
    m.worst[0][1].weight = 12.0;
    fl_text text = made_page(fl_page_worst, &m);
    check_has(text.bytes, "weighted\n");
    check_has(text.bytes, "band");
    check_has(text.bytes, "10 GHz");
    fl_text_release(&text);
}

static void orders_cases(void **state)
{
    (void)state;
    made m;
    fl_arena arena;
    fl_arena_init(&arena);
    made_head(&m);
    made_response(&m);
    const size_t *order = fl_page_case_order(&arena, &m.result);
    assert_true(order[0] == 1 && order[1] == 0);
    m.worst[1][0].margin_db = m.worst[0][0].margin_db;
    order = fl_page_case_order(&arena, &m.result);
    assert_true(order[0] == 0 && order[1] == 1);
    fl_arena_release(&arena);
}

static void knows_whether_return_loss_is_asked(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    assert_false(fl_page_asks_return_loss(&m.result));
    made_response(&m);
    assert_true(fl_page_asks_return_loss(&m.result));
    m.worst[0][0].asked = m.worst[1][0].asked = FL_REJECTION;
    assert_false(fl_page_asks_return_loss(&m.result));
}

static void counts_what_is_cut(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_page_more(&text, FL_PAGE_ROWS);
    assert_null(text.bytes);
    fl_page_more(&text, FL_PAGE_ROWS + 3);
    assert_string_equal(text.bytes, "  ... and 3 more\n");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_worst_case_first),
                                       cmocka_unit_test(leaves_out_what_is_alike),
                                       cmocka_unit_test(shows_bands_and_weights),
                                       cmocka_unit_test(orders_cases),
                                       cmocka_unit_test(knows_whether_return_loss_is_asked),
                                       cmocka_unit_test(counts_what_is_cut)};
    return cmocka_run_group_tests_name("reports/text_worst", tests, NULL, NULL);
}
