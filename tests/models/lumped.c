/* Lumped elements: what resistance and quality factor come to, and slopes. */
#include "check.h"

#include "physics.h"

static const double w0 = 2.0 * 3.14159265358979323846 * 30e9;

/* Reactance of 1 nH: 188.50 ohm at 30 GHz. Definition of the quality factor X / R: common practice,
 * no source. */
static void test_inductor(void **unused)
{
    (void)unused;
    double values[1][FL_VALUES];
    const double with_q[] = {1e-9, 0.0, 20.0}, with_r[] = {1e-9, 2.0, 0.0};
    physics_values(values, "series inductor", with_q, w0);
    check_close(188.49555921538757 / 20.0, values[0][0], 1e-12, "R of Q");
    check_near(1e-9, values[0][1], 0.0, "L");
    check_near(0.0, values[0][2], 0.0, "S");
    physics_values(values, "shunt inductor", with_r, w0);
    check_near(2.0, values[0][0], 0.0, "R");
    check_close(188.49555921538757, physics_property("series inductor", with_r, w0, "reactance"),
                1e-12, "reactance");
}

static void test_capacitor(void **unused)
{
    (void)unused;
    double values[1][FL_VALUES];
    const double with_q[] = {50e-15, 0.0, 40.0}, with_r[] = {50e-15, 1.5, 0.0};
    physics_values(values, "series capacitor", with_q, w0);
    check_close(1.0 / (w0 * 50e-15 * 40.0), values[0][0], 1e-12, "R of Q");
    check_close(1.0 / 50e-15, values[0][2], 1e-15, "elastance");
    physics_values(values, "shunt capacitor", with_q, w0);
    check_close(1.0 / (w0 * 40.0), values[0][1], 1e-15, "R C of Q");
    physics_values(values, "shunt capacitor", with_r, w0);
    check_close(1.5 * 50e-15, values[0][1], 1e-15, "R C");
}

/* A shunt capacitance of zero is absent, with any quality factor. */
static void test_absent_capacitor(void **unused)
{
    (void)unused;
    double values[1][FL_VALUES];
    fl_property properties[FL_PROPERTIES];
    const double none[] = {0.0, 0.0, 40.0};
    physics_values(values, "shunt capacitor", none, w0);
    check_near(0.0, values[0][0], 0.0, "C");
    assert_true(isfinite(values[0][1]));
    const fl_physics *physics = (const fl_physics *)sample_kind("shunt capacitor");
    const size_t count = physics->describe(properties, none, &(fl_setting){.w0 = w0});
    for (size_t i = 0; i < count; i++)
        assert_true(isfinite(properties[i].value));
}

static void test_slopes(void **unused)
{
    (void)unused;
    static const char *const kinds[] = {"series inductor", "shunt inductor", "series capacitor",
                                        "shunt capacitor"};
    const double with_q[] = {3e-13, 0.0, 25.0}, with_r[] = {3e-13, 1.7, 0.0}, resistor[] = {12.0};
    for (size_t i = 0; i < 4; i++) {
        physics_check_slopes(kinds[i], with_q, w0);
        physics_check_slopes(kinds[i], with_r, w0);
    }
    physics_check_slopes("series resistor", resistor, w0);
    physics_check_slopes("shunt resistor", resistor, w0);
}

static void test_lanes(void **unused)
{
    (void)unused;
    static const char *const kinds[] = {"series inductor", "shunt inductor", "series capacitor",
                                        "shunt capacitor"};
    const double rows[][3] = {{3e-13, 0.0, 25.0}, {3e-13, 1.7, 0.0}, {3e-13, 0.0, 0.0}};
    const double resistor[] = {12.0};
    for (size_t i = 0; i < 12; i++)
        physics_check_lanes(kinds[i % 4], rows[i / 4], w0);
    physics_check_lanes("series resistor", resistor, w0);
    physics_check_lanes("shunt resistor", resistor, w0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_inductor),
                                       cmocka_unit_test(test_capacitor),
                                       cmocka_unit_test(test_absent_capacitor),
                                       cmocka_unit_test(test_slopes), cmocka_unit_test(test_lanes)};
    return cmocka_run_group_tests_name("models/lumped", tests, NULL, NULL);
}
