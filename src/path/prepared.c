/* Costly sections made ready: the ranges over which a study varies them, and a fit over these. */
#include <math.h>
#include <string.h>

#include "path/groundwork.h"

_Static_assert((int)FL_FIT_INPUTS >= (int)FL_PARTIALS, "every parameter of a section may vary");

struct fl_prepared {
    const fl_section *section;
    const fl_setting *setting;
    size_t quantity_count; /* of the design */
    size_t *varied;        /* quantities that vary, each once */
    size_t count;          /* of varied */
    double *constant;      /* [form_count][FL_VALUES] when nothing varies */
    fl_fit *fit;           /* else */
};

/* Wanted and allowed errors of a fit, relative. What is wanted moves a return loss of 20 dB by less
 * than 0.001 dB. */
static const double wanted_error = 1e-5;
static const double allowed_error = 1e-3;

/* A normal spread is fitted this far out, in sigmas; less far where the model ends before. */
static const double reaches[] = {6.0, 4.0, 3.0};

/* How far the spread of a quantity may take it from its nominal value: components at their ends all
 * at once, a normal's end being reach sigmas or its truncation. */
static double extent(const fl_quantity *quantity, double nominal, double reach)
{
    double sum = 0.0;
    for (size_t i = 0; i < quantity->spread_count; i++) {
        const fl_spread *spread = &quantity->spreads[i];
        const double scale = spread->relative ? fabs(nominal) : 1.0;
        double width = spread->amount * scale * (spread->shape == FL_NORMAL ? reach : 1.0);
        if (spread->within > 0.0)
            width = fmin(width, spread->within * (spread->within_relative ? fabs(nominal) : 1.0));
        sum += width;
    }
    return sum;
}

/* A size that only spreads is fitted this share about its value: slopes are asked for. */
static const double slope_reach = 0.02;

/* Values of a quantity in a study: its value or its range, and the spread about their ends. */
static void range(const fl_quantity *quantity, double value, const fl_vary *vary, double reach,
                  double ends[2])
{
    const bool ranges = vary->sizes && quantity->sized;
    ends[0] = ranges ? quantity->low : value;
    ends[1] = ranges ? quantity->high : value;
    if (!vary->spreads)
        return;
    const double about = quantity->sized ? slope_reach : 0.0;
    ends[0] -= extent(quantity, ends[0], reach) + about * fabs(ends[0]);
    ends[1] += extent(quantity, ends[1], reach) + about * fabs(ends[1]);
}

/* Least value of a parameter under its rule; a positive one keeps a thousandth of its value. */
static double least_parameter(fl_rule rule, double value)
{
    if (rule == FL_AT_LEAST_ONE)
        return 1.0;
    return rule == FL_POSITIVE ? 1e-3 * value : 0.0;
}

/* Takes from a range what the rules of the section's parameters forbid: past them is no model. */
static void clip(const fl_section *section, size_t quantity, double value, double ends[2])
{
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *term = &section->terms[i];
        const fl_rule rule = section->kind->parameters[i].rule;
        if (term->quantity != quantity || term->times == 0.0 || rule == FL_ANY)
            continue;
        const double least = least_parameter(rule, term->times * value + term->plus);
        const double end = (least - term->plus) / term->times;
        if (term->times > 0.0)
            ends[0] = fmax(ends[0], end);
        else
            ends[1] = fmin(ends[1], end);
    }
}

/* Keeps a quantity that varies, once, even if several parameters follow it: the fit is over
 * quantities and not over parameters. No more than there are parameters. */
static void add_varied(fl_prepared *prepared, const fl_design *design, size_t quantity,
                       const fl_vary *vary)
{
    double ends[2];
    for (size_t i = 0; i < prepared->count; i++)
        if (prepared->varied[i] == quantity)
            return;
    range(&design->quantities[quantity], vary->quantities[quantity], vary, 1.0, ends);
    clip(prepared->section, quantity, vary->quantities[quantity], ends);
    if (ends[1] > ends[0])
        prepared->varied[prepared->count++] = quantity;
}

/* Rows of all elements, unused values with them: the fit takes them as one vector. */
static size_t value_count(const fl_prepared *prepared)
{
    return fl_section_physics(prepared->section)->form_count * FL_VALUES;
}

/* A parameter that was left out keeps its fallback, which need not obey the rule. */
bool fl_section_physical(const fl_section *section, const double *parameters)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        if (section->terms[i].given &&
            !fl_rule_holds(section->kind->parameters[i].rule, parameters[i]))
            return false;
    return fl_section_refuse(section, parameters) == NULL;
}

