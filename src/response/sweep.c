/* Structure and scratch memory of one case on one set of frequencies. */
#include "response/sweep.h"

#include <math.h>
#include <string.h>

/* Real and imaginary parts apart, so that loops over lanes vectorise. */
static bool take_lanes(fl_arena *arena, fl_complex_lanes *lanes, size_t count)
{
    lanes->re = fl_arena_take(arena, count, sizeof *lanes->re);
    lanes->im = fl_arena_take(arena, count, sizeof *lanes->im);
    return lanes->re != NULL && lanes->im != NULL;
}

/* All but a data element do without the fourth. */
static bool take_twoport(fl_arena *arena, fl_twoport *twoport, fl_action action, size_t count)
{
    return take_lanes(arena, &twoport->x, count) && take_lanes(arena, &twoport->y, count) &&
           take_lanes(arena, &twoport->z, count) &&
           (action != FL_ACT_DATA || take_lanes(arena, &twoport->t, count));
}

/* Lagrange's weights of the nodes at a frequency: values at the nodes times weights are the
 * polynomial through them. The nodes are Chebyshev's, so that it does not swing between them. */
static double node_weight(const fl_setting *setting, size_t node, double frequency)
{
    double weight = 1.0;
    for (size_t k = 0; k < FL_NODES; k++)
        if (k != node)
            weight *= (frequency - setting->nodes[k]) / (setting->nodes[node] - setting->nodes[k]);
    return weight;
}

/* All that depends on frequency alone is computed here once, for every evaluation to come. */
static fl_status take_frequencies(fl_sweep *sweep, const double *frequencies, size_t count,
                                  fl_error *error)
{
    const fl_setting *setting = fl_groundwork_setting(sweep->path->groundwork);
    double *weights = fl_arena_take(&sweep->arena, FL_NODES * count, sizeof *weights);
    double *omega = fl_arena_take(&sweep->arena, count, sizeof *omega);
    double *root = fl_arena_take(&sweep->arena, count, sizeof *root);
    double *copy = fl_arena_take(&sweep->arena, count, sizeof *copy);
    if (omega == NULL || root == NULL || copy == NULL || weights == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++) {
        copy[i] = frequencies[i];
        omega[i] = 2.0 * acos(-1.0) * frequencies[i];
        root[i] = sqrt(omega[i] / setting->w0);
        for (size_t k = 0; k < FL_NODES; k++)
            weights[k * count + i] = node_weight(setting, k, frequencies[i]);
    }
    sweep->lanes = (fl_lanes){count, omega, root, weights};
    sweep->frequencies = copy;
    return FL_OK;
}

/* Multiplies the determinant of one data element into the sweep's. */
static void multiply_det(fl_sweep *sweep, const fl_twoport *data)
{
    for (size_t i = 0; i < sweep->lanes.count; i++) {
        const fl_chain m = fl_chain_at(data, FL_PORT_DIE, i);
        const fl_complex det = fl_subtract(fl_multiply(m.a, m.d), fl_multiply(m.b, m.c));
        fl_lane_set(&sweep->det, i, fl_multiply(fl_lane(&sweep->det, i), det));
    }
}

/* Chain parameters of data never change, so that they are here and not in the scratch memory. */
static fl_status take_data(fl_sweep *sweep, fl_error *error)
{
    const fl_path *path = sweep->path;
    const size_t count = sweep->lanes.count;
    sweep->data = fl_arena_take(&sweep->arena, path->element_count, sizeof *sweep->data);
    if (sweep->data == NULL || !take_lanes(&sweep->arena, &sweep->det, count))
        return fl_fail_memory(error);
    for (size_t i = 0; i < count; i++)
        fl_lane_set(&sweep->det, i, (fl_complex){1.0, 0.0});
    for (size_t k = 0; k < path->element_count; k++) {
        const fl_element *element = &path->elements[k];
        if (element->form != FL_FORM_DATA)
            continue;
        if (!take_twoport(&sweep->arena, &sweep->data[k], FL_ACT_DATA, count))
            return fl_fail_memory(error);
        const fl_status status =
            fl_twoport_data(&sweep->data[k], element, sweep->frequencies, count, error);
        if (status != FL_OK)
            return fl_fail_within(error, status, path->sections[element->section].place);
        multiply_det(sweep, &sweep->data[k]);
    }
    return FL_OK;
}

/* Port impedances do not depend on quantities either. */
static fl_status take_ports(fl_sweep *sweep, const fl_groundwork *groundwork, fl_error *error)
{
    const size_t count = sweep->lanes.count;
    for (int port = 0; port < FL_PORTS; port++) {
        fl_complex_lanes *z = &sweep->ports[port];
        if (!take_lanes(&sweep->arena, z, count))
            return fl_fail_memory(error);
        const fl_status status =
            fl_port_impedance(z, groundwork, port, sweep->frequencies, count, error);
        if (status != FL_OK)
            return status;
    }
    return FL_OK;
}

