/**
 * Models: from the parameters of a section (geometry or lumped values) to electrical values of
 * elementary two-ports, with exact derivatives.
 *
 * A section is one or more elements in a row, from the die to the board. Each element has a form,
 * which says what its up to FL_VALUES electrical values mean. Models know nothing of frequency
 * lanes or marching; path/ knows nothing of geometry. A new kind is one file here and one line in
 * the table of models.c.
 */
#ifndef FL_MODELS_MODELS_H
#define FL_MODELS_MODELS_H

#include "base/vector.h"
#include "design/design.h"
#include "models/dual.h"
#include "models/fit.h"

/** Frequencies at which a dispersive line gives its values. */
enum { FL_NODES = 5 };

/**
 * Electrical values; w is the angular frequency, w0 that of the band centre.
 *
 * A wave is a line whose impedance Z, delay D and attenuation A change with frequency: they are
 * polynomials in frequency through their values at the nodes of the setting, values Z at the
 * nodes, then D at the nodes, then A at the nodes over sqrt(w / w0).
 */
typedef enum fl_form {
    FL_FORM_SERIES,          /* Z = R + j w L + S / (j w)        values R, L, S (elastance 1/C) */
    FL_FORM_SHUNT_BRANCH,    /* Y = 1 / (R + j w L)              values R, L */
    FL_FORM_SHUNT_CAPACITOR, /* Y = j w C / (1 + j w T)          values C, T = R C */
    FL_FORM_LINE,            /* Z0, theta = A sqrt(w/w0) + j w D values Z0, A (neper), D (s) */
    FL_FORM_OPEN_STUB,       /* shunt Y = tanh(theta) / Z0       as line */
    FL_FORM_SHORTED_STUB,    /* shunt Y = coth(theta) / Z0       as line */
    FL_FORM_WAVE,            /* line with values at the nodes */
    FL_FORM_WAVE_OPEN_STUB,  /* open stub with values at the nodes */
    FL_FORM_DATA             /* two-port from data, no values */
} fl_form;

/** Most electrical values of an element, and most elements of one section. */
enum { FL_VALUES = 3 * FL_NODES, FL_ELEMENTS = 16 };

/** Number of electrical values of a form. */
size_t fl_form_values(fl_form form);

/** First of the values of a line that are proportional to its length, delays and losses;
 * fl_form_values of other forms, which have none. */
size_t fl_form_along(fl_form form);

/** What a model may know of the study: the band, not the parameters. */
typedef struct fl_setting {
    double w0;              /* angular frequency of the centre of the design's band, rad/s */
    double nodes[FL_NODES]; /* Hz, rising, over all bands of the design */
} fl_setting;

/** Setting with nodes from low to high (Hz, low <= high) at Chebyshev's places. */
void fl_setting_init(fl_setting *setting, double centre, double low, double high);

/** Resonances within a range of frequencies. */
typedef struct fl_resonances {
    size_t count;
    double lowest; /* Hz; 0 if there is none */
    int order[3];  /* of the lowest: half waves along length, width, height; of a paddle [0] */
} fl_resonances;

/**
 * The paddle of a body as an open strip in endless mould: k c / (2 p sqrt(er)), k half waves along
 * it [Pozar2011]. None for a body without a paddle.
 */
void fl_body_paddle(fl_resonances *found, const fl_body *body, double low, double high);

/**
 * The mould of a body as a box with conducting walls, lengths a, b, d [Pozar2011]:
 * c / (2 sqrt(er)) sqrt((k / a)^2 + (m / b)^2 + (n / d)^2), at most one order zero. Orders up to
 * 100 are looked at.
 */
void fl_body_box(fl_resonances *found, const fl_body *body, double low, double high);

/** Network data: S-parameters of n ports over frequency. */
typedef struct fl_network fl_network;

/** A parameter in FL_LANES samples at once. */
typedef struct fl_row {
    const double *at; /* [FL_LANES]; if it is the same in all of them, one number */
    bool same;
} fl_row;

/** One line of what `check` and `model` print of a section. */
typedef struct fl_property {
    const char *name;
    fl_dimension dimension;
    double value;
} fl_property;

enum { FL_PROPERTIES = 8 };

/**
 * The physics of a kind. It has either `evaluate`, for closed formulas, or `solve`, for what takes
 * longer: the path then fits solve over the ranges that a study varies (models/fit.h), so it must
 * be a smooth function of the parameters.
 */
