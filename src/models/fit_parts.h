/** What the files of fits share: fit.c makes them, polynomial.c evaluates and carries. Private. */
#ifndef FL_MODELS_FIT_PARTS_H
#define FL_MODELS_FIT_PARTS_H

#include "base/arena.h"
#include "models/fit.h"

enum { FL_FIT_DEGREE = 40 };

/** One product of Chebyshev polynomials: its last factor and the product of the others. */
typedef struct fl_fit_term {
    size_t parent; /* term without the last factor; itself for the constant */
    size_t input;
    size_t degree; /* of the last factor; 0 for the constant */
} fl_fit_term;

struct fl_fit {
    fl_arena arena;
    size_t inputs, outputs;
    double *low, *high; /* [inputs] of the box, after the logarithm where one is taken */
    bool *logarithm;    /* [inputs] */
    fl_fit_term *terms;
    size_t term_count, degree;
    double *coefficients; /* [output][term] */
    fl_factor *factors;   /* [term_count] the terms as products of lanes */
    double error;
};

/** All products at one place. */
typedef struct fl_fit_basis {
    double values[FL_FIT_INPUTS][FL_FIT_DEGREE + 2], slopes[FL_FIT_INPUTS][FL_FIT_DEGREE + 2];
    double terms[FL_FIT_TERMS];
} fl_fit_basis;

void fl_fit_basis_fill(fl_fit_basis *basis, const fl_fit *fit, const double *inputs);

/** Takes from the coefficients what is beyond the accuracy of any fit, so that they are few bytes.
 * */
void fl_fit_round(fl_fit *fit);

/** An input as it goes into the polynomials. */
double fl_fit_inward(const fl_fit *fit, size_t input, double value);

/** Lays out the rows of terms as fl_fit_lanes has them. */
void fl_fit_lay_factors(fl_fit *fit);

#endif
