/** The text report's groups of tables, one file a group; each writes nothing if the result lacks
 * what it shows. */
#ifndef FL_REPORTS_PAGES_H
#define FL_REPORTS_PAGES_H

#include "reports/reports.h"
#include "reports/table.h"

/** Rows a table shows at most; the rest is counted in a line below it. */
enum { FL_PAGE_ROWS = 20 };

/** Sentences first of all: met or not, by how much and where; what passes; interrupted. */
void fl_page_verdict(fl_text *text, const fl_result *result);

/** Sections with their electrical values. */
void fl_page_sections(fl_text *text, const fl_result *result);

/** The values of one section alone, with what they were taken from. */
void fl_page_model(fl_text *text, const fl_result *result);

/** All quantities with their ranges and spreads. */
void fl_page_quantities(fl_text *text, const fl_result *result);

/** Sized values, which bound holds, and what the grid costs. */
void fl_page_sized(fl_text *text, const fl_result *result);

/** Each requirement of each case where it is worst, worst case first. */
void fl_page_worst(fl_text *text, const fl_result *result);

/** Losses over the band of the worst cases. */
void fl_page_response(fl_text *text, const fl_result *result);

/** Sensitivities, largest effect first. */
void fl_page_sensitivity(fl_text *text, const fl_result *result);

/** How yields and good dice differ between the wafers and lots of a plan. */
void fl_page_wafers(fl_text *text, const fl_result *result);

/** Yield, its percentiles, what fails, and which values shift. */
void fl_page_yield(fl_text *text, const fl_result *result);

/** Case indices [case_count], smallest margin first, in the arena; NULL when out of memory. */
size_t *fl_page_case_order(fl_arena *arena, const fl_result *result);

/** Whether some requirement asks for return loss (the implied one does). */
bool fl_page_asks_return_loss(const fl_result *result);

/** "... and 3 more" when a table of total rows was cut at FL_PAGE_ROWS. */
void fl_page_more(fl_text *text, size_t total);

#endif
