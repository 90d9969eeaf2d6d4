/* Charges on the elements of a cross-section by dense elimination, and their sums by signal. */
#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "models/cross_mesh.h"

/** Influences and room for solutions. The equations: the potential of each conductor's element is
 * that of its conductor; the charge of a boundary's is twice the contrast of its media times the
 * mean field. */
typedef struct solver {
    const fl_mesh *mesh;
    size_t count, order;            /* elements; unknowns */
    double *plain, *mirrored;       /* [count][count]: potentials, and fluxes at boundaries */
    double *whole, *whole_mirrored; /* [conductor_chains][count] fluxes through chains */
    double *matrix;                 /* [order][order] */
    size_t *pivots;                 /* [order] */
    double *charge, *air, *loss;    /* [order] of one signal */
    double sign;                    /* 1: even, -1: odd; 0: no symmetry */
} solver;

/** A conductor's potential for a signal at 1 V: its part of this symmetry. */
static double weight(const solver *s, size_t conductor, size_t signal)
{
    const fl_cross_plan *plan = s->mesh->plan;
    const size_t own = plan->conductors[conductor].signal;
    const double direct = own == signal ? 1.0 : 0.0;
    if (!plan->symmetric)
        return direct;
    return 0.5 * (direct + s->sign * (plan->partner[own] == signal ? 1.0 : 0.0));
}

/** Whether a signal has a part of this symmetry. */
static bool has_part(const solver *s, size_t signal)
{
    for (size_t k = 0; k < s->mesh->plan->conductor_count; ++k)
        if (weight(s, k, signal) != 0.0)
            return true;
    return false;
}

/** Row by charges, with those of the other half. */
static double row_product(const solver *s, const double *plain, const double *mirrored,
                          const double *charge)
{
    double sum = 0.0;
    double other = 0.0;
    for (size_t k = 0; k < s->count; ++k)
        sum += plain[k] * charge[k];
    for (size_t k = 0; k < s->count && mirrored != NULL; ++k)
        other += mirrored[k] * charge[k];
    return sum + s->sign * other;
}

static const double *row_of(const solver *s, const double *rows, size_t i)
{
    return rows != NULL ? rows + i * s->count : NULL;
}

/** (below - above) / (below + above). */
static double contrast(const fl_cross_plan *plan, const fl_chain *chain)
{
    const double below = plan->permittivity[chain->below];
    const double above = plan->permittivity[chain->above];
    return (below - above) / (below + above);
}

/** Its change along the losses. */
static double contrast_change(const fl_cross_plan *plan, const fl_chain *chain)
{
    const double below = plan->permittivity[chain->below];
    const double above = plan->permittivity[chain->above];
    const double numerator = above * plan->loss[chain->below] - below * plan->loss[chain->above];
    return 2.0 * numerator / ((below + above) * (below + above));
}

static void set_equation(const solver *s, double *row, size_t i, size_t count, double factor)
{
    const double *plain = row_of(s, s->plain, i);
    const double *mirrored = row_of(s, s->mirrored, i);
    for (size_t k = 0; k < count; ++k)
        row[k] = factor * (plain[k] + (mirrored != NULL ? s->sign * mirrored[k] : 0.0));
}

/** Without a ground plane: the potential far away is one more unknown, and charges sum to zero. Odd
 * charges do so by themselves, and their potential far away is zero. */
static void set_border(const solver *s, size_t count)
{
    const size_t order = count + 1;
    double *last = s->matrix + count * order;
    const bool odd = s->sign < 0.0;
    for (size_t k = 0; k < count; ++k) {
        s->matrix[k * order + count] = k < s->mesh->conductor_elements ? 1.0 : 0.0;
        last[k] = odd ? 0.0 : s->mesh->length[k];
    }
    last[count] = odd ? 1.0 : 0.0;
}

/** Equations for the first count charges. */
static void set_matrix(const solver *s, size_t count)
{
    const fl_mesh *mesh = s->mesh;
    const size_t order = count + (s->order - s->count);
    for (size_t c = 0; c < mesh->chain_count; ++c) {
        const fl_chain *chain = &mesh->chains[c];
        const bool boundary = c >= mesh->conductor_chains;
        const double factor = boundary ? -contrast(mesh->plan, chain) : 1.0;
        for (size_t i = chain->first; i < chain->first + chain->count && i < count; ++i) {
            double *row = s->matrix + i * order;
            set_equation(s, row, i, count, factor);
            if (boundary)
                row[i] += 0.5 * mesh->length[i];
        }
    }
    if (order > count)
        set_border(s, count);
}

