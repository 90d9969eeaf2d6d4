/* Port impedances over frequency. */
#include <math.h>

#include "base/complex.h"
#include "path/groundwork.h"

/* Parallel elements are added as admittances. */
static fl_complex inverse(fl_complex z)
{
    return fl_divide((fl_complex){1.0, 0.0}, z);
}

/* Z = R (1 + G) / (1 - G) of the file's port, R its reference, the others in their reference. A
 * total reflection of 1 gives no finite number, which the caller refuses. */
static fl_complex of_network(const fl_network *network, size_t port, double frequency)
{
    double s[2];
    fl_network_s(network, port, port, frequency, s);
    const fl_complex up = {1.0 + s[0], s[1]}, down = {1.0 - s[0], -s[1]};
    return fl_scale(fl_divide(up, down), fl_network_reference(network, port));
}

/* Impedance of a port at one frequency, ohm. */
static fl_complex at(const fl_port *port, const fl_network *network, double frequency)
{
    const double w = 2.0 * acos(-1.0) * frequency;
    switch (port->form) {
    case FL_PORT_IMPEDANCE:
        return (fl_complex){port->resistance, port->reactance};
    case FL_PORT_PARALLEL_CAPACITANCE:
        return inverse((fl_complex){1.0 / port->resistance, w * port->capacitance});
    case FL_PORT_SERIES_CAPACITANCE:
        return (fl_complex){port->resistance, -1.0 / (w * port->capacitance)};
    case FL_PORT_PARALLEL_INDUCTANCE:
        return inverse((fl_complex){1.0 / port->resistance, -1.0 / (w * port->inductance)});
    case FL_PORT_SERIES_INDUCTANCE:
        return (fl_complex){port->resistance, w * port->inductance};
    case FL_PORT_FILE:
        break;
    }
    return of_network(network, port->file_port - 1, frequency);
}

/* Power waves need a positive resistance [Kurokawa1965]; data may break that at single
 * frequencies. */
fl_status fl_port_impedance(const fl_complex_lanes *impedance, const fl_groundwork *groundwork,
                            int port, const double *frequencies, size_t count, fl_error *error)
{
    const fl_port *form = &groundwork->design->ports[port];
    const fl_network *network =
        form->form == FL_PORT_FILE ? fl_groundwork_network(groundwork, form->file) : NULL;
    for (size_t i = 0; i < count; i++) {
        const fl_complex z = at(form, network, frequencies[i]);
        if (!(z.re > 0.0) || !isfinite(z.re) || !isfinite(z.im))
            return fl_fail(error, FL_BAD_INPUT, form->place,
                           "expected a port impedance with a positive real part, found %.6g %+.6gj "
                           "ohm at %.6g GHz",
                           z.re, z.im, frequencies[i] / 1e9);
        impedance->re[i] = z.re;
        impedance->im[i] = z.im;
    }
    return FL_OK;
}
