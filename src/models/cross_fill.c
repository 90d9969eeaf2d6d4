/* Potential and field of straight, evenly charged elements and their images, in closed form. */
#include <assert.h>
#include <math.h>

#include "base/vector.h"
#include "models/cross_mesh.h"

/* The integrals below run along an element, u = along - point's along, v = across - point's
 * across, from node to node; each is taken at the nodes, which two elements share. The nodes of a
 * chain are done side by side. */

/** Most nodes of a chain: 64 elements a half side, half as many more where it is endless. */
enum { CHAIN_NODES = 200 };

/** Nodes of a chain from a point, and ln(u^2 + v^2) and atan(u / v) there. */
typedef struct seen {
    size_t count;
    double v;
    double u[CHAIN_NODES], log[CHAIN_NODES], angle[CHAIN_NODES];
} seen;

/** Integral of ln r: (u / 2) ln(u^2 + v^2) - u + v atan(u / v). */
static void log_integrals(double *found, const seen *s)
{
    for (size_t k = 0; k < s->count; ++k)
        found[k] = s->u[k] * (0.5 * s->log[k] - 1.0) + s->v * s->angle[k];
}

/** Integral of atan(u / v), for the flux through a line along the element; none on its own line. */
static void along_fluxes(double *found, const seen *s)
{
    for (size_t k = 0; k < s->count; ++k)
        found[k] = s->u[k] * s->angle[k] - 0.5 * s->v * s->log[k];
}

/** Integral of atan(v / u), for the flux through a line across the element: a quarter turn less the
 * other angle, on either side. */
static void across_fluxes(double *found, const seen *s)
{
    const double quarter = 0.5 * acos(-1.0);
    for (size_t k = 0; k < s->count; ++k) {
        const double turn = copysign(quarter, s->u[k]) * copysign(1.0, s->v);
        const double angle = s->v != 0.0 ? turn - s->angle[k] : 0.0;
        found[k] = s->u[k] * angle + 0.5 * s->v * s->log[k];
    }
}

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

/** At the point itself nothing is seen: all integrals are nought there. */
static void look(seen *s, const double *nodes, double turn, double origin)
{
    double square[CHAIN_NODES], ratio[CHAIN_NODES];
    const double v = s->v;
    for (size_t k = 0; k < s->count; ++k) {
        const double u = turn * nodes[k] - origin, both = u * u + v * v;
        s->u[k] = u;
        square[k] = both > 0.0 ? both : 1.0;
        ratio[k] = v != 0.0 ? u / v : 0.0;
    }
    const fl_vector *vector = fl_vector_widest();
    vector->logarithms(s->log, square, s->count);
    vector->arctangents(s->angle, ratio, s->count);
}

static void add_chain(double *row, const fl_mesh *mesh, const fl_chain *chain, const view *v)
{
    seen s;
    double found[CHAIN_NODES];
    const double turn = chain->upright ? v->y : v->x;
    const double at = chain->at * (chain->upright ? v->x : v->y);
    const double weight = v->weight * turn;
    const bool along = v->wanted != POTENTIAL && chain->upright == (v->wanted == FLUX_RIGHT);
    s.v = at - v->point[chain->upright ? 0 : 1];
    s.count = chain->count + 1;
    assert(s.count <= CHAIN_NODES);
    /* Charges send nothing through their own line, but for what goes to both sides. */
    if (along && s.v == 0.0)
        return;
    look(&s, &mesh->nodes[chain->node], turn, v->point[chain->upright ? 1 : 0]);
    if (v->wanted == POTENTIAL)
        log_integrals(found, &s);
    else if (along)
        along_fluxes(found, &s);
    else
        across_fluxes(found, &s);
    for (size_t k = 0; k + 1 < s.count; ++k)
        row[chain->first + k] += weight * (found[k + 1] - found[k]);
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
