/* When a run with a precision looks at its interval, and what certainty one look has. */
#include <math.h>

#include "studies/tally.h"

/* Looks grow by this: nearer ones would stop sooner, but each must be more certain. Of 1.25, 1.5
 * and 2 it takes the fewest samples. */
static const double growth = 1.5;

/* Lots before the first look: a variance from fewer is a guess. */
enum { LEAST_LOTS = 20 };

/* Looks are at multiples of this, or of whole lots. */
enum { STEP = 256 };

static uint64_t round_up(double samples, uint64_t step)
{
    return (uint64_t)fmax(ceil(samples / (double)step), 1.0) * step;
}

/* Before this many samples no look can be the last: the narrowest interval is that of a run in
 * which all pass, 1 - (tail)^(1/n), twice the half-width. */
static uint64_t first_look(const fl_looks *looks)
{
    const double tail = 0.5 * (1.0 - looks->confidence);
    return round_up(log(tail) / log1p(-2.0 * looks->precision), looks->step);
}

uint64_t fl_looks_next(const fl_looks *looks, uint64_t samples)
{
    uint64_t look = looks->first;
    while (look <= samples && look < looks->most)
        look = round_up(growth * (double)look, looks->step);
    return look < looks->most ? look : looks->most;
}

static size_t count_looks(const fl_looks *looks)
{
    size_t count = 0;
    for (uint64_t at = 0; at < looks->most; at = fl_looks_next(looks, at))
        count++;
    return count;
}

/* What may be missed is shared evenly, by Bonferroni's inequality [Dunn1961]: of K looks each may
 * miss g / K. More certain looks begin later, so that there are never more of them than were
 * counted on. */
void fl_looks_plan(fl_looks *looks, const fl_study *study)
{
    const uint64_t lot = fl_plan_dice(&study->plan);
    const double missed = 1.0 - study->design->confidence;
    *looks = (fl_looks){.precision = study->precision,
                        .confidence = study->design->confidence,
                        .step = lot > 0 ? lot : STEP,
                        .most = study->samples,
                        .first = study->samples};
    if (looks->precision <= 0.0)
        return;
    for (size_t planned = 0; planned < looks->count || planned == 0;) {
        planned = looks->count > 0 ? looks->count : 1;
        looks->confidence = 1.0 - missed / (double)planned;
        looks->first = first_look(looks);
        if (lot > 0 && looks->first < LEAST_LOTS * lot)
            looks->first = LEAST_LOTS * lot;
        looks->count = count_looks(looks);
    }
}
