/* Potential and field of straight, evenly charged elements and their images, in closed form. */
#include <math.h>

#include "models/cross_mesh.h"

/* The integrals below run along an element, u = along - point's along, v = across - point's
 * across, from node to node; each is taken at the nodes, which two elements share. */

/** Integral of ln r: (u / 2) ln(u^2 + v^2) - u + v atan(u / v). */
static double log_integral(double u, double v)
{
    const double square = u * u + v * v;
    if (!(square > 0.0))
        return 0.0;
    const double angle = v != 0.0 ? v * atan(u / v) : 0.0;
    return u * (0.5 * log(square) - 1.0) + angle;
}

/** Integral of atan(u / v), for the flux through a line along the element; none on its own line. */
static double along_flux(double u, double v)
{
    return v != 0.0 ? u * atan(u / v) - 0.5 * v * log(u * u + v * v) : 0.0;
}

/** Integral of atan(v / u), for the flux through a line across the element. */
static double across_flux(double u, double v)
{
    const double square = u * u + v * v;
    if (!(square > 0.0))
        return 0.0;
    const double angle = u != 0.0 ? u * atan(v / u) : 0.0;
    return angle + 0.5 * v * log(square);
}

typedef double integral(double u, double v);

/** Potential at a point, or flux through the line from far away to it: up through a level line from
 * the left, right through an upright one from below. */
typedef enum influence { POTENTIAL, FLUX_UP, FLUX_RIGHT } influence;

/** Charges seen from a point: their coordinates times x and y, their charge times weight. */
typedef struct view {
    influence wanted;
    double point[2];
    double x, y;
    double weight;
} view;

static integral *integral_of(const view *v, const fl_chain *chain)
{
    if (v->wanted == POTENTIAL)
        return log_integral;
    return chain->upright == (v->wanted == FLUX_RIGHT) ? along_flux : across_flux;
}

static void add_chain(double *row, const fl_mesh *mesh, const fl_chain *chain, const view *v)
{
    const double turn = chain->upright ? v->y : v->x;
    const double at = chain->at * (chain->upright ? v->x : v->y);
    const double across = at - v->point[chain->upright ? 0 : 1];
    const double origin = v->point[chain->upright ? 1 : 0];
    const double *nodes = &mesh->nodes[chain->node];
    const double weight = v->weight * turn;
    integral *along = integral_of(v, chain);
    /* Charges send nothing through their own line, but for what goes to both sides. */
    if (along == along_flux && across == 0.0)
        return;
    double last = along(turn * nodes[0] - origin, across);
    for (size_t k = 0; k < chain->count; ++k) {
        const double next = along(turn * nodes[k + 1] - origin, across);
        row[chain->first + k] += weight * (next - last);
        last = next;
    }
}

static void set_row(double *row, const fl_mesh *mesh, view v)
{
    /* Potential -ln r / (2 pi), flux atan(u / v) / (2 pi), of a line charge. */
    v.weight = (v.wanted == POTENTIAL ? -0.5 : 0.5) / acos(-1.0);
    for (size_t j = 0; j < mesh->element_count; ++j)
        row[j] = 0.0;
    for (size_t c = 0; c < mesh->chain_count; ++c)
        add_chain(row, mesh, &mesh->chains[c], &v);
    if (!mesh->plan->cross->ground)
        return;
    v.y = -1.0;
    v.weight = -v.weight;
    for (size_t c = 0; c < mesh->chain_count; ++c)
        add_chain(row, mesh, &mesh->chains[c], &v);
}

void fl_mesh_potentials(double *rows, double side, const fl_mesh *mesh, const fl_chain *chain)
{
    for (size_t k = 0; k < chain->count; ++k) {
        const size_t i = chain->first + k;
        const view v = {POTENTIAL, {mesh->x[i], mesh->y[i]}, side, 1.0, 0.0};
        set_row(rows + k * mesh->element_count, mesh, v);
    }
}

static view view_from_node(const fl_mesh *mesh, const fl_chain *chain, double side, size_t k)
{
    const double node = mesh->nodes[chain->node + k];
    if (chain->upright)
        return (view){FLUX_RIGHT, {chain->at, node}, side, 1.0, 0.0};
    return (view){FLUX_UP, {node, chain->at}, side, 1.0, 0.0};
}

void fl_mesh_fluxes(double *rows, double side, const fl_mesh *mesh, const fl_chain *chain,
                    double *scratch)
{
    const size_t n = mesh->element_count;
    set_row(scratch, mesh, view_from_node(mesh, chain, side, 0));
    for (size_t k = 0; k < chain->count; ++k)
        set_row(rows + k * n, mesh, view_from_node(mesh, chain, side, k + 1));
    for (size_t k = chain->count; k-- > 0;) {
        const double *before = k > 0 ? rows + (k - 1) * n : scratch;
        for (size_t j = 0; j < n; ++j)
            rows[k * n + j] -= before[j];
    }
}

void fl_mesh_whole_flux(double *row, double side, const fl_mesh *mesh, const fl_chain *chain,
                        double *scratch)
{
    set_row(scratch, mesh, view_from_node(mesh, chain, side, 0));
    set_row(row, mesh, view_from_node(mesh, chain, side, chain->count));
    for (size_t j = 0; j < mesh->element_count; ++j)
        row[j] -= scratch[j];
}
