/* Sections of a kind: their keys, parameters and rules. */
#include "base/text.h"
#include "reading.h"

#define PATH(json) SAMPLE_HEAD "\"path\": " json "}"
#define ONE(json) PATH("[{\"name\": \"s\", " json "}]")
#define CAPACITOR(json)                                                                            \
    ONE("\"kind\": \"shunt capacitor\", \"side\": \"die\", \"capacitance\": \"1 fF\", " json)
#define WIRES(json)                                                                                \
    ONE("\"kind\": \"bond wires\", \"side\": \"die\", \"diameter\": \"25 um\", \"span\": "         \
        "\"1 mm\", " json)
#define LINE(json) ONE("\"kind\": \"line\", \"side\": \"die\", \"impedance\": \"50 ohm\", " json)

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {PATH("{}"), "path", "expected a list of sections"},
    {PATH("[]"), "path", "the path has no sections"},
    {PATH("[3]"), "path[0]", "expected a section"},
    {PATH("[[]]"), "path[0]", "expected a section"},
    {PATH("[{\"kind\": \"line\"}]"), "path[0]", "'name' is missing"},
    {ONE("\"side\": \"die\""), "path[0]", "expected \"kind\" or \"use\""},
    {ONE("\"kind\": \"line\", \"use\": \"land.json\""), "path[0]", "found both"},
    {ONE("\"kind\": \"shunt capacitr\""), "path[0].kind",
     "there is no kind of section 'shunt capacitr'; the nearest is 'shunt capacitor'"},
    {ONE("\"kind\": 3"), "path[0].kind", "expected a kind of section"},
    {ONE("\"kind\": \"line\", \"impedance\": \"50 ohm\", \"length\": \"1 mm\""), "path[0]",
     "'side' is missing"},
    {ONE("\"kind\": \"line\", \"side\": \"die\", \"length\": \"1 mm\""), "path[0]",
     "'impedance' is missing"},
    {CAPACITOR("\"length\": \"1 mm\""), "path[0].length", "length"},
    {CAPACITOR("\"capacitanc\": \"1 fF\""), "path[0].capacitanc", "'capacitance'"},
    {CAPACITOR("\"file\": \"a.s2p\""), "path[0].file", "file"},
    {CAPACITOR("\"set\": {}"), "path[0].set", "set"},
    {CAPACITOR("\"optional\": 1"), "path[0].optional", "expected true or false"},
    {CAPACITOR("\"resistance\": \"1 ohm\", \"quality factor\": 30"), "path[0]",
     "'resistance' and 'quality factor' may not both be given"},
    {CAPACITOR("\"quality factor\": 0"), "path[0].quality factor",
     "'quality factor' must be positive, found 0"},
    {WIRES("\"count\": 0"), "path[0].count", "'count' must be a whole number from 1, found 0"},
    {WIRES("\"count\": 1.5"), "path[0].count", "must be a whole number"},
    {WIRES("\"count\": {\"size\": [1, 3]}"), "path[0].count", "neither sized nor spread"},
    {WIRES("\"count\": {\"value\": 2, \"spread\": {\"normal\": 1}}"), "path[0].count",
     "neither sized nor spread"},
    {WIRES("\"pitch\": \"0 um\""), "path[0].pitch", "must be positive"},
    {LINE("\"length\": \"1 mm\", \"permittivity\": 0.9"), "path[0].permittivity",
     "must be at least 1, found 0.9"},
    {LINE("\"length\": {\"size\": [\"0 mm\", \"1 mm\"]}"), "path[0].length",
     "must be positive, found 0 m at the low end of its range"},
    {LINE("\"length\": {\"size\": [\"0 mm\", \"1 mm\"], \"start\": \"0 mm\"}"), "path[0].length",
     "at the start"},
    {SAMPLE_HEAD "\"quantities\": {\"a\": {\"size\": [\"1 mm\", \"2 mm\"]}}, \"path\": [{\"name\": "
                 "\"s\", \"kind\": \"line\", \"side\": \"die\", \"impedance\": \"50 ohm\", "
                 "\"length\": {\"from\": \"@a\", \"times\": -1, \"plus\": \"1.8 mm\"}}]}",
     "path[0].length", "must be positive, found -200 um at the high end of its range"},
    {PATH("[" SAMPLE_LINE ", " SAMPLE_LINE "]"), "path[1].name", "two sections are named 'line'"},
    {ONE("\"kind\": \"measured\", \"side\": \"package\""), "path[0]", "'file' is missing"},
    {ONE("\"kind\": \"measured\", \"side\": \"package\", \"file\": 3"), "path[0].file",
     "expected the name of a file"},
    {ONE("\"kind\": \"measured\", \"side\": \"package\", \"file\": \"none.s2p\""), "path[0].file",
     "none.s2p"},
};

static void bad_sections(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void parameters_in_the_order_of_the_kind(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(WIRES("\"pitch\": \"90 um\", \"count\": 3, \"optional\": true"));
    const fl_section *section = &design->cases[0].sections[0];
    static const double wanted[] = {3.0, 25e-6, 1e-3, 0.0, 90e-6};
    static const bool given[] = {true, true, true, false, true};
    assert_string_equal(section->name, "s");
    assert_string_equal(section->kind->name, "bond wires");
    assert_int_equal(section->side, FL_SIDE_DIE);
    assert_true(section->optional);
    assert_null(section->file);
    assert_non_null(strstr(section->place, "design.json:1:"));
    assert_non_null(strstr(section->place, ": path[0]"));
    for (size_t i = 0; i < COUNT_OF(wanted); i++) {
        assert_int_equal(section->terms[i].quantity, FL_NONE);
        assert_int_equal(section->terms[i].given, given[i]);
        check_close(wanted[i], fl_term_value(&section->terms[i], NULL), 1e-15, "parameter %zu", i);
    }
    fl_design_release(design);
}

static void a_file_is_found_beside(void **state)
{
    (void)state;
    fl_design *design =
        sample_good(ONE("\"kind\": \"measured\", \"side\": \"package\", \"file\": \"land.json\""));
    assert_non_null(strstr(design->cases[0].sections[0].file, "designs/land.json"));
    check_near(2.0, fl_term_value(&design->cases[0].sections[0].terms[1], NULL), 0.0, "port");
    fl_design_release(design);
}

static void there_are_at_most_10000(void **state)
{
    (void)state;
    for (int count = 10000; count <= 10001; count++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, SAMPLE_HEAD "\"path\": [");
        for (int i = 0; i < count; i++)
            fl_text_print(&text,
                          "%s{\"name\": \"%d\", \"kind\": \"shunt capacitor\", \"side\": "
                          "\"die\", \"capacitance\": \"1 fF\"}",
                          i ? ",\n " : "", i);
        fl_text_add(&text, "]}");
        if (count > 10000) {
            sample_bad(text.bytes, "path[10000]", "at most 10000 sections");
        } else {
            fl_design *design = sample_good(text.bytes);
            assert_int_equal(design->cases[0].section_count, 10000);
            assert_non_null(
                strstr(design->cases[0].sections[9999].place, "json:10000:2: path[9999]"));
            fl_design_release(design);
        }
        fl_text_release(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_sections),
        cmocka_unit_test(parameters_in_the_order_of_the_kind),
        cmocka_unit_test(a_file_is_found_beside),
        cmocka_unit_test(there_are_at_most_10000),
    };
    return cmocka_run_group_tests_name("design/section", tests, NULL, NULL);
}
