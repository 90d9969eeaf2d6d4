/* The strict scan: one message with its place for everything that is not JSON, and no crash on a
 * sample cut or changed at any byte. */
#include "check.h"

#include <stdlib.h>

#include "base/file.h"
#include "design/json.h"

#define LETTERS_50 "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"

/* Parses a copy with nothing behind its NUL, so that the sanitizer sees a step too far. */
static fl_status parse_copy(const char *text, size_t length, fl_error *error)
{
    fl_json json = {0};
    char *copy = malloc(length + 1);
    assert_non_null(copy);
    memcpy(copy, text, length);
    copy[length] = '\0';
    fl_status status = fl_json_parse(&json, copy, length, "d.json", error);
    fl_json_release(&json);
    free(copy);
    return status;
}

static void test_accept(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "{}",
        "[]",
        " \t\r\n{ } \n",
        "1",
        "-0.5e+10",
        "0",
        "\"\"",
        "true",
        "[null, false, true]",
        "[1, -1, 0.5, 1e3, 1E-3, 1e-999]",
        "\"\\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u00b5 \\uD83D\\uDE00\"",
        "\"\x7f µ Ω 😀\"",
        "{\"a\": 1, \"A\": 2, \"\": 3}", /* case counts */
        "{\"a\": {\"a\": [{\"a\": 1}, {\"a\": 2}]}}",
        "\xEF\xBB\xBF{}",
        "[1.00000000000000000000000000000000000000000000000000000000000]",
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_error error;
        check_ok(parse_copy(rows[i], strlen(rows[i]), &error), error);
    }
}

static const char value_wanted[] =
    "expected a value (a text in double quotes, a number, an object or a list), found ";

