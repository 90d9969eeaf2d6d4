/* S-parameters: against nodal analysis, a worked case and the identities of lossless two-ports. */
#include "check.h"

#include "nodal.h"
#include "random.h"

typedef struct scattered {
    double s11[11][2], s21[11][2], s12[11][2], s22[11][2], grid[11];
    fl_scatter scatter;
} scattered;

static void scatter_of(scattered *out, const sample *s)
{
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    fl_band_grid(out->grid, &s->band, 11);
    out->scatter = (fl_scatter){11, out->grid, out->s11, out->s21, out->s12, out->s22};
    check_ok(fl_groundwork_new(&groundwork, &s->design, &error), error);
    check_ok(fl_scatter_fill(&out->scatter, groundwork, 0, s->values, &error), error);
    fl_groundwork_free(groundwork);
}

static double complex value(const double part[2])
{
    return part[0] + J * part[1];
}

static void check_complex(double complex wanted, const double got[2], double tolerance,
                          const char *what, int trial)
{
    check_near(creal(wanted), got[0], tolerance, "%s real, trial %d", what, trial);
    check_near(cimag(wanted), got[1], tolerance, "%s imaginary, trial %d", what, trial);
}

static void test_nodal(void **unused)
{
    (void)unused;
    uint64_t state = 11;
    for (int trial = 0; trial < 100; trial++) {
        sample s;
        scattered out;
        random_sample(&s, &state);
        scatter_of(&out, &s);
        for (size_t n = 0; n < 11; n++) {
            double complex wanted[2][2];
            nodal_sample(&s, out.grid[n], wanted);
            check_complex(wanted[0][0], out.s11[n], 1e-9, "S11", trial);
            check_complex(wanted[0][1], out.s12[n], 1e-9, "S12", trial);
            check_complex(wanted[1][0], out.s21[n], 1e-9, "S21", trial);
            check_complex(wanted[1][1], out.s22[n], 1e-9, "S22", trial);
        }
    }
}

/* Passive: no column of S has more power than was sent in. Reciprocal: S12 = S21. */
static void test_passive_reciprocal(void **unused)
{
    (void)unused;
    uint64_t state = 12;
    for (int trial = 0; trial < 200; trial++) {
        sample s;
        scattered out;
        random_sample(&s, &state);
        scatter_of(&out, &s);
        for (size_t n = 0; n < 11; n++) {
            const double in1 = cabs(value(out.s11[n])), out1 = cabs(value(out.s21[n]));
            const double in2 = cabs(value(out.s22[n])), out2 = cabs(value(out.s12[n]));
            assert_true(in1 * in1 + out1 * out1 <= 1.0 + 1e-12);
            assert_true(in2 * in2 + out2 * out2 <= 1.0 + 1e-12);
            check_complex(value(out.s21[n]), out.s12[n], 1e-9, "S12", trial);
        }
    }
}

/* C-L-C of 45 fF, 0.2 nH, 45 fF at 30 GHz in 50 ohm, computed from the chain matrix. */
static void test_clc(void **unused)
{
    (void)unused;
    sample s;
    scattered out;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "shunt capacitor");
    sample_set(&s, "capacitance", 45e-15);
    sample_add(&s, "series inductor");
    sample_set(&s, "inductance", 0.2e-9);
    sample_add(&s, "shunt capacitor");
    sample_set(&s, "capacitance", 45e-15);
    scatter_of(&out, &s);
    check_complex(0.0151630736555418 + J * 0.014065680781231417, out.s11[5], 1e-12, "S11", 0);
    check_complex(0.6799338429549265 - J * 0.7329817235279625, out.s21[5], 1e-12, "S21", 0);
}

/* Lossless between complex references [Kurokawa1965]: |S11| = |S22|, |S11|^2 + |S21|^2 = 1,
 * arg S11 + arg S22 - 2 arg S21 = pi. Series j37.7 ohm between 50 - j20 and 30 + j10 ohm. */
static void test_lossless(void **unused)
{
    (void)unused;
    sample s;
    scattered out;
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "series inductor");
    sample_set(&s, "inductance", 37.7 / (2.0 * acos(-1.0) * 30e9));
    s.design.ports[0].resistance = 50.0;
    s.design.ports[0].reactance = -20.0;
    s.design.ports[1].resistance = 30.0;
    s.design.ports[1].reactance = 10.0;
    scatter_of(&out, &s);
    check_complex(-0.11618198789221584 + J * 0.3864780133076798, out.s11[5], 1e-12, "S11", 0);
    check_complex(0.3302908072646705 + J * 0.23188680798460787, out.s22[5], 1e-12, "S22", 0);
    check_complex(0.8645908500886481 - J * 0.2993645818431945, out.s21[5], 1e-12, "S21", 0);
    for (size_t n = 0; n < 11; n++) {
        const double complex s11 = value(out.s11[n]), s21 = value(out.s21[n]);
        const double complex s22 = value(out.s22[n]);
        check_near(cabs(s11), cabs(s22), 1e-13, "magnitudes");
        check_near(1.0, creal(s11 * conj(s11) + s21 * conj(s21)), 1e-13, "power");
        check_complex(
            -s21 * s21 / cabs(s21) / cabs(s21),
            (double[2]){creal(s11 * s22) / cabs(s11 * s22), cimag(s11 * s22) / cabs(s11 * s22)},
            1e-12, "phases", (int)n);
    }
}

