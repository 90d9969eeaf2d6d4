/* The unknowns of a search, and its progress. */
#include "studies/search.h"

#include <math.h>
#include <string.h>

/* More would take hours and is a mistake of the file's. */
enum { MOST_UNKNOWNS = 1000 };

/* In the order of the design, so that an index means the same in every run. */
static void collect(const fl_design *design, size_t *unknowns, double *low, double *high)
{
    size_t count = 0;
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (!quantity->sized)
            continue;
        unknowns[count] = i;
        low[count] = quantity->low;
        high[count] = quantity->high;
        count++;
    }
}

/* Counted apart, so that arrays have their size at once. */
static size_t sized_count(const fl_design *design)
{
    size_t count = 0;
    for (size_t i = 0; i < design->quantity_count; i++)
        count += design->quantities[i].sized ? 1 : 0;
    return count;
}

fl_status fl_search_init(fl_search *search, const fl_study *study, fl_error *error)
{
    const fl_design *design = study->design;
    *search = (fl_search){.study = study, .count = sized_count(design), .stage = "sizing"};
    fl_arena_init(&search->arena);
    omp_init_lock(&search->asking);
    if (search->count > MOST_UNKNOWNS)
        return fl_fail(error, FL_BAD_INPUT, design->file,
                       "expected at most %d values to size, found %zu", MOST_UNKNOWNS,
                       search->count);
    size_t *unknowns = fl_arena_take(&search->arena, search->count, sizeof *unknowns);
    double *low = fl_arena_take(&search->arena, search->count, sizeof *low);
    double *high = fl_arena_take(&search->arena, search->count, sizeof *high);
    double *present = fl_arena_take(&search->arena, design->quantity_count, sizeof *present);
    if (unknowns == NULL || low == NULL || high == NULL || present == NULL)
        return fl_fail_memory(error);
    collect(design, unknowns, low, high);
    fl_design_start(design, present);
    search->unknowns = unknowns;
    search->low = low;
    search->high = high;
    search->present = present;
    return FL_OK;
}

/* Values and probes are not the search's. */
void fl_search_release(fl_search *search)
{
    omp_destroy_lock(&search->asking);
    fl_arena_release(&search->arena);
}

/* Read often: an atomic read is cheap, asking is not. */
bool fl_search_stopped(fl_search *search)
{
    int stopped;
#pragma omp atomic read
    stopped = search->stopped;
    return stopped != 0;
}

/* Where the running loop stands within its stage: a share that only grows, as steps are counted
 * and not told by index. */
static double done(fl_search *search)
{
    size_t finished;
#pragma omp atomic read
    finished = search->finished;
    double share = search->whole > 0 ? fmin(1.0, (double)finished / (double)search->whole) : 0.0;
    return search->from + (search->to - search->from) * share;
}

/* The caller's function need not be fit for threads: one at a time, and none after it said stop. */
bool fl_search_ask(fl_search *search)
{
    omp_set_lock(&search->asking);
    if (!fl_search_stopped(search) &&
        fl_study_stopped(search->study, search->stage, done(search))) {
#pragma omp atomic write
        search->stopped = 1;
    }
    omp_unset_lock(&search->asking);
    return fl_search_stopped(search);
}

/* Between parallel loops only, so that nothing here needs to be atomic. */
void fl_search_loop(fl_search *search, const char *stage, double from, double to, size_t steps)
{
    search->stage = stage;
    search->from = from;
    search->to = to;
    search->finished = 0;
    search->whole = steps;
}

void fl_search_step(fl_search *search)
{
#pragma omp atomic update
    search->finished++;
}

void fl_search_quantities(const fl_search *search, const double *values, double *quantities)
{
    size_t count = search->study->design->quantity_count;
    if (count > 0)
        memcpy(quantities, search->present, count * sizeof *quantities);
    for (size_t i = 0; i < search->count; i++)
        quantities[search->unknowns[i]] = values[i];
}
