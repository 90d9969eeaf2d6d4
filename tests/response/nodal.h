/**
 * The same networks by another route: nodal admittances solved by GSL's complex LU, with nothing
 * shared with the march. Each node takes the admittances of the branches that meet there.
 */
#ifndef FL_TESTS_NODAL_H
#define FL_TESTS_NODAL_H

#include <complex.h>
#include <gsl/gsl_complex_math.h>
#include <gsl/gsl_linalg.h>

#include "sample.h"

#define J ((double complex)I) /* the library's I is of single precision */

typedef struct nodal {
    double complex y[SAMPLE_SECTIONS * 16][SAMPLE_SECTIONS * 16];
    size_t nodes;
} nodal;

static double nodal_value(const sample *s, const fl_section *section, const char *name)
{
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        if (strcmp(section->kind->parameters[i].name, name) == 0)
            return fl_term_value(&section->terms[i], s->values);
    return 0.0;
}

/* Admittance between the last node and a new one. */
static void nodal_series(nodal *n, double complex admittance)
{
    const size_t a = n->nodes - 1, b = n->nodes++;
    n->y[a][a] += admittance;
    n->y[b][b] += admittance;
    n->y[a][b] -= admittance;
    n->y[b][a] -= admittance;
}

static void nodal_shunt(nodal *n, double complex admittance)
{
    n->y[n->nodes - 1][n->nodes - 1] += admittance;
}

static void nodal_two_port(nodal *n, double complex y11, double complex y12, double complex y21,
                           double complex y22)
{
    const size_t a = n->nodes - 1, b = n->nodes++;
    n->y[a][a] += y11;
    n->y[a][b] += y12;
    n->y[b][a] += y21;
    n->y[b][b] += y22;
}

/* Impedance of an element with resistance or quality factor at w0. */
static double complex nodal_lossy(const sample *s, const fl_section *section, double reactance,
                                  double reactance0)
{
    const double quality = nodal_value(s, section, "quality factor");
    const double resistance =
        quality > 0.0 ? fabs(reactance0) / quality : nodal_value(s, section, "resistance");
    return resistance + J * reactance;
}

static void nodal_lumped(nodal *n, const sample *s, const fl_section *section, double w, double w0)
{
    const char *kind = section->kind->name;
    const double l = nodal_value(s, section, "inductance");
    const double c = nodal_value(s, section, "capacitance");
    double complex z = nodal_value(s, section, "resistance");
    if (strstr(kind, "inductor") != NULL)
        z = nodal_lossy(s, section, w * l, w0 * l);
    else if (strstr(kind, "capacitor") != NULL)
        z = nodal_lossy(s, section, -1.0 / (w * c), -1.0 / (w0 * c));
    if (strncmp(kind, "series", 6) == 0)
        nodal_series(n, 1.0 / z);
    else
        nodal_shunt(n, 1.0 / z);
}

/* Y11 = coth / Z0, Y12 = -1 / (sinh Z0) of a line. */
static void nodal_line(nodal *n, const sample *s, const fl_section *section, double w, double w0)
{
    const char *kind = section->kind->name;
    const double z0 = nodal_value(s, section, "impedance");
    const double length = nodal_value(s, section, "length");
    const double alpha = nodal_value(s, section, "loss") * log(10.0) / 20.0 * sqrt(w / w0);
    const double beta = w * sqrt(nodal_value(s, section, "permittivity")) / 299792458.0;
    const double complex theta = (alpha + J * beta) * length;
    if (strcmp(kind, "open stub") == 0)
        nodal_shunt(n, ctanh(theta) / z0);
    else if (strcmp(kind, "shorted stub") == 0)
        nodal_shunt(n, 1.0 / (ctanh(theta) * z0));
    else
        nodal_two_port(n, 1.0 / (ctanh(theta) * z0), -1.0 / (csinh(theta) * z0),
                       -1.0 / (csinh(theta) * z0), 1.0 / (ctanh(theta) * z0));
}

