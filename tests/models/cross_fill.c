/* Influences of elements against sums over many line charges, and Gauss's law. */
#include "check.h"

#include "models/cross_mesh.h"
#include "models/cross_strip.h"

typedef struct bench {
    strip s;
    fl_cross_conductor conductors[2];
    fl_cross_plan plan;
    fl_mesh mesh;
    fl_arena arena;
} bench;

static void make(bench *b, bool ground)
{
    fl_error error = {0};
    strip_init(&b->s, 2.0, 0.5, 4.0);
    b->s.cross.fineness = 4;
    b->conductors[0] = b->s.conductor;
    b->conductors[1] = (fl_cross_conductor){.left = 3.0, .right = 4.0, .bottom = 1.2};
    b->s.cross.conductors = b->conductors;
    b->s.cross.conductor_count = 2;
    b->s.cross.ground = ground;
    fl_arena_init(&b->arena);
    check_ok(fl_plan_make(&b->plan, &b->s.cross, &error), error);
    assert_true(fl_mesh_make(&b->mesh, &b->plan, &b->arena));
}

/* A line charge at (x, y) seen from a point: potential, or field up. */
static double line_charge(double x, double y, const double point[2], bool field)
{
    const double u = point[0] - x;
    const double v = point[1] - y;
    const double square = u * u + v * v;
    return (field ? v / square : -0.5 * log(square)) / (2.0 * acos(-1.0));
}

/* An element as 2000 line charges, with the image in the ground plane. */
static double element(const bench *b, const fl_chain *chain, size_t k, double side,
                      const double point[2], bool field)
{
    enum { PARTS = 2000 };
    const double *nodes = &b->mesh.nodes[chain->node + k];
    double sum = 0.0;
    for (size_t p = 0; p < PARTS; ++p) {
        const double along = nodes[0] + (nodes[1] - nodes[0]) * ((double)p + 0.5) / PARTS;
        const double x = side * (chain->upright ? chain->at : along);
        const double y = chain->upright ? along : chain->at;
        sum += line_charge(x, y, point, field);
        sum -= b->plan.cross->ground ? line_charge(x, -y, point, field) : 0.0;
    }
    return sum * (nodes[1] - nodes[0]) / PARTS;
}

/* Potentials on one chain by all others. */
static void test_potentials(void **unused)
{
    (void)unused;
    for (int ground = 0; ground < 2; ++ground) {
        bench b;
        make(&b, ground == 1);
        const fl_chain *at = &b.mesh.chains[2];
        const size_t n = b.mesh.element_count;
        double *rows = fl_arena_take(&b.arena, at->count * n, sizeof *rows);
        for (int turn = 0; turn < 2; ++turn) {
            const double side = turn == 0 ? 1.0 : -1.0;
            fl_mesh_potentials(rows, side, &b.mesh, at);
            const double point[2] = {b.mesh.x[at->first + 1], b.mesh.y[at->first + 1]};
            for (size_t c = 0; c < b.mesh.chain_count; ++c)
                for (size_t k = 0; c != 2 && k < b.mesh.chains[c].count; ++k) {
                    const double wanted = element(&b, &b.mesh.chains[c], k, side, point, false);
                    check_near(wanted, rows[n + b.mesh.chains[c].first + k],
                               1e-7 * fabs(wanted) + 1e-6, "%zu %zu", c, k);
                }
        }
        fl_arena_release(&b.arena);
    }
}

/* Flux through an element of the boundary: the field at 400 points. */
static void test_fluxes(void **unused)
{
    (void)unused;
    enum { POINTS = 400 };
    bench b;
    make(&b, true);
    const fl_chain *at = &b.mesh.chains[b.mesh.chain_count - 1];
    const size_t n = b.mesh.element_count;
    double *rows = fl_arena_take(&b.arena, at->count * n, sizeof *rows);
    double *scratch = fl_arena_take(&b.arena, n, sizeof *scratch);
    fl_mesh_fluxes(rows, 1.0, &b.mesh, at, scratch);
    const size_t seen = at->count / 3;
    const double *nodes = &b.mesh.nodes[at->node + seen];
    for (size_t c = 0; c < b.mesh.conductor_chains; ++c) {
        const size_t k = b.mesh.chains[c].count / 2;
        double wanted = 0.0;
        for (size_t p = 0; p < POINTS; ++p) {
            const double x = nodes[0] + (nodes[1] - nodes[0]) * ((double)p + 0.5) / POINTS;
            wanted += element(&b, &b.mesh.chains[c], k, 1.0, (double[]){x, at->at}, true);
        }
        wanted *= (nodes[1] - nodes[0]) / POINTS;
        check_near(wanted, rows[seen * n + b.mesh.chains[c].first + k], 1e-5 * fabs(wanted) + 1e-9,
                   "chain %zu", c);
    }
    /* All elements together are the whole. */
    double *whole = fl_arena_take(&b.arena, n, sizeof *whole);
    fl_mesh_whole_flux(whole, 1.0, &b.mesh, at, scratch);
    for (size_t j = 0; j < n; ++j) {
        double sum = 0.0;
        for (size_t k = 0; k < at->count; ++k)
            sum += rows[k * n + j];
        check_near(sum, whole[j], 1e-12, "whole, element %zu", j);
    }
    fl_arena_release(&b.arena);
}

/* Gauss: out of a closed conductor comes half of what lies on its faces (each counted with the
 * mean of both sides), and nothing of what lies elsewhere. */
static void test_gauss(void **unused)
{
    (void)unused;
    bench b;
    make(&b, true);
    const size_t n = b.mesh.element_count;
    double *row = fl_arena_take(&b.arena, n, sizeof *row);
    double *sum = fl_arena_take(&b.arena, n, sizeof *sum);
    double *scratch = fl_arena_take(&b.arena, n, sizeof *scratch);
    for (size_t c = 0; c < b.mesh.conductor_chains; ++c) {
        const fl_chain *chain = &b.mesh.chains[c];
        if (chain->conductor != 0)
            continue;
        fl_mesh_whole_flux(row, 1.0, &b.mesh, chain, scratch);
        for (size_t j = 0; j < n; ++j)
            sum[j] += chain->above == FL_CROSS_INSIDE ? -row[j] : row[j];
    }
    for (size_t c = 0; c < b.mesh.chain_count; ++c)
        for (size_t k = 0; k < b.mesh.chains[c].count; ++k) {
            const size_t j = b.mesh.chains[c].first + k;
            const double wanted = b.mesh.chains[c].conductor == 0 ? 0.5 * b.mesh.length[j] : 0.0;
            check_near(wanted, sum[j], 1e-12 * (1.0 + b.mesh.length[j]), "%zu %zu", c, k);
        }
    fl_arena_release(&b.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_potentials),
                                       cmocka_unit_test(test_fluxes), cmocka_unit_test(test_gauss)};
    return cmocka_run_group_tests_name("models/cross_fill", tests, NULL, NULL);
}
