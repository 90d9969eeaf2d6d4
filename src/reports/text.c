/**
 * The text report: which pages, in which order, and what stands first and last. A page that has
 * nothing to show writes nothing, so that all commands share one order.
 */
#include <string.h>

#include "base/file.h"
#include "reports/pages.h"

/** Whether this is of one section alone. */
static bool is_model(const fl_result *result)
{
    return strcmp(result->command, "model") == 0;
}

/** What this is a report of; a design without a title goes by its file. */
static void write_title(fl_text *text, const fl_result *result)
{
    char frequency[2][FL_WORD_ROOM];
    const char *title = result->title[0] ? result->title : fl_path_name(result->file);
    fl_value_text(frequency[0], result->band_low, FL_FREQUENCY, 6);
    fl_value_text(frequency[1], result->band_high, FL_FREQUENCY, 6);
    fl_paragraph(text, 0, title);
    fl_text_print(text, "Band %s to %s, %zu points", frequency[0], frequency[1], result->points);
    if (result->case_count > 1)
        fl_text_print(text, ", %zu cases", result->case_count);
    fl_text_add(text, "\n");
}

/** Last of all the caution, where it is read before the report is passed on. */
static void write_closing(fl_text *text, const fl_result *result)
{
    fl_text_add(text, "\n");
    if (result->warning_count > 0)
        fl_text_print(text, "%zu warning%s%s, listed in the JSON result.\n", result->warning_count,
                      result->warning_count == 1 ? "" : "s",
                      is_model(result) ? "" : " on the design");
    fl_paragraph(text, 0,
                 "Computed from models: confirm with a field solution and with measurement before "
                 "masks are ordered.");
}

/** First whether it is good enough, then what to build, then why. */
static void write_pages(fl_text *text, const fl_result *result)
{
    write_title(text, result);
    fl_page_verdict(text, result);
    fl_page_sized(text, result);
    fl_page_worst(text, result);
    fl_page_response(text, result);
    fl_page_sensitivity(text, result);
    fl_page_yield(text, result);
    fl_page_sections(text, result);
    if (result->sections)
        fl_page_quantities(text, result);
}

/** A model is one page of its own. */
fl_status fl_report_text(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    fl_text_init(&text);
    if (is_model(result))
        fl_page_model(&text, result);
    else
        write_pages(&text, result);
    write_closing(&text, result);
    return fl_report_take(report, &text, error);
}
