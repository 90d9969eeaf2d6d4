/* The table of kinds, and what holds for the sections of every kind. */
#include "models/models.h"

#include <math.h>

#include "models/kinds.h"

const fl_physics *const fl_models[] = {&fl_series_inductor,
                                       &fl_shunt_inductor,
                                       &fl_series_capacitor,
                                       &fl_shunt_capacitor,
                                       &fl_series_resistor,
                                       &fl_shunt_resistor,
                                       &fl_line,
                                       &fl_open_stub,
                                       &fl_shorted_stub,
                                       &fl_bond_wires,
                                       &fl_measured,
                                       NULL};

size_t fl_models_kinds(const fl_kind **kinds, size_t room)
{
    size_t count = 0;
    for (; fl_models[count] != NULL; count++)
        if (count < room)
            kinds[count] = &fl_models[count]->kind;
    return count;
}

const fl_physics *fl_section_physics(const fl_section *section)
{
    /* Every kind the reader was given is the first member of a fl_physics. */
    return (const fl_physics *)section->kind;
}

void fl_section_parameters(double *parameters, const fl_section *section, const double *quantities)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        parameters[i] = fl_term_value(&section->terms[i], quantities);
}

const char *fl_section_refuse(const fl_section *section, const double *parameters)
{
    const fl_physics *physics = fl_section_physics(section);
    return physics->refuse != NULL ? physics->refuse(parameters) : NULL;
}

/* Sized quantities that a section uses, each once. Returns their number. */
static size_t sized_of_section(size_t *sized, const fl_section *section, const fl_design *design)
{
    size_t count = 0;
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const size_t quantity = section->terms[i].quantity;
        bool known = quantity == FL_NONE || !design->quantities[quantity].sized;
        for (size_t j = 0; j < count; j++)
            known = known || sized[j] == quantity;
        if (!known)
            sized[count++] = quantity;
    }
    return count;
}

static fl_status check_section(const fl_section *section, const fl_design *design,
                               double *quantities, fl_error *error)
{
    double parameters[FL_PARTIALS];
    size_t sized[FL_PARTIALS];
    const size_t count = sized_of_section(sized, section, design);
    fl_design_start(design, quantities);
    fl_section_parameters(parameters, section, quantities);
    const char *wrong = fl_section_refuse(section, parameters);
    for (size_t corner = 0; wrong == NULL && corner < (size_t)1 << count; corner++) {
        for (size_t j = 0; j < count; j++) {
            const fl_quantity *quantity = &design->quantities[sized[j]];
            quantities[sized[j]] = corner >> j & 1 ? quantity->high : quantity->low;
        }
        fl_section_parameters(parameters, section, quantities);
        wrong = fl_section_refuse(section, parameters);
    }
    if (wrong == NULL)
        return FL_OK;
    return fl_fail(error, FL_BAD_INPUT, section->place, "'%s': %s%s", section->name, wrong,
                   count > 0 ? " (over the whole range of the sizes)" : "");
}

fl_status fl_models_check(const fl_design *design, fl_error *error)
{
    double *quantities = fl_memory_take(design->quantity_count, sizeof *quantities);
    if (quantities == NULL)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = check_section(&design->cases[i].sections[j], design, quantities, error);
    fl_memory_free(quantities);
    return status;
}
