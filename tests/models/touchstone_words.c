/* Words and numbers of a Touchstone file. */
#include "check.h"

#include "models/touchstone.h"

static fl_span span(const char *text)
{
    return (fl_span){text, text + strlen(text)};
}

static void words(void **state)
{
    (void)state;
    static const char *const wanted[] = {"# GHz", "#", "GHz", "", ""};
    const char *text = " \t# GHz  ";
    fl_span rest = span(text);
    fl_span got[5];
    got[0] = fl_span_trimmed(rest);
    for (size_t i = 1; i < 5; ++i)
        got[i] = fl_span_word(&rest);
    for (size_t i = 0; i < 5; ++i) {
        const size_t length = (size_t)(got[i].end - got[i].begin);
        assert_int_equal(length, strlen(wanted[i]));
        assert_memory_equal(got[i].begin, wanted[i], length);
        assert_int_equal(fl_span_empty(got[i]), length == 0);
    }
}

static void case_does_not_count(void **state)
{
    (void)state;
    assert_true(fl_span_is(span("GhZ"), "ghz"));
    assert_false(fl_span_is(span("gh"), "ghz"));
    assert_false(fl_span_is(span("ghzz"), "ghz"));
    assert_false(fl_span_is(span("g\0z"), "ghz"));
    assert_int_equal(fl_letter_lowered('Z'), 'z');
    assert_int_equal(fl_letter_lowered('['), '[');
    assert_int_equal(fl_letter_lowered('\xC4'), '\xC4');
}

static void shown_words_are_short_and_printable(void **state)
{
    (void)state;
    char shown[FL_SHOWN_ROOM];
    fl_span_show(shown, span("a\x01\xFF\x7F"));
    assert_string_equal(shown, "a???");
    fl_span_show(shown, span("0123456789012345678901234567890123456789"));
    assert_string_equal(shown, "0123456789012345678901234567890123456789");
    fl_span_show(shown, span("0123456789012345678901234567890123456789x"));
    assert_string_equal(shown, "0123456789012345678901234567890123456789...");
    fl_span_show(shown, span(""));
    assert_string_equal(shown, "");
}

/* Decimal numbers: the wanted doubles are those the compiler reads. */
static void numbers(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int exponent;
        double wanted;
    } rows[] = {
        {"1", 0, 1.0},      {"+1.5", 0, 1.5},
        {"-0.6", 0, -0.6},  {".5", 0, 0.5},
        {"-.5", 0, -0.5},   {"+.5e1", 0, 5.0},
        {"5.", 0, 5.0},     {"5.e2", 0, 500.0},
        {"007", 0, 7.0},    {"-00.25", 0, -0.25},
        {"000", 0, 0.0},    {"1E+09", 0, 1e9},
        {"1e-03", 0, 1e-3}, {"26.5", 9, 26.5e9},
        {"0.1", 9, 0.1e9},  {"28.123456789", 9, 28123456789.0},
        {"1e-400", 0, 0.0}, {"161.24", 0, 161.24},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_touchstone_reader reader = {.file = "a.s1p", .line = 3};
        double got = -1.0;
        assert_int_equal(fl_touchstone_number(&got, &reader, span(rows[i].text), rows[i].exponent),
                         FL_OK);
        check_near(rows[i].wanted, got, 0.0, "%s e%d", rows[i].text, rows[i].exponent);
    }
}

static void not_numbers(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } rows[] = {
        {"", "a number was expected, found ''"},
        {".", "a number was expected, found '.'"},
        {"-", "a number was expected, found '-'"},
        {"e5", "a number was expected, found 'e5'"},
        {".e5", "a number was expected, found '.e5'"},
        {"1e", "a number was expected, found '1e'"},
        {"1.2.3", "a number was expected, found '1.2.3'"},
        {"1,5", "a number was expected, found '1,5'"},
        {"1d9", "a number was expected, found '1d9'"},
        {"0x10", "a number was expected, found '0x10'"},
        {"nan", "a number was expected, found 'nan'"},
        {"-inf", "a number was expected, found '-inf'"},
        {"1.#IND", "a number was expected, found '1.#IND'"},
        {"--1", "a number was expected, found '--1'"},
        {"1e999", "the number '1e999' is too large"},
        {"-1e400", "the number '-1e400' is too large"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; ++i) {
        fl_error error = {0};
        fl_touchstone_reader reader = {.file = "a.s1p", .line = 3, .error = &error};
        double got = -1.0;
        assert_int_equal(fl_touchstone_number(&got, &reader, span(rows[i].text), 0), FL_BAD_INPUT);
        assert_string_equal(error.message, rows[i].message);
        assert_string_equal(error.place, "a.s1p:3");
        check_near(-1.0, got, 0.0, "%s leaves the value", rows[i].text);
    }
}

/* Longer than any buffer: refused, not cut. */
static void long_number(void **state)
{
    (void)state;
    char text[400];
    fl_touchstone_reader reader = {.file = "a.s1p", .line = 3};
    double got = -1.0;
    memset(text, '1', sizeof text);
    for (size_t length = 1; length < sizeof text; ++length) {
        const fl_status status =
            fl_touchstone_number(&got, &reader, (fl_span){text, text + length}, 0);
        assert_int_equal(status, length <= 124 ? FL_OK : FL_BAD_INPUT);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words),
        cmocka_unit_test(case_does_not_count),
        cmocka_unit_test(shown_words_are_short_and_printable),
        cmocka_unit_test(numbers),
        cmocka_unit_test(not_numbers),
        cmocka_unit_test(long_number),
    };
    return cmocka_run_group_tests_name("models/touchstone_words", tests, NULL, NULL);
}
