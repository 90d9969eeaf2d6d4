/* Requirements and their bands. */
#include "base/text.h"
#include "reading.h"

#define REQUIRE(json) SAMPLE_HEAD "\"require\": " json ", " SAMPLE_PATH "}"

static void every_form(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        REQUIRE("[{\"quantity\": \"return loss\", \"at least\": \"15 dB\"}, "
                "{\"quantity\": \"return loss\", \"port\": \"die\", \"at least\": \"10 dB\", "
                "\"band\": [\"27 GHz\", \"28 GHz\"], \"weight\": 2}, "
                "{\"quantity\": \"insertion loss\", \"at most\": \"1 dB\", "
                "\"band\": [\"26 GHz\", \"30 GHz\"]}, "
                "{\"quantity\": \"rejection\", \"at least\": \"20 dB\", "
                "\"band\": [\"27000 MHz\", \"28 GHz\"]}]"));
    static const fl_requirement wanted[] = {
        {FL_RETURN_LOSS, FL_PORT_BOARD, true, 15.0, 1.0, 0, false},
        {FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0, 2.0, 1, false},
        {FL_INSERTION_LOSS, FL_PORT_BOARD, false, 1.0, 1.0, 0, false},
        {FL_REJECTION, FL_PORT_BOARD, true, 20.0, 1.0, 1, false}};
    assert_int_equal(design->band_count, 2);
    assert_int_equal(design->requirement_count, COUNT_OF(wanted));
    for (size_t i = 0; i < COUNT_OF(wanted); i++) {
        const fl_requirement *got = &design->requirements[i];
        assert_int_equal(got->asked, wanted[i].asked);
        assert_int_equal(got->port, wanted[i].port);
        assert_int_equal(got->at_least, wanted[i].at_least);
        assert_int_equal(got->band, wanted[i].band);
        assert_false(got->implied);
        check_near(wanted[i].limit_db, got->limit_db, 0.0, "limit %zu", i);
        check_near(wanted[i].weight, got->weight, 0.0, "weight %zu", i);
    }
    fl_design_release(design);
}

static void none_implies_return_loss(void **state)
{
    (void)state;
    static const char *const texts[] = {SAMPLE_HEAD SAMPLE_PATH "}", REQUIRE("[]")};
    for (size_t i = 0; i < COUNT_OF(texts); i++) {
        fl_design *design = sample_good(texts[i]);
        assert_int_equal(design->requirement_count, 1);
        assert_true(design->requirements[0].implied);
        assert_true(design->requirements[0].at_least);
        assert_int_equal(design->requirements[0].asked, FL_RETURN_LOSS);
        assert_int_equal(design->requirements[0].port, FL_PORT_BOARD);
        check_near(0.0, design->requirements[0].limit_db, 0.0, "limit");
        fl_design_release(design);
    }
}

#define ONE(json) REQUIRE("[{\"quantity\": " json "}]")

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {REQUIRE("{}"), "require", "expected a list"},
    {REQUIRE("[3]"), "require[0]", ""},
    {REQUIRE("[{\"at least\": \"3 dB\"}]"), "require[0]", "'quantity' is missing"},
    {ONE("\"return los\", \"at least\": \"3 dB\""), "require[0].quantity",
     "the nearest is 'return loss'"},
    {ONE("\"return loss\""), "require[0]", "expected \"at least\" or \"at most\""},
    {ONE("\"return loss\", \"at least\": \"3 dB\", \"at most\": \"4 dB\""), "require[0].at most",
     "found both"},
    {ONE("\"return loss\", \"at least\": 3"), "require[0].at least", "expected a level in decibel"},
    {ONE("\"return loss\", \"at least\": \"3 %\""), "require[0].at least", "decibel"},
    {ONE("\"return loss\", \"port\": \"package\", \"at least\": \"3 dB\""), "require[0].port",
     "expected one of 'die', 'board'"},
    {ONE("\"rejection\", \"port\": \"die\", \"at least\": \"3 dB\""), "require[0].port",
     "only a return loss"},
    {ONE("\"rejection\", \"at least\": \"3 dB\", \"weight\": 0"), "require[0].weight",
     "must be positive"},
    {ONE("\"rejection\", \"at least\": \"3 dB\", \"weight\": \"3 dB\""), "require[0].weight", ""},
    {ONE("\"rejection\", \"at least\": \"3 dB\", \"band\": 3"), "require[0].band",
     "expected two frequencies"},
    {ONE("\"rejection\", \"at leas\": \"3 dB\""), "require[0].at leas", "'at least'"},
};

static void bad_requirements(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void at_most_100(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, SAMPLE_HEAD "\"require\": [");
    for (int i = 0; i < 101; i++)
        fl_text_print(&text, "%s{\"quantity\": \"rejection\", \"at least\": \"%d dB\"}",
                      i ? ", " : "", i);
    fl_text_add(&text, "], " SAMPLE_PATH "}");
    sample_bad(text.bytes, "require", "at most 100 requirements");
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form),
        cmocka_unit_test(none_implies_return_loss),
        cmocka_unit_test(bad_requirements),
        cmocka_unit_test(at_most_100),
    };
    return cmocka_run_group_tests_name("design/requirement", tests, NULL, NULL);
}
