/* Cases: what they set and replace, and sizes of their own. */
#include "base/text.h"
#include "reading.h"

/* A die capacitor, wires over a gap, a package, a board line with a size of its own. */
#define CASES(json)                                                                                \
    SAMPLE_HEAD                                                                                    \
    "\"quantities\": {\"gap\": {\"value\": \"250 um\", \"spread\": {\"normal\": \"5 %\"}}, "       \
    "\"half\": {\"from\": \"@gap\", \"times\": 0.5}}, \"path\": ["                                 \
    "{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\", \"capacitance\": "      \
    "\"50 fF\"}, "                                                                                 \
    "{\"name\": \"wires\", \"kind\": \"bond wires\", \"side\": \"package\", \"diameter\": "        \
    "\"25 um\", \"span\": \"@gap\", \"loop height\": \"@half\"}, "                                 \
    "{\"name\": \"package\", \"use\": \"frame.json\"}, "                                           \
    "{\"name\": \"stub\", \"kind\": \"line\", \"side\": \"board\", \"impedance\": \"50 ohm\", "    \
    "\"length\": {\"size\": [\"1 mm\", \"3 mm\"]}}], \"cases\": " json "}"

static const fl_section *find_section(const fl_case *in, const char *name)
{
    for (size_t i = 0; i < in->section_count; i++) {
        if (strcmp(in->sections[i].name, name) == 0)
            return &in->sections[i];
    }
    print_error("no section %s\n", name);
    fail();
    return NULL;
}

static double present(const fl_design *design, size_t index, const char *section, size_t parameter)
{
    double values[100] = {0.0};
    assert_true(design->quantity_count <= 100);
    fl_design_start(design, values);
    return fl_term_value(&find_section(&design->cases[index], section)->terms[parameter], values);
}

static void without_cases_one_is_nominal(void **state)
{
    (void)state;
    fl_design *design = sample_good(SAMPLE_HEAD SAMPLE_PATH "}");
    assert_int_equal(design->case_count, 1);
    assert_string_equal(design->cases[0].name, "nominal");
    fl_design_release(design);
}

/* What is set holds in its case alone, and carries over to what is derived from it. */
static void a_case_sets(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        CASES("[{\"name\": \"a\"}, {\"name\": \"b\", \"set\": {\"gap\": {\"value\": \"400 um\"}, "
              "\"package/mould permittivity\": {\"size\": [2, 4]}, \"pad capacitance\": \"60 fF\", "
              "\"stub loss\": \"1 dB/m\", \"package/lead length\": \"@half\"}}]"));
    static const struct {
        size_t at;
        const char *section;
        size_t parameter;
        double value;
    } wanted[] = {
        {0, "wires", 2, 250e-6}, {1, "wires", 2, 400e-6},        {0, "wires", 3, 125e-6},
        {1, "wires", 3, 200e-6}, {0, "package/lead", 2, 3.8},    {1, "package/lead", 2, 3.0},
        {0, "pad", 0, 50e-15},   {1, "pad", 0, 60e-15},          {0, "stub", 3, 0.0},
        {1, "stub", 3, 1.0},     {0, "package/lead", 1, 800e-6}, {1, "package/lead", 1, 200e-6},
        {0, "stub", 1, 2e-3},    {1, "stub", 1, 2e-3},
    };
    for (size_t i = 0; i < COUNT_OF(wanted); i++)
        check_close(wanted[i].value,
                    present(design, wanted[i].at, wanted[i].section, wanted[i].parameter), 1e-14,
                    "%zu %s %zu", wanted[i].at, wanted[i].section, wanted[i].parameter);
    assert_non_null(sample_quantity(design, "gap", FL_NONE));
    assert_non_null(sample_quantity(design, "gap", 1));
    assert_true(sample_quantity(design, "package/mould permittivity", 1)->sized);
    assert_false(sample_quantity(design, "package/mould permittivity", 1)->per_case);
    assert_null(sample_quantity(design, "stub length", 1));
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static void a_case_replaces(void **state)
{
    (void)state;
    fl_design *design = sample_good(
        CASES("[{\"name\": \"a\"}, {\"name\": \"b\", \"replace\": {\"package\": {\"use\": "
              "\"land.json\", \"side\": \"board\"}, \"wires\": {\"kind\": \"line\", "
              "\"impedance\": \"40 ohm\", \"length\": \"@gap\"}}, \"set\": {\"package/land cap\": "
              "{\"value\": \"9 fF\"}}}]"));
    const fl_case *second = &design->cases[1];
    assert_int_equal(design->cases[0].section_count, 5);
    assert_int_equal(second->section_count, 4);
    assert_string_equal(find_section(second, "wires")->kind->name, "line");
    assert_int_equal(find_section(second, "wires")->side, FL_SIDE_PACKAGE);
    assert_int_equal(find_section(second, "package/land")->side, FL_SIDE_BOARD);
    check_close(9e-15, present(design, 1, "package/land", 0), 1e-15, "land cap");
    check_close(250e-6, present(design, 1, "wires", 1), 1e-15, "length");
    assert_non_null(sample_quantity(design, "package/land cap", 1));
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
}

