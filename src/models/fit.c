/* Polynomial fits of costly models. */
#include "models/fit_parts.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_qrng.h>
#include <math.h>
#include <string.h>

/* The input that has a place in the box. */
static double value_at(const fl_fit *fit, size_t input, double place_in_box)
{
    const double low = fit->low[input], high = fit->high[input];
    const double inside = 0.5 * (low + high) + 0.5 * (high - low) * place_in_box;
    return fit->logarithm[input] ? exp(inside) : inside;
}

void fl_fit_free(fl_fit *fit)
{
    if (fit == NULL)
        return;
    fl_arena_release(&fit->arena);
    fl_memory_free(fit);
}

/* The set of terms as it grows: with each term all that divide it. A term is settled when its
 * multiples may follow. */
typedef struct growth {
    unsigned char degrees[FL_FIT_TERMS][FL_FIT_INPUTS];
    bool settled[FL_FIT_TERMS];
    double share[FL_FIT_TERMS]; /* largest coefficient over the size of its output */
} growth;

/* Place of a product among the terms, or the count. */
static size_t find_term(const fl_fit *fit, const growth *g, const unsigned char *degrees)
{
    size_t t = 0;
    while (t < fit->term_count && memcmp(g->degrees[t], degrees, FL_FIT_INPUTS) != 0)
        t++;
    return t;
}

/* Whether all that divide a product by one factor are settled. */
static bool follows(const fl_fit *fit, const growth *g, const unsigned char *degrees)
{
    unsigned char below[FL_FIT_INPUTS];
    memcpy(below, degrees, FL_FIT_INPUTS);
    for (size_t i = 0; i < fit->inputs; i++) {
        if (degrees[i] == 0)
            continue;
        below[i]--;
        const size_t t = find_term(fit, g, below);
        if (t == fit->term_count || !g->settled[t])
            return false;
        below[i]++;
    }
    return true;
}

/* Adds a product; its last factor and the product of the others, which is there. */
static void add_term(fl_fit *fit, growth *g, const unsigned char *degrees)
{
    unsigned char rest[FL_FIT_INPUTS];
    fl_fit_term added = {0};
    memcpy(rest, degrees, FL_FIT_INPUTS);
    for (size_t i = 0; i < fit->inputs; i++)
        if (degrees[i] > 0)
            added = (fl_fit_term){0, i, degrees[i]};
    rest[added.input] = 0;
    added.parent = added.degree > 0 ? find_term(fit, g, rest) : 0;
    memcpy(g->degrees[fit->term_count], degrees, FL_FIT_INPUTS);
    fit->terms[fit->term_count++] = added;
    fit->degree = added.degree > fit->degree ? added.degree : fit->degree;
}

/* Settles a term and adds those of its multiples by one factor that may now follow. */
static void settle(fl_fit *fit, growth *g, size_t t)
{
    unsigned char above[FL_FIT_INPUTS];
    g->settled[t] = true;
    memcpy(above, g->degrees[t], FL_FIT_INPUTS);
    for (size_t i = 0; i < fit->inputs && fit->term_count < FL_FIT_TERMS; i++) {
        above[i]++;
        if (above[i] <= FL_FIT_DEGREE && find_term(fit, g, above) == fit->term_count &&
            follows(fit, g, above))
            add_term(fit, g, above);
        above[i]--;
    }
}

/* Terms of total degree up to two. */
static void begin_terms(fl_fit *fit, growth *g)
{
    const unsigned char none[FL_FIT_INPUTS] = {0};
    fit->term_count = 0;
    fit->degree = 1;
    add_term(fit, g, none);
    settle(fit, g, 0);
    for (size_t t = 1; t <= fit->inputs; t++)
        settle(fit, g, t);
}

/* Terms that weigh at least this share of the heaviest not yet settled are settled with it. */
static const double settled_share = 0.3;

/* Multiples of the heaviest terms follow [Gerstner2003]; of the next ones if those have none that
 * may. False when there are no more. */
static bool grow_terms(fl_fit *fit, growth *g)
{
    const size_t count = fit->term_count;
    bool open = true;
    while (open && fit->term_count == count) {
        double heaviest = 0.0;
        open = false;
        for (size_t t = 0; t < count; t++)
            if (!g->settled[t])
                heaviest = fmax(heaviest, g->share[t]);
        for (size_t t = 0; t < count; t++)
            if (!g->settled[t] && g->share[t] >= settled_share * heaviest) {
                settle(fit, g, t);
                open = true;
            }
    }
    return fit->term_count > count;
}

