/* Paths with network data: neither reciprocal nor symmetric, in both directions, with slopes. */
#include "check.h"

#include "nodal.h"
#include "random.h"

static char three_port[] = FL_SOURCE_DIR "/tests/data/network/three-port.s3p";

/* A capacitor, ports 3 to 1 of the file, and a lossy line, between complex ports. */
static void data_sample(sample *s)
{
    sample_init(s, 20e9, 40e9);
    sample_add(s, "shunt capacitor");
    sample_set(s, "capacitance", 60e-15);
    sample_add(s, "measured")->file = three_port;
    sample_set(s, "die port", 3.0);
    sample_set(s, "board port", 1.0);
    sample_add(s, "line");
    sample_set(s, "impedance", 70.0);
    sample_set(s, "length", 1e-3);
    sample_set(s, "permittivity", 3.0);
    sample_set(s, "loss", 200.0);
    s->design.ports[FL_PORT_DIE].reactance = -20.0;
    s->design.ports[FL_PORT_BOARD].reactance = 10.0;
}

/* Y-parameters of the two file ports, (1 - S)(1 + S)^-1 scaled by the references. */
static void data_admittance(double complex y[2][2], const fl_network *network, double frequency)
{
    const size_t port[2] = {2, 0};
    double complex s[2][2];
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 2; j++) {
            double part[2];
            fl_network_s(network, port[i], port[j], frequency, part);
            s[i][j] = part[0] + J * part[1];
        }
    const double complex det = (1.0 + s[0][0]) * (1.0 + s[1][1]) - s[0][1] * s[1][0];
    const double r[2] = {fl_network_reference(network, 2), fl_network_reference(network, 0)};
    y[0][0] = ((1.0 - s[0][0]) * (1.0 + s[1][1]) + s[0][1] * s[1][0]) / det / r[0];
    y[1][1] = ((1.0 + s[0][0]) * (1.0 - s[1][1]) + s[0][1] * s[1][0]) / det / r[1];
    y[0][1] = -2.0 * s[0][1] / det / sqrt(r[0] * r[1]);
    y[1][0] = -2.0 * s[1][0] / det / sqrt(r[0] * r[1]);
}

/* The whole by nodal analysis; other ports of the file end in their reference. */
static void nodal_data(const sample *s, const fl_network *network, double frequency,
                       double complex scatter[2][2])
{
    const double pi = acos(-1.0), w = 2.0 * pi * frequency, w0 = 2.0 * pi * 30e9;
    double complex y[2][2];
    nodal *n = calloc(1, sizeof *n);
    assert_non_null(n);
    n->nodes = 1;
    data_admittance(y, network, frequency);
    nodal_lumped(n, s, &s->sections[0], w, w0);
    nodal_two_port(n, y[0][0], y[0][1], y[1][0], y[1][1]);
    nodal_line(n, s, &s->sections[2], w, w0);
    const double complex z[2] = {nodal_port(&s->design.ports[0], w),
                                 nodal_port(&s->design.ports[1], w)};
    nodal_scatter(n, z, scatter);
    free(n);
}

static void test_data_scatter(void **unused)
{
    (void)unused;
    sample s;
    fl_error error = {0};
    fl_groundwork *groundwork = NULL;
    double s11[1][2], s21[1][2], s12[1][2], s22[1][2];
    data_sample(&s);
    check_ok(fl_groundwork_new(&groundwork, &s.design, &error), error);
    for (double frequency = 20e9; frequency <= 40e9; frequency += 1.37e9) {
        double complex wanted[2][2];
        fl_scatter scatter = {1, &frequency, s11, s21, s12, s22};
        check_ok(fl_scatter_fill(&scatter, groundwork, 0, s.values, &error), error);
        nodal_data(&s, fl_groundwork_network(groundwork, three_port), frequency, wanted);
        const double *got[2][2] = {{s11[0], s12[0]}, {s21[0], s22[0]}};
        for (int i = 0; i < 2; i++)
            for (int j = 0; j < 2; j++) {
                check_near(creal(wanted[i][j]), got[i][j][0], 1e-12, "S%d%d", i + 1, j + 1);
                check_near(cimag(wanted[i][j]), got[i][j][1], 1e-12, "S%d%d", i + 1, j + 1);
            }
    }
    fl_groundwork_free(groundwork);
}

/* Powers and slopes on either side of the data, which multiply the adjoint by their determinant;
 * once with the march to the board, once with the one to the die alone. */
static void test_data_slopes(void **unused)
{
    (void)unused;
    for (int die_only = 0; die_only < 2; die_only++) {
        sample s;
        bench b;
        size_t unknowns[SAMPLE_QUANTITIES];
        data_sample(&s);
        sample_require(&s, FL_INSERTION_LOSS, 0, false, 3.0);
        sample_require(&s, FL_RETURN_LOSS, FL_PORT_DIE, true, 10.0);
        if (!die_only)
            sample_require(&s, FL_RETURN_LOSS, FL_PORT_BOARD, true, 10.0);
        bench_open(&b, &s);
        const size_t count = s.design.quantity_count;
        for (size_t u = 0; u < count; u++)
            unknowns[u] = u;
        assert_true(fl_margins_gradient(b.margins, b.work, s.values,
                                        &(fl_unknowns){unknowns, count}, b.power, b.gradient));
        for (size_t r = 0; r < b.run_count; r++)
            for (size_t i = 0; i < b.runs[r].count; i++) {
                const fl_requirement *asked = &s.requirements[b.runs[r].requirement];
                const bool board = asked->port == FL_PORT_BOARD;
                double complex wanted[2][2];
                nodal_data(&s, fl_groundwork_network(b.groundwork, three_port),
                           b.runs[r].frequencies[i], wanted);
                const double complex value = asked->asked != FL_RETURN_LOSS ? wanted[1][0]
                                             : board                        ? wanted[1][1]
                                                                            : wanted[0][0];
                check_near(creal(value * conj(value)), b.power[b.runs[r].first + i], 1e-12,
                           "run %zu lane %zu", r, i);
            }
        double *above = calloc(b.entries, sizeof *above), *below = calloc(b.entries, sizeof *below);
        assert_true(above != NULL && below != NULL);
        for (size_t u = 0; u < count; u++) {
            const double value = s.values[u], step = 1e-5;
            s.values[u] = value * (1.0 + step);
            assert_true(fl_margins_power(b.margins, b.work, s.values, above));
            s.values[u] = value * (1.0 - step);
            assert_true(fl_margins_power(b.margins, b.work, s.values, below));
            s.values[u] = value;
            for (size_t i = 0; i < b.entries; i++)
                check_near((above[i] - below[i]) / (2.0 * step),
                           b.gradient[u * b.entries + i] * value, 1e-9, "%s entry %zu",
                           s.quantities[u].name, i);
        }
        free(above);
        free(below);
        bench_close(&b);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_data_scatter),
                                       cmocka_unit_test(test_data_slopes)};
    return cmocka_run_group_tests_name("response/sweep", tests, NULL, NULL);
}
