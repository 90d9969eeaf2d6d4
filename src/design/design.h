/**
 * The design as read: plain, checked, constant data.
 *
 * Reading resolves everything that is a name: included model files are opened out, "@name" becomes
 * an index, each case has its own list of sections. Past this folder every number is finite and
 * within the bounds of its parameter, and no text is parsed again.
 *
 * Values live in one flat list of quantities. A parameter of a section is a term on that list:
 * times * quantity + plus. A study holds a vector [quantity_count] of values, SI, that it may
 * change; fl_design_start gives the present values.
 *
 * A quantity that a case sets, and a size with "per case", stands in the list once for each such
 * case, under the same name; only_case then tells whose it is.
 */
#ifndef FL_DESIGN_DESIGN_H
#define FL_DESIGN_DESIGN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/error.h"
#include "base/pack.h"

/** No index: a term without a quantity, a quantity of every case, a spread without a group. */
#define FL_NONE SIZE_MAX

typedef enum fl_dimension {
    FL_NUMBER,       /* bare number: permittivity, count, weight */
    FL_FREQUENCY,    /* Hz */
    FL_RESISTANCE,   /* ohm */
    FL_CAPACITANCE,  /* F */
    FL_INDUCTANCE,   /* H */
    FL_LENGTH,       /* m */
    FL_DECIBEL,      /* dB */
    FL_PERCENT,      /* %, held as a share: "4 %" is 0.04 */
    FL_LOSS,         /* dB/m */
    FL_CONDUCTIVITY, /* S/m */
    FL_ANGLE         /* degrees; results only */
} fl_dimension;

/** What a parameter's value may be; checked for fixed values, range ends and starts. */
typedef enum fl_rule {
    FL_POSITIVE,
    FL_NOT_NEGATIVE,
    FL_AT_LEAST_ONE, /* permittivity */
    FL_ANY,
    FL_WHOLE,        /* 1, 2, 3, ...: fixed, neither sized nor spread */
    FL_WHOLE_OR_NONE /* 0, 1, 2, ...: likewise */
} fl_rule;

/** One parameter of a section kind. */
typedef struct fl_parameter {
    const char *name;
    fl_dimension dimension;
    fl_rule rule;
    bool required;
    double fallback;      /* value when absent */
    const char *excludes; /* parameter that may not be given together with this one; may be NULL */
    bool substrate;       /* given by the section's substrate, under the name behind "substrate " */
} fl_parameter;

/** What the reader knows of a section kind. The physics is behind it, in models/. */
typedef struct fl_kind {
    const char *name;
    const char *summary; /* one line for help */
    const fl_parameter *parameters;
    size_t parameter_count;
    bool takes_file; /* has a "file" */
} fl_kind;

typedef enum fl_side { FL_SIDE_DIE, FL_SIDE_PACKAGE, FL_SIDE_BOARD } fl_side;

/** Where a variation is shared. */
typedef enum fl_level {
    FL_LEVEL_LOT,
    FL_LEVEL_WAFER,
    FL_LEVEL_DIE,
    FL_LEVEL_ASSEMBLY,
    FL_LEVEL_BOARD,
    FL_LEVEL_COUNT
} fl_level;

typedef enum fl_shape { FL_NORMAL, FL_UNIFORM } fl_shape;

/** One component of a spread: deviation = amount * (relative ? nominal : 1) * unit draw. */
typedef struct fl_spread {
    fl_shape shape;
    double amount;        /* standard deviation or half-width; SI, or a share if relative */
    bool relative;        /* of nominal */
    double within;        /* truncation of a normal, same kind as amount; 0: none */
    bool within_relative; /* within is a share of nominal */
    fl_level level;
    size_t draw; /* into draws: components with one draw move together */
} fl_spread;

/** One independent or correlated standard normal number a sample. */
typedef struct fl_draw {
    fl_level level;
    size_t group;     /* into groups; FL_NONE: a draw of its own */
    const char *name; /* group name, or quantity name */
} fl_draw;

/** Correlation of two groups, at each level where both have a draw. */
typedef struct fl_correlation {
    size_t group[2];
    double value; /* -1 < value < 1 */
} fl_correlation;

