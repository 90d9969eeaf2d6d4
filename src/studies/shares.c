/* Shares of variance from given samples: how far the mean of the output follows one input. */
#include <math.h>
#include <string.h>

#include "studies/studies.h"

/* Fewer samples a bin than this, on average, say nothing. */
enum { LEAST_A_BIN = 4 };

/* Variance this far below the mean square is what rounding leaves of equal outputs. */
static const double ROUNDING = 1e-13;

/* Rounded as the operations on lanes round, and clamped before. */
size_t fl_share_bin(double sigmas)
{
    const double last = FL_SHARE_BINS - 1, place = FL_SHARE_BINS_PER_SIGMA * sigmas + 0.5 * last;
    return place > 0.0 ? (size_t)rint(fmin(place, last)) : 0;
}

void fl_share_add(fl_share *share, size_t bin, double output)
{
    share->bins[bin].sum += output;
    share->bins[bin].count += 1.0;
    share->square_sum += output * output;
}

/** Two doubles that are added at once. */
typedef double pair __attribute__((vector_size(16)));

/* One sample, of one input; twice: twice the bin, as the operations on lanes have it. Sum and count
 * lie side by side, so that one addition serves both. */
static inline void add_to_bin(fl_share *share, uint64_t twice, pair output)
{
    void *at = __builtin_assume_aligned(&share->bins[0].sum + (uint32_t)twice, sizeof(pair));
    pair own;
    memcpy(&own, at, sizeof own);
    own += output;
    memcpy(at, &own, sizeof own);
}

/* Four at a time: no bin then has to wait for the sample before it. */
void fl_share_add_many(fl_share *shares, size_t count, const uint64_t (*twice)[FL_LANES],
                       const fl_output *outputs, double square_sum)
{
    size_t share = 0;
    pair output;
    for (; share + 4 <= count; share += 4)
        for (size_t i = 0; i < FL_LANES; i++) {
            memcpy(&output, &outputs[i], sizeof output);
            for (size_t k = 0; k < 4; k++)
                add_to_bin(&shares[share + k], twice[share + k][i], output);
        }
    for (; share < count; share++)
        for (size_t i = 0; i < FL_LANES; i++) {
            memcpy(&output, &outputs[i], sizeof output);
            add_to_bin(&shares[share], twice[share][i], output);
        }
    for (size_t i = 0; i < count; i++)
        shares[i].square_sum += square_sum;
}

void fl_share_merge(fl_share *into, const fl_share *from)
{
    for (size_t i = 0; i < FL_SHARE_BINS; i++) {
        into->bins[i].sum += from->bins[i].sum;
        into->bins[i].count += from->bins[i].count;
    }
    into->square_sum += from->square_sum;
}

/* Variance between the bins, S_b = sum n_i (m_i - m)^2, over the total; both by sums of squares,
 * which is why the outputs are given as differences from a base. */
double fl_share_value(const fl_share *share)
{
    double count = 0.0, sum = 0.0, between = 0.0, bins = 0.0;
    for (size_t i = 0; i < FL_SHARE_BINS; i++) {
        const double own = share->bins[i].count, outputs = share->bins[i].sum;
        if (own == 0.0)
            continue;
        bins += 1.0;
        count += own;
        sum += outputs;
        between += outputs * outputs / own;
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
