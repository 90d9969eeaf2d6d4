/* Percentiles and the yield curve from a histogram of the worst return loss. */
#include <math.h>
#include <stdlib.h>

#include "studies/tally.h"

/* Steps of the curve in a decibel, its last step, and its most points besides the limits. */
enum { STEPS_PER_DB = 2, LAST_STEP = 200 * STEPS_PER_DB, MOST_STEPS = 60 };

/* Shares between which the curve is drawn. */
static const double NEARLY_ALL = 0.999, NEARLY_NONE = 0.001;

/* Limits nearer to each other than this are one, dB. */
static const double SAME_LIMIT = 1e-9;

fl_status fl_histogram_take(fl_histogram *histogram, fl_arena *arena, fl_error *error)
{
    histogram->total = 0;
    histogram->bins = fl_arena_take(arena, FL_LAST_BIN + 1, sizeof *histogram->bins);
    return histogram->bins ? FL_OK : fl_fail_memory(error);
}

/* Rounded down to 0.001 dB: no sample is shown better than it is. The last bin holds all beyond. */
void fl_histogram_add(fl_histogram *histogram, double value_db)
{
    histogram->total++;
    if (!(value_db >= 0.0))
        return;
    double bin = fmin(value_db * FL_BINS_PER_DB, FL_LAST_BIN);
    histogram->bins[(size_t)bin]++;
}

/* From counts to counts from above: bins then fall from left to right, as the searches need it. */
void fl_histogram_close(fl_histogram *histogram)
{
    for (size_t i = FL_LAST_BIN; i-- > 0;)
        histogram->bins[i] += histogram->bins[i + 1];
}

double fl_histogram_percentile(const fl_histogram *histogram, unsigned percent)
{
    /* The rank of the percentile, rounded up; split so that no product overflows. */
    uint64_t hundreds = histogram->total / 100, rest = histogram->total % 100;
    uint64_t rank = hundreds * percent + (rest * percent + 99) / 100;
    uint64_t above = histogram->total - (rank > 0 ? rank : 1);
    /* The last bin that more than `above` samples reach; before low they do, from high not. */
    size_t low = 0, high = FL_LAST_BIN + 1;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (histogram->bins[middle] > above)
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? (double)(low - 1) / FL_BINS_PER_DB : 0.0;
}

/* Yield if the limit were at this step. */
static double share_at(const fl_histogram *histogram, size_t step)
{
    size_t bin = step * (FL_BINS_PER_DB / STEPS_PER_DB);
    return (double)histogram->bins[bin] / (double)histogram->total;
}

/* Steps where the curve is neither all nor none, with one beyond at each end if there is room. */
static void curve_range(size_t *first, size_t *last, const fl_histogram *histogram)
{
    size_t begin = 0;
    while (begin < LAST_STEP && share_at(histogram, begin + 1) > NEARLY_ALL)
        begin++;
    size_t end = begin;
    while (end < LAST_STEP && share_at(histogram, end) >= NEARLY_NONE &&
           end - begin + 1 < MOST_STEPS)
        end++;
    *first = begin;
    *last = end;
}

/* Adds a point unless one is there at the same limit. */
static void add_point(fl_yielding *yielding, double limit_db, double yield)
{
    for (size_t i = 0; i < yielding->curve_count; i++)
        if (fabs(yielding->curve[i].return_loss_db - limit_db) < SAME_LIMIT)
            return;
    yielding->curve[yielding->curve_count++] =
        (fl_curve_point){.return_loss_db = limit_db, .yield = yield};
}

static int by_limit(const void *left, const void *right)
{
    const fl_curve_point *a = left, *b = right;
    return (a->return_loss_db > b->return_loss_db) - (a->return_loss_db < b->return_loss_db);
}

/* The points at limits go in first, so that they are kept where a step is at the same place: they
 * were counted at the limit itself. */
fl_status fl_histogram_curve(fl_yielding *yielding, const fl_histogram *histogram,
                             const fl_reached *limits, size_t limit_count, fl_error *error)
{
    if (histogram->total == 0)
        return FL_OK;
    yielding->curve =
        fl_arena_take(&yielding->arena, MOST_STEPS + limit_count, sizeof *yielding->curve);
    if (!yielding->curve)
        return fl_fail_memory(error);
    for (size_t i = 0; i < limit_count; i++)
        add_point(yielding, limits[i].limit_db, (double)limits[i].count / (double)histogram->total);
    size_t first, last;
    curve_range(&first, &last, histogram);
    for (size_t step = first; step <= last; step++)
        add_point(yielding, (double)step / STEPS_PER_DB, share_at(histogram, step));
    qsort(yielding->curve, yielding->curve_count, sizeof *yielding->curve, by_limit);
    return FL_OK;
}
