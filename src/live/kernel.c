/* What a page may call of a live model. */
#include "live/kernel.h"

#include <math.h>

#include "base/text.h"
#include "live/live.h"

struct fl_kernel {
    fl_arena arena;
    fl_live *live;
    fl_error problem;
    size_t *sizes; /* [size_count] into the quantities */
    size_t size_count;
    double *frequencies; /* [look_count] */
    size_t look_count;
    double *results; /* of the last call */
    fl_arena walk_arena;
    fl_walk walk;
    size_t walk_case;
    char *saved;
    size_t saved_length;
};

/* The page has no other way to memory of the kernel. */
void *fl_kernel_take(size_t length)
{
    return fl_memory_take(length, 1);
}

void fl_kernel_give(void *room)
{
    fl_memory_free(room);
}

static const fl_design *design_of(const fl_kernel *kernel)
{
    return fl_live_design(kernel->live);
}

/* Only once the model is open. */
static fl_status list_sizes(fl_kernel *kernel)
{
    const fl_design *design = design_of(kernel);
    kernel->sizes = fl_arena_take(&kernel->arena, design->quantity_count, sizeof *kernel->sizes);
    if (kernel->sizes == NULL)
        return fl_fail_memory(&kernel->problem);
    for (size_t i = 0; i < design->quantity_count; i++)
        if (design->quantities[i].sized)
            kernel->sizes[kernel->size_count++] = i;
    return FL_OK;
}

/* A kernel whose bytes were wrong is there all the same: it says what is wrong with them. */
fl_kernel *fl_kernel_open(const char *bytes, size_t length)
{
    fl_kernel *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return NULL;
    fl_arena_init(&made->arena);
    fl_arena_init(&made->walk_arena);
    if (fl_live_open(&made->live, bytes, length, &made->problem) == FL_OK)
        list_sizes(made);
    return made;
}

/* Also of one without a model. */
void fl_kernel_close(fl_kernel *kernel)
{
    if (kernel == NULL)
        return;
    fl_live_free(kernel->live);
    fl_memory_free(kernel->frequencies);
    fl_memory_free(kernel->results);
    fl_memory_free(kernel->saved);
    fl_arena_release(&kernel->walk_arena);
    fl_arena_release(&kernel->arena);
    fl_memory_free(kernel);
}

const char *fl_kernel_problem(const fl_kernel *kernel)
{
    return kernel->problem.status != FL_OK ? kernel->problem.message : NULL;
}

/* ---- what there is ---- */

/* Sizes are counted apart from other quantities, in the order of the design. */
size_t fl_kernel_sizes(const fl_kernel *kernel)
{
    return kernel->size_count;
}

/* Which text is a number, as a page has no names for them. */
const char *fl_kernel_size_text(const fl_kernel *kernel, size_t size, int which)
{
    const fl_design *design = design_of(kernel);
    if (size >= kernel->size_count)
        return NULL;
    const fl_quantity *quantity = &design->quantities[kernel->sizes[size]];
    switch (which) {
    case 0:
        return quantity->name;
    case 1:
        return quantity->only_case != FL_NONE ? design->cases[quantity->only_case].name : NULL;
    case 2:
        return fl_unit_name(quantity->dimension);
    case 3:
        return fl_side_name(quantity->side);
    default:
        return NULL;
    }
}

double fl_kernel_size_number(const fl_kernel *kernel, size_t size, int which)
{
    const fl_design *design = design_of(kernel);
    if (size >= kernel->size_count || which < 0 || which > 4)
        return 0.0;
    const fl_quantity *quantity = &design->quantities[kernel->sizes[size]];
    const double numbers[] = {(double)kernel->sizes[size], quantity->low, quantity->high,
                              quantity->grid, quantity->value};
    return numbers[which];
}

size_t fl_kernel_cases(const fl_kernel *kernel)
{
    return design_of(kernel)->case_count;
}

const char *fl_kernel_case(const fl_kernel *kernel, size_t index)
{
    const fl_design *design = design_of(kernel);
    return index < design->case_count ? design->cases[index].name : NULL;
}

/* As design files have it. */
static const char *port_name(int port)
{
    return port == FL_PORT_DIE ? "die" : "board";
}

size_t fl_kernel_requirements(const fl_kernel *kernel)
{
    return design_of(kernel)->requirement_count;
}

