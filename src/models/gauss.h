/** Nodes of Gauss and Legendre on (-1, 1) [Olver2010, sec. 3.5]. */
#ifndef FL_MODELS_GAUSS_H
#define FL_MODELS_GAUSS_H

#include <stddef.h>

/** The nodes over zero; each has its mirror image with the same weight. */
typedef struct fl_gauss {
    size_t count; /* 8 at most */
    double node[8], weight[8];
} fl_gauss;

/** Rules of eight and of sixteen nodes in all. */
extern const fl_gauss fl_gauss_eight, fl_gauss_sixteen;

#endif
