/**
 * The result as one page for browsers: the template that was built from src/page, with the data put
 * in at its marks. Data are JSON in a script that is not run; nothing of a design becomes markup.
 */
#include "reports/page.h"

#include <string.h>

#include "base/file.h"
#include "reports/reports.h"

static const char DATA_MARK[] = "<!--DATA-->";
static const char TITLE_MARK[] = "<!--TITLE-->";

int fl_report_page_built(void)
{
    return fl_page_template_length > 0;
}

/** Adds JSON so that no browser finds markup in it: these characters stand in strings alone, where
 * an escape means the same. U+2028 and U+2029 end a line to some readers. */
static void add_json(fl_text *text, const char *json)
{
    for (const char *c = json; *c; c++)
        if (*c == '<' || *c == '>' || *c == '&')
            fl_text_print(text, "\\u%04x", (unsigned)(unsigned char)*c);
        else if (strncmp(c, "\xE2\x80\xA8", 3) == 0 || strncmp(c, "\xE2\x80\xA9", 3) == 0) {
            fl_text_add(text, (unsigned char)c[2] == 0xA8 ? "\\u2028" : "\\u2029");
            c += 2;
        } else
            fl_text_add_bytes(text, c, 1);
}

/** Adds words to be shown as they are. */
static void add_words(fl_text *text, const char *words)
{
    for (const char *c = words; *c; c++)
        if (*c == '<')
            fl_text_add(text, "&lt;");
        else if (*c == '&')
            fl_text_add(text, "&amp;");
        else
            fl_text_add_bytes(text, c, 1);
}

/** The data of the page; what a result lacks is null. */
static fl_status add_data(fl_text *text, const fl_result *result, fl_error *error)
{
    fl_report json = {0};
    fl_text pictures;
    fl_status status = fl_report_json(&json, result, error);
    if (status != FL_OK)
        return status;
    fl_text_init(&pictures);
    fl_report_pictures_json(&pictures, result);
    if (fl_text_failed(&pictures)) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    fl_text_add(text, "{\"result\": ");
    add_json(text, json.text);
    fl_text_add(text, ", \"pictures\": ");
    add_json(text, pictures.bytes);
    fl_text_add(text, ", \"live\": null}");
cleanup:
    fl_text_release(&pictures);
    fl_report_free(&json);
    return status;
}

/** First place of a mark in the template from a place on; its end if there is none. */
static size_t find_mark(const char *mark, size_t from)
{
    const size_t length = strlen(mark);
    for (size_t at = from; at + length <= fl_page_template_length; at++)
        if (memcmp(fl_page_template + at, mark, length) == 0)
            return at;
    return fl_page_template_length;
}

/** Adds the template from a place up to a mark; returns the place behind the mark. */
static size_t add_until(fl_text *text, const char *mark, size_t from)
{
    const size_t found = find_mark(mark, from);
    fl_text_add_bytes(text, (const char *)fl_page_template + from, found - from);
    return found == fl_page_template_length ? found : found + strlen(mark);
}

fl_status fl_report_page(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    if (!fl_report_page_built())
        return fl_fail(error, FL_BAD_INPUT, "", "this build has no page for reports");
    fl_text_init(&text);
    size_t at = add_until(&text, TITLE_MARK, 0);
    add_words(&text, result->title[0] ? result->title : fl_path_name(result->file));
    at = add_until(&text, DATA_MARK, at);
    const fl_status status = add_data(&text, result, error);
    if (status != FL_OK) {
        fl_text_release(&text);
        return status;
    }
    fl_text_add_bytes(&text, (const char *)fl_page_template + at, fl_page_template_length - at);
    return fl_report_take(report, &text, error);
}
