/** Charts over frequency: axes with round ticks, curves and bands cut at the edges. */
#include "reports/chart.h"

#include <math.h>

/* Ticks along an axis, at most; digits of their numbers. */
enum { X_TICKS = 7, Y_TICKS = 6 };

/** A little less than the least step is taken as it, so that rounding moves no tick. */
double fl_chart_step(double range, size_t most)
{
    static const double STEPS[] = {1.0, 2.0, 5.0};
    const double least = range / (double)most;
    const double decade = pow(10.0, floor(log10(least)));
    for (size_t i = 0; i < sizeof STEPS / sizeof STEPS[0]; i++)
        if (STEPS[i] * decade >= least * (1.0 - 1e-9))
            return STEPS[i] * decade;
    return 10.0 * decade;
}

/** Also beyond the edges. */
fl_point fl_chart_point(const fl_chart *chart, double x, double y)
{
    const fl_frame *frame = &chart->frame;
    return (fl_point){frame->x + frame->width * (x - chart->x[0]) / (chart->x[1] - chart->x[0]),
                      frame->y +
                          frame->height * (1.0 - (y - chart->y[0]) / (chart->y[1] - chart->y[0]))};
}

/** A number of few digits: ticks are round, and what a sum of steps left behind is not shown. */
static void tick_text(char to[FL_NUMBER_ROOM], double value, double step)
{
    const double places = pow(10.0, fmax(0.0, ceil(-log10(step) - 1e-9)));
    fl_number_text(to, nearbyint(value * places) / places + 0.0);
}

/** Lines across, each with its number. */
static void draw_ticks(fl_text *text, const fl_chart *chart, bool upright, double unit)
{
    const double *ends = upright ? chart->x : chart->y;
    const double low = ends[0] / unit, high = ends[1] / unit;
    const double step = fl_chart_step(high - low, upright ? X_TICKS : Y_TICKS);
    const double first = ceil(low / step - 1e-6);
    const int count = (int)floor(high / step - first + 1e-6);
    for (int i = 0; i <= count; i++) {
        const double value = (first + i) * step;
        char number[FL_NUMBER_ROOM];
        const fl_point from = upright ? fl_chart_point(chart, value * unit, chart->y[0])
                                      : fl_chart_point(chart, chart->x[0], value);
        const fl_point to = upright ? fl_chart_point(chart, value * unit, chart->y[1])
                                    : fl_chart_point(chart, chart->x[1], value);
        tick_text(number, value, step);
        fl_svg_line(text, "fl-grid", from, to);
        fl_svg_text(text, "fl-small",
                    upright ? (fl_point){from.x, from.y + 14.0}
                            : (fl_point){from.x - 5.0, from.y + 3.5},
                    upright ? FL_ANCHOR_MIDDLE : FL_ANCHOR_END, number);
    }
}

/** The frame is drawn last, over the ends of the grid. */
void fl_chart_axes(fl_text *text, const fl_chart *chart, double unit)
{
    draw_ticks(text, chart, true, unit);
    draw_ticks(text, chart, false, 1.0);
    fl_svg_box(text, "fl-axis", &chart->frame, 0.0);
}

/** Where a way between two points meets a height. */
static double meet(const double x[2], const double y[2], double height)
{
    return x[0] + (x[1] - x[0]) * (height - y[0]) / (y[1] - y[0]);
}

/** The part of a piece of curve that is within the chart's height; false if none is. */
static bool cut(const fl_chart *chart, double x[2], double y[2])
{
    const double low = chart->y[0], high = chart->y[1];
    if (!isfinite(y[0]) || !isfinite(y[1]) || fmax(y[0], y[1]) < low || fmin(y[0], y[1]) > high)
        return false;
    const double from[2] = {x[0], x[1]}, value[2] = {y[0], y[1]};
    for (int end = 0; end < 2; end++) {
        const double held = fmin(fmax(value[end], low), high);
        if (held != value[end])
            x[end] = meet(from, value, held);
        y[end] = held;
    }
    return true;
}

/** Piece by piece; the pen is lifted only where a piece does not begin at the end of the last. */
void fl_chart_curve(fl_text *text, const fl_chart *chart, const char *class, const double *x,
                    const double *y, size_t count)
{
    fl_point last = {-1.0, -1.0};
    bool any = false;
    for (size_t i = 0; i + 1 < count; i++) {
        double way[2] = {x[i], x[i + 1]}, value[2] = {y[i], y[i + 1]};
        if (!cut(chart, way, value))
            continue;
        const fl_point from = fl_chart_point(chart, way[0], value[0]);
        const fl_point to = fl_chart_point(chart, way[1], value[1]);
        if (!any)
            fl_svg_path(text, class);
        if (!any || from.x != last.x || from.y != last.y)
            fl_svg_move(text, from);
        fl_svg_to(text, to);
        last = to;
        any = true;
    }
    if (any)
        fl_svg_path_end(text, false);
}

/** There and back. */
void fl_chart_band(fl_text *text, const fl_chart *chart, const char *class, const double *x,
                   const double *const y[2], size_t count)
{
    bool any = false;
    for (size_t i = 0; i < 2 * count; i++) {
        const size_t at = i < count ? i : 2 * count - 1 - i;
        const double value = y[i >= count][at];
        if (!isfinite(value))
            continue;
        const double held = fmin(fmax(value, chart->y[0]), chart->y[1]);
        const fl_point point = fl_chart_point(chart, x[at], held);
        if (!any)
            fl_svg_path(text, class);
        if (any)
            fl_svg_to(text, point);
        else
            fl_svg_move(text, point);
        any = true;
    }
    if (any)
        fl_svg_path_end(text, true);
}
