/* Elementary two-ports of every form, and their slopes. */
#include "check.h"

#include <complex.h>

#include "sample.h"

#define J ((double complex)I)

enum { LANES = 5 };

typedef struct room {
    double omega[LANES], root[LANES], weights[FL_NODES * LANES], part[12][LANES],
        slopes[FL_VALUES * LANES];
    fl_lanes lanes;
    fl_twoport twoport;
    fl_complex_lanes pull[2];
} room;

static void room_init(room *r, double w0)
{
    memset(r, 0, sizeof *r);
    for (size_t i = 0; i < LANES; i++) {
        r->omega[i] = w0 * (0.6 + 0.2 * (double)i);
        r->root[i] = sqrt(r->omega[i] / w0);
        r->weights[i * LANES + i] = 1.0; /* the nodes are the lanes */
    }
    r->lanes = (fl_lanes){LANES, r->omega, r->root, r->weights};
    r->twoport.x = (fl_complex_lanes){r->part[0], r->part[1]};
    r->twoport.y = (fl_complex_lanes){r->part[2], r->part[3]};
    r->twoport.z = (fl_complex_lanes){r->part[4], r->part[5]};
    r->pull[0] = (fl_complex_lanes){r->part[8], r->part[9]};
    r->pull[1] = (fl_complex_lanes){r->part[10], r->part[11]};
}

/* Impedance, admittance or cosh, by the C library's complex functions. */
static double complex wanted_x(fl_form form, const double *v, double w, double root)
{
    const double complex theta = v[1] * root + J * w * v[2];
    switch (form) {
    case FL_FORM_SERIES:
        return v[0] + J * w * v[1] + v[2] / (J * w);
    case FL_FORM_SHUNT_BRANCH:
        return 1.0 / (v[0] + J * w * v[1]);
    case FL_FORM_SHUNT_CAPACITOR:
        return J * w * v[0] / (1.0 + J * w * v[1]);
    case FL_FORM_LINE:
        return ccosh(theta);
    case FL_FORM_OPEN_STUB:
        return ctanh(theta) / v[0];
    default:
        return 1.0 / (ctanh(theta) * v[0]);
    }
}

static const struct {
    fl_form form;
    double values[FL_VALUES];
} rows[] = {{FL_FORM_SERIES, {1.5, 0.2e-9, 1.0 / 80e-15}},
            {FL_FORM_SHUNT_BRANCH, {2.0, 0.3e-9, 0.0}},
            {FL_FORM_SHUNT_CAPACITOR, {60e-15, 0.1e-12, 0.0}},
            {FL_FORM_LINE, {70.0, 0.05, 9e-12}},
            {FL_FORM_LINE, {70.0, 1e-4, 9e-12}},
            {FL_FORM_LINE, {70.0, 0.0, 9e-12}},
            {FL_FORM_LINE, {70.0, 3.0, 9e-12}},
            /* The lanes' decays end below 0.1, at it, above it; and some are far below. */
            {FL_FORM_LINE, {70.0, 0.084, 9e-12}},
            {FL_FORM_LINE, {70.0, 0.1 / 1.1832159566199232, 9e-12}},
            {FL_FORM_LINE, {70.0, 0.085, 9e-12}},
            {FL_FORM_WAVE,
             {70.0, 71.0, 72.5, 73.0, 75.0, 9e-12, 9.1e-12, 9.2e-12, 9.4e-12, 9.5e-12, 0.0, 1e-5,
              9e-3, 0.011, 0.2}},
            {FL_FORM_OPEN_STUB, {60.0, 0.03, 4e-12}},
            {FL_FORM_OPEN_STUB, {60.0, 0.0, 4e-12}},
            {FL_FORM_SHORTED_STUB, {60.0, 0.03, 4e-12}},
            /* Values at the nodes: impedance, delay, attenuation. */
            {FL_FORM_WAVE,
             {70.0, 71.0, 72.5, 73.0, 75.0, 9e-12, 9.1e-12, 9.2e-12, 9.4e-12, 9.5e-12, 0.05, 0.05,
              0.06, 0.07, 0.08}},
            {FL_FORM_WAVE_OPEN_STUB,
             {70.0, 71.0, 72.5, 73.0, 75.0, 4e-12, 4.1e-12, 4.2e-12, 4.4e-12, 4.5e-12, 0.05, 0.05,
              0.06, 0.07, 0.08}}};

