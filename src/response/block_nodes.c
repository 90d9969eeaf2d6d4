/* How many frequencies of a band give the powers on its whole grid.
 *
 * V and I at the driven port are smooth in frequency (entire functions, but for the poles of stubs
 * and lossy elements), and so are |V + Z I|^2 and |V - Z* I|^2: a polynomial through Chebyshev's
 * points of the band converges geometrically [Trefethen2013]. Their quotient, the power, would need
 * more points, since it has the poles of the whole circuit. */
#include <math.h>
#include <string.h>

#include "response/block.h"

/* Numbers of nodes that are tried, below the grid's own number. */
static const size_t ladder[] = {3,  4,  5,  6,  7,  8,  10, 12,
                                14, 17, 20, 24, 29, 35, 42, FL_MOST_NODES};

/* Allowed error of a power, relative to the worst one: 2e-7 dB, a fifth of the width about a limit
 * within which the studies ask again. */
static const double allowed = 4.6e-8;

/* Far below a limit the error counts relative to a share of the limit. */
static const double limit_share = 0.1, implied_share = 1e-3;

/* However well trials agree, samples are not rougher than them by more than this. */
static const double most_room = 10.0;

/* Points of the band that lie close at its ends, where a polynomial would else swing. */
static void chebyshev(double *frequencies, const fl_sweep *grid, size_t count)
{
    const double low = grid->frequencies[0];
    const double high = grid->frequencies[grid->lanes.count - 1];
    for (size_t k = 0; k < count; k++) {
        const double place = -cos(acos(-1.0) * ((double)k + 0.5) / (double)count);
        frequencies[k] = 0.5 * (low + high) + 0.5 * (high - low) * place;
    }
}

/* Lagrange's weight of a node at a frequency. */
static double weight_of(const double *nodes, size_t count, size_t node, double frequency)
{
    double weight = 1.0;
    for (size_t k = 0; k < count; k++)
        if (k != node)
            weight *= (frequency - nodes[k]) / (nodes[node] - nodes[k]);
    return weight;
}

/* Where the weights of a point of the lower half and a pair of nodes are in the matrix. */
static size_t place_of(size_t count, size_t point, size_t pair)
{
    return (point / 2 * ((count + 1) / 2) + pair) * 4 + point % 2;
}

/* Sum and difference of the weights that two nodes have at a point, since those at the opposite
 * point are the same by turns. A middle node is alone. */
static fl_status take_matrix(fl_block_sweep *own, const fl_sweep *grid, fl_error *error)
{
    const size_t count = own->nodes.count, pairs = (count + 1) / 2, last = own->points - 1;
    const size_t rows = (own->points + 3) / 4 * 2;
    double *matrix = fl_arena_take(&own->arena, rows * pairs * 2, sizeof *matrix);
    if (matrix == NULL)
        return fl_fail_memory(error);
    for (size_t row = 0; row < rows; row++) {
        const double frequency = grid->frequencies[row <= last ? row : last];
        for (size_t h = 0; h < pairs; h++) {
            const double low = weight_of(own->sweep->frequencies, count, h, frequency);
            const double high = weight_of(own->sweep->frequencies, count, count - 1 - h, frequency);
            const bool alone = 2 * h + 1 == count;
            matrix[place_of(count, row, h)] = alone ? low : 0.5 * (low + high);
            matrix[place_of(count, row, h) + 2] = alone ? 0.0 : 0.5 * (low - high);
        }
    }
    own->matrix = matrix;
    return FL_OK;
}

/* Weight of a pair of nodes in a coefficient of Chebyshev's series through all [Trefethen2013]. The
 * low node of a pair is at the low end, where cos is -1. */
static double coefficient_weight(size_t count, size_t coefficient, size_t pair)
{
    const double angle = acos(-1.0) * (1.0 - ((double)pair + 0.5) / (double)count);
    return 2.0 / (double)count * cos((double)coefficient * angle);
}

