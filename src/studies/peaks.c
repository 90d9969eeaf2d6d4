/* The worst between the grid points: a fine grid, then golden section on each local worst. */
#include "studies/peaks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The fine grid is ten times finer than the design's points, and never coarser than this. It is
 * walked in pieces, so that memory stays small. */
enum { FINER = 10, LEAST_POINTS = 201, PIECE = 4096 };

/* Golden section: after two first looks each further one leaves 0.618 of the bracket; 24 leave 1e-5
 * of two fine steps. Near a worst the margin is flat, so that an error in frequency of that size is
 * none in the margin. */
enum { LOOKS = 26 };

/* Local worsts further than this from the worst of their run cannot overtake it. */
static const double near_db = 6.0;

/* (sqrt 5 - 1) / 2: the share for which one of two inner places serves again in the next step. */
static const double golden = 0.61803398874989485;

/* A response at some frequencies. */
typedef struct fl_look {
    fl_margins *margins;
    fl_work *work;
    double *power;
    const fl_run *runs;
    size_t run_count;
} fl_look;

/* Margins of every run on the whole fine grid. */
typedef struct fl_survey {
    fl_arena arena;
    const fl_study *study;
    const double *quantities;
    size_t points;
    size_t run_count;
    const fl_requirement **asked; /* [run_count] */
    double **power;               /* [run_count][points] */
    double **frequencies;         /* [band_count][points] */
    fl_grid *grids;               /* [band_count] frequencies of one look */
} fl_survey;

/* A local worst between low and high, looked at in two places between. */
typedef struct fl_bracket {
    double low, high;
    double inner[2];
    double margin_db[2];
    size_t next; /* the inner place to look at */
} fl_bracket;

/* Also after a failed open. */
static void look_close(fl_look *at)
{
    fl_memory_free(at->power);
    fl_work_free(at->work);
    fl_margins_free(at->margins);
    *at = (fl_look){.margins = NULL};
}

/* Margins at the frequencies of survey->grids, with one response computed. Close in any case. */
static fl_status look_open(fl_look *at, const fl_survey *survey, fl_error *error)
{
    const fl_study *study = survey->study;
    *at = (fl_look){.margins = NULL};
    fl_status status =
        fl_margins_new(&at->margins, study->design, study->groundwork, survey->grids, error);
    if (status == FL_OK)
        status = fl_work_new(&at->work, at->margins, error);
    if (status != FL_OK)
        return status;
    at->power = fl_memory_take(fl_margins_entry_count(at->margins), sizeof *at->power);
    if (at->power == NULL)
        return fl_fail_memory(error);
    if (!fl_margins_power(at->margins, at->work, survey->quantities, at->power))
        return fl_fail(error, FL_BAD_INPUT, study->design->file,
                       "expected values that make a physical response, found some that do not");
    at->runs = fl_margins_runs(at->margins, &at->run_count);
    return FL_OK;
}

/* Coarse grids of a design must not hide what lies between. */
static size_t fine_points(const fl_design *design)
{
    size_t points = FINER * (design->points - 1) + 1;
    return points > LEAST_POINTS ? points : LEAST_POINTS;
}

/* The fine grid of each band. */
static fl_status survey_init(fl_survey *survey, const fl_study *study, const double *quantities,
                             fl_error *error)
{
    const fl_design *design = study->design;
    size_t bands = design->band_count;
    *survey = (fl_survey){.study = study, .quantities = quantities};
    fl_arena_init(&survey->arena);
    survey->points = fine_points(design);
    survey->frequencies = fl_arena_take(&survey->arena, bands, sizeof *survey->frequencies);
    survey->grids = fl_arena_take(&survey->arena, bands, sizeof *survey->grids);
    if (survey->frequencies == NULL || survey->grids == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < bands; i++) {
        survey->frequencies[i] = fl_arena_take(&survey->arena, survey->points, sizeof(double));
        if (survey->frequencies[i] == NULL)
            return fl_fail_memory(error);
        fl_band_grid(survey->frequencies[i], &design->bands[i], survey->points);
    }
    return FL_OK;
}

/* Room for all runs, once the first look tells which there are. */
static fl_status take_runs(fl_survey *survey, const fl_look *at, fl_error *error)
{
    survey->run_count = at->run_count;
    survey->asked = fl_arena_take(&survey->arena, at->run_count, sizeof *survey->asked);
    survey->power = fl_arena_take(&survey->arena, at->run_count, sizeof *survey->power);
    if (survey->asked == NULL || survey->power == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < at->run_count; i++) {
        survey->asked[i] = &survey->study->design->requirements[at->runs[i].requirement];
        survey->power[i] = fl_arena_take(&survey->arena, survey->points, sizeof(double));
        if (survey->power[i] == NULL)
            return fl_fail_memory(error);
    }
    return FL_OK;
}

/* Margins and work of a piece alone are ever held; of the whole only one power each is kept. The
 * first piece tells the runs, which are the same in all. */
