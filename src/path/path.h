/**
 * The path of one case as a flat array of elementary two-ports, from the die (first) to the board.
 *
 * Structure (fl_path) is apart from values: a study makes the structure once and evaluates it for
 * many value sets. Needs the C library only.
 */
#ifndef FL_PATH_PATH_H
#define FL_PATH_PATH_H

#include "models/models.h"

/** Groundwork of a design, see below. */
typedef struct fl_groundwork fl_groundwork;

/** Some sections in a row of one case. */
typedef struct fl_stretch {
    size_t case_index, first, count;
} fl_stretch;

typedef struct fl_element {
    fl_form form;
    size_t section;              /* into the path's sections */
    const fl_network *network;   /* FL_FORM_DATA; else NULL */
    size_t die_port, board_port; /* of the network, from 0 */
} fl_element;

typedef struct fl_path {
    const fl_groundwork *groundwork;
    fl_stretch stretch;
    const fl_section *sections; /* [stretch.count], borrowed from the design */
    fl_element *elements;
    size_t element_count;
    size_t quantity_count; /* of the design */
    const bool *passed;    /* [stretch.count] sections whose values are not asked for; NULL: none */
} fl_path;

/** Whether the values of a section are not asked for. */
static inline bool fl_path_passes(const fl_path *path, size_t section)
{
    return path->passed != NULL && path->passed[section];
}

/**
 * Groundwork of a design: what is read or solved once and then used by every path: the networks of
 * its data files, and the fits of the costly models over the ranges that a study varies.
 *
 * Reads every file that sections and ports name, and checks its range against all bands of the
 * design. Files that are not passive or not reciprocal, and models out of their range at the
 * present values, become warnings.
 *
 * @param[out] groundwork free with fl_groundwork_free; the design must outlive it.
 */
fl_status fl_groundwork_new(fl_groundwork **groundwork, const fl_design *design, fl_error *error);

/** What a study varies about given values. */
typedef struct fl_vary {
    bool sizes;               /* over their ranges */
    bool spreads;             /* as far as production goes; sizes by a little, for their slopes */
    const double *quantities; /* [quantity_count] present values */
    int threads;              /* 0: one */
} fl_vary;

/**
 * The same groundwork with the costly models of every case made ready: fitted over what varies,
 * solved once where nothing does. Without it each value is solved anew, whenever it is asked for.
 * Fits that miss 0.01 % are told by a warning; 0.1 % is the bound.
 *
 * @param[out] fitted free with fl_groundwork_free; the plain one must outlive it; has the warnings
 *             of the fits alone. Good for the quantities that vary does not vary only at their
 *             given values.
 * @return FL_OK; FL_BAD_INPUT when a model ends within the ranges, or cannot be fitted;
 *         FL_NO_MEMORY.
 */
fl_status fl_groundwork_fit(fl_groundwork **fitted, const fl_groundwork *plain, const fl_vary *vary,
                            fl_error *error);

/**
 * The same groundwork for one look at given values far beyond the bands: dispersive lines get their
 * nodes over the whole band and are solved anew, all else stays as it is.
 *
 * @param[in,out] band where to look, Hz; cut to where all data of the design go.
 * @param[out] wide free with fl_groundwork_free, before the groundwork it is made from; its
 *             warnings tell of cuts, and of models that are out of their range there and not in the
 *             bands.
 * @return as fl_groundwork_fit.
 */
fl_status fl_groundwork_widen(fl_groundwork **wide, fl_band *band, const fl_groundwork *from,
                              const double *quantities, fl_error *error);

void fl_groundwork_free(fl_groundwork *groundwork);
size_t fl_groundwork_warning_count(const fl_groundwork *groundwork);
const char *fl_groundwork_warning(const fl_groundwork *groundwork, size_t index);

/** Network of a file that the design names; NULL if it names no such file. */
const fl_network *fl_groundwork_network(const fl_groundwork *groundwork, const char *file);

/** Checksum of all data files. */
uint64_t fl_groundwork_checksum(const fl_groundwork *groundwork);

/** Setting of the models: the design's band, and nodes over all bands. */
const fl_setting *fl_groundwork_setting(const fl_groundwork *groundwork);

/** A costly section made ready (prepared.c). */
typedef struct fl_prepared fl_prepared;

/** Of a section of a case; NULL for a model of closed formulas, and before fl_groundwork_fit. */
const fl_prepared *fl_groundwork_prepared(const fl_groundwork *groundwork, size_t case_index,
                                          size_t section);

/** Whether every fit is good at the given quantities. */
bool fl_groundwork_covers(const fl_groundwork *groundwork, const double *quantities);

/**
 * A fitted groundwork as bytes, and back for a design that came as bytes: both in the arena of what
 * is read, and not freed by themselves; NULL when the bytes cannot be. Whatever has to be solved
 * has a fit; no warnings go with it.
 */
