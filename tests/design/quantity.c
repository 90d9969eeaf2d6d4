/* References between quantities, and what they come to. */
#include "base/text.h"
#include "reading.h"

#define QUANTITIES(json, capacitance)                                                              \
    SAMPLE_HEAD "\"quantities\": {" json "}, \"path\": [{\"name\": \"pad\", \"kind\": "            \
                "\"shunt capacitor\", \"side\": \"die\", \"capacitance\": " capacitance "}]}"

/* A term on the first quantity, whose value is 80 fF. */
static const struct {
    const char *text;
    double times, plus;
} terms[] = {
    {QUANTITIES("\"a\": \"80 fF\"", "\"@a\""), 1.0, 0.0},
    {QUANTITIES("\"a\": \"80 fF\"", "{\"from\": \"@a\", \"times\": 0.5}"), 0.5, 0.0},
    {QUANTITIES("\"a\": \"80 fF\"", "{\"from\": \"@a\", \"plus\": \"1 fF\"}"), 1.0, 1e-15},
    {QUANTITIES("\"a\": \"80 fF\", \"b\": \"@a\"", "\"@b\""), 1.0, 0.0},
    {QUANTITIES("\"b\": {\"from\": \"@a\", \"times\": 3, \"plus\": \"2 fF\"}, \"a\": \"80 fF\"",
                "{\"from\": \"@b\", \"times\": 2, \"plus\": \"-1 fF\"}"),
     6.0, 3e-15},
};

static void references_come_to_terms(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(terms); i++) {
        fl_design *design = sample_good(terms[i].text);
        const fl_term *term = &design->cases[0].sections[0].terms[0];
        double value = 0.0;
        assert_int_equal(design->quantity_count, 1);
        assert_int_equal(term->quantity, 0);
        assert_int_equal(design->warning_count, 0);
        fl_design_start(design, &value);
        check_close(80e-15, value, 1e-15, "value %zu", i); /* rounding */
        check_close(terms[i].times, term->times, 1e-15, "times %zu", i);
        check_near(terms[i].plus, term->plus, 1e-29, "plus %zu", i);
        check_close(terms[i].times * 80e-15 + terms[i].plus, fl_term_value(term, &value), 1e-15,
                    "term %zu", i);
        fl_design_release(design);
    }
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {QUANTITIES("\"gap\": \"1 fF\"", "\"@gab\""), "path[0].capacitance",
     "there is no quantity 'gab'; the nearest is 'gap'"},
    {QUANTITIES("\"gap\": \"1 fF\"", "\"@\""), "path[0].capacitance", "there is no quantity ''"},
    {QUANTITIES("\"gap\": \"1 um\"", "\"@gap\""), "path[0].capacitance",
     "expected a capacitance, but 'gap' is a length"},
    {QUANTITIES("\"gap\": 3", "\"@gap\""), "path[0].capacitance",
     "expected a capacitance, but 'gap' is a bare number"},
    {QUANTITIES("\"a\": \"@a\"", "\"@a\""), "quantities.a", "in a loop: a -> a"},
    {QUANTITIES("\"a\": \"@b\", \"b\": {\"from\": \"@c\"}, \"c\": \"@b\"", "\"@a\""),
     "quantities.c", "in a loop: b -> c -> b"},
    {QUANTITIES("\"a\": \"1 fF\", \"a\": \"2 fF\"", "\"@a\""), "quantities.a", "'a'"},
    {QUANTITIES("\"\": \"1 fF\"", "\"1 fF\""), "quantities.", "may not be empty"},
    {QUANTITIES("\"a\": {\"from\": \"b\"}, \"b\": 1", "\"1 fF\""), "quantities.a.from",
     "expected a quantity, such as"},
    {QUANTITIES("\"a\": {\"from\": \"@b\", \"time\": 2}, \"b\": 1", "\"1 fF\""),
     "quantities.a.time", "'times'"},
    {QUANTITIES("\"a\": {\"from\": \"@b\", \"times\": \"2\"}, \"b\": 1", "\"1 fF\""),
     "quantities.a.times", "expected a bare number"},
    {QUANTITIES("\"a\": {\"from\": \"@b\", \"plus\": \"2 um\"}, \"b\": \"1 fF\"", "\"@a\""),
     "quantities.a.plus", "expected a capacitance"},
    {QUANTITIES("\"a\": \"5 fF\"", "{\"from\": \"@a\", \"plus\": \"-6 fF\"}"),
     "path[0].capacitance", "must not be negative, found -1 fF"},
    {QUANTITIES("\"a\": \"12 furlongs\"", "\"1 fF\""), "quantities.a",
     "expected a number and a unit"},
    {QUANTITIES("\"a\": true", "\"1 fF\""), "quantities.a", "expected a value"},
    {SAMPLE_HEAD "\"quantities\": [], " SAMPLE_PATH "}", "quantities",
     "expected an object of named quantities"},
};

static void bad_references(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void long_loops_are_named_shortly(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, SAMPLE_HEAD "\"quantities\": {");
    for (int i = 0; i < 1000; i++)
        fl_text_print(&text, "%s\"%d\": \"@%d\"", i ? ", " : "", i, (i + 1) % 1000);
    fl_text_add(&text, "}, " SAMPLE_PATH "}");
    sample_bad(text.bytes, "quantities.999", "in a loop: 0 -> 1 -> 2 -> 3 -> 4 -> 5 -> ... -> 0");
    fl_text_release(&text);
}

static void unused_quantities_are_warned_of(void **state)
{
    (void)state;
    fl_design *design = sample_good(QUANTITIES(
        "\"comment\": \"c\", \"a\": \"1 fF\", \"b\": \"@c\", \"c\": 4, \"d\": \"1 um\"", "\"@a\""));
    assert_int_equal(design->warning_count, 2);
    assert_non_null(strstr(design->warnings[0], "quantities.b: quantity 'b' is not used"));
    assert_non_null(strstr(design->warnings[1], "quantities.d: quantity 'd' is not used"));
    assert_int_equal(design->quantity_count, 3);
    assert_int_equal(sample_quantity(design, "d", FL_NONE)->side, FL_SIDE_PACKAGE);
    fl_design_release(design);
}

static void there_are_at_most_1000(void **state)
{
    (void)state;
    for (int count = 1000; count <= 1001; count++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, SAMPLE_HEAD "\"quantities\": {");
        for (int i = 0; i < count; i++)
            fl_text_print(&text, "%s\"%d\": 1", i ? ", " : "", i);
        fl_text_add(&text, "}, " SAMPLE_PATH "}");
        if (count > 1000) {
            sample_bad(text.bytes, "quantities.1000", "at most 1000 quantities");
        } else {
            fl_design *design = sample_good(text.bytes);
            assert_int_equal(design->quantity_count, 1000);
            assert_int_equal(design->warning_count, 1000);
            fl_design_release(design);
        }
        fl_text_release(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(references_come_to_terms),
        cmocka_unit_test(bad_references),
        cmocka_unit_test(long_loops_are_named_shortly),
        cmocka_unit_test(unused_quantities_are_warned_of),
        cmocka_unit_test(there_are_at_most_1000),
    };
    return cmocka_run_group_tests_name("design/quantity", tests, NULL, NULL);
}