typedef struct fl_physics {
    fl_kind kind; /* first, so that a section's kind leads back to its physics */
    const fl_form *forms;
    size_t form_count; /* elements of the section */
    bool spare;        /* a path holds together without it: it compensates or leads on, no more */
    /** 1 + the parameter, a length, to which delays and losses of all its lines are proportional
     * and on which nothing else depends, what `refuse` says neither; 0: none. A fit leaves it
     * out. */
    size_t along;
    /** NULL if the parameters fit together, else what is wrong with them, in lower case. */
    const char *(*refuse)(const double *parameters);
    /** NULL if the model's range holds, else which range is left; may be NULL. */
    const char *(*caution)(const double *parameters, const fl_setting *setting);
    /** Electrical values [form_count][FL_VALUES] at the parameters [parameter_count], which are
     * at most FL_CLOSED_PARTIALS. */
    void (*evaluate)(fl_dual (*values)[FL_VALUES], const fl_dual *parameters,
                     const fl_setting *setting);
    /** As evaluate for FL_LANES samples at once, without derivatives: parameters are rows,
     * values of element e in rows e * FL_VALUES + v. Marks lanes that refuse would refuse, and
     * leaves the other marks. May be NULL: then samples are evaluated one by one. */
    void (*evaluate_lanes)(double (*values)[FL_LANES], const fl_row *parameters,
                           const fl_setting *setting, bool *refused);
    /** As evaluate without derivatives; may allocate; thread-safe. */
    fl_status (*solve)(double (*values)[FL_VALUES], const double *parameters,
                       const fl_setting *setting, fl_error *error);
    /** Fills up to FL_PROPERTIES and returns how many. */
    size_t (*describe)(fl_property *properties, const double *parameters,
                       const fl_setting *setting);
} fl_physics;

/** All kinds, NULL at the end. */
extern const fl_physics *const fl_models[];

/** Kinds as the design reader takes them: writes up to room, returns how many there are. */
size_t fl_models_kinds(const fl_kind **kinds, size_t room);

/** Physics of a section. */
const fl_physics *fl_section_physics(const fl_section *section);

/** A kind as bytes, and back in the arena of what is read; NULL when the bytes cannot be. A costly
 * kind comes back as a stand-in that solves nothing: its sections have to be made ready
 * (path/). */
void fl_kind_pack(fl_text *text, const fl_kind *kind);
const fl_kind *fl_kind_unpack(fl_unpack *from);

/** Values of a section's parameters [parameter_count] at the given quantities. */
void fl_section_parameters(double *parameters, const fl_section *section, const double *quantities);

/** NULL if the parameters [parameter_count] of a section fit together, else what is wrong. */
const char *fl_section_refuse(const fl_section *section, const double *parameters);

/** Values of a section's elements [form_count][FL_VALUES] at its parameters, by either way. */
fl_status fl_section_values(double (*values)[FL_VALUES], const fl_section *section,
                            const double *parameters, const fl_setting *setting, fl_error *error);

/** Refuses values of a section, as solved for one length, if a line `ratio` times as long loses
 * more than a line may. */
fl_status fl_section_bear(double (*values)[FL_VALUES], const fl_section *section, double ratio,
                          const fl_setting *setting, fl_error *error);

/**
 * Refuses a design in which some choice within the ranges gives parameters that do not fit
 * together: every corner of the sized ranges is tried, and the present values.
 */
fl_status fl_models_check(const fl_design *design, fl_error *error);

/**
 * Network data from a Touchstone file (1.1 or 2.0); the number of ports comes from the extension
 * .sNp or the file itself.
 * @param[out] network free with fl_network_free.
 * @return FL_OK; FL_BAD_INPUT with "file:line" as the place; FL_IO; FL_NO_MEMORY.
 */
fl_status fl_network_read(fl_network **network, const char *file, fl_error *error);
void fl_network_free(fl_network *network);

/** Goes on with a checksum (base/checksum.h) over all that the network was read as. */
uint64_t fl_network_checksum(const fl_network *network, uint64_t before);

size_t fl_network_ports(const fl_network *network);
/** Reference resistance of a port, ohm; port counts from 0. */
double fl_network_reference(const fl_network *network, size_t port);
void fl_network_range(const fl_network *network, double *low, double *high);

/**
 * S-parameter (row, column), from 0, interpolated at a frequency within the range.
 * @param[out] s real, imaginary.
 */
void fl_network_s(const fl_network *network, size_t row, size_t column, double frequency,
                  double s[2]);

/** Worst figures over the data. */
typedef struct fl_network_quality {
    double gain;           /* largest singular value of S: over 1 is not passive */
    double gain_frequency; /* Hz */
    double skew;           /* largest |Sij - Sji| */
    double skew_frequency; /* Hz */
} fl_network_quality;

void fl_network_judge(const fl_network *network, fl_network_quality *quality);

/** Network data as bytes, and back into the arena of what is read: not freed by themselves; NULL
 * when the bytes cannot be. */
void fl_network_pack(fl_text *text, const fl_network *network);
fl_network *fl_network_unpack(fl_unpack *from);

/**
 * Checks that the network has the port and covers low to high; the message names both ranges.
 * error->place is left for the caller.
 */
fl_status fl_network_covers(const fl_network *network, size_t ports_needed, double low, double high,
                            fl_error *error);

#endif