typedef struct fl_quantity {
    const char *name;
    fl_dimension dimension;
    double value; /* fixed value, start, or middle of the range; SI */
    bool sized;
    bool started;     /* a start was given */
    double low, high; /* range, sized only */
    double grid;      /* step, 0: none; steps count from 0 */
    bool per_case;
    size_t only_case; /* FL_NONE: of every case */
    const fl_spread *spreads;
    size_t spread_count;
    fl_side side;      /* of the first section that uses it; package if none does */
    const char *place; /* "design.json:12:5: quantities.gap", of its definition, for messages */
    size_t begin, end; /* bytes of its definition in the design's text; sized only */
} fl_quantity;

/** A parameter's value: times * quantity + plus; with quantity FL_NONE just plus. */
typedef struct fl_term {
    size_t quantity;
    double times;
    double plus;
    bool given; /* in the file; else the fallback */
} fl_term;

typedef struct fl_section {
    const char *name; /* "stub", "package/lead" */
    const fl_kind *kind;
    fl_side side;
    bool optional;
    const char *file;     /* found path, kinds with takes_file; else NULL */
    const fl_term *terms; /* [kind->parameter_count] */
    const char *place;    /* "design.json:12:5: path[3]", for messages */
} fl_section;

typedef struct fl_case {
    const char *name;
    const fl_section *sections;
    size_t section_count;
} fl_case;

typedef enum fl_port_form {
    FL_PORT_IMPEDANCE,            /* resistance + j reactance, constant */
    FL_PORT_PARALLEL_CAPACITANCE, /* resistance beside capacitance */
    FL_PORT_SERIES_CAPACITANCE,
    FL_PORT_PARALLEL_INDUCTANCE,
    FL_PORT_SERIES_INDUCTANCE,
    FL_PORT_FILE /* Touchstone, the other ports end in their reference */
} fl_port_form;

/** A "wants load" port is an FL_PORT_IMPEDANCE of the conjugate. */
typedef struct fl_port {
    fl_port_form form;
    double resistance, reactance; /* ohm */
    double capacitance;           /* F */
    double inductance;            /* H */
    const char *file;
    size_t file_port; /* 1, 2, ... */
    const char *place;
} fl_port;

enum { FL_PORT_DIE, FL_PORT_BOARD, FL_PORTS };

typedef enum fl_asked { FL_RETURN_LOSS, FL_INSERTION_LOSS, FL_REJECTION } fl_asked;

typedef struct fl_requirement {
    fl_asked asked;
    int port;      /* FL_PORT_DIE or FL_PORT_BOARD; of a return loss */
    bool at_least; /* else at most */
    double limit_db;
    double weight;
    size_t band;  /* into bands */
    bool implied; /* none was given: the return loss at the board port, as high as it goes */
} fl_requirement;

typedef struct fl_band {
    double low, high; /* Hz */
} fl_band;

/** A file that the design, or a model file it uses, names. */
typedef struct fl_named_file {
    const struct fl_named_file *next;
    const char *name;    /* from the design's folder, as written: "parts/lead.json", without ".." */
    const char *written; /* the same with every step: "parts/../lead.json" needs a folder parts */
    const char *path;    /* where it is */
    bool installed;      /* an installed model, found as such under this name */
    const char *problem; /* why it can be found under its name here only; NULL: nothing */
} fl_named_file;

/** A package's body, of the design or of a model file it uses. */
typedef struct fl_body {
    struct fl_body *next;
    double length, width, height; /* m, of the mould */
    double permittivity;          /* of the mould, relative */
    double paddle;                /* m, its length; 0: none is given */
    const char *place;            /* "model.json:12:5: body", for messages */
} fl_body;

/** How parts are made, as far as they share draws: all dice of a wafer its draws, all wafers of a
 * lot those of the lot. */
typedef struct fl_plan {
    uint64_t wafers; /* of a lot; 0: no plan, every part has all draws of its own */
    uint64_t dice;   /* of a wafer */
} fl_plan;