/* Frequencies come first: data and ports are taken at them. */
fl_status fl_sweep_new(fl_sweep **sweep, const fl_groundwork *groundwork, const fl_stretch *stretch,
                       const fl_grid *grid, fl_error *error)
{
    fl_sweep *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    fl_status status = fl_path_new(&made->path, groundwork, stretch, error);
    if (status == FL_OK)
        status = take_frequencies(made, grid->frequencies, grid->count, error);
    if (status == FL_OK)
        status = take_data(made, error);
    if (status == FL_OK)
        status = take_ports(made, groundwork, error);
    if (status != FL_OK) {
        fl_sweep_free(made);
        return status;
    }
    *sweep = made;
    return FL_OK;
}

/* The two-ports of data that scratch memories share go with it: free those first. */
void fl_sweep_free(fl_sweep *sweep)
{
    if (sweep == NULL)
        return;
    fl_path_free(sweep->path);
    fl_arena_release(&sweep->arena);
    fl_memory_free(sweep);
}

/* Two-ports of the scratch; those of data elements are the sweep's own, which never change. */
static bool take_twoports(fl_scratch *scratch, const fl_sweep *sweep)
{
    const fl_path *path = sweep->path;
    for (size_t k = 0; k < path->element_count; k++) {
        const fl_action action = fl_form_action(path->elements[k].form);
        if (action == FL_ACT_DATA)
            scratch->twoports[k] = sweep->data[k];
        else if (!take_twoport(&scratch->arena, &scratch->twoports[k], action, sweep->lanes.count))
            return false;
    }
    return true;
}

/* A state for each place between elements, for the march that keeps them, and the adjoint row. */
static bool take_states(fl_scratch *scratch, size_t states, size_t count)
{
    fl_arena *arena = &scratch->arena;
    for (size_t k = 0; k < states; k++)
        if (!take_lanes(arena, &scratch->states[k].v, count) ||
            !take_lanes(arena, &scratch->states[k].i, count))
            return false;
    return take_lanes(arena, &scratch->row.v, count) && take_lanes(arena, &scratch->row.i, count);
}

/* Made aside and copied when whole: the blocks of an arena do not know where its struct is. */
fl_status fl_scratch_init(fl_scratch *scratch, const fl_sweep *sweep, fl_error *error)
{
    const size_t elements = sweep->path->element_count, count = sweep->lanes.count;
    const size_t quantities = sweep->path->quantity_count;
    fl_scratch made = {.values = NULL};
    fl_arena *arena = &made.arena;
    fl_arena_init(arena);
    made.values = fl_arena_take(arena, elements, sizeof *made.values);
    made.jacobian = fl_arena_take(arena, elements * FL_VALUES * quantities, sizeof(double));
    made.twoports = fl_arena_take(arena, elements, sizeof *made.twoports);
    made.states = fl_arena_take(arena, elements + 1, sizeof *made.states);
    made.slopes = fl_arena_take(arena, FL_VALUES * count, sizeof *made.slopes);
    if (made.values == NULL || made.jacobian == NULL || made.twoports == NULL ||
        made.states == NULL || made.slopes == NULL || !take_twoports(&made, sweep) ||
        !take_states(&made, elements + 1, count) || !take_lanes(arena, &made.q, count) ||
        !take_lanes(arena, &made.reflection, count) || !take_lanes(arena, &made.factor, count) ||
        !take_lanes(arena, &made.pull[0], count) || !take_lanes(arena, &made.pull[1], count)) {
        fl_arena_release(arena);
        return fl_fail_memory(error);
    }
    *scratch = made;
    return FL_OK;
}

void fl_scratch_release(fl_scratch *scratch)
{
    fl_arena_release(&scratch->arena);
}

/* Two-ports of data are filled already: fl_twoport_fill leaves them alone. */
bool fl_sweep_fill(const fl_sweep *sweep, fl_scratch *scratch, const double *quantities,
                   bool with_jacobian)
{
    const fl_path *path = sweep->path;
    if (!fl_path_values(path, quantities, scratch->values,
                        with_jacobian ? scratch->jacobian : NULL))
        return false;
    for (size_t k = 0; k < path->element_count; k++)
        fl_twoport_fill(&scratch->twoports[k], path->elements[k].form, scratch->values[k],
                        &sweep->lanes);
    return true;
}

/* All of a lane row at one value. */
static void set_lanes(const fl_complex_lanes *lanes, size_t count, double re)
{
    for (size_t i = 0; i < count; i++)
        fl_lane_set(lanes, i, (fl_complex){re, 0.0});
}

/* No impedance in series, no admittance to ground, no turn, the chain matrix of a joint. */
void fl_sweep_leave_out(const fl_sweep *sweep, fl_scratch *scratch, const bool *left_out)
{
    const size_t count = sweep->lanes.count;
    for (size_t k = 0; k < sweep->path->element_count; k++) {
        const fl_element *element = &sweep->path->elements[k];
        const fl_twoport *twoport = &scratch->twoports[k];
        const fl_action action = fl_form_action(element->form);
        if (!left_out[element->section])
            continue;
        set_lanes(&twoport->x, count, action == FL_ACT_LINE || action == FL_ACT_DATA ? 1.0 : 0.0);
        set_lanes(&twoport->y, count, 0.0);
        if (action != FL_ACT_DATA)
            continue;
        set_lanes(&twoport->z, count, 0.0);
        set_lanes(&twoport->t, count, 1.0);
    }
}
