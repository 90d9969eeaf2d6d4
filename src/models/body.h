/** Resonances of a package's body, its walls idealised. */
#ifndef FL_MODELS_BODY_H
#define FL_MODELS_BODY_H

#include "models/models.h"

/** Resonances within a range of frequencies. */
typedef struct fl_resonances {
    size_t count;
    double lowest; /* Hz; 0 if there is none */
    int order[3];  /* of the lowest: half waves along length, width and height; of a paddle [0] */
} fl_resonances;

/**
 * The paddle as an open strip in endless mould: k c / (2 p sqrt(er)), k half waves along it
 * [Pozar2011, sec. 6.2]. None for a body without a paddle.
 */
void fl_body_paddle(fl_resonances *found, const fl_body *body, double low, double high);

/**
 * The mould as a box with conducting walls: c / (2 sqrt(er)) sqrt((k / a)^2 + (m / b)^2 + (n / d)^2),
 * at most one order zero [Pozar2011, sec. 6.3]. Orders up to 100 are looked at.
 */
void fl_body_box(fl_resonances *found, const fl_body *body, double low, double high);

#endif
