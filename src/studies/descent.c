/* Descents to local minima of the worst figure, one or many side by side.
 *
 * The minimax problem in its epigraph form: min t over (x, t), figure_i(x) / scale - t <= 0, by
 * sequential quadratic programming [Kraft1988] in the library of [Johnson2007]. The figures are
 * smooth where the match is perfect, which decibels are not. x is in the unit box. */
#include "studies/search.h"

#include <math.h>
#include <nlopt.h>
#include <omp.h>
#include <stdlib.h>
#include <string.h>

/* Figures are divided by that of the point where a round began, so that 1 is "as good as there". No
 * constraint is worth more than this, which stands for values that are not physical too. */
static const double far_off = 1e6;

/* A figure below this, a margin of 160 dB, is a perfect match to all digits that count. */
static const double perfect = 1e-16;

/* A share of a range this near to 0 or 1 is the end of the range but for rounding. */
static const double at_end = 1e-14;

/* A round that gains less than this share of the figure is the last. */
static const double least_gain = 1e-10;

/* Entries computed between two questions for progress. */
enum { ENTRIES_BETWEEN_ASKING = 4096 };

/* What the callbacks of one round see. */
typedef struct fl_round {
    const fl_descent *descent;
    fl_walker *walker;
    nlopt_opt solver;
    size_t moving; /* how many unknowns move */
    size_t constraints;
    double scale;      /* figure of the point where the round began */
    double figure;     /* of walker->best */
    int asking, turns; /* progress is asked every so many evaluations */
} fl_round;

/* The objective is the last unknown, the bound t itself. */
static double objective(unsigned n, const double *point, double *gradient, void *data)
{
    (void)data;
    if (gradient != NULL) {
        memset(gradient, 0, n * sizeof *gradient);
        gradient[n - 1] = 1.0;
    }
    return point[n - 1];
}

/* The solver may hand out points that are not numbers; they must not reach the models. */
static bool all_finite(const double *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(numbers[i]))
            return false;
    return true;
}

/* From the unit box to quantities, the ends of a range exactly. */
static void set_moving(const fl_round *round, const double *point)
{
    const fl_search *search = round->descent->probe->search;
    for (size_t j = 0; j < round->moving; j++) {
        size_t i = round->walker->moving[j];
        double low = search->low[i], high = search->high[i];
        double value = low + point[j] * (high - low);
        if (point[j] <= at_end)
            value = low;
        else if (point[j] >= 1.0 - at_end || value > high)
            value = high;
        round->walker->quantities[search->unknowns[i]] = value;
    }
}

/* Derivatives cost a second march: only where the solver wants them. */
static bool respond(const fl_round *round, bool with_gradient)
{
    fl_walker *walker = round->walker;
    const fl_probe *probe = round->descent->probe;
    walker->evaluations++;
    if (!with_gradient)
        return fl_margins_power(probe->margins, walker->work, walker->quantities, walker->power);
    const fl_unknowns unknowns = {walker->indices, round->moving};
    return fl_margins_gradient(probe->margins, walker->work, walker->quantities, &unknowns,
                               walker->power, walker->gradient);
}

/* Nothing is known here but that it is no place to be: every figure is far off and flat, so that
 * the solver's line search turns back. */
static void refuse(double *result, double *gradient, size_t constraints, size_t n, double bound)
{
    for (size_t i = 0; i < constraints; i++)
        result[i] = far_off - bound;
    if (gradient == NULL)
        return;
    memset(gradient, 0, constraints * n * sizeof *gradient);
    for (size_t i = 0; i < constraints; i++)
        gradient[i * n + n - 1] = -1.0;
}

/* The point looked at, not the one the solver ends at: held unknowns are in the walker's quantities
 * too, from the first look of the descent. */
static void keep_best(fl_round *round, double figure)
{
    const fl_search *search = round->descent->probe->search;
    if (!(figure < round->figure))
        return;
    round->figure = figure;
    for (size_t i = 0; i < search->count; i++)
        round->walker->best[i] = round->walker->quantities[search->unknowns[i]];
}

/* Asking may cost more than a small response: every so many entries is enough. */
static bool asked_to_stop(fl_round *round)
{
    fl_search *search = round->descent->probe->search;
    if (++round->turns % round->asking == 0)
        return fl_search_ask(search);
    return fl_search_stopped(search);
}

/* Figures of all entries, and their slopes by the power. Returns the worst figure; HUGE_VAL when
 * one is not finite. */