/** How the samples of a yield lie in the space of their draws. */
typedef enum fl_sampling {
    FL_SAMPLING_RANDOM,
    FL_SAMPLING_SOBOL,      /* scrambled Sobol points */
    FL_SAMPLING_LATIN,      /* Latin hypercubes */
    FL_SAMPLING_IMPORTANCE, /* towards failure, weighted */
    FL_SAMPLING_COUNT
} fl_sampling;

/** Points that are more even than random ones. */
bool fl_sampling_is_even(fl_sampling sampling);

/** Word of a design file. */
const char *fl_sampling_name(fl_sampling sampling);

/** Randomisations of points that are more even than random ones, and the most samples in all: each
 * of them counts its passes in 32 bits. */
enum { FL_REPLICATES = 16 };
#define FL_EVEN_SAMPLES ((uint64_t)FL_REPLICATES << 31)

/** Samples to be drawn where so many are asked for: of even points FL_REPLICATES times a power of
 * two, at least 1024; left alone beyond FL_EVEN_SAMPLES, which are refused when they are drawn. */
uint64_t fl_sampling_samples(fl_sampling sampling, uint64_t samples);

/** Most wafers of all lots together: a yield keeps a count for each. */
enum { FL_WAFER_LIMIT = 1000000 };

struct fl_design {
    fl_arena arena; /* owns all below */
    const char *title;
    const char *file;   /* as named by the caller */
    const char *folder; /* of file */
    const char *models; /* folder of installed models; may be NULL */
    const char *text;   /* source */
    size_t length;
    size_t points;
    const fl_band *bands; /* [0] is the design's band; then those of requirements, each once */
    size_t band_count;
    fl_body *bodies; /* in the order of reading */
    fl_port ports[FL_PORTS];
    const fl_requirement *requirements; /* at least one */
    size_t requirement_count;
    const fl_quantity *quantities;
    size_t quantity_count;
    const char *const *groups;
    size_t group_count;
    const fl_correlation *correlations;
    size_t correlation_count;
    const fl_draw *draws;
    size_t draw_count;
    const fl_case *cases; /* at least one; the only one is named "nominal" if none was given */
    size_t case_count;
    uint64_t samples; /* of a yield; default 10000, with a plan those of its lots */
    fl_plan plan;
    fl_sampling sampling;
    double precision;  /* half-width of the interval at which a yield stops; 0: at its samples */
    double confidence; /* 0 < confidence < 1; default 0.95 */
    uint64_t seed;     /* default 1 */
    uint64_t checksum; /* of the text and of all model files */
    /** Named by the design, or by a file that is no installed model. */
    const fl_named_file *files;
    const char **warnings;
    size_t warning_count;
    struct fl_groundwork *groundwork; /* data files as read once; fairlead.c's, at first NULL */
};

/** What a design is read from. */
typedef struct fl_design_source {
    const char *text; /* [length], a NUL behind it not needed */
    size_t length;
    const char *name;            /* of the file */
    const char *models_folder;   /* of installed models; may be NULL */
    const fl_kind *const *kinds; /* [kind_count] known kinds of sections; outlive the design */
    size_t kind_count;
} fl_design_source;

/** Reads a design. Behind fl_design_parse. */
fl_status fl_design_resolve(fl_design **design, const fl_design_source *source, fl_error *error);

/** Frees a design; NULL does nothing. Behind fl_design_free. */
void fl_design_release(fl_design *design);

/** A file that sections or ports name, each once, in the order of ports and cases; NULL past the
 * last. */
const char *fl_design_data_file(const fl_design *design, size_t index);

/** Kinds in use, each once, in the order of cases: writes up to room, returns how many. */
size_t fl_design_kinds(const fl_design *design, const fl_kind **kinds, size_t room);

/**
 * A design as bytes (carry.c): what a study needs of it, with values [quantity_count] as present
 * ones. Kinds go by their index in kinds [kind_count], data files by theirs; neither texts nor
 * names of files go with it.
 */
void fl_design_pack(fl_text *text, const fl_design *design, const double *values,
                    const fl_kind *const *kinds, size_t kind_count);

/** The same back, in the arena of what is read: not released by itself. Every index is within its
 * bounds; NULL when the bytes cannot be. */
