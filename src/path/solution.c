/* A costly section apart from its length and from the names of its quantities: solved once, or
 * fitted over what varies. */
#include "path/solution.h"

#include <math.h>
#include <string.h>

_Static_assert((int)FL_FIT_INPUTS >= (int)FL_PARTIALS, "every parameter of a section may vary");

/* A normal spread is fitted this far out, in sigmas; less far where the model ends before. */
const double fl_solution_reaches[FL_REACHES] = {6.0, 4.0, 3.0};

const double fl_solution_length = 1e-5;

/* Wanted and allowed errors of a fit, relative. What is wanted moves a return loss of 20 dB by less
 * than 0.001 dB. */
static const double wanted_error = 1e-5;
static const double allowed_error = 1e-3;

/* ---- ranges ---- */

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

/* Least value of a parameter under its rule; a positive one keeps a thousandth of its value. */
static double least_parameter(fl_rule rule, double value)
{
    if (rule == FL_AT_LEAST_ONE)
        return 1.0;
    return rule == FL_POSITIVE ? 1e-3 * value : 0.0;
}

/* Takes from a range what the rules of the section's parameters forbid: past them is no model. */
static void clip(double ends[2], const fl_section *section, size_t quantity, double value)
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

void fl_range(double ends[2], const fl_varied *of, size_t index, double reach)
{
    const fl_quantity *quantity = &of->design->quantities[index];
    const double value = of->vary->quantities[index];
    const bool ranges = of->vary->sizes && quantity->sized;
    ends[0] = ranges ? quantity->low : value;
    ends[1] = ranges ? quantity->high : value;
    if (of->vary->spreads) {
        const double about = quantity->sized ? slope_reach : 0.0;
        ends[0] -= extent(quantity, ends[0], reach) + about * fabs(ends[0]);
        ends[1] += extent(quantity, ends[1], reach) + about * fabs(ends[1]);
    }
    clip(ends, of->section, index, value);
}

/* ---- laid out ---- */

/* Rows of all elements, unused values with them: the fit takes them as one vector. */
static size_t value_count(const fl_solution *solution)
{
    return fl_section_physics(&solution->section)->form_count * FL_VALUES;
}

/* The place of a quantity among the inputs; a new one if it varies, FL_NONE if it does not. Its
 * range is the narrowest that is asked for: others contain it. */
static size_t input_of(fl_solution *solution, size_t *varied, const fl_varied *of, size_t quantity)
{
    double ends[2];
    for (size_t i = 0; i < solution->input_count; i++)
        if (varied[i] == quantity)
            return i;
    fl_range(ends, of, quantity, 1.0);
    if (!(ends[1] > ends[0]))
        return FL_NONE;
    const size_t input = solution->input_count++;
    varied[input] = quantity;
    for (size_t k = 0; k < FL_REACHES; k++) {
        fl_range(ends, of, quantity, fl_solution_reaches[k]);
        solution->low[k][input] = ends[0];
        solution->high[k][input] = ends[1];
    }
    return input;
}

void fl_solution_init(fl_solution *solution, size_t *varied, const fl_varied *of)
{
    const fl_section *section = of->section;
    const size_t along = fl_section_physics(section)->along;
    *solution = (fl_solution){.section = *section, .setting = of->setting};
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *term = &section->terms[i];
        fl_term *own = &solution->terms[i];
        *own = (fl_term){FL_NONE, 0.0, term->plus, term->given};
        if (i + 1 == along)
            own->plus = fl_solution_length;
        if (i + 1 == along || term->quantity == FL_NONE)
            continue;
        const size_t input = input_of(solution, varied, of, term->quantity);
        if (input == FL_NONE)
            own->plus += term->times * of->vary->quantities[term->quantity];
        else
            *own = (fl_term){input, term->times, term->plus, term->given};
    }
}

/* All by value: a quantity of one package is another of the next. */
bool fl_solution_alike(const fl_solution *a, const fl_solution *b)
{
    if (a->section.kind != b->section.kind || a->input_count != b->input_count)
        return false;
    for (size_t i = 0; i < a->section.kind->parameter_count; i++) {
        const fl_term *one = &a->terms[i], *other = &b->terms[i];
        if (one->quantity != other->quantity || one->times != other->times ||
            one->plus != other->plus || one->given != other->given)
            return false;
    }
    for (size_t k = 0; k < FL_REACHES; k++)
        for (size_t i = 0; i < a->input_count; i++)
            if (a->low[k][i] != b->low[k][i] || a->high[k][i] != b->high[k][i])
                return false;
    return true;
}

/* ---- made ---- */

/* Unused values are zero, so that the fit sees constants there. Any parameter out of bounds is an
 * error here, as a fit needs the whole range. */
static fl_status answer(double *outputs, const double *inputs, void *payload, fl_error *error)
{
    double parameters[FL_PARTIALS], values[FL_ELEMENTS][FL_VALUES];
    const fl_solution *solution = payload;
    const fl_section *section = &solution->section;
    fl_section_parameters(parameters, section, inputs);
    if (!fl_section_physical(section, parameters))
        return fl_fail(error, FL_BAD_INPUT, "", "'%s': the model ends within the spreads",
                       section->name);
    memset(values, 0, value_count(solution) * sizeof(double));
    fl_status status = fl_section_values(values, section, parameters, solution->setting, error);
    if (status == FL_OK)
        status = fl_section_bear(values, section, solution->longest[solution->reach],
                                 solution->setting, error);
    if (status == FL_OK)
        memcpy(outputs, values, value_count(solution) * sizeof(double));
    return status;
}

/* Tries the widest range first, and gives way where the model ends within it; outside the range of
 * the fit that is made a sample is solved anew. */
static fl_status fit(fl_solution *solution, fl_error *error)
{
    fl_fit_plan plan = {.input_count = solution->input_count,
                        .output_count = value_count(solution),
                        .source = answer,
                        .payload = solution,
                        .wanted = wanted_error,
                        .allowed = allowed_error};
    fl_status status = FL_BAD_INPUT;
    for (size_t k = 0; status == FL_BAD_INPUT && k < FL_REACHES; k++) {
        solution->reach = k;
        plan.low = solution->low[k];
        plan.high = solution->high[k];
        status = fl_fit_new(&solution->fit, &plan, error);
    }
    return status;
}

/* With nothing varied one solution serves for all. The section's terms are pointed to only now,
 * when it does not move any more. */
void fl_solution_make(fl_solution *solution)
{
    solution->section.terms = solution->terms;
    if (solution->input_count > 0) {
        solution->status = fit(solution, &solution->error);
        return;
    }
    solution->constant = fl_memory_take(value_count(solution), sizeof *solution->constant);
    solution->status = solution->constant == NULL
                           ? fl_fail_memory(&solution->error)
                           : answer(solution->constant, NULL, solution, &solution->error);
}

void fl_solution_free(fl_solution *solution)
{
    if (solution == NULL)
        return;
    fl_fit_free(solution->fit);
    fl_memory_free(solution->constant);
    fl_memory_free(solution);
}
