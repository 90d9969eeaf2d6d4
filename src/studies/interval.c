/* Confidence intervals of a share of passes: exact, from groups, from replicates. */
#include <math.h>

#include "base/beta.h"
#include "studies/studies.h"

/* Halvings that take the interval from 0 to 1 below the last digit of any bound. */
enum { HALVINGS = 120 };

/* Where the upper tail of the beta distribution with a, b falls to share: by bisection, which needs
 * no derivative and ends on any function that falls. The end taken is the one outside. */
static double upper_tail(double share, double a, double b)
{
    double low = 0.0, high = 1.0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (low + high), below, above;
        if (middle <= low || middle >= high)
            break;
        fl_beta_shares(&below, &above, (const double[]){middle, 1.0 - middle}, a, b);
        if (above <= share)
            high = middle;
        else
            low = middle;
    }
    return high;
}

/* Where the lower tail rises to share. */
static double lower_tail(double share, double a, double b)
{
    double low = 0.0, high = 1.0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (low + high), below, above;
        if (middle <= low || middle >= high)
            break;
        fl_beta_shares(&below, &above, (const double[]){middle, 1.0 - middle}, a, b);
        if (below < share)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* The bounds are quantiles of beta distributions: with k of n passed, low of (k, n - k + 1) and
 * high of (k + 1, n - k), each with half of what the confidence leaves [Clopper1934]. */
static void exact(double *low, double *high, double passed, double trials, double confidence)
{
    double tail = 0.5 * (1.0 - confidence);
    *low = 0.0;
    *high = 1.0;
    if (passed > 0.0)
        *low = lower_tail(tail, passed, trials - passed + 1.0);
    if (passed < trials)
        *high = upper_tail(tail, passed + 1.0, trials - passed);
}

/* The counts of a run are exact as doubles up to 2^53, beyond any of them. */
void fl_interval_exact(double *low, double *high, uint64_t passed, uint64_t trials,
                       double confidence)
{
    exact(low, high, (double)passed, (double)trials, confidence);
}

/* Upper tail of Student's distribution: half the share of the beta distribution with n / 2 and 1 /
 * 2 below n / (n + t^2), n degrees of freedom [Johnson1995]. */
static double student_tail(double t, double freedom)
{
    double below, above;
    const double at[] = {freedom / (freedom + t * t), t * t / (freedom + t * t)};
    fl_beta_shares(&below, &above, at, 0.5 * freedom, 0.5);
    return 0.5 * below;
}

/* Where that tail is a share below a half: by bisection too. */
static double student(double share, double freedom)
{
    double low = 0.0, high = 1.0;
    while (student_tail(high, freedom) > share)
        high *= 2.0;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = 0.5 * (low + high);
        if (middle <= low || middle >= high)
            break;
        if (student_tail(middle, freedom) > share)
            low = middle;
        else
            high = middle;
    }
    return high;
}

/* n* v, where the variance v of groups is itself a guess from so many of them: p (1 - p) times the
 * square of Student's t of the trials over that of the groups [Korn1998]. */
static double trials_times_variance(const fl_grouped *grouped, double tail)
{
    const double groups = (double)grouped->groups, trials = (double)grouped->trials;
    const double ratio = student(tail, trials - 1.0) / student(tail, groups - 1.0);
    return ratio * ratio * grouped->share * (1.0 - grouped->share);
}

/* [Korn1998]: n* = p (1 - p) / v trials, less by the square of Student's t of the trials over that
 * of the groups, as v is itself a guess from so many groups. */
double fl_interval_grouped(double *low, double *high, const fl_grouped *grouped, double confidence)
{
    const double groups = (double)grouped->groups, trials = (double)grouped->trials;
    const double share = grouped->share, tail = 0.5 * (1.0 - confidence);
    double effective = groups;
    *low = 0.0;
    *high = 1.0;
    if (grouped->groups < 2)
        return 0.0;
    if (share > 0.0 && share < 1.0) {
        const double bound = trials_times_variance(grouped, tail);
        effective = bound < trials * grouped->variance ? bound / grouped->variance : trials;
    }
    exact(low, high, share * effective, effective, confidence);
    return effective;
}

/* Fewest passes and failures, of each replicate in the mean, from which the differences of the
 * replicates are trusted to be smaller than those of random samples. */
static const double least_each = 1.0;

/* The logarithm of a share that is a sum of weights is nearer to normal than the share, and keeps
 * the interval above 0; Student's t as the variance is itself a guess from so many failures. */
void fl_interval_weighted(double *low, double *high, const fl_weighted *weighted, double confidence)
{
    const double relative = weighted->error / weighted->share;
    const double spread = sqrt(log1p(relative * relative));
    const double freedom = fmax(weighted->effective - 1.0, 1.0);
    const double t = student(0.5 * (1.0 - confidence), freedom);
    *low = weighted->share * exp(-t * spread);
    *high = fmin(weighted->share * exp(t * spread), 1.0);
}

/* A count of passes is a whole number: a mean between two of them may show in no replicate. As if
 * one replicate in so many had another count by one. */
static const double step_variance = 1.0 / 8.0;

double fl_interval_replicated(double *low, double *high, const fl_grouped *replicates,
                              double confidence)
{
    const double groups = (double)replicates->groups, trials = (double)replicates->trials;
    const double share = replicates->share, tail = 0.5 * (1.0 - confidence);
    double effective = trials;
    *low = 0.0;
    *high = 1.0;
    if (replicates->groups < 2)
        return 0.0;
    if (share > 0.0 && share < 1.0) {
        const double least = step_variance * groups / (trials * trials);
        const double variance = fmax(replicates->variance, least);
        effective = trials_times_variance(replicates, tail) / variance;
        if (fmin(share, 1.0 - share) * trials < least_each * groups)
            effective = fmin(effective, trials);
    }
    exact(low, high, share * effective, effective, confidence);
    return effective;
}