/* A wave at the node of a lane is a line. */
static fl_form at_lane(double line[3], fl_form form, const double *values, size_t lane)
{
    const bool wave = form == FL_FORM_WAVE || form == FL_FORM_WAVE_OPEN_STUB;
    line[0] = wave ? values[lane] : values[0];
    line[1] = wave ? values[2 * FL_NODES + lane] : values[1];
    line[2] = wave ? values[FL_NODES + lane] : values[2];
    return form == FL_FORM_WAVE             ? FL_FORM_LINE
           : form == FL_FORM_WAVE_OPEN_STUB ? FL_FORM_OPEN_STUB
                                            : form;
}

static void test_fill(void **unused)
{
    (void)unused;
    const double w0 = 2.0 * acos(-1.0) * 28e9;
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        room r;
        room_init(&r, w0);
        fl_twoport_fill(&r.twoport, rows[k].form, rows[k].values, &r.lanes);
        for (size_t i = 0; i < LANES; i++) {
            double v[3];
            const fl_form form = at_lane(v, rows[k].form, rows[k].values, i);
            const double complex x = wanted_x(form, v, r.omega[i], r.root[i]);
            check_near(creal(x), r.twoport.x.re[i], 2e-14 * cabs(x), "row %zu lane %zu", k, i);
            check_near(cimag(x), r.twoport.x.im[i], 2e-14 * cabs(x), "row %zu lane %zu", k, i);
            if (fl_form_action(rows[k].form) != FL_ACT_LINE)
                continue;
            const double complex y = csinh(v[1] * r.root[i] + J * r.omega[i] * v[2]);
            check_near(creal(y), r.twoport.y.re[i], 2e-14 * cabs(y), "sinh %zu lane %zu", k, i);
            check_near(cimag(y), r.twoport.y.im[i], 2e-14 * cabs(y), "sinh %zu lane %zu", k, i);
        }
    }
}

/* F = Re(k x) for series and shunt, Re(k theta + k1 Z0) for a line, with constant k. */
static double figure(const room *r, size_t i, fl_form of, const double *values, double complex k,
                     double complex k1)
{
    double v[3];
    const fl_form form = at_lane(v, of, values, i);
    const double w = r->omega[i], root = r->root[i];
    if (fl_form_action(form) == FL_ACT_LINE)
        return creal(k * (v[1] * root + J * w * v[2]) + k1 * v[0]);
    return creal(k * wanted_x(form, v, w, root));
}

static void test_slopes(void **unused)
{
    (void)unused;
    const double w0 = 2.0 * acos(-1.0) * 28e9;
    const double complex k = 0.7 - 1.3 * J, k1 = 0.2 + 0.4 * J;
    for (size_t row = 0; row < sizeof rows / sizeof *rows; row++) {
        room r;
        room_init(&r, w0);
        for (size_t i = 0; i < LANES; i++) {
            r.pull[0].re[i] = creal(k);
            r.pull[0].im[i] = cimag(k);
            r.pull[1].re[i] = creal(k1);
            r.pull[1].im[i] = cimag(k1);
        }
        const fl_form form = rows[row].form;
        fl_twoport_fill(&r.twoport, form, rows[row].values, &r.lanes);
        fl_twoport_slopes(r.slopes, form, rows[row].values, &r.lanes, &r.twoport, r.pull);
        for (size_t v = 0; v < fl_form_values(form); v++)
            for (size_t i = 0; i < LANES; i++) {
                double moved[FL_VALUES];
                memcpy(moved, rows[row].values, sizeof moved);
                const double step = 1e-6 * moved[v];
                if (step == 0.0)
                    continue;
                moved[v] += step;
                const double above = figure(&r, i, form, moved, k, k1);
                moved[v] -= 2.0 * step;
                const double below = figure(&r, i, form, moved, k, k1);
                const double size = fabs(above) + fabs(below);
                check_near((above - below) / 2e-6, r.slopes[v * LANES + i] * rows[row].values[v],
                           1e-8 * size, "row %zu value %zu lane %zu", row, v, i);
            }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_fill), cmocka_unit_test(test_slopes)};
    return cmocka_run_group_tests_name("path/twoport", tests, NULL, NULL);
}