static double fill_figures(const fl_round *round)
{
    const fl_probe *probe = round->descent->probe;
    fl_walker *walker = round->walker;
    size_t count = 0;
    const fl_run *runs = fl_margins_runs(probe->margins, &count);
    double worst = 0.0;
    for (size_t i = 0; i < count; i++) {
        const size_t first = runs[i].first;
        fl_margin_figures(fl_probe_asked(probe, &runs[i]), walker->power + first, runs[i].count,
                          walker->figures + first, walker->slopes + first);
    }
    for (size_t i = 0; i < probe->entry_count; i++)
        worst = walker->figures[i] > worst ? walker->figures[i] : worst;
    return isfinite(worst) ? worst : HUGE_VAL;
}

/* Two of a whole stretch, and of what is left at the end of a run. */
static size_t stretch_of(const fl_descent *descent)
{
    return descent->stretch > 2 ? descent->stretch : 2;
}

static size_t count_constraints(const fl_descent *descent)
{
    const size_t stretch = stretch_of(descent);
    size_t count = 0, constraints = 0;
    const fl_run *runs = fl_margins_runs(descent->probe->margins, &count);
    for (size_t r = 0; r < count; r++) {
        const size_t left = runs[r].count % stretch;
        constraints += runs[r].count / stretch * 2 + (left < 2 ? left : 2);
    }
    return constraints;
}

/* The worst of every other entry from first on. */
static size_t worst_of(const double *figures, size_t first, size_t end)
{
    size_t worst = first;
    for (size_t k = first + 2; k < end; k += 2)
        if (figures[k] > figures[worst])
            worst = k;
    return worst;
}

/* Chooses the entries of the constraints by the figures. */
static void choose_seen(const fl_round *round)
{
    const size_t stretch = stretch_of(round->descent);
    fl_walker *walker = round->walker;
    size_t count = 0, seen = 0;
    const fl_run *runs = fl_margins_runs(round->descent->probe->margins, &count);
    for (size_t r = 0; r < count; r++) {
        const size_t end = runs[r].first + runs[r].count;
        for (size_t begin = runs[r].first; begin < end; begin += stretch) {
            const size_t last = begin + stretch < end ? begin + stretch : end;
            for (size_t first = begin; first < last && first < begin + 2; first++)
                walker->seen[seen++] = worst_of(walker->figures, first, last);
        }
    }
}

/* Figure / scale - t of every constraint. What is beyond counts as far off, and is flat. */
static void fill_results(double *result, const fl_round *round, double bound)
{
    fl_walker *walker = round->walker;
    for (size_t k = 0; k < round->constraints; k++) {
        const size_t entry = walker->seen[k];
        const bool beyond = walker->figures[entry] > far_off * round->scale;
        result[k] = (beyond ? far_off : walker->figures[entry] / round->scale) - bound;
        walker->slopes[entry] = beyond ? 0.0 : walker->slopes[entry];
    }
}

/* By the chain rule from the unit box through quantity and power to the scaled figure, a row a
 * constraint; the bound's own column is -1. A slope that is not finite tells no direction and is
 * taken as none. */
static void fill_gradient(double *gradient, const fl_round *round)
{
    const fl_walker *walker = round->walker;
    const fl_search *search = round->descent->probe->search;
    const size_t n = round->moving + 1, entries = round->descent->probe->entry_count;
    for (size_t j = 0; j < round->moving; j++) {
        const size_t i = walker->moving[j];
        const double *partials = walker->gradient + j * entries;
        const double range = (search->high[i] - search->low[i]) / round->scale;
        for (size_t k = 0; k < round->constraints; k++) {
            const size_t entry = walker->seen[k];
            const double step = walker->slopes[entry] * partials[entry] * range;
            gradient[k * n + j] = isfinite(step) ? step : 0.0;
        }
    }
    for (size_t k = 0; k < round->constraints; k++)
        gradient[k * n + round->moving] = -1.0;
}

/* One response serves all constraints and their gradients. A stop is only noted by the solver,
 * which may ask on: each further point is refused without a response. */
static void constrain(unsigned constraints, double *result, unsigned n, const double *point,
                      double *gradient, void *data)
{
    fl_round *round = data;
    bool well = all_finite(point, n);
    if (!well || asked_to_stop(round)) {
        nlopt_force_stop(round->solver);
        refuse(result, gradient, constraints, n, well ? point[n - 1] : 0.0);
        return;
    }
    set_moving(round, point);
    const double figure = respond(round, gradient != NULL) ? fill_figures(round) : HUGE_VAL;
    if (!isfinite(figure)) {
        refuse(result, gradient, constraints, n, point[n - 1]);
        return;
    }
    choose_seen(round);
    fill_results(result, round, point[n - 1]);
    if (gradient != NULL)
        fill_gradient(gradient, round);
    keep_best(round, figure);
}

