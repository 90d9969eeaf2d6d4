/** One section on its own: its values, and their slopes against differences. */
#ifndef FL_TESTS_PHYSICS_H
#define FL_TESTS_PHYSICS_H

#include "sample.h"

/** Electrical values at the parameters, without derivatives. */
__attribute__((unused)) static void physics_values(double (*values)[FL_VALUES], const char *kind,
                                                   const double *parameters, double w0)
{
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    fl_dual duals[FL_ELEMENTS][FL_VALUES], constants[FL_CLOSED_PARTIALS];
    const fl_setting setting = {.w0 = w0};
    for (size_t i = 0; i < physics->kind.parameter_count; i++)
        constants[i] = fl_dual_constant(parameters[i]);
    physics->evaluate(duals, constants, &setting);
    for (size_t e = 0; e < physics->form_count; e++)
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
            values[e][v] = duals[e][v].value;
}

/** A property by its name. */
__attribute__((unused)) static double physics_property(const char *kind, const double *parameters,
                                                       double w0, const char *name)
{
    fl_property properties[FL_PROPERTIES];
    const fl_setting setting = {.w0 = w0};
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    const size_t count = physics->describe(properties, parameters, &setting);
    for (size_t i = 0; i < count; i++)
        if (strcmp(properties[i].name, name) == 0)
            return properties[i].value;
    print_error("'%s' has no property '%s'\n", kind, name);
    abort();
}

/** Checks the partial derivatives of all values against central differences. */
__attribute__((unused)) static void physics_check_slopes(const char *kind, const double *parameters,
                                                         double w0)
{
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    fl_dual duals[FL_ELEMENTS][FL_VALUES], variables[FL_CLOSED_PARTIALS] = {{.value = 0.0}};
    double moved[FL_PARTIALS], above[FL_ELEMENTS][FL_VALUES], below[FL_ELEMENTS][FL_VALUES];
    const size_t count = physics->kind.parameter_count;
    const fl_setting setting = {.w0 = w0};
    for (size_t i = 0; i < count; i++)
        variables[i] = fl_dual_variable(moved[i] = parameters[i], (int)i);
    physics->evaluate(duals, variables, &setting);
    for (size_t i = 0; i < count; i++) {
        if (physics->kind.parameters[i].rule == FL_WHOLE || parameters[i] == 0.0)
            continue;
        const double step = 1e-5; /* relative: error 1e-10 of curvature, 1e-11 of rounding */
        moved[i] = parameters[i] * (1.0 + step);
        physics_values(above, kind, moved, w0);
        moved[i] = parameters[i] * (1.0 - step);
        physics_values(below, kind, moved, w0);
        moved[i] = parameters[i];
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                check_near((above[e][v] - below[e][v]) / (2.0 * step),
                           duals[e][v].partial[i] * parameters[i], 1e-8 * fabs(duals[e][v].value),
                           "%s element %zu value %zu by '%s'", kind, e, v,
                           physics->kind.parameters[i].name);
    }
}

/* With the parameters of these bits the same in all lanes. */
static void physics_check_some_lanes(const char *kind, const double *parameters, double w0,
                                     size_t same)
{
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    const fl_setting setting = {.w0 = w0};
    const size_t count = physics->kind.parameter_count;
    static double rows[FL_PARTIALS][FL_LANES], values[FL_ELEMENTS * FL_VALUES][FL_LANES];
    fl_row inputs[FL_PARTIALS];
    bool refused[FL_LANES] = {false};
    for (size_t k = 0; k < count; k++) {
        inputs[k] = (fl_row){rows[k], (same >> k & 1) != 0};
        for (size_t i = 0; i < FL_LANES; i++)
            rows[k][i] =
                parameters[k] * (inputs[k].same ? 1.0 : 1.0 + 0.01 * (double)((k + 1) * i));
    }
    assert_non_null(physics->evaluate_lanes);
    physics->evaluate_lanes(values, inputs, &setting, refused);
    for (size_t i = 0; i < FL_LANES; i++) {
        double at[FL_PARTIALS], wanted[FL_ELEMENTS][FL_VALUES];
        for (size_t k = 0; k < count; k++)
            at[k] = rows[k][i];
        assert_int_equal(refused[i], physics->refuse != NULL && physics->refuse(at) != NULL);
        physics_values(wanted, kind, at, w0);
        for (size_t e = 0; e < physics->form_count; e++)
            for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
                /* Three roundings at either route. */
                check_close(wanted[e][v], values[e * FL_VALUES + v][i], 6.0 * 0x1p-53,
                            "%s, lane %zu, value %zu, same %zu", kind, i, v, same);
    }
}

/** Checks the operations on lanes against one evaluation a lane, about the parameters, whichever
 * of them vary. */
__attribute__((unused)) static void physics_check_lanes(const char *kind, const double *parameters,
                                                        double w0)
{
    const size_t count = ((const fl_physics *)sample_kind(kind))->kind.parameter_count;
    for (size_t same = 0; same < (size_t)1 << count; same++)
        physics_check_some_lanes(kind, parameters, w0, same);
}

#endif
