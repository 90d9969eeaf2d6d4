/* Sections that the uncompensated path is without. */
#include "circuit.h"

#define SIZED "\"capacitance\": {\"size\": [\"10 fF\", \"90 fF\"]}"
#define LINE "\"impedance\": \"60 ohm\", \"permittivity\": 3, "
#define SIZED_LENGTH "\"length\": {\"size\": [\"0.1 mm\", \"0.9 mm\"]}"

/** Sections of a path and, for each, whether it is left out: '-' or 'x'. */
typedef struct row {
    const char *kinds[4], *parameters[4];
    const char *wanted, *more;
} row;

static const row rows[] = {
    /* Sized and spare: out; the wire connects, the fixed line was not sized. */
    {{"shunt capacitor", "series inductor", "open stub", "line"},
     {SIZED, "\"inductance\": {\"size\": [\"0.1 nH\", \"0.2 nH\"]}", LINE SIZED_LENGTH,
      LINE "\"length\": \"1 mm\""},
     "x-x-",
     ""},
    /* The design's word goes first: what is sized stays. */
    {{"shunt capacitor", "line", "series inductor", "shunt resistor"},
     {SIZED, LINE SIZED_LENGTH, "\"optional\": true, \"inductance\": \"0.1 nH\"",
      "\"resistance\": \"900 ohm\""},
     "--x-",
     ""},
    /* An optional that is false marks nothing. */
    {{"shunt capacitor", "line", NULL, NULL},
     {"\"optional\": false, " SIZED, LINE SIZED_LENGTH, NULL, NULL},
     "xx",
     ""},
    /* A sized substrate is under the feed line too, which stays; a wire is never left out. */
    {{"microstrip", "microstrip", "bond wires", NULL},
     {"\"substrate\": \"board\", \"width\": \"0.3 mm\", \"length\": \"1 mm\"",
      "\"substrate\": \"board\", \"length\": \"1 mm\", \"width\": {\"size\": [\"0.1 mm\", "
      "\"0.4 mm\"]}",
      "\"diameter\": \"25 um\", \"loop height\": \"120 um\", \"span\": {\"size\": [\"200 um\", "
      "\"400 um\"]}",
      NULL},
     "-x-",
     ", \"substrates\": {\"board\": {\"permittivity\": 3.5, \"height\": {\"size\": [\"100 um\", "
     "\"200 um\"]}}}"},
};

static void marks_compensation(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        circuit own;
        bool left_out[4] = {false};
        char got[5] = {0};
        circuit_begin(&own, 27e9, 29e9, port, port);
        for (size_t i = 0; i < 4 && rows[r].kinds[i]; i++)
            circuit_part(&own, rows[r].kinds[i], "%s", rows[r].parameters[i]);
        circuit_end(&own, rows[r].more);
        const size_t count = fl_bare_mark(left_out, own.design, 0);
        size_t wanted = 0;
        for (size_t i = 0; i < own.design->cases[0].section_count; i++) {
            got[i] = left_out[i] ? 'x' : '-';
            wanted += rows[r].wanted[i] == 'x';
        }
        if (strcmp(got, rows[r].wanted) != 0)
            print_error("row %zu\n", r);
        assert_string_equal(got, rows[r].wanted);
        assert_int_equal(count, wanted);
        circuit_close(&own);
    }
}

/** A replaced section that is optional in one case rules in all. */
static void takes_optional_of_any_case(void **state)
{
    (void)state;
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit own;
    bool left_out[2];
    circuit_begin(&own, 27e9, 29e9, port, port);
    circuit_part(&own, "shunt capacitor", "%s", SIZED);
    circuit_part(&own, "line", "%s", LINE "\"length\": \"1 mm\"");
    circuit_end(&own, ", \"cases\": [{\"name\": \"a\"}, {\"name\": \"b\", \"replace\": {\"p2\": "
                      "{\"kind\": \"line\", \"side\": \"package\", \"optional\": true, " LINE
                      "\"length\": \"2 mm\"}}}]");
    assert_int_equal(fl_bare_mark(left_out, own.design, 0), 0);
    assert_int_equal(fl_bare_mark(left_out, own.design, 1), 1);
    assert_true(left_out[1]);
    circuit_close(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(marks_compensation),
                                       cmocka_unit_test(takes_optional_of_any_case)};
    return cmocka_run_group_tests_name("studies/bare", tests, NULL, NULL);
}
