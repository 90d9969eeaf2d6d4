/* A Monte Carlo run of samples, made and not begun. */
#ifndef RUNNING_H
#define RUNNING_H

#include "circuit.h"
#include "studies/production.h"

typedef struct rig {
    circuit circuit;
    fl_yielding yielding;
    fl_production run;
    double nominal[8];
} rig;

__attribute__((unused)) static void rig_open(rig *own, int threads, const fl_ranks *ranks)
{
    const char *port = "\"impedance\": \"50 ohm\"";
    fl_error error;
    memset(own, 0, sizeof *own);
    circuit_begin(&own->circuit, 29e9, 30e9, port, port);
    circuit_part(&own->circuit, "series inductor",
                 "\"inductance\": {\"value\": \"0.2 nH\", \"spread\": {\"normal\": \"20 pH\"}}");
    circuit_part(&own->circuit, "shunt capacitor",
                 "\"capacitance\": {\"value\": \"20 fF\", \"spread\": {\"uniform\": \"3 fF\"}}");
    circuit_end(&own->circuit, ", \"points\": 5, \"require\": [{\"quantity\": \"return loss\", "
                               "\"at least\": \"9 dB\"}], \"yield\": {\"samples\": 30000}");
    own->circuit.study.threads = threads;
    own->circuit.study.ranks = ranks;
    fl_design_start(own->circuit.design, own->nominal);
    fl_arena_init(&own->yielding.arena);
    own->run.study = &own->circuit.study;
    fl_arena_init(&own->run.arena);
    check_ok(fl_production_make(&own->run, &own->yielding, own->nominal, &error), error);
}

__attribute__((unused)) static void rig_close(rig *own)
{
    fl_production_release(&own->run);
    fl_arena_release(&own->yielding.arena);
    circuit_close(&own->circuit);
}

#endif
