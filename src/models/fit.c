/* Polynomial fits of costly models. */
#include "models/fit.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_qrng.h>
#include <math.h>
#include <string.h>

#include "base/arena.h"

/* One product of Chebyshev polynomials: its last factor and the product of the others. */
typedef struct term {
    size_t parent; /* term without the last factor; itself for the constant */
    size_t input;
    size_t degree; /* of the last factor; 0 for the constant */
    size_t total;
} term;

struct fl_fit {
    fl_arena arena;
    size_t inputs, outputs;
    double *low, *high; /* [inputs] of the box, after the logarithm where one is taken */
    bool *logarithm;    /* [inputs] */
    term *terms;
    size_t term_count, degree;
    double *coefficients; /* [output][term] */
    fl_factor *factors;   /* [term_count] the terms as products of lanes */
    double error;
};

enum { MOST_DEGREE = 40 };

/* A box may be left by rounding. */
static const double slack = 1e-9;

static double inward(const fl_fit *fit, size_t input, double value)
{
    return fit->logarithm[input] ? log(value) : value;
}

/* Place in the box, -1 to 1. */
static double place(const fl_fit *fit, size_t input, double value)
{
    const double low = fit->low[input], high = fit->high[input];
    return (2.0 * inward(fit, input, value) - low - high) / (high - low);
}

static double value_at(const fl_fit *fit, size_t input, double place_in_box)
{
    const double low = fit->low[input], high = fit->high[input];
    const double inside = 0.5 * (low + high) + 0.5 * (high - low) * place_in_box;
    return fit->logarithm[input] ? exp(inside) : inside;
}

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

typedef struct basis {
    double values[FL_FIT_INPUTS][MOST_DEGREE + 2], slopes[FL_FIT_INPUTS][MOST_DEGREE + 2];
    double terms[FL_FIT_TERMS];
} basis;

static void basis_fill(basis *b, const fl_fit *fit, const double *inputs)
{
    for (size_t i = 0; i < fit->inputs; i++)
        chebyshev(b->values[i], b->slopes[i], place(fit, i, inputs[i]), fit->degree);
    b->terms[0] = 1.0;
    for (size_t t = 1; t < fit->term_count; t++) {
        const term *product = &fit->terms[t];
        b->terms[t] = b->terms[product->parent] * b->values[product->input][product->degree];
    }
}

/* Derivatives of all terms by one input; a product has each input once. */
static void basis_slopes(double *slopes, const basis *b, const fl_fit *fit, size_t input,
                         double value)
{
    const double inner = 2.0 / (fit->high[input] - fit->low[input]);
    const double scale = fit->logarithm[input] ? inner / value : inner;
    slopes[0] = 0.0;
    for (size_t t = 1; t < fit->term_count; t++) {
        const term *product = &fit->terms[t];
        slopes[t] = product->input == input
                        ? scale * b->terms[product->parent] * b->slopes[input][product->degree]
                        : slopes[product->parent] * b->values[product->input][product->degree];
    }
}

static double dot(const double *a, const double *b, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += a[i] * b[i];
    return sum;
}

void fl_fit_values(const fl_fit *fit, const double *inputs, double *outputs, double *slopes)
{
    basis b;
    double by_input[FL_FIT_TERMS];
    const size_t count = fit->term_count;
    basis_fill(&b, fit, inputs);
    for (size_t o = 0; o < fit->outputs; o++)
        outputs[o] = dot(fit->coefficients + o * count, b.terms, count);
    for (size_t i = 0; slopes != NULL && i < fit->inputs; i++) {
        basis_slopes(by_input, &b, fit, i, inputs[i]);
        for (size_t o = 0; o < fit->outputs; o++)
            slopes[o * fit->inputs + i] = dot(fit->coefficients + o * count, by_input, count);
    }
}

size_t fl_fit_room(const fl_fit *fit)
{
    return (fit->term_count + fit->inputs * (fit->degree + 1)) * FL_LANES;
}

