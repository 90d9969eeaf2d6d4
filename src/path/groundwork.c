/* The groundwork of a design: data files, fits, and the warnings they give. */
#include "path/groundwork.h"

#include <string.h>

#include "path/solution.h"

/* Fits beyond this are told; they are still within a tenth of a percent. */
static const double told_error = 1e-4;

/* Cases share sections, and what is said of one section need not be said again for each case. */
fl_status fl_groundwork_warn(fl_groundwork *groundwork, const char *text, fl_error *error)
{
    if (text == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < groundwork->warning_count; i++)
        if (strcmp(groundwork->warnings[i], text) == 0)
            return FL_OK;
    if (groundwork->warning_count == groundwork->warning_room) {
        const size_t room = 2 * groundwork->warning_room + 8;
        const char **grown = fl_arena_take(&groundwork->arena, room, sizeof *grown);
        if (grown == NULL)
            return fl_fail_memory(error);
        for (size_t i = 0; i < groundwork->warning_count; i++)
            grown[i] = groundwork->warnings[i];
        groundwork->warnings = grown;
        groundwork->warning_room = room;
    }
    groundwork->warnings[groundwork->warning_count++] = text;
    return FL_OK;
}

size_t fl_groundwork_warning_count(const fl_groundwork *groundwork)
{
    return groundwork->warning_count;
}

const char *fl_groundwork_warning(const fl_groundwork *groundwork, size_t index)
{
    return index < groundwork->warning_count ? groundwork->warnings[index] : NULL;
}

const fl_network *fl_groundwork_network(const fl_groundwork *groundwork, const char *file)
{
    return fl_data_files_find(&groundwork->files, file);
}

uint64_t fl_groundwork_checksum(const fl_groundwork *groundwork)
{
    return fl_data_files_checksum(&groundwork->files);
}

const fl_setting *fl_groundwork_setting(const fl_groundwork *groundwork)
{
    return &groundwork->setting;
}

const fl_prepared *fl_groundwork_prepared(const fl_groundwork *groundwork, size_t case_index,
                                          size_t section)
{
    return groundwork->prepared != NULL ? groundwork->prepared[case_index][section] : NULL;
}

bool fl_groundwork_covers(const fl_groundwork *groundwork, const double *quantities)
{
    for (size_t i = 0; i < groundwork->owned_count; i++)
        if (!fl_prepared_covers(groundwork->owned[i], quantities))
            return false;
    return true;
}

/* The centre is that of the design's own band; the nodes span all bands, so that no requirement is
 * looked at where a dispersive line is extrapolated. */
void fl_groundwork_init_setting(fl_groundwork *groundwork)
{
    const fl_design *design = groundwork->design;
    double low = design->bands[0].low, high = design->bands[0].high;
    const double centre = 0.5 * (low + high);
    for (size_t i = 1; i < design->band_count; i++) {
        low = design->bands[i].low < low ? design->bands[i].low : low;
        high = design->bands[i].high > high ? design->bands[i].high : high;
    }
    fl_setting_init(&groundwork->setting, centre, low, high);
}

/* A section asked at one choice of values after the other, and what its model has said so far: one
 * text at the present values and at each end. */
typedef struct hearing {
    fl_groundwork *groundwork;
    const fl_section *section;
    double *quantities;
    const char *texts[1 + 2 * FL_PARTIALS];
    size_t count;
} hearing;

static bool is_new(const hearing *of, const char *text)
{
    for (size_t i = 0; i < of->count; i++)
        if (strcmp(of->texts[i], text) == 0)
            return false;
    return true;
}

/* Values that do not fit together are not for a model to judge; a design has none within its
 * ranges. With end NULL the values are the present ones. */
