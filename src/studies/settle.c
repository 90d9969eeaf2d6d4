/* What the ranks of a run do apart, brought together: sums in the order of their samples at every
 * round; counts, which are many and come out the same in any order, when they are looked at. */
#include "studies/production.h"

#include <string.h>

/* ---- sums ---- */

/* Deviations and shares of a round, as they are in memory. */
static size_t piece_bytes(const fl_production *run)
{
    return run->counting.spread_count * (sizeof *run->round.deviations + sizeof *run->round.shares);
}

/* A tally whose sums are those of a piece. */
static fl_tally piece_of(const fl_production *run, size_t rank)
{
    unsigned char *piece = (unsigned char *)run->pieces + rank * piece_bytes(run);
    const size_t deviations = run->counting.spread_count * sizeof *run->round.deviations;
    return (fl_tally){.deviations = (double(*)[2])(void *)piece,
                      .shares = (fl_share *)(void *)(piece + deviations)};
}

fl_status fl_production_hand_round(fl_production *run, fl_error *error)
{
    const size_t spreads = run->counting.spread_count;
    fl_tally piece = piece_of(run, fl_study_rank(run->study));
    memcpy(piece.deviations, run->round.deviations, spreads * sizeof *piece.deviations);
    memcpy(piece.shares, run->round.shares, spreads * sizeof *piece.shares);
    const fl_status status = fl_study_share(run->study, run->pieces, piece_bytes(run), error);
    for (size_t i = 0; i < fl_study_ranks(run->study) && status == FL_OK; i++) {
        piece = piece_of(run, i);
        fl_tally_merge_sums(&run->sums.total, &piece, &run->counting);
    }
    return status;
}

/* ---- counts ---- */

/** Counts on their way into or out of one array, or only numbered (at is NULL). */
typedef struct passage {
    uint64_t *at;
    bool back;
    size_t count;
} passage;

static void pass(passage *own, uint64_t *counts, size_t count)
{
    own->count += count;
    if (own->at == NULL)
        return;
    memcpy(own->back ? counts : own->at, own->back ? own->at : counts, count * sizeof *counts);
    own->at += count;
}

static void pass_failed(passage *own, fl_failed *failed)
{
    pass(own, &failed->count, 1);
    pass(own, failed->third, FL_BAND_THIRDS);
}

/* Dice of a wafer fit in half the length. */
static void pass_wafers(passage *own, fl_wafers *wafers)
{
    for (size_t i = 0; i < wafers->count * wafers->columns; i++) {
        uint64_t passed = wafers->passed[i];
        pass(own, &passed, 1);
        wafers->passed[i] = (uint32_t)passed;
    }
    pass(own, &wafers->samples, 1);
}

/* But for the number of samples, which every rank knows. */
static void pass_counts(passage *own, fl_sums *sums, const fl_counting *counting)
{
    fl_tally *total = &sums->total;
    pass(own, &total->passed, 1);
    pass(own, &total->not_physical, 1);
    pass(own, total->case_passed, counting->design->case_count);
    pass(own, total->reached, counting->design->requirement_count);
    for (size_t i = 0; i < counting->run_count; i++)
        pass_failed(own, &total->failed[i]);
    pass(own, &sums->histogram.total, 1);
    pass(own, sums->histogram.bins, FL_LAST_BIN + 1);
    pass_wafers(own, &sums->wafers);
}

static size_t number_counts(fl_production *run)
{
    passage numbered = {.at = NULL};
    pass_counts(&numbered, &run->own, &run->counting);
    return numbered.count;
}

fl_status fl_production_take_pieces(fl_production *run, fl_error *error)
{
    const size_t ranks = fl_study_ranks(run->study);
    if (ranks == 1)
        return FL_OK;
    run->pieces = fl_arena_take(&run->arena, ranks, piece_bytes(run));
    run->counts = fl_arena_take(&run->arena, number_counts(run), sizeof *run->counts);
    return run->pieces != NULL && run->counts != NULL ? FL_OK : fl_fail_memory(error);
}

fl_status fl_production_settle(fl_production *run, fl_error *error)
{
    if (run->study->ranks == NULL)
        return FL_OK;
    passage out = {.at = run->counts}, back = {.at = run->counts, .back = true};
    pass_counts(&out, &run->own, &run->counting);
    const fl_status status = fl_study_add(run->study, run->counts, out.count, error);
    if (status == FL_OK)
        pass_counts(&back, &run->sums, &run->counting);
    return status;
}

void fl_production_resume(fl_production *run)
{
    if (fl_study_ranks(run->study) == 1 || fl_study_rank(run->study) > 0)
        return;
    passage out = {.at = run->counts}, back = {.at = run->counts, .back = true};
    pass_counts(&out, &run->sums, &run->counting);
    pass_counts(&back, &run->own, &run->counting);
}