static void test_refuse(void **state)
{
    (void)state;
    static const struct {
        const char *text, *place;
        const char *found; /* end of the message */
    } rows[] = {
        {"", "1:1", "found the end of the file"},
        {" \n ", "2:2", "found the end of the file"},
        {"\xEF\xBB\xBF", "1:1", "found the end of the file"},
        {"\xEF\xBB\xBF{x", "1:2", "expected a key in double quotes, found 'x'"},
        {"\xEF\xBB\xBF\xEF\xBB\xBF{}", "1:1", "found '\xEF\xBB\xBF'"},
        {"[1,]", "1:4", "found ']'"},
        {"[,1]", "1:2", "found ','"},
        {"[1 2]", "1:4", "expected ',' or ']', found '2'"},
        {"[1", "1:3", "expected ',' or ']', found the end of the file"},
        {"{\"a\":1,}", "1:8", "expected a key in double quotes, found '}'"},
        {"{\"a\":1", "1:7", "expected ',' or '}', found the end of the file"},
        {"{\"a\" 1}", "1:6", "expected ':' behind the key, found '1'"},
        {"{\"a\"}", "1:5", "expected ':' behind the key, found '}'"},
        {"{a: 1}", "1:2", "expected a key in double quotes, found 'a'"},
        {"{'a': 1}", "1:2", "expected a key in double quotes, found '''"},
        {"[1]]", "1:4", "expected the end of the file, found ']'"},
        {"{} {}", "1:4", "expected the end of the file, found '{'"},
        {"{}\n\n  µ", "3:3", "expected the end of the file, found 'µ'"},
        {"[\"µµ\", x]", "1:8", "found 'x'"}, /* the column counts characters */
        {"[01]", "1:2", "expected a number such as 0.5 or 1e-3, found '01'"},
        {"[-01]", "1:2", "found '-01'"},
        {"[1.]", "1:2", "found '1.'"},
        {"[1.e5]", "1:2", "found '1.e5'"},
        {"[1e]", "1:2", "found '1e'"},
        {"[1e+]", "1:2", "found '1e+'"},
        {"[-]", "1:2", "found '-'"},
        {"[--1]", "1:2", "found '--1'"},
        {"[1.2.3]", "1:2", "found '1.2.3'"},
        {"[+1]", "1:2", "found '+1'"},
        {"[.5]", "1:2", "found '.5'"},
        {"[0x10]", "1:3", "expected ',' or ']', found 'x'"},
        {"[1e999]", "1:2", "expected a number below 1.8e308 in size, found '1e999'"},
        {"[-1e999]", "1:2", "found '-1e999'"},
        {"[1.0000000000000000000000000000000000000000000000000000000000000000]", "1:2",
         "expected a number of at most 63 characters, found a longer one"},
        {"[NaN]", "1:2", "found 'NaN'"},
        {"[Infinity]", "1:2", "found 'Infinity'"},
        {"[True]", "1:2", "found 'True'"},
        {"[nul]", "1:2", "found 'nul'"},
        {"[nulls]", "1:2", "found 'nulls'"},
        {"// note\n{}", "1:1", "found '/'"},
        {"[1]\x01", "1:4", "expected the end of the file, found the control character 0x01"},
        {"\x0b[1]", "1:1", "found the control character 0x0b"},
        {"[\"a\tb\"]", "1:4",
         "expected '\"' at the end of the text, found the control character 0x09"},
        {"[\"a\nb\"]", "1:4", "expected '\"' at the end of the text, found the end of the line"},
        {"[\"a", "1:4", "expected '\"' at the end of the text, found the end of the file"},
        {"[\"a\\", "1:5", "behind the backslash, found the end of the file"},
        {"[\"\\x41\"]", "1:4", "behind the backslash, found 'x'"},
        {"[\"\\u12g4\"]", "1:3", "expected four hexadecimal digits behind \\u, found '\\'"},
        {"[\"\\u12", "1:3", "expected four hexadecimal digits behind \\u, found '\\'"},
        {"[\"a\\u0000b\"]", "1:4", "found '\\u0000', which no text may hold"},
        {"{\"\\u0000\": 1}", "1:3", "found '\\u0000', which no text may hold"},
        {"[\"\\ud83d\"]", "1:3", "expected a pair of surrogates, found '\\ud83d' alone"},
        {"[\"\\ude00\"]", "1:3", "found '\\ude00' alone"},
        {"[\"\\ud83d\\u0041\"]", "1:3", "found '\\ud83d' alone"},
        {"[\"\\ud83d\\ud83d\"]", "1:3", "found '\\ud83d' alone"},
        {"[\"\\ud83d\\u\"]", "1:3", "found '\\ud83d' alone"},
        {"[\"a\xff\"]", "1:4", "expected UTF-8 text, found the byte 0xff"},
        {"[\"\xC0\x80\"]", "1:3", "found the byte 0xc0"},
        {"[\"\xED\xA0\x80\"]", "1:3", "found the byte 0xed"},
        {"[\"\xE2\x82", "1:3", "found the byte 0xe2"},
        {"{\"a\": 1,\n \"b\": 2, \"a\": 3}", "2:15: a", "expected each key once, found 'a' again"},
        /* of several the first in the text, whatever their order by name */
        {"{\"a\": 1, \"a\": 2, \"b\": 3, \"b\": 4}", "1:15: a", "found 'a' again"},
        {"{\"b\": 1, \"b\": 2, \"a\": 3, \"a\": 4}", "1:15: b", "found 'b' again"},
        {"{\"x\": [{\"\\u0061\": 1, \"a\": 3}]}", "1:27: x[0].a", "found 'a' again"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_error error = {.place = "none", .message = "none"};
        char place[300];
        snprintf(place, sizeof place, "d.json:%s", rows[i].place);
        fl_status status = parse_copy(rows[i].text, strlen(rows[i].text), &error);
        size_t end = strlen(error.message), found = strlen(rows[i].found);
        if (status != FL_BAD_INPUT || strcmp(place, error.place) != 0 || end < found ||
            strcmp(error.message + end - found, rows[i].found) != 0)
            fail_msg("'%s': status %d, %s: %s; wanted %s: ... %s", rows[i].text, (int)status,
                     error.place, error.message, place, rows[i].found);
        assert_int_equal(FL_BAD_INPUT, parse_copy(rows[i].text, strlen(rows[i].text), NULL));
    }
}

static void test_value_wanted(void **state)
{
    (void)state;
    fl_error error;
    assert_int_equal(FL_BAD_INPUT, parse_copy("[x]", 3, &error));
    assert_memory_equal(value_wanted, error.message, sizeof value_wanted - 1);
}

static void test_nul(void **state)
{
    (void)state;
    static const char text[] = "{\"a\": \"b\0c\"}";
    fl_error error;
    assert_int_equal(FL_BAD_INPUT, parse_copy(text, sizeof text - 1, &error));
    assert_string_equal("d.json:1:9", error.place);
    assert_string_equal("expected a text, found a NUL byte", error.message);
    assert_int_equal(FL_BAD_INPUT, parse_copy("{}\0", 3, &error));
    assert_string_equal("d.json:1:3", error.place);
}

/* Texts as large as they may be, of one sort each. */
static void test_hostile_sizes(void **state)
{
    (void)state;
    enum { LENGTH = 1000 * 1000 };
    static const struct {
        const char *begin, *repeat, *end, *message; /* NULL: accepted */
    } rows[] = {
        {"[\"", LETTERS_50, "\"]", NULL},
        {"[\"", "\\ud83d\\ude00", "\"]", NULL},
        {"{\"", LETTERS_50, "\": 1}", NULL},
        {"[\"", LETTERS_50, "", "expected '\"' at the end of the text, found the end of the file"},
        {"", "[", "", "expected at most 100 levels, found more"},
        {"", "{\"a\":", "", "expected at most 100 levels, found more"},
        {"", "[{\"a\":", "", "expected at most 100 levels, found more"},
        {"[", "9", "]", "expected a number of at most 63 characters, found a longer one"},
        {"", "\n", "", NULL},
        {"[0", ",1", "]", NULL},
    };
    char *text = malloc(LENGTH + 1000);
    assert_non_null(text);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t length = strlen(strcpy(text, rows[i].begin));
        size_t step = strlen(rows[i].repeat);
        for (; length < LENGTH - 10; length += step)
            memcpy(text + length, rows[i].repeat, step);
        length += strlen(strcpy(text + length, rows[i].end));
        fl_error error = {.message = ""};
        fl_status status = parse_copy(text, length, &error);
        if (i == 8) /* blanks alone */
            assert_int_equal(FL_BAD_INPUT, status);
        else if (rows[i].message == NULL)
            check_ok(status, error);
        else
            assert_string_equal(rows[i].message, error.message);
    }
    free(text);
}

