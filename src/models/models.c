/* The table of kinds, and what holds for the sections of every kind. */
#include "models/models.h"

#include <math.h>

#include "models/kinds.h"
#include "models/planar.h"

const fl_physics *const fl_models[] = {&fl_series_inductor,
                                       &fl_shunt_inductor,
                                       &fl_series_capacitor,
                                       &fl_shunt_capacitor,
                                       &fl_series_resistor,
                                       &fl_shunt_resistor,
                                       &fl_line,
                                       &fl_open_stub,
                                       &fl_shorted_stub,
                                       &fl_microstrip,
                                       &fl_open_microstrip_stub,
                                       &fl_grounded_coplanar,
                                       &fl_stripline,
                                       &fl_taper,
                                       &fl_step,
                                       &fl_bond_wires,
                                       &fl_ribbon,
                                       &fl_bump,
                                       &fl_ground,
                                       &fl_via,
                                       &fl_pad,
                                       &fl_lead,
                                       &fl_measured,
                                       NULL};

/* The reader of designs knows kinds; physics is of no use to it. */
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

/* Each parameter is a term of its own. */
void fl_section_parameters(double *parameters, const fl_section *section, const double *quantities)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        parameters[i] = fl_term_value(&section->terms[i], quantities);
}

/* Most kinds take any parameters that obey their rules. */
const char *fl_section_refuse(const fl_section *section, const double *parameters)
{
    const fl_physics *physics = fl_section_physics(section);
    return physics->refuse != NULL ? physics->refuse(parameters) : NULL;
}

/* No default, so that the compiler tells of a new form. */
size_t fl_form_values(fl_form form)
{
    switch (form) {
    case FL_FORM_SERIES:
    case FL_FORM_LINE:
    case FL_FORM_OPEN_STUB:
    case FL_FORM_SHORTED_STUB:
        return 3;
    case FL_FORM_SHUNT_BRANCH:
    case FL_FORM_SHUNT_CAPACITOR:
        return 2;
    case FL_FORM_WAVE:
    case FL_FORM_WAVE_OPEN_STUB:
        return FL_VALUES;
    case FL_FORM_DATA:
        break;
    }
    return 0;
}

size_t fl_form_along(fl_form form)
{
    if (form == FL_FORM_LINE)
        return 1;
    return form == FL_FORM_WAVE ? FL_NODES : fl_form_values(form);
}

fl_status fl_section_bear(double (*values)[FL_VALUES], const fl_section *section, double ratio,
                          const fl_setting *setting, fl_error *error)
{
    const fl_physics *physics = fl_section_physics(section);
    fl_status status = FL_OK;
    for (size_t e = 0; status == FL_OK && e < physics->form_count; e++)
        if (physics->forms[e] == FL_FORM_WAVE)
            status = fl_planar_bear(values[e], ratio, setting, error);
    return status;
}

/* Chebyshev's places keep the polynomial through the nodes from swinging between them. */
void fl_setting_init(fl_setting *setting, double centre, double low, double high)
{
    const double pi = acos(-1.0);
    setting->w0 = 2.0 * pi * centre;
    for (int k = 0; k < FL_NODES; k++) {
        const double place = -cos(pi * (k + 0.5) / FL_NODES);
        setting->nodes[k] = 0.5 * (low + high) + 0.5 * (high - low) * place;
    }
}

/* Closed formulas, without their derivatives. */
static void evaluate_plain(double (*values)[FL_VALUES], const fl_physics *physics,
                           const double *parameters, const fl_setting *setting)
{
    fl_dual duals[FL_ELEMENTS][FL_VALUES], constants[FL_CLOSED_PARTIALS];
    for (size_t i = 0; i < physics->kind.parameter_count; i++)
        constants[i] = fl_dual_constant(parameters[i]);
    physics->evaluate(duals, constants, setting);
    for (size_t e = 0; e < physics->form_count; e++)
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
            values[e][v] = duals[e][v].value;
}

/* A kind has one of the two ways. */
fl_status fl_section_values(double (*values)[FL_VALUES], const fl_section *section,
                            const double *parameters, const fl_setting *setting, fl_error *error)
{
    const fl_physics *physics = fl_section_physics(section);
    if (physics->solve != NULL)
        return physics->solve(values, parameters, setting, error);
    evaluate_plain(values, physics, parameters, setting);
    return FL_OK;
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

/* At the present values first, then at every corner of the sizes. */
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

/* What is refused here would else fail somewhere in a study. */
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
