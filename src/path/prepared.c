/* A costly section made ready: values of its solution at the design's quantities and its length. */
#include <math.h>
#include <string.h>

#include "path/solution.h"

/* A parameter that was left out keeps its fallback, which need not obey the rule. */
bool fl_section_physical(const fl_section *section, const double *parameters)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        if (section->terms[i].given &&
            !fl_rule_holds(section->kind->parameters[i].rule, parameters[i]))
            return false;
    return fl_section_refuse(section, parameters) == NULL;
}

/* ---- laid out ---- */

static double length_at(const fl_prepared *prepared, const double *quantities)
{
    const fl_term *length = &prepared->length;
    return length->quantity != FL_NONE ? length->times * quantities[length->quantity] + length->plus
                                       : length->plus;
}

/* A length over its range; one that does not vary is what it is. */
static void set_lengths(fl_prepared *made, const fl_varied *of)
{
    const size_t along = fl_section_physics(of->section)->along;
    made->length = (fl_term){FL_NONE, 0.0, 1.0, true};
    if (along == 0)
        return;
    made->length = of->section->terms[along - 1];
    made->length.times /= fl_solution_length;
    made->length.plus /= fl_solution_length;
    for (size_t k = 0; k < FL_REACHES; k++) {
        double ends[2] = {0.0, 0.0};
        if (made->length.quantity != FL_NONE)
            fl_range(ends, of, made->length.quantity, fl_solution_reaches[k]);
        const double low = made->length.times * ends[0] + made->length.plus;
        const double high = made->length.times * ends[1] + made->length.plus;
        made->shortest[k] = fmin(low, high);
        made->longest[k] = fmax(low, high);
    }
}

fl_status fl_prepared_new(fl_prepared **prepared, const fl_varied *of, fl_error *error)
{
    fl_prepared *made = fl_memory_take(1, sizeof *made);
    fl_solution *solution = fl_memory_take(1, sizeof *solution);
    if (made == NULL || solution == NULL) {
        fl_memory_free(made);
        fl_memory_free(solution);
        return fl_fail_memory(error);
    }
    made->section = of->section;
    made->setting = of->setting;
    made->quantity_count = of->design->quantity_count;
    made->solution = solution;
    fl_solution_init(solution, made->varied, of);
    set_lengths(made, of);
    for (size_t k = 0; k < FL_REACHES; k++)
        solution->longest[k] = made->longest[k];
    *prepared = made;
    return FL_OK;
}

void fl_prepared_free(fl_prepared *prepared)
{
    fl_memory_free(prepared);
}

fl_solution *fl_prepared_solution(const fl_prepared *prepared)
{
    return prepared->solution;
}

bool fl_prepared_share(fl_prepared *prepared, fl_solution *solution)
{
    if (!fl_solution_alike(prepared->solution, solution))
        return false;
    for (size_t k = 0; k < FL_REACHES; k++)
        solution->longest[k] = fmax(solution->longest[k], prepared->longest[k]);
    fl_solution_free(prepared->solution);
    prepared->solution = solution;
    return true;
}

double fl_prepared_error(const fl_prepared *prepared)
{
    return prepared->solution->fit != NULL ? fl_fit_error(prepared->solution->fit) : 0.0;
}

/* ---- one by one ---- */

/* Elements and values of a section, in the order of its rows. */
typedef struct row {
    size_t index; /* element * FL_VALUES + value */
    bool along;   /* goes with the length */
} row;

/* Values that the forms have a use for. */
static size_t rows_of(row *rows, const fl_prepared *prepared)
{
    const fl_physics *physics = fl_section_physics(prepared->section);
    size_t count = 0;
    for (size_t e = 0; e < physics->form_count; e++)
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
            rows[count++] = (row){e * FL_VALUES + v,
                                  physics->along > 0 && v >= fl_form_along(physics->forms[e])};
    return count;
}