/* Unused values are zero, so that the fit sees constants there. Any parameter out of bounds is an
 * error here, as a fit needs the whole range. */
static fl_status solve_at(const fl_prepared *prepared, const double *quantities,
                          double (*values)[FL_VALUES], fl_error *error)
{
    double parameters[FL_PARTIALS];
    const fl_section *section = prepared->section;
    fl_section_parameters(parameters, section, quantities);
    if (!fl_section_physical(section, parameters))
        return fl_fail(error, FL_BAD_INPUT, "", "'%s': the model ends within the spreads",
                       section->name);
    memset(values, 0, value_count(prepared) * sizeof(double));
    return fl_section_values(values, section, parameters, prepared->setting, error);
}

/* What the fit asks for: the section at values of the varied quantities. */
typedef struct asking {
    fl_prepared *prepared;
    const fl_design *design;
    const fl_vary *vary;
    double *quantities; /* a copy, in which the varied ones move */
} asking;

/* Quantities that do not vary stay at their given values. */
static fl_status answer(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    double values[FL_ELEMENTS][FL_VALUES];
    const asking *ask = payload;
    for (size_t i = 0; i < ask->prepared->count; i++)
        ask->quantities[ask->prepared->varied[i]] = inputs[i];
    const fl_status status = solve_at(ask->prepared, ask->quantities, values, error);
    if (status == FL_OK)
        memcpy(outputs, values, value_count(ask->prepared) * sizeof(double));
    return status;
}

/* Tries the widest range first, and gives way where the model ends within it; outside the range of
 * the fit that is made a sample is solved anew. */
static fl_status fit(asking *ask, fl_error *error)
{
    fl_prepared *prepared = ask->prepared;
    double low[FL_FIT_INPUTS], high[FL_FIT_INPUTS], ends[2];
    fl_fit_plan plan = {.input_count = prepared->count,
                        .output_count = value_count(prepared),
                        .low = low,
                        .high = high,
                        .source = answer,
                        .payload = ask,
                        .wanted = wanted_error,
                        .allowed = allowed_error};
    fl_error why = {FL_OK, "", ""};
    fl_status status = FL_BAD_INPUT;
    for (size_t k = 0; status == FL_BAD_INPUT && k < sizeof reaches / sizeof *reaches; k++) {
        for (size_t i = 0; i < prepared->count; i++) {
            const size_t quantity = prepared->varied[i];
            range(&ask->design->quantities[quantity], ask->vary->quantities[quantity], ask->vary,
                  reaches[k], ends);
            clip(prepared->section, quantity, ask->vary->quantities[quantity], ends);
            low[i] = ends[0];
            high[i] = ends[1];
        }
        status = fl_fit_new(&prepared->fit, &plan, &why);
    }
    if (status != FL_OK && error != NULL)
        *error = why;
    return status;
}

/* With nothing varied one solution serves for all. */
static fl_status make_ready(fl_prepared *made, const fl_design *design, const fl_vary *vary,
                            fl_error *error)
{
    asking ask = {made, design, vary, NULL};
    made->varied = fl_memory_take(FL_PARTIALS, sizeof *made->varied);
    made->constant = fl_memory_take(value_count(made), sizeof *made->constant);
    ask.quantities = fl_memory_take(design->quantity_count, sizeof *ask.quantities);
    if (made->varied == NULL || made->constant == NULL || ask.quantities == NULL) {
        fl_memory_free(ask.quantities);
        return fl_fail_memory(error);
    }
    for (size_t i = 0; i < design->quantity_count; i++)
        ask.quantities[i] = vary->quantities[i];
    for (size_t i = 0; i < made->section->kind->parameter_count; i++)
        if (made->section->terms[i].quantity != FL_NONE)
            add_varied(made, design, made->section->terms[i].quantity, vary);
    const fl_status status =
        made->count > 0 ? fit(&ask, error) : answer(made->constant, NULL, &ask, error);
    fl_memory_free(ask.quantities);
    return status;
}

fl_status fl_prepared_new(fl_prepared **prepared, const fl_groundwork *groundwork,
                          const fl_section *section, const fl_vary *vary, fl_error *error)
{
    fl_prepared *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    made->section = section;
    made->setting = &groundwork->setting;
    made->quantity_count = groundwork->design->quantity_count;
    const fl_status status = make_ready(made, groundwork->design, vary, error);
    if (status != FL_OK) {
        fl_prepared_free(made);
        return status;
    }
    *prepared = made;
    return FL_OK;
}