/* Port impedances from the form, written out anew. */
static double complex nodal_port(const fl_port *port, double w)
{
    switch (port->form) {
    case FL_PORT_PARALLEL_CAPACITANCE:
        return 1.0 / (1.0 / port->resistance + J * w * port->capacitance);
    case FL_PORT_SERIES_CAPACITANCE:
        return port->resistance + 1.0 / (J * w * port->capacitance);
    case FL_PORT_PARALLEL_INDUCTANCE:
        return 1.0 / (1.0 / port->resistance + 1.0 / (J * w * port->inductance));
    case FL_PORT_SERIES_INDUCTANCE:
        return port->resistance + J * w * port->inductance;
    default:
        return port->resistance + J * port->reactance;
    }
}

/* Node voltages for a current of one ampere into a node. */
static void nodal_solve(const nodal *n, size_t node, double complex *v)
{
    gsl_matrix_complex *matrix = gsl_matrix_complex_alloc(n->nodes, n->nodes);
    gsl_vector_complex *current = gsl_vector_complex_calloc(n->nodes);
    gsl_vector_complex *voltage = gsl_vector_complex_alloc(n->nodes);
    gsl_permutation *order = gsl_permutation_alloc(n->nodes);
    int sign = 0;
    for (size_t i = 0; i < n->nodes; i++)
        for (size_t j = 0; j < n->nodes; j++)
            gsl_matrix_complex_set(matrix, i, j,
                                   gsl_complex_rect(creal(n->y[i][j]), cimag(n->y[i][j])));
    gsl_vector_complex_set(current, node, gsl_complex_rect(1.0, 0.0));
    gsl_linalg_complex_LU_decomp(matrix, order, &sign);
    gsl_linalg_complex_LU_solve(matrix, order, current, voltage);
    for (size_t i = 0; i < n->nodes; i++) {
        const gsl_complex value = gsl_vector_complex_get(voltage, i);
        v[i] = GSL_REAL(value) + J * GSL_IMAG(value);
    }
    gsl_matrix_complex_free(matrix);
    gsl_vector_complex_free(current);
    gsl_vector_complex_free(voltage);
    gsl_permutation_free(order);
}

/* Power-wave S-parameters [row][column] of a built network (without its terminations). */
static void nodal_scatter(nodal *n, const double complex z[2], double complex s[2][2])
{
    const size_t ports[2] = {0, n->nodes - 1};
    double complex *v = calloc(n->nodes, sizeof *v);
    assert_non_null(v);
    n->y[ports[0]][ports[0]] += 1.0 / z[0];
    n->y[ports[1]][ports[1]] += 1.0 / z[1];
    for (int driven = 0; driven < 2; driven++) {
        /* A source of Z volt behind Z is one ampere; a = Z / (2 sqrt R). */
        const double complex a = z[driven] / (2.0 * sqrt(creal(z[driven])));
        nodal_solve(n, ports[driven], v);
        for (int port = 0; port < 2; port++) {
            const double complex voltage = v[ports[port]];
            const double complex source = port == driven ? z[port] : 0.0;
            const double complex current = (source - voltage) / z[port];
            const double complex b =
                (voltage - conj(z[port]) * current) / (2.0 * sqrt(creal(z[port])));
            s[port][driven] = b / a;
        }
    }
    free(v);
}

/* S-parameters of a sample made of lumped elements, lines and stubs. */
__attribute__((unused)) static void nodal_sample(const sample *s, double frequency,
                                                 double complex scatter[2][2])
{
    const double pi = acos(-1.0), w = 2.0 * pi * frequency;
    const double w0 = pi * (s->band.low + s->band.high);
    nodal *n = calloc(1, sizeof *n);
    assert_non_null(n);
    n->nodes = 1;
    for (size_t i = 0; i < s->only.section_count; i++) {
        if (strstr(s->sections[i].kind->name, "or") != NULL &&
            strstr(s->sections[i].kind->name, "stub") == NULL)
            nodal_lumped(n, s, &s->sections[i], w, w0);
        else
            nodal_line(n, s, &s->sections[i], w, w0);
    }
    const double complex z[2] = {nodal_port(&s->design.ports[0], w),
                                 nodal_port(&s->design.ports[1], w)};
    nodal_scatter(n, z, scatter);
    free(n);
}

#endif
