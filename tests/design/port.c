/* Ports: every form, and what is none. */
#include "reading.h"

#define DIE(json)                                                                                  \
    SAMPLE_TOP "\"ports\": {\"die\": " json                                                        \
               ", \"board\": {\"impedance\": \"50 ohm\"}}, " SAMPLE_PATH "}"

static const struct {
    const char *text;
    fl_port port;
} good[] = {
    {DIE("{\"impedance\": \"35 ohm\"}"), {.form = FL_PORT_IMPEDANCE, .resistance = 35.0}},
    {DIE("{\"impedance\": [\"35 ohm\", \"-12 ohm\"], \"comment\": 1}"),
     {.form = FL_PORT_IMPEDANCE, .resistance = 35.0, .reactance = -12.0}},
    {DIE("{\"wants load\": [\"18 ohm\", \"9 ohm\"]}"),
     {.form = FL_PORT_IMPEDANCE, .resistance = 18.0, .reactance = -9.0}},
    {DIE("{\"resistance\": \"40 ohm\", \"parallel capacitance\": \"62 fF\"}"),
     {.form = FL_PORT_PARALLEL_CAPACITANCE, .resistance = 40.0, .capacitance = 62e-15}},
    {DIE("{\"resistance\": \"40 ohm\", \"series capacitance\": \"62 fF\"}"),
     {.form = FL_PORT_SERIES_CAPACITANCE, .resistance = 40.0, .capacitance = 62e-15}},
    {DIE("{\"resistance\": \"40 ohm\", \"parallel inductance\": \"1 nH\"}"),
     {.form = FL_PORT_PARALLEL_INDUCTANCE, .resistance = 40.0, .inductance = 1e-9}},
    {DIE("{\"resistance\": \"40 ohm\", \"series inductance\": \"1 nH\"}"),
     {.form = FL_PORT_SERIES_INDUCTANCE, .resistance = 40.0, .inductance = 1e-9}},
    {DIE("{\"file\": \"frame.json\", \"port\": 2}"), {.form = FL_PORT_FILE, .file_port = 2}},
};

static void good_ports(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(good); i++) {
        fl_design *design = sample_good(good[i].text);
        const fl_port *port = &design->ports[FL_PORT_DIE];
        assert_int_equal(port->form, good[i].port.form);
        check_near(good[i].port.resistance, port->resistance, 0.0, "resistance %zu", i);
        check_near(good[i].port.reactance, port->reactance, 0.0, "reactance %zu", i);
        check_near(good[i].port.capacitance, port->capacitance, 0.0, "capacitance %zu", i);
        check_near(good[i].port.inductance, port->inductance, 0.0, "inductance %zu", i);
        assert_int_equal(port->file_port, good[i].port.file_port);
        assert_int_equal(port->file != NULL, port->form == FL_PORT_FILE);
        assert_non_null(strstr(port->place, ": ports.die"));
        fl_design_release(design);
    }
}

static const struct {
    const char *text, *place, *message;
} bad[] = {
    {DIE("\"50 ohm\""), "ports.die", ""},
    {DIE("{}"), "ports.die", "expected exactly one of"},
    {DIE("{\"impedanc\": \"50 ohm\"}"), "ports.die.impedanc", "'impedance'"},
    {DIE("{\"impedance\": \"0 ohm\"}"), "ports.die.impedance", "must be positive"},
    {DIE("{\"impedance\": [\"-1 ohm\", \"1 ohm\"]}"), "ports.die.impedance[0]", "must be positive"},
    {DIE("{\"impedance\": [\"1 ohm\"]}"), "ports.die.impedance", "real and imaginary part"},
    {DIE("{\"impedance\": 50}"), "ports.die.impedance", "expected a resistance with its unit"},
    {DIE("{\"impedance\": \"50 ohm\", \"resistance\": \"50 ohm\"}"), "ports.die",
     "expected exactly one of"},
    {DIE("{\"resistance\": \"50 ohm\"}"), "ports.die", "expected exactly one of"},
    {DIE("{\"resistance\": \"50 ohm\", \"series capacitance\": \"1 fF\", \"series inductance\": "
         "\"1 nH\"}"),
     "ports.die", "expected exactly one of"},
    {DIE("{\"resistance\": \"50 ohm\", \"series capacitance\": \"0 fF\"}"),
     "ports.die.series capacitance", "must be positive"},
    {DIE("{\"resistance\": \"50 ohm\", \"parallel inductance\": \"0 nH\"}"),
     "ports.die.parallel inductance", "must be positive"},
    {DIE("{\"file\": \"frame.json\"}"), "ports.die", "expected exactly one of"},
    {DIE("{\"file\": \"frame.json\", \"port\": 0}"), "ports.die.port", "whole number from 1"},
    {DIE("{\"file\": \"frame.json\", \"port\": 1.5}"), "ports.die.port", "whole number from 1"},
    {DIE("{\"file\": \"none.s2p\", \"port\": 1}"), "ports.die.file", "none.s2p"},
    {DIE("{\"file\": \"../../check.h\", \"port\": 1}"), "ports.die.file", ""},
    {DIE("{\"file\": \"/etc/passwd\", \"port\": 1}"), "ports.die.file", ""},
    {SAMPLE_TOP "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}}, " SAMPLE_PATH "}", "ports",
     "'board' is missing"},
    {SAMPLE_TOP SAMPLE_PATH "}", "1:1", "'ports' is missing"},
};

static void bad_ports(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        sample_bad(bad[i].text, bad[i].place, bad[i].message);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(good_ports),
        cmocka_unit_test(bad_ports),
    };
    return cmocka_run_group_tests_name("design/port", tests, NULL, NULL);
}
