/** Charts over frequency: axes with round ticks, curves and bands cut at the edges. */
#ifndef FL_REPORTS_CHART_H
#define FL_REPORTS_CHART_H

#include "reports/svg.h"

/** A chart's frame in user units, and what its edges stand for. */
typedef struct fl_chart {
    fl_frame frame;
    double x[2], y[2]; /* left and right, bottom and top; first < second */
} fl_chart;

/** A step of 1, 2 or 5 times a power of ten that divides a range into at most so many parts. */
double fl_chart_step(double range, size_t most);

/** Place of a value of the chart. */
fl_point fl_chart_point(const fl_chart *chart, double x, double y);

/** Grid, ticks with their numbers, and the frame; x is shown divided by unit. */
void fl_chart_axes(fl_text *text, const fl_chart *chart, double unit);

/** A curve through points [count], x rising; where it leaves the chart it is cut. Values that are
 * not finite make a gap. */
void fl_chart_curve(fl_text *text, const fl_chart *chart, const char *class, const double *x,
                    const double *y, size_t count);

/** The area between two curves over the same x, what is beyond the edges left out. */
void fl_chart_band(fl_text *text, const fl_chart *chart, const char *class, const double *x,
                   const double *const y[2], size_t count);

#endif
