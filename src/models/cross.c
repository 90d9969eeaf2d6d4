/* Line constants of a cross-section from the charges on it. */
#include "models/cross.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "models/cross_mesh.h"

typedef double matrix[FL_CROSS_SIGNALS][FL_CROSS_SIGNALS];

static const double light_speed = 299792458.0;                       /* m/s */
static const double vacuum_permeability = 1.25663706143591729539e-6; /* 4 pi 1e-7 H/m */

/* A few seconds' work. */
static const size_t most_elements = 1500;

static double vacuum_permittivity(void)
{
    return 1.0 / (vacuum_permeability * light_speed * light_speed);
}

/** Surface resistance with the roughness factor, ohm; 0 for no loss. */
static double surface_resistance(double conductivity, double roughness, double frequency)
{
    const double pi = acos(-1.0);
    if (!(conductivity > 0.0) || !(frequency > 0.0))
        return 0.0;
    const double depth = 1.0 / sqrt(pi * frequency * vacuum_permeability * conductivity);
    const double ratio = roughness / depth;
    /* [Hammerstad1980] */
    const double factor = 1.0 + 2.0 / pi * atan(1.4 * ratio * ratio);
    return factor / (conductivity * depth);
}

static void set_resistances(double *resistance, const fl_cross_plan *plan, double frequency)
{
    const fl_cross *cross = plan->cross;
    const size_t lid = plan->conductor_count - (plan->lid ? 1 : 0);
    for (size_t k = 0; k < plan->conductor_count; ++k) {
        const fl_cross_conductor *c = &plan->conductors[k];
        const bool ideal = k != lid && !(c->thickness > 0.0);
        resistance[k] = ideal ? 0.0 : surface_resistance(c->conductivity, c->roughness, frequency);
    }
    resistance[plan->conductor_count] =
        cross->ground ? surface_resistance(cross->conductivity, cross->roughness, frequency) : 0.0;
}

/** The mean of a matrix and its transpose: what point matching leaves unequal. */
static void symmetrise(matrix m, size_t n)
{
    for (size_t i = 0; i < n; ++i)
        for (size_t j = 0; j < i; ++j)
            m[i][j] = m[j][i] = 0.5 * (m[i][j] + m[j][i]);
}

static void scale(matrix m, size_t n, double factor)
{
    for (size_t i = 0; i < n; ++i)
        for (size_t j = 0; j < n; ++j)
            m[i][j] *= factor;
}

static fl_cross_mode mode_of(const fl_cross_result *r, double sign)
{
    const double inductance = r->inductance[0][0] + sign * r->inductance[0][1];
    const double air = r->air_capacitance[0][0] + sign * r->air_capacitance[0][1];
    fl_cross_mode mode = {0};
    mode.capacitance = r->capacitance[0][0] + sign * r->capacitance[0][1];
    mode.impedance = sqrt(inductance / mode.capacitance);
    mode.permittivity = mode.capacitance / air;
    mode.resistance = r->resistance[0][0] + sign * r->resistance[0][1];
    mode.conductance = r->conductance[0][0] + sign * r->conductance[0][1];
    return mode;
}

static void set_modes(fl_cross_result *r, const fl_cross_plan *plan)
{
    if (plan->signal_count == 1) {
        r->mode_count = 1;
        r->modes[0] = mode_of(r, 0.0);
    } else if (plan->signal_count == 2 && plan->symmetric && plan->partner[1] == 2) {
        r->mode_count = 2;
        r->modes[0] = mode_of(r, 1.0);
        r->modes[1] = mode_of(r, -1.0);
    }
}

static bool all_finite(const fl_cross_result *r)
{
    const size_t n = r->signal_count;
    for (size_t i = 0; i < n; ++i) {
        if (!(r->capacitance[i][i] > 0.0) || !(r->inductance[i][i] > 0.0))
            return false;
        for (size_t j = 0; j < n; ++j)
            if (!isfinite(r->capacitance[i][j]) || !isfinite(r->inductance[i][j]) ||
                !isfinite(r->resistance[i][j]) || !isfinite(r->conductance[i][j]))
                return false;
    }
    for (size_t k = 0; k < r->mode_count; ++k)
        if (!isfinite(r->modes[k].impedance) || !isfinite(r->modes[k].permittivity))
            return false;
    return true;
}

/** Matrices from sums; false if they are not those of a line. */
static bool set_matrices(fl_cross_result *r, fl_cross_sums *sums, double frequency)
{
    const size_t n = r->signal_count;
    const double omega = 2.0 * acos(-1.0) * frequency;
    symmetrise(sums->air_charge, n);
    if (!fl_signals_invert(r->inductance, sums->air_charge, n))
        return false;
    memcpy(r->capacitance, sums->charge, sizeof r->capacitance);
    memcpy(r->air_capacitance, sums->air_charge, sizeof r->air_capacitance);
    memcpy(r->conductance, sums->loss_charge, sizeof r->conductance);
    symmetrise(r->capacitance, n);
    symmetrise(r->conductance, n);
    symmetrise(r->resistance, n);
    scale(r->inductance, n, vacuum_permeability);
    scale(r->capacitance, n, vacuum_permittivity());
    scale(r->air_capacitance, n, vacuum_permittivity());
    scale(r->conductance, n, omega * vacuum_permittivity());
    return true;
}

static fl_status solve_plan(fl_cross_result *r, const fl_cross_plan *plan, double frequency,
                            fl_arena *arena, fl_error *error)
{
    fl_mesh mesh;
    fl_cross_sums sums;
    double resistance[FL_CROSS_CONDUCTORS + 2];
    if (!fl_mesh_make(&mesh, plan, arena))
        return fl_fail_memory(error);
    if (mesh.element_count > most_elements)
        return fl_fail(error, FL_BAD_INPUT, "conductors", "at most %zu elements, found %zu",
                       most_elements, mesh.element_count);
    fl_status status = fl_mesh_solve(&sums, &mesh, arena, error);
    if (status != FL_OK)
        return status;
    set_resistances(resistance, plan, frequency);
    status = fl_plan_resistance(r->resistance, plan, resistance, arena, error);
    if (status != FL_OK)
        return status;
    r->signal_count = plan->signal_count;
    if (!set_matrices(r, &sums, frequency))
        return fl_fail_proportion(error);
    set_modes(r, plan);
    return all_finite(r) ? FL_OK : fl_fail_proportion(error);
}

fl_status fl_cross_solve(fl_cross_result *result, const fl_cross *cross, double frequency,
                         fl_error *error)
{
    fl_arena arena;
    fl_cross_plan plan;
    fl_cross_result made = {0};
    gsl_set_error_handler_off();
    fl_arena_init(&arena);
    fl_status status = FL_OK;
    if (!isfinite(frequency) || frequency < 0.0)
        status = fl_fail(error, FL_BAD_INPUT, "frequency", "'frequency' must not be negative");
    if (status == FL_OK)
        status = fl_plan_make(&plan, cross, error);
    if (status == FL_OK)
        status = solve_plan(&made, &plan, frequency, &arena, error);
    if (status == FL_OK)
        *result = made;
    fl_arena_release(&arena);
    return status;
}
