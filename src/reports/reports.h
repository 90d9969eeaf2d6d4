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

/** Fewest and most user units that a picture may be wide. */
enum { FL_PICTURE_LEAST = 320, FL_PICTURE_MOST = 2000 };

/**
 * Adds the transition of one case, drawn to scale from die to board, as an <svg> element to be put
 * into a page: it has classes instead of colours, no style of its own (see fl_report_svg_style)
 * and no ids, so that one page may hold several. Adds nothing if the case has no pieces. Cases that
 * are built alike (built_as) look alike.
 *
 * @param[in] width of its view box in user units, taken into FL_PICTURE_LEAST to
 *            FL_PICTURE_MOST; letters are 12 units high, so that a picture shown at its width in
 *            pixels reads as other text does. The height follows.
 */
void fl_report_drawing_svg(fl_text *text, const fl_result *result, size_t case_index, double width);

/** The same as a file of its own, with its style: all cases that are built in their own way.
 * FL_BAD_INPUT of a result without a path. */
fl_status fl_report_transition(fl_report *report, const fl_result *result, fl_error *error);

/** Losses over the band as a picture of its own, with its style: what is required, the present
 * response of the worst cases, and more where it was computed. FL_BAD_INPUT of a result without a
 * response. */
fl_status fl_report_losses(fl_report *report, const fl_result *result, fl_error *error);

/**
 * Adds the style sheet that pictures need: the palette as variables (--ink, --muted, --paper,
 * --line, --sized, --limit, --band1, --band2, --ghost), for light and for dark and for print, and
 * the rules of the pictures' classes, all of which begin with "fl-".
 */
void fl_report_svg_style(fl_text *text);

#endif
