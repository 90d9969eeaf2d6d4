/* Text report: sensitivity. */
#include "reports/pages.h"

#include "reports/made.h"

static void writes_with_spread(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    fl_text text = made_page(fl_page_sensitivity, &m);
    assert_string_equal(text.bytes,
                        "\nSensitivity: change in dB of the worst return loss (13.75 dB), plus is "
                        "better;\nshare of the variance\n"
                        "  quantity       +1 %    -1 %  sigma  +sigma  -sigma   share\n"
                        "  gap          -0.080  +0.030  12 um  -0.412  +0.400  31.5 %\n"
                        "  width (two)  +0.020  -0.020      -       -       -       -\n");
    fl_text_release(&text);
}

static void writes_without_spread(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.sensitivity[0] = m.sensitivity[1];
    m.sensitivity[0].name = "gap";
    m.sensitivity[0].case_name = NULL;
    m.worst[0][0].asked = m.worst[1][0].asked = FL_REJECTION;
    fl_text text = made_page(fl_page_sensitivity, &m);
    check_has(text.bytes, "change in dB of the smallest margin (13.75 dB)");
    check_has(text.bytes, "  quantity     nominal    +1 %\n"
                          "  gap            80 um  +0.020\n"
                          "  width (two)    80 um  +0.020\n");
    fl_text_release(&text);
}

static void says_that_there_is_none(void **state)
{
    (void)state;
    made m;
    made_all(&m);
    m.result.sensitivity_count = 0;
    fl_text text = made_page(fl_page_sensitivity, &m);
    check_has(text.bytes, "no quantity is sized or carries a spread");
    fl_text_release(&text);
    m.result.has_sensitivity = false;
    text = made_page(fl_page_sensitivity, &m);
    assert_string_equal(text.bytes, "");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(writes_with_spread),
                                       cmocka_unit_test(writes_without_spread),
                                       cmocka_unit_test(says_that_there_is_none)};
    return cmocka_run_group_tests_name("reports/text_sensitivity", tests, NULL, NULL);
}
