/* A barrel through a plane: rings of charge on barrel, pad, plane and the substrate's surface.
 *
 * The unknown is the total charge, free and bound, even over the width of each ring. It is met by
 * the potential in the middle of each ring of metal and by the normal field in the middle of each
 * ring of the substrate's surface. Potential and field of a ring are complete elliptic integrals,
 * and are integrated across its width. */
#include "models/barrel.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include <gsl/gsl_linalg.h>

#include "base/arena.h"
#include "models/filament.h"
#include "models/gauss.h"

static const double pi = 3.14159265358979323846;

/* Rings of each surface, from one end to the other. */
enum { WALL = 6, PLANE = 34, LOWER = 8, UPPER = 16, PAD = 28, SURFACE = 30 };
enum { RINGS = WALL + PLANE + LOWER + UPPER + PAD + SURFACE };

/* Where the plane and the substrate's surface end, in sizes of what is between them. */
static const double reach = 60.0;

typedef enum surface { GROUND, SIGNAL, PADS, INTERFACE } surface;

/* A ring: a straight piece of the outline, turned about the axis. */
typedef struct ring {
    double from[2], to[2]; /* radius, height over the mirror */
    surface role;
} ring;

typedef struct work {
    ring rings[RINGS];
    double potential[RINGS][RINGS]; /* in the middle of a ring, by the charge density of another */
    double field[RINGS][RINGS];     /* upward, likewise, of pads and of the surface */
    double matrix[RINGS * RINGS], charge[RINGS];
    size_t order[RINGS];
} work;

/* ---- rings and their places ---- */

/* A length over which rings are fine, and where. */
typedef struct focus {
    double at, fine;
} focus;

static double crowd(double x, const focus *foci, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += asinh((x - foci[i].at) / foci[i].fine);
    return sum;
}

/* Nodes [count + 1] between two ends, crowded about the foci. */
static void place_nodes(double *nodes, size_t count, const double ends[2], const focus *foci,
                        size_t focus_count)
{
    const double first = crowd(ends[0], foci, focus_count);
    const double step = (crowd(ends[1], foci, focus_count) - first) / (double)count;
    nodes[0] = ends[0];
    nodes[count] = ends[1];
    for (size_t k = 1; k < count; k++) {
        double low = ends[0], high = ends[1];
        for (int i = 0; i < 60; i++) {
            const double middle = 0.5 * (low + high);
            if (crowd(middle, foci, focus_count) < first + step * (double)k)
                low = middle;
            else
                high = middle;
        }
        nodes[k] = 0.5 * (low + high);
    }
}

/* Rings of one surface: upright at a radius, or flat at a height. Returns the next ring. */
static ring *add_rings(ring *next, surface role, bool upright, double at, const double *nodes,
                       size_t count)
{
    for (size_t k = 0; k < count; k++, next++) {
        next->role = role;
        next->from[0] = upright ? at : nodes[k];
        next->from[1] = upright ? nodes[k] : at;
        next->to[0] = upright ? at : nodes[k + 1];
        next->to[1] = upright ? nodes[k + 1] : at;
    }
    return next;
}

static double parallel(double a, double b)
{
    return a * b / (a + b);
}

