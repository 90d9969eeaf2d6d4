/* Multiples of a grid step, and the moves from one point of the lattice to its neighbours. */
#include "studies/search.h"

#include <math.h>

/* A step below 1e-22 or with more than nine digits is taken as it stands. */
enum { MOST_DECIMALS = 22 };
static const double most_digits = 1e9;

/* A multiple this share of a step beyond the range is at its end. */
static const double end_slack = 1e-9;

/* Neighbours in a full box, at most: without and with other unknowns to size at each of them. */
enum { BARE_BOX = 400, SIZED_BOX = 125, MOST_PAIRS = 5000 };

/* The step's digits times k, over a power of ten: both are exact up to 2^53 and 10^22, so that the
 * one division rounds to what the decimal text reads as; step * k often is the double beside it. */
double fl_grid_multiple(double step, double k)
{
    double power = 1.0;
    for (int decimals = 0; decimals <= MOST_DECIMALS; decimals++) {
        double digits = round(step * power);
        /* digits / power is one correctly rounded division: equal means it is that decimal */
        if (digits >= 1.0 && digits <= most_digits && digits / power == step &&
            fabs(digits * k) < 0x1p53)
            return digits * k / power;
        power *= 10.0;
    }
    return step * k;
}

/* A range end that is a multiple by its text may lie on either side of it as a double: the slack
 * takes it in, and the comparison that follows keeps values within the range exactly. */
bool fl_grid_range(double *first, double *last, double step, double low, double high)
{
    double from = ceil(low / step - end_slack);
    double to = floor(high / step + end_slack);
    if (fl_grid_multiple(step, from) < low)
        from += 1.0;
    if (fl_grid_multiple(step, to) > high)
        to -= 1.0;
    if (!(from <= to))
        return false;
    *first = from;
    *last = to;
    return true;
}

/* One step along each axis, both ways, and along each pair of axes, four ways. */
static size_t sparse_count(size_t axes)
{
    size_t pairs = 2 * axes * (axes - 1);
    return 2 * axes + (pairs <= MOST_PAIRS ? pairs : 0);
}

/* The widest box that can be afforded: values that make up for each other move many steps
 * together. */
fl_moves fl_moves_of(size_t axes, bool sizes_others)
{
    size_t limit = sizes_others ? SIZED_BOX : BARE_BOX;
    fl_moves moves = {.axes = axes, .radius = 0, .count = sparse_count(axes)};
    for (long radius = 1;; radius++) {
        double count = pow((double)(2 * radius + 1), (double)axes);
        if (axes == 0 || count > (double)limit)
            break;
        moves.radius = radius;
        moves.count = (size_t)count;
    }
    return moves;
}

/* The index written in a number system of base side. */
static void box_move(long *steps, const fl_moves *moves, size_t index)
{
    size_t side = (size_t)(2 * moves->radius + 1);
    for (size_t i = 0; i < moves->axes; i++) {
        steps[i] = (long)(index % side) - moves->radius;
        index /= side;
    }
}

/* With a box the index counts all its points, the middle too. Else the first moves are along one
 * axis each, then four for each pair of axes (a, b), a < b, in the order of a. */
void fl_move(long *steps, const fl_moves *moves, size_t index)
{
    if (moves->radius > 0) {
        box_move(steps, moves, index);
        return;
    }
    for (size_t i = 0; i < moves->axes; i++)
        steps[i] = 0;
    if (index < 2 * moves->axes) {
        steps[index / 2] = index % 2 == 0 ? -1 : 1;
        return;
    }
    size_t pair = (index - 2 * moves->axes) / 4, signs = (index - 2 * moves->axes) % 4;
    size_t a = 0;
    while (pair >= moves->axes - 1 - a) {
        pair -= moves->axes - 1 - a;
        a++;
    }
    steps[a] = signs % 2 == 0 ? -1 : 1;
    steps[a + 1 + pair] = signs / 2 == 0 ? -1 : 1;
}
