/**
 * Reports: a result as text for people, JSON, comma-separated values, Touchstone. They read the
 * result only. The public functions fl_report_* of fairlead.h are implemented here.
 */
#ifndef FL_REPORTS_REPORTS_H
#define FL_REPORTS_REPORTS_H

#include "result/result.h"

#endif
