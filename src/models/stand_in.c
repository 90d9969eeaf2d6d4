/* Kinds as bytes and back: those of closed formulas are known by name; a costly one travels as its
 * rules and forms, and what comes back stands in for it where nothing can be solved: its fit is all
 * that is known of it. */
#include <string.h>

#include "models/kinds.h"

static const fl_physics *const closed[] = {&fl_series_inductor,
                                           &fl_shunt_inductor,
                                           &fl_series_capacitor,
                                           &fl_shunt_capacitor,
                                           &fl_series_resistor,
                                           &fl_shunt_resistor,
                                           &fl_line,
                                           &fl_open_stub,
                                           &fl_shorted_stub,
                                           &fl_measured};

/* Every value but those of a whole fit is refused. */
static fl_status refuse_to_solve(double (*values)[FL_VALUES], const double *parameters,
                                 const fl_setting *setting, fl_error *error)
{
    (void)values;
    (void)parameters;
    (void)setting;
    return fl_fail(error, FL_BAD_INPUT, "", "values farther off than the fits reach");
}

/* Kinds have names that nothing else has. */
static const fl_kind *find_closed(const char *name)
{
    for (size_t i = 0; i < FL_LENGTH_OF(closed); i++)
        if (strcmp(closed[i]->kind.name, name) == 0)
            return &closed[i]->kind;
    return NULL;
}

/* Names of parameters are for readers of files; a study needs their rules. */
void fl_kind_pack(fl_text *text, const fl_kind *kind)
{
    const fl_physics *physics = (const fl_physics *)kind;
    const bool costly = physics->solve != NULL;
    fl_pack_string(text, kind->name);
    fl_pack_flag(text, costly);
    if (!costly)
        return;
    fl_pack_count(text, kind->parameter_count);
    for (size_t i = 0; i < kind->parameter_count; i++)
        fl_pack_count(text, (size_t)kind->parameters[i].rule);
    fl_pack_count(text, physics->along);
    fl_pack_count(text, physics->form_count);
    for (size_t i = 0; i < physics->form_count; i++)
        fl_pack_count(text, (size_t)physics->forms[i]);
}

/* Its forms are not data, which only a file could fill. */
static const fl_kind *unpack_stand_in(fl_unpack *from, const char *name)
{
    fl_physics *made = fl_unpack_take(from, 1, sizeof *made);
    fl_parameter *parameters = fl_unpack_take(from, FL_PARTIALS, sizeof *parameters);
    fl_form *forms = fl_unpack_take(from, FL_ELEMENTS, sizeof *forms);
    if (made == NULL || parameters == NULL || forms == NULL)
        return NULL;
    const size_t parameter_count = fl_unpack_index(from, FL_PARTIALS + 1);
    for (size_t i = 0; i < parameter_count; i++)
        parameters[i].rule = (fl_rule)fl_unpack_index(from, FL_WHOLE_OR_NONE + 1);
    const size_t along = fl_unpack_index(from, parameter_count + 1);
    const size_t form_count = fl_unpack_index(from, FL_ELEMENTS + 1);
    for (size_t i = 0; i < form_count; i++)
        forms[i] = (fl_form)fl_unpack_index(from, FL_FORM_DATA); /* data are measured */
    fl_unpack_must(from, form_count > 0);
    *made = (fl_physics){
        .kind = {.name = name, .parameters = parameters, .parameter_count = parameter_count},
        .forms = forms,
        .form_count = form_count,
        .along = along,
        .solve = refuse_to_solve};
    return &made->kind;
}

/* A kind that nobody knows would have no formulas. */
const fl_kind *fl_kind_unpack(fl_unpack *from)
{
    const char *name = fl_unpack_string(from);
    const bool costly = fl_unpack_flag(from);
    if (!fl_unpack_well(from))
        return NULL;
    const fl_kind *kind = costly ? unpack_stand_in(from, name) : find_closed(name);
    return fl_unpack_must(from, kind != NULL) && fl_unpack_well(from) ? kind : NULL;
}
