/* Words and numbers of the text report. */
#include "reports/layout.h"

#include "reports/made.h"

static void counts_columns(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t columns;
    } rows[] = {{"", 0},
                {"gap", 3},
                {"25 \xC2\xB5m", 5},     /* micro sign: one column */
                {MADE_WIDE, 4},          /* two ideographs: two columns each, Unicode annex 11 */
                {"e\xCC\x81", 1},        /* e and a combining accent */
                {"\xF0\x9F\x98\x80", 2}, /* an emoji */
                {"\xE2\x80\xA6", 1},     /* the ellipsis */
                {"a\xE2\x80\x8B"
                 "b",
                 2}}; /* a space of no width */
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        check_near((double)rows[i].columns, (double)fl_columns(rows[i].text), 0.0, "'%s'",
                   rows[i].text);
}

static void shortens(void **state)
{
    (void)state;
    static const struct {
        const char *from;
        size_t width;
        const char *to;
    } rows[] = {{"gap", 3, "gap"},
                {"gaps", 3, "ga\xE2\x80\xA6"},
                {"gap", 1, "\xE2\x80\xA6"},
                {"", 1, ""},
                {MADE_WIDE, 4, MADE_WIDE},
                {MADE_WIDE, 3, "\xE5\xB0\x81\xE2\x80\xA6"},
                {MADE_WIDE "x", 4, "\xE5\xB0\x81\xE2\x80\xA6"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char to[FL_NAME_ROOM];
        fl_shorten(to, rows[i].from, rows[i].width);
        assert_string_equal(to, rows[i].to);
    }
}

static void shortens_marks(void **state)
{
    (void)state;
    char from[2048] = "e", to[FL_NAME_ROOM];
    for (size_t i = 0; i < 500; i++) /* one column, over a thousand bytes */
        memcpy(from + 1 + 2 * i, "\xCC\x81", 3);
    fl_shorten(to, from, 10);
    assert_true(strlen(to) < sizeof to);
    assert_true(fl_columns(to) <= 10);
}

static void breaks_paragraphs(void **state)
{
    (void)state;
    fl_text text;
    fl_text_init(&text);
    fl_paragraph(&text, 4,
                 "one two three four five six seven eight nine ten eleven twelve thirteen "
                 "fourteen " MADE_WIDE);
    assert_string_equal(text.bytes,
                        "    one two three four five six seven eight nine ten eleven twelve "
                        "thirteen\n    fourteen " MADE_WIDE "\n");
    check_lines(text.bytes);
    fl_text_release(&text);
    fl_paragraph(&text, 4, "a " MADE_LONG " b");
    check_lines(text.bytes);
    check_has(text.bytes, "    a\n    lll");
    check_has(text.bytes, "l\xE2\x80\xA6\n    b\n");
    fl_text_release(&text);
    fl_paragraph(&text, 0, "");
    assert_string_equal(text.bytes, "\n");
    fl_text_release(&text);
    fl_heading(&text, "head");
    assert_string_equal(text.bytes, "\nhead\n");
    fl_text_release(&text);
}

static void writes_numbers(void **state)
{
    (void)state;
    static const struct {
        void (*write)(char *, double);
        double value;
        const char *text;
    } rows[] = {
        {fl_decibel_text, 18.424, "18.42 dB"}, {fl_decibel_text, -0.004, "0.00 dB"},
        {fl_decibel_text, -1.25, "-1.25 dB"},  {fl_decibel_text, FL_CEILING_DB, "over 200 dB"},
        {fl_decibel_text, (double)NAN, "-"},   {fl_decibel_text, HUGE_VAL, "-"},
        {fl_change_text, -0.4124, "-0.412"},   {fl_change_text, 0.08, "+0.080"},
        {fl_change_text, -0.0004, "0.000"},    {fl_change_text, (double)NAN, "-"},
        {fl_yield_text, 1.0, "100.00 %"},      {fl_yield_text, 0.999999, "99.99 %"},
        {fl_yield_text, 0.9671, "96.71 %"},    {fl_yield_text, 1e-7, "0.01 %"},
        {fl_yield_text, 0.0, "0.00 %"},        {fl_yield_text, (double)NAN, "-"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[FL_WORD_ROOM];
        rows[i].write(text, rows[i].value);
        assert_string_equal(text, rows[i].text);
    }
}

static void writes_values(void **state)
{
    (void)state;
    char text[FL_WORD_ROOM];
    fl_value_text(text, 62e-15, FL_CAPACITANCE, 4);
    assert_string_equal(text, "62 fF");
    fl_value_text(text, (double)NAN, FL_CAPACITANCE, 4);
    assert_string_equal(text, "-");
    fl_share_text(text, 0.315, 1);
    assert_string_equal(text, "31.5 %");
    static const struct {
        uint64_t count;
        const char *text;
    } rows[] = {{0, "0"}, {999, "999"}, {1000, "1 000"}, {20000, "20 000"}, {1234567, "1 234 567"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_count_text(text, rows[i].count);
        assert_string_equal(text, rows[i].text);
    }
}

static void names_things(void **state)
{
    (void)state;
    fl_arena arena;
    fl_arena_init(&arena);
    assert_string_equal(fl_asked_text(FL_RETURN_LOSS, FL_PORT_DIE), "return loss, die port");
    assert_string_equal(fl_asked_text(FL_RETURN_LOSS, FL_PORT_BOARD), "return loss, board port");
    assert_string_equal(fl_asked_text(FL_REJECTION, FL_PORT_BOARD), "rejection");
    assert_string_equal(fl_owned_name(&arena, "gap", NULL), "gap");
    assert_string_equal(fl_owned_name(&arena, "gap", "two"), "gap (two)");
    fl_arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_columns), cmocka_unit_test(shortens),
        cmocka_unit_test(shortens_marks), cmocka_unit_test(breaks_paragraphs),
        cmocka_unit_test(writes_numbers), cmocka_unit_test(writes_values),
        cmocka_unit_test(names_things)};
    return cmocka_run_group_tests_name("reports/layout", tests, NULL, NULL);
}
