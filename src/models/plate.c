/* A rectangular plate on a slab: patches of even charge, matched in their middles.
 *
 * A charge on the slab has the potential of 2 / (1 + er) of it in space, and of its images below
 * the slab, (1 + s) (-s)^(n - 1) of it at depths 2 n h, n from 1, s = (er - 1) / (er + 1)
 * [Silvester1968]. What the charge itself does is integrated in closed form, its images by
 * quadrature of a table. A quarter of the plate has the unknowns. */
#include "models/plate.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include <gsl/gsl_linalg.h>

#include "base/arena.h"
#include "base/vector.h"
#include "models/filament.h"

static const double pi = 3.14159265358979323846;

/* Patches of a half side, of the quarter; nodes of a side; entries of the table. */
enum { SIDE = 9, PATCHES = SIDE * SIDE, NODES = 2 * SIDE + 1, ENTRIES = 400 };

/* Distance from an edge goes as this power of the patch's number: charge goes as r^(-1/2). */
static const double grading = 2.5;

static const double least_image = 1e-9;

/* What patches this fine leave out of the charge at the edges, nearly the same for all plates. */
static const double missed = 1.0013;

typedef struct work {
    double height, step;                         /* s of above */
    double table[ENTRIES][4];                    /* cubics in the place between two entries */
    double spacing, per_spacing, inverse_square; /* of the table in heights; 1 / h^2 */
    double x[NODES], y[NODES];                   /* of patches, from edge to edge */
    double matrix[PATCHES * PATCHES], charge[PATCHES];
    double corner[NODES][NODES];
    size_t order[PATCHES];
} work;

/* ---- images ---- */

/* Of a unit charge at a squared distance in heights, over the height; the entry before the first
 * has a negative one. */
static double images_at(double square, double step)
{
    double sum = 0.0, strength = 1.0 + step;
    for (int n = 1; n == 1 || fabs(strength) > least_image; n++) {
        sum += strength / sqrt(square + 4.0 * n * n);
        strength *= -step;
    }
    return sum;
}

/* Entry k is for the distance (2 + (k - 1) spacing) h from the first image; cubics through four
 * entries. */
static void set_table(work *w, double farthest)
{
    double v[ENTRIES + 3];
    w->inverse_square = 1.0 / (w->height * w->height);
    w->spacing = fmax(hypot(farthest / w->height, 2.0) - 2.0, 1e-3) / ENTRIES;
    w->per_spacing = 1.0 / w->spacing;
    for (int k = 0; k < ENTRIES + 3; k++) {
        const double slant = 2.0 + (k - 1) * w->spacing;
        v[k] = images_at(slant * slant - 4.0, w->step) / w->height;
    }
    for (int k = 0; k < ENTRIES; k++) {
        const double *at = v + k;
        w->table[k][0] = at[1];
        w->table[k][1] = 0.5 * (at[2] - at[0]);
        w->table[k][2] = 0.5 * (2.0 * at[0] - 5.0 * at[1] + 4.0 * at[2] - at[3]);
        w->table[k][3] = 0.5 * (3.0 * (at[1] - at[2]) + at[3] - at[0]);
    }
}

static double images(const work *w, double square)
{
    const double place = (sqrt(square * w->inverse_square + 4.0) - 2.0) * w->per_spacing;
    const int k = place < ENTRIES - 1 ? (int)place : ENTRIES - 1;
    const double t = place - k, *c = w->table[k];
    return c[0] + t * (c[1] + t * (c[2] + t * c[3]));
}

/* Gauss's nodes across a side of a patch: fewer towards the edges, where patches are small. Those
 * with one node are a fiftieth of a half side, those with two a tenth, and leave out no more than
 * three at the middle do. */
static const struct {
    int count;
    double node[3], weight[3];
} rules[] = {
    {1, {0.5}, {1.0}},
    {2, {0.21132486540518713, 0.7886751345948129}, {0.5, 0.5}},
    {3, {0.11270166537925831, 0.5, 0.8872983346207417}, {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0}}};

/* Of a patch by its number along a side. */
static size_t rule_of(size_t patch)
{
    const size_t out = patch >= SIDE ? patch - SIDE : SIDE - 1 - patch;
    return out < 4 ? 2 : out < 7 ? 1 : 0;
}

/* Integral of the images over a patch. */
static double images_of(const work *w, const double point[2], size_t i, size_t j)
{
    const size_t across = rule_of(i), along = rule_of(j);
    const double width = w->x[i + 1] - w->x[i], length = w->y[j + 1] - w->y[j];
    double sum = 0.0;
    for (int a = 0; a < rules[across].count; a++)
        for (int b = 0; b < rules[along].count; b++) {
            const double x = w->x[i] + rules[across].node[a] * width - point[0];
            const double y = w->y[j] + rules[along].node[b] * length - point[1];
            sum += rules[across].weight[a] * rules[along].weight[b] * images(w, x * x + y * y);
        }
    return sum * width * length;
}

