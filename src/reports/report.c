/** The text of a report: handing it to the caller and freeing it. */
#include "reports/reports.h"

/** The text's block becomes the report's; nothing is copied. */
fl_status fl_report_take(fl_report *report, fl_text *text, fl_error *error)
{
    fl_text_add(text, "");
    if (fl_text_failed(text)) {
        fl_text_release(text);
        return fl_fail_memory(error);
    }
    report->text = text->bytes;
    report->length = text->length;
    fl_text_init(text);
    return FL_OK;
}

/** Empties the report, so that a second call does nothing. */
void fl_report_free(fl_report *report)
{
    if (!report)
        return;
    fl_memory_free(report->text);
    report->text = NULL;
    report->length = 0;
}