/* The model itself, where the solution does not reach. */
static bool solve_at(const fl_prepared *prepared, const double *parameters,
                     double (*values)[FL_VALUES])
{
    const fl_section *section = prepared->section;
    return fl_section_physical(section, parameters) &&
           fl_section_values(values, section, parameters, prepared->setting, NULL) == FL_OK;
}

/* Lengths at which the loss was looked at; as far as rounding goes. */
static void reach_of(double ends[2], const fl_prepared *prepared)
{
    const size_t k = prepared->solution->reach;
    const double slack = 1e-9 * prepared->longest[k];
    ends[0] = prepared->shortest[k] - slack;
    ends[1] = prepared->longest[k] + slack;
}

static bool reaches(const fl_prepared *prepared, double length)
{
    double ends[2];
    reach_of(ends, prepared);
    return prepared->length.quantity == FL_NONE || (length >= ends[0] && length <= ends[1]);
}

/* Derivative of a value by the length's quantity, which may be an input as well. */
static void add_length(double *rows, const fl_prepared *prepared, double value)
{
    const size_t quantity = prepared->length.quantity;
    bool is_input = false;
    for (size_t i = 0; i < prepared->solution->input_count; i++)
        is_input = is_input || prepared->varied[i] == quantity;
    if (quantity != FL_NONE)
        rows[quantity] = (is_input ? rows[quantity] : 0.0) + value * prepared->length.times;
}

/* Values and slopes of the solution become those of the section. Rows of the jacobian that belong
 * to other quantities are left as they are, zero. */
static void put_row(const fl_prepared *prepared, const row *at, double length, double *value,
                    const double *slopes, double *jacobian)
{
    const size_t inputs = prepared->solution->input_count;
    const double ratio = at->along ? length : 1.0, unit = *value;
    *value = unit * ratio;
    if (jacobian == NULL)
        return;
    double *to = jacobian + at->index * prepared->quantity_count;
    for (size_t i = 0; i < inputs; i++)
        to[prepared->varied[i]] = slopes[at->index * inputs + i] * ratio;
    if (at->along)
        add_length(to, prepared, unit);
}

bool fl_prepared_values(const fl_prepared *prepared, const double *quantities,
                        double (*values)[FL_VALUES], double *jacobian)
{
    double inputs[FL_FIT_INPUTS], slopes[FL_FIT_OUTPUTS * FL_FIT_INPUTS], parameters[FL_PARTIALS];
    row rows[FL_ELEMENTS * FL_VALUES];
    const fl_solution *solution = prepared->solution;
    const double length = length_at(prepared, quantities);
    double *flat = values[0];
    for (size_t i = 0; i < solution->input_count; i++)
        inputs[i] = quantities[prepared->varied[i]];
    if (!reaches(prepared, length) ||
        (solution->fit != NULL && !fl_fit_covers(solution->fit, inputs))) {
        fl_section_parameters(parameters, prepared->section, quantities);
        return solve_at(prepared, parameters, values);
    }
    const size_t count = rows_of(rows, prepared);
    if (solution->fit != NULL)
        fl_fit_values(solution->fit, inputs, flat, jacobian != NULL ? slopes : NULL);
    for (size_t r = 0; r < count; r++) {
        double *value = flat + rows[r].index;
        if (solution->fit == NULL)
            *value = solution->constant[rows[r].index];
        put_row(prepared, &rows[r], length, value, slopes, jacobian);
    }
    return true;
}

bool fl_prepared_covers(const fl_prepared *prepared, const double *quantities)
{
    double inputs[FL_FIT_INPUTS];
    const fl_solution *solution = prepared->solution;
    for (size_t i = 0; i < solution->input_count; i++)
        inputs[i] = quantities[prepared->varied[i]];
    return reaches(prepared, length_at(prepared, quantities)) &&
           (solution->fit == NULL || fl_fit_covers(solution->fit, inputs));
}

/* ---- many at once ---- */

size_t fl_prepared_room(const fl_prepared *prepared)
{
    return prepared->solution->fit != NULL ? fl_fit_room(prepared->solution->fit) : 0;
}