/* Points and outputs. */
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

/* Asks at the point whose places in the box are given. */
static fl_status ask(samples *s, const fl_fit *fit, const fl_fit_plan *plan, const double *places,
                     fl_error *error)
{
    double *inputs = s->inputs + s->count * fit->inputs;
    for (size_t i = 0; i < fit->inputs; i++)
        inputs[i] = value_at(fit, i, places[i]);
    const fl_status status =
        plan->source(s->outputs + s->count * fit->outputs, inputs, plan->payload, error);
    s->count += status == FL_OK;
    return status;
}

/* Even points, of a set that has nothing in common with the other. */
static fl_status take_unseen(samples *s, const fl_fit *fit, const fl_fit_plan *plan, size_t count,
                             fl_error *error)
{
    fl_status status = samples_grow(s, fit, count, error);
    while (status == FL_OK && s->count < count) {
        double places[FL_FIT_INPUTS];
        gsl_qrng_get(s->sequence, places);
        for (size_t i = 0; i < fit->inputs; i++)
            places[i] = 2.0 * places[i] - 1.0;
        status = ask(s, fit, plan, places, error);
    }
    return status;
}

/* Middle, ends, then halves of angles, evens before odds: with the first n a polynomial of n terms
 * is well interpolated, whatever n [Chkifa2014]. */
static double point_of(size_t degree)
{
    if (degree < 3)
        return degree == 0 ? 0.0 : degree == 1 ? 1.0 : -1.0;
    size_t level = 2, turned = 0;
    while (degree > 2 * level)
        level *= 2;
    /* Pairs about the middle, the numbers of which have their binary digits turned round. */
    const size_t pair = (degree - level - 1) / 2;
    for (size_t bit = 1, from = level / 4; from > 0; bit *= 2, from /= 2)
        turned += (pair & bit) != 0 ? from : 0;
    const double at = cos(acos(-1.0) * (double)(2 * turned + 1) / (double)(2 * level));
    return (degree - level) % 2 == 1 ? at : -at;
}

/* One point a term. */
static fl_status take_seen(samples *s, const fl_fit *fit, const growth *g, const fl_fit_plan *plan,
                           fl_error *error)
{
    fl_status status =
        fit->term_count > s->room ? samples_grow(s, fit, 2 * fit->term_count, error) : FL_OK;
    while (status == FL_OK && s->count < fit->term_count) {
        double places[FL_FIT_INPUTS];
        for (size_t i = 0; i < fit->inputs; i++)
            places[i] = point_of(g->degrees[s->count][i]);
        status = ask(s, fit, plan, places, error);
    }
    return status;
}

/* All outputs by one LU decomposition: as many terms as points. */
static fl_status solve(fl_fit *fit, const samples *s, fl_error *error)
{
    const size_t count = fit->term_count;
    int sign = 0;
    gsl_matrix *matrix = gsl_matrix_alloc(count, count);
    gsl_permutation *order = gsl_permutation_alloc(count);
    fl_status status = matrix == NULL || order == NULL ? fl_fail_memory(error) : FL_OK;
    for (size_t r = 0; status == FL_OK && r < count; r++) {
        fl_fit_basis b;
        fl_fit_basis_fill(&b, fit, s->inputs + r * fit->inputs);
        memcpy(gsl_matrix_ptr(matrix, r, 0), b.terms, count * sizeof(double));
    }
    if (status == FL_OK)
        gsl_linalg_LU_decomp(matrix, order, &sign);
    for (size_t o = 0; status == FL_OK && o < fit->outputs; o++) {
        gsl_vector_view right = gsl_vector_view_array(fit->coefficients + o * count, count);
        for (size_t r = 0; r < count; r++)
            gsl_vector_set(&right.vector, r, s->outputs[r * fit->outputs + o]);
        gsl_linalg_LU_svx(matrix, order, &right.vector);
    }
    fl_fit_round(fit);
    gsl_matrix_free(matrix);
    gsl_permutation_free(order);
    return status;
}

/* Largest size of each output. */
static void measure_sizes(double *size, const fl_fit *fit, const samples *unseen)
{
    for (size_t o = 0; o < fit->outputs; o++)
        size[o] = 0.0;
    for (size_t r = 0; r < unseen->count; r++)
        for (size_t o = 0; o < fit->outputs; o++)
            size[o] = fmax(size[o], fabs(unseen->outputs[r * fit->outputs + o]));
}

