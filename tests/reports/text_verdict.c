/* Text report: the verdict. */
#include "reports/pages.h"

#include "reports/made.h"

/** The page is exactly this. */
static void check_verdict(const made *m, const char *wanted)
{
    fl_text text = made_page(fl_page_verdict, m);
    assert_string_equal(text.bytes, wanted);
    fl_text_release(&text);
}

static void says_met(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    made_one_case(&m);
    check_verdict(&m, "\nMet: every requirement holds, by 3.40 dB or more. Closest is the return "
                      "loss at\nthe board port: 18.40 dB at 29.5 GHz, where at least 15.00 dB is "
                      "required.\n");
}

static void says_missed_and_where(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    check_verdict(&m, "\nMissed by 1.25 dB: the return loss at the board port is 13.75 dB at "
                      "29.5 GHz,\ncase 'two', where at least 15.00 dB is required.\n"
                      "Of 4 requirements, counted in each case, 1 is missed.\n");
}

static void names_each_requirement(void **state)
{
    (void)state;
    static const struct {
        fl_asked asked;
        int port;
        bool at_least;
        const char *words;
    } rows[] = {{FL_RETURN_LOSS, FL_PORT_DIE, true, "the return loss at the die port"},
                {FL_INSERTION_LOSS, FL_PORT_BOARD, false, "the insertion loss"},
                {FL_REJECTION, FL_PORT_BOARD, true, "the rejection"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        made m;
        made_head(&m);
        made_response(&m);
        made_one_case(&m);
        m.worst[0][0].asked = rows[i].asked;
        m.worst[0][0].port = rows[i].port;
        m.worst[0][0].at_least = rows[i].at_least;
        m.worst[0][0].weight = 2.0;
        fl_text text = made_page(fl_page_verdict, &m);
        for (char *c = text.bytes; *c; c++)
            *c = *c == '\n' ? ' ' : *c;
        check_has(text.bytes, rows[i].words);
        check_has(text.bytes, rows[i].at_least ? "where at least" : "where at most");
        check_has(text.bytes, "3.40 dB (weighted)");
        fl_text_release(&text);
    }
}

static void says_nothing_is_required(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_response(&m);
    made_one_case(&m);
    m.result.implied = true;
    m.worst[0][0].has_limit = false;
    check_verdict(&m, "\nNothing is required; the worst return loss at the board port is 18.40 dB, "
                      "at\n29.5 GHz.\n");
}

static void says_what_passes(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_yield(&m);
    check_verdict(&m, "\nYield 99.99 %, between 96.45 % and 100.00 % with 95 % confidence.\n");
}

static void says_what_hardly_fails(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_yield(&m);
    m.result.sampling = FL_SAMPLING_IMPORTANCE;
    m.result.rare = (fl_rarity){.failing = 6.38e-8, .low = 6.1e-8, .high = 6.67e-8};
    check_verdict(
        &m, "\nOf all parts 6.4e-08 fail, between 6.1e-08 and 6.7e-08 with 95 % confidence.\n");
    m.result.rare.failing = 2e-4; /* shows in percent */
    check_verdict(&m, "\nYield 99.99 %, between 96.45 % and 100.00 % with 95 % confidence.\n");
}

static void says_interrupted(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    m.result.interrupted = true;
    check_verdict(&m, "\nInterrupted: only what was finished is shown.\n");
    made_response(&m);
    made_sizing(&m);
    fl_text text = made_page(fl_page_verdict, &m);
    check_has(text.bytes, "\nInterrupted: the values are the best found so far.\n");
    fl_text_release(&text);
}

static void says_that_a_design_can_be_used(void **state)
{
    (void)state;
    made m;
    made_head(&m);
    made_check(&m);
    m.result.command = "check";
    check_verdict(&m, "\nThe design can be used. Of 2 quantities 1 is to be sized and 1 carries a "
                      "spread.\n");
    m.result.command = "model";
    check_verdict(&m, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(says_met),
                                       cmocka_unit_test(says_missed_and_where),
                                       cmocka_unit_test(names_each_requirement),
                                       cmocka_unit_test(says_nothing_is_required),
                                       cmocka_unit_test(says_what_passes),
                                       cmocka_unit_test(says_what_hardly_fails),
                                       cmocka_unit_test(says_interrupted),
                                       cmocka_unit_test(says_that_a_design_can_be_used)};
    return cmocka_run_group_tests_name("reports/text_verdict", tests, NULL, NULL);
}
