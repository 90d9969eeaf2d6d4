/* Derivatives by the adjoint march.
 *
 * A figure F of the state at the driven port changes by dF = Re(f (r_V dV + r_I dI)) when the state
 * behind an element changes by (dV, dI); the row (r_V, r_I) is carried back through the elements.
 *
 * For the transmission 1/q the row starts as (1, Z). For the reflection p/q no row need be carried:
 *
 *     q dp - p dq = 2 R (I dV - V dI)     at the driven port, R the real part of its impedance,
 *
 * and I dV - V dI is kept by every reciprocal two-port (its chain matrix has the determinant 1), so
 * that the row is (I, -V) of the forward state itself; a data element multiplies it by its
 * determinant. Derivation: docs/theory.md. */
#include "response/sweep.h"

/* dF = Re(f r_V I dZ), I the current before the element, which goes through unchanged. */
FL_WIDE static void pull_series(const fl_scratch *s, const fl_state *row, const fl_state *before,
                                size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex k = fl_multiply(fl_lane(&s->factor, n), fl_lane(&row->v, n));
        fl_lane_set(&s->pull[0], n, fl_multiply(k, fl_lane(&before->i, n)));
    }
}

/* dF = Re(f r_I V dY); sign is that of the row's current part. */
FL_WIDE static void pull_shunt(const fl_scratch *s, const fl_state *row, double sign,
                               const fl_state *before, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex k = fl_multiply(fl_lane(&s->factor, n), fl_lane(&row->i, n));
        fl_lane_set(&s->pull[0], n, fl_scale(fl_multiply(k, fl_lane(&before->v, n)), sign));
    }
}

/* dV' = Z0 I' dtheta + sinh I dZ0, dI' = V' / Z0 dtheta - sinh V / Z0^2 dZ0: the state behind the
 * line serves for theta, as the derivative of cosh is sinh and that of sinh is cosh. */
FL_WIDE static void pull_line(const fl_scratch *s, const fl_state *row, double sign,
                              const fl_state *before, const fl_twoport *twoport, size_t count)
{
    const fl_state *after = before + 1;
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex rv = fl_lane(&row->v, n), ri = fl_scale(fl_lane(&row->i, n), sign);
        const fl_complex f = fl_lane(&s->factor, n);
        const double z0 = twoport->z.re[n], y0 = twoport->z.im[n];
        const fl_complex theta = fl_add(fl_scale(fl_multiply(rv, fl_lane(&after->i, n)), z0),
                                        fl_scale(fl_multiply(ri, fl_lane(&after->v, n)), y0));
        const fl_complex level =
            fl_subtract(fl_multiply(rv, fl_lane(&before->i, n)),
                        fl_scale(fl_multiply(ri, fl_lane(&before->v, n)), y0 * y0));
        fl_lane_set(&s->pull[0], n, fl_multiply(f, theta));
        fl_lane_set(&s->pull[1], n, fl_multiply(f, fl_multiply(fl_lane(&twoport->y, n), level)));
    }
}

FL_WIDE static void add_row(double *to, double weight, const double *row, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++)
        to[n] += weight * row[n];
}

/* Adds the slopes of one element's values to those of the unknowns: dF / d quantity = sum over the
 * values of dF / d value times d value / d quantity. */
static void chain_unknowns(const fl_sweep *sweep, const fl_scratch *scratch, size_t element,
                           const fl_gradient *gradient)
{
    const size_t count = sweep->lanes.count, quantities = sweep->path->quantity_count;
    for (size_t v = 0; v < fl_form_values(sweep->path->elements[element].form); v++) {
        const double *row = scratch->jacobian + (element * FL_VALUES + v) * quantities;
        const double *slopes = scratch->slopes + v * count;
        for (size_t u = 0; u < gradient->count; u++) {
            const double weight = row[gradient->unknowns[u]];
            if (weight != 0.0)
                add_row(gradient->slopes + u * gradient->stride, weight, slopes, count);
        }
    }
}

