/* Resistance of a cross-section's conductors, from the inductance's change as surfaces recede. */
#include <math.h>
#include <string.h>

#include "models/cross_mesh.h"

/* Step of recession over the smallest dimension: its square is the error, and what rounding leaves
 * of the difference is some 1e-14 over it. */
static const double step_share = 1e-3;

static double smaller(double a, double b)
{
    return b > 0.0 && b < a ? b : a;
}

/** The distance between two conductors, along the axis on which they are apart the most. */
static double distance(const fl_cross_conductor *a, const fl_cross_conductor *b)
{
    const double level = fmax(b->left - a->right, a->left - b->right);
    const double upright =
        fmax(b->bottom - (a->bottom + a->thickness), a->bottom - (b->bottom + b->thickness));
    return fmax(level, upright);
}

/** The smallest width, thickness, height or distance. */
static double smallest(const fl_cross_plan *plan)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < plan->conductor_count; ++i) {
        const fl_cross_conductor *c = &plan->conductors[i];
        least = smaller(least, c->thickness);
        least = smaller(least, c->right - c->left);
        least = smaller(least, plan->cross->ground ? c->bottom : 0.0);
        for (size_t j = 0; j < i; ++j)
            least = smaller(least, distance(c, &plan->conductors[j]));
    }
    return least;
}

/** The plan in air with the surface of conductor k gone back by depth[k]; the ground plane's depth
 * is the last. */
static void recede(fl_cross_plan *moved, const fl_cross_plan *plan, const double *depth,
                   double times)
{
    *moved = *plan;
    moved->layer_count = 0;
    moved->permittivity[0] = 1.0;
    moved->loss[0] = 0.0;
    for (size_t k = 0; k < plan->conductor_count; ++k) {
        fl_cross_conductor *c = &moved->conductors[k];
        const double by = times * depth[k];
        c->bottom += times * depth[plan->conductor_count] + by;
        c->left += by;
        c->right -= by;
        /* The lid has a lower face only. */
        if (c->thickness > 0.0)
            c->thickness -= 2.0 * by;
    }
}

/** Inverse of the capacitance in air, over the permittivity of vacuum. */
static fl_status elastance_of(double (*elastance)[FL_CROSS_SIGNALS], const fl_cross_plan *plan,
                              fl_arena *arena, fl_error *error)
{
    fl_mesh mesh;
    fl_cross_sums sums;
    if (!fl_mesh_make(&mesh, plan, arena))
        return fl_fail_memory(error);
    const fl_status status = fl_mesh_solve(&sums, &mesh, arena, error);
    if (status != FL_OK)
        return status;
    if (!fl_signals_invert(elastance, sums.air_charge, plan->signal_count))
        return fl_fail_proportion(error);
    return FL_OK;
}

bool fl_signals_invert(double (*inverse)[FL_CROSS_SIGNALS], double (*given)[FL_CROSS_SIGNALS],
                       size_t count)
{
    double rows[FL_CROSS_SIGNALS][2 * FL_CROSS_SIGNALS] = {{0.0}};
    for (size_t i = 0; i < count; ++i) {
        memcpy(rows[i], given[i], count * sizeof rows[i][0]);
        rows[i][count + i] = 1.0;
    }
    /* Without exchange of rows, which a positive matrix does not need. */
    for (size_t k = 0; k < count; ++k) {
        const double pivot = rows[k][k];
        if (!isfinite(pivot) || !(pivot > 0.0))
            return false;
        for (size_t j = 0; j < 2 * count; ++j)
            rows[k][j] /= pivot;
        for (size_t i = 0; i < count; ++i) {
            const double factor = i == k ? 0.0 : rows[i][k];
            for (size_t j = 0; j < 2 * count; ++j)
                rows[i][j] -= factor * rows[k][j];
        }
    }
    for (size_t i = 0; i < count; ++i)
        memcpy(inverse[i], rows[i] + count, count * sizeof rows[i][0]);
    return true;
}

fl_status fl_plan_resistance(double (*result)[FL_CROSS_SIGNALS], const fl_cross_plan *plan,
                             const double *resistance, fl_arena *arena, fl_error *error)
{
    double depth[FL_CROSS_CONDUCTORS + 2];
    double elastance[2][FL_CROSS_SIGNALS][FL_CROSS_SIGNALS] = {{{0.0}}};
    fl_cross_plan moved;
    double most = 0.0;
    for (size_t k = 0; k <= plan->conductor_count; ++k)
        most = fmax(most, resistance[k]);
    for (size_t i = 0; i < plan->signal_count; ++i)
        for (size_t j = 0; j < plan->signal_count; ++j)
            result[i][j] = 0.0;
    if (!(most > 0.0))
        return FL_OK;
    /* R = (Rs / mu0) dL / dn [Wheeler1942]; each surface goes back in proportion to its Rs. */
    const double step = step_share * smallest(plan);
    for (size_t k = 0; k <= plan->conductor_count; ++k)
        depth[k] = step * resistance[k] / most;
    for (size_t k = 0; k < 2; ++k) {
        recede(&moved, plan, depth, k == 0 ? -1.0 : 1.0);
        const fl_status status = elastance_of(elastance[k], &moved, arena, error);
        if (status != FL_OK)
            return status;
    }
    for (size_t i = 0; i < plan->signal_count; ++i)
        for (size_t j = 0; j < plan->signal_count; ++j)
            result[i][j] = most * (elastance[1][i][j] - elastance[0][i][j]) / (2.0 * step);
    return FL_OK;
}
