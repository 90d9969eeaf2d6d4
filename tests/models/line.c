/* Lines and stubs: electrical length, loss, refusals, slopes. */
#include "check.h"

#include "physics.h"

static const double pi = 3.14159265358979323846;

/* A quarter wave in vacuum at 2.5 GHz is 29.979 mm; 1 Np is 8.685889638 dB. */
static void test_values(void **unused)
{
    (void)unused;
    double values[1][FL_VALUES];
    const double w0 = 2.0 * pi * 2.5e9;
    const double quarter[] = {70.71, 299792458.0 / 10e9 / 2.0, 4.0, 100.0};
    physics_values(values, "line", quarter, w0);
    check_near(70.71, values[0][0], 0.0, "Z0");
    check_close(100.0 * quarter[1] / 8.685889638065037, values[0][1], 1e-14, "nepers");
    check_close(pi / 2.0, w0 * values[0][2], 1e-14, "phase");
    check_close(90.0, physics_property("line", quarter, w0, "electrical length"), 1e-14, "degrees");
    check_close(100.0 * quarter[1], physics_property("line", quarter, w0, "loss"), 1e-15, "dB");
}

static void test_refuses_great_loss(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("line");
    const double lossy[] = {50.0, 1.0, 1.0, 1000.0}, well[] = {50.0, 1e-3, 1.0, 1000.0};
    assert_non_null(physics->refuse(lossy));
    assert_null(physics->refuse(well));
}

static void test_slopes(void **unused)
{
    (void)unused;
    const double parameters[] = {65.0, 0.7e-3, 3.4, 150.0};
    physics_check_slopes("line", parameters, 2e11);
    physics_check_slopes("open stub", parameters, 2e11);
    physics_check_slopes("shorted stub", parameters, 2e11);
}

/* The last row runs into losses that are refused. */
static void test_lanes(void **unused)
{
    (void)unused;
    const double rows[][4] = {
        {65.0, 0.7e-3, 3.4, 150.0}, {50.0, 1e-3, 1.0, 0.0}, {50.0, 0.1, 2.0, 1200.0}};
    for (size_t i = 0; i < 3; i++) {
        physics_check_lanes("line", rows[i], 2e11);
        physics_check_lanes("open stub", rows[i], 2e11);
        physics_check_lanes("shorted stub", rows[i], 2e11);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_values),
                                       cmocka_unit_test(test_refuses_great_loss),
                                       cmocka_unit_test(test_slopes), cmocka_unit_test(test_lanes)};
    return cmocka_run_group_tests_name("models/line", tests, NULL, NULL);
}
