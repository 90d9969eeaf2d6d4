/** The table of operations at the width FL_WIDTH of the source that includes it. Private. */
#ifndef FL_BASE_VECTOR_TABLE_H
#define FL_BASE_VECTOR_TABLE_H

#include "base/vector.h"
#include "base/vector_count.h"
#include "base/vector_draw.h"
#include "base/vector_function.h"
#include "base/vector_march.h"
#include "base/vector_worst.h"

static const fl_vector table = {.width = FL_WIDTH,
                                .normals = normals,
                                .uniforms = uniforms,
                                .quantiles = quantiles,
                                .exponentials = exponentials,
                                .logarithms = logarithms,
                                .arctangents = arctangents,
                                .turns = turns,
                                .products = products_of,
                                .combine = combine,
                                .march = march,
                                .worst_reflected = worst_reflected,
                                .worst_transmitted = worst_transmitted,
                                .losses = losses,
                                .below = below,
                                .reaches = reaches,
                                .deviations = deviations};

#endif
