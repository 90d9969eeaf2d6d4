/* What a fit is once it is made: values, slopes, lanes, and its way in bytes. */
#include "models/fit_parts.h"

#include <math.h>
#include <string.h>

/* A box may be left by rounding. */
static const double slack = 1e-9;

double fl_fit_inward(const fl_fit *fit, size_t input, double value)
{
    return fit->logarithm[input] ? log(value) : value;
}

/* Place in the box, -1 to 1. */
static double place(const fl_fit *fit, size_t input, double value)
{
    const double low = fit->low[input], high = fit->high[input];
    return (fl_fit_inward(fit, input, value) - 0.5 * (low + high)) * (2.0 / (high - low));
}

/* A logarithm needs a positive value, whatever the box says. */
bool fl_fit_covers(const fl_fit *fit, const double *inputs)
{
    for (size_t i = 0; i < fit->inputs; i++) {
        if (fit->logarithm[i] && !(inputs[i] > 0.0))
            return false;
        if (!(fabs(place(fit, i, inputs[i])) <= 1.0 + slack))
            return false;
    }
    return true;
}

/* Chebyshev polynomials T and their derivatives by the recurrences
 * T(k+1) = 2 x T(k) - T(k-1), T'(k+1) = 2 T(k) + 2 x T'(k) - T'(k-1). */
static void chebyshev(double *values, double *slopes, double x, size_t degree)
{
    values[0] = 1.0;
    values[1] = x;
    slopes[0] = 0.0;
    slopes[1] = 1.0;
    for (size_t k = 1; k < degree; k++) {
        values[k + 1] = 2.0 * x * values[k] - values[k - 1];
        slopes[k + 1] = 2.0 * values[k] + 2.0 * x * slopes[k] - slopes[k - 1];
    }
}

/* A term is one product more than its parent, which stands before it. */
void fl_fit_basis_fill(fl_fit_basis *b, const fl_fit *fit, const double *inputs)
{
    for (size_t i = 0; i < fit->inputs; i++)
        chebyshev(b->values[i], b->slopes[i], place(fit, i, inputs[i]), fit->degree);
    b->terms[0] = 1.0;
    for (size_t t = 1; t < fit->term_count; t++) {
        const fl_fit_term *product = &fit->terms[t];
        b->terms[t] = b->terms[product->parent] * b->values[product->input][product->degree];
    }
}

/* Derivatives of all terms by one input; a product has each input once. */
static void basis_slopes(double *slopes, const fl_fit_basis *b, const fl_fit *fit, size_t input,
                         double value)
{
    const double inner = 2.0 / (fit->high[input] - fit->low[input]);
    const double scale = fit->logarithm[input] ? inner / value : inner;
    slopes[0] = 0.0;
    for (size_t t = 1; t < fit->term_count; t++) {
        const fl_fit_term *product = &fit->terms[t];
        slopes[t] = product->input == input
                        ? scale * b->terms[product->parent] * b->slopes[input][product->degree]
                        : slopes[product->parent] * b->values[product->input][product->degree];
    }
}

