/* Whole designs: the top level, the rich sample, and texts that mean harm. */
#include "base/file.h"
#include "base/random.h"
#include "base/text.h"
#include "reading.h"

#define TOP(json) SAMPLE_HEAD json ", " SAMPLE_PATH "}"

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {"", "", ""},
    {"[]", "", ""},
    {"3", "", ""},
    {"{}", "1:1", "'fairlead' is missing"},
    {"{\"fairlead\": 1}", "1:1", "'band' is missing"},
    {SAMPLE_HEAD "\"title\": \"a\"}", "1:1", "'path' is missing"},
    {"{\"fairlead\": 2, \"band\": [\"1 GHz\", \"2 GHz\"], " SAMPLE_PORTS SAMPLE_PATH "}",
     "fairlead", "expected version 1 of the format, found 2"},
    {"{\"fairlead\": \"1\", \"band\": [\"1 GHz\", \"2 GHz\"], " SAMPLE_PORTS SAMPLE_PATH "}",
     "fairlead", "expected a bare number"},
    {TOP("\"titel\": \"a\""), "titel", "'title'"},
    {TOP("\"title\": 3"), "title", "expected a text"},
    {TOP("\"title\": \"a\\nb\""), "title", "control characters"},
    {TOP("\"points\": 1"), "points", "expected a whole number from 2 to 100000, found 1"},
    {TOP("\"points\": 100001"), "points", "found 100001"},
    {TOP("\"points\": 2.5"), "points", "found 2.5"},
    {TOP("\"points\": \"61\""), "points", "expected a bare number"},
    {TOP("\"yield\": []"), "yield", ""},
    {TOP("\"yield\": {\"sample\": 3}"), "yield.sample", "'samples'"},
    {TOP("\"yield\": {\"samples\": 0}"), "yield.samples", "from 1 to 1000000000000, found 0"},
    {TOP("\"yield\": {\"samples\": 2e12}"), "yield.samples", "found"},
    {TOP("\"yield\": {\"samples\": 1.5}"), "yield.samples", "found 1.5"},
    {TOP("\"yield\": {\"confidence\": \"100 %\"}"), "yield.confidence", "between 0 % and 100 %"},
    {TOP("\"yield\": {\"confidence\": \"0 %\"}"), "yield.confidence", "between 0 % and 100 %"},
    {TOP("\"yield\": {\"confidence\": 0.95}"), "yield.confidence", "expected a percentage"},
    {TOP("\"yield\": {\"seed\": -1}"), "yield.seed", "found -1"},
    {TOP("\"yield\": {\"seed\": 9007199254740994}"), "yield.seed", "expected a whole number"},
};

static void bad_tops(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

static void defaults(void **state)
{
    (void)state;
    fl_design *design = sample_good(SAMPLE_HEAD SAMPLE_PATH "}");
    assert_string_equal(design->title, "");
    assert_int_equal(design->points, 61);
    assert_int_equal(design->samples, 10000);
    assert_int_equal(design->seed, 1);
    check_near(0.95, design->confidence, 0.0, "confidence");
    assert_int_equal(design->quantity_count, 0);
    assert_int_equal(design->draw_count, 0);
    assert_int_equal(design->warning_count, 0);
    fl_design_release(design);
    fl_design_release(NULL);
}

static fl_status read_bytes(fl_design **design, const char *text, size_t length, fl_error *error)
{
    const fl_design_source source = sample_source(text, length, SAMPLE_FOLDER "/rich.json");
    memset(error, 0, sizeof *error);
    return fl_design_resolve(design, &source, error);
}

static char *rich(size_t *length)
{
    char *text = NULL;
    fl_error error;
    check_ok(fl_file_read(&text, length, SAMPLE_FOLDER "/rich.json", 1 << 20, &error), error);
    return text;
}

static void the_rich_sample(void **state)
{
    (void)state;
    fl_design *design = NULL;
    fl_error error;
    size_t length = 0;
    char *text = rich(&length);
    check_ok(read_bytes(&design, text, length, &error), error);
    assert_string_equal(design->title, "Driver output in two packages");
    assert_int_equal(design->points, 41);
    assert_int_equal(design->band_count, 3);
    assert_int_equal(design->requirement_count, 4);
    assert_int_equal(design->case_count, 3);
    assert_int_equal(design->cases[0].section_count, 6);
    assert_int_equal(design->cases[2].section_count, 6);
    assert_int_equal(design->quantity_count, 14);
    assert_int_equal(design->draw_count, 6);
    assert_int_equal(design->group_count, 3);
    assert_int_equal(design->correlation_count, 1);
    /* one of them on groups that share no level */
    assert_int_equal(design->warning_count, 4);
    assert_int_equal(design->samples, 5000);
    assert_int_equal(design->seed, 7);
    fl_design_release(design);
    fl_memory_free(text);
}

/* Whatever was read holds together. */
static void inspect(const fl_design *design)
{
    double *values = fl_memory_take(design->quantity_count, sizeof *values);
    fl_design_start(design, values);
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        assert_true(isfinite(fl_quantity_sigma(quantity, quantity->value)));
        for (size_t j = 0; j < quantity->spread_count; j++)
            assert_true(quantity->spreads[j].draw < design->draw_count);
    }
    for (size_t i = 0; i < design->case_count; i++) {
        for (size_t j = 0; j < design->cases[i].section_count; j++) {
            const fl_section *section = &design->cases[i].sections[j];
            for (size_t k = 0; k < section->kind->parameter_count; k++) {
                const double value = fl_term_value(&section->terms[k], values);
                assert_true(isfinite(value));
                assert_true(!section->terms[k].given ||
                            fl_rule_holds(section->kind->parameters[k].rule, value));
            }
        }
    }
    fl_memory_free(values);
}

