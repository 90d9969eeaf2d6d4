/* The page: hostile names stay data, and the data read back as they are. */
#include "made.h"

#include "reports/page.h"

/* Whatever a browser, or a reader of JSON, might take for more than a character. */
#define HOSTILE "</script><!--<script>alert(1)</script>\"'&amp;\\ \xE2\x80\xA8\xE2\x80\xA9 \xD7\xA9"

static const char OPENING[] = "<script type=\"application/json\" id=\"data\">";
static const char CLOSING[] = "</script>";

/** The page of a result with a hostile title and warning; free it. */
static fl_report hostile_page(made *m, const char *title)
{
    fl_report report = {0};
    fl_error error = {0};
    made_head(m);
    made_response(m);
    m->result.title = title;
    m->warnings[0] = title;
    assert_int_equal(fl_report_page(&report, &m->result, &error), FL_OK);
    return report;
}

/** The data of a page, from the first script of data to the first end of a script, as a browser
 * cuts them out; free them. */
static char *data_of(const fl_report *report)
{
    const char *from = strstr(report->text, OPENING);
    assert_non_null(from);
    from += strlen(OPENING);
    const char *to = strstr(from, CLOSING);
    assert_non_null(to);
    char *data = test_calloc((size_t)(to - from) + 1, 1);
    memcpy(data, from, (size_t)(to - from));
    return data;
}

static void keeps_names_as_data(void **state)
{
    static char endless[10001];
    static const char *const titles[] = {HOSTILE,       "plain",        "\"",
                                         "<!--DATA-->", "<!--TITLE-->", endless};
    (void)state;
    memset(endless, '<', sizeof endless - 1);
    for (size_t i = 0; i < sizeof titles / sizeof titles[0]; i++) {
        made m;
        fl_report report = hostile_page(&m, titles[i]);
        char *data = data_of(&report);
        assert_null(strpbrk(data, "<>&"));
        assert_null(strstr(data, "\xE2\x80\xA8"));
        assert_null(strstr(data, "\xE2\x80\xA9"));
        cJSON *json = cJSON_Parse(data);
        assert_non_null(json);
        const cJSON *result = cJSON_GetObjectItemCaseSensitive(json, "result");
        const cJSON *title = cJSON_GetObjectItemCaseSensitive(result, "title");
        const cJSON *warnings = cJSON_GetObjectItemCaseSensitive(result, "warnings");
        assert_string_equal(title->valuestring, titles[i]);
        assert_string_equal(warnings->child->valuestring, titles[i]);
        cJSON_Delete(json);
        test_free(data);
        fl_report_free(&report);
    }
}

/* The words between the tags of the title, with their escapes taken back. */
static void shows_the_title_as_words(void **state)
{
    made m;
    (void)state;
    fl_report report = hostile_page(&m, "a </title><script> & b");
    const char *from = strstr(report.text, "<title>");
    assert_non_null(from);
    from += strlen("<title>");
    static const char wanted[] = "a &lt;/title>&lt;script> &amp; b</title>";
    assert_int_equal(strncmp(from, wanted, strlen(wanted)), 0);
    fl_report_free(&report);
}

/* The result inside is the JSON report itself, so that the page cannot say anything else. */
static void holds_the_result(void **state)
{
    made m;
    (void)state;
    fl_report page = hostile_page(&m, "title");
    fl_report report = {0};
    assert_int_equal(fl_report_json(&report, &m.result, NULL), FL_OK);
    char *data = data_of(&page);
    cJSON *json = cJSON_Parse(data), *wanted = cJSON_Parse(report.text);
    assert_non_null(json);
    assert_non_null(wanted);
    assert_true(cJSON_Compare(cJSON_GetObjectItemCaseSensitive(json, "result"), wanted, true));
    cJSON_Delete(json);
    cJSON_Delete(wanted);
    test_free(data);
    fl_report_free(&page);
    fl_report_free(&report);
}

/* One file: nothing is fetched, and a browser is told to refuse it. */
static void names_no_other_place(void **state)
{
    static const char *const absent[] = {
        " src=",        "@import",      "<link",         "<iframe",        "<!--DATA-->",
        "<!--TITLE-->", "<!--STYLE-->", "<!--SCRIPT-->", "<!--LIBRARY-->", "<!--LICENCES-->"};
    made m;
    (void)state;
    fl_report report = hostile_page(&m, "title");
    assert_non_null(strstr(report.text, "content=\"default-src 'none';"));
    assert_non_null(strstr(report.text, "Redistribution"));
    for (size_t i = 0; i < sizeof absent / sizeof absent[0]; i++)
        assert_null(strstr(report.text, absent[i]));
    fl_report_free(&report);
}

int main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(keeps_names_as_data), cmocka_unit_test(shows_the_title_as_words),
        cmocka_unit_test(holds_the_result), cmocka_unit_test(names_no_other_place)};
    if (fl_page_template_length == 0) {
        print_message("[  SKIPPED ] reports/page: built without the page\n");
        return 0;
    }
    return cmocka_run_group_tests_name("reports/page", tests, NULL, NULL);
}
