/* New starts in the user's own text. */
#include "base/file.h"
#include "reading.h"

static char *rewrite(const fl_design *design, const double *values)
{
    char *text = NULL;
    size_t length = 0;
    fl_error error;
    check_ok(fl_design_with_starts(&text, &length, design, values, &error), error);
    assert_int_equal(strlen(text), length);
    return text;
}

static const struct {
    const char *json, *wanted;
    double value;
} rows[] = {
    {"{\"size\": [\"1 fF\", \"9 fF\"]}", "{\"size\": [\"1 fF\", \"9 fF\"], \"start\": \"4 fF\"}",
     4e-15},
    {"{ \"start\" : \"2 fF\" ,\n \"size\":[\"1 fF\",\"9 fF\"] }",
     "{ \"start\" : \"4.5 fF\" ,\n \"size\":[\"1 fF\",\"9 fF\"] }", 4.5e-15},
    {"{\"size\": [\"1 fF\", \"9 fF\"],\n  \"grid\": \"1 fF\", \"comment\": \"\\u00b5 [}\"}",
     "{\"size\": [\"1 fF\", \"9 fF\"], \"start\": \"9 fF\",\n  \"grid\": \"1 fF\", \"comment\": "
     "\"\\u00b5 [}\"}",
     9.0000001e-15}, /* past the end of the range */
};

static void the_rest_stays_as_it_was(void **state)
{
    (void)state;
    char text[2000], wanted[2000];
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        snprintf(text, sizeof text, "\n " SAMPLE_CAPACITANCE("%s") "\n\n", rows[i].json);
        snprintf(wanted, sizeof wanted, "\n " SAMPLE_CAPACITANCE("%s") "\n\n", rows[i].wanted);
        fl_design *design = sample_good(text);
        char *got = rewrite(design, &rows[i].value);
        assert_string_equal(got, wanted);
        fl_memory_free(got);
        fl_design_release(design);
    }
}

static void nothing_sized_changes_nothing(void **state)
{
    (void)state;
    const char *text = "\xEF\xBB\xBF" SAMPLE_HEAD SAMPLE_PATH "}";
    fl_design *design = sample_good(text);
    char *got = rewrite(design, NULL);
    assert_string_equal(got, text);
    fl_memory_free(got);
    fl_design_release(design);
}

/* Sizes in quantities, in parameters, in both kinds of set, in a replaced section, per case. */
static const char everywhere[] = SAMPLE_HEAD
    "\"quantities\": {\"cap\": {\"size\": [\"1 fF\", \"9 fF\"]}},\n \"path\": ["
    "{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\", \"capacitance\": "
    "\"@cap\"},\n"
    "{\"name\": \"package\", \"use\": \"frame.json\", \"set\": {\"mould permittivity\": {\"size\": "
    "[2, 4]}}},\n"
    "{\"name\": \"land\", \"use\": \"land.json\"},\n"
    "{\"name\": \"stub\", \"kind\": \"line\", \"side\": \"board\", \"impedance\": \"50 ohm\", "
    "\"length\": {\"size\": [\"1 mm\", \"3 mm\"], \"per case\": true}}],\n"
    "\"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"set\": {\"package/lead length\": {\"size\":"
    " [\"0.5 mm\", \"2 mm\"], \"start\": \"1 mm\"}},\n \"replace\": {\"land\": {\"kind\": \"line\","
    " \"side\": \"board\", \"impedance\": {\"size\": [\"40 ohm\", \"90 ohm\"]}, \"length\": "
    "\"1 mm\"}}}, {\"name\": \"c\", \"set\": {\"stub length\": \"2 mm\"}}]}";

static void every_place_reads_back(void **state)
{
    (void)state;
    fl_design *design = sample_good(everywhere);
    double values[20], back[20];
    size_t sized = 0;
    assert_true(design->quantity_count < COUNT_OF(values));
    fl_design_start(design, values);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (!quantity->sized)
            continue;
        sized++;
        values[i] =
            quantity->low + (quantity->high - quantity->low) * (0.1 + 0.077 * (double)sized);
    }
    assert_int_equal(sized, 6);
    char *text = rewrite(design, values);
    fl_design *again = sample_good(text);
    assert_int_equal(again->quantity_count, design->quantity_count);
    fl_design_start(again, back);
    for (size_t i = 0; i < design->quantity_count; i++)
        check_near(values[i], back[i], 0.0, "%s", design->quantities[i].name); /* the same bits */
    assert_non_null(strstr(text, "\"per case\": true"));
    char *twice = rewrite(again, back);
    assert_string_equal(twice, text);
    fl_memory_free(twice);
    fl_memory_free(text);
    fl_design_release(again);
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rest_stays_as_it_was),
        cmocka_unit_test(nothing_sized_changes_nothing),
        cmocka_unit_test(every_place_reads_back),
    };
    return cmocka_run_group_tests_name("design/start", tests, NULL, NULL);
}
