/**
 * The result as one page for browsers: the template that was built from src/page, with the data put
 * in at its marks. Data are JSON in a script that is not run; nothing of a design becomes markup.
 */
#include "reports/page.h"

#include <string.h>

#include "base/file.h"
#include "reports/reports.h"

/* Widths of a drawing, in user units: alone, beside another, and in the hand. */
static const double ALONE = 1080.0, BESIDE = 560.0, NARROW = 360.0;

bool fl_page_wanted(const fl_result *result)
{
    return result->case_count > 0 && result->cases[0].response.count > 0;
}

int fl_report_page_left_out(const fl_result *result)
{
    return fl_page_wanted(result) && fl_page_template_length == 0;
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

/** Adds bytes in base 64, four letters for three of them [RFC4648]. */
static void add_base64(fl_text *text, const unsigned char *bytes, size_t length)
{
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < length; i += 3) {
        const size_t left = length - i;
        const unsigned second = left > 1 ? bytes[i + 1] : 0, third = left > 2 ? bytes[i + 2] : 0;
        const unsigned all = (unsigned)bytes[i] << 16 | second << 8 | third;
        const char four[] = {letters[all >> 18], letters[all >> 12 & 63],
                             left > 1 ? letters[all >> 6 & 63] : '=',
                             left > 2 ? letters[all & 63] : '='};
        fl_text_add_bytes(text, four, sizeof four);
    }
}

/** What the page turns: the engine and the model for it. */
static void add_live(fl_text *text, const fl_result *result)
{
    if (!result->live) {
        fl_text_add(text, "null");
        return;
    }
    fl_text_add(text, "{\"wasm\": \"");
    add_base64(text, fl_live_kernel, fl_live_kernel_length);
    fl_text_add(text, "\", \"model\": \"");
    add_base64(text, (const unsigned char *)result->live, result->live_length);
    fl_text_add(text, "\"}");
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
    fl_text_add(text, ", \"live\": ");
    add_live(text, result);
    fl_text_add(text, "}");
cleanup:
    fl_text_release(&pictures);
    fl_report_free(&json);
    return status;
}

/** Whether a case is built otherwise than all those before it. */
static bool is_drawn(const fl_result *result, size_t index)
{
    return result->cases[index].piece_count > 0 && result->cases[index].built_as == index;
}

/** One drawing of a case; which of the two is shown, the page's style decides. */
static void add_drawing(fl_text *text, const fl_result *result, size_t index, const char *class,
                        double width)
{
    fl_text_print(text, "<div class=\"%s\">", class);
    fl_report_drawing_svg(text, result, index, width);
    fl_text_add(text, "</div>");
}

/** The transition of every case that is built otherwise than those before it. */
static void add_drawings(fl_text *text, const fl_result *result)
{
    size_t count = 0;
    for (size_t i = 0; i < result->case_count; i++)
        count += is_drawn(result, i);
    for (size_t i = 0; i < result->case_count; i++) {
        if (!is_drawn(result, i))
            continue;
        fl_text_add(text, "<figure class=\"drawing\">");
        add_drawing(text, result, i, "wide", count == 1 ? ALONE : BESIDE);
        add_drawing(text, result, i, "narrow", NARROW);
        fl_text_add(text, "</figure>");
    }
}

/** Adds the template from a place up to a mark, or to its end; returns the place behind it. */
static size_t add_until(fl_text *text, const char *mark, size_t from)
{
    const char *all = (const char *)fl_page_template;
    const size_t length = strlen(mark);
    size_t at = from;
    while (at + length <= fl_page_template_length && memcmp(all + at, mark, length) != 0)
        at++;
    const bool found = at + length <= fl_page_template_length;
    const size_t end = found ? at : fl_page_template_length;
    fl_text_add_bytes(text, all + from, end - from);
    return found ? end + length : end;
}

/** The marks come in this order, and what is put in is never searched for marks. */
fl_status fl_report_page(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    if (fl_page_template_length == 0)
        return fl_fail(error, FL_BAD_INPUT, "", "this build has no page for reports");
    fl_text_init(&text);
    size_t at = add_until(&text, "<!--TITLE-->", 0);
    add_words(&text, result->title[0] ? result->title : fl_path_name(result->file));
    at = add_until(&text, "<!--DRAWN-->", at);
    fl_report_svg_style(&text);
    at = add_until(&text, "<!--DRAWINGS-->", at);
    add_drawings(&text, result);
    at = add_until(&text, "<!--DATA-->", at);
    const fl_status status = add_data(&text, result, error);
    if (status != FL_OK) {
        fl_text_release(&text);
        return status;
    }
    fl_text_add_bytes(&text, (const char *)fl_page_template + at, fl_page_template_length - at);
    return fl_report_take(report, &text, error);
}