void fl_prepared_free(fl_prepared *prepared)
{
    if (prepared == NULL)
        return;
    fl_fit_free(prepared->fit);
    fl_memory_free(prepared->varied);
    fl_memory_free(prepared->constant);
    fl_memory_free(prepared);
}

/* Terms are compared with their quantities, not by value: only then do both sections move alike.
 * The section's name and side do not matter. */
bool fl_prepared_serves(const fl_prepared *prepared, const fl_section *section)
{
    const fl_section *own = prepared->section;
    if (own->kind != section->kind)
        return false;
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *a = &own->terms[i], *b = &section->terms[i];
        if (a->quantity != b->quantity || a->times != b->times || a->plus != b->plus ||
            a->given != b->given)
            return false;
    }
    return true;
}

double fl_prepared_error(const fl_prepared *prepared)
{
    return prepared->fit != NULL ? fl_fit_error(prepared->fit) : 0.0;
}

/* Rows of the jacobian that belong to other quantities are left as they are, zero. */
bool fl_prepared_values(const fl_prepared *prepared, const double *quantities,
                        double (*values)[FL_VALUES], double *jacobian)
{
    double inputs[FL_FIT_INPUTS], slopes[FL_FIT_OUTPUTS * FL_FIT_INPUTS];
    const size_t outputs = value_count(prepared), count = prepared->count;
    double *flat = values[0];
    if (prepared->fit == NULL) {
        memcpy(flat, prepared->constant, outputs * sizeof *flat);
        return true;
    }
    for (size_t i = 0; i < count; i++)
        inputs[i] = quantities[prepared->varied[i]];
    if (!fl_fit_covers(prepared->fit, inputs))
        return solve_at(prepared, quantities, values, NULL) == FL_OK;
    fl_fit_values(prepared->fit, inputs, flat, jacobian != NULL ? slopes : NULL);
    for (size_t o = 0; jacobian != NULL && o < outputs; o++)
        for (size_t i = 0; i < count; i++)
            jacobian[o * prepared->quantity_count + prepared->varied[i]] = slopes[o * count + i];
    return true;
}

size_t fl_prepared_room(const fl_prepared *prepared)
{
    return prepared->fit != NULL ? fl_fit_room(prepared->fit) : 0;
}

/* Outputs of the fit that the forms have a use for, and their rows. */
static fl_fit_request request_of(size_t *outputs, double **to, const fl_prepared *prepared,
                                 double (*values)[FL_LANES])
{
    const fl_physics *physics = fl_section_physics(prepared->section);
    size_t count = 0;
    for (size_t e = 0; e < physics->form_count; e++)
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++) {
            outputs[count] = e * FL_VALUES + v;
            to[count] = values[outputs[count]];
            count++;
        }
    return (fl_fit_request){outputs, to, count};
}

/* A sample outside the fit's range, solved by itself. */
static void solve_lane(const fl_prepared *prepared, const fl_path_block *block, size_t lane,
                       const fl_fit_request *request)
{
    double parameters[FL_PARTIALS], solved[FL_ELEMENTS][FL_VALUES] = {{0.0}};
    const fl_section *section = prepared->section;
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *term = &section->terms[i];
        parameters[i] = term->plus;
        if (term->quantity != FL_NONE)
            parameters[i] += term->times * block->quantities[term->quantity][lane];
    }
    if (!fl_section_physical(section, parameters) ||
        fl_section_values(solved, section, parameters, prepared->setting, NULL) != FL_OK) {
        block->refused[lane] = true;
        return;
    }
    for (size_t k = 0; k < request->count; k++)
        request->to[k][lane] =
            solved[request->outputs[k] / FL_VALUES][request->outputs[k] % FL_VALUES];
}

void fl_prepared_lanes(const fl_prepared *prepared, const fl_path_block *block,
                       double (*values)[FL_LANES])
{
    size_t outputs[FL_FIT_OUTPUTS];
    double *to[FL_FIT_OUTPUTS];
    const double *inputs[FL_FIT_INPUTS];
    bool covered[FL_LANES];
    const fl_fit_request request = request_of(outputs, to, prepared, values);
    if (prepared->fit == NULL) {
        for (size_t k = 0; k < request.count; k++)
            for (size_t i = 0; i < FL_LANES; i++)
                to[k][i] = prepared->constant[outputs[k]];
        return;
    }
    for (size_t i = 0; i < prepared->count; i++)
        inputs[i] = block->quantities[prepared->varied[i]];
    fl_fit_lanes(prepared->fit, block->vector, &request, inputs, block->scratch, covered);
    for (size_t i = 0; i < FL_LANES; i++)
        if (!covered[i])
            solve_lane(prepared, block, i, &request);
}
