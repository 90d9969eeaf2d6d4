/** Circuits of the study tests: a design written as text, read, and made ready for a study. */
#ifndef FL_TESTS_STUDIES_CIRCUIT_H
#define FL_TESTS_STUDIES_CIRCUIT_H

#include "base/text.h"
#include "check.h"
#include "studies/search.h"

enum { CIRCUIT_KINDS = 64 };

typedef struct circuit {
    fl_text text;
    size_t parts;
    fl_design *design;
    fl_groundwork *groundwork;
    fl_study study;
} circuit;

/** Begins the path of a circuit between two resistive ports, in a band. */
__attribute__((unused)) static void circuit_begin(circuit *own, double low, double high,
                                                  const char *die, const char *board)
{
    *own = (circuit){.parts = 0};
    fl_text_init(&own->text);
    fl_text_print(&own->text,
                  "{\"fairlead\": 1, \"title\": \"test\", \"band\": [\"%.17g Hz\", \"%.17g Hz\"], "
                  "\"ports\": {\"die\": {%s}, \"board\": {%s}}, \"path\": [",
                  low, high, die, board);
}

/** Adds a section; the format gives its parameters. */
__attribute__((format(printf, 3, 4), unused)) static void
circuit_part(circuit *own, const char *kind, const char *format, ...)
{
    char parameters[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(parameters, sizeof parameters, format, arguments);
    va_end(arguments);
    fl_text_print(&own->text, "%s{\"name\": \"p%zu\", \"kind\": \"%s\", \"side\": \"package\", %s}",
                  own->parts > 0 ? ", " : "", own->parts + 1, kind, parameters);
    own->parts++;
}

/** Ends the text with more keys ("" or ", ..."), reads it and makes a study of one thread. */
__attribute__((unused)) static void circuit_end(circuit *own, const char *more)
{
    const fl_kind *kinds[CIRCUIT_KINDS];
    size_t count = fl_models_kinds(kinds, CIRCUIT_KINDS);
    fl_options options = {.seed = -1, .threads = 1};
    fl_error error;
    fl_text_print(&own->text, "]%s}", more);
    assert_false(fl_text_failed(&own->text));
    const fl_design_source source = {.text = own->text.bytes,
                                     .length = own->text.length,
                                     .name = "test.json",
                                     .kinds = kinds,
                                     .kind_count = count};
    check_ok(fl_design_resolve(&own->design, &source, &error), error);
    check_ok(fl_groundwork_new(&own->groundwork, own->design, &error), error);
    fl_study_init(&own->study, own->design, own->groundwork, &options);
}

__attribute__((unused)) static void circuit_close(circuit *own)
{
    fl_groundwork_free(own->groundwork);
    fl_design_release(own->design);
    fl_text_release(&own->text);
}

/** Two sized capacitors about a series inductance, between 50 ohm; size is the text of both. */
__attribute__((unused)) static void circuit_pi(circuit *own, const double band[2], double henry,
                                               const char *size, const char *more)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    circuit_begin(own, band[0], band[1], port, port);
    circuit_part(own, "shunt capacitor", "\"capacitance\": %s", size);
    circuit_part(own, "series inductor", "\"inductance\": \"%.17g H\"", henry);
    circuit_part(own, "shunt capacitor", "\"capacitance\": %s", size);
    circuit_end(own, more);
}

/** Sizes it; the caller releases sizing. */
__attribute__((unused)) static void circuit_size(const circuit *own, fl_sizing *sizing)
{
    fl_error error;
    check_ok(fl_sizing_run(sizing, &own->study, &error), error);
    assert_false(sizing->interrupted);
}

/** Magnitude of the reflection that a return loss stands for. */
__attribute__((unused)) static double reflection(double return_loss_db)
{
    return pow(10.0, -return_loss_db / 20.0);
}

/** A sum of values: where parts begin to fail, and its standard deviation. */
typedef struct circuit_spread {
    double fails, sigma;
} circuit_spread;

/** Inductors of so many normal values in series between 50 ohm ports, the match of which depends on
 * their sum alone: its mean is 0.2 nH, and parts fail from one on, at the top of the
 * band. yield: the rest of that object. */
__attribute__((unused)) static void circuit_sum(circuit *own, size_t values,
                                                const circuit_spread *sum, const char *yield)
{
    const double top = 30e9, x = 2.0 * 3.14159265358979323846 * top * sum->fails / 50.0;
    const char *port = "\"impedance\": \"50 ohm\"";
    char end[512];
    circuit_begin(own, 0.95 * top, top, port, port);
    for (size_t i = 0; i < values; i++)
        circuit_part(
            own, "series inductor",
            "\"inductance\": {\"value\": \"%.17g H\", \"spread\": {\"normal\": \"%.17g H\"}}",
            0.2e-9 / (double)values, sum->sigma / sqrt((double)values));
    snprintf(end, sizeof end,
             ", \"points\": 3, \"require\": [{\"quantity\": \"return loss\", \"at least\": \"%.17g "
             "dB\"}], \"yield\": {%s}",
             10.0 * log10((4.0 + x * x) / (x * x)), yield);
    circuit_end(own, end);
}

#endif