/* Rows of coefficients 2 to the highest. */
static fl_status take_bends(fl_block_sweep *own, fl_error *error)
{
    const size_t count = own->nodes.count, pairs = (count + 1) / 2;
    double *bends = fl_arena_take(&own->arena, (count - 2) * pairs, sizeof *bends);
    double *highest = fl_arena_take(&own->arena, pairs, sizeof *highest);
    if (bends == NULL || highest == NULL)
        return fl_fail_memory(error);
    for (size_t h = 0; h < pairs; h++) {
        for (size_t k = 2; k < count; k++) {
            const double square = (double)(k * k);
            bends[(k - 2) * pairs + h] =
                coefficient_weight(count, k, h) * (k == 2 ? 4.0 : square * (square - 1.0) / 3.0);
        }
        highest[h] = coefficient_weight(count, count - 1, h);
    }
    own->bends = bends;
    own->highest = highest;
    return FL_OK;
}

/* Highest coefficient of one lane, in size. */
static double highest_of(const fl_block_sweep *own, const double *rows, size_t lane)
{
    const size_t count = own->nodes.count;
    double sum = 0.0;
    for (size_t h = 0; h < (count + 1) / 2; h++) {
        const double low = rows[h * FL_LANES + lane];
        const double high = rows[(count - 1 - h) * FL_LANES + lane];
        const double both = 2 * h + 1 == count ? low : low + high;
        sum += own->highest[h] * (count % 2 == 1 ? both : low - high);
    }
    return fabs(sum);
}

/* The trials that agree show how rough a sample may be, from squared waves that are divided by what
 * arrives. */
static double roughest(const fl_block_sweep *own, const fl_choice *choice,
                       const fl_block_work *work, bool reflected)
{
    double most = 0.0;
    for (size_t lane = 0; lane < choice->trials->count; lane++) {
        if (!choice->fit[lane] || work->worst.doubtful[lane])
            continue;
        double least = HUGE_VAL, rough = highest_of(own, work->arrived, lane);
        for (size_t n = 0; n < own->nodes.count; n++)
            least = fmin(least, work->arrived[n * FL_LANES + lane]);
        if (reflected)
            rough += highest_of(own, work->reflected, lane);
        most = fmax(most, rough / least);
    }
    return most;
}

/* Value of one lane at a point of the grid. */
static double at_point(const fl_block_sweep *own, const double *rows, size_t point, size_t lane)
{
    const size_t count = own->nodes.count, opposite = own->points - 1 - point;
    const size_t row = point < opposite ? point : opposite;
    double sum = 0.0;
    for (size_t h = 0; h < (count + 1) / 2; h++) {
        const double *weights = own->matrix + place_of(count, row, h);
        const double low = rows[h * FL_LANES + lane];
        const double high = rows[(count - 1 - h) * FL_LANES + lane];
        const double even = 2 * h + 1 == count ? low : low + high, odd = low - high;
        sum += weights[0] * even + (row == point ? weights[2] : -weights[2]) * odd;
    }
    return sum;
}

/* Largest error of the powers of one run of one trial, as a share of what is allowed. */
static double error_of(const fl_block_sweep *own, const fl_choice *choice, size_t run, size_t lane,
                       const fl_block_work *work)
{
    const fl_margins *margins = choice->margins;
    const fl_run *asked = &margins->runs[run];
    const fl_run_source *source = &margins->sources[run];
    const fl_requirement *requirement = &margins->design->requirements[asked->requirement];
    const double *reference = choice->reference + lane * margins->entry_count;
    const double worst = reference[fl_run_worst(asked, requirement, reference).entry];
    const double limit = pow(10.0, -0.1 * requirement->limit_db);
    const double share = requirement->implied ? implied_share : limit_share;
    double error = 0.0;
    for (size_t i = 0; i < asked->count; i++) {
        const double bottom = at_point(own, work->arrived, i, lane);
        const double top = source->reflected ? at_point(own, work->reflected, i, lane)
                                             : own->scale[source->port][i];
        const double here = fabs(top / bottom - reference[asked->first + i]);
        if (!(here <= error))
            error = isfinite(here) ? here : HUGE_VAL;
    }
    return error / (allowed * fmax(worst, share * limit));
}

