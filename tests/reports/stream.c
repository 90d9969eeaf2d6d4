/* The JSON writer: layout, escapes, numbers that read back the same. */
#include "reports/stream.h"

#include "reports/made.h"

static void writes_layout(void **state)
{
    (void)state;
    fl_text text;
    fl_stream json;
    fl_text_init(&text);
    fl_stream_init(&json, &text);
    fl_stream_open(&json, '{', false);
    fl_stream_string_at(&json, "a", NULL);
    fl_stream_key(&json, "b");
    fl_stream_open(&json, '[', true);
    fl_stream_integer(&json, UINT64_MAX);
    fl_stream_open(&json, '[', false);
    fl_stream_truth(&json, true);
    fl_stream_truth(&json, false);
    fl_stream_close(&json, ']');
    fl_stream_close(&json, ']');
    fl_stream_key(&json, "c");
    fl_stream_open(&json, '[', false);
    fl_stream_null(&json);
    fl_stream_number(&json, 0.5);
    fl_stream_close(&json, ']');
    fl_stream_key(&json, "d");
    fl_stream_open(&json, '{', false);
    fl_stream_close(&json, '}');
    fl_stream_close(&json, '}');
    assert_string_equal(text.bytes, "{\n"
                                    "  \"a\": null,\n"
                                    "  \"b\": [18446744073709551615, [true, false]],\n"
                                    "  \"c\": [\n"
                                    "    null,\n"
                                    "    0.5\n"
                                    "  ],\n"
                                    "  \"d\": {}\n"
                                    "}");
    fl_text_release(&text);
}

static void escapes_strings(void **state)
{
    (void)state;
    /* RFC 8259, section 7: quote, backslash and control characters; UTF-8 goes through. */
    static const char *const rows[][2] = {{"", "\"\""},
                                          {"a \"b\" \\c", "\"a \\\"b\\\" \\\\c\""},
                                          {"\x01\n\x1f", "\"\\u0001\\u000a\\u001f\""},
                                          {"\x7f", "\"\\u007f\""},
                                          {MADE_WIDE, "\"" MADE_WIDE "\""},
                                          {"/", "\"/\""}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_stream json;
        fl_text_init(&text);
        fl_stream_init(&json, &text);
        fl_stream_string(&json, rows[i][0]);
        assert_string_equal(text.bytes, rows[i][1]);
        cJSON *back = cJSON_Parse(text.bytes);
        assert_non_null(back);
        assert_string_equal(back->valuestring, rows[i][0]);
        cJSON_Delete(back);
        fl_text_release(&text);
    }
}

static void keeps_numbers(void **state)
{
    (void)state;
    static const double rows[] = {0.0,
                                  1.0 / 3.0,
                                  6.2e-14,
                                  -2.5e-310,
                                  1.7976931348623157e308,
                                  2.95e10,
                                  1.0 + 2.220446049250313e-16,
                                  0.30000000000000004};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_stream json;
        fl_text_init(&text);
        fl_stream_init(&json, &text);
        fl_stream_number(&json, rows[i]);
        double back = -1.0;
        assert_non_null(fl_number_read(&back, text.bytes, 0));
        check_near(rows[i], back, 0.0, "%s", text.bytes);
        fl_text_release(&text);
    }
}

static void turns_unknown_into_null(void **state)
{
    (void)state;
    static const double rows[] = {HUGE_VAL, -HUGE_VAL, (double)NAN};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        fl_text text;
        fl_stream json;
        fl_text_init(&text);
        fl_stream_init(&json, &text);
        fl_stream_open(&json, '{', true);
        fl_stream_number_at(&json, "x", rows[i]);
        fl_stream_close(&json, '}');
        assert_string_equal(text.bytes, "{\"x\": null}");
        fl_text_release(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_layout), cmocka_unit_test(escapes_strings),
        cmocka_unit_test(keeps_numbers), cmocka_unit_test(turns_unknown_into_null)};
    return cmocka_run_group_tests_name("reports/stream", tests, NULL, NULL);
}