/* A sample outside the solution's range, solved by itself. */
static void solve_lane(const fl_prepared *prepared, const fl_path_block *block, size_t lane,
                       double (*values)[FL_LANES])
{
    double parameters[FL_PARTIALS], solved[FL_ELEMENTS][FL_VALUES] = {{0.0}};
    row rows[FL_ELEMENTS * FL_VALUES];
    const fl_section *section = prepared->section;
    const size_t count = rows_of(rows, prepared);
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *term = &section->terms[i];
        parameters[i] = term->plus;
        if (term->quantity != FL_NONE)
            parameters[i] += term->times * block->quantities[term->quantity][lane];
    }
    if (!solve_at(prepared, parameters, solved)) {
        block->refused[lane] = true;
        return;
    }
    for (size_t r = 0; r < count; r++)
        values[rows[r].index][lane] = solved[rows[r].index / FL_VALUES][rows[r].index % FL_VALUES];
}

/* The solution of all lanes, without their lengths. */
static void solution_lanes(const fl_prepared *prepared, const fl_path_block *block,
                           double (*values)[FL_LANES], const row *rows, size_t count, bool *covered)
{
    size_t outputs[FL_ELEMENTS * FL_VALUES];
    double *to[FL_ELEMENTS * FL_VALUES];
    const double *inputs[FL_FIT_INPUTS];
    const fl_solution *solution = prepared->solution;
    for (size_t r = 0; r < count; r++) {
        outputs[r] = rows[r].index;
        to[r] = values[rows[r].index];
    }
    for (size_t i = 0; i < solution->input_count; i++)
        inputs[i] = block->quantities[prepared->varied[i]];
    if (solution->fit != NULL) {
        fl_fit_lanes(solution->fit, block->vector, &(fl_fit_request){outputs, to, count}, inputs,
                     block->scratch, covered);
        return;
    }
    for (size_t i = 0; i < FL_LANES; i++)
        covered[i] = true;
    for (size_t r = 0; r < count; r++)
        for (size_t i = 0; i < FL_LANES; i++)
            to[r][i] = solution->constant[outputs[r]];
}

FL_WIDE static size_t count_outside(const double *values, double low, double high)
{
    size_t count = 0;
    for (size_t i = 0; i < FL_LANES; i++)
        count += !(values[i] >= low && values[i] <= high);
    return count;
}

/* Lengths of all lanes; those beyond the solution's, hardly ever any, are not covered by it. */
static void fill_lengths(double lengths[FL_LANES], const fl_prepared *prepared,
                         const double *quantity, bool *covered)
{
    const fl_term *length = &prepared->length;
    double ends[2];
    for (size_t i = 0; i < FL_LANES; i++)
        lengths[i] = length->times * quantity[i] + length->plus;
    reach_of(ends, prepared);
    if (count_outside(lengths, ends[0], ends[1]) == 0)
        return;
    for (size_t i = 0; i < FL_LANES; i++)
        covered[i] = covered[i] && reaches(prepared, lengths[i]);
}

FL_WIDE static void multiply(double *values, const double *lengths)
{
    for (size_t i = 0; i < FL_LANES; i++)
        values[i] *= lengths[i];
}

void fl_prepared_lanes(const fl_prepared *prepared, const fl_path_block *block,
                       double (*values)[FL_LANES])
{
    bool covered[FL_LANES];
    double lengths[FL_LANES];
    row rows[FL_ELEMENTS * FL_VALUES];
    const size_t count = rows_of(rows, prepared);
    solution_lanes(prepared, block, values, rows, count, covered);
    for (size_t i = 0; i < FL_LANES; i++)
        lengths[i] = prepared->length.plus;
    if (prepared->length.quantity != FL_NONE)
        fill_lengths(lengths, prepared, block->quantities[prepared->length.quantity], covered);
    for (size_t r = 0; r < count; r++)
        if (rows[r].along)
            multiply(values[rows[r].index], lengths);
    for (size_t i = 0; i < FL_LANES; i++)
        if (!covered[i])
            solve_lane(prepared, block, i, values);
}
