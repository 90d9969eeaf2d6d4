/** A chain of any number of sections, so that cost can be told against it. */
#ifndef FL_TEST_BENCH_CHAIN_H
#define FL_TEST_BENCH_CHAIN_H

#include "base/text.h"
#include "design/design.h"

/** What varies of a chain. */
typedef struct chain {
    int sections, points, cases;
} chain;

/** The parameter that spreads, and its value so that the chain as a whole stays the same. */
static inline void chain_section(fl_text *text, int i, double share)
{
    fl_text_print(text, "%s{\"name\": \"s%d\", \"side\": \"package\", ", i > 0 ? ", " : "", i);
    if (i % 4 == 1)
        fl_text_print(text,
                      "\"kind\": \"shunt capacitor\", \"quality factor\": 60, \"capacitance\": "
                      "{\"value\": \"%.6f fF\", \"spread\": {\"normal\": \"4 %%\"}}}",
                      300.0 * share);
    else if (i % 4 == 3)
        fl_text_print(text,
                      "\"kind\": \"series inductor\", \"quality factor\": 30, \"inductance\": "
                      "{\"value\": \"%.6f pH\", \"spread\": {\"normal\": \"4 %%\"}}}",
                      700.0 * share);
    else
        fl_text_print(text,
                      "\"kind\": \"line\", \"length\": \"%.6f um\", \"permittivity\": 3, \"loss\": "
                      "\"0.1 dB/mm\", \"impedance\": {\"value\": \"52 ohm\", \"spread\": "
                      "{\"normal\": \"4 %%\"}}}",
                      6000.0 * share);
}

/** Lines, shunt and series elements in turn, of the same sum for any number of sections; every
 * section has a spread, and every case another length of the first line. */
static inline fl_status chain_design(fl_design **design, const chain *own, fl_error *error)
{
    fl_text text;
    fl_text_init(&text);
    fl_text_print(&text,
                  "{\"fairlead\": 1, \"band\": [\"26.5 GHz\", \"29.5 GHz\"], \"points\": %d, "
                  "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, "
                  "\"board\": {\"impedance\": \"50 ohm\"}}, "
                  "\"require\": [{\"quantity\": \"return loss\", \"at least\": \"14 dB\"}], "
                  "\"path\": [",
                  own->points);
    for (int i = 0; i < own->sections; i++)
        chain_section(&text, i, 1.0 / own->sections);
    fl_text_print(&text, "], \"cases\": [");
    for (int i = 0; i < own->cases; i++)
        fl_text_print(&text, "%s{\"name\": \"c%d\", \"set\": {\"s0 length\": \"%d um\"}}",
                      i > 0 ? ", " : "", i, 300 + 10 * i);
    fl_text_print(&text, "]}");
    const fl_status status = fl_design_parse(design, text.bytes, text.length, "chain", NULL, error);
    fl_text_release(&text);
    return status;
}

#endif
