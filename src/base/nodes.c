/* Frequencies of a march about their centre. */
#include <math.h>

#include "base/vector.h"

/* Factors of x, x^2, ... in a series whose term k is (sign of k) d^k / k!, from first on, every
 * step-th. */
static void put_terms(double *to, size_t terms, double distance, int first, int step)
{
    double term = 1.0;
    for (int k = 1; k <= first; k++)
        term *= distance / k;
    for (size_t i = 0; i < terms; i++) {
        to[i] = term;
        for (int k = 1; k <= step; k++)
            term *= distance / (first + (int)i * step + k);
        term *= step == 2 ? -1.0 : 1.0;
    }
}

static void put_pair(double *to, const fl_nodes *nodes, size_t low, size_t high)
{
    const double distance = nodes->omega[high] - nodes->centre;
    double *sine = to, *cosine = sine + FL_TURN_TERMS, *up = cosine + FL_TURN_TERMS;
    put_terms(sine, FL_TURN_TERMS, distance, 1, 2);
    put_terms(cosine, FL_TURN_TERMS, distance, 2, 2);
    for (size_t i = 0; i < FL_TURN_TERMS; i++)
        cosine[i] = -cosine[i];
    put_terms(up, FL_GROW_TERMS, nodes->root[high] - nodes->root_centre, 1, 1);
    put_terms(up + FL_GROW_TERMS, FL_GROW_TERMS, nodes->root[low] - nodes->root_centre, 1, 1);
}

void fl_nodes_centre(fl_nodes *nodes, double *series)
{
    const size_t count = nodes->count;
    nodes->centre = 0.5 * (nodes->omega[0] + nodes->omega[count - 1]);
    nodes->root_centre = nodes->root[0] * sqrt(nodes->centre / nodes->omega[0]);
    nodes->most_offset = nodes->most_root_offset = nodes->most_omega = 0.0;
    for (size_t n = 0; n < count; n++) {
        nodes->most_omega = fmax(nodes->most_omega, nodes->omega[n]);
        nodes->most_offset = fmax(nodes->most_offset, fabs(nodes->omega[n] - nodes->centre));
        nodes->most_root_offset =
            fmax(nodes->most_root_offset, fabs(nodes->root[n] - nodes->root_centre));
    }
    for (size_t k = 0; 2 * k + 1 < count; k++)
        put_pair(series + k * FL_PAIR_ROOM, nodes, k, count - 1 - k);
    nodes->series = series;
}