void fl_groundwork_pack(fl_text *text, const fl_groundwork *groundwork);
fl_groundwork *fl_groundwork_unpack(fl_unpack *from, const fl_design *design);

/** All sections of a case. */
fl_stretch fl_case_stretch(const fl_groundwork *groundwork, size_t case_index);

/** Structure of a stretch. groundwork must outlive the path. Free with fl_path_free. */
fl_status fl_path_new(fl_path **path, const fl_groundwork *groundwork, const fl_stretch *stretch,
                      fl_error *error);
void fl_path_free(fl_path *path);

/** Whether a section of a path and one of another of the same groundwork have the same values
 * whatever the quantities: most sections are so in all cases. */
bool fl_path_alike(const fl_path *path, size_t section, const fl_path *other, size_t its);

/**
 * Electrical values at the given quantities, of all sections but those passed over, which are not
 * judged either.
 *
 * @param[out] values   [element_count][FL_VALUES] electrical values (see fl_form).
 * @param[in,out] jacobian [element_count][FL_VALUES][quantity_count] their derivatives; NULL: not
 *             wanted. Where a value does not depend on a quantity nothing is written: all zero
 *             before the first call, and used for this path alone.
 * @return false when the quantities are not physical (a value out of its parameter's bounds, or
 *         parameters that do not fit together): the outputs then mean nothing.
 * Does not allocate, but for a costly model out of the range of its fit.
 */
bool fl_path_values(const fl_path *path, const double *quantities, double (*values)[FL_VALUES],
                    double *jacobian);

/** Values of FL_LANES samples at once: what is given, and where it goes. */
typedef struct fl_path_block {
    const fl_vector *vector;
    const bool *steady;                   /* [stretch.count] sections to pass over */
    const double (*quantities)[FL_LANES]; /* [quantity_count] */
    double (*values)[FL_LANES];           /* [element_count * FL_VALUES]: e * FL_VALUES + v */
    double *scratch;                      /* [fl_path_room] */
    bool *refused;                        /* [FL_LANES] */
} fl_path_block;

/** Doubles of scratch memory that fl_path_lanes needs. */
size_t fl_path_room(const fl_path *path);

/** As fl_path_values without derivatives, for all lanes; sets `refused` where the quantities are
 * not physical and leaves the other marks. */
void fl_path_lanes(const fl_path *path, const fl_path_block *block);

/**
 * Lanes of frequencies, fixed for a sweep; all arrays [count].
 */
typedef struct fl_lanes {
    size_t count;
    const double *omega;   /* w */
    const double *root;    /* sqrt(w / w0) */
    const double *weights; /* [FL_NODES][count] of the values at the nodes */
} fl_lanes;

/** A complex number for each lane; both arrays [count]. */
typedef struct fl_complex_lanes {
    double *re, *im;
} fl_complex_lanes;

/** Impedance of a port at frequencies [count], Hz: ohm, real parts are positive. */
fl_status fl_port_impedance(const fl_complex_lanes *impedance, const fl_groundwork *groundwork,
                            int port, const double *frequencies, size_t count, fl_error *error);

/**
 * Two-port of an element over the lanes, for the march.
 *
 * Series: x is its impedance; shunt: x is its admittance. Line: x is cosh(theta), y is sinh(theta),
 * z.re is its impedance and z.im one over it. Data: x, y, z, t are the chain parameters A, B, C, D
 * from die to board.
 */
typedef struct fl_twoport {
    fl_complex_lanes x, y, z, t;
} fl_twoport;

/** What the march does with a two-port. */
typedef enum fl_action { FL_ACT_SERIES, FL_ACT_SHUNT, FL_ACT_LINE, FL_ACT_DATA } fl_action;

fl_action fl_form_action(fl_form form);

/** Fills the two-port of an element with values (not FL_FORM_DATA, whose lanes never change). */
void fl_twoport_fill(fl_twoport *twoport, fl_form form, const double values[FL_VALUES],
                     const fl_lanes *lanes);

/**
 * Derivatives of a real figure F with respect to an element's values, over the lanes.
 *
 * @param[out] slopes [fl_form_values(form)][count] dF / d value, row after row.
 * @param[in] twoport as filled with the same values.
 * @param[in,out] pull spent by the call; pull[0] is k such that dF = Re(k dx): x the impedance of a
 *            series form, the admittance of a shunt form, theta of a line; pull[1], of a line:
 *            dF = Re(k dZ0).
 */
void fl_twoport_slopes(double *slopes, fl_form form, const double values[FL_VALUES],
                       const fl_lanes *lanes, const fl_twoport *twoport,
                       const fl_complex_lanes pull[2]);

/** Chain parameters of a data element. FL_BAD_INPUT when nothing gets through at a frequency. */
fl_status fl_twoport_data(fl_twoport *twoport, const fl_element *element, const double *frequencies,
                          size_t count, fl_error *error);

#endif