static void test_levels(void **state)
{
    (void)state;
    fl_error error;
    char text[2 * FL_JSON_DEPTH + 3];
    for (size_t depth = FL_JSON_DEPTH - 1; depth <= FL_JSON_DEPTH + 1; depth++) {
        memset(text, '[', depth);
        memset(text + depth, ']', depth);
        fl_status status = parse_copy(text, 2 * depth, &error);
        assert_int_equal(depth <= FL_JSON_DEPTH ? FL_OK : FL_BAD_INPUT, status);
    }
    assert_string_equal("d.json:1:101", error.place);
}

static void test_too_long(void **state)
{
    (void)state;
    fl_error error;
    size_t length = (size_t)FL_JSON_LIMIT + 1;
    char *text = malloc(length + 1);
    assert_non_null(text);
    memset(text, ' ', length);
    memcpy(text, "{}", 2);
    text[length] = '\0';
    fl_json json = {0};
    assert_int_equal(FL_BAD_INPUT, fl_json_parse(&json, text, length, "d.json", &error));
    assert_string_equal("d.json:1:1", error.place);
    assert_string_equal("expected at most 16777216 bytes, found 16777217", error.message);
    free(text);
}

static void test_too_many_values(void **state)
{
    (void)state;
    fl_error error;
    size_t length = 2 * (size_t)FL_JSON_VALUES + 1; /* the list, and so many ones */
    char *text = malloc(length + 1);
    assert_non_null(text);
    for (size_t i = 0; i < length; i++)
        text[i] = i % 2 == 0 ? ',' : '1';
    text[0] = '[';
    text[length - 1] = ']';
    fl_json json = {0};
    text[length] = '\0';
    assert_int_equal(FL_BAD_INPUT, fl_json_parse(&json, text, length, "d.json", &error));
    assert_string_equal("expected at most 1000000 values, found more", error.message);
    free(text);
}

/* Twenty thousand keys, the last one there already: found without comparing each with each. */
static void test_many_keys(void **state)
{
    (void)state;
    enum { COUNT = 20000, ROOM = 40 };
    fl_error error;
    char *text = malloc(COUNT * ROOM);
    assert_non_null(text);
    size_t length = 1;
    text[0] = '{';
    for (int i = 0; i < COUNT; i++)
        length += (size_t)snprintf(text + length, ROOM, "\"a long common start %d\":1,\n", i);
    memcpy(text + length - 2, "}", 2);
    check_ok(parse_copy(text, length - 1, &error), error);
    memcpy(strstr(text, "start 19999") + 6, "00777", 5);
    check_ok(parse_copy(text, length - 1, &error), error);
    memcpy(strstr(text, "start 19998") + 6, "12345", 5);
    assert_int_equal(FL_BAD_INPUT, parse_copy(text, length - 1, &error));
    assert_string_equal("expected each key once, found 'a long common start 12345' again",
                        error.message);
    assert_string_equal("d.json:19999:29: a long common start 12345", error.place);
    free(text);
}