/* Whether any unknown moves any value of an element: most elements of a path are fixed, and their
 * pulls need not be computed. */
static bool link_moves(const fl_sweep *sweep, const fl_scratch *scratch, const fl_link *link,
                       const fl_gradient *gradient)
{
    const size_t quantities = sweep->path->quantity_count, element = link->element;
    if (link->steady != NULL)
        return false;
    for (size_t v = 0; v < fl_form_values(sweep->path->elements[element].form); v++) {
        const double *row = scratch->jacobian + (element * FL_VALUES + v) * quantities;
        for (size_t u = 0; u < gradient->count; u++)
            if (row[gradient->unknowns[u]] != 0.0)
                return true;
    }
    return false;
}

/* Slopes of one element, `before` being the state that entered it. */
static void pull_element(const fl_sweep *sweep, fl_scratch *scratch, size_t element,
                         const fl_state *row, double sign, const fl_state *before)
{
    const size_t count = sweep->lanes.count;
    const fl_form form = sweep->path->elements[element].form;
    const fl_twoport *twoport = &scratch->twoports[element];
    const double *values = scratch->values[element];
    switch (fl_form_action(form)) {
    case FL_ACT_SERIES:
        pull_series(scratch, row, before, count);
        break;
    case FL_ACT_SHUNT:
        pull_shunt(scratch, row, sign, before, count);
        break;
    case FL_ACT_LINE:
        pull_line(scratch, row, sign, before, twoport, count);
        break;
    case FL_ACT_DATA:
        break;
    }
    fl_twoport_slopes(scratch->slopes, form, values, &sweep->lanes, twoport, scratch->pull);
}

/* Elements add their parts; nothing else is in the rows before. */
static void clear(const fl_gradient *gradient, size_t count)
{
    for (size_t u = 0; u < gradient->count; u++)
        for (size_t n = 0; n < count; n++)
            gradient->slopes[u * gradient->stride + n] = 0.0;
}

/* The factor of the elements before one that is not reciprocal gains the determinant of its matrix;
 * of all others that is 1. */
FL_WIDE static void multiply_determinant(fl_scratch *scratch, const fl_steady *steady, int driven,
                                         size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex det = fl_lane(&steady->det, n), factor = fl_lane(&scratch->factor, n);
        fl_lane_set(&scratch->factor, n,
                    driven == FL_PORT_DIE ? fl_multiply(factor, det) : fl_divide(factor, det));
    }
}

/* With G = p / q, d|G|^2 = 2 Re(G* dG) and dG = 2 R (I dV - V dI) / q^2 at the driven port: the
 * factor is 4 R G* / q^2. */
FL_WIDE static void start_reflected(const fl_scratch *scratch, const fl_complex_lanes *port,
                                    size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex q = fl_lane(&scratch->q, n);
        const fl_complex back = fl_conjugate(fl_lane(&scratch->reflection, n));
        const fl_complex top = fl_scale(back, 4.0 * port->re[n]);
        fl_lane_set(&scratch->factor, n, fl_divide(fl_divide(top, q), q));
    }
}

/* From the driven port back through the elements, the states of the march being the rows. */
void fl_slopes_reflected(const fl_sweep *sweep, fl_scratch *scratch, int driven,
                         const fl_gradient *gradient)
{
    const size_t count = sweep->lanes.count;
    start_reflected(scratch, &sweep->ports[driven], count);
    clear(gradient, count);
    for (size_t k = sweep->link_count; k-- > 0;) {
        const fl_link *link = fl_march_link(sweep, driven, k);
        const fl_state *before = &scratch->states[k], *after = before + 1;
        const fl_state row = {.v = after->i, .i = after->v}; /* the sign of V is turned below */
        if (link->steady != NULL && !link->steady->reciprocal) {
            multiply_determinant(scratch, link->steady, driven, count);
        } else if (link_moves(sweep, scratch, link, gradient)) {
            pull_element(sweep, scratch, link->element, &row, -1.0, before);
            chain_unknowns(sweep, scratch, link->element, gradient);
        }
    }
}

