/** A kind of costly sections on its own: its properties, values, and whether they can be fitted. */
#ifndef FL_TESTS_SECTION_H
#define FL_TESTS_SECTION_H

#include "models/fit.h"
#include "models/kinds.h"

/** A band of a fifth to either side. */
__attribute__((unused)) static fl_setting section_setting(double centre)
{
    fl_setting setting;
    fl_setting_init(&setting, centre, 0.8 * centre, 1.2 * centre);
    return setting;
}

/** A property by its name, at a centre. */
__attribute__((unused)) static double section_property(const fl_physics *physics,
                                                       const double *parameters, double centre,
                                                       const char *name)
{
    fl_property properties[FL_PROPERTIES];
    const fl_setting setting = section_setting(centre);
    const size_t count = physics->describe(properties, parameters, &setting);
    assert_in_range(count, 1, FL_PROPERTIES);
    for (size_t i = 0; i < count; i++)
        if (strcmp(properties[i].name, name) == 0)
            return properties[i].value;
    print_error("'%s' has no property '%s'\n", physics->kind.name, name);
    fail();
    return 0.0;
}

/** Values [form_count][FL_VALUES], which must be had. */
__attribute__((unused)) static void section_values(double (*values)[FL_VALUES],
                                                   const fl_physics *physics,
                                                   const double *parameters, double centre)
{
    fl_error error;
    const fl_setting setting = section_setting(centre);
    check_ok(physics->solve(values, parameters, &setting, &error), error);
}

typedef struct section_asking {
    const fl_physics *physics;
    double parameters[FL_PARTIALS];
    const size_t *varied;
    size_t count;
    fl_setting setting;
} section_asking;

__attribute__((unused)) static fl_status section_answer(double *outputs, const double *inputs,
                                                        void *payload, fl_error *error)
{
    double values[FL_ELEMENTS][FL_VALUES] = {{0.0}};
    section_asking *ask = payload;
    for (size_t i = 0; i < ask->count; i++)
        ask->parameters[ask->varied[i]] = inputs[i];
    const fl_status status = ask->physics->solve(values, ask->parameters, &ask->setting, error);
    memcpy(outputs, values, ask->physics->form_count * sizeof *values);
    return status;
}

/** Fits a kind over a share to either side of some parameters; returns the error, relative. */
__attribute__((unused)) static double section_fit(const fl_physics *physics,
                                                  const double *parameters, const size_t *varied,
                                                  size_t count, double share, double centre)
{
    fl_fit *fit;
    fl_error error;
    double low[FL_PARTIALS], high[FL_PARTIALS];
    section_asking ask = {
        .physics = physics, .varied = varied, .count = count, .setting = section_setting(centre)};
    memcpy(ask.parameters, parameters, physics->kind.parameter_count * sizeof *parameters);
    for (size_t i = 0; i < count; i++) {
        low[i] = parameters[varied[i]] * (1.0 - share);
        high[i] = parameters[varied[i]] * (1.0 + share);
    }
    const fl_fit_plan plan = {.input_count = count,
                              .output_count = physics->form_count * FL_VALUES,
                              .low = low,
                              .high = high,
                              .source = section_answer,
                              .payload = &ask,
                              .wanted = 1e-5,
                              .allowed = 1e-3};
    check_ok(fl_fit_new(&fit, &plan, &error), error);
    const double found = fl_fit_error(fit);
    fl_fit_free(fit);
    return found;
}

#endif
