/** The kinds, one object each, defined in the file of its subject and listed in models.c. */
#ifndef FL_MODELS_KINDS_H
#define FL_MODELS_KINDS_H

#include "models/models.h"

extern const fl_physics fl_series_inductor, fl_shunt_inductor; /* lumped.c */
extern const fl_physics fl_series_capacitor, fl_shunt_capacitor;
extern const fl_physics fl_series_resistor, fl_shunt_resistor;
extern const fl_physics fl_line, fl_open_stub, fl_shorted_stub; /* line.c */
extern const fl_physics fl_bond_wires;                          /* wires.c */
extern const fl_physics fl_ribbon, fl_bump, fl_ground;          /* ribbon.c, bump.c, ground.c */
extern const fl_physics fl_via, fl_pad, fl_lead;                /* via.c, pad.c, lead.c */
extern const fl_physics fl_microstrip, fl_open_microstrip_stub; /* trace.c */
extern const fl_physics fl_grounded_coplanar, fl_stripline;     /* coplanar.c, stripline.c */
extern const fl_physics fl_taper, fl_step;                      /* taper.c, step.c */
extern const fl_physics fl_measured;                            /* measured.c */

/** Entries of a constant table. */
#define FL_LENGTH_OF(table) (sizeof(table) / sizeof *(table))

#endif