/* row <- row M, with M the matrix of the element. */
FL_WIDE static void carry_line(const fl_state *row, const fl_twoport *twoport, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_complex v = fl_lane(&row->v, n), i = fl_lane(&row->i, n);
        const fl_complex c = fl_lane(&twoport->x, n), s = fl_lane(&twoport->y, n);
        const double z0 = twoport->z.re[n], y0 = twoport->z.im[n];
        fl_lane_set(&row->v, n, fl_add(fl_multiply(v, c), fl_scale(fl_multiply(i, s), y0)));
        fl_lane_set(&row->i, n, fl_add(fl_multiply(i, c), fl_scale(fl_multiply(v, s), z0)));
    }
}

/* row <- row M for any matrix. */
FL_WIDE static void carry_chain(const fl_state *row, const fl_twoport *twoport, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++) {
        const fl_chain m = fl_chain_load(twoport, n);
        const fl_complex v = fl_lane(&row->v, n), i = fl_lane(&row->i, n);
        fl_lane_set(&row->v, n, fl_add(fl_multiply(v, m.a), fl_multiply(i, m.c)));
        fl_lane_set(&row->i, n, fl_add(fl_multiply(v, m.b), fl_multiply(i, m.d)));
    }
}

/* One side of the row takes x times the other: for a series impedance the current's takes the
 * voltage's, for a shunt admittance the voltage's the current's. */
FL_WIDE static void carry_immittance(const fl_complex_lanes *to, const fl_complex_lanes *from,
                                     const fl_complex_lanes *x, size_t count)
{
#pragma omp simd
    for (size_t n = 0; n < count; n++)
        fl_lane_set(to, n, fl_add(fl_lane(to, n), fl_multiply(fl_lane(from, n), fl_lane(x, n))));
}

static void carry_row(const fl_scratch *scratch, const fl_link *link, int driven, size_t count)
{
    const fl_state *row = &scratch->row;
    const fl_twoport *twoport = fl_link_twoport(link, scratch, driven);
    switch (link->action) {
    case FL_ACT_SERIES:
        carry_immittance(&row->i, &row->v, &twoport->x, count);
        break;
    case FL_ACT_SHUNT:
        carry_immittance(&row->v, &row->i, &twoport->x, count);
        break;
    case FL_ACT_LINE:
        carry_line(row, twoport, count);
        break;
    case FL_ACT_DATA:
        carry_chain(row, twoport, count);
        break;
    }
}

/* d|S|^2 = -2 |S|^2 Re(dq / q), dq = dV + Z dI at the driven port. */
FL_WIDE static void start_transmitted(const fl_sweep *sweep, fl_scratch *scratch, int driven,
                                      const double *power)
{
    for (size_t n = 0; n < sweep->lanes.count; n++) {
        const fl_complex top = {-2.0 * power[n], 0.0};
        fl_lane_set(&scratch->factor, n, fl_divide(top, fl_lane(&scratch->q, n)));
        fl_lane_set(&scratch->row.v, n, (fl_complex){1.0, 0.0});
        fl_lane_set(&scratch->row.i, n, fl_lane(&sweep->ports[driven], n));
    }
}

/* The row is carried back element by element, after each has given its slopes. */
void fl_slopes_transmitted(const fl_sweep *sweep, fl_scratch *scratch, int driven,
                           const double *power, const fl_gradient *gradient)
{
    const size_t count = sweep->lanes.count;
    start_transmitted(sweep, scratch, driven, power);
    clear(gradient, count);
    for (size_t k = sweep->link_count; k-- > 0;) {
        const fl_link *link = fl_march_link(sweep, driven, k);
        if (link_moves(sweep, scratch, link, gradient)) {
            pull_element(sweep, scratch, link->element, &scratch->row, 1.0, &scratch->states[k]);
            chain_unknowns(sweep, scratch, link->element, gradient);
        }
        carry_row(scratch, link, driven, count);
    }
}
