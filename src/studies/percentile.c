/* Percentiles and the yield curve from a histogram of the worst return loss. */
#include <math.h>
#include <stdint.h>
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
    histogram->bins = fl_arena_take(arena, FL_LAST_BIN + 2, sizeof *histogram->bins);
    return histogram->bins ? FL_OK : fl_fail_memory(error);
}

/* Rounded down to 0.001 dB: no sample is shown better than it is. The last bin holds all beyond. */
FL_WIDE static void find_bins(int32_t *bins, const double *values_db, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const double place = values_db[i] * FL_BINS_PER_DB;
        const double last = place < FL_LAST_BIN ? place : FL_LAST_BIN;
        bins[i] = values_db[i] >= 0.0 ? (int32_t)last : FL_LAST_BIN + 1;
    }
}

/* Places first, for many values side by side; the bins themselves are too far apart in memory to be
 * near at hand, and no value waits for another there. */
void fl_histogram_add(fl_histogram *histogram, const double *values_db, size_t count)
{
    int32_t bins[FL_LANES];
    for (size_t first = 0; first < count; first += FL_LANES) {
        const size_t some = count - first < FL_LANES ? count - first : FL_LANES;
        find_bins(bins, values_db + first, some);
        for (size_t i = 0; i < some; i++)
            histogram->bins[bins[i]]++;
    }
    histogram->total += count;
}

/* From counts to counts from above: bins then fall from left to right, as the searches need it. */
void fl_histogram_close(fl_histogram *histogram)
{
    for (size_t i = FL_LAST_BIN; i-- > 0;)
        histogram->bins[i] += histogram->bins[i + 1];
}

/* The bin of the sample of this rank, from 1: the last bin that all samples from it on reach;
 * SIZE_MAX when that is a sample without a value. */
static size_t bin_of_rank(const fl_histogram *histogram, uint64_t rank)
{
    const uint64_t above = histogram->total - (rank > 0 ? rank : 1);
    /* Before low more than `above` samples reach the bins, from high not. */
    size_t low = 0, high = FL_LAST_BIN + 1;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (histogram->bins[middle] > above)
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? low - 1 : SIZE_MAX;
}

double fl_histogram_percentile(const fl_histogram *histogram, unsigned percent)
{
    /* The rank of the percentile, rounded up; split so that no product overflows. */
    uint64_t hundreds = histogram->total / 100, rest = histogram->total % 100;
    const size_t bin = bin_of_rank(histogram, hundreds * percent + (rest * percent + 99) / 100);
    return bin != SIZE_MAX ? (double)bin / FL_BINS_PER_DB : 0.0;
}

/* The least width out of 1, 2, 4, 5 times a power of ten, in bins, that keeps to the most bars. */
static size_t bar_width(size_t first, size_t last)
{
    static const size_t steps[] = {1, 2, 4, 5};
    for (size_t ten = 1;; ten *= 10)
        for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
            const size_t width = steps[i] * ten;
            if (last / width - first / width < FL_MOST_BARS)
                return width;
        }
}

/* Samples in bins from .. to - 1 of a closed histogram. */
static uint64_t count_between(const fl_histogram *histogram, size_t from, size_t to)
{
    const uint64_t beyond = to <= FL_LAST_BIN ? histogram->bins[to] : 0;
    return histogram->bins[from] - beyond;
}

/* A thousandth at either end is left to the counts outside, lest one odd sample makes the bars too
 * wide for all others. */
fl_status fl_histogram_bars(fl_bars *bars, fl_arena *arena, const fl_histogram *histogram,
                            fl_error *error)
{
    const uint64_t total = histogram->total, thousandth = total / 1000;
    if (total == 0 || histogram->bins[0] == 0)
        return FL_OK;
    size_t first = bin_of_rank(histogram, thousandth + 1);
    const size_t last = bin_of_rank(histogram, total - thousandth);
    first = first != SIZE_MAX ? first : bin_of_rank(histogram, total - histogram->bins[0] + 1);
    const size_t width = bar_width(first, last), begin = first / width;
    const size_t count = last / width - begin + 1;
    bars->counts = fl_arena_take(arena, count, sizeof *bars->counts);
    if (!bars->counts)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++)
        bars->counts[i] = count_between(histogram, (begin + i) * width, (begin + i + 1) * width);
    bars->from_db = (double)(begin * width) / FL_BINS_PER_DB;
    bars->step_db = (double)width / FL_BINS_PER_DB;
    bars->count = count;
    bars->below = total - histogram->bins[begin * width];
    bars->above =
        total - bars->below - count_between(histogram, begin * width, (begin + count) * width);
    return FL_OK;
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