static void set_rings(ring *rings, const fl_barrel *b)
{
    const double inner = 0.5 * b->drill, pad = 0.5 * b->pad, hole = 0.5 * b->antipad;
    const double middle = 0.5 * b->metal, top = middle + b->height;
    const double gap = hole - inner, brim = pad - inner;
    const double edge = 0.02 * parallel(b->height, brim); /* of the pad */
    const double corner = 0.1 * parallel(b->metal, gap);  /* of the hole */
    const double far = reach * (pad + hole + top);
    double nodes[RINGS + 1];
    ring *next = rings;
    place_nodes(nodes, WALL, (const double[]){0.0, middle}, &(focus){middle, corner}, 1);
    next = add_rings(next, GROUND, true, hole, nodes, WALL);
    place_nodes(nodes, PLANE, (const double[]){hole, far},
                (const focus[]){{hole, corner}, {pad, b->height}}, 2);
    next = add_rings(next, GROUND, false, middle, nodes, PLANE);
    place_nodes(nodes, LOWER, (const double[]){0.0, middle}, &(focus){middle, gap}, 1);
    next = add_rings(next, SIGNAL, true, inner, nodes, LOWER);
    place_nodes(nodes, UPPER, (const double[]){middle, top},
                (const focus[]){{middle, 0.3 * gap}, {top, 0.1 * b->height}}, 2);
    next = add_rings(next, SIGNAL, true, inner, nodes, UPPER);
    place_nodes(nodes, PAD, (const double[]){0.0, pad},
                (const focus[]){{inner, 0.2 * inner}, {pad, edge}}, 2);
    next = add_rings(next, PADS, false, top, nodes, PAD);
    place_nodes(nodes, SURFACE, (const double[]){pad, far}, &(focus){pad, edge}, 1);
    (void)add_rings(next, INTERFACE, false, top, nodes, SURFACE);
}

/* ---- potentials and fields ---- */

/* Complete elliptic integrals K and E of the complementary parameter, by the arithmetic-geometric
 * mean [Olver2010] sec. 19.8. */
static void elliptic(double rest, double *k, double *e)
{
    double a = 1.0, b = sqrt(rest), sum = 0.5 * (1.0 - rest), power = 1.0;
    for (int i = 0; i < 60 && fabs(a - b) > 1e-8 * a; i++) {
        const double mean = 0.5 * (a + b), c = 0.5 * (a - b);
        b = sqrt(a * b);
        a = mean;
        sum += power * c * c;
        power *= 2.0;
    }
    *k = pi / (a + b);
    *e = *k * (1.0 - sum);
}

typedef struct effect {
    double potential, field;
} effect;

/* Adds what a circle of charge does at a point, its mirror image included, over 1 / 4 pi eps0. */
static void add_circle(effect *sum, const double point[2], double radius, double height,
                       double charge)
{
    for (int side = 0; side < 2; side++) {
        const double rise = point[1] - (side ? -height : height);
        const double near = (point[0] - radius) * (point[0] - radius) + rise * rise;
        const double far = (point[0] + radius) * (point[0] + radius) + rise * rise;
        double k = 0.0, e = 0.0;
        elliptic(near / far, &k, &e);
        sum->potential += charge * 4.0 * radius * k / sqrt(far);
        sum->field += charge * 4.0 * radius * e * rise / (sqrt(far) * near);
    }
}

/* Adds what the part of a ring from a share on, over a width that may be negative, does. Close by,
 * points crowd at that share as a cube does. */
static void add_part(effect *sum, const double point[2], const ring *r, const double part[2],
                     bool close)
{
    const fl_gauss *g = close ? &fl_gauss_sixteen : &fl_gauss_eight;
    const double run = r->to[0] - r->from[0], rise = r->to[1] - r->from[1];
    const double length = hypot(run, rise) * fabs(part[1]);
    for (size_t i = 0; i < 2 * g->count; i++) {
        const double u = 0.5 + (i % 2 ? 0.5 : -0.5) * g->node[i / 2];
        const double at = part[0] + part[1] * (close ? u * u * u : u);
        const double weight = 0.5 * g->weight[i / 2] * (close ? 3.0 * u * u : 1.0);
        add_circle(sum, point, r->from[0] + at * run, r->from[1] + at * rise, weight * length);
    }
}

/* What a ring of unit charge density does at a point. */
static effect effect_of(const double point[2], const ring *r)
{
    effect sum = {0.0, 0.0};
    const double run = r->to[0] - r->from[0], rise = r->to[1] - r->from[1];
    const double square = run * run + rise * rise;
    double at = ((point[0] - r->from[0]) * run + (point[1] - r->from[1]) * rise) / square;
    at = fmin(fmax(at, 0.0), 1.0);
    const double off = hypot(point[0] - r->from[0] - at * run, point[1] - r->from[1] - at * rise);
    if (off > sqrt(square)) {
        add_part(&sum, point, r, (const double[]){0.0, 1.0}, false);
    } else {
        if (at > 0.0)
            add_part(&sum, point, r, (const double[]){at, -at}, true);
        if (at < 1.0)
            add_part(&sum, point, r, (const double[]){at, 1.0 - at}, true);
    }
    return sum;
}