const char *fl_kernel_requirement_text(const fl_kernel *kernel, size_t index, int which)
{
    const fl_design *design = design_of(kernel);
    if (index >= design->requirement_count)
        return NULL;
    const fl_requirement *asked = &design->requirements[index];
    return which == 0 ? fl_asked_name(asked->asked) : port_name(asked->port);
}

double fl_kernel_requirement_number(const fl_kernel *kernel, size_t index, int which)
{
    const fl_design *design = design_of(kernel);
    if (index >= design->requirement_count || which < 0 || which > 5)
        return 0.0;
    const fl_requirement *asked = &design->requirements[index];
    const fl_band *band = &design->bands[asked->band];
    const double numbers[] = {asked->at_least, asked->limit_db, asked->weight,
                              band->low,       band->high,      asked->implied};
    return numbers[which];
}

/* Without a draw every part is like the other. */
size_t fl_kernel_samples(const fl_kernel *kernel)
{
    return design_of(kernel)->draw_count > 0 ? FL_LIVE_SAMPLES : 0;
}

const char *fl_kernel_port(const fl_kernel *kernel)
{
    return port_name(fl_live_port(kernel->live));
}

/* ---- values ---- */

double fl_kernel_value(const fl_kernel *kernel, size_t index)
{
    const bool there = index < design_of(kernel)->quantity_count;
    return there ? fl_live_quantities(kernel->live)[index] : 0.0;
}

double fl_kernel_set(fl_kernel *kernel, size_t index, double value)
{
    return fl_live_set(kernel->live, index, value);
}

void fl_kernel_reset(fl_kernel *kernel)
{
    fl_live_reset(kernel->live);
}

/* ---- results ---- */

/* A new block for numbers, in the place of an old one. */
static double *renew(double **numbers, size_t count)
{
    fl_memory_free(*numbers);
    *numbers = fl_memory_take(count, sizeof **numbers);
    return *numbers;
}

/* Ends a call that may have failed; 1 when it went well. */
static int told(fl_kernel *kernel, fl_status status)
{
    kernel->problem.status = status;
    return status == FL_OK;
}

const double *fl_kernel_results(const fl_kernel *kernel)
{
    return kernel->results;
}

/* The page fills the room before it asks. */
double *fl_kernel_look_at(fl_kernel *kernel, size_t count)
{
    double *frequencies = renew(&kernel->frequencies, count);
    kernel->look_count = frequencies != NULL ? count : 0;
    return frequencies;
}

/* The points at which requirements and yields are judged. */
size_t fl_kernel_look_at_band(fl_kernel *kernel)
{
    const fl_design *design = design_of(kernel);
    double *frequencies = fl_kernel_look_at(kernel, design->points);
    if (frequencies != NULL)
        fl_band_grid(frequencies, &design->bands[0], design->points);
    return kernel->look_count;
}

/* Frequencies come from the page, which may have put anything there. */
static bool frequencies_good(const fl_kernel *kernel)
{
    for (size_t i = 0; i < kernel->look_count; i++)
        if (!(kernel->frequencies[i] > 0.0) || !isfinite(kernel->frequencies[i]))
            return false;
    return kernel->look_count > 0;
}

/* Frequencies stand in front of the losses, so that the page has all in one piece. */
int fl_kernel_respond(fl_kernel *kernel, size_t case_index)
{
    const size_t count = kernel->look_count;
    double *results = renew(&kernel->results, 3 * count);
    if (results == NULL)
        return told(kernel, fl_fail_memory(&kernel->problem));
    if (case_index >= design_of(kernel)->case_count || !frequencies_good(kernel))
        return told(kernel, fl_fail(&kernel->problem, FL_BAD_INPUT, "",
                                    "expected a case and frequencies above 0 Hz"));
    for (size_t i = 0; i < count; i++)
        results[i] = kernel->frequencies[i];
    fl_live_losses losses = {count, results, results + count, results + 2 * count};
    return told(kernel, fl_live_respond(kernel->live, &losses, case_index, &kernel->problem));
}

/* Of one case: its smallest margin, and whether all of it are met. */
static void tell_case(double numbers[5], const fl_design *design, const fl_worst *worst)
{
    bool met = true;
    size_t least = 0;
    for (size_t r = 0; r < design->requirement_count; r++) {
        met = met && (design->requirements[r].implied || fl_margin_met(worst[r].margin_db));
        if (worst[r].margin_db < worst[least].margin_db)
            least = r;
    }
    numbers[0] = worst[least].margin_db;
    numbers[1] = met;
    numbers[2] = (double)least;
    numbers[3] = worst[least].frequency;
    numbers[4] = worst[least].value_db;
}

