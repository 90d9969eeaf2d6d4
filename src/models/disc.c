/* Round pads: Love's integral equation for a disc and its image. */
#include "models/disc.h"

#include <math.h>

#include "models/filament.h"
#include "models/gauss.h"

static const double pi = 3.14159265358979323846;

/* f(x) = 1 + 1 / pi * integral over t from -1 to 1 of k f(t) / (k^2 + (x - t)^2), k the distance
 * of disc and image over the radius; C = 4 eps0 a * integral of f over (-1, 1). The steps shrink by
 * 2 / pi atan(1 / k) each. */
double fl_disc_capacitance(double radius, double height)
{
    enum { STEPS = 300, NODES = 16 };
    const fl_gauss *g = &fl_gauss_sixteen;
    const double k = 2.0 * height / radius;
    double place[NODES];
    for (int i = 0; i < NODES; i++) /* over (0, 1): f is even */
        place[i] = 0.5 + (i % 2 ? 0.5 : -0.5) * g->node[i / 2];
    double kernel[NODES][NODES], f[NODES];
    for (int i = 0; i < NODES; i++) {
        f[i] = 1.0;
        for (int j = 0; j < NODES; j++) {
            const double near = place[i] - place[j], far = place[i] + place[j];
            kernel[i][j] = 0.5 * g->weight[j / 2] * k / pi *
                           (1.0 / (k * k + near * near) + 1.0 / (k * k + far * far));
        }
    }
    for (int step = 0; step < STEPS; step++) {
        double next[NODES];
        for (int i = 0; i < NODES; i++) {
            next[i] = 1.0;
            for (int j = 0; j < NODES; j++)
                next[i] += kernel[i][j] * f[j];
        }
        for (int i = 0; i < NODES; i++)
            f[i] = next[i];
    }
    double sum = 0.0;
    for (int i = 0; i < NODES; i++)
        sum += g->weight[i / 2] * f[i];
    return 4.0 * fl_permittivity() * radius * sum;
}
