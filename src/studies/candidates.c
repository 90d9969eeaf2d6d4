/* Many points that are descended from, on all threads and ranks, and compared. */
#include "studies/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A rank's candidates: every so many of all, as those behind one another may cost alike. */
typedef struct fl_part {
    size_t rank, ranks;
    size_t most;   /* of any rank */
    size_t stride; /* numbers of a candidate: its values and its figure */
    double *all;   /* [ranks][1 + most * stride]: whether it failed, then its candidates */
} fl_part;

/* Alone there is nothing to hand round, and no memory for it. */
static fl_status take_part(fl_part *part, fl_arena *scratch, const fl_search *search, size_t count,
                           fl_error *error)
{
    *part = (fl_part){.rank = fl_study_rank(search->study), .ranks = fl_study_ranks(search->study)};
    part->most = (count + part->ranks - 1) / part->ranks;
    part->stride = search->count + 1;
    if (part->ranks == 1)
        return FL_OK;
    part->all =
        fl_arena_take(scratch, part->ranks * (1 + part->most * part->stride), sizeof *part->all);
    return part->all ? FL_OK : fl_fail_memory(error);
}

/* Where the k-th candidate of a rank is handed round. */
static double *row_of(const fl_part *part, size_t rank, size_t k)
{
    return part->all + rank * (1 + part->most * part->stride) + 1 + k * part->stride;
}

/* To and from what is handed round; the figure comes last. */
static void put(const fl_part *part, const fl_candidate *candidates, size_t count)
{
    for (size_t k = 0, i = part->rank; i < count; k++, i += part->ranks) {
        double *row = row_of(part, part->rank, k);
        memcpy(row, candidates[i].values, (part->stride - 1) * sizeof *row);
        row[part->stride - 1] = candidates[i].figure;
    }
}

static void get(const fl_part *part, fl_candidate *candidates, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const double *row = row_of(part, i % part->ranks, i / part->ranks);
        memcpy(candidates[i].values, row, (part->stride - 1) * sizeof *row);
        candidates[i].figure = row[part->stride - 1];
    }
}

/* What failed in one rank has failed in all: none may go on alone. */
static fl_status hand_round(const fl_part *part, const fl_study *study, fl_candidate *candidates,
                            size_t count, int failed, fl_error *error)
{
    if (part->ranks > 1) {
        const size_t bytes = (1 + part->most * part->stride) * sizeof *part->all;
        row_of(part, part->rank, 0)[-1] = failed;
        put(part, candidates, count);
        const fl_status status = fl_study_share(study, part->all, bytes, error);
        if (status != FL_OK)
            return status;
        for (size_t r = 0; r < part->ranks; r++)
            failed |= row_of(part, r, 0)[-1] > 0.0;
        get(part, candidates, count);
    }
    return failed != 0 ? fl_fail_memory(error) : FL_OK;
}

/* Every candidate is independent of the others, of the thread and of the rank: the same bits on any
 * number. */
fl_status fl_descend_all(const fl_descent *descent, fl_candidate *candidates, size_t count,
                         fl_error *error)
{
    fl_search *search = descent->probe->search;
    fl_arena scratch;
    fl_part part;
    int failed = 0;
    fl_arena_init(&scratch);
    fl_status status = take_part(&part, &scratch, search, count, error);
    if (status != FL_OK)
        goto cleanup;
#pragma omp parallel for schedule(dynamic, 1) num_threads((int)descent->probe->walker_count)
    for (size_t i = part.rank; i < count; i += part.ranks) {
        fl_candidate *candidate = &candidates[i];
        if (fl_search_stopped(search))
            continue;
        fl_walker *walker = &descent->probe->walkers[omp_get_thread_num()];
        if (fl_descend(descent, walker, candidate->values, &candidate->figure) != FL_OK) {
#pragma omp atomic write
            failed = 1;
        }
        fl_search_step(search);
        fl_search_ask(search);
    }
    status = hand_round(&part, search->study, candidates, count, failed, error);
cleanup:
    fl_arena_release(&scratch);
    return status;
}

/* All values are one block, so that starts can be filled as one array. */
fl_candidate *fl_candidates_new(fl_arena *arena, size_t count, size_t unknowns)
{
    fl_candidate *candidates = fl_arena_take(arena, count, sizeof *candidates);
    double *values = fl_arena_take(arena, count * unknowns, sizeof *values);
    if (candidates == NULL || values == NULL)
        return NULL;
    for (size_t i = 0; i < count; i++)
        candidates[i] =
            (fl_candidate){.values = values + i * unknowns, .figure = HUGE_VAL, .index = i};
    return candidates;
}

/* Among equals the first start wins, on any number of threads. */
static int compare_candidates(const void *a, const void *b)
{
    const fl_candidate *x = a, *y = b;
    if (x->figure != y->figure)
        return x->figure < y->figure ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

void fl_candidates_sort(fl_candidate *candidates, size_t count)
{
    qsort(candidates, count, sizeof *candidates, compare_candidates);
}
