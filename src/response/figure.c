/* From power to decibel, margin and the smooth figure that sizing makes small. */
#include <math.h>

#include "response/response.h"

/* Powers below this are a perfect match, or nothing let through, for all we know. */
static const double least_power = 1e-20; /* FL_CEILING_DB */

/* Keeps logarithms finite and the ceiling a ceiling. */
static double floored(double power)
{
    return power > least_power ? power : least_power;
}

double fl_loss_db(double power)
{
    return -10.0 * log10(floored(power));
}

/* A power above a limit "at most" is a loss below it: the sign turns. */
double fl_margin_db(const fl_requirement *requirement, double power)
{
    const double over = fl_loss_db(power) - requirement->limit_db;
    return requirement->weight * (requirement->at_least ? over : -over);
}

bool fl_margin_met(double margin_db)
{
    return margin_db >= -FL_MARGIN_ROOM_DB;
}

/* By squares, which takes fewer products than the exponent has digits, twice. */
static double whole_power(double x, unsigned exponent)
{
    double power = exponent % 2 == 1 ? x : 1.0;
    while (exponent /= 2) {
        x *= x;
        power *= exponent % 2 == 1 ? x : 1.0;
    }
    return power;
}

/* Weights are most often 1 or small whole numbers, which need no logarithm. */
static void weigh(double *figures, size_t count, double weight)
{
    static const double most_whole = 64.0;
    const bool whole = weight == floor(weight) && weight <= most_whole;
    for (size_t i = 0; i < count && weight != 1.0; i++)
        figures[i] = whole ? whole_power(figures[i], (unsigned)weight) : pow(figures[i], weight);
}

/* What exceeds the limit: over 1 where the margin is negative. */
FL_WIDE static void take_ratios(double *ratios, const double *power, size_t count, double limit,
                                bool at_least)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double ratio = floored(power[i]) * limit;
        ratios[i] = at_least ? ratio : 1.0 / ratio;
    }
}

FL_WIDE static void take_slopes(double *slopes, const double *figures, const double *power,
                                size_t count, double times)
{
#pragma omp simd
    for (size_t i = 0; i < count; i++) {
        const double slope = times * figures[i] / power[i];
        slopes[i] = power[i] > least_power ? slope : 0.0;
    }
}

/* With L the limit and s the sign, the figure is (power 10^(L / 10))^(s weight), so that its
 * derivative is s weight figure / power. Below the floor the figure stands still. */
void fl_margin_figures(const fl_requirement *requirement, const double *power, size_t count,
                       double *figures, double *slopes)
{
    const bool at_least = requirement->at_least;
    const double weight = requirement->weight;
    take_ratios(figures, power, count, pow(10.0, 0.1 * requirement->limit_db), at_least);
    weigh(figures, count, weight);
    if (slopes != NULL)
        take_slopes(slopes, figures, power, count, at_least ? weight : -weight);
}

double fl_margin_figure(const fl_requirement *requirement, double power, double *slope)
{
    double figure;
    fl_margin_figures(requirement, &power, 1, &figure, slope);
    return figure;
}

/* The margin rises with the power or falls with it, so the worst is an extreme of the power. */
size_t fl_run_worst_entry(const fl_run *run, const fl_requirement *requirement, const double *power)
{
    const double sign = requirement->at_least ? 1.0 : -1.0;
    size_t worst = run->first;
    for (size_t entry = run->first + 1; entry < run->first + run->count; entry++)
        if (sign * power[entry] > sign * power[worst])
            worst = entry;
    return worst;
}

fl_worst fl_run_worst(const fl_run *run, const fl_requirement *requirement, const double *power)
{
    const size_t worst = fl_run_worst_entry(run, requirement, power);
    return (fl_worst){.entry = worst,
                      .frequency = run->frequencies[worst - run->first],
                      .value_db = fl_loss_db(power[worst]),
                      .margin_db = fl_margin_db(requirement, power[worst])};
}

/* Among equals the first run wins. */
fl_worst fl_margins_worst(const fl_margins *margins, const fl_design *design, const double *power,
                          size_t *run)
{
    size_t count = 0;
    const fl_run *runs = fl_margins_runs(margins, &count);
    fl_worst worst = {.margin_db = HUGE_VAL};
    for (size_t i = 0; i < count; i++) {
        const fl_worst here =
            fl_run_worst(&runs[i], &design->requirements[runs[i].requirement], power);
        if (here.margin_db < worst.margin_db) {
            worst = here;
            if (run != NULL)
                *run = i;
        }
    }
    return worst;
}

/* The last point is set and not summed, so that both ends are hit exactly. */
void fl_band_grid(double *frequencies, const fl_band *band, size_t points)
{
    const double step = (band->high - band->low) / (double)(points - 1);
    for (size_t i = 0; i < points; i++)
        frequencies[i] = band->low + step * (double)i;
    frequencies[points - 1] = band->high;
}

fl_grid *fl_band_grids(fl_arena *arena, const fl_design *design, size_t points)
{
    fl_grid *grids = fl_arena_take(arena, design->band_count, sizeof *grids);
    for (size_t i = 0; grids != NULL && i < design->band_count; i++) {
        double *frequencies = fl_arena_take(arena, points, sizeof *frequencies);
        if (frequencies == NULL)
            return NULL;
        fl_band_grid(frequencies, &design->bands[i], points);
        grids[i] = (fl_grid){frequencies, points};
    }
    return grids;
}
