/** Random numbers of a sample, of which the draws of a design are made. Private to studies/. */
#ifndef FL_STUDIES_NUMBERS_H
#define FL_STUDIES_NUMBERS_H

#include "studies/studies.h"

/**
 * Numbers are counted from 0. Normal components of one quantity whose draws nothing else has may
 * have one number together: their sum is normal, with the root of the sum of their squares.
 */
typedef struct fl_numbers {
    size_t count;
    size_t *of;   /* [draw_count] number of a draw */
    bool *joined; /* [draw_count] it has its number together with others */
} fl_numbers;

/** One number a draw, in their order; or with components joined where that can be. */
fl_status fl_numbers_apart(fl_numbers *numbers, fl_arena *arena, const fl_design *design,
                           fl_error *error);
fl_status fl_numbers_joined(fl_numbers *numbers, fl_arena *arena, const fl_design *design,
                            fl_error *error);

/** Of a component at the nominal value of its quantity: sigma or half-width, SI. */
double fl_spread_amount(const fl_spread *spread, double nominal);

/**
 * The root of the sum of squares of all joined components of a quantity.
 * @param[out] number theirs; FL_NONE: there are none.
 */
double fl_numbers_amount(size_t *number, const fl_numbers *numbers, const fl_quantity *quantity,
                         double nominal);

#endif
