/* Errors as values: what is kept, cut, prefixed and made fit to show. */
#include "check.h"

#include "base/error.h"
#include "base/text.h"

static void test_fill(void **state)
{
    (void)state;
    fl_error error;
    assert_int_equal(FL_IO, fl_fail(&error, FL_IO, "a.json:1:2", "found %d of '%s'", 3, "x"));
    assert_int_equal(FL_IO, error.status);
    assert_string_equal("a.json:1:2", error.place);
    assert_string_equal("found 3 of 'x'", error.message);
    fl_fail(&error, FL_BAD_INPUT, NULL, "no place");
    assert_string_equal("", error.place);
}

static void test_no_error_wanted(void **state)
{
    (void)state;
    assert_int_equal(FL_FAULT, fl_fail(NULL, FL_FAULT, "x", "y"));
    assert_int_equal(FL_NO_MEMORY, fl_fail_memory(NULL));
    assert_int_equal(FL_IO, fl_fail_within(NULL, FL_IO, "x"));
}

static void test_memory(void **state)
{
    (void)state;
    fl_error error = {.place = "old"};
    assert_int_equal(FL_NO_MEMORY, fl_fail_memory(&error));
    assert_string_equal("", error.place);
    assert_string_equal("out of memory", error.message);
}

static void test_within(void **state)
{
    (void)state;
    fl_error error;
    fl_fail(&error, FL_IO, NULL, "m");
    assert_int_equal(FL_IO, fl_fail_within(&error, FL_IO, "inner"));
    assert_string_equal("inner", error.place);
    fl_fail_within(&error, FL_IO, "outer");
    assert_string_equal("outer: inner", error.place);
    assert_string_equal("m", error.message);
}

/* The old message may be an argument of the new one. */
static void test_own_text_as_argument(void **state)
{
    (void)state;
    fl_error error;
    fl_fail(&error, FL_IO, "place", "inner");
    fl_fail(&error, FL_BAD_INPUT, error.place, "outer of %s", error.message);
    assert_string_equal("place", error.place);
    assert_string_equal("outer of inner", error.message);
}

/* Every length around the room, with one, two, three and four byte characters. */
static void test_cut(void **state)
{
    (void)state;
    static const char *const characters[] = {"a", "µ", "Ω", "😀"};
    for (size_t c = 0; c < 4; c++)
        for (size_t shift = 0; shift < 4; shift++) {
            char text[3000] = "";
            memset(text, 'x', shift);
            for (size_t at = shift; at < 2000; at += strlen(characters[c]))
                memcpy(text + at, characters[c], strlen(characters[c]) + 1);
            fl_error error;
            fl_fail(&error, FL_IO, text, "%s", text);
            size_t length = strlen(error.message);
            assert_in_range(length, sizeof error.message - 8, sizeof error.message - 1);
            assert_string_equal("...", error.message + length - 3);
            assert_int_equal(length, fl_text_valid_utf8(error.message, length));
            assert_memory_equal(text, error.message, length - 3);
            length = strlen(error.place);
            assert_string_equal("...", error.place + length - 3);
            assert_int_equal(length, fl_text_valid_utf8(error.place, length));
        }
}

static void test_exact_fit(void **state)
{
    (void)state;
    fl_error error;
    char text[sizeof error.message] = "";
    memset(text, 'x', sizeof text - 1);
    fl_fail(&error, FL_IO, NULL, "%s", text);
    assert_string_equal(text, error.message);
}

static void test_made_printable(void **state)
{
    (void)state;
    static const struct {
        const char *given, *shown;
    } rows[] = {
        {"a\x1b[31mb\n\x7f", "a?[31mb??"},
        {"\xff\xfe", "??"},
        {"ok \xC3", "ok ?"},
        {"\xC2\x9B"
         "31m",
         "??31m"},
        {"25 µm \xC2\xA0.", "25 µm \xC2\xA0."},
        {"\xED\xA0\x80", "???"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_error error;
        fl_fail(&error, FL_IO, rows[i].given, "%s", rows[i].given);
        assert_string_equal(rows[i].shown, error.message);
        assert_string_equal(rows[i].shown, error.place);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fill),
        cmocka_unit_test(test_no_error_wanted),
        cmocka_unit_test(test_memory),
        cmocka_unit_test(test_within),
        cmocka_unit_test(test_own_text_as_argument),
        cmocka_unit_test(test_cut),
        cmocka_unit_test(test_exact_fit),
        cmocka_unit_test(test_made_printable),
    };
    return cmocka_run_group_tests_name("base/error", tests, NULL, NULL);
}
