/* Aligned tables. */
#include "reports/table.h"

#include "reports/made.h"

static const fl_column columns[] = {
    {"name", FL_LEFT, true}, {"value", FL_RIGHT, false}, {"note", FL_LEFT, false}};

/** Writes rows of three cells; release the text. */
static fl_text write(const char *const (*rows)[3], size_t count)
{
    fl_table table;
    fl_text text;
    fl_text_init(&text);
    fl_table_init(&table, columns, 3);
    for (size_t i = 0; i < count; i++)
        for (size_t c = 0; c < 3; c++)
            fl_table_add(&table, rows[i][c]);
    fl_table_write(&table, &text);
    fl_text_add(&text, "");
    check_lines(text.bytes);
    return text;
}

static void aligns(void **state)
{
    (void)state;
    static const char *const rows[][3] = {
        {"gap", "250 um", ""}, {MADE_WIDE, "1.2 mm", "wide"}, {"die cap", "", "no value"}};
    fl_text text = write(rows, 3);
    assert_string_equal(text.bytes, "  name      value  note\n"
                                    "  gap      250 um\n"
                                    "  " MADE_WIDE "     1.2 mm  wide\n"
                                    "  die cap          no value\n");
    fl_text_release(&text);
}

static void cuts_names(void **state)
{
    (void)state;
    static const char *const names[] = {MADE_LONG, MADE_WIDE_LONG};
    for (size_t i = 0; i < 2; i++) {
        const char *const rows[][3] = {{names[i], "250 um", "at its upper bound"},
                                       {"gap", "1 m", "x"}};
        fl_text text = write(rows, 2);
        check_has(text.bytes, "\xE2\x80\xA6");
        check_has(text.bytes, "  250 um  at its upper bound\n");
        fl_text_release(&text);
    }
}

static void writes_nothing_without_rows(void **state)
{
    (void)state;
    fl_text text = write(NULL, 0);
    assert_string_equal(text.bytes, "");
    fl_text_release(&text);
}

static void leaves_out_empty_titles(void **state)
{
    (void)state;
    static const fl_column plain[] = {{"", FL_LEFT, false}, {"", FL_RIGHT, false}};
    fl_table table;
    fl_text text;
    fl_text_init(&text);
    fl_table_init(&table, plain, 2);
    fl_table_add(&table, "a");
    fl_table_add(&table, "1");
    fl_table_write(&table, &text);
    assert_string_equal(text.bytes, "  a  1\n");
    fl_text_release(&text);
}

static void passes_failure_on(void **state)
{
    (void)state;
    fl_table table;
    fl_text text;
    fl_text_init(&text);
    fl_table_init(&table, columns, 3);
    table.failed = true;
    fl_table_write(&table, &text);
    assert_true(fl_text_failed(&text));
    fl_text_release(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(aligns), cmocka_unit_test(cuts_names),
                                       cmocka_unit_test(writes_nothing_without_rows),
                                       cmocka_unit_test(leaves_out_empty_titles),
                                       cmocka_unit_test(passes_failure_on)};
    return cmocka_run_group_tests_name("reports/table", tests, NULL, NULL);
}
