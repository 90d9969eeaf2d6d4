/* The path of one case: its elements, and their electrical values at given quantities. */
#include "path/path.h"

#include <assert.h>

#include "path/groundwork.h"

/* A stretch of a whole case; a section alone is one of a single section. */
fl_stretch fl_case_stretch(const fl_groundwork *groundwork, size_t case_index)
{
    return (fl_stretch){case_index, 0, groundwork->design->cases[case_index].section_count};
}

/* A kind has always the same number of elements, so that the path has its length before any
 * value. */
static size_t count_elements(const fl_section *sections, size_t count)
{
    size_t elements = 0;
    for (size_t i = 0; i < count; i++)
        elements += fl_section_physics(&sections[i])->form_count;
    return elements;
}

/* Elements of one section, all of which its kind fixes: values never change the structure. */
static void lay_section(fl_element *elements, const fl_section *section, size_t index,
                        const fl_groundwork *groundwork)
{
    const fl_physics *physics = fl_section_physics(section);
    for (size_t i = 0; i < physics->form_count; i++) {
        elements[i] = (fl_element){.form = physics->forms[i], .section = index};
        if (physics->forms[i] == FL_FORM_DATA) {
            /* The two parameters of a measured section are its ports, fixed and from 1. */
            elements[i].network = fl_groundwork_network(groundwork, section->file);
            elements[i].die_port = (size_t)section->terms[0].plus - 1;
            elements[i].board_port = (size_t)section->terms[1].plus - 1;
        }
    }
}

/* The path borrows the design's sections; only the elements are its own. */
fl_status fl_path_new(fl_path **path, const fl_groundwork *groundwork, const fl_stretch *stretch,
                      fl_error *error)
{
    const fl_design *design = groundwork->design;
    const fl_section *sections = design->cases[stretch->case_index].sections + stretch->first;
    const size_t count = count_elements(sections, stretch->count);
    fl_path *made = fl_memory_take(1, sizeof *made);
    fl_element *elements = fl_memory_take(count, sizeof *elements);
    if (made == NULL || elements == NULL) {
        fl_memory_free(made);
        fl_memory_free(elements);
        return fl_fail_memory(error);
    }
    *made = (fl_path){.groundwork = groundwork,
                      .stretch = *stretch,
                      .sections = sections,
                      .elements = elements,
                      .element_count = count,
                      .quantity_count = design->quantity_count};
    for (size_t i = 0, next = 0; i < stretch->count; i++) {
        lay_section(elements + next, &sections[i], i, groundwork);
        next += fl_section_physics(&sections[i])->form_count;
    }
    *path = made;
    return FL_OK;
}

void fl_path_free(fl_path *path)
{
    if (path == NULL)
        return;
    fl_memory_free(path->elements);
    fl_memory_free(path);
}

/* What is made ready of a section follows from its kind and terms alone. */
bool fl_path_alike(const fl_path *path, size_t section, const fl_path *other, size_t its)
{
    const fl_section *a = &path->sections[section], *b = &other->sections[its];
    if (a->kind != b->kind || a->file != NULL || b->file != NULL)
        return false;
    for (size_t i = 0; i < a->kind->parameter_count; i++) {
        const fl_term *one = &a->terms[i], *two = &b->terms[i];
        if (one->quantity != two->quantity || one->times != two->times || one->plus != two->plus ||
            one->given != two->given)
            return false;
    }
    return true;
}

/* Rows of the jacobian for one element: d value / d quantity = sum of d value / d parameter times
 * the term's factor. A sum, as several parameters may follow one quantity. Only entries of the
 * section's own quantities are touched: all others are zero for good. */
static void chain_element(double *rows, size_t width, const fl_section *section, fl_form form,
                          const fl_dual values[FL_VALUES])
{
    const size_t parameters = section->kind->parameter_count;
    for (size_t v = 0; v < fl_form_values(form); v++) {
        double *row = rows + v * width;
        for (size_t i = 0; i < parameters; i++)
            if (section->terms[i].quantity != FL_NONE)
                row[section->terms[i].quantity] = 0.0;
        for (size_t i = 0; i < parameters; i++)
            if (section->terms[i].quantity != FL_NONE)
                row[section->terms[i].quantity] += values[v].partial[i] * section->terms[i].times;
    }
}

/* Elements of a section that is not made ready; returns false when its parameters are not physical.
 * A section that has to be solved has no derivatives: only an evaluation without may meet it. */
static bool evaluate_section(const fl_path *path, const fl_section *section,
                             const double *quantities, double (*values)[FL_VALUES],
                             double *jacobian)
{
    fl_dual duals[FL_ELEMENTS][FL_VALUES];
    fl_dual variables[FL_CLOSED_PARTIALS];
    double parameters[FL_PARTIALS];
    const fl_physics *physics = fl_section_physics(section);
    const fl_setting *setting = fl_groundwork_setting(path->groundwork);
    fl_section_parameters(parameters, section, quantities);
    if (!fl_section_physical(section, parameters))
        return false;
    assert(physics->solve == NULL || jacobian == NULL); /* who varies values has made fits */
    if (physics->solve != NULL)
        return fl_section_values(values, section, parameters, setting, NULL) == FL_OK;
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        variables[i] = fl_dual_variable(parameters[i], (int)i);
    physics->evaluate(duals, variables, setting);
    for (size_t e = 0; e < physics->form_count; e++) {
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
            values[e][v] = duals[e][v].value;
        if (jacobian != NULL)
            chain_element(jacobian + e * FL_VALUES * path->quantity_count, path->quantity_count,
                          section, physics->forms[e], duals[e]);
    }
    return true;
}

/* Sections are judged one by one, and the first that cannot be ends it. */
bool fl_path_values(const fl_path *path, const double *quantities, double (*values)[FL_VALUES],
                    double *jacobian)
{
    const size_t width = FL_VALUES * path->quantity_count;
    size_t next = 0;
    for (size_t i = 0; i < path->stretch.count; i++) {
        const fl_section *section = &path->sections[i];
        const size_t first = next;
        next += fl_section_physics(section)->form_count;
        if (fl_path_passes(path, i))
            continue;
        double *rows = jacobian != NULL ? jacobian + first * width : NULL;
        const fl_prepared *prepared = fl_groundwork_prepared(
            path->groundwork, path->stretch.case_index, path->stretch.first + i);
        if (prepared != NULL ? !fl_prepared_values(prepared, quantities, values + first, rows)
                             : !evaluate_section(path, section, quantities, values + first, rows))
            return false;
    }
    return true;
}
