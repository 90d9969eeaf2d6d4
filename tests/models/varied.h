/** A costly section on its own: its values, its fit over ranges, and random parameters. */
#ifndef FL_TESTS_VARIED_H
#define FL_TESTS_VARIED_H

#include <gsl/gsl_errno.h>

#include "models/fit.h"
#include "sample.h"

__attribute__((unused)) static fl_setting varied_setting(void)
{
    fl_setting setting;
    fl_setting_init(&setting, 28e9, 26.5e9, 29.5e9);
    return setting;
}

/** Electrical values at the parameters; the error ends the test. */
__attribute__((unused)) static void varied_values(double (*values)[FL_VALUES], const char *kind,
                                                  const double *parameters)
{
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    const fl_setting setting = varied_setting();
    fl_error error = {0};
    gsl_set_error_handler_off();
    assert_null(physics->refuse(parameters));
    check_ok(physics->solve(values, parameters, &setting, &error), error);
}

__attribute__((unused)) static double varied_value(const char *kind, const double *parameters,
                                                   size_t element, size_t value)
{
    double values[FL_ELEMENTS][FL_VALUES];
    varied_values(values, kind, parameters);
    return values[element][value];
}

/** A property by its name. */
__attribute__((unused)) static double varied_property(const char *kind, const double *parameters,
                                                      const char *name)
{
    fl_property properties[FL_PROPERTIES];
    const fl_physics *physics = (const fl_physics *)sample_kind(kind);
    const fl_setting setting = varied_setting();
    gsl_set_error_handler_off();
    const size_t count = physics->describe(properties, parameters, &setting);
    for (size_t i = 0; i < count; i++)
        if (strcmp(properties[i].name, name) == 0)
            return properties[i].value;
    print_error("'%s' has no property '%s'\n", kind, name);
    abort();
}

/** What the fit of a kind varies: parameters [count] by a share up and down. */
typedef struct varied_plan {
    const char *kind;
    const double *parameters;
    const size_t *which;
    size_t count;
    double share;
} varied_plan;

__attribute__((unused)) static fl_status varied_source(double *outputs, const double *inputs,
                                                       void *payload, fl_error *error)
{
    const varied_plan *plan = payload;
    const fl_physics *physics = (const fl_physics *)sample_kind(plan->kind);
    const fl_setting setting = varied_setting();
    double p[FL_PARTIALS], values[FL_ELEMENTS][FL_VALUES] = {{0.0}};
    memcpy(p, plan->parameters, physics->kind.parameter_count * sizeof *p);
    for (size_t i = 0; i < plan->count; i++)
        p[plan->which[i]] = inputs[i];
    const fl_status status = physics->solve(values, p, &setting, error);
    memcpy(outputs, values, physics->form_count * sizeof *values);
    return status;
}

/** Error of a fit that stops as soon as it is under a thousandth. */
__attribute__((unused)) static double varied_error(const varied_plan *plan)
{
    const fl_physics *physics = (const fl_physics *)sample_kind(plan->kind);
    double low[FL_PARTIALS], high[FL_PARTIALS];
    fl_error error = {0};
    fl_fit *fit = NULL;
    varied_plan copy = *plan;
    for (size_t i = 0; i < plan->count; i++) {
        low[i] = plan->parameters[plan->which[i]] * (1.0 - plan->share);
        high[i] = plan->parameters[plan->which[i]] * (1.0 + plan->share);
    }
    const fl_fit_plan wanted = {.input_count = plan->count,
                                .output_count = physics->form_count * FL_VALUES,
                                .low = low,
                                .high = high,
                                .source = varied_source,
                                .payload = &copy,
                                .wanted = 1e-4,
                                .allowed = 1e-3};
    check_ok(fl_fit_new(&fit, &wanted, &error), error);
    const double found = fl_fit_error(fit);
    fl_fit_free(fit);
    return found;
}

#endif