/* One line is the same as its two halves. */
static void test_line_halves(void **unused)
{
    (void)unused;
    scattered out[2];
    for (int halves = 0; halves < 2; halves++) {
        sample s;
        sample_init(&s, 20e9, 40e9);
        for (int i = 0; i <= halves; i++) {
            sample_add(&s, "line");
            sample_set(&s, "impedance", 80.0);
            sample_set(&s, "length", 1e-3 / (halves + 1));
            sample_set(&s, "permittivity", 3.5);
            sample_set(&s, "loss", 100.0);
        }
        scatter_of(&out[halves], &s);
    }
    for (size_t n = 0; n < 11; n++) {
        check_complex(value(out[0].s11[n]), out[1].s11[n], 1e-14, "S11", (int)n);
        check_complex(value(out[0].s21[n]), out[1].s21[n], 1e-14, "S21", (int)n);
    }
}

/** A copy of a sample without the marked sections. */
static void remove_sections(sample *to, const sample *from, const bool *left_out)
{
    *to = *from;
    to->only.sections = to->sections;
    to->only.section_count = 0;
    for (size_t i = 0; i < from->only.section_count; i++)
        if (!left_out[i])
            to->sections[to->only.section_count++] = from->sections[i];
}

/* What is left out is as if it had never been written. */
static void test_without(void **unused)
{
    (void)unused;
    uint64_t state = 13;
    for (int trial = 0; trial < 60; trial++) {
        sample s, cut;
        scattered out;
        fl_error error = {0};
        fl_groundwork *groundwork = NULL;
        bool left_out[SAMPLE_SECTIONS];
        random_sample(&s, &state);
        for (size_t i = 0; i < SAMPLE_SECTIONS; i++)
            left_out[i] = sample_random(&state) < 0.5;
        left_out[0] = false; /* nodal analysis wants a node */
        remove_sections(&cut, &s, left_out);
        fl_band_grid(out.grid, &s.band, 11);
        out.scatter = (fl_scatter){11, out.grid, out.s11, out.s21, out.s12, out.s22};
        check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
        check_ok(fl_scatter_fill_without(&out.scatter, groundwork, 0, left_out, s.values, &error),
                 error);
        fl_groundwork_free(groundwork);
        for (size_t n = 0; n < 11; n += 5) {
            double complex wanted[2][2];
            nodal_sample(&cut, out.grid[n], wanted);
            check_complex(wanted[0][0], out.s11[n], 1e-9, "S11", trial);
            check_complex(wanted[1][0], out.s21[n], 1e-9, "S21", trial);
            check_complex(wanted[1][1], out.s22[n], 1e-9, "S22", trial);
        }
    }
}

/* Measured data that are left out leave a through connection, whatever they were. */
static void test_without_data(void **unused)
{
    (void)unused;
    sample s;
    scattered out;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    const bool left_out[] = {true};
    sample_init(&s, 20e9, 40e9);
    sample_add(&s, "measured")->file = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";
    sample_set(&s, "die port", 1.0);
    sample_set(&s, "board port", 2.0);
    fl_band_grid(out.grid, &s.band, 11);
    out.scatter = (fl_scatter){11, out.grid, out.s11, out.s21, out.s12, out.s22};
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    check_ok(fl_scatter_fill_without(&out.scatter, groundwork, 0, left_out, s.values, &error),
             error);
    fl_groundwork_free(groundwork);
    for (int n = 0; n < 11; n++) {
        check_complex(0.0, out.s11[n], 1e-15, "S11", n);
        check_complex(1.0, out.s21[n], 1e-15, "S21", n);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nodal),       cmocka_unit_test(test_passive_reciprocal),
        cmocka_unit_test(test_clc),         cmocka_unit_test(test_lossless),
        cmocka_unit_test(test_line_halves), cmocka_unit_test(test_without),
        cmocka_unit_test(test_without_data)};
    return cmocka_run_group_tests_name("response/scatter", tests, NULL, NULL);
}
