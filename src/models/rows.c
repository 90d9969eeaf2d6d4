/* Rows of parameters: those that vary lane by lane, those that do not once for all. */
#include "models/rows.h"

#include <math.h>
#include <string.h>

/* The loops by themselves, so that they are compiled for several widths. */
FL_WIDE static void fill(double *to, double value)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = value;
}

FL_WIDE static void scale(double *to, const double *from, double times)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = from[i] * times;
}

FL_WIDE static void multiply(double *to, const double *a, const double *b, double times)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = a[i] * b[i] * times;
}

FL_WIDE static void take_roots(double *to, const double *from)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = sqrt(from[i]);
}

FL_WIDE static void invert(double *to, const double *from)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = 1.0 / from[i];
}

/* Lanes that break the rule of the divisor keep what is there: they are marked elsewhere. */
FL_WIDE static void divide(double *to, const double *from, const double *by, double times)
{
    for (size_t i = 0; i < FL_LANES; i++)
        to[i] = by[i] > 0.0 ? from[i] * times / by[i] : to[i];
}

/* Hardly ever is there one. */
FL_WIDE static bool any_over(const double *row, double limit)
{
    uint64_t over = 0;
    for (size_t i = 0; i < FL_LANES; i++)
        over |= row[i] > limit ? UINT64_MAX : 0;
    return over != 0;
}

void fl_row_copy(double *to, const fl_row *from)
{
    if (from->same)
        fill(to, from->at[0]);
    else
        memcpy(to, from->at, FL_LANES * sizeof *to);
}

/* Four ways, so that what is the same is not read, nor multiplied, in every lane. */
void fl_row_product(double *to, const fl_row *a, const fl_row *b, double times)
{
    if (a->same && b->same)
        fill(to, a->at[0] * b->at[0] * times);
    else if (a->same)
        scale(to, b->at, a->at[0] * times);
    else if (b->same)
        scale(to, a->at, b->at[0] * times);
    else
        multiply(to, a->at, b->at, times);
}

/* Of the permittivity of most lines: it does not vary. */
fl_row fl_row_root(double *room, const fl_row *from)
{
    if (from->same)
        room[0] = sqrt(from->at[0]);
    else
        take_roots(room, from->at);
    return (fl_row){room, from->same};
}

/* A division takes as long as a dozen products. */
fl_row fl_row_inverse(double *room, const fl_row *from)
{
    if (from->same)
        room[0] = 1.0 / from->at[0];
    else
        invert(room, from->at);
    return (fl_row){room, from->same};
}

/* Hardly ever does the divisor vary: then all is done lane by lane. */
void fl_row_divide(double *to, const fl_row *from, const fl_row *by, double times)
{
    double full[2][FL_LANES];
    if (by->same && by->at[0] > 0.0) {
        const double share = times / by->at[0];
        fl_row_product(to, from, &(fl_row){&share, true}, 1.0);
    }
    if (by->same)
        return;
    fl_row_copy(full[0], from);
    fl_row_copy(full[1], by);
    divide(to, full[0], full[1], times);
}

void fl_row_mark_over(bool *marks, const double *row, double limit)
{
    if (!any_over(row, limit))
        return;
    for (size_t i = 0; i < FL_LANES; i++)
        marks[i] = marks[i] || row[i] > limit;
}
