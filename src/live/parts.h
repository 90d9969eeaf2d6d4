/** What a live model holds. Private. */
#ifndef FL_LIVE_PARTS_H
#define FL_LIVE_PARTS_H

#include "live/live.h"

struct fl_live {
    fl_arena arena; /* of all that came as bytes */
    fl_study study;
    fl_start_list starts;
    double *quantities;    /* [quantity_count] present values */
    uint64_t *case_passed; /* [case_count] of the last yield */
};

#endif