static fl_status survey_piece(fl_survey *survey, size_t first, size_t count, fl_error *error)
{
    fl_look at;
    for (size_t i = 0; i < survey->study->design->band_count; i++)
        survey->grids[i] = (fl_grid){.frequencies = survey->frequencies[i] + first, .count = count};
    fl_status status = look_open(&at, survey, error);
    if (status == FL_OK && first == 0)
        status = take_runs(survey, &at, error);
    for (size_t i = 0; status == FL_OK && i < at.run_count; i++)
        memcpy(survey->power[i] + first, at.power + at.runs[i].first, count * sizeof(double));
    look_close(&at);
    return status;
}

/* The power of every run at every frequency of the fine grid. */
static fl_status survey_fill(fl_survey *survey, fl_error *error)
{
    fl_status status = FL_OK;
    for (size_t first = 0; first < survey->points && status == FL_OK; first += PIECE) {
        size_t left = survey->points - first;
        status = survey_piece(survey, first, left < PIECE ? left : PIECE, error);
    }
    return status;
}

/* Marks the local worsts of one run that are near its worst; returns how many. Of equal neighbours
 * the first is marked; an end of the band counts as a local worst when it is below its one
 * neighbour. */
static size_t mark_peaks(unsigned char *marks, const double *margin_db, size_t points)
{
    double worst = margin_db[0];
    size_t count = 0;
    for (size_t i = 1; i < points; i++)
        worst = fmin(worst, margin_db[i]);
    for (size_t i = 0; i < points; i++) {
        bool below_left = i == 0 || margin_db[i] < margin_db[i - 1];
        bool below_right = i + 1 == points || margin_db[i] <= margin_db[i + 1];
        marks[i] = below_left && below_right && margin_db[i] <= worst + near_db;
        count += marks[i];
    }
    return count;
}

/* Peaks and brackets grow together. */
static bool grow(fl_peak_list *list, fl_bracket **brackets, size_t more)
{
    size_t count = list->count + more;
    fl_peak *peaks = fl_memory_grow(list->peaks, list->count * sizeof *peaks, count, sizeof *peaks);
    if (peaks == NULL)
        return false;
    list->peaks = peaks;
    fl_bracket *grown =
        fl_memory_grow(*brackets, list->count * sizeof *grown, count, sizeof *grown);
    if (grown == NULL)
        return false;
    *brackets = grown;
    return true;
}

/* A local worst of the grid lies between its neighbours; at an end of the band, in the last
 * step. */
static void bracket_init(fl_bracket *around, const double *frequencies, size_t i, size_t points)
{
    around->low = frequencies[i > 0 ? i - 1 : i];
    around->high = frequencies[i + 1 < points ? i + 1 : i];
    around->inner[0] = around->high - golden * (around->high - around->low);
    around->inner[1] = around->low + golden * (around->high - around->low);
    around->next = 0;
}

/* Appends the local worsts of one run, as the fine grid shows them. */
static fl_status append_peaks(fl_peak_list *list, fl_bracket **brackets, const fl_survey *survey,
                              size_t run)
{
    size_t points = survey->points;
    const fl_requirement *asked = survey->asked[run];
    const double *frequencies = survey->frequencies[asked->band];
    double *margin_db = fl_memory_take(points, sizeof *margin_db);
    unsigned char *marks = fl_memory_take(points, 1);
    bool well = margin_db != NULL && marks != NULL;
    for (size_t i = 0; well && i < points; i++)
        margin_db[i] = fl_margin_db(asked, survey->power[run][i]);
    well = well && grow(list, brackets, mark_peaks(marks, margin_db, points));
    for (size_t i = 0; well && i < points; i++) {
        if (!marks[i])
            continue;
        list->peaks[list->count] = (fl_peak){.run = run,
                                             .band = asked->band,
                                             .frequency = frequencies[i],
                                             .power = survey->power[run][i],
                                             .margin_db = margin_db[i]};
        bracket_init(&(*brackets)[list->count], frequencies, i, points);
        list->count++;
    }
    fl_memory_free(margin_db);
    fl_memory_free(marks);
    return well ? FL_OK : FL_NO_MEMORY;
}

/* For qsort and bsearch: rising. */
static int compare_doubles(const void *a, const void *b)
{
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

/* The frequencies that the brackets of one band ask for, rising, each once, as a grid must be. */
static fl_grid gather(double *room, const fl_peak_list *list, const fl_bracket *brackets,
                      size_t band)
{
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < list->count; i++)
        if (list->peaks[i].band == band)
            room[count++] = brackets[i].inner[brackets[i].next];
    qsort(room, count, sizeof *room, compare_doubles);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || room[i] > room[kept - 1])
            room[kept++] = room[i];
    return (fl_grid){.frequencies = room, .count = kept};
}

/* Golden section [Kiefer1953]: keeps the side of the worse inner place; the other inner place
 * falls on one that is known. */
