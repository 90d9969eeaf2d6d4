/* A strip on a substrate: static values, and the ranges of their formulas.
 *
 * Bare: formulas of microstrip.h, for thin strips with the impedance within 0.1 % and the effective
 * permittivity within 0.25 % of a field solution; 0.4 % and 0.6 % for a thickness up to 0.3 of
 * width and height; resistance 2 %. Covered: boundary elements (cross.h), 0.1 %. Dispersion of
 * covered strips is that of the bare form from the covered static values: right when the cover
 * leaves all as it is and when it makes all one medium, a guess in between.
 *
 * Not in it: radiation, surface waves, anisotropy, coupling to what is near. */
#include "models/trace.h"

#include <math.h>

#include "models/kinds.h"
#include "models/microstrip.h"

static const double pi = 3.14159265358979323846;

/* A very thick cover ends this many times height and width above: an error under 1e-5. */
static const double very_thick = 300.0;

static fl_strip strip_of(const fl_trace *trace)
{
    /* Air as a substrate is taken as the least bit more, so that shares of it stay defined. */
    return (fl_strip){.width = trace->width,
                      .height = trace->substrate.height,
                      .thickness = trace->substrate.thickness,
                      .permittivity = fmax(trace->substrate.permittivity, 1.0 + 1e-6)};
}

static fl_status solve_covered(fl_planar *planar, const fl_trace *trace, double frequency,
                               fl_error *error)
{
    const fl_substrate *substrate = &trace->substrate;
    const double height = substrate->height;
    const double above =
        trace->cover.height > 0.0 ? trace->cover.height : very_thick * (height + trace->width);
    const fl_cross_layer layers[] = {
        {height, substrate->permittivity, substrate->loss_tangent},
        {height + above, trace->cover.permittivity, trace->cover.loss_tangent}};
    fl_cross_conductor strip = {
        .left = -0.5 * trace->width, .right = 0.5 * trace->width, .bottom = height, .signal = 1};
    fl_cross cross = {.layers = layers, .layer_count = 2, .conductor_count = 1, .ground = true};
    return fl_planar_solve(planar, &cross, &strip, frequency, error);
}

fl_status fl_trace_solve(fl_planar *planar, const fl_trace *trace, double frequency,
                         fl_error *error)
{
    const fl_strip strip = strip_of(trace);
    fl_planar found = {
        .substrate = &trace->substrate, .width = strip.width, .height = strip.height};
    if (trace->cover.permittivity > 0.0) {
        const fl_status status = solve_covered(&found, trace, frequency, error);
        if (status != FL_OK)
            return status;
    } else {
        const double er = strip.permittivity;
        fl_microstrip_static(&found.impedance, &found.permittivity, &strip);
        /* share of the field in the substrate [Pozar2011, eq. 3.198] */
        found.loss = er * (found.permittivity - 1.0) / (er - 1.0) * trace->substrate.loss_tangent;
        found.crowding = fl_microstrip_crowding(&strip);
    }
    *planar = found;
    return FL_OK;
}

const char *fl_trace_refuse(const fl_trace *trace)
{
    const double u = trace->width / trace->substrate.height;
    if (u < 0.01 || u > 100.0)
        return "the width must be 0.01 to 100 times the substrate's height";
    if (trace->substrate.permittivity > 128.0)
        return "the substrate's permittivity is over 128";
    return fl_cover_refuse(&trace->cover, trace->substrate.thickness);
}

/* Of a cover, or of the lack of one. */
static const char *caution_cover(const fl_trace *trace)
{
    const fl_substrate *substrate = &trace->substrate;
    if (trace->cover.permittivity > substrate->permittivity)
        return "the cover is denser than the substrate: dispersion and radiation into it are not "
               "known";
    const double thin = 0.3 * fmin(trace->width, substrate->height);
    if (trace->cover.permittivity == 0.0 && substrate->thickness > thin)
        return "the metal is over 0.3 of the width or height thick: a 'cover' of 1 has the section "
               "solved";
    return NULL;
}

const char *fl_trace_caution(const fl_trace *trace, const fl_setting *setting)
{
    const fl_substrate *substrate = &trace->substrate;
    const fl_strip strip = strip_of(trace);
    const double u = trace->width / substrate->height, highest = setting->nodes[FL_NODES - 1];
    const char *narrow = fl_planar_narrow(substrate, trace->width, HUGE_VAL);
    if (narrow != NULL)
        return narrow;
    if (highest > fl_microstrip_limit(&strip))
        return "the band reaches the surface wave of the substrate or a resonance across the "
               "width: it is more than a line there";
    if (highest * substrate->height > 30e6) /* GHz mm */
        return "the substrate is over a tenth of a wavelength in air high: dispersion is not known";
    if (substrate->permittivity > 18.0)
        return "the substrate's permittivity is over 18: dispersion is not known";
    if (u < 0.1 || u > 10.0)
        return "the width leaves 0.1 to 10 times the height: dispersion is less certain";
    const char *text = caution_cover(trace);
    return text != NULL ? text : fl_planar_caution(substrate, setting);
}

