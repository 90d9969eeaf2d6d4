/* Processes that share a study. Each goes the same way through it; what one computes for all is
 * handed round before anything depends on it. */
#include "studies/studies.h"

size_t fl_study_ranks(const fl_study *study)
{
    return study->ranks != NULL ? (size_t)study->ranks->count : 1;
}

size_t fl_study_rank(const fl_study *study)
{
    return study->ranks != NULL ? (size_t)study->ranks->rank : 0;
}

/* One that is alone has no partner that could be lost. */
static fl_status fail_lost(fl_error *error)
{
    return fl_fail(error, FL_FAULT, "", "another rank of this run was lost");
}

fl_status fl_study_share(const fl_study *study, void *pieces, size_t bytes, fl_error *error)
{
    const fl_ranks *ranks = study->ranks;
    if (ranks == NULL || ranks->share(ranks->payload, pieces, bytes) == 0)
        return FL_OK;
    return fail_lost(error);
}

fl_status fl_study_add(const fl_study *study, uint64_t *counts, size_t count, fl_error *error)
{
    const fl_ranks *ranks = study->ranks;
    if (ranks == NULL || ranks->add(ranks->payload, counts, count) == 0)
        return FL_OK;
    return fail_lost(error);
}
