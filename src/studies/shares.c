/* Shares of variance from given samples: how far the mean of the output follows one input. */
#include <math.h>

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
