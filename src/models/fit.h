/**
 * A polynomial fit of a costly function of a few inputs, made once, so that a study may ask for it
 * a million times: values and exact derivatives of the fit.
 *
 * The fit is a sum of Chebyshev products over a box, right at as many points as it has terms. Terms
 * are added where the function needs them until the error, measured at points that the fit has not
 * seen, is small enough. An input that spans more than a factor of three goes in by its logarithm.
 * Method: [Trefethen2013], [Gerstner2003], [Chkifa2014].
 */
#ifndef FL_MODELS_FIT_H
#define FL_MODELS_FIT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/error.h"
#include "base/pack.h"
#include "base/vector.h"

/** Most inputs, coefficients of one output, and outputs. */
enum { FL_FIT_INPUTS = 14, FL_FIT_TERMS = 600, FL_FIT_OUTPUTS = 256 };

typedef struct fl_fit fl_fit;

/** What is to be fitted. */
typedef struct fl_fit_plan {
    size_t input_count, output_count;
    const double *low, *high; /* [input_count] box, low < high */
    /** Outputs [output_count] at inputs [input_count]; smooth; fails with a message. */
    fl_status (*source)(double *outputs, const double *inputs, void *payload, fl_error *error);
    void *payload;
    double wanted;  /* terms are added until the relative error is below this */
    double allowed; /* a fit with a larger one is refused */
} fl_fit_plan;

/**
 * Makes a fit.
 * @param[out] fit free with fl_fit_free.
 * @return FL_OK; FL_BAD_INPUT when `allowed` is not reached with FL_FIT_TERMS terms; what the
 *         source returns; FL_NO_MEMORY.
 */
fl_status fl_fit_new(fl_fit **fit, const fl_fit_plan *plan, fl_error *error);
void fl_fit_free(fl_fit *fit);

/** Whether the inputs lie in the box, where alone the fit is good. */
bool fl_fit_covers(const fl_fit *fit, const double *inputs);

/**
 * @param[out] outputs [output_count].
 * @param[out] slopes  [output_count][input_count] derivatives; NULL: not wanted.
 * Does not allocate; thread-safe.
 */
void fl_fit_values(const fl_fit *fit, const double *inputs, double *outputs, double *slopes);

/** Which outputs are asked for and where they go. */
typedef struct fl_fit_request {
    const size_t *outputs; /* [count] */
    double *const *to;     /* [count] rows of FL_LANES */
    size_t count;
} fl_fit_request;

/** Doubles of scratch memory that fl_fit_lanes needs. */
size_t fl_fit_room(const fl_fit *fit);

/**
 * Some outputs at FL_LANES inputs at once, as fl_fit_values but for rounding.
 * @param[in] inputs   [input_count] rows of FL_LANES.
 * @param scratch      [fl_fit_room].
 * @param[out] covered [FL_LANES] fl_fit_covers of each; the others' outputs mean nothing.
 */
void fl_fit_lanes(const fl_fit *fit, const fl_vector *vector, const fl_fit_request *request,
                  const double *const *inputs, double *scratch, bool *covered);

/** Largest error measured, relative to the largest size of each output. */
double fl_fit_error(const fl_fit *fit);

/** Number of terms of the fit. */
size_t fl_fit_terms(const fl_fit *fit);

/** A fit as bytes, and back into the arena of what is read: not freed by itself; NULL when the
 * bytes cannot be. Sizes of both are for the caller to check. */
void fl_fit_pack(fl_text *text, const fl_fit *fit);
fl_fit *fl_fit_unpack(fl_unpack *from);
size_t fl_fit_inputs(const fl_fit *fit);
size_t fl_fit_outputs(const fl_fit *fit);

#endif
