/* Shares of variance from given samples: how far the mean of the output follows one input. */
#include <math.h>

#include "base/random.h"
#include "studies/studies.h"

/* Fewer samples a bin than this, on average, say nothing. */
enum { LEAST_A_BIN = 4 };

/* Variance this far below the mean square is what rounding leaves of equal outputs. */
static const double ROUNDING = 1e-13;

/* Bins are of equal probability when ranks are of the input's own distribution. */
void fl_share_add(fl_share *share, double rank, double output)
{
    int bin = 0;
    if (rank > 0.0)
        bin = rank < 1.0 ? (int)(rank * FL_SHARE_BINS) : FL_SHARE_BINS - 1;
    share->count[bin]++;
    share->sum[bin] += output;
    share->square_sum += output * output;
}

/* Cells of a sixteenth from -8 to 8: hardly a number is beyond, so that the branches can be
 * foreseen. A cell holds one end at most, since the nearest two are 0.078 apart. */
static const double first_cell = -8.0, cells_per_sigma = 16.0;

void fl_share_edges_init(fl_share_edges *edges)
{
    for (int i = 0; i + 1 < FL_SHARE_BINS; i++)
        edges->ends[i] = fl_normal_quantile((i + 1.0) / FL_SHARE_BINS);
    edges->ends[FL_SHARE_BINS - 1] = HUGE_VAL;
    unsigned char bin = 0;
    for (int i = 0; i < FL_SHARE_CELLS; i++) {
        while (edges->ends[bin] <= first_cell + i / cells_per_sigma)
            bin++;
        edges->cells[i] = bin;
    }
}

/* Bins first, then sums: each loop waits for nothing but itself. */
void fl_share_add_many(fl_share *share, const fl_share_edges *edges, const double *z,
                       const double *outputs, size_t count)
{
    size_t bins[FL_LANES];
    double squares = 0.0;
    for (size_t i = 0; i < count; i++) {
        double place = (z[i] - first_cell) * cells_per_sigma;
        place = place > 0.0 ? place : 0.0;
        place = place < FL_SHARE_CELLS - 1 ? place : FL_SHARE_CELLS - 1;
        const size_t bin = edges->cells[(int)place];
        bins[i] = bin + (z[i] >= edges->ends[bin]);
    }
    for (size_t i = 0; i < count; i++) {
        share->count[bins[i]]++;
        share->sum[bins[i]] += outputs[i];
        squares += outputs[i] * outputs[i];
    }
    share->square_sum += squares;
}

void fl_share_merge(fl_share *into, const fl_share *from)
{
    for (size_t i = 0; i < FL_SHARE_BINS; i++) {
        into->count[i] += from->count[i];
        into->sum[i] += from->sum[i];
    }
    into->square_sum += from->square_sum;
}

/* Variance between the bins, S_b = sum n_i (m_i - m)^2, over the total; both by sums of squares,
 * which is why the outputs are given as differences from a base. */
double fl_share_value(const fl_share *share)
{
    double count = 0.0, sum = 0.0, between = 0.0, bins = 0.0;
    for (size_t i = 0; i < FL_SHARE_BINS; i++) {
        double own = (double)share->count[i];
        if (own == 0.0)
            continue;
        bins += 1.0;
        count += own;
        sum += share->sum[i];
        between += share->sum[i] * share->sum[i] / own;
    }
    if (count < LEAST_A_BIN * FL_SHARE_BINS)
        return (double)NAN;
    between -= sum * sum / count;
    double total = share->square_sum - sum * sum / count;
    if (!(total > ROUNDING * share->square_sum))
        return (double)NAN;
    /* [Pearson1911]'s correlation ratio, less what chance alone gives the bins: [Kelley1935]. */
    double within = (total - between) / (count - bins);
    return fmin(fmax((between - (bins - 1.0) * within) / total, 0.0), 1.0);
}
