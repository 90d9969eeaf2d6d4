/* Meshes of cross-sections: how many elements, where; no dimension changes their number. */
#include "check.h"

#include "models/cross_mesh.h"
#include "models/cross_strip.h"

/* Plan and mesh of a section; release the arena. */
static void make(fl_mesh *mesh, fl_cross_plan *plan, const fl_cross *cross, fl_arena *arena)
{
    fl_error error = {0};
    fl_arena_init(arena);
    check_ok(fl_plan_make(plan, cross, &error), error);
    assert_true(fl_mesh_make(mesh, plan, arena));
}

/* A bare thick strip: half of both faces, a side, the substrate's surface. */
static void test_chains(void **unused)
{
    (void)unused;
    strip s;
    fl_cross_plan plan;
    fl_mesh mesh;
    fl_arena arena;
    strip_init(&s, 2.0, 0.1, 4.0);
    s.cross.fineness = 8;
    make(&mesh, &plan, &s.cross, &arena);
    assert_true(plan.symmetric);
    assert_int_equal(4, mesh.chain_count);
    assert_int_equal(3, mesh.conductor_chains);
    assert_int_equal(8 + 8 + 8 + 24, mesh.element_count);
    double sum = 0.0;
    for (size_t i = 0; i < mesh.conductor_elements; ++i)
        sum += mesh.length[i];
    check_close(2.1, sum, 1e-14, "half perimeter");
    for (size_t i = 0; i < mesh.element_count; ++i) {
        assert_true(mesh.length[i] > 0.0);
        assert_true(mesh.x[i] > 0.0);
    }
    fl_arena_release(&arena);
}

/* Sides are cut where layers end; what they cut is not meshed inside. */
static void test_buried(void **unused)
{
    (void)unused;
    strip s;
    fl_cross_plan plan;
    fl_mesh mesh;
    fl_arena arena;
    strip_init(&s, 2.0, 0.4, 4.0);
    strip_cover(&s, 0.2, 3.0);
    make(&mesh, &plan, &s.cross, &arena);
    assert_int_equal(4, mesh.conductor_chains);
    assert_int_equal(6, mesh.chain_count);
    for (size_t i = mesh.conductor_elements; i < mesh.element_count; ++i)
        assert_true(mesh.x[i] > 1.0);
    fl_arena_release(&arena);
}

static void test_count_stays(void **unused)
{
    (void)unused;
    static const double factors[] = {0.01, 0.1, 1.0, 3.0, 30.0};
    size_t wanted = 0;
    for (size_t i = 0; i < (size_t)5 * 5; ++i) {
        strip s;
        fl_cross_plan plan;
        fl_mesh mesh;
        fl_arena arena;
        strip_init(&s, factors[i % 5], 0.05, 4.0);
        strip_cover(&s, 0.051 + factors[i / 5], 3.0);
        make(&mesh, &plan, &s.cross, &arena);
        if (i == 0)
            wanted = mesh.element_count;
        assert_int_equal(wanted, mesh.element_count);
        fl_arena_release(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_chains), cmocka_unit_test(test_buried),
                                       cmocka_unit_test(test_count_stays)};
    return cmocka_run_group_tests_name("models/cross_mesh", tests, NULL, NULL);
}
