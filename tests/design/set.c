/* What a section sets in its model: replaced, dropped, sized and refused. */
#include "reading.h"

#define USE(json) SAMPLE_HEAD "\"path\": [{\"name\": \"package\", " json "}]}"

static const struct {
    const char *set, *name;
    double value;
    bool sized;
    size_t warnings;
} sets[] = {
    {"\"mould permittivity\": 3.5", "package/mould permittivity", 3.5, false, 1},
    {"\"mould permittivity\": {\"value\": 3.5}", "package/mould permittivity", 3.5, false, 0},
    {"\"mould permittivity\": {\"size\": [2, 4], \"start\": 2.5}", "package/mould permittivity",
     2.5, true, 0},
    {"\"mould permittivity\": \"@outer\"", "outer", 4.0, false, 0},
    {"\"mould permittivity\": {\"from\": \"@outer\", \"times\": 0.5}", "outer", 4.0, false, 0},
    {"\"lead length\": {\"value\": \"2 mm\"}", "package/lead length", 2e-3, false, 0},
    {"\"lead length\": {\"size\": [\"1 mm\", \"2 mm\"]}", "package/lead length", 1.5e-3, true, 0},
    {"\"land/land cap\": \"7 fF\"", "package/land/land cap", 7e-15, false, 0},
    {"\"comment\": 3, \"land/land resistance\": {\"value\": \"2 ohm\"}",
     "package/land/land resistance", 2.0, false, 0},
};

static void set_replaces_definitions(void **state)
{
    (void)state;
    char text[3000];
    for (size_t i = 0; i < COUNT_OF(sets); i++) {
        snprintf(text, sizeof text,
                 SAMPLE_HEAD "\"quantities\": {\"outer\": 4}, \"path\": [{\"name\": \"own\", "
                             "\"kind\": \"line\", \"side\": \"die\", \"impedance\": \"50 ohm\", "
                             "\"length\": \"1 mm\", \"permittivity\": \"@outer\"}, {\"name\": "
                             "\"package\", \"use\": \"frame.json\", \"set\": {%s}}]}",
                 sets[i].set);
        fl_design *design = sample_good(text);
        const fl_quantity *quantity = sample_quantity(design, sets[i].name, FL_NONE);
        assert_non_null(quantity);
        check_close(sets[i].value, quantity->value, 1e-15, "%s", sets[i].set); /* rounding */
        assert_int_equal(quantity->sized, sets[i].sized);
        assert_int_equal(quantity->spread_count, 0);
        assert_int_equal(design->warning_count, sets[i].warnings);
        fl_design_release(design);
    }
}

static void a_dropped_spread_is_warned_of_once(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        USE("\"use\": \"frame.json\", \"set\": {\"mould permittivity\": 3.5, \"lead length\": "
            "\"1 mm\", \"land/land cap\": \"3 fF\"}"));
    assert_int_equal(design->warning_count, 1);
    assert_non_null(strstr(design->warnings[0], ": path[0].set: plain values drop the spread of "
                                                "'mould permittivity' and of 1 more"));
    fl_design_release(design);
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {USE("\"use\": \"frame.json\", \"set\": []"), "path[0].set", "expected an object"},
    {USE("\"use\": \"frame.json\", \"set\": {\"mold permittivity\": 3}"),
     "path[0].set.mold permittivity", "the nearest is 'mould permittivity'"},
    {USE("\"use\": \"frame.json\", \"set\": {\"lead lenth\": 3}"), "path[0].set.lead lenth",
     "the nearest is 'lead length'"},
    {USE("\"use\": \"frame.json\", \"set\": {\"land/land cup\": 3}"), "path[0].set.land/land cup",
     "the nearest is 'land/land cap'"},
    {USE("\"use\": \"frame.json\", \"set\": {\"mould permittivity\": 0.5}"),
     "designs/frame.json:8:77: path[0].permittivity", "must be at least 1, found 0.5"},
    {USE("\"use\": \"frame.json\", \"set\": {\"mould permittivity\": \"3 um\"}"),
     "designs/frame.json:8:77: path[0].permittivity",
     "expected a bare number, but 'package/mould permittivity' is a length"},
    {USE("\"use\": \"frame.json\", \"set\": {\"mould permittivity\": \"@inner\"}"),
     "path[0].set.mould permittivity", "there is no quantity 'inner'"},
};

static void bad_sets(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void a_size_may_be_set(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(USE("\"use\": \"sized-model.json\", \"set\": {\"cap\": {\"size\": "
                        "[\"1 fF\", \"5 fF\"]}}"));
    assert_true(sample_quantity(design, "package/cap", FL_NONE)->sized);
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_replaces_definitions),
        cmocka_unit_test(a_dropped_spread_is_warned_of_once),
        cmocka_unit_test(bad_sets),
        cmocka_unit_test(a_size_may_be_set),
    };
    return cmocka_run_group_tests_name("design/set", tests, NULL, NULL);
}
