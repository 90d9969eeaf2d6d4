/** The table of operations at the width FL_WIDTH of the source that includes it. Private. */
#ifndef FL_BASE_VECTOR_TABLE_H
#define FL_BASE_VECTOR_TABLE_H

#include "base/vector.h"
#include "base/vector_count.h"
#include "base/vector_draw.h"
#include "base/vector_march.h"
#include "base/vector_worst.h"

static const fl_vector table = {.width = FL_WIDTH,
                                .uniforms = uniforms,
                                .quantiles = quantiles,
                                .products = products_of,
                                .combine = combine,
                                .series = step_series,
                                .branch = step_branch,
                                .capacitor = step_capacitor,
                                .line = step_line,
                                .open_stub = step_open_stub,
                                .shorted_stub = step_shorted_stub,
                                .wave = step_wave,
                                .wave_stub = step_wave_stub,
                                .chain = step_chain,
                                .fixed_series = step_fixed_series,
                                .fixed_shunt = step_fixed_shunt,
                                .squares = squares,
                                .worst_reflected = worst_reflected,
                                .worst_transmitted = worst_transmitted,
                                .losses = losses,
                                .below = below,
                                .deviations = deviations};

#endif