static void shrink(fl_bracket *around)
{
    size_t worse = around->margin_db[0] <= around->margin_db[1] ? 0 : 1;
    if (worse == 0)
        around->high = around->inner[1];
    else
        around->low = around->inner[0];
    around->inner[1 - worse] = around->inner[worse];
    around->margin_db[1 - worse] = around->margin_db[worse];
    double kept = golden * (around->high - around->low);
    around->inner[worse] = worse == 0 ? around->high - kept : around->low + kept;
    around->next = worse;
}

/* Takes the answer at the place a bracket asked for. The best place seen is kept, whatever the
 * bracket shrinks to. */
static void note(fl_peak *peak, fl_bracket *around, const fl_survey *survey, const fl_look *at,
                 bool first)
{
    const fl_run *run = &at->runs[peak->run];
    double wanted = around->inner[around->next];
    const double *found =
        bsearch(&wanted, run->frequencies, run->count, sizeof wanted, compare_doubles);
    if (found == NULL)
        return;
    double power = at->power[run->first + (size_t)(found - run->frequencies)];
    double margin_db = fl_margin_db(survey->asked[peak->run], power);
    around->margin_db[around->next] = margin_db;
    if (margin_db < peak->margin_db) {
        peak->frequency = wanted;
        peak->power = power;
        peak->margin_db = margin_db;
    }
    if (first)
        around->next = 1;
    else
        shrink(around);
}

/* All brackets take one step at a time, so that each step is one response of all cases. A band
 * without a bracket is looked at once, as no grid may be empty. */
static fl_status close_in(fl_peak_list *list, fl_bracket *brackets, fl_survey *survey,
                          fl_error *error)
{
    size_t bands = survey->study->design->band_count;
    fl_status status = FL_OK;
    double *room = fl_memory_take(list->count * bands, sizeof *room);
    if (room == NULL)
        return fl_fail_memory(error);
    for (int turn = 0; turn < LOOKS && status == FL_OK; turn++) {
        fl_look at;
        for (size_t i = 0; i < bands; i++) {
            survey->grids[i] = gather(room + i * list->count, list, brackets, i);
            if (survey->grids[i].count == 0)
                survey->grids[i] = (fl_grid){.frequencies = survey->frequencies[i], .count = 1};
        }
        status = look_open(&at, survey, error);
        for (size_t i = 0; i < list->count && status == FL_OK; i++)
            note(&list->peaks[i], &brackets[i], survey, &at, turn == 0);
        look_close(&at);
    }
    fl_memory_free(room);
    return status;
}

/* Runs differ in bands and signs; all share the responses. */
fl_status fl_peak_list_find(fl_peak_list *list, const fl_study *study, const double *quantities,
                            fl_error *error)
{
    fl_survey survey;
    fl_bracket *brackets = NULL;
    *list = (fl_peak_list){.peaks = NULL};
    fl_status status = survey_init(&survey, study, quantities, error);
    if (status == FL_OK)
        status = survey_fill(&survey, error);
    for (size_t i = 0; i < survey.run_count && status == FL_OK; i++)
        if (append_peaks(list, &brackets, &survey, i) != FL_OK)
            status = fl_fail_memory(error);
    if (status == FL_OK)
        status = close_in(list, brackets, &survey, error);
    list->run_count = survey.run_count;
    fl_memory_free(brackets);
    fl_arena_release(&survey.arena);
    return status;
}

void fl_peak_list_release(fl_peak_list *list)
{
    fl_memory_free(list->peaks);
    *list = (fl_peak_list){.peaks = NULL};
}

/* The entry of a worst has no meaning over a continuous band. */
static void take_worst(fl_worst *worst, const fl_peak *peak, bool first)
{
    if (!first && worst->margin_db <= peak->margin_db)
        return;
    worst->frequency = peak->frequency;
    worst->value_db = fl_loss_db(peak->power);
    worst->margin_db = peak->margin_db;
}

/* Peaks come in the order of runs, so that the first of each run starts its worst. */
fl_status fl_peaks_find(fl_peaks *peaks, const fl_study *study, const double *quantities,
                        fl_error *error)
{
    fl_peak_list list;
    *peaks = (fl_peaks){.worst = NULL};
    fl_arena_init(&peaks->arena);
    fl_status status = fl_peak_list_find(&list, study, quantities, error);
    if (status != FL_OK)
        goto cleanup;
    peaks->worst = fl_arena_take(&peaks->arena, list.run_count, sizeof *peaks->worst);
    if (peaks->worst == NULL) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    peaks->count = list.run_count;
    peaks->margin_db = HUGE_VAL;
    for (size_t i = 0; i < list.count; i++) {
        const fl_peak *peak = &list.peaks[i];
        take_worst(&peaks->worst[peak->run], peak, i == 0 || list.peaks[i - 1].run != peak->run);
        if (peak->margin_db < peaks->margin_db) {
            peaks->margin_db = peak->margin_db;
            peaks->worst_run = peak->run;
        }
    }
cleanup:
    fl_peak_list_release(&list);
    return status;
}

void fl_peaks_release(fl_peaks *peaks)
{
    fl_arena_release(&peaks->arena);
    peaks->worst = NULL;
    peaks->count = 0;
}
