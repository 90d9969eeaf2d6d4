/* What network data answer: S-parameters at a frequency, their range; and their way in bytes. */
#include "base/checksum.h"
#include "base/text.h"
#include "models/network.h"

/* Only of a network that was read from a file. */
void fl_network_free(fl_network *network)
{
    if (!network)
        return;
    fl_memory_free(network->reference);
    fl_memory_free(network->frequencies);
    fl_memory_free(network->knots);
    fl_memory_free(network);
}

/* Slopes follow from the values. */
uint64_t fl_network_checksum(const fl_network *network, uint64_t before)
{
    const size_t curves = network->ports * network->ports;
    before = fl_checksum(before, network->reference, network->ports * sizeof(double));
    before = fl_checksum(before, network->frequencies, network->count * sizeof(double));
    for (size_t i = 0; i < curves * network->count; i++)
        before = fl_checksum(before, network->knots[i].value, sizeof network->knots[i].value);
    return before;
}

size_t fl_network_ports(const fl_network *network)
{
    return network->ports;
}

double fl_network_reference(const fl_network *network, size_t port)
{
    return network->reference[port];
}

void fl_network_range(const fl_network *network, double *low, double *high)
{
    *low = network->frequencies[0];
    *high = network->frequencies[network->count - 1];
}

/* Curves lie row after row. */
void fl_network_s(const fl_network *network, size_t row, size_t column, double frequency,
                  double s[2])
{
    const fl_knot *curve = network->knots + (row * network->ports + column) * network->count;
    fl_knots_value(s, curve, network->frequencies, network->count, frequency);
}

void fl_network_judge(const fl_network *network, fl_network_quality *quality)
{
    *quality = network->quality;
}

/** A frequency in gigahertz for a message. */
static void gigahertz(char text[FL_NUMBER_ROOM], double frequency)
{
    fl_number_text(text, frequency / 1e9);
}

fl_status fl_network_covers(const fl_network *network, size_t ports_needed, double low, double high,
                            fl_error *error)
{
    /* Frequencies that were written with nine digits still meet the ends of a band. */
    const double slack = 1e-9;
    const double first = network->frequencies[0];
    const double last = network->frequencies[network->count - 1];
    char text[4][FL_NUMBER_ROOM];
    if (ports_needed > network->ports)
        return fl_fail(error, FL_BAD_INPUT, NULL, "port %zu was asked for, the data have %zu %s",
                       ports_needed, network->ports, network->ports == 1 ? "port" : "ports");
    if (low >= first * (1.0 - slack) && high <= last * (1.0 + slack))
        return FL_OK;
    gigahertz(text[0], low);
    gigahertz(text[1], high);
    gigahertz(text[2], first);
    gigahertz(text[3], last);
    return fl_fail(error, FL_BAD_INPUT, NULL,
                   "data from %s GHz to %s GHz were expected, found %s GHz to %s GHz", text[0],
                   text[1], text[2], text[3]);
}

/* Slopes follow from the values. */
void fl_network_pack(fl_text *text, const fl_network *network)
{
    const size_t knots = network->ports * network->ports * network->count;
    fl_pack_count(text, network->ports);
    fl_pack_count(text, network->count);
    fl_pack_numbers(text, network->reference, network->ports);
    fl_pack_numbers(text, network->frequencies, network->count);
    for (size_t i = 0; i < knots; i++)
        fl_pack_numbers(text, network->knots[i].value, 2);
}

/* A curve needs two points, and they rise. */
static bool rises(const double *frequencies, size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (!(frequencies[i] > frequencies[i - 1]))
            return false;
    return count > 1 && frequencies[0] >= 0.0;
}

/* Slopes are made anew, to the same bits. */
static void unpack_knots(fl_network *network, fl_unpack *from)
{
    const size_t curves = network->ports * network->ports, knots = curves * network->count;
    network->knots = fl_unpack_take(from, knots, sizeof *network->knots);
    for (size_t i = 0; network->knots != NULL && i < knots; i++)
        for (int part = 0; part < 2; part++)
            network->knots[i].value[part] = fl_unpack_number(from);
    if (fl_unpack_well(from))
        fl_knots_slopes(network->knots, curves, network->frequencies, network->count);
}

/* A knot takes two numbers: there are no more of them than bytes. */
fl_network *fl_network_unpack(fl_unpack *from)
{
    fl_network *made = fl_unpack_take(from, 1, sizeof *made);
    if (made == NULL)
        return NULL;
    made->ports = fl_unpack_count(from, sizeof(double));
    made->count = fl_unpack_count(from, sizeof(double));
    const size_t room = (size_t)(from->end - from->at) / (2 * sizeof(double));
    fl_unpack_must(from, made->ports > 0 && made->ports <= room && made->count > 1 &&
                             made->count <= room / made->ports / made->ports);
    if (!fl_unpack_well(from))
        return NULL;
    made->reference = fl_unpack_numbers(from, made->ports);
    made->frequencies = fl_unpack_numbers(from, made->count);
    if (!fl_unpack_well(from))
        return NULL;
    for (size_t i = 0; i < made->ports; i++)
        fl_unpack_must(from, made->reference[i] > 0.0);
    fl_unpack_must(from, rises(made->frequencies, made->count));
    unpack_knots(made, from);
    return fl_unpack_well(from) ? made : NULL;
}
