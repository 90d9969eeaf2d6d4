/* Checks of cross-sections, media and planes of symmetry. */
#include "check.h"

#include "models/cross_mesh.h"
#include "models/cross_strip.h"

/* Fails unless the section is refused with the place. */
static void check_refused(const fl_cross *cross, double frequency, const char *place)
{
    fl_cross_result result;
    fl_error error = {0};
    memset(&result, 7, sizeof result);
    const fl_cross_result before = result;
    assert_int_equal(FL_BAD_INPUT, fl_cross_solve(&result, cross, frequency, &error));
    assert_string_equal(place, error.place);
    assert_true(error.message[0] != '\0');
    assert_memory_equal(&before, &result, sizeof result);
    assert_int_equal(FL_BAD_INPUT, fl_cross_solve(&result, cross, frequency, NULL));
}

static void test_layers(void **unused)
{
    (void)unused;
    static const fl_cross_layer wrong[] = {
        {0.0, 4.0, 0.0},  {-1.0, 4.0, 0.0},     {1.0, 0.9, 0.0},      {1.0, -4.0, 0.0},
        {1.0, 4.0, -0.1}, {HUGE_VAL, 4.0, 0.0}, {1.0, HUGE_VAL, 0.0},
    };
    strip s;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; ++i) {
        strip_init(&s, 1.0, 0.1, 4.0);
        s.layers[0] = wrong[i];
        check_refused(&s.cross, 1e9, "layers[0]");
    }
    strip_init(&s, 1.0, 0.1, 4.0);
    strip_cover(&s, 0.0, 4.0);
    check_refused(&s.cross, 1e9, "layers[1]");
    s.cross.layer_count = FL_CROSS_LAYERS + 1;
    check_refused(&s.cross, 1e9, "layers");
}

static void test_conductors(void **unused)
{
    (void)unused;
    static const fl_cross_conductor wrong[] = {
        {.left = 1.0, .right = 1.0, .bottom = 1.0, .signal = 1},
        {.left = 1.0, .right = (double)NAN, .bottom = 1.0, .signal = 1},
        {.left = 0.0, .right = HUGE_VAL, .bottom = 1.0, .signal = 1},
        {.left = -HUGE_VAL, .right = HUGE_VAL, .bottom = 1.0},
        {.left = 0.0, .right = 1.0, .bottom = 0.0, .signal = 1},
        {.left = 0.0, .right = 1.0, .bottom = 1.0, .thickness = -0.1, .signal = 1},
        {.left = 0.0, .right = 1.0, .bottom = 1.0, .signal = FL_CROSS_SIGNALS + 1},
        {.left = 0.0, .right = 1.0, .bottom = 1.0, .signal = 1, .conductivity = -1.0},
        {.left = 0.0, .right = 1.0, .bottom = 1.0, .signal = 1, .roughness = (double)NAN},
    };
    strip s;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; ++i) {
        strip_init(&s, 1.0, 0.1, 4.0);
        s.conductor = wrong[i];
        check_refused(&s.cross, 1e9, "conductors[0]");
    }
    strip_init(&s, 1.0, 0.1, 4.0);
    fl_cross_conductor two[2] = {s.conductor, s.conductor};
    s.cross.conductors = two;
    s.cross.conductor_count = 2;
    check_refused(&s.cross, 1e9, "conductors[1]");
    two[1].left = two[0].right;
    two[1].right = two[0].right + 1.0;
    check_refused(&s.cross, 1e9, "conductors[1]");
}

static void test_whole(void **unused)
{
    (void)unused;
    strip s;
    strip_init(&s, 1.0, 0.1, 4.0);
    check_refused(&s.cross, -1.0, "frequency");
    check_refused(&s.cross, (double)NAN, "frequency");
    s.cross.lid = 1.05;
    check_refused(&s.cross, 1e9, "conductors[0]");
    s.cross.lid = -1.0;
    check_refused(&s.cross, 1e9, "lid");
    strip_init(&s, 1.0, 0.1, 4.0);
    s.cross.conductivity = (double)NAN;
    check_refused(&s.cross, 1e9, "ground");
    strip_init(&s, 1.0, 0.1, 4.0);
    s.cross.ground = false;
    check_refused(&s.cross, 1e9, "conductors"); /* no return */
    strip_init(&s, 1.0, 0.1, 4.0);
    s.conductor.signal = 0;
    check_refused(&s.cross, 1e9, "conductors"); /* no signal */
    s.conductor.signal = 2;
    check_refused(&s.cross, 1e9, "conductors"); /* no signal 1 */
    s.cross.conductor_count = 0;
    check_refused(&s.cross, 1e9, "conductors");
}

/* Whatever the proportions, the answer is a line's or the section is refused. */
static void test_extremes(void **unused)
{
    (void)unused;
    static const double lengths[] = {1e-300, 1e-18, 1e-9, 1.0, 1e9, 1e150};
    for (size_t i = 0; i < (size_t)6 * 6 * 6; ++i) {
        strip s;
        strip_init(&s, lengths[i % 6], lengths[i / 6 % 6], 4.0);
        s.layers[0].top = s.conductor.bottom = lengths[i / 36];
        s.conductor.conductivity = s.cross.conductivity = 1e7;
        fl_cross_result r;
        fl_error error = {0};
        const fl_status status = fl_cross_solve(&r, &s.cross, 1e9, &error);
        assert_true(status == FL_OK || status == FL_BAD_INPUT);
        if (status != FL_OK)
            continue;
        assert_true(isfinite(r.modes[0].impedance) && r.modes[0].impedance > 0.0);
        assert_true(isfinite(r.resistance[0][0]) && r.resistance[0][0] >= 0.0);
    }
}

static void test_media(void **unused)
{
    (void)unused;
    strip s;
    fl_cross_plan plan;
    strip_init(&s, 1.0, 0.1, 4.0);
    strip_cover(&s, 0.5, 3.0);
    check_ok(fl_plan_make(&plan, &s.cross, NULL), (fl_error){0});
    assert_int_equal(0, fl_plan_medium(&plan, 1.0, false));
    assert_int_equal(1, fl_plan_medium(&plan, 1.0, true));
    assert_int_equal(1, fl_plan_medium(&plan, 1.2, true));
    assert_int_equal(2, fl_plan_medium(&plan, 1.5, true));
    assert_int_equal(2, fl_plan_medium(&plan, 9.0, false));
    assert_true(plan.permittivity[2] == 1.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_layers), cmocka_unit_test(test_conductors),
        cmocka_unit_test(test_whole),  cmocka_unit_test(test_extremes),
        cmocka_unit_test(test_media),
    };
    return cmocka_run_group_tests_name("models/cross_plan", tests, NULL, NULL);
}