/* Worsts come by case, then requirement. */
int fl_kernel_margin(fl_kernel *kernel)
{
    const fl_design *design = design_of(kernel);
    const size_t requirements = design->requirement_count;
    fl_peaks peaks = {0};
    double *results = renew(&kernel->results, 1 + 5 * design->case_count);
    if (results == NULL)
        return told(kernel, fl_fail_memory(&kernel->problem));
    const fl_status status = fl_live_peaks(kernel->live, &peaks, &kernel->problem);
    for (size_t c = 0; status == FL_OK && c < design->case_count; c++)
        tell_case(results + 1 + 5 * c, design, peaks.worst + c * requirements);
    const size_t worst = peaks.worst_run / requirements;
    if (status == FL_OK)
        results[0] = (double)worst;
    fl_peaks_release(&peaks);
    return told(kernel, status);
}

/* The steps of the walk before are given up first: a page looks at one at a time. */
size_t fl_kernel_smith(fl_kernel *kernel, size_t case_index, double frequency)
{
    fl_arena_release(&kernel->walk_arena);
    kernel->walk = (fl_walk){.frequency = frequency};
    kernel->walk_case = case_index;
    if (case_index >= design_of(kernel)->case_count || !(frequency > 0.0) || !isfinite(frequency))
        fl_fail(&kernel->problem, FL_BAD_INPUT, "", "expected a case and a frequency above 0 Hz");
    else
        told(kernel, fl_live_walk(kernel->live, &kernel->walk, &kernel->walk_arena, case_index,
                                  &kernel->problem));
    return kernel->walk.step_count;
}

/* The first step is the port, which is no section. */
const char *fl_kernel_step_section(const fl_kernel *kernel, size_t step)
{
    const fl_case *of = &design_of(kernel)->cases[kernel->walk_case];
    return step > 0 && step < kernel->walk.step_count ? of->sections[step - 1].name : "";
}

size_t fl_kernel_step_length(const fl_kernel *kernel, size_t step)
{
    return step < kernel->walk.step_count ? kernel->walk.steps[step].count : 0;
}

const double *fl_kernel_step_points(const fl_kernel *kernel, size_t step)
{
    return step < kernel->walk.step_count ? kernel->walk.steps[step].reflection[0] : NULL;
}

double fl_kernel_reference(const fl_kernel *kernel)
{
    return fl_walk_reference(design_of(kernel));
}

/* More samples than the page's own are for who waits: up to a million. */
static const double most_samples = 1e6;

int fl_kernel_yield(fl_kernel *kernel, double samples)
{
    const size_t cases = design_of(kernel)->case_count;
    fl_quick quick = {0};
    double *results = renew(&kernel->results, 7 + cases);
    if (results == NULL)
        return told(kernel, fl_fail_memory(&kernel->problem));
    if (fl_kernel_samples(kernel) == 0 || !(samples >= 1.0 && samples <= most_samples))
        return told(kernel, fl_fail(&kernel->problem, FL_BAD_INPUT, "",
                                    "expected a spread and 1 to 1000000 samples"));
    const fl_status status =
        fl_live_produce(kernel->live, &quick, (uint64_t)samples, &kernel->problem);
    if (status != FL_OK)
        return told(kernel, status);
    const double counts[] = {(double)quick.samples,
                             (double)quick.passed,
                             (double)quick.not_physical,
                             (double)quick.outside,
                             quick.estimate,
                             quick.low,
                             quick.high};
    for (size_t i = 0; i < 7; i++)
        results[i] = counts[i];
    for (size_t c = 0; c < cases; c++)
        results[7 + c] = (double)quick.case_passed[c];
    return told(kernel, FL_OK);
}

/* The text of the call before is given up. */
const char *fl_kernel_save(fl_kernel *kernel)
{
    fl_memory_free(kernel->saved);
    kernel->saved = NULL;
    kernel->saved_length = 0;
    told(kernel,
         fl_live_save(kernel->live, &kernel->saved, &kernel->saved_length, &kernel->problem));
    return kernel->saved;
}

size_t fl_kernel_saved_length(const fl_kernel *kernel)
{
    return kernel->saved_length;
}
