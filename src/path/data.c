/* Chain parameters of a section that is given by network data. */
#include <math.h>

#include "base/complex.h"
#include "path/path.h"

/* S-parameter of the data, rows and columns from 0, at a frequency that the file is known to
 * cover. */
static fl_complex parameter(const fl_element *element, size_t row, size_t column, double frequency)
{
    double s[2];
    fl_network_s(element->network, row, column, frequency, s);
    return (fl_complex){s[0], s[1]};
}

/* Writes numerator / (2 S21) scale: the four chain parameters differ in nothing else. */
static void store(fl_complex_lanes *lanes, size_t i, fl_complex numerator, fl_complex s21,
                  double scale)
{
    const fl_complex value = fl_scale(fl_divide(numerator, s21), 0.5 * scale);
    lanes->re[i] = value.re;
    lanes->im[i] = value.im;
}

/* Chain parameters from S, port 1 the die's, Z1 and Z2 the real references of the two ports
 * [Pozar2011, Table 4.2, there for one reference]: A = [(1 + S11)(1 - S22) + S12 S21] / (2 S21)
 * sqrt(Z1 / Z2), B = [(1 + S11)(1 + S22) - S12 S21] / (2 S21) sqrt(Z1 Z2), C = [(1 - S11)(1 -
 * S22) - S12 S21] / (2 S21) / sqrt(Z1 Z2), D = [(1 - S11)(1 + S22) + S12 S21] / (2 S21) sqrt(Z2
 * / Z1). */
static void fill_lane(fl_twoport *twoport, size_t i, const fl_element *element, double frequency,
                      fl_complex s21)
{
    const fl_complex one = {1.0, 0.0};
    const size_t d = element->die_port, b = element->board_port;
    const fl_complex s11 = parameter(element, d, d, frequency);
    const fl_complex s22 = parameter(element, b, b, frequency);
    const fl_complex cross = fl_multiply(parameter(element, d, b, frequency), s21);
    const double z1 = fl_network_reference(element->network, d);
    const double z2 = fl_network_reference(element->network, b);
    const fl_complex up1 = fl_add(one, s11), down1 = fl_subtract(one, s11);
    const fl_complex up2 = fl_add(one, s22), down2 = fl_subtract(one, s22);
    store(&twoport->x, i, fl_add(fl_multiply(up1, down2), cross), s21, sqrt(z1 / z2));
    store(&twoport->y, i, fl_subtract(fl_multiply(up1, up2), cross), s21, sqrt(z1 * z2));
    store(&twoport->z, i, fl_subtract(fl_multiply(down1, down2), cross), s21, 1.0 / sqrt(z1 * z2));
    store(&twoport->t, i, fl_add(fl_multiply(down1, up2), cross), s21, sqrt(z2 / z1));
}

/* Less gets through than any measurement can show: 240 dB. */
static const double least_transmission = 1e-12;

/* S21 divides all four parameters, and S12 / S21 is their determinant, by which the march backwards
 * divides: neither may vanish. */
fl_status fl_twoport_data(fl_twoport *twoport, const fl_element *element, const double *frequencies,
                          size_t count, fl_error *error)
{
    for (size_t i = 0; i < count; i++) {
        const fl_complex s21 =
            parameter(element, element->board_port, element->die_port, frequencies[i]);
        const fl_complex s12 =
            parameter(element, element->die_port, element->board_port, frequencies[i]);
        if (!(hypot(s21.re, s21.im) > least_transmission) ||
            !(hypot(s12.re, s12.im) > least_transmission))
            return fl_fail(error, FL_BAD_INPUT, "",
                           "expected a path through the data, found none from port %zu to %zu at "
                           "%.6g GHz",
                           element->die_port + 1, element->board_port + 1, frequencies[i] / 1e9);
        fill_lane(twoport, i, element, frequencies[i], s21);
    }
    return FL_OK;
}
