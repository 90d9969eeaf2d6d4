/* Resonances of a body.
 *
 * Range: the paddle of a real package lies on the board and radiates, and the sides of the mould
 * are open: real resonances lie some 10 % off and are broad. So these are to be warned of, not to
 * be computed with. */
#include "models/models.h"

#include <math.h>

static const double light_speed = 299792458.0; /* m/s */

enum { MOST_ORDER = 100 };

static double unit_of(const fl_body *body)
{
    return 0.5 * light_speed / sqrt(body->permittivity);
}

static void add(fl_resonances *found, double frequency, const int order[3])
{
    if (found->count == 0 || frequency < found->lowest) {
        found->lowest = frequency;
        for (int k = 0; k < 3; k++)
            found->order[k] = order[k];
    }
    found->count++;
}

void fl_body_paddle(fl_resonances *found, const fl_body *body, double low, double high)
{
    *found = (fl_resonances){.count = 0};
    if (body->paddle <= 0.0)
        return;
    for (int k = 1; k <= MOST_ORDER; k++) {
        const double frequency = k * unit_of(body) / body->paddle;
        if (frequency >= low && frequency <= high)
            add(found, frequency, (const int[]){k, 0, 0});
    }
}

/* Orders along the height of a box whose orders along length and width are known. */
static void add_column(fl_resonances *found, const fl_body *body, const double range[2],
                       int order[3])
{
    const double along = order[0] / body->length, across = order[1] / body->width;
    for (order[2] = order[0] > 0 && order[1] > 0 ? 0 : 1; order[2] <= MOST_ORDER; order[2]++) {
        const double up = order[2] / body->height;
        const double frequency = unit_of(body) * sqrt(along * along + across * across + up * up);
        if (frequency > range[1])
            return;
        if (frequency >= range[0])
            add(found, frequency, order);
    }
}

void fl_body_box(fl_resonances *found, const fl_body *body, double low, double high)
{
    const double range[2] = {low, high};
    *found = (fl_resonances){.count = 0};
    for (int k = 0; k <= MOST_ORDER && k * unit_of(body) / body->length <= high; k++)
        for (int m = k > 0 ? 0 : 1; m <= MOST_ORDER && m * unit_of(body) / body->width <= high; m++)
            add_column(found, body, range, (int[]){k, m, 0});
}
