/* Network data as a section: the file of a lossy line acts as the line. */
#include "check.h"

#include "physics.h"

static void test_ports(void **unused)
{
    (void)unused;
    const fl_physics *physics = (const fl_physics *)sample_kind("measured");
    const double same[] = {2.0, 2.0}, well[] = {2.0, 1.0};
    assert_non_null(physics->refuse(same));
    assert_null(physics->refuse(well));
    assert_true(physics->kind.takes_file);
}

/* S-parameters of a line of 80 ohm in 50 ohm [Pozar2011, sec. 4.3], lossless, written at 0.1 GHz
 * steps; between the points the interpolant must follow. */
static void write_line(const char *file, double delay)
{
    FILE *out = fopen(file, "w");
    assert_non_null(out);
    fputs("! lossless line, 80 ohm\n# GHz S RI R 50\n", out);
    for (int i = 0; i <= 300; i++) {
        const double f = 15.0 + 0.1 * i, theta = 2.0 * acos(-1.0) * f * 1e9 * delay;
        /* Denominator 2 cos + j (z + 1/z) sin, S11 = j (z - 1/z) sin / it, S21 = 2 / it. */
        const double z = 80.0 / 50.0, re = 2.0 * cos(theta), im = (z + 1.0 / z) * sin(theta);
        const double top = (z - 1.0 / z) * sin(theta), squared = re * re + im * im;
        fprintf(out, "%.12g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", f,
                top * im / squared, top * re / squared, 2.0 * re / squared, -2.0 * im / squared,
                2.0 * re / squared, -2.0 * im / squared, top * im / squared, top * re / squared);
    }
    assert_int_equal(fclose(out), 0);
}

static void test_line_from_data(void **unused)
{
    (void)unused;
    static char file[] = FL_SCRATCH_DIR "/line.s2p";
    const double delay = 8e-12;
    double scattered[2][4][7][2], grid[7];
    write_line(file, delay);
    for (int data = 0; data < 2; data++) {
        sample s;
        fl_error error = {0};
        fl_groundwork *groundwork = NULL;
        sample_init(&s, 20.03e9, 40.07e9);
        sample_add(&s, "shunt capacitor");
        sample_set(&s, "capacitance", 30e-15);
        if (data) {
            sample_add(&s, "measured")->file = file;
        } else {
            sample_add(&s, "line");
            sample_set(&s, "impedance", 80.0);
            sample_set(&s, "length", delay * 299792458.0);
            sample_set(&s, "permittivity", 1.0);
        }
        fl_band_grid(grid, &s.band, 7);
        fl_scatter scatter = {7,
                              grid,
                              scattered[data][0],
                              scattered[data][1],
                              scattered[data][2],
                              scattered[data][3]};
        check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
        assert_int_equal(fl_groundwork_warning_count(groundwork), 0);
        check_ok(fl_scatter_fill(&scatter, groundwork, 0, s.values, &error), error);
        fl_groundwork_free(groundwork);
    }
    for (size_t k = 0; k < 4; k++)
        for (size_t n = 0; n < 7; n++)
            for (size_t part = 0; part < 2; part++)
                check_near(scattered[0][k][n][part], scattered[1][k][n][part], 1e-6,
                           "parameter %zu lane %zu", k, n);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_ports),
                                       cmocka_unit_test(test_line_from_data)};
    return cmocka_run_group_tests_name("models/measured", tests, NULL, NULL);
}
