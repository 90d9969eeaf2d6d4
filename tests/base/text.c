/* Growing texts, printing under a comma locale, and UTF-8. */
#include "check.h"

#include <locale.h>

#include "base/text.h"

static void test_add(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    assert_null(text.bytes);
    for (int i = 0; i < 1000; i++) {
        fl_text_add(&text, "ab");
        fl_text_add_bytes(&text, "cdef", 1);
        fl_text_print(&text, "%d", i % 10);
    }
    assert_false(fl_text_failed(&text));
    assert_int_equal(4000, text.length);
    assert_int_equal(4000, strlen(text.bytes));
    assert_memory_equal("abc0abc1", text.bytes, 8);
    fl_text_release(&text);
    assert_null(text.bytes);
    fl_text_add(&text, "again");
    assert_string_equal("again", text.bytes);
    fl_text_release(&text);
}

static void test_empty(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, "");
    assert_string_equal("", text.bytes);
    fl_text_print(&text, "%s", "");
    assert_string_equal("", text.bytes);
    fl_text_release(&text);
}

/* Every length near the first room, so that each way of growing is taken. */
static void test_print_lengths(void **state)
{
    (void)state;
    for (int first = 180; first < 270; first++)
        for (int second = 0; second < 600; second += 83) {
            fl_text text;
            fl_text_init(&text);
            fl_text_print(&text, "%*d", first, 1);
            fl_text_print(&text, "%*d", second + 1, 2);
            assert_int_equal(first + second + 1, text.length);
            assert_int_equal('1', text.bytes[first - 1]);
            assert_int_equal('2', text.bytes[text.length - 1]);
            fl_text_release(&text);
        }
}

static void test_failure_sticks(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, "kept");
    fl_text_add_bytes(&text, "x", SIZE_MAX - 2);
    assert_true(fl_text_failed(&text));
    fl_text_add(&text, "more");
    fl_text_print(&text, "%d", 1);
    assert_true(fl_text_failed(&text));
    assert_string_equal("kept", text.bytes);
    fl_text_release(&text);
    assert_false(fl_text_failed(&text));
}

static void test_comma_locale(void **state)
{
    (void)state;
    static const char *const names[] = {"de_DE.UTF-8", "de_DE.utf8", "de_DE", "fr_FR.UTF-8"};
    const char *set = NULL;
    for (size_t i = 0; i < sizeof names / sizeof names[0] && set == NULL; i++)
        set = setlocale(LC_ALL, names[i]);
    if (set == NULL)
        skip();
    char host[16];
    snprintf(host, sizeof host, "%.1f", 1.5);
    assert_string_equal("1,5", host);
    fl_text text;
    fl_text_init(&text);
    fl_text_print(&text, "%.3f", 1234.5);
    assert_string_equal("1234.500", text.bytes);
    fl_text_release(&text);
    char number[FL_NUMBER_ROOM];
    fl_number_text(number, 0.25);
    assert_string_equal("0.25", number);
    double value = 0.0;
    assert_non_null(fl_number_read(&value, "2.5e-1", 0));
    check_near(0.25, value, 0.0, "2.5e-1 under %s", set);
    snprintf(host, sizeof host, "%.1f", 1.5);
    assert_string_equal("1,5", host); /* the host's locale is as it was */
    setlocale(LC_ALL, "C");
}

static void test_valid_utf8(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t length, valid;
    } rows[] = {
        /* Unicode 15, table 3-7, well-formed byte sequences, and the bytes just beside them */
        {"", 0, 0},
        {"plain", 5, 5},
        {"a\0b", 3, 1},
        {"\xC2\x80", 2, 2},
        {"\xC1\xBF", 2, 0},
        {"\xC0\x80", 2, 0},
        {"\xE0\xA0\x80", 3, 3},
        {"\xE0\x9F\xBF", 3, 0},
        {"\xED\x9F\xBF", 3, 3},
        {"\xED\xA0\x80", 3, 0},
        {"\xEF\xBF\xBF", 3, 3},
        {"\xF0\x90\x80\x80", 4, 4},
        {"\xF0\x8F\xBF\xBF", 4, 0},
        {"\xF4\x8F\xBF\xBF", 4, 4},
        {"\xF4\x90\x80\x80", 4, 0},
        {"\xF5\x80\x80\x80", 4, 0},
        {"a\xF0\x9F\x98", 4, 1},
        {"a\xE2\x82", 3, 1},
        {"ab\xC3", 3, 2},
        {"\x80", 1, 0},
        {"\xE2\x28\xA1", 3, 0},
        {"\xE2\x82\x28", 3, 0},
        {"\xFE", 1, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t got = fl_text_valid_utf8(rows[i].bytes, rows[i].length);
        check_near((double)rows[i].valid, (double)got, 0.0, "row %zu", i);
    }
}

static void test_width(void **state)
{
    (void)state;
    assert_int_equal(0, fl_text_width(""));
    assert_int_equal(5, fl_text_width("25 µm"));
    assert_int_equal(3, fl_text_width("aΩ😀"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_add),           cmocka_unit_test(test_empty),
        cmocka_unit_test(test_print_lengths), cmocka_unit_test(test_failure_sticks),
        cmocka_unit_test(test_comma_locale),  cmocka_unit_test(test_valid_utf8),
        cmocka_unit_test(test_width),
    };
    return cmocka_run_group_tests_name("base/text", tests, NULL, NULL);
}
