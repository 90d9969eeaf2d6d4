/** What network data are, once read: network.c reads them, scattering.c answers. Private. */
#ifndef FL_MODELS_NETWORK_H
#define FL_MODELS_NETWORK_H

#include "models/interpolant.h"
#include "models/models.h"

struct fl_network {
    size_t ports;
    size_t count;        /* frequencies */
    double *reference;   /* [ports] ohm */
    double *frequencies; /* [count] Hz, rising */
    fl_knot *knots;      /* [ports][ports][count] */
    fl_network_quality quality;
};

#endif