static fl_status hear(hearing *of, const fl_quantity *end, const char *which, fl_error *error)
{
    double parameters[FL_PARTIALS];
    const fl_section *section = of->section;
    fl_arena *arena = &of->groundwork->arena;
    fl_section_parameters(parameters, section, of->quantities);
    if (fl_section_refuse(section, parameters) != NULL)
        return FL_OK;
    const char *text = fl_section_physics(section)->caution(parameters, &of->groundwork->setting);
    if (text == NULL || !is_new(of, text))
        return FL_OK;
    of->texts[of->count++] = text;
    return fl_groundwork_warn(
        of->groundwork,
        end ? fl_arena_print(arena, "%s: '%s' with '%s' at its %s end: %s", section->place,
                             section->name, end->name, which, text)
            : fl_arena_print(arena, "%s: '%s': %s", section->place, section->name, text),
        error);
}

/* A size taken to both ends of its range; the others stay at present. */
static fl_status hear_ends(hearing *of, size_t index, fl_error *error)
{
    const fl_quantity *quantity = &of->groundwork->design->quantities[index];
    const double present = of->quantities[index];
    of->quantities[index] = quantity->low;
    fl_status status = hear(of, quantity, "low", error);
    of->quantities[index] = quantity->high;
    if (status == FL_OK)
        status = hear(of, quantity, "high", error);
    of->quantities[index] = present;
    return status;
}

/* Several parameters may follow one size: it is taken to its ends with the first of them. */
static bool is_size(const fl_design *design, const fl_section *section, size_t parameter)
{
    const size_t quantity = section->terms[parameter].quantity;
    for (size_t i = 0; i < parameter; i++)
        if (section->terms[i].quantity == quantity)
            return false;
    return quantity != FL_NONE && design->quantities[quantity].sized;
}

/* At the present values first: what holds there needs no range to be told. */
static fl_status caution_section(fl_groundwork *groundwork, const fl_section *section,
                                 double *quantities, fl_error *error)
{
    hearing of = {.groundwork = groundwork, .section = section, .quantities = quantities};
    if (fl_section_physics(section)->caution == NULL)
        return FL_OK;
    fl_status status = hear(&of, NULL, NULL, error);
    for (size_t i = 0; status == FL_OK && i < section->kind->parameter_count; i++)
        if (is_size(groundwork->design, section, i))
            status = hear_ends(&of, section->terms[i].quantity, error);
    return status;
}

/* A study moves the sizes over their ranges: a range that leaves that of a model, or goes below
 * what a process makes, is told before. */
static fl_status caution(fl_groundwork *groundwork, fl_error *error)
{
    const fl_design *design = groundwork->design;
    double *quantities =
        fl_arena_take(&groundwork->arena, design->quantity_count, sizeof *quantities);
    if (quantities == NULL)
        return fl_fail_memory(error);
    fl_design_start(design, quantities);
    fl_status status = FL_OK;
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = caution_section(groundwork, &design->cases[i].sections[j], quantities, error);
    return status;
}

/* Files before models: a measured section has nothing to say without its data. */
fl_status fl_groundwork_new(fl_groundwork **groundwork, const fl_design *design, fl_error *error)
{
    fl_groundwork *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    made->design = design;
    fl_groundwork_init_setting(made);
    fl_status status = fl_data_files_read(made, error);
    if (status == FL_OK)
        status = caution(made, error);
    if (status == FL_OK)
        status = fl_resonances_warn(made, error);
    if (status != FL_OK) {
        fl_groundwork_free(made);
        return status;
    }
    *groundwork = made;
    return FL_OK;
}

/* A section that comes to the same as an earlier one shares its solution, be it that of another
 * case or another package. */
static void add_solution(fl_groundwork *groundwork, fl_prepared *prepared)
{
    for (size_t i = 0; i < groundwork->solution_count; i++)
        if (fl_prepared_share(prepared, groundwork->solutions[i]))
            return;
    groundwork->solutions[groundwork->solution_count++] = fl_prepared_solution(prepared);
}

/* Models of closed formulas need nothing: their place stays NULL. */
fl_status fl_groundwork_prepare(fl_groundwork *groundwork, size_t case_index, size_t index,
                                const fl_vary *vary, fl_error *error)
{
    const fl_section *section = &groundwork->design->cases[case_index].sections[index];
    fl_prepared **prepared = &groundwork->prepared[case_index][index];
    const fl_varied of = {groundwork->design, &groundwork->setting, vary, section};
    if (fl_section_physics(section)->solve == NULL)
        return FL_OK;
    const fl_status status = fl_prepared_new(prepared, &of, error);
    if (status != FL_OK)
        return status;
    groundwork->owned[groundwork->owned_count++] = *prepared;
    add_solution(groundwork, *prepared);
    return FL_OK;
}