static void read_sample(char **text, size_t *length)
{
    fl_error error;
    check_ok(
        fl_file_read(text, length, FL_SOURCE_DIR "/tests/data/json/sample.json", 100000, &error),
        error);
    while ((*text)[*length - 1] == '\n') /* blanks at the end do not count */
        (*length)--;
}

/* A refusal has a place with a line and a column and a message; nothing else may happen. */
static void check_outcome(fl_status status, const fl_error *error, size_t at, int byte)
{
    unsigned line = 0, column = 0;
    if (status == FL_OK)
        return;
    if (status != FL_BAD_INPUT || strlen(error->message) < 10 ||
        sscanf(error->place, "d.json:%u:%u", &line, &column) != 2 || line < 1 || line > 20 ||
        column < 1 || column > 110)
        fail_msg("byte %zu as %d: status %d, %s: %s", at, byte, (int)status, error->place,
                 error->message);
}

static void test_truncated(void **state)
{
    (void)state;
    char *text = NULL;
    size_t length = 0;
    read_sample(&text, &length);
    fl_error error;
    check_ok(parse_copy(text, length, &error), error);
    for (size_t i = 0; i < length; i++) {
        fl_status status = parse_copy(text, i, &error);
        assert_int_equal(FL_BAD_INPUT, status);
        check_outcome(status, &error, i, -1);
    }
    fl_memory_free(text);
}

static void test_mutated(void **state)
{
    (void)state;
    static const unsigned char bytes[] = {0,   1,   '\n', '"', '\\', '0',  'e',  '.',
                                          ',', ':', '{',  ']', 0x80, 0xC3, 0xED, 0xFF};
    char *text = NULL;
    size_t length = 0;
    size_t accepted = 0;
    read_sample(&text, &length);
    for (size_t i = 0; i < length; i++) {
        char kept = text[i];
        for (size_t b = 0; b < sizeof bytes; b++) {
            fl_error error;
            text[i] = (char)bytes[b];
            fl_status status = parse_copy(text, length, &error);
            check_outcome(status, &error, i, bytes[b]);
            accepted += status == FL_OK;
        }
        text[i] = kept;
    }
    assert_in_range(accepted, length / 2, 12 * length); /* letters inside texts are free */
    fl_memory_free(text);
}

/* A byte left out, a byte doubled, and a stretch of bytes put somewhere else. */
static void test_shuffled(void **state)
{
    (void)state;
    char *text = NULL;
    size_t length = 0;
    read_sample(&text, &length);
    char *changed = malloc(2 * length);
    assert_non_null(changed);
    for (size_t i = 0; i + 1 < length; i++) {
        fl_error error;
        memcpy(changed, text, i);
        memcpy(changed + i, text + i + 1, length - i - 1);
        check_outcome(parse_copy(changed, length - 1, &error), &error, i, -2);
        memcpy(changed + i, text + i, 1);
        memcpy(changed + i + 1, text + i, length - i);
        check_outcome(parse_copy(changed, length + 1, &error), &error, i, -3);
        size_t from = i * 7919 % (length - 16);
        memcpy(changed, text, i);
        memcpy(changed + i, text + from, 16);
        memcpy(changed + i + 16, text + i, length - i);
        fl_status status = parse_copy(changed, length + 16, &error);
        assert_true(status == FL_OK || status == FL_BAD_INPUT);
    }
    free(changed);
    fl_memory_free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_accept),        cmocka_unit_test(test_refuse),
        cmocka_unit_test(test_value_wanted),  cmocka_unit_test(test_nul),
        cmocka_unit_test(test_hostile_sizes), cmocka_unit_test(test_levels),
        cmocka_unit_test(test_too_long),      cmocka_unit_test(test_too_many_values),
        cmocka_unit_test(test_many_keys),     cmocka_unit_test(test_truncated),
        cmocka_unit_test(test_mutated),       cmocka_unit_test(test_shuffled),
    };
    return cmocka_run_group_tests_name("design/json_check", tests, NULL, NULL);
}
