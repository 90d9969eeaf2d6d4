/* Ports: what the path sees at the die and at the board. */
#include <stdio.h>
#include <string.h>

#include "design/reader.h"

/* A port without resistance takes no power, and power waves are not defined at it
 * [Kurokawa1965]. */
static fl_status read_resistance(fl_reader *reader, fl_spot spot, double *resistance)
{
    return fl_value_read_ruled(reader, spot, FL_RESISTANCE, FL_POSITIVE, resistance);
}

/* "50 ohm", or [real, imaginary] */
static fl_status read_impedance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    if (!cJSON_IsArray(spot.node))
        return read_resistance(reader, spot, &port->resistance);
    const cJSON *real = spot.node->child;
    const cJSON *imaginary = real ? real->next : NULL;
    if (imaginary == NULL || imaginary->next != NULL)
        return fl_spot_fail(reader, spot,
                            "expected \"50 ohm\" or real and imaginary part [\"35 ohm\", "
                            "\"-12 ohm\"]");
    const fl_status status =
        read_resistance(reader, (fl_spot){spot.source, real}, &port->resistance);
    return status ? status
                  : fl_value_read(reader, (fl_spot){spot.source, imaginary}, FL_RESISTANCE,
                                  &port->reactance);
}

/* The port that wants a load is matched by it: its own impedance is the conjugate. */
static fl_status read_load(fl_reader *reader, fl_spot spot, fl_port *port)
{
    const fl_status status = read_impedance(reader, spot, port);
    /* Not -x: a plain resistance would get the reactance -0. */
    port->reactance = 0.0 - port->reactance;
    return status;
}

static fl_status read_port_resistance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    return read_resistance(reader, spot, &port->resistance);
}

/* Zero stands for an absent element where that leaves the resistance alone. */
static fl_status read_parallel_capacitance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    return fl_value_read_ruled(reader, spot, FL_CAPACITANCE, FL_NOT_NEGATIVE, &port->capacitance);
}

static fl_status read_series_capacitance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    return fl_value_read_ruled(reader, spot, FL_CAPACITANCE, FL_POSITIVE, &port->capacitance);
}

static fl_status read_parallel_inductance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    return fl_value_read_ruled(reader, spot, FL_INDUCTANCE, FL_POSITIVE, &port->inductance);
}

static fl_status read_series_inductance(fl_reader *reader, fl_spot spot, fl_port *port)
{
    return fl_value_read_ruled(reader, spot, FL_INDUCTANCE, FL_NOT_NEGATIVE, &port->inductance);
}

static fl_status read_port_file(fl_reader *reader, fl_spot spot, fl_port *port)
{
    fl_found found = {NULL, false};
    const fl_status status = fl_file_find(reader, spot, &found);
    port->file = found.path;
    return status;
}

/* Whether the file has so many ports is seen when it is read, later. */
static fl_status read_file_port(fl_reader *reader, fl_spot spot, fl_port *port)
{
    double number = 0.0;
    const fl_status status = fl_whole_read(reader, spot, 1.0, 1000.0, &number);
    port->file_port = (size_t)number;
    return status;
}

/* A key of a port and how its value is read. */
typedef struct part {
    const char *key;
    fl_status (*read)(fl_reader *reader, fl_spot spot, fl_port *port);
} part;

/* The forms of a port: one part or two. */
static const struct {
    fl_port_form form;
    part parts[2];
} forms[] = {
    {FL_PORT_IMPEDANCE, {{"impedance", read_impedance}}},
    {FL_PORT_IMPEDANCE, {{"wants load", read_load}}},
    {FL_PORT_PARALLEL_CAPACITANCE,
     {{"resistance", read_port_resistance}, {"parallel capacitance", read_parallel_capacitance}}},
    {FL_PORT_SERIES_CAPACITANCE,
     {{"resistance", read_port_resistance}, {"series capacitance", read_series_capacitance}}},
    {FL_PORT_PARALLEL_INDUCTANCE,
     {{"resistance", read_port_resistance}, {"parallel inductance", read_parallel_inductance}}},
    {FL_PORT_SERIES_INDUCTANCE,
     {{"resistance", read_port_resistance}, {"series inductance", read_series_inductance}}},
    {FL_PORT_FILE, {{"file", read_port_file}, {"port", read_file_port}}},
};

/* All keys of all forms: a misspelt one is named as such before any form is tried. */
static const char *const port_keys[] = {"impedance",
                                        "wants load",
                                        "resistance",
                                        "parallel capacitance",
                                        "series capacitance",
                                        "parallel inductance",
                                        "series inductance",
                                        "file",
                                        "port"};

/* Comments do not count. */
static size_t count_keys(const cJSON *node)
{
    size_t count = 0;
    for (const cJSON *item = node->child; item != NULL; item = item->next)
        count += strcmp(item->string, "comment") != 0;
    return count;
}

/* A form fits when its parts are there and nothing else. */
static bool fits(fl_spot spot, const part parts[2])
{
    size_t wanted = 0;
    size_t found = 0;
    for (size_t i = 0; i < 2 && parts[i].key != NULL; i++) {
        wanted++;
        found += fl_spot_child(spot, parts[i].key).node != NULL;
    }
    return found == wanted && count_keys(spot.node) == wanted;
}

/* The keys are known to be there. */
static fl_status read_parts(fl_reader *reader, fl_spot spot, const part parts[2], fl_port *port)
{
    fl_status status = FL_OK;
    for (size_t i = 0; i < 2 && parts[i].key != NULL && status == FL_OK; i++)
        status = parts[i].read(reader, fl_spot_child(spot, parts[i].key), port);
    return status;
}

/* The forms exclude each other, so that at most one fits. */
static fl_status read_port(fl_reader *reader, fl_spot spot, fl_port *port)
{
    const fl_status status =
        fl_json_keys(&spot.source->json, spot.node, port_keys, FL_COUNT(port_keys), reader->error);
    if (status != FL_OK)
        return status;
    port->place = fl_json_place(&reader->design->arena, &spot.source->json, spot.node);
    if (port->place == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < FL_COUNT(forms); i++) {
        if (fits(spot, forms[i].parts)) {
            port->form = forms[i].form;
            return read_parts(reader, spot, forms[i].parts, port);
        }
    }
    return fl_spot_fail(reader, spot,
                        "expected exactly one of 'impedance'; 'wants load'; 'resistance' with one "
                        "parallel or series capacitance or inductance; 'file' with 'port'");
}

static fl_status read_die(fl_reader *reader, fl_spot spot, void *target)
{
    fl_design *design = target;
    return read_port(reader, spot, &design->ports[FL_PORT_DIE]);
}

static fl_status read_board(fl_reader *reader, fl_spot spot, void *target)
{
    fl_design *design = target;
    return read_port(reader, spot, &design->ports[FL_PORT_BOARD]);
}

fl_status fl_ports_read(fl_reader *reader, fl_spot spot, void *target)
{
    static const fl_key keys[] = {{"die", true, read_die}, {"board", true, read_board}};
    return fl_object_read(reader, spot, keys, FL_COUNT(keys), target);
}