static void sizes_of_each_case(void **state)
{
    (void)state;
#define PER_CASE(start)                                                                            \
    SAMPLE_HEAD "\"path\": [{\"name\": \"stub\", \"kind\": \"line\", \"side\": \"board\", "        \
                "\"impedance\": \"50 ohm\", \"length\": {\"size\": [\"1 mm\", \"3 mm\"], "         \
                "\"per case\": true" start "}}], \"cases\": [{\"name\": \"a\"}, {\"name\": "       \
                "\"b\"}]}"
    static const struct {
        const char *text;
        double first, second;
    } rows[] = {
        {PER_CASE(""), 2e-3, 2e-3},
        {PER_CASE(", \"start\": \"1.5 mm\""), 1.5e-3, 1.5e-3},
        {PER_CASE(", \"start\": [\"1.5 mm\", \"2.5 mm\"]"), 1.5e-3, 2.5e-3},
    };
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        fl_design *design = sample_good(rows[i].text);
        assert_int_equal(design->quantity_count, 2);
        assert_true(design->quantities[1].per_case);
        assert_int_equal(design->quantities[1].only_case, 1);
        check_close(rows[i].first, present(design, 0, "stub", 1), 1e-15, "first of %zu", i);
        check_close(rows[i].second, present(design, 1, "stub", 1), 1e-15, "second of %zu", i);
        fl_design_release(design);
    }
    sample_bad(PER_CASE(", \"start\": [\"1.5 mm\"]"), "path[0].length.start",
               "expected one start for each of the 2 cases, found 1");
    sample_bad(PER_CASE(", \"start\": [\"1.5 mm\", \"9 mm\"]"), "path[0].length.start[1]",
               "not within the range");
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {CASES("{}"), "cases", "expected a list of at least one case"},
    {CASES("[]"), "cases", "expected a list of at least one case"},
    {CASES("[3]"), "cases[0]", ""},
    {CASES("[{}]"), "cases[0]", "'name' is missing"},
    {CASES("[{\"name\": \"a\"}, {\"name\": \"a\"}]"), "cases[1].name", "two cases are named 'a'"},
    {CASES("[{\"name\": \"a\", \"sets\": {}}]"), "cases[0].sets", "'set'"},
    {CASES("[{\"name\": \"a\", \"set\": 3}]"), "cases[0].set", "expected an object"},
    {CASES("[{\"name\": \"a\", \"set\": {\"gab\": \"1 um\"}}]"), "cases[0].set.gab",
     "there is no quantity or parameter 'gab'; the nearest is 'gap'"},
    {CASES("[{\"name\": \"a\", \"set\": {\"stub lenght\": \"1 um\"}}]"), "cases[0].set.stub lenght",
     "the nearest is 'stub length'"},
    {CASES("[{\"name\": \"a\", \"set\": {\"pakage/lead length\": \"1 um\"}}]"),
     "cases[0].set.pakage/lead length", "the nearest is 'package/lead length'"},
    {CASES("[{\"name\": \"a\", \"set\": {\"gap\": \"1 fF\"}}]"), "path[1].span",
     "expected a length, but 'gap' is a capacitance"},
    {CASES("[{\"name\": \"a\", \"set\": {\"gap\": \"@gap\"}}]"), "cases[0].set.gap",
     "in a loop: gap -> gap"},
    {CASES("[{\"name\": \"a\", \"set\": {\"pad capacitance\": {\"size\": [\"1 fF\", \"2 fF\"]}}}]"),
     "cases[0].set.pad capacitance", "a die has one mask"},
    {CASES("[{\"name\": \"a\", \"replace\": {\"wire\": {}}}]"), "cases[0].replace.wire",
     "there is no section 'wire'; the nearest is 'wires'"},
    {CASES("[{\"name\": \"a\", \"replace\": []}]"), "cases[0].replace", "expected an object"},
    {CASES("[{\"name\": \"a\", \"replace\": {\"wires\": 3}}]"), "cases[0].replace.wires",
     "expected a section without a name"},
    {CASES("[{\"name\": \"a\", \"replace\": {\"wires\": {\"name\": \"b\"}}}]"),
     "cases[0].replace.wires.name", "keeps its name"},
    {CASES("[{\"name\": \"a\", \"replace\": {\"wires\": {\"kind\": \"lin\"}}}]"),
     "cases[0].replace.wires.kind", "the nearest is 'line'"},
};

static void bad_cases(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void at_most_100(void **state)
{
    (void)state;
    for (int count = 100; count <= 101; count++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, SAMPLE_HEAD SAMPLE_PATH ", \"cases\": [");
        for (int i = 0; i < count; i++)
            fl_text_print(&text, "%s{\"name\": \"%d\"}", i ? ", " : "", i);
        fl_text_add(&text, "]}");
        if (count > 100) {
            sample_bad(text.bytes, "cases", "at most 100 cases");
        } else {
            fl_design *design = sample_good(text.bytes);
            assert_int_equal(design->case_count, 100);
            fl_design_release(design);
        }
        fl_text_release(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_cases_one_is_nominal),
        cmocka_unit_test(a_case_sets),
        cmocka_unit_test(a_case_replaces),
        cmocka_unit_test(sizes_of_each_case),
        cmocka_unit_test(bad_cases),
        cmocka_unit_test(at_most_100),
    };
    return cmocka_run_group_tests_name("design/case", tests, NULL, NULL);
}
