/* The margins of a design: every requirement of every case at every frequency of its band. */
#include <math.h>
#include <string.h>

#include "response/margins.h"

struct fl_work {
    fl_scratch *scratches; /* [sweep_count] */
    size_t count;
};

/* Makes the sweep of a case and a band when the first requirement asks for it. */
static fl_status take_sweep(fl_margins *margins, const fl_groundwork *groundwork,
                            const fl_grid *grids, size_t index, fl_error *error)
{
    const fl_design *design = margins->design;
    const fl_grid *grid = &grids[index % design->band_count];
    if (margins->sweeps[index] != NULL)
        return FL_OK;
    const fl_stretch stretch = fl_case_stretch(groundwork, index / design->band_count);
    return fl_sweep_new(&margins->sweeps[index], groundwork, &stretch, grid, error);
}

/* Requirements may differ in their limits alone: their powers are computed once and copied. */
static size_t first_like(const fl_margins *margins, size_t run)
{
    const fl_run_source *wanted = &margins->sources[run];
    for (size_t i = run - run % margins->design->requirement_count; i < run; i++) {
        const fl_run_source *other = &margins->sources[i];
        if (other->sweep == wanted->sweep && other->reflected == wanted->reflected &&
            (!wanted->reflected || other->port == wanted->port))
            return i;
    }
    return run;
}

/* The entries of a run follow those of the run before. */
static fl_status add_run(fl_margins *margins, const fl_groundwork *groundwork, const fl_grid *grids,
                         size_t run, fl_error *error)
{
    const fl_design *design = margins->design;
    const size_t requirement = run % design->requirement_count;
    const fl_requirement *asked = &design->requirements[requirement];
    const size_t case_index = run / design->requirement_count;
    const size_t sweep = case_index * design->band_count + asked->band;
    const fl_status status = take_sweep(margins, groundwork, grids, sweep, error);
    if (status != FL_OK)
        return status;
    const bool reflected = asked->asked == FL_RETURN_LOSS;
    margins->sources[run] =
        (fl_run_source){.sweep = sweep, .reflected = reflected, .port = asked->port};
    margins->sources[run].first_like = first_like(margins, run);
    if (reflected)
        margins->driven[sweep * FL_PORTS + (size_t)asked->port] = true;
    margins->runs[run] = (fl_run){.case_index = case_index,
                                  .requirement = requirement,
                                  .first = margins->entry_count,
                                  .count = margins->sweeps[sweep]->lanes.count,
                                  .frequencies = margins->sweeps[sweep]->frequencies};
    margins->entry_count += margins->runs[run].count;
    return FL_OK;
}

/* A transmission comes with a march to either port; without a reflection, one to the board. All
 * reflections are noted first: only then is it known which marches there are. */
static void drive_transmissions(fl_margins *margins)
{
    for (size_t i = 0; i < margins->run_count; i++) {
        bool *driven = &margins->driven[margins->sources[i].sweep * FL_PORTS];
        if (!driven[FL_PORT_DIE] && !driven[FL_PORT_BOARD])
            driven[FL_PORT_BOARD] = true;
    }
    for (size_t i = 0; i < margins->run_count; i++) {
        fl_run_source *from = &margins->sources[i];
        if (!from->reflected)
            from->port = margins->driven[from->sweep * FL_PORTS + FL_PORT_BOARD] ? FL_PORT_BOARD
                                                                                 : FL_PORT_DIE;
    }
}

/* Blocks are zero when taken, so that a failure halfway frees what is there. */
fl_status fl_margins_new(fl_margins **margins, const fl_design *design,
                         const fl_groundwork *groundwork, const fl_grid *grids, fl_error *error)
{
    fl_margins *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    made->design = design;
    made->sweep_count = design->case_count * design->band_count;
    made->run_count = design->case_count * design->requirement_count;
    made->sweeps = fl_memory_take(made->sweep_count, sizeof *made->sweeps);
    made->driven = fl_memory_take(made->sweep_count * FL_PORTS, sizeof *made->driven);
    made->runs = fl_memory_take(made->run_count, sizeof *made->runs);
    made->sources = fl_memory_take(made->run_count, sizeof *made->sources);
    fl_status status = FL_OK;
    if (made->sweeps == NULL || made->driven == NULL || made->runs == NULL || made->sources == NULL)
        status = fl_fail_memory(error);
    for (size_t run = 0; status == FL_OK && run < made->run_count; run++)
        status = add_run(made, groundwork, grids, run, error);
    if (status != FL_OK) {
        fl_margins_free(made);
        return status;
    }
    drive_transmissions(made);
    *margins = made;
    return FL_OK;
}

/* Also of margins that are not whole. */
void fl_margins_free(fl_margins *margins)
{
    if (margins == NULL)
        return;
    for (size_t i = 0; margins->sweeps != NULL && i < margins->sweep_count; i++)
        fl_sweep_free(margins->sweeps[i]);
    fl_memory_free(margins->sweeps);
    fl_memory_free(margins->driven);
    fl_memory_free(margins->runs);
    fl_memory_free(margins->sources);
    fl_memory_free(margins);
}

const fl_run *fl_margins_runs(const fl_margins *margins, size_t *count)
{
    *count = margins->run_count;
    return margins->runs;
}

size_t fl_margins_entry_count(const fl_margins *margins)
{
    return margins->entry_count;
}

