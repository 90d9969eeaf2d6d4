/** The design file with the chosen values. */
#include "reports/reports.h"

/** The text was made with the result, as only then the design was at hand. */
fl_status fl_report_design(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    if (!result->sized_design)
        return fl_fail(error, FL_BAD_INPUT, "",
                       "nothing was sized: the result of '%s' has no design", result->command);
    fl_text_init(&text);
    fl_text_add_bytes(&text, result->sized_design, result->sized_design_length);
    return fl_report_take(report, &text, error);
}
