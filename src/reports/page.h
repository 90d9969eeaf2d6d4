/** The page of report.html as it was built: everything but the data. */
#ifndef FL_REPORTS_PAGE_H
#define FL_REPORTS_PAGE_H

#include "result/result.h"

/** [fl_page_template_length] HTML with marks (see page.c) where data go; made by
 * src/page/embed.cmake. Length 0 where the chart library was not at hand. */
extern const unsigned char fl_page_template[];
extern const size_t fl_page_template_length;

/** Whether a result has something for a page to show: a response. */
bool fl_page_wanted(const fl_result *result);

#endif
