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

#endif