/* Of all runs at a port. Trials that are not physical say nothing about frequency. */
static double port_error(const fl_block_sweep *own, const fl_choice *choice, size_t index, int port,
                         const fl_block_work *work)
{
    double error = 0.0;
    for (size_t run = 0; run < choice->margins->run_count; run++) {
        const fl_run_source *source = &choice->margins->sources[run];
        if (source->sweep != index || source->port != port)
            continue;
        for (size_t lane = 0; lane < choice->trials->count; lane++)
            if (choice->fit[lane] && !work->worst.doubtful[lane])
                error = fmax(error, error_of(own, choice, run, lane, work));
    }
    return error;
}

/* The error grows with the roughness: where trials are far within what is allowed, samples may be
 * rougher than they, up to half of it. A little more is for rounding, as samples may be trials. */
static double room_for(double error)
{
    return fmin(fmax(0.5 / error, 1.001), most_room);
}

/* Marches the trials and compares. */
static fl_status judge(bool *good, fl_block_sweep *own, const fl_choice *choice, size_t index,
                       fl_error *error)
{
    fl_block_work *work = NULL;
    fl_block_room room = {.runs = choice->margins->run_count};
    fl_block_room_add(&room, own);
    const fl_status status = fl_block_work_take(&work, &room, error);
    if (status != FL_OK)
        return status;
    fl_block_lay(own, work);
    fl_block_values(own, choice->vector, work, choice->trials->quantities);
    *good = true;
    for (int port = 0; *good && port < FL_PORTS; port++) {
        if (!choice->margins->driven[index * FL_PORTS + (size_t)port])
            continue;
        fl_block_march(own, choice->vector, work, port);
        const double off = port_error(own, choice, index, port, work);
        *good = off <= 1.0;
        for (int reflected = 0; reflected < 2; reflected++)
            own->roughest[port][reflected] =
                room_for(off) * roughest(own, choice, work, reflected != 0);
    }
    fl_block_work_free(work);
    return FL_OK;
}

/* With so many nodes; *own stays NULL when they are too few. */
static fl_status attempt(fl_block_sweep **own, const fl_choice *choice, size_t index, size_t count,
                         fl_error *error)
{
    double frequencies[FL_MOST_NODES];
    const fl_sweep *sweep = choice->margins->sweeps[index];
    const fl_grid nodes = {frequencies, count};
    fl_block_sweep *made = NULL;
    bool good = false;
    chebyshev(frequencies, sweep, count);
    fl_status status =
        fl_block_sweep_new(&made, choice->margins, index, &nodes, choice->trials->nominal, error);
    if (status != FL_OK || made == NULL)
        return status;
    status = take_matrix(made, sweep, error);
    if (status == FL_OK)
        status = take_bends(made, error);
    if (status == FL_OK)
        status = judge(&good, made, choice, index, error);
    if (good && status == FL_OK)
        *own = made;
    else
        fl_block_sweep_free(made);
    return status;
}

/* Near the grid's own number interpolation saves less than it costs. */
fl_status fl_block_sweep_choose(fl_block_sweep **own, const fl_choice *choice, size_t index,
                                fl_error *error)
{
    const fl_sweep *sweep = choice->margins->sweeps[index];
    const fl_grid whole = {sweep->frequencies, sweep->lanes.count};
    fl_block_sweep *made = NULL;
    for (size_t i = 0; choice->reference != NULL && i < sizeof ladder / sizeof *ladder; i++) {
        if (4 * ladder[i] > 3 * whole.count)
            break;
        const fl_status status = attempt(&made, choice, index, ladder[i], error);
        if (status != FL_OK)
            return status;
        if (made != NULL) {
            *own = made;
            return FL_OK;
        }
    }
    return fl_block_sweep_new(own, choice->margins, index, &whole, choice->trials->nominal, error);
}
