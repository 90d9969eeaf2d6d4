/** Cross-sections in one line each, for the tests of their solver. */
#ifndef FL_TESTS_CROSS_STRIP_H
#define FL_TESTS_CROSS_STRIP_H

#include "models/cross.h"

/** Solves, and fails the test unless that goes well. */
__attribute__((unused)) static fl_cross_result solve(const fl_cross *cross, double frequency)
{
    fl_cross_result result;
    fl_error error = {0};
    check_ok(fl_cross_solve(&result, cross, frequency, &error), error);
    return result;
}

/** A strip over the ground plane, all in units of the substrate's height. */
typedef struct strip {
    fl_cross_layer layers[2];
    fl_cross_conductor conductor;
    fl_cross cross;
} strip;

__attribute__((unused)) static void strip_init(strip *s, double width, double thickness,
                                               double permittivity)
{
    *s = (strip){.layers = {{.top = 1.0, .permittivity = permittivity}},
                 .conductor = {.left = -0.5 * width,
                               .right = 0.5 * width,
                               .bottom = 1.0,
                               .thickness = thickness,
                               .signal = 1}};
    s->cross = (fl_cross){.layers = s->layers,
                          .layer_count = 1,
                          .conductors = &s->conductor,
                          .conductor_count = 1,
                          .ground = true};
}

/** Covers it up to a height above the substrate. */
__attribute__((unused)) static void strip_cover(strip *s, double height, double permittivity)
{
    s->layers[1] = (fl_cross_layer){.top = 1.0 + height, .permittivity = permittivity};
    s->cross.layer_count = 2;
}

#endif
