/* Two capacitors beside an inductor, both to be sized, and what a descent on them needs. */
#ifndef RIG_H
#define RIG_H

#include "circuit.h"

static const char *size_text = "{\"size\": [\"1 fF\", \"500 fF\"]}";
static const double band[2] = {24e9, 30e9};

typedef struct rig {
    circuit circuit;
    fl_search search;
    fl_probe probe;
    fl_descent descent;
} rig;

__attribute__((unused)) static void rig_open(rig *own, double henry)
{
    fl_error error;
    circuit_pi(&own->circuit, band, henry, size_text, "");
    check_ok(fl_search_init(&own->search, &own->circuit.study, &error), error);
    check_ok(fl_probe_new(&own->probe, &own->search, 601, &error), error);
    own->descent =
        (fl_descent){.probe = &own->probe, .tolerance = 1e-9, .evaluations = 500, .rounds = 6};
}

__attribute__((unused)) static void rig_close(rig *own)
{
    fl_probe_release(&own->probe);
    fl_search_release(&own->search);
    circuit_close(&own->circuit);
}

#endif