enum { WIDTH, LENGTH, COVER, SUBSTRATE = COVER + FL_COVER_COUNT };

static fl_trace trace_of(const double *parameters)
{
    return (fl_trace){.width = parameters[WIDTH],
                      .substrate = fl_substrate_of(parameters + SUBSTRATE),
                      .cover = fl_cover_of(parameters + COVER)};
}

static const char *refuse_microstrip(const double *parameters)
{
    const fl_trace trace = trace_of(parameters);
    return fl_trace_refuse(&trace);
}

static const char *caution_microstrip(const double *parameters, const fl_setting *setting)
{
    const fl_trace trace = trace_of(parameters);
    return fl_trace_caution(&trace, setting);
}

static fl_status solve_microstrip(double (*values)[FL_VALUES], const double *parameters,
                                  const fl_setting *setting, fl_error *error)
{
    fl_planar planar;
    const fl_trace trace = trace_of(parameters);
    const fl_status status = fl_trace_solve(&planar, &trace, setting->w0 / (2.0 * pi), error);
    if (status != FL_OK)
        return status;
    return fl_planar_values(values[0], &planar, parameters[LENGTH], setting, error);
}

static size_t describe_microstrip(fl_property *properties, const double *parameters,
                                  const fl_setting *setting)
{
    fl_planar planar;
    const fl_trace trace = trace_of(parameters);
    if (fl_trace_solve(&planar, &trace, setting->w0 / (2.0 * pi), NULL) != FL_OK)
        return 0;
    return fl_planar_describe(properties, &planar, parameters[LENGTH], setting->w0);
}

/* Length with that of the open end. */
static double open_length(const fl_planar *planar, double length)
{
    const double u = planar->width / planar->height;
    return length + planar->height *
                        fl_microstrip_end(u, planar->substrate->permittivity, planar->permittivity);
}

static fl_status solve_stub(double (*values)[FL_VALUES], const double *parameters,
                            const fl_setting *setting, fl_error *error)
{
    fl_planar planar;
    const fl_trace trace = trace_of(parameters);
    const fl_status status = fl_trace_solve(&planar, &trace, setting->w0 / (2.0 * pi), error);
    if (status != FL_OK)
        return status;
    return fl_planar_values(values[0], &planar, open_length(&planar, parameters[LENGTH]), setting,
                            error);
}

static size_t describe_stub(fl_property *properties, const double *parameters,
                            const fl_setting *setting)
{
    fl_planar planar;
    const fl_trace trace = trace_of(parameters);
    if (fl_trace_solve(&planar, &trace, setting->w0 / (2.0 * pi), NULL) != FL_OK)
        return 0;
    const double length = open_length(&planar, parameters[LENGTH]);
    const size_t count = fl_planar_describe(properties, &planar, length, setting->w0);
    if (count == 0)
        return 0;
    properties[2].value = parameters[LENGTH]; /* as drawn; the rest with the open end */
    properties[count] =
        (fl_property){"length of the open end", FL_LENGTH, length - parameters[LENGTH]};
    return count + 1;
}

#define TRACE_PARAMETERS(length_rule)                                                              \
    {.name = "width", .dimension = FL_LENGTH, .rule = FL_POSITIVE, .required = true},              \
        {.name = "length", .dimension = FL_LENGTH, .rule = (length_rule), .required = true},       \
        FL_COVER_PARAMETERS, FL_SUBSTRATE_PARAMETERS

static const fl_parameter microstrip_parameters[] = {TRACE_PARAMETERS(FL_NOT_NEGATIVE)};
static const fl_parameter stub_parameters[] = {TRACE_PARAMETERS(FL_POSITIVE)};

static const fl_form line_form[] = {FL_FORM_WAVE};
static const fl_form stub_form[] = {FL_FORM_WAVE_OPEN_STUB};

const fl_physics fl_microstrip = {.kind = {.name = "microstrip",
                                           .summary = "strip on a substrate over ground",
                                           .parameters = microstrip_parameters,
                                           .parameter_count = FL_LENGTH_OF(microstrip_parameters)},
                                  .forms = line_form,
                                  .form_count = 1,
                                  .spare = true,
                                  .along = LENGTH + 1,
                                  .refuse = refuse_microstrip,
                                  .caution = caution_microstrip,
                                  .solve = solve_microstrip,
                                  .describe = describe_microstrip};

const fl_physics fl_open_microstrip_stub = {
    .kind = {.name = "open microstrip stub",
             .summary = "microstrip to the side, open at its end",
             .parameters = stub_parameters,
             .parameter_count = FL_LENGTH_OF(stub_parameters)},
    .forms = stub_form,
    .form_count = 1,
    .spare = true,
    .refuse = refuse_microstrip,
    .caution = caution_microstrip,
    .solve = solve_stub,
    .describe = describe_stub};