/* The unit box of the moving unknowns and the bound t; the point in it. t begins at 1, the scaled
 * figure of the point itself, so that the solver starts from a feasible point; it ends at 0, below
 * which no figure goes. */
static void set_box(const fl_round *round, const double *values)
{
    const fl_search *search = round->descent->probe->search;
    fl_walker *walker = round->walker;
    size_t n = round->moving + 1;
    for (size_t j = 0; j < round->moving; j++) {
        size_t i = walker->moving[j];
        double share = (values[i] - search->low[i]) / (search->high[i] - search->low[i]);
        walker->point[j] = fmin(fmax(share, 0.0), 1.0);
        walker->bounds[j] = 0.0;
        walker->bounds[n + j] = 1.0;
    }
    walker->point[n - 1] = 1.0;
    walker->bounds[n - 1] = 0.0;
    walker->bounds[2 * n - 1] = 2.0 * far_off;
}

/* A box of no width would be an error of the design, which the reader has refused. Constraints may
 * be missed by the tolerance of the point: figures are about 1. */
static bool set_up(fl_round *round)
{
    const fl_descent *descent = round->descent;
    fl_walker *walker = round->walker;
    nlopt_opt solver = round->solver;
    unsigned constraints = (unsigned)round->constraints;
    size_t n = round->moving + 1;
    for (unsigned i = 0; i < constraints; i++)
        walker->slack[i] = descent->tolerance;
    return nlopt_set_lower_bounds(solver, walker->bounds) >= 0 &&
           nlopt_set_upper_bounds(solver, walker->bounds + n) >= 0 &&
           nlopt_set_min_objective(solver, objective, NULL) >= 0 &&
           nlopt_set_xtol_rel(solver, descent->tolerance) >= 0 &&
           nlopt_set_maxeval(solver, descent->evaluations) >= 0 &&
           nlopt_add_inequality_mconstraint(solver, constraints, constrain, round, walker->slack) >=
               0;
}

/* The solver's own verdict tells nothing of the point it stopped at: the callback keeps the best
 * point by what its response truly is. */
static fl_status run_round(fl_round *round, const double *values)
{
    double bound = 0.0;
    round->solver = nlopt_create(NLOPT_LD_SLSQP, (unsigned)round->moving + 1);
    if (round->solver == NULL)
        return FL_NO_MEMORY;
    set_box(round, values);
    nlopt_result verdict = NLOPT_OUT_OF_MEMORY;
    if (set_up(round))
        verdict = nlopt_optimize(round->solver, round->walker->point, &bound);
    nlopt_destroy(round->solver);
    return verdict == NLOPT_OUT_OF_MEMORY ? FL_NO_MEMORY : FL_OK;
}

/* Held unknowns are no unknowns of the solver at all: it is faster with few. */
static size_t choose_moving(fl_walker *walker, const fl_descent *descent)
{
    const fl_search *search = descent->probe->search;
    size_t count = 0;
    for (size_t i = 0; i < search->count; i++) {
        if (descent->held != NULL && descent->held[i])
            continue;
        walker->moving[count] = i;
        walker->indices[count] = search->unknowns[i];
        count++;
    }
    return count;
}

/* Each round begins at the best point so far, scaled anew: near the minimum the figures are then
 * about 1 again, and the solver's tolerances mean what they say. */
fl_status fl_descend(const fl_descent *descent, fl_walker *walker, double *values, double *figure)
{
    const fl_probe *probe = descent->probe;
    size_t bytes = probe->search->count * sizeof *values;
    fl_round round = {.descent = descent, .walker = walker};
    fl_status status = FL_OK;
    round.asking = 1 + (int)(ENTRIES_BETWEEN_ASKING / (probe->entry_count + 1));
    round.moving = choose_moving(walker, descent);
    round.constraints = count_constraints(descent);
    round.figure = fl_probe_figure(probe, walker, values);
    memcpy(walker->best, values, bytes);
    for (int i = 0; i < descent->rounds && round.moving > 0 && status == FL_OK; i++) {
        double before = round.figure;
        if (!(before > perfect) || !isfinite(before))
            break;
        round.scale = before;
        status = run_round(&round, values);
        memcpy(values, walker->best, bytes);
        bool gained = round.figure < before * (1.0 - least_gain);
        if (!gained || fl_search_stopped(probe->search))
            break;
    }
    *figure = round.figure;
    return status;
}
