/* Round pads: Love's integral equation for a disc and its image, and its like on a slab.
 *
 * The charge in the plane is the Hankel transform of a function f on (-1, 1), the radius being
 * one, for which f(x) = 1 + 1 / pi * integral of K(x - t) f(t) over t from -1 to 1, and
 * C = 2 eps0 (1 + er) a * integral of f over (-1, 1). In space K(x) = k / (k^2 + x^2), k the
 * distance of disc and image over the radius [Love1949]. On a slab it is the series
 * (1 + s) * sum over n from 1 of (-s)^(n - 1) n k / ((n k)^2 + x^2), s = (er - 1) / (er + 1):
 * the images of a charge on the slab, which fall as s^n [Chew1980]. */
#include "models/disc.h"

#include <math.h>

#include <gsl/gsl_linalg.h>

#include "models/filament.h"
#include "models/gauss.h"

static const double pi = 3.14159265358979323846;

/* Panels over (0, 1), as f is even, and the nodes of all. */
enum { PANELS = 4, EACH = 16, NODES = PANELS * EACH };

/* Share of the first image that the first neglected one may have. */
static const double least_image = 1e-10;

static double kernel(double x, double k, double step)
{
    double sum = 0.0, strength = 1.0;
    for (int n = 1; n == 1 || fabs(strength) > least_image; n++) {
        const double distance = n * k;
        sum += strength * distance / (distance * distance + x * x);
        strength *= -step;
    }
    return (1.0 + step) * sum;
}

static void set_nodes(double place[NODES], double weight[NODES])
{
    const fl_gauss *g = &fl_gauss_sixteen;
    for (int i = 0; i < NODES; i++) {
        const int node = i % EACH;
        const double offset = node % 2 ? g->node[node / 2] : -g->node[node / 2];
        const int panel = i / EACH;
        place[i] = (panel + 0.5 + 0.5 * offset) / PANELS;
        weight[i] = 0.5 * g->weight[node / 2] / PANELS;
    }
}

double fl_disc_on_slab(double radius, double height, double permittivity)
{
    const double k = 2.0 * height / radius, step = (permittivity - 1.0) / (permittivity + 1.0);
    double place[NODES], weight[NODES], matrix[NODES * NODES], f[NODES];
    size_t order[NODES];
    int sign = 0;
    set_nodes(place, weight);
    for (int i = 0; i < NODES; i++) {
        f[i] = 1.0;
        for (int j = 0; j < NODES; j++) {
            const double both =
                kernel(place[i] - place[j], k, step) + kernel(place[i] + place[j], k, step);
            matrix[i * NODES + j] = (i == j ? 1.0 : 0.0) - weight[j] * both / pi;
        }
    }
    gsl_matrix_view a = gsl_matrix_view_array(matrix, NODES, NODES);
    gsl_vector_view x = gsl_vector_view_array(f, NODES);
    gsl_permutation p = {.size = NODES, .data = order};
    (void)gsl_linalg_LU_decomp(&a.matrix, &p, &sign);
    (void)gsl_linalg_LU_svx(&a.matrix, &p, &x.vector);
    double sum = 0.0;
    for (int i = 0; i < NODES; i++)
        sum += weight[i] * f[i];
    return 4.0 * fl_permittivity() * (1.0 + permittivity) * radius * sum;
}

double fl_disc_capacitance(double radius, double height)
{
    return fl_disc_on_slab(radius, height, 1.0);
}
