/**
 * Reports: a result as text for people, JSON, comma-separated values, Touchstone. They read the
 * result only. The public functions fl_report_* of fairlead.h are implemented here.
 */
#ifndef FL_REPORTS_REPORTS_H
#define FL_REPORTS_REPORTS_H

#include "base/text.h"
#include "result/result.h"

/** Hands a finished text over to a report and releases it in any case; the report is unchanged when
 * the text failed for want of memory. */
fl_status fl_report_take(fl_report *report, fl_text *text, fl_error *error);

/**
 * Adds what pictures are drawn from as one JSON object (docs/design-file.md), or null if the result
 * has none (fl_options.pictures). Never NaN or infinity. Names are quoted as JSON wants it: within
 * HTML each '<' must become "\u003c", which is the same text to a reader of JSON.
 */
void fl_report_pictures_json(fl_text *text, const fl_result *result);

#endif
