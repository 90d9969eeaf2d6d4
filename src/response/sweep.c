/* Structure and scratch memory of one case on one set of frequencies. */
#include "response/sweep.h"

#include <math.h>
#include <string.h>

/* Real and imaginary parts apart, so that loops over lanes vectorise. */
bool fl_lanes_take(fl_arena *arena, fl_complex_lanes *lanes, size_t count)
{
    lanes->re = fl_arena_take(arena, count, sizeof *lanes->re);
    lanes->im = fl_arena_take(arena, count, sizeof *lanes->im);
    return lanes->re != NULL && lanes->im != NULL;
}

/* All but a data element do without the fourth. */
bool fl_twoport_take(fl_arena *arena, fl_twoport *twoport, fl_action action, size_t count)
{
    return fl_lanes_take(arena, &twoport->x, count) && fl_lanes_take(arena, &twoport->y, count) &&
           fl_lanes_take(arena, &twoport->z, count) &&
           (action != FL_ACT_DATA || fl_lanes_take(arena, &twoport->t, count));
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

/* Chain parameters of data never change, so that they are here and not in the scratch memory. */
static fl_status take_data(fl_steady *data, fl_sweep *sweep, size_t element, fl_error *error)
{
    const fl_element *own = &sweep->path->elements[element];
    const size_t count = sweep->lanes.count;
    for (int port = 0; port < FL_PORTS; port++)
        if (!fl_twoport_take(&sweep->arena, &data->met[port], FL_ACT_DATA, count))
            return fl_fail_memory(error);
    if (!fl_lanes_take(&sweep->arena, &data->det, count))
        return fl_fail_memory(error);
    fl_twoport *twoport = &data->met[FL_PORT_DIE];
    const fl_status status = fl_twoport_data(twoport, own, sweep->frequencies, count, error);
    if (status != FL_OK)
        return fl_fail_within(error, status, sweep->path->sections[own->section].place);
    for (size_t i = 0; i < count; i++) {
        const fl_complex det = fl_chain_det(fl_chain_load(twoport, i));
        fl_lane_set(&data->det, i, det);
        fl_chain_store(&data->met[FL_PORT_BOARD], i,
                       fl_chain_of(FL_ACT_DATA, twoport, FL_PORT_BOARD, i));
        fl_lane_set(&sweep->det, i, fl_multiply(fl_lane(&sweep->det, i), det));
    }
    return FL_OK;
}

/* A link for each element. */
static fl_status take_links(fl_sweep *sweep, fl_error *error)
{
    const size_t count = sweep->path->element_count;
    fl_link *links = fl_arena_take(&sweep->arena, count, sizeof *links);
    fl_steady *steady = fl_arena_take(&sweep->arena, count, sizeof *steady);
    if (links == NULL || steady == NULL ||
        !fl_lanes_take(&sweep->arena, &sweep->det, sweep->lanes.count))
        return fl_fail_memory(error);
    for (size_t i = 0; i < sweep->lanes.count; i++)
        fl_lane_set(&sweep->det, i, (fl_complex){1.0, 0.0});
    for (size_t k = 0; k < count; k++) {
        links[k] = (fl_link){fl_form_action(sweep->path->elements[k].form), k, NULL};
        if (links[k].action != FL_ACT_DATA)
            continue;
        const fl_status status = take_data(&steady[k], sweep, k, error);
        if (status != FL_OK)
            return status;
        links[k].steady = &steady[k];
    }
    sweep->links = links;
    sweep->link_count = count;
    return FL_OK;
}

/* Port impedances do not depend on quantities either. */
static fl_status take_ports(fl_sweep *sweep, const fl_groundwork *groundwork, fl_error *error)
{
    const size_t count = sweep->lanes.count;
    for (int port = 0; port < FL_PORTS; port++) {
        fl_complex_lanes *z = &sweep->ports[port];
        if (!fl_lanes_take(&sweep->arena, z, count))
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
        status = take_links(made, error);
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

/* Two-ports of the scratch; those that are steady are the sweep's own. */
static bool take_twoports(fl_scratch *scratch, const fl_sweep *sweep)
{
    for (size_t k = 0; k < sweep->link_count; k++) {
        const fl_link *link = &sweep->links[k];
        fl_twoport *twoport = &scratch->twoports[link->element];
        if (link->steady != NULL)
            *twoport = link->steady->met[FL_PORT_DIE];
        else if (!fl_twoport_take(&scratch->arena, twoport, link->action, sweep->lanes.count))
            return false;
    }
    return true;
}

/* A state for each place between elements, for the march that keeps them, and the adjoint row. */
static bool take_states(fl_scratch *scratch, size_t states, size_t count)
{
    fl_arena *arena = &scratch->arena;
    for (size_t k = 0; k < states; k++)
        if (!fl_lanes_take(arena, &scratch->states[k].v, count) ||
            !fl_lanes_take(arena, &scratch->states[k].i, count))
            return false;
    return fl_lanes_take(arena, &scratch->row.v, count) &&
           fl_lanes_take(arena, &scratch->row.i, count);
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
    made.states = fl_arena_take(arena, sweep->link_count + 1, sizeof *made.states);
    made.slopes = fl_arena_take(arena, FL_VALUES * count, sizeof *made.slopes);
    if (made.values == NULL || made.jacobian == NULL || made.twoports == NULL ||
        made.states == NULL || made.slopes == NULL || !take_twoports(&made, sweep) ||
        !take_states(&made, sweep->link_count + 1, count) ||
        !fl_lanes_take(arena, &made.q, count) || !fl_lanes_take(arena, &made.reflection, count) ||
        !fl_lanes_take(arena, &made.factor, count) || !fl_lanes_take(arena, &made.pull[0], count) ||
        !fl_lanes_take(arena, &made.pull[1], count)) {
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

/* What is steady is filled already. */
bool fl_sweep_fill(const fl_sweep *sweep, fl_scratch *scratch, const double *quantities,
                   bool with_jacobian)
{
    const fl_path *path = sweep->path;
    if (!fl_path_values(path, quantities, scratch->values,
                        with_jacobian ? scratch->jacobian : NULL))
        return false;
    for (size_t k = 0; k < sweep->link_count; k++) {
        const fl_element *element = &path->elements[sweep->links[k].element];
        if (sweep->links[k].steady == NULL && !fl_path_passes(path, element->section))
            fl_twoport_fill(&scratch->twoports[sweep->links[k].element], element->form,
                            scratch->values[sweep->links[k].element], &sweep->lanes);
    }
    return true;
}

/* All of a lane row at one value. */
static void set_lanes(const fl_complex_lanes *lanes, size_t count, double re)
{
    for (size_t i = 0; i < count; i++)
        fl_lane_set(lanes, i, (fl_complex){re, 0.0});
}

/* No impedance in series, no admittance to ground, no turn; the chain matrix of a joint. */
static void leave_out(const fl_twoport *twoport, fl_action action, size_t count)
{
    const bool turns = action == FL_ACT_LINE || action == FL_ACT_DATA;
    set_lanes(&twoport->x, count, turns ? 1.0 : 0.0);
    set_lanes(&twoport->y, count, 0.0);
    if (action != FL_ACT_DATA)
        return;
    set_lanes(&twoport->z, count, 0.0);
    set_lanes(&twoport->t, count, 1.0);
}

void fl_sweep_leave_out(const fl_sweep *sweep, fl_scratch *scratch, const bool *left_out)
{
    for (size_t k = 0; k < sweep->link_count; k++) {
        const fl_link *link = &sweep->links[k];
        for (int port = 0; port < FL_PORTS; port++)
            if (left_out[sweep->path->elements[link->element].section])
                leave_out(fl_link_twoport(link, scratch, port), link->action, sweep->lanes.count);
    }
}