/* How a solution went, in the words of the section that first had it. */
static fl_status report(fl_groundwork *groundwork, const fl_solution *solution, fl_error *error)
{
    const fl_section *section = &solution->section;
    const double missed = solution->fit != NULL ? fl_fit_error(solution->fit) : 0.0;
    if (solution->status != FL_OK) {
        if (error != NULL)
            *error = solution->error;
        return fl_fail_within(error, solution->status, section->place);
    }
    if (missed <= told_error)
        return FL_OK;
    return fl_groundwork_warn(groundwork,
                              fl_arena_print(&groundwork->arena,
                                             "%s: '%s': fitted over its ranges to %.2g %%",
                                             section->place, section->name, 100.0 * missed),
                              error);
}

/* Solutions know nothing of each other. What they tell is told in their order. */
fl_status fl_groundwork_solve(fl_groundwork *groundwork, int threads, fl_error *error)
{
    fl_status status = FL_OK;
#pragma omp parallel for schedule(dynamic, 1) num_threads(threads > 1 ? threads : 1)
    for (size_t i = 0; i < groundwork->solution_count; i++)
        fl_solution_make(groundwork->solutions[i]);
    for (size_t i = 0; status == FL_OK && i < groundwork->solution_count; i++)
        status = report(groundwork, groundwork->solutions[i], error);
    return status;
}

/* Arrays as wide as the cases are long. owned and solutions are filled as sections are laid out, so
 * that a failure halfway frees just those. */
fl_status fl_groundwork_take_prepared(fl_groundwork *groundwork, fl_error *error)
{
    const fl_design *design = groundwork->design;
    fl_prepared ***prepared =
        fl_arena_take(&groundwork->arena, design->case_count, sizeof *prepared);
    size_t sections = 0;
    if (prepared == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->case_count; i++) {
        sections += design->cases[i].section_count;
        prepared[i] =
            fl_arena_take(&groundwork->arena, design->cases[i].section_count, sizeof *prepared[i]);
        if (prepared[i] == NULL)
            return fl_fail_memory(error);
    }
    groundwork->owned = fl_arena_take(&groundwork->arena, sections, sizeof *groundwork->owned);
    groundwork->solutions =
        fl_arena_take(&groundwork->arena, sections, sizeof *groundwork->solutions);
    groundwork->prepared = prepared;
    return groundwork->owned != NULL && groundwork->solutions != NULL ? FL_OK
                                                                      : fl_fail_memory(error);
}

/* Files and setting are those of the plain one; warnings are not, so that they can be told
 * apart. */
fl_status fl_groundwork_fit(fl_groundwork **fitted, const fl_groundwork *plain, const fl_vary *vary,
                            fl_error *error)
{
    const fl_design *design = plain->design;
    fl_groundwork *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    made->design = design;
    made->setting = plain->setting;
    made->plain = plain;
    made->files = plain->files;
    fl_status status = fl_groundwork_take_prepared(made, error);
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = fl_groundwork_prepare(made, i, j, vary, error);
    if (status == FL_OK)
        status = fl_groundwork_solve(made, vary->threads, error);
    if (status != FL_OK) {
        fl_groundwork_free(made);
        return status;
    }
    *fitted = made;
    return FL_OK;
}

/* Files belong to the groundwork that read them. */
void fl_groundwork_free(fl_groundwork *groundwork)
{
    if (groundwork == NULL)
        return;
    for (size_t i = 0; i < groundwork->owned_count; i++)
        fl_prepared_free(groundwork->owned[i]);
    for (size_t i = 0; i < groundwork->solution_count; i++)
        fl_solution_free(groundwork->solutions[i]);
    if (groundwork->plain == NULL)
        fl_data_files_release(&groundwork->files);
    fl_arena_release(&groundwork->arena);
    fl_memory_free(groundwork);
}
