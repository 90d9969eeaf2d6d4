/**
 * A strip on a substrate, bare or covered: what microstrip, its stub, taper and step share.
 */
#ifndef FL_MODELS_TRACE_H
#define FL_MODELS_TRACE_H

#include "models/planar.h"

typedef struct fl_trace {
    double width; /* m */
    fl_substrate substrate;
    fl_cover cover;
} fl_trace;

/**
 * Static values: bare by the formulas of microstrip.h; with a cover, even one of permittivity 1, by
 * the solution of the cross-section. So a study stays on one of both ways.
 * @param[in] frequency Hz, of the band's centre.
 * @return FL_OK, the planar's substrate being that of the trace; FL_BAD_INPUT; FL_NO_MEMORY.
 */
fl_status fl_trace_solve(fl_planar *planar, const fl_trace *trace, double frequency,
                         fl_error *error);

/** NULL, or what does not fit together. */
const char *fl_trace_refuse(const fl_trace *trace);

/** NULL, or which range is left. */
const char *fl_trace_caution(const fl_trace *trace, const fl_setting *setting);

#endif
