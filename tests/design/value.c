/* Words and numbers: what is refused, where, and in what words. */
#include "design/reader.h"
#include "reading.h"

typedef struct row {
    const char *json, *place, *message;
} row;

/* In the place of the capacitance of the first section. */
static const row values[] = {
    {"62", "path[0].capacitance", "expected a capacitance with its unit"},
    {"\"62\"", "path[0].capacitance", "expected a capacitance"},
    {"\"62 pH\"", "path[0].capacitance", "expected a capacitance"},
    {"true", "path[0].capacitance", "expected a capacitance"},
    {"null", "path[0].capacitance", "expected a capacitance"},
    {"[]", "path[0].capacitance", "expected a capacitance"},
    {"\"\"", "path[0].capacitance", "expected a capacitance"},
    {"\"1e99 F\"", "path[0].capacitance", "too large"},
    {"\"1e-99 F\"", "path[0].capacitance", "too small"},
    {"\"1e999 F\"", "path[0].capacitance", ""},
    {"\"-1 fF\"", "path[0].capacitance", "must not be negative, found -1 fF"},
    {"\"nan F\"", "path[0].capacitance", ""},
    {"{}", "path[0].capacitance", "expected \"value\", \"size\" or \"from\""},
};

static void bad_values(void **state)
{
    (void)state;
    char text[2000];
    for (size_t i = 0; i < COUNT_OF(values); i++) {
        snprintf(text, sizeof text, SAMPLE_CAPACITANCE("%s"), values[i].json);
        sample_bad(text, values[i].place, values[i].message);
    }
}

static const row names[] = {
    {"\"\"", "path[0].name", "may not be empty"},
    {"\"a\\u0007b\"", "path[0].name", "control characters"},
    {"\"\\u007f\"", "path[0].name", "control characters"},
    {"7", "path[0].name", "expected a name"},
    {"null", "path[0].name", "expected a name"},
};

static void bad_names(void **state)
{
    (void)state;
    char text[2000];
    for (size_t i = 0; i < COUNT_OF(names); i++) {
        snprintf(text, sizeof text, SAMPLE_HEAD "\"path\": [{\"name\": %s, \"kind\": \"line\"}]}",
                 names[i].json);
        sample_bad(text, names[i].place, names[i].message);
    }
}

static void names_are_at_most_200_bytes(void **state)
{
    (void)state;
    char text[2000];
    for (int length = 200; length <= 201; length++) {
        snprintf(text, sizeof text,
                 SAMPLE_HEAD "\"path\": [{\"name\": \"%0*d\", \"kind\": \"line\", \"side\": "
                             "\"die\", \"impedance\": \"50 ohm\", \"length\": \"1 mm\"}]}",
                 length, 7);
        if (length == 200)
            fl_design_release(sample_good(text));
        else
            sample_bad(text, "path[0].name", "at most 200 bytes, found 201");
    }
}

static void words_name_the_nearest(void **state)
{
    (void)state;
    sample_bad(SAMPLE_HEAD "\"path\": [{\"name\": \"a\", \"kind\": \"line\", \"side\": \"bord\", "
                           "\"impedance\": \"50 ohm\", \"length\": \"1 mm\"}]}",
               "path[0].side",
               "expected one of 'die', 'package', 'board', found 'bord'; the nearest is 'board'");
    sample_bad(SAMPLE_HEAD "\"path\": [{\"name\": \"a\", \"kind\": \"line\", \"side\": 3, "
                           "\"impedance\": \"50 ohm\", \"length\": \"1 mm\"}]}",
               "path[0].side", "expected one of 'die', 'package', 'board'");
}

static void excerpts_are_cut_between_characters(void **state)
{
    (void)state;
    char excerpt[FL_EXCERPT_ROOM];
    char text[200] = "";
    assert_string_equal(fl_excerpt(excerpt, "short"), "short");
    for (size_t i = 0; i < 99; i += 2)
        memcpy(text + 1 + i, "\xC2\xB5", 3);
    text[0] = 'a';
    fl_excerpt(excerpt, text);
    assert_int_equal(strlen(excerpt), 59 + 3);
    assert_string_equal(excerpt + 59, "...");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_values),
        cmocka_unit_test(bad_names),
        cmocka_unit_test(names_are_at_most_200_bytes),
        cmocka_unit_test(words_name_the_nearest),
        cmocka_unit_test(excerpts_are_cut_between_characters),
    };
    return cmocka_run_group_tests_name("design/value", tests, NULL, NULL);
}