/* Chebyshev polynomials of one input, rows of lanes 0 to degree. */
static void fill_powers(double *powers, const fl_fit *fit, size_t input, const double *values,
                        bool *covered)
{
    double *at = powers + FL_LANES;
    for (size_t i = 0; i < FL_LANES; i++) {
        powers[i] = 1.0;
        at[i] = place(fit, input, values[i]);
        if (!(fabs(at[i]) <= 1.0 + slack) || (fit->logarithm[input] && !(values[i] > 0.0)))
            covered[i] = false;
    }
    for (size_t k = 1; k < fit->degree; k++) {
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
    for (size_t i = 0; i < fit->inputs; i++)
        fill_powers(powers + i * (fit->degree + 1) * FL_LANES, fit, i, inputs[i], covered);
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

void fl_fit_free(fl_fit *fit)
{
    if (fit == NULL)
        return;
    fl_arena_release(&fit->arena);
    fl_memory_free(fit);
}

/* Adds the products of a total degree: each shorter one [0, end) times a power of a later input.
 * False when they are too many. */
static bool lay_degree(fl_fit *fit, size_t total, size_t *count)
{
    const size_t end = *count;
    for (size_t parent = 0; parent < end; parent++) {
        const term *of = &fit->terms[parent];
        for (size_t i = of->degree == 0 ? 0 : of->input + 1; i < fit->inputs; i++) {
            if (*count == FL_FIT_TERMS)
                return false;
            fit->terms[(*count)++] = (term){parent, i, total - of->total, total};
        }
    }
    return true;
}

/* Terms of total degree up to `degree`, in order of total degree. */
static bool lay_terms(fl_fit *fit, size_t degree)
{
    size_t count = 1;
    fit->terms[0] = (term){0, 0, 0, 0};
    for (size_t total = 1; total <= degree; total++)
        if (!lay_degree(fit, total, &count))
            return false;
    fit->term_count = count;
    fit->degree = degree;
    return true;
}

/* Points and outputs, grown as the degree rises. */
typedef struct samples {
    gsl_qrng *sequence;
    double *inputs, *outputs; /* [count] of each */
    size_t count, room;
} samples;

static void samples_release(samples *s)
{
    if (s->sequence != NULL)
        gsl_qrng_free(s->sequence);
    fl_memory_free(s->inputs);
    fl_memory_free(s->outputs);
}

static fl_status samples_grow(samples *s, const fl_fit *fit, size_t room, fl_error *error)
{
    double *inputs = fl_memory_grow(s->inputs, s->room * fit->inputs * sizeof *inputs,
                                    room * fit->inputs, sizeof *inputs);
    if (inputs == NULL)
        return fl_fail_memory(error);
    s->inputs = inputs;
    double *outputs = fl_memory_grow(s->outputs, s->room * fit->outputs * sizeof *outputs,
                                     room * fit->outputs, sizeof *outputs);
    if (outputs == NULL)
        return fl_fail_memory(error);
    s->outputs = outputs;
    s->room = room;
    return FL_OK;
}

/* Takes points of the sequence until there are count; dense towards the walls of the box, where a
 * polynomial of high degree would else swing (clustered), or even. */
static fl_status samples_take(samples *s, const fl_fit *fit, const fl_fit_plan *plan, size_t count,
                              bool clustered, fl_error *error)
{
    fl_status status = count > s->room ? samples_grow(s, fit, count, error) : FL_OK;
    for (; status == FL_OK && s->count < count; s->count++) {
        double even[FL_FIT_INPUTS];
        double *inputs = s->inputs + s->count * fit->inputs;
        gsl_qrng_get(s->sequence, even);
        for (size_t i = 0; i < fit->inputs; i++) {
            const double at = clustered ? -cos(acos(-1.0) * even[i]) : 2.0 * even[i] - 1.0;
            inputs[i] = value_at(fit, i, at);
        }
        status = plan->source(s->outputs + s->count * fit->outputs, inputs, plan->payload, error);
        if (status != FL_OK)
            break;
    }
    return status;
}

/* Least squares of all outputs by one QR decomposition. */
static fl_status solve(fl_fit *fit, const samples *s, fl_error *error)
{
    const size_t rows = s->count, columns = fit->term_count;
    gsl_matrix *matrix = gsl_matrix_alloc(rows, columns);
    gsl_vector *tau = gsl_vector_alloc(columns), *right = gsl_vector_alloc(rows);
    gsl_vector *solution = gsl_vector_alloc(columns), *residual = gsl_vector_alloc(rows);
    fl_status status = FL_OK;
    if (matrix == NULL || tau == NULL || right == NULL || solution == NULL || residual == NULL) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    for (size_t r = 0; r < rows; r++) {
        basis b;
        basis_fill(&b, fit, s->inputs + r * fit->inputs);
        memcpy(gsl_matrix_ptr(matrix, r, 0), b.terms, columns * sizeof(double));
    }
    gsl_linalg_QR_decomp(matrix, tau);
    for (size_t o = 0; o < fit->outputs; o++) {
        for (size_t r = 0; r < rows; r++)
            gsl_vector_set(right, r, s->outputs[r * fit->outputs + o]);
        gsl_linalg_QR_lssolve(matrix, tau, right, solution, residual);
        memcpy(fit->coefficients + o * columns, solution->data, columns * sizeof(double));
    }
cleanup:
    gsl_matrix_free(matrix);
    gsl_vector_free(tau);
    gsl_vector_free(right);
    gsl_vector_free(solution);
    gsl_vector_free(residual);
    return status;
}

/* Largest error at points that the fit has not seen. */
static double measure(const fl_fit *fit, const samples *unseen)
{
    double worst = 0.0, got[FL_FIT_OUTPUTS], size[FL_FIT_OUTPUTS] = {0.0};
    for (size_t r = 0; r < unseen->count; r++)
        for (size_t o = 0; o < fit->outputs; o++)
            size[o] = fmax(size[o], fabs(unseen->outputs[r * fit->outputs + o]));
    for (size_t r = 0; r < unseen->count; r++) {
        fl_fit_values(fit, unseen->inputs + r * fit->inputs, got, NULL);
        for (size_t o = 0; o < fit->outputs; o++) {
            const double off = fabs(got[o] - unseen->outputs[r * fit->outputs + o]);
            if (size[o] > 0.0)
                worst = fmax(worst, off / size[o]);
        }
    }
    return worst;
}

enum { LEAST_DEGREE = 2 };

/* Points that a fit is measured at: more where there are more corners to be wrong in. */
static size_t unseen_points(size_t inputs)
{
    const size_t points = 8 + 8 * inputs;
    return points < 40 ? points : 40;
}

/* Raises the degree until the error is as wanted, or no more terms may be had. */
static fl_status raise_degree(fl_fit *fit, const fl_fit_plan *plan, samples *seen, samples *unseen,
                              fl_error *error)
{
    fl_status status = samples_take(unseen, fit, plan, unseen_points(fit->inputs), false, error);
    double before[2] = {HUGE_VAL, HUGE_VAL}; /* errors one and two degrees lower */
    for (size_t degree = LEAST_DEGREE; status == FL_OK && degree <= MOST_DEGREE; degree++) {
        if (!lay_terms(fit, degree))
            break;
        status = samples_take(seen, fit, plan, 2 * fit->term_count + 8, true, error);
        if (status == FL_OK)
            status = solve(fit, seen, error);
        if (status != FL_OK)
            return status;
        fit->error = measure(fit, unseen);
        /* Where the error no longer falls, over an even and an odd degree, the source itself is no
         * smoother. */
        const bool settled = fit->error <= plan->allowed && fit->error > 0.5 * before[1];
        if (fit->error <= plan->wanted || settled)
            return FL_OK;
        before[1] = before[0];
        before[0] = fit->error;
    }
    if (status == FL_OK && !(fit->error <= plan->allowed))
        return fl_fail(error, FL_BAD_INPUT, "",
                       "expected ranges over which the model can be fitted to %.2g %%, found an "
                       "error of %.2g %%: narrow the sizes or spreads",
                       100.0 * plan->allowed, 100.0 * fit->error);
    return status;
}

/* Terms by the rows that their powers have in fl_fit_lanes. */
static void lay_factors(fl_fit *fit)
{
    for (size_t t = 0; t < fit->term_count; t++) {
        const term *product = &fit->terms[t];
        fit->factors[t] =
            (fl_factor){product->parent, product->input * (fit->degree + 1) + product->degree};
    }
}

static bool take_arrays(fl_fit *fit, const fl_fit_plan *plan)
{
    fl_arena *arena = &fit->arena;
    fit->low = fl_arena_take(arena, plan->input_count, sizeof *fit->low);
    fit->high = fl_arena_take(arena, plan->input_count, sizeof *fit->high);
    fit->logarithm = fl_arena_take(arena, plan->input_count, sizeof *fit->logarithm);
    fit->terms = fl_arena_take(arena, FL_FIT_TERMS, sizeof *fit->terms);
    fit->factors = fl_arena_take(arena, FL_FIT_TERMS, sizeof *fit->factors);
    fit->coefficients =
        fl_arena_take(arena, plan->output_count * FL_FIT_TERMS, sizeof *fit->coefficients);
    return fit->low != NULL && fit->high != NULL && fit->logarithm != NULL && fit->terms != NULL &&
           fit->coefficients != NULL && fit->factors != NULL;
}

static void lay_box(fl_fit *fit, const fl_fit_plan *plan)
{
    for (size_t i = 0; i < plan->input_count; i++) {
        fit->logarithm[i] = plan->low[i] > 0.0 && plan->high[i] > 3.0 * plan->low[i];
        fit->low[i] = inward(fit, i, plan->low[i]);
        fit->high[i] = inward(fit, i, plan->high[i]);
    }
}

fl_status fl_fit_new(fl_fit **fit, const fl_fit_plan *plan, fl_error *error)
{
    samples seen = {.count = 0}, unseen = {.count = 0};
    fl_status status = FL_OK;
    fl_fit *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    gsl_set_error_handler_off();
    fl_arena_init(&made->arena);
    made->error = HUGE_VAL;
    made->inputs = plan->input_count;
    made->outputs = plan->output_count;
    seen.sequence = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)plan->input_count);
    unseen.sequence = gsl_qrng_alloc(gsl_qrng_halton, (unsigned)plan->input_count);
    if (seen.sequence == NULL || unseen.sequence == NULL || !take_arrays(made, plan)) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    lay_box(made, plan);
    status = raise_degree(made, plan, &seen, &unseen, error);
    lay_factors(made);
cleanup:
    samples_release(&seen);
    samples_release(&unseen);
    if (status != FL_OK) {
        fl_fit_free(made);
        return status;
    }
    *fit = made;
    return FL_OK;
}