/* Largest error at points that the fit has not seen. */
static double measure(const fl_fit *fit, const samples *unseen, const double *size)
{
    double worst = 0.0, got[FL_FIT_OUTPUTS];
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

static void measure_shares(growth *g, const fl_fit *fit, const double *size)
{
    for (size_t t = 0; t < fit->term_count; t++) {
        g->share[t] = 0.0;
        for (size_t o = 0; o < fit->outputs; o++)
            if (size[o] > 0.0)
                g->share[t] =
                    fmax(g->share[t], fabs(fit->coefficients[o * fit->term_count + t]) / size[o]);
    }
}

/* Points that a fit is measured at: more where there are more corners to be wrong in. */
static size_t unseen_points(size_t inputs)
{
    const size_t points = 8 + 4 * inputs;
    return points < 40 ? points : 40;
}

/* Errors that a fit had, to see whether it still gets better. */
typedef struct progress {
    size_t terms[FL_FIT_TERMS], rounds;
    double errors[FL_FIT_TERMS];
} progress;

/* Where twice the terms do not halve the error, the source itself is no smoother. */
static bool stalls(progress *p, const fl_fit *fit)
{
    double before = HUGE_VAL;
    for (size_t i = 0; i < p->rounds; i++)
        if (2 * p->terms[i] <= fit->term_count)
            before = fmin(before, p->errors[i]);
    p->terms[p->rounds] = fit->term_count;
    p->errors[p->rounds++] = fit->error;
    return fit->error > 0.5 * before;
}

/* What making a fit needs besides: too much for the stack of a thread. */
typedef struct making {
    growth growth;
    progress progress;
    samples seen, unseen;
    double size[FL_FIT_OUTPUTS];
} making;

/* Adds terms until the error is as wanted, or no more may be had. */
static fl_status add_terms(fl_fit *fit, making *m, const fl_fit_plan *plan, fl_error *error)
{
    fl_status status = take_unseen(&m->unseen, fit, plan, unseen_points(fit->inputs), error);
    if (status != FL_OK)
        return status;
    measure_sizes(m->size, fit, &m->unseen);
    begin_terms(fit, &m->growth);
    do {
        status = take_seen(&m->seen, fit, &m->growth, plan, error);
        if (status == FL_OK)
            status = solve(fit, &m->seen, error);
        if (status != FL_OK)
            return status;
        fit->error = measure(fit, &m->unseen, m->size);
        if (fit->error <= plan->wanted ||
            (stalls(&m->progress, fit) && fit->error <= plan->allowed))
            return FL_OK;
        measure_shares(&m->growth, fit, m->size);
    } while (grow_terms(fit, &m->growth));
    if (fit->error <= plan->allowed)
        return FL_OK;
    return fl_fail(error, FL_BAD_INPUT, "",
                   "expected ranges over which the model can be fitted to %.2g %%, found an error "
                   "of %.2g %%: narrow the sizes or spreads",
                   100.0 * plan->allowed, 100.0 * fit->error);
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
        fit->low[i] = fl_fit_inward(fit, i, plan->low[i]);
        fit->high[i] = fl_fit_inward(fit, i, plan->high[i]);
    }
}

fl_status fl_fit_new(fl_fit **fit, const fl_fit_plan *plan, fl_error *error)
{
    fl_status status = FL_OK;
    fl_fit *made = fl_memory_take(1, sizeof *made);
    making *m = fl_memory_take(1, sizeof *m);
    if (made == NULL || m == NULL) {
        fl_memory_free(made);
        fl_memory_free(m);
        return fl_fail_memory(error);
    }
    gsl_set_error_handler_off();
    fl_arena_init(&made->arena);
    made->error = HUGE_VAL;
    made->inputs = plan->input_count;
    made->outputs = plan->output_count;
    m->unseen.sequence = gsl_qrng_alloc(gsl_qrng_halton, (unsigned)plan->input_count);
    if (m->unseen.sequence == NULL || !take_arrays(made, plan)) {
        status = fl_fail_memory(error);
        goto cleanup;
    }
    lay_box(made, plan);
    status = add_terms(made, m, plan, error);
    fl_fit_lay_factors(made);
cleanup:
    samples_release(&m->seen);
    samples_release(&m->unseen);
    fl_memory_free(m);
    if (status != FL_OK) {
        fl_fit_free(made);
        return status;
    }
    *fit = made;
    return FL_OK;
}