/** The factors stay in the matrix. */
static fl_status factorise(const solver *s, size_t order, fl_error *error)
{
    int parity = 0;
    gsl_matrix_view a = gsl_matrix_view_array(s->matrix, order, order);
    gsl_permutation p = {.size = order, .data = s->pivots};
    const int code = gsl_linalg_LU_decomp(&a.matrix, &p, &parity);
    if (code == GSL_ENOMEM)
        return fl_fail_memory(error);
    for (size_t i = 0; i < order; ++i) {
        const double pivot = s->matrix[i * order + i];
        if (code != GSL_SUCCESS || !isfinite(pivot) || pivot == 0.0)
            return fl_fail_proportion(error);
    }
    return FL_OK;
}

static void solve_in_place(const solver *s, double *right, size_t order)
{
    gsl_matrix_view a = gsl_matrix_view_array(s->matrix, order, order);
    gsl_vector_view x = gsl_vector_view_array(right, order);
    gsl_permutation p = {.size = order, .data = s->pivots};
    (void)gsl_linalg_LU_svx(&a.matrix, &p, &x.vector);
}

/** Right-hand side of a signal at 1 V. */
static void set_potentials(const solver *s, double *right, size_t signal)
{
    const fl_mesh *mesh = s->mesh;
    for (size_t i = 0; i < s->order; ++i)
        right[i] = 0.0;
    for (size_t c = 0; c < mesh->conductor_chains; ++c) {
        const fl_chain *chain = &mesh->chains[c];
        for (size_t k = 0; k < chain->count; ++k)
            right[chain->first + k] = weight(s, chain->conductor, signal);
    }
}

/** Right-hand side of the change of charges along the losses. */
static void set_loss(const solver *s, double *right, const double *charge)
{
    const fl_mesh *mesh = s->mesh;
    for (size_t i = 0; i < s->order; ++i)
        right[i] = 0.0;
    for (size_t c = mesh->conductor_chains; c < mesh->chain_count; ++c) {
        const fl_chain *chain = &mesh->chains[c];
        const double change = contrast_change(mesh->plan, chain);
        for (size_t i = chain->first; i < chain->first + chain->count && change != 0.0; ++i)
            right[i] =
                change * row_product(s, row_of(s, s->plain, i), row_of(s, s->mirrored, i), charge);
    }
}

static double sum_chain(const solver *s, const fl_chain *chain, const double *charge)
{
    double sum = 0.0;
    for (size_t i = chain->first; i < chain->first + chain->count; ++i)
        sum += s->mesh->length[i] * charge[i];
    return sum;
}

/**
 * Free charges of one chain: what D sends out on either side. The fluxes are those of the charges
 * as found, not of the equations they nearly solve, so that their sum does not depend on how the
 * charge at an edge is shared among the elements that meet there.
 * @param[out] free without and with one step along the losses: charge, change.
 */
static void free_charge(const solver *s, double free[2], size_t c)
{
    const fl_cross_plan *plan = s->mesh->plan;
    const fl_chain *chain = &s->mesh->chains[c];
    const double *plain = row_of(s, s->whole, c);
    const double *mirrored = row_of(s, s->whole_mirrored, c);
    const double flux = row_product(s, plain, mirrored, s->charge);
    const double half = 0.5 * sum_chain(s, chain, s->charge);
    const double flux_change = row_product(s, plain, mirrored, s->loss);
    const double half_change = 0.5 * sum_chain(s, chain, s->loss);
    const double below = plan->permittivity[chain->below];
    const double above = plan->permittivity[chain->above];
    free[0] = below * (half - flux) + above * (half + flux);
    free[1] = below * (half_change - flux_change) + above * (half_change + flux_change) +
              plan->loss[chain->below] * (half - flux) + plan->loss[chain->above] * (half + flux);
}

/** Adds the charges that one signal at 1 V gives. */
static void add_charges(const solver *s, fl_cross_sums *sums, size_t signal)
{
    const fl_cross_plan *plan = s->mesh->plan;
    const double copies = plan->symmetric ? 2.0 : 1.0;
    for (size_t c = 0; c < s->mesh->conductor_chains; ++c) {
        const fl_chain *chain = &s->mesh->chains[c];
        double free[2];
        if (plan->conductors[chain->conductor].signal == 0)
            continue;
        free_charge(s, free, c);
        const double air = sum_chain(s, chain, s->air);
        for (size_t i = 0; i < plan->signal_count; ++i) {
            const double share = copies * weight(s, chain->conductor, i + 1);
            sums->charge[i][signal - 1] += share * free[0];
            sums->loss_charge[i][signal - 1] += share * free[1];
            sums->air_charge[i][signal - 1] += share * air;
        }
    }
}