/* A sweep that no requirement needs has no scratch memory: its place stays zero. */
fl_status fl_work_new(fl_work **work, const fl_margins *margins, fl_error *error)
{
    fl_work *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    made->count = margins->sweep_count;
    made->scratches = fl_memory_take(made->count, sizeof *made->scratches);
    fl_status status = made->scratches == NULL ? fl_fail_memory(error) : FL_OK;
    for (size_t i = 0; status == FL_OK && i < made->count; i++)
        if (margins->sweeps[i] != NULL)
            status = fl_scratch_init(&made->scratches[i], margins->sweeps[i], error);
    if (status != FL_OK) {
        fl_work_free(made);
        return status;
    }
    *work = made;
    return FL_OK;
}

void fl_work_free(fl_work *work)
{
    if (work == NULL)
        return;
    for (size_t i = 0; work->scratches != NULL && i < work->count; i++)
        fl_scratch_release(&work->scratches[i]); /* a zeroed arena is an empty one */
    fl_memory_free(work->scratches);
    fl_memory_free(work);
}

/* What is to be computed: gradient.slopes NULL for powers alone; its stride is the entry count. */
typedef struct wanted {
    double *power;
    fl_gradient gradient;
} wanted;

/* Rows as long as all entries, seen from the run's first one. */
static fl_gradient gradient_of_run(const wanted *out, const fl_run *run)
{
    fl_gradient gradient = out->gradient;
    gradient.slopes += run->first;
    return gradient;
}

/* Powers and slopes of one run, after the march to the port it needs. */
static void take_run(const fl_sweep *sweep, fl_scratch *scratch, const fl_run *run,
                     const fl_run_source *from, const wanted *out)
{
    double *power = out->power + run->first;
    const bool slopes = out->gradient.slopes != NULL;
    const fl_gradient gradient = slopes ? gradient_of_run(out, run) : out->gradient;
    if (from->reflected) {
        fl_march_reflected(sweep, scratch, power);
        if (slopes)
            fl_slopes_reflected(sweep, scratch, from->port, &gradient);
    } else {
        fl_march_transmitted(sweep, scratch, from->port, power);
        if (slopes)
            fl_slopes_transmitted(sweep, scratch, from->port, power, &gradient);
    }
}

/* The first run of its kind was filled in the same march, as it has a smaller index. */
static void copy_run(const fl_run *to, const fl_run *from, const wanted *out)
{
    memcpy(out->power + to->first, out->power + from->first, to->count * sizeof(double));
    for (size_t u = 0; out->gradient.slopes != NULL && u < out->gradient.count; u++) {
        double *row = out->gradient.slopes + u * out->gradient.stride;
        memcpy(row + to->first, row + from->first, to->count * sizeof(double));
    }
}

/* One march to a port serves all runs that ask there. */
static void march_sweep(const fl_margins *margins, fl_work *work, size_t index, int port,
                        const wanted *out)
{
    const fl_sweep *sweep = margins->sweeps[index];
    fl_scratch *scratch = &work->scratches[index];
    fl_march(sweep, scratch, port, out->gradient.slopes != NULL);
    const size_t asked = margins->design->requirement_count;
    const size_t begin = index / margins->design->band_count * asked;
    for (size_t run = begin; run < begin + asked; run++) {
        const fl_run_source *from = &margins->sources[run];
        if (from->sweep != index || from->port != port)
            continue;
        if (from->first_like == run)
            take_run(sweep, scratch, &margins->runs[run], from, out);
        else
            copy_run(&margins->runs[run], &margins->runs[from->first_like], out);
    }
}

/* 0 times anything but a finite number is not 0; the loop has no branch. */
FL_WIDE static bool all_finite(const double *values, size_t count)
{
    double sum = 0.0;
#pragma omp simd reduction(+ : sum)
    for (size_t i = 0; i < count; i++)
        sum += values[i] * 0.0;
    return sum == 0.0;
}

/* Ends at the first section that cannot be; numbers that are not finite are looked for at the end,
 * all at once. */
static bool evaluate(const fl_margins *margins, fl_work *work, const double *quantities,
                     const wanted *out)
{
    const bool slopes = out->gradient.slopes != NULL;
    for (size_t i = 0; i < margins->sweep_count; i++) {
        if (margins->sweeps[i] == NULL)
            continue;
        if (!fl_sweep_fill(margins->sweeps[i], &work->scratches[i], quantities, slopes))
            return false;
        for (int port = 0; port < FL_PORTS; port++)
            if (margins->driven[i * FL_PORTS + (size_t)port])
                march_sweep(margins, work, i, port, out);
    }
    return all_finite(out->power, margins->entry_count) &&
           (!slopes ||
            all_finite(out->gradient.slopes, out->gradient.count * margins->entry_count));
}

/* Without slopes no state between elements is kept, and the march writes over one. */
bool fl_margins_power(const fl_margins *margins, fl_work *work, const double *quantities,
                      double *power)
{
    const wanted out = {.power = power};
    return evaluate(margins, work, quantities, &out);
}

bool fl_margins_gradient(const fl_margins *margins, fl_work *work, const double *quantities,
                         const fl_unknowns *unknowns, double *power, double *gradient)
{
    const wanted out = {.power = power,
                        .gradient = {.slopes = gradient,
                                     .stride = margins->entry_count,
                                     .unknowns = unknowns->indices,
                                     .count = unknowns->count}};
    return evaluate(margins, work, quantities, &out);
}