static void check_outcome(const char *text, size_t length)
{
    fl_design *design = NULL;
    fl_error error;
    const fl_status status = read_bytes(&design, text, length, &error);
    if (status == FL_OK) {
        inspect(design);
        fl_design_release(design);
        return;
    }
    if (status != FL_BAD_INPUT || design != NULL || error.message[0] == '\0' ||
        error.place[0] == '\0') {
        print_error("%.*s\ngave %d at %s: %s\n", (int)length, text, (int)status, error.place,
                    error.message);
        fail();
    }
}

static void truncated_texts(void **state)
{
    (void)state;
    size_t length = 0;
    char *text = rich(&length);
    for (size_t cut = 0; cut < length; cut += 3)
        check_outcome(text, cut);
    fl_memory_free(text);
}

/* Tokens that change the meaning and leave the text well-formed, mostly. */
static const char *const tokens[] = {"null",
                                     "true",
                                     "3",
                                     "-1",
                                     "0",
                                     "\"\"",
                                     "[]",
                                     "{}",
                                     "1e999",
                                     "\"@gap\"",
                                     "\"@half gap\"",
                                     "\"1 um\"",
                                     "\"1 fF\"",
                                     "\"4 %\"",
                                     "\"-3 GHz\"",
                                     "\"size\"",
                                     "\"from\"",
                                     "\"spread\"",
                                     "[[]]",
                                     "{\"a\": {}}",
                                     "\"package\"",
                                     "\"frame.json\"",
                                     "{\"size\": [\"1 fF\", \"2 fF\"]}",
                                     "{\"from\": \"@die cap\"}",
                                     "\"rich.json\"",
                                     "1e30"};

static size_t pick(uint64_t *count, size_t below)
{
    const size_t at = (size_t)(fl_random_uniform(20, (*count)++, 0) * (double)below);
    return at < below ? at : below - 1;
}

/* Ends of the string, number or word at a place of the text. */
static void find_token(const char *text, size_t length, size_t *begin, size_t *end)
{
    while (*begin > 0 && strchr("\"[]{},: \n", text[*begin]) == NULL)
        (*begin)--;
    *end = *begin + 1;
    if (text[*begin] != '"')
        return;
    while (*end < length && text[*end] != '"' && text[*end] != '\n')
        (*end)++;
    *end += *end < length;
}

static void mutate(fl_text *mutant, const char *text, size_t length, uint64_t *count)
{
    size_t begin = pick(count, length);
    size_t end = begin + 1;
    const char *other = tokens[pick(count, COUNT_OF(tokens))];
    char byte[2] = {(char)pick(count, 256), '\0'};
    fl_text_init(mutant);
    switch (pick(count, 4)) {
    case 0: /* a byte */
        other = byte;
        break;
    case 1: /* a stretch is lost */
        end = begin + pick(count, 40) + 1;
        end = end < length ? end : length;
        other = "";
        break;
    default: /* a token */
        find_token(text, length, &begin, &end);
    }
    fl_text_add_bytes(mutant, text, begin);
    fl_text_add(mutant, other);
    fl_text_add_bytes(mutant, text + end, length - end);
    assert_false(fl_text_failed(mutant));
}