/* ---- the charge itself ---- */

/* a + r, r^2 = a^2 + b^2, without cancelling */
static double sum_of(double a, double b, double r)
{
    return a > 0.0 ? a + r : b * b / (r - a);
}

/* Fills the integral of 1 / R over x and y, x ln(y + R) + y ln(x + R), at the corners of all
 * patches, without the terms that go away in the difference of the four of a patch. */
static void set_corners(work *w, const double point[2])
{
    double x[NODES], y[NODES], sums[2][NODES][NODES], logs[2][NODES][NODES];
    for (size_t i = 0; i < NODES; i++) {
        x[i] = w->x[i] - point[0];
        y[i] = w->y[i] - point[1];
    }
    for (size_t i = 0; i < NODES; i++)
        for (size_t j = 0; j < NODES; j++) {
            const double r = sqrt(x[i] * x[i] + y[j] * y[j]);
            sums[0][i][j] = sum_of(y[j], x[i], r);
            sums[1][i][j] = sum_of(x[i], y[j], r);
        }
    fl_vector_widest()->logarithms(logs[0][0], sums[0][0], (size_t)2 * NODES * NODES);
    for (size_t i = 0; i < NODES; i++)
        for (size_t j = 0; j < NODES; j++)
            w->corner[i][j] = x[i] * logs[0][i][j] + y[j] * logs[1][i][j];
}

static double direct_of(const work *w, size_t i, size_t j)
{
    return w->corner[i + 1][j + 1] - w->corner[i][j + 1] - w->corner[i + 1][j] + w->corner[i][j];
}

/* ---- all together ---- */

/* Nodes of a side, crowded towards both edges. */
static void set_side(double nodes[NODES], double side)
{
    for (int k = 0; k <= SIDE; k++) {
        const double rest = pow(1.0 - (double)k / SIDE, grading);
        nodes[SIDE + k] = 0.5 * side * (1.0 - rest);
        nodes[SIDE - k] = -nodes[SIDE + k];
    }
}

static void fill_row(work *w, size_t row)
{
    const size_t i = SIDE + row / SIDE, j = SIDE + row % SIDE;
    const double point[2] = {0.5 * (w->x[i] + w->x[i + 1]), 0.5 * (w->y[j] + w->y[j + 1])};
    set_corners(w, point);
    for (size_t k = 0; k < PATCHES; k++) {
        const size_t right = SIDE + k / SIDE, left = SIDE - 1 - k / SIDE;
        const size_t upper = SIDE + k % SIDE, lower = SIDE - 1 - k % SIDE;
        const size_t four[4][2] = {{right, upper}, {right, lower}, {left, upper}, {left, lower}};
        double sum = 0.0;
        for (int q = 0; q < 4; q++)
            sum +=
                direct_of(w, four[q][0], four[q][1]) - images_of(w, point, four[q][0], four[q][1]);
        w->matrix[row * PATCHES + k] = sum;
    }
}

static double area_of(const work *w, size_t k)
{
    const size_t i = SIDE + k / SIDE, j = SIDE + k % SIDE;
    return (w->x[i + 1] - w->x[i]) * (w->y[j + 1] - w->y[j]);
}

fl_status fl_plate_capacitance(double *capacitance, const fl_plate *plate, fl_error *error)
{
    int sign = 0;
    double sum = 0.0;
    work *w = fl_memory_take(1, sizeof *w);
    if (w == NULL)
        return fl_fail_memory(error);
    w->height = plate->height;
    w->step = (plate->permittivity - 1.0) / (plate->permittivity + 1.0);
    set_side(w->x, plate->width);
    set_side(w->y, plate->length);
    set_table(w, hypot(plate->width, plate->length));
    for (size_t row = 0; row < PATCHES; row++) {
        fill_row(w, row);
        w->charge[row] = 1.0;
    }
    gsl_matrix_view a = gsl_matrix_view_array(w->matrix, PATCHES, PATCHES);
    gsl_vector_view x = gsl_vector_view_array(w->charge, PATCHES);
    gsl_permutation p = {.size = PATCHES, .data = w->order};
    const bool solved = gsl_linalg_LU_decomp(&a.matrix, &p, &sign) == 0 &&
                        gsl_linalg_LU_svx(&a.matrix, &p, &x.vector) == 0;
    for (size_t k = 0; k < PATCHES; k++)
        sum += 4.0 * w->charge[k] * area_of(w, k);
    fl_memory_free(w);
    if (!solved || !(isfinite(sum) && sum > 0.0))
        return fl_fail(error, FL_BAD_INPUT, "",
                       "dimensions whose proportions can be solved, found some too far apart");
    *capacitance = missed * 2.0 * pi * fl_permittivity() * (1.0 + plate->permittivity) * sum;
    return FL_OK;
}