/** Influence of charges on one side of the plane of symmetry. */
static void fill(const solver *s, double *rows, double *whole, double side)
{
    const fl_mesh *mesh = s->mesh;
    for (size_t c = 0; c < mesh->chain_count; ++c) {
        const fl_chain *chain = &mesh->chains[c];
        double *const first = rows + chain->first * s->count;
        if (c >= mesh->conductor_chains) {
            fl_mesh_fluxes(first, side, mesh, chain, s->charge);
            continue;
        }
        fl_mesh_potentials(first, side, mesh, chain);
        if (mesh->plan->conductors[chain->conductor].signal > 0)
            fl_mesh_whole_flux(whole + c * s->count, side, mesh, chain, s->charge);
    }
}

/** Takes numbers; notes in failed if there are none. */
static double *take(fl_arena *arena, size_t rows, size_t columns, bool *failed)
{
    double *numbers = fl_arena_take(arena, rows, columns * sizeof *numbers);
    *failed = *failed || numbers == NULL;
    return numbers;
}

static bool make_solver(solver *s, fl_arena *arena)
{
    const fl_mesh *mesh = s->mesh;
    bool failed = false;
    s->count = mesh->element_count;
    s->order = s->count + (mesh->plan->cross->ground ? 0 : 1);
    s->pivots = fl_arena_take(arena, s->order, sizeof *s->pivots);
    s->plain = take(arena, s->count, s->count, &failed);
    s->whole = take(arena, mesh->conductor_chains, s->count, &failed);
    s->matrix = take(arena, s->order, s->order, &failed);
    s->charge = take(arena, 1, s->order, &failed);
    s->air = take(arena, 1, s->order, &failed);
    s->loss = take(arena, 1, s->order, &failed);
    if (mesh->plan->symmetric) {
        s->mirrored = take(arena, s->count, s->count, &failed);
        s->whole_mirrored = take(arena, mesh->conductor_chains, s->count, &failed);
    }
    if (failed || s->pivots == NULL)
        return false;
    fill(s, s->plain, s->whole, 1.0);
    if (mesh->plan->symmetric)
        fill(s, s->mirrored, s->whole_mirrored, -1.0);
    return true;
}

/** Charges without dielectrics, kept for all signals behind each other. */
static fl_status solve_air(const solver *s, double *air, fl_error *error)
{
    const size_t count = s->mesh->conductor_elements;
    const size_t order = count + (s->order - s->count);
    set_matrix(s, count);
    const fl_status status = factorise(s, order, error);
    for (size_t j = 0; j < s->mesh->plan->signal_count && status == FL_OK; ++j) {
        set_potentials(s, air + j * s->order, j + 1);
        solve_in_place(s, air + j * s->order, order);
    }
    return status;
}

/** One symmetry. */
static fl_status solve_part(solver *s, fl_cross_sums *sums, double *air, fl_error *error)
{
    fl_status status = solve_air(s, air, error);
    if (status == FL_OK && s->count > s->mesh->conductor_elements) {
        set_matrix(s, s->count);
        status = factorise(s, s->order, error);
    }
    for (size_t j = 0; j < s->mesh->plan->signal_count && status == FL_OK; ++j) {
        if (!has_part(s, j + 1))
            continue;
        s->air = air + j * s->order;
        set_potentials(s, s->charge, j + 1);
        solve_in_place(s, s->charge, s->order);
        set_loss(s, s->loss, s->charge);
        solve_in_place(s, s->loss, s->order);
        add_charges(s, sums, j + 1);
    }
    return status;
}

fl_status fl_mesh_solve(fl_cross_sums *sums, const fl_mesh *mesh, fl_arena *arena, fl_error *error)
{
    solver s = {.mesh = mesh};
    *sums = (fl_cross_sums){0};
    double *air = NULL;
    if (make_solver(&s, arena))
        air = fl_arena_take(arena, mesh->plan->signal_count, s.order * sizeof *air);
    if (air == NULL)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    for (int part = 0; part < (mesh->plan->symmetric ? 2 : 1) && status == FL_OK; ++part) {
        bool wanted = false;
        s.sign = mesh->plan->symmetric ? 1.0 - 2.0 * part : 0.0;
        for (size_t j = 0; j < mesh->plan->signal_count; ++j)
            wanted = wanted || has_part(&s, j + 1);
        if (wanted)
            status = solve_part(&s, sums, air, error);
    }
    return status;
}