static void mutated_texts(void **state)
{
    (void)state;
    uint64_t count = 0;
    size_t length = 0;
    char *text = rich(&length);
    for (int i = 0; i < 4000; i++) {
        fl_text first, second;
        mutate(&first, text, length, &count);
        check_outcome(first.bytes, first.length);
        mutate(&second, first.bytes, first.length, &count);
        check_outcome(second.bytes, second.length);
        fl_text_release(&first);
        fl_text_release(&second);
    }
    fl_memory_free(text);
}

/* Long names, long lists, many keys: refused, and in no time. */
static void add_repeated(fl_text *text, const char *part, size_t count)
{
    for (size_t i = 0; i < count; i++)
        fl_text_add(text, part);
}

static const struct {
    const char *before, *part;
    size_t count;
    const char *after;
} large[] = {
    {SAMPLE_HEAD "\"path\": [{\"name\": \"", "n", 65536, "\", \"kind\": \"line\"}]}"},
    {SAMPLE_HEAD "\"path\": [{\"name\": \"a\", \"kind\": \"", "n", 65536, "\"}]}"},
    {SAMPLE_HEAD "\"", "n", 65536, "\": 3, " SAMPLE_PATH "}"},
    {SAMPLE_HEAD "\"quantities\": {\"a\": \"@", "n", 65536, "\"}, " SAMPLE_PATH "}"},
    {SAMPLE_HEAD "\"quantities\": {\"a\": \"", "9", 65536, " um\"}, " SAMPLE_PATH "}"},
    {SAMPLE_HEAD "\"path\": [", "3, ", 400000, "3]}"},
    {SAMPLE_HEAD SAMPLE_PATH ", \"cases\": [", "3, ", 400000, "3]}"},
    {SAMPLE_HEAD SAMPLE_PATH ", \"correlations\": [", "3, ", 400000, "3]}"},
    {SAMPLE_HEAD SAMPLE_PATH ", \"require\": [", "3, ", 400000, "3]}"},
    {SAMPLE_HEAD SAMPLE_PATH ", \"quantities\": {\"a\": {\"value\": 1, \"spread\": [", "3, ",
     400000, "3]}}}"},
    {"{\"fairlead\": 1, \"band\": [", "3, ", 400000, "3], " SAMPLE_PORTS SAMPLE_PATH "}"},
    {SAMPLE_HEAD "\"path\": ", "[", 100000, ""},
    {SAMPLE_HEAD "\"path\": ", "{\"a\":", 100000, ""},
};

static void large_texts(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(large); i++) {
        fl_text text;
        fl_text_init(&text);
        fl_text_add(&text, large[i].before);
        add_repeated(&text, large[i].part, large[i].count);
        fl_text_add(&text, large[i].after);
        assert_false(fl_text_failed(&text));
        check_outcome(text.bytes, text.length);
        fl_text_release(&text);
    }
}

/* Large, but as it should be. */
static void a_comment_of_many_numbers(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, SAMPLE_HEAD "\"comment\": [");
    add_repeated(&text, "3, ", 400000);
    fl_text_add(&text, "3], " SAMPLE_PATH "}");
    fl_design_release(sample_good(text.bytes));
    fl_text_release(&text);
}

static void errors_may_go_unasked(void **state)
{
    (void)state;
    fl_design *design = NULL;
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        const fl_design_source source = sample_source(bad[i].text, strlen(bad[i].text), "a.json");
        assert_int_equal(fl_design_resolve(&design, &source, NULL), FL_BAD_INPUT);
    }
    assert_null(design);
}

static void warnings_are_kept_in_order(void **state)
{
    (void)state;
    fl_design *design = sample_good(SAMPLE_HEAD SAMPLE_PATH "}");
    fl_error error;
    char text[20];
    for (int i = 0; i < 100; i++) {
        snprintf(text, sizeof text, "warning %d", i);
        check_ok(fl_design_warn(design, text, &error), error);
    }
    assert_int_equal(design->warning_count, 100);
    assert_string_equal(design->warnings[0], "warning 0");
    assert_string_equal(design->warnings[63], "warning 63");
    assert_string_equal(design->warnings[99], "warning 99");
    fl_design_release(design);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_tops),
        cmocka_unit_test(defaults),
        cmocka_unit_test(the_rich_sample),
        cmocka_unit_test(truncated_texts),
        cmocka_unit_test(mutated_texts),
        cmocka_unit_test(large_texts),
        cmocka_unit_test(a_comment_of_many_numbers),
        cmocka_unit_test(errors_may_go_unasked),
        cmocka_unit_test(warnings_are_kept_in_order),
    };
    return cmocka_run_group_tests_name("design/design", tests, NULL, NULL);
}
