/** The transition drawn to scale from die to board. */
#include <math.h>

#include "reports/layout.h"
#include "reports/reports.h"
#include "reports/svg.h"

/* Height of a row of letters. */
static const double ROW = 16.0;

/** A width out of bounds is taken to the nearest bound, so that a page that asks for nonsense still
 * has a picture. */
void fl_report_drawing_svg(fl_text *text, const fl_result *result, size_t case_index, double width)
{
    if (case_index >= result->case_count || result->cases[case_index].piece_count == 0)
        return;
    const fl_result_case *row = &result->cases[case_index];
    const double wide = fmin(fmax(width, FL_PICTURE_LEAST), FL_PICTURE_MOST);
    const fl_svg_head head = {.width = wide,
                              .height = ROW * (double)(row->piece_count + 1),
                              .title = "The transition from die to board",
                              .description = "Its sections in the order of the path."};
    fl_svg_begin(text, &head);
    for (size_t i = 0; i < row->piece_count; i++) {
        char name[FL_NAME_ROOM];
        fl_shorten(name, row->pieces[i].name, 30);
        fl_svg_text(text, "fl-name", (fl_spot){8.0, ROW * (double)(i + 1)}, FL_ANCHOR_START, name);
    }
    fl_svg_end(text);
}