/* In order, so that one sample and many at once come to the same but for fused operations. */
static double dot(const double *a, const double *b, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Slopes by one input after the other: the terms of each are shared by all outputs. */
void fl_fit_values(const fl_fit *fit, const double *inputs, double *outputs, double *slopes)
{
    fl_fit_basis b;
    double by_input[FL_FIT_TERMS];
    const size_t count = fit->term_count;
    fl_fit_basis_fill(&b, fit, inputs);
    for (size_t o = 0; o < fit->outputs; o++)
        outputs[o] = dot(fit->coefficients + o * count, b.terms, count);
    for (size_t i = 0; slopes != NULL && i < fit->inputs; i++) {
        basis_slopes(by_input, &b, fit, i, inputs[i]);
        for (size_t o = 0; o < fit->outputs; o++)
            slopes[o * fit->inputs + i] = dot(fit->coefficients + o * count, by_input, count);
    }
}

/* Products, and the powers that they are made of. */
size_t fl_fit_room(const fl_fit *fit)
{
    return (fit->term_count + fit->inputs * (fit->degree + 1)) * FL_LANES;
}

/* Places in the box, by fl_fit_inward and place in the order of their operations. */
FL_WIDE static void fill_places(double *at, const fl_fit *fit, size_t input, const double *values)
{
    const double middle = 0.5 * (fit->low[input] + fit->high[input]);
    const double scale = 2.0 / (fit->high[input] - fit->low[input]);
    double inward[FL_LANES];
    for (size_t i = 0; i < FL_LANES; i++)
        inward[i] = values[i];
    for (size_t i = 0; fit->logarithm[input] && i < FL_LANES; i++)
        inward[i] = values[i] > 0.0 ? log(values[i]) : HUGE_VAL;
    for (size_t i = 0; i < FL_LANES; i++)
        at[i] = (inward[i] - middle) * scale;
}

/* Lanes out of the box are few: most often there is none to be marked. */
FL_WIDE static void mark_outside(bool *covered, const double *at)
{
    unsigned outside = 0;
    for (size_t i = 0; i < FL_LANES; i++)
        outside += !(fabs(at[i]) <= 1.0 + slack);
    for (size_t i = 0; outside > 0 && i < FL_LANES; i++)
        covered[i] = covered[i] && fabs(at[i]) <= 1.0 + slack;
}

/* Chebyshev polynomials of one input, rows of lanes 0 to degree. */
FL_WIDE static void fill_powers(double *powers, size_t degree)
{
    const double *at = powers + FL_LANES;
    for (size_t i = 0; i < FL_LANES; i++)
        powers[i] = 1.0;
    for (size_t k = 1; k < degree; k++) {
        double *next = powers + (k + 1) * FL_LANES;
        const double *now = next - FL_LANES, *before = now - FL_LANES;
        for (size_t i = 0; i < FL_LANES; i++)
            next[i] = 2.0 * at[i] * now[i] - before[i];
    }
}

/* A small matrix product: coefficients times products of polynomials. */
void fl_fit_lanes(const fl_fit *fit, const fl_vector *vector, const fl_fit_request *request,
                  const double *const *inputs, double *scratch, bool *covered)
{
    const double *rows[FL_FIT_OUTPUTS];
    double *powers = scratch, *products = scratch + fit->inputs * (fit->degree + 1) * FL_LANES;
    for (size_t i = 0; i < FL_LANES; i++)
        covered[i] = true;
    for (size_t i = 0; i < fit->inputs; i++) {
        double *own = powers + i * (fit->degree + 1) * FL_LANES;
        fill_places(own + FL_LANES, fit, i, inputs[i]);
        mark_outside(covered, own + FL_LANES);
        fill_powers(own, fit->degree);
    }
    vector->products(products, fit->factors, fit->term_count, powers);
    for (size_t r = 0; r < request->count; r++)
        rows[r] = fit->coefficients + request->outputs[r] * fit->term_count;
    vector->combine(request->to, rows, request->count, products, fit->term_count);
}

double fl_fit_error(const fl_fit *fit)
{
    return fit->error;
}

size_t fl_fit_terms(const fl_fit *fit)
{
    return fit->term_count;
}

size_t fl_fit_inputs(const fl_fit *fit)
{
    return fit->inputs;
}

size_t fl_fit_outputs(const fl_fit *fit)
{
    return fit->outputs;
}

/* Terms by the rows that their powers have in fl_fit_lanes. */
void fl_fit_lay_factors(fl_fit *fit)
{
    for (size_t t = 0; t < fit->term_count; t++) {
        const fl_fit_term *product = &fit->terms[t];
        fit->factors[t] =
            (fl_factor){product->parent, product->input * (fit->degree + 1) + product->degree};
    }
}

/* Coefficients of one output are whole multiples of one step: this many bits below the largest of
 * them, far below what a fit is good to. So they are short as bytes, and the same here and there.
 * */
enum { STEP_BITS = 36 };

/* Exponent of the step of a row. */
static int step_of(const double *row, size_t count)
{
    double largest = 0.0;
    int exponent = 0;
    for (size_t t = 0; t < count; t++)
        largest = fmax(largest, fabs(row[t]));
    if (largest > 0.0)
        frexp(largest, &exponent);
    return largest > 0.0 ? exponent - STEP_BITS : 0;
}

/* Once more where the largest has been rounded up to the next power of two: its step is another. */
static void round_row(double *row, size_t count)
{
    for (int step = step_of(row, count), before = step + 1; step != before;) {
        for (size_t t = 0; t < count; t++)
            row[t] = ldexp(nearbyint(ldexp(row[t], -step)), step);
        before = step;
        step = step_of(row, count);
    }
}

void fl_fit_round(fl_fit *fit)
{
    for (size_t o = 0; o < fit->outputs; o++)
        round_row(fit->coefficients + o * fit->term_count, fit->term_count);
}

/* Exponents of doubles go from -1100 to 1100. */
enum { MOST_STEP = 1200 };

/* Models leave many values at zero: of those there is only a mark. */
static void pack_row(fl_text *text, const double *row, size_t count)
{
    const int step = step_of(row, count);
    bool any = false;
    for (size_t t = 0; t < count; t++)
        any = any || row[t] != 0.0;
    fl_pack_flag(text, any);
    if (!any)
        return;
    fl_pack_short(text, step);
    for (size_t t = 0; t < count; t++)
        fl_pack_short(text, (int64_t)ldexp(row[t], -step));
}

/* The first term is the constant. */
static void pack_terms(fl_text *text, const fl_fit *fit)
{
    fl_pack_count(text, fit->term_count);
    for (size_t t = 1; t < fit->term_count; t++) {
        fl_pack_short(text, (int64_t)fit->terms[t].parent);
        fl_pack_short(text, (int64_t)fit->terms[t].input);
        fl_pack_short(text, (int64_t)fit->terms[t].degree);
    }
}

/* Sizes first, so that a reader has them before what they are the sizes of. */
void fl_fit_pack(fl_text *text, const fl_fit *fit)
{
    fl_pack_count(text, fit->inputs);
    fl_pack_count(text, fit->outputs);
    fl_pack_count(text, fit->degree);
    fl_pack_number(text, fit->error);
    for (size_t i = 0; i < fit->inputs; i++)
        fl_pack_flag(text, fit->logarithm[i]);
    fl_pack_numbers(text, fit->low, fit->inputs);
    fl_pack_numbers(text, fit->high, fit->inputs);
    pack_terms(text, fit);
    for (size_t o = 0; o < fit->outputs; o++)
        pack_row(text, fit->coefficients + o * fit->term_count, fit->term_count);
}

/* A box without a width would be divided by. */
static void unpack_box(fl_fit *fit, fl_unpack *from)
{
    fit->logarithm = fl_unpack_take(from, fit->inputs, sizeof *fit->logarithm);
    for (size_t i = 0; fit->logarithm != NULL && i < fit->inputs; i++)
        fit->logarithm[i] = fl_unpack_flag(from);
    fit->low = fl_unpack_numbers(from, fit->inputs);
    fit->high = fl_unpack_numbers(from, fit->inputs);
    for (size_t i = 0; fl_unpack_well(from) && i < fit->inputs; i++)
        fl_unpack_must(from, fit->low[i] < fit->high[i]);
}

/* A number below a limit. */
static size_t unpack_below(fl_unpack *from, size_t limit)
{
    const int64_t value = fl_unpack_short(from);
    return fl_unpack_must(from, value >= 0 && (uint64_t)value < limit) ? (size_t)value : 0;
}

/* Parents stand before their terms, so that no product is used before it is made. */
static void unpack_terms(fl_fit *fit, fl_unpack *from)
{
    fit->term_count = fl_unpack_index(from, FL_FIT_TERMS + 1);
    fit->terms = fl_unpack_take(from, FL_FIT_TERMS, sizeof *fit->terms);
    fit->factors = fl_unpack_take(from, FL_FIT_TERMS, sizeof *fit->factors);
    fl_unpack_must(from, fit->term_count > 0);
    for (size_t t = 1; fl_unpack_well(from) && t < fit->term_count; t++) {
        fit->terms[t].parent = unpack_below(from, t);
        fit->terms[t].input = unpack_below(from, fit->inputs);
        fit->terms[t].degree = unpack_below(from, fit->degree + 1);
    }
    if (fl_unpack_well(from))
        fl_fit_lay_factors(fit);
}

/* A step so large that a coefficient becomes infinite is none. */
static void unpack_rows(fl_fit *fit, fl_unpack *from)
{
    const size_t count = fit->term_count;
    fit->coefficients = fl_unpack_take(from, fit->outputs * count, sizeof *fit->coefficients);
    for (size_t o = 0; fl_unpack_well(from) && o < fit->outputs; o++) {
        if (!fl_unpack_flag(from))
            continue;
        const int64_t step = fl_unpack_short(from);
        if (!fl_unpack_must(from, step > -MOST_STEP && step < MOST_STEP))
            return;
        for (size_t t = 0; t < count; t++)
            fit->coefficients[o * count + t] = ldexp((double)fl_unpack_short(from), (int)step);
        for (size_t t = 0; t < count; t++)
            fl_unpack_must(from, isfinite(fit->coefficients[o * count + t]));
    }
}

/* All of it in the arena of what is read: fl_fit_free is for fits that were made. */
fl_fit *fl_fit_unpack(fl_unpack *from)
{
    fl_fit *made = fl_unpack_take(from, 1, sizeof *made);
    if (made == NULL)
        return NULL;
    made->inputs = fl_unpack_index(from, FL_FIT_INPUTS + 1);
    made->outputs = fl_unpack_index(from, FL_FIT_OUTPUTS + 1);
    made->degree = fl_unpack_index(from, FL_FIT_DEGREE + 1);
    made->error = fl_unpack_number(from);
    fl_unpack_must(from, made->inputs > 0 && made->degree > 0);
    unpack_box(made, from);
    unpack_terms(made, from);
    if (!fl_unpack_well(from))
        return NULL;
    unpack_rows(made, from);
    return fl_unpack_well(from) ? made : NULL;
}
