/* The polish: descents on a probe that learns the peaks between its frequencies. */
#include "studies/search.h"

#include <math.h>
#include <string.h>

/* Turns beyond which peaks that are added make no more difference in practice. */
enum { MOST_TURNS = 8 };

/* The probe is true to the band when its worst is this near to the worst over the band. */
static const double true_db = 1e-5;

/* Past this margin a match is perfect, whatever lies between. */
static const double perfect_db = 140.0;

/* The best point over the continuous band that a polish has seen. */
typedef struct fl_seen {
    double *values;
    double margin_db;
} fl_seen;

/* The worst of all runs. */
static double list_margin(const fl_peak_list *list)
{
    double margin_db = HUGE_VAL;
    for (size_t i = 0; i < list->count; i++)
        margin_db = fmin(margin_db, list->peaks[i].margin_db);
    return margin_db;
}

/* One turn: descend, look between, add. *finished tells that another turn gains nothing. */
static fl_status turn(const fl_descent *descent, double *values, fl_seen *seen, bool *finished,
                      fl_error *error)
{
    fl_probe *probe = descent->probe;
    const fl_search *search = probe->search;
    fl_peak_list list = {.peaks = NULL};
    double figure = HUGE_VAL;
    fl_walker *walker = &probe->walkers[0];
    fl_status status = fl_descend(descent, walker, values, &figure);
    if (status != FL_OK)
        return fl_fail_memory(error);
    fl_search_quantities(search, values, walker->quantities);
    status = fl_peak_list_find(&list, search->study, walker->quantities, error);
    if (status != FL_OK)
        goto cleanup;
    double margin_db = list_margin(&list);
    if (margin_db > seen->margin_db) {
        seen->margin_db = margin_db;
        memcpy(seen->values, values, search->count * sizeof *values);
    }
    *finished = fl_figure_margin(figure) - margin_db <= true_db || margin_db >= perfect_db ||
                fl_search_stopped(probe->search);
    if (!*finished)
        status = fl_probe_extend(probe, &list, error);
cleanup:
    fl_peak_list_release(&list);
    return status;
}

/* The values kept are those of the best turn: a later one that learnt of a new peak may lose. */
fl_status fl_polish(const fl_descent *descent, double *values, double *margin_db, fl_error *error)
{
    const fl_search *search = descent->probe->search;
    fl_status status = FL_OK;
    bool finished = false;
    double *current = fl_memory_take(search->count, sizeof *current);
    fl_seen seen = {.values = values, .margin_db = -HUGE_VAL};
    if (current == NULL)
        return fl_fail_memory(error);
    memcpy(current, values, search->count * sizeof *current);
    for (int i = 0; i < MOST_TURNS && !finished && status == FL_OK; i++)
        status = turn(descent, current, &seen, &finished, error);
    fl_memory_free(current);
    if (status == FL_OK)
        *margin_db = seen.margin_db;
    return status;
}
