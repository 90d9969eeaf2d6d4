/* Port impedances of every form. */
#include "check.h"

#include "sample.h"

/* Each form by its definition, at 30 GHz: series and parallel connection of R with j w L = j37.699
 * ohm (0.2 nH) or 1 / (j w C) = -j106.10 ohm (50 fF). Computed by hand. */
static void test_forms(void **unused)
{
    (void)unused;
    const double w = 2.0 * acos(-1.0) * 30e9, xl = w * 0.2e-9, xc = 1.0 / (w * 50e-15);
    const struct {
        fl_port_form form;
        double real, imaginary;
    } rows[] = {{FL_PORT_IMPEDANCE, 60.0, -12.0},
                {FL_PORT_SERIES_INDUCTANCE, 60.0, xl},
                {FL_PORT_SERIES_CAPACITANCE, 60.0, -xc},
                {FL_PORT_PARALLEL_INDUCTANCE, 60.0 * xl * xl / (3600.0 + xl * xl),
                 3600.0 * xl / (3600.0 + xl * xl)},
                {FL_PORT_PARALLEL_CAPACITANCE, 60.0 * xc * xc / (3600.0 + xc * xc),
                 -3600.0 * xc / (3600.0 + xc * xc)}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sample s;
        fl_error error = {0};
        fl_groundwork *groundwork = NULL;
        const double frequency = 30e9;
        double real = 0.0, imaginary = 0.0;
        sample_init(&s, 20e9, 40e9);
        s.design.ports[FL_PORT_BOARD] = (fl_port){.form = rows[i].form,
                                                  .resistance = 60.0,
                                                  .reactance = -12.0,
                                                  .inductance = 0.2e-9,
                                                  .capacitance = 50e-15,
                                                  .place = "port"};
        check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
        check_ok(fl_port_impedance(&(fl_complex_lanes){&real, &imaginary}, groundwork,
                                   FL_PORT_BOARD, &frequency, 1, &error),
                 error);
        check_close(rows[i].real, real, 1e-13, "form %zu", i);
        check_close(rows[i].imaginary, imaginary, 1e-13, "form %zu", i);
        fl_groundwork_free(groundwork);
    }
}

static char three_port[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

/* Port 3 of the file: reference 75 ohm, S33 = 0.25 at 2 rad at 30 GHz; Z = 75 (1 + S) / (1 - S). */
static void test_file(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    const double frequency = 30e9, g = 0.25, angle = 2.0;
    double real = 0.0, imaginary = 0.0;
    sample_init(&s, 20e9, 40e9);
    s.design.ports[FL_PORT_DIE] =
        (fl_port){.form = FL_PORT_FILE, .file = three_port, .file_port = 3, .place = "port"};
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    check_ok(fl_port_impedance(&(fl_complex_lanes){&real, &imaginary}, groundwork, FL_PORT_DIE,
                               &frequency, 1, &error),
             error);
    const double below = 1.0 - 2.0 * g * cos(angle) + g * g;
    check_close(75.0 * (1.0 - g * g) / below, real, 1e-12, "real");
    check_close(75.0 * 2.0 * g * sin(angle) / below, imaginary, 1e-12, "imaginary");
    fl_groundwork_free(groundwork);
}

/* A resistance that is not positive has no power waves. */
static void test_negative(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    const double frequency = 30e9;
    double real = 1.0, imaginary = 1.0;
    sample_init(&s, 20e9, 40e9);
    s.design.ports[FL_PORT_DIE].resistance = -5.0;
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    assert_int_equal(fl_port_impedance(&(fl_complex_lanes){&real, &imaginary}, groundwork,
                                       FL_PORT_DIE, &frequency, 1, &error),
                     FL_BAD_INPUT);
    assert_string_equal(error.place, "port");
    assert_non_null(strstr(error.message, "positive real part"));
    fl_groundwork_free(groundwork);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_forms), cmocka_unit_test(test_file),
                                       cmocka_unit_test(test_negative)};
    return cmocka_run_group_tests_name("path/port", tests, NULL, NULL);
}
