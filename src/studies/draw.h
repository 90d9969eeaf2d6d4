/** What draws are made with, one sample or many at once. Private to studies/. */
#ifndef FL_STUDIES_DRAW_H
#define FL_STUDIES_DRAW_H

#include "studies/numbers.h"
#include "studies/points.h"

/** Correlated draws of one level: z = factor * independent normals. */
typedef struct fl_draw_block {
    size_t count;
    size_t *draws;  /* [count] into the design's draws */
    double *factor; /* [count][count] lower triangle; the correlations stay in the upper one */
} fl_draw_block;

struct fl_sampler {
    fl_arena arena;
    const fl_design *design;
    uint64_t sharing[FL_LEVEL_COUNT]; /* samples in a row with one draw of the level */
    fl_draw_block blocks[FL_LEVEL_COUNT];
    fl_points *points; /* NULL: random numbers */
    fl_numbers apart, joined;
    const fl_numbers *numbers; /* one of them */
    bool shaped;               /* some spread takes its place from the uniform numbers */
};

#endif
