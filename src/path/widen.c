/* Groundwork for a look far beyond the bands: dispersive lines with nodes over all of it, data as
 * far as they go. */
#include <math.h>
#include <string.h>

#include "path/groundwork.h"

/* Values of these forms belong to the setting's nodes; those of all others serve any frequency. */
static bool has_nodes(const fl_section *section)
{
    const fl_physics *physics = fl_section_physics(section);
    for (size_t i = 0; i < physics->form_count; i++)
        if (physics->forms[i] == FL_FORM_WAVE || physics->forms[i] == FL_FORM_WAVE_OPEN_STUB)
            return true;
    return false;
}

/* One end of the band, drawn in to where the data of a file end; told only where it moves. */
static fl_status cut_end(fl_groundwork *wide, double *end, const char *file, bool low,
                         fl_error *error)
{
    double first, last;
    fl_network_range(fl_groundwork_network(wide, file), &first, &last);
    const double limit = low ? first : last;
    if (low ? *end >= limit : *end <= limit)
        return FL_OK;
    *end = limit;
    return fl_groundwork_warn(
        wide,
        fl_arena_print(&wide->arena, "the wide sweep %s at %.6g GHz, where the data of '%s' do",
                       low ? "begins" : "ends", limit / 1e9, file),
        error);
}

static fl_status cut(fl_groundwork *wide, fl_band *band, const char *file, fl_error *error)
{
    if (file == NULL)
        return FL_OK;
    const fl_status status = cut_end(wide, &band->low, file, true, error);
    return status == FL_OK ? cut_end(wide, &band->high, file, false, error) : status;
}

/* Ports and the measured sections of every case: all cases share one sweep. */
static fl_status cut_all(fl_groundwork *wide, fl_band *band, fl_error *error)
{
    const fl_design *design = wide->design;
    fl_status status = FL_OK;
    for (size_t i = 0; status == FL_OK && i < FL_PORTS; i++)
        status = cut(wide, band, design->ports[i].file, error);
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = cut(wide, band, design->cases[i].sections[j].file, error);
    return status;
}

/* What a model says of the wide range but not of the bands, of which it has been told already. */
static fl_status note_section(fl_groundwork *wide, const fl_setting *narrow,
                              const fl_section *section, const double *quantities, fl_error *error)
{
    double parameters[FL_PARTIALS];
    const fl_physics *physics = fl_section_physics(section);
    if (physics->caution == NULL)
        return FL_OK;
    fl_section_parameters(parameters, section, quantities);
    const char *text = physics->caution(parameters, &wide->setting);
    const char *told = physics->caution(parameters, narrow);
    if (text == NULL || (told != NULL && strcmp(text, told) == 0))
        return FL_OK;
    return fl_groundwork_warn(
        wide, fl_arena_print(&wide->arena, "in the wide sweep '%s': %s", section->name, text),
        error);
}

/* A fit serves as it is, unless its values belong to other frequencies. */
static fl_status prepare(fl_groundwork *wide, const fl_groundwork *from, size_t case_index,
                         size_t index, const double *quantities, fl_error *error)
{
    const fl_section *section = &wide->design->cases[case_index].sections[index];
    const fl_vary nothing = {.quantities = quantities};
    fl_prepared *known = from->prepared != NULL ? from->prepared[case_index][index] : NULL;
    if (known == NULL || has_nodes(section))
        return fl_groundwork_prepare(wide, case_index, index, &nothing, error);
    wide->prepared[case_index][index] = known;
    return FL_OK;
}

/* All but setting and nodes are those of the groundwork it comes from. */
static fl_status fill(fl_groundwork *wide, fl_band *band, const fl_groundwork *from,
                      const double *quantities, fl_error *error)
{
    const fl_design *design = from->design;
    fl_status status = cut_all(wide, band, error);
    if (status == FL_OK)
        status = fl_groundwork_take_prepared(wide, error);
    /* The ends of the bands are within, whatever the sweep: data cover them. */
    fl_setting_init(&wide->setting, 0.5 * (design->bands[0].low + design->bands[0].high), band->low,
                    band->high);
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++) {
            status = note_section(wide, &from->setting, &design->cases[i].sections[j], quantities,
                                  error);
            if (status == FL_OK)
                status = prepare(wide, from, i, j, quantities, error);
        }
    return status == FL_OK ? fl_groundwork_solve(wide, 1, error) : status;
}

/* The band is given back only with the groundwork. */
fl_status fl_groundwork_widen(fl_groundwork **wide, fl_band *band, const fl_groundwork *from,
                              const double *quantities, fl_error *error)
{
    fl_band kept = *band;
    fl_groundwork *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    made->design = from->design;
    made->plain = from->plain != NULL ? from->plain : from;
    made->files = from->files;
    const fl_status status = fill(made, &kept, from, quantities, error);
    if (status != FL_OK) {
        fl_groundwork_free(made);
        return status;
    }
    *wide = made;
    *band = kept;
    return FL_OK;
}