fl_design *fl_design_unpack(fl_unpack *from, const fl_kind *const *kinds, size_t kind_count);

/** Adds a warning; text is copied. Only while the design is not yet shared between threads. */
fl_status fl_design_warn(fl_design *design, const char *text, fl_error *error);

/** Present values, [quantity_count]. */
void fl_design_start(const fl_design *design, double *quantities);

/** Value of a term at the given quantities. */
double fl_term_value(const fl_term *term, const double *quantities);

/** Total standard deviation of a quantity's spread about a nominal value, SI. Variances of the
 * components add; a uniform has half-width / sqrt(3), a truncated normal its exact variance. */
double fl_quantity_sigma(const fl_quantity *quantity, double nominal);

/** Dice of a lot; 0 without a plan. */
uint64_t fl_plan_dice(const fl_plan *plan);

/** Key of a parameter where it is written: "length" in a section, "height" in its substrate. */
const char *fl_parameter_key(const fl_parameter *parameter);

/** Whether sections of a kind are on a substrate. */
bool fl_kind_has_substrate(const fl_kind *kind);

/** Whether a finite value obeys a rule (rule.c). */
bool fl_rule_holds(fl_rule rule, double value);

/** Whether a rule is for whole numbers, which are neither sized nor spread. */
bool fl_rule_whole(fl_rule rule);

/**
 * Reads "62 fF" as 62e-15, correctly rounded. SI prefixes f p n u µ m k M G T; "dB/mm" and "%".
 * @param[in] dimension what is expected; a bare number only for FL_NUMBER.
 * @return FL_OK; FL_BAD_INPUT, the message saying what was expected and found.
 */
fl_status fl_unit_read(double *value, const char *text, fl_dimension dimension, fl_error *error);

/** Dimension of a "number unit" text, by its unit; false if it is none. */
bool fl_unit_dimension(fl_dimension *dimension, const char *text);

/** SI unit of a dimension: "F", "ohm", "m", "" for a number, "dB/m". */
const char *fl_unit_name(fl_dimension dimension);

/** Room for any text that fl_unit_text writes, with its NUL. */
enum { FL_UNIT_ROOM = 64 };

/** "62 fF": digits significant digits, trailing zeros dropped; digits 0: as many as read back the
 * same double. The prefix puts the number in 1 to 1000. */
void fl_unit_text(char text[FL_UNIT_ROOM], double value, fl_dimension dimension, int digits);

/** "lot", "wafer", "die", "assembly", "board". */
const char *fl_level_name(fl_level level);
/** "die", "package", "board". */
const char *fl_side_name(fl_side side);
/** "return loss", "insertion loss", "rejection". */
const char *fl_asked_name(fl_asked asked);

/** Where the start of a size stands in the design's text, or goes. */
typedef struct fl_start_place {
    size_t quantity;   /* the first that has this definition */
    size_t begin, end; /* bytes of the text that give way */
    bool fresh;        /* there is no start yet: its key is needed too */
} fl_start_place;

/** All of a design, in the order of its text; places do not overlap. */
typedef struct fl_start_list {
    const fl_start_place *places;
    size_t count;
} fl_start_list;

/** Places in the arena (start.c). */
fl_status fl_start_list_find(fl_start_list *list, fl_arena *arena, const fl_design *design,
                             fl_error *error);

/** The design's text with values [quantity_count] in these places; as fl_design_with_starts. */
fl_status fl_start_list_fill(char **text, size_t *length, const fl_design *design,
                             const fl_start_list *list, const double *values, fl_error *error);

/** The text of a design with the places of its starts, as bytes, and back into a design. */
void fl_start_list_pack(fl_text *text, const fl_design *design, const fl_start_list *list);
void fl_start_list_unpack(fl_start_list *list, fl_unpack *from, fl_design *design);

/**
 * The design's text with new starts: for each sized quantity (index into quantities) the value in
 * values [quantity_count], written into or beside its "size". A per-case size gets a list of
 * starts in the order of the cases.
 * @param[out] text a new block; free with fl_memory_free.
 */
fl_status fl_design_with_starts(char **text, size_t *length, const fl_design *design,
                                const double *values, fl_error *error);

#endif
