/** What the files of the block evaluation share. Private. */
#ifndef FL_RESPONSE_BLOCK_H
#define FL_RESPONSE_BLOCK_H

#include "response/margins.h"

/** One step of a march: an element with values of its own in each lane, or something constant. */
typedef enum fl_step_kind {
    FL_STEP_FORM,
    FL_STEP_CHAIN,
    FL_STEP_SERIES,
    FL_STEP_SHUNT
} fl_step_kind;

typedef struct fl_step {
    fl_step_kind kind;
    size_t element;      /* FL_STEP_FORM */
    size_t times;        /* of a line: so many alike in a row */
    fl_usual usual;      /* of lines */
    const double *fixed; /* else: [node][8] of a, b, c, d, or [node][2] */
} fl_step;

/** A march to one port. */
typedef struct fl_track {
    double *start; /* [node][4] waves behind the constant elements at its beginning */
    double *end;   /* [node][FL_END] of the driven port, with the constant elements before it */
    bool sized;    /* some run asks what gets through */
    fl_step *steps;
    size_t step_count;
} fl_track;

/** One sweep at its nodes. */
typedef struct fl_block_sweep {
    fl_arena arena;
    fl_sweep *sweep; /* on the nodes */
    fl_nodes nodes;
    bool *steady; /* [section_count] of the path: constant */
    bool *idle;   /* [section_count] no march takes its values, or an earlier sweep has them */
    size_t first; /* place of its own values among those of all sweeps, in elements */
    size_t *rows; /* [element_count] where the values of an element are, in the same way */
    fl_track tracks[FL_PORTS];
    double *scale[FL_PORTS];      /* [points] |S21|^2 |q|^2 on the grid, driven at the port */
    const double *matrix;         /* of fl_regrid */
    const double *bends;          /* of fl_regrid */
    size_t points;                /* of the grid */
    const double *highest;        /* of fl_regrid */
    double roughest[FL_PORTS][2]; /* of the trials: of a transmission, of a reflection */
} fl_block_sweep;

struct fl_block {
    const fl_margins *margins;
    const fl_vector *vector;
    fl_block_sweep **sweeps; /* [sweep_count], NULL as in the margins */
};

/** Scratch memory of one thread, enough for each of the sweeps. */
struct fl_block_work {
    fl_arena arena;
    double (*values)[FL_LANES];  /* [elements of all sweeps * FL_VALUES] */
    double *scratch;             /* of fl_path_lanes */
    fl_leg *legs;                /* [elements of all sweeps * FL_PORTS] */
    double *turns, *left_out;    /* of fl_route */
    double *reflected, *arrived; /* [node][FL_LANES] of the last march */
    fl_lane_worst worst;
};

/** Room for the arrays of a work. */
typedef struct fl_block_room {
    size_t rows, elements, scratch, nodes, runs;
} fl_block_room;

void fl_block_room_add(fl_block_room *room, const fl_block_sweep *own);
fl_status fl_block_work_take(fl_block_work **work, const fl_block_room *room, fl_error *error);

/** Lays the legs of a sweep, once for all lots of a work. */
void fl_block_lay(const fl_block_sweep *own, fl_block_work *work);

/** A sweep of the margins at frequencies [count], at the nominal quantities. *own is NULL when
 * these are not physical. */
fl_status fl_block_sweep_new(fl_block_sweep **own, const fl_margins *margins, size_t index,
                             const fl_grid *nodes, const double *nominal, fl_error *error);
void fl_block_sweep_free(fl_block_sweep *own);

/** Values of all lanes; marks those that are not physical. */
void fl_block_values(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                     const double (*quantities)[FL_LANES]);

/** March to a port: fills work->reflected and work->arrived. */
void fl_block_march(const fl_block_sweep *own, const fl_vector *vector, fl_block_work *work,
                    int port);

/** Chooses the nodes of one sweep (block_nodes.c); *own is NULL as above.
 * @param[in] reference [trials->count][entry_count] powers; NULL: the nodes are the grid.
 * @param[in] fit [trials->count] lanes that are physical. */
typedef struct fl_choice {
    const fl_margins *margins;
    const fl_vector *vector;
    const fl_trials *trials;
    const double *reference;
    const bool *fit;
} fl_choice;

fl_status fl_block_sweep_choose(fl_block_sweep **own, const fl_choice *choice, size_t index,
                                fl_error *error);

#endif