static void fill(work *w)
{
    for (size_t i = 0; i < RINGS; i++) {
        const ring *r = &w->rings[i];
        const double point[2] = {0.5 * (r->from[0] + r->to[0]), 0.5 * (r->from[1] + r->to[1])};
        for (size_t j = 0; j < RINGS; j++) {
            const effect found = effect_of(point, &w->rings[j]);
            w->potential[i][j] = found.potential;
            w->field[i][j] = found.field;
        }
    }
}

/* ---- charges ---- */

static double area_of(const ring *r)
{
    return pi * (r->from[0] + r->to[0]) * hypot(r->to[0] - r->from[0], r->to[1] - r->from[1]);
}

/* Free charge per area of a ring on the substrate's surface, in units in which a charge density s
 * has the fields 2 pi s beside it: that of both media's fields. */
static double free_charge(const work *w, size_t i, double permittivity)
{
    double outside = 0.0;
    for (size_t j = 0; j < RINGS; j++)
        outside += w->field[i][j] * w->charge[j];
    return 0.5 * (1.0 + permittivity) * w->charge[i] + (1.0 - permittivity) * outside / (4.0 * pi);
}

static bool solve(work *w, double permittivity, double *capacitance)
{
    int sign = 0;
    for (size_t i = 0; i < RINGS; i++) {
        const surface role = w->rings[i].role;
        const bool metal = role != INTERFACE;
        w->charge[i] = role == SIGNAL || role == PADS ? 1.0 : 0.0;
        for (size_t j = 0; j < RINGS; j++)
            w->matrix[i * RINGS + j] = metal ? w->potential[i][j]
                                             : (1.0 - permittivity) * w->field[i][j] +
                                                   (i == j ? 2.0 * pi * (1.0 + permittivity) : 0.0);
    }
    gsl_matrix_view a = gsl_matrix_view_array(w->matrix, RINGS, RINGS);
    gsl_vector_view x = gsl_vector_view_array(w->charge, RINGS);
    gsl_permutation p = {.size = RINGS, .data = w->order};
    if (gsl_linalg_LU_decomp(&a.matrix, &p, &sign) != 0 ||
        gsl_linalg_LU_svx(&a.matrix, &p, &x.vector) != 0)
        return false;
    double sum = 0.0;
    for (size_t i = 0; i < RINGS; i++) {
        if (w->rings[i].role == SIGNAL)
            sum += permittivity * w->charge[i] * area_of(&w->rings[i]);
        if (w->rings[i].role == PADS)
            sum += free_charge(w, i, permittivity) * area_of(&w->rings[i]);
    }
    *capacitance = 4.0 * pi * fl_permittivity() * sum;
    return isfinite(sum) && sum > 0.0;
}

fl_status fl_barrel_capacitance(double *capacitance, double *share, const fl_barrel *barrel,
                                fl_error *error)
{
    static const double step = 1e-3; /* of the permittivity */
    double first = 0.0, second = 0.0;
    fl_status status = FL_OK;
    work *w = fl_memory_take(1, sizeof *w);
    if (w == NULL)
        return fl_fail_memory(error);
    set_rings(w->rings, barrel);
    fill(w);
    if (solve(w, barrel->permittivity, &first) &&
        solve(w, barrel->permittivity * (1.0 + step), &second)) {
        *capacitance = first;
        *share = log(second / first) / log1p(step);
    } else {
        status = fl_fail(error, FL_BAD_INPUT, "",
                         "dimensions whose proportions can be solved, found some too far apart");
    }
    fl_memory_free(w);
    return status;
}
