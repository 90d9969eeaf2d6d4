/**
 * Reading a design: what the files of this folder share while a design is built. Private.
 *
 * The path is opened out once for each case. A case has a flat table of its named quantities
 * (bindings) under their absolute names, "package/mould permittivity", and one of the definitions
 * that `set` puts in their place (overrides). Sections go straight into the design; quantities go
 * into entries, which all cases share, and become the design's quantities and draws at the end.
 */
#ifndef FL_DESIGN_READER_H
#define FL_DESIGN_READER_H

#include "base/file.h"
#include "design/design.h"
#include "design/json.h"

/** Limits of a design, all cases together. */
enum {
    FL_SECTION_LIMIT = 10000,
    FL_QUANTITY_LIMIT = 1000,
    FL_CASE_LIMIT = 100,
    FL_REQUIREMENT_LIMIT = 100,
    FL_INCLUDE_LIMIT = 16,   /* files within files */
    FL_COMPONENT_LIMIT = 20, /* of one spread */
    FL_NAME_LIMIT = 200,     /* bytes */
    FL_TITLE_LIMIT = 1000
};

/** Entries of a constant table. */
#define FL_COUNT(table) (sizeof(table) / sizeof *(table))

/* ---- lookup.c: a table from names to things ---- */

typedef struct fl_lookup {
    fl_arena *arena;
    struct fl_lookup_slot *slots;
    size_t room, count;
} fl_lookup;

void fl_lookup_init(fl_lookup *lookup, fl_arena *arena);

/** The thing under the name prefix + name; NULL if there is none. */
void *fl_lookup_get(const fl_lookup *lookup, const char *prefix, const char *name);

/** Puts a thing (not NULL) under a new name, which is borrowed. False when out of memory. */
bool fl_lookup_put(fl_lookup *lookup, const char *name, void *thing);

/* ---- files, places ---- */

/** A design or model file. */
typedef struct fl_source {
    struct fl_source *next;
    fl_json json;
    char *text;         /* a block; NULL for the design, whose text is in its arena */
    const char *folder; /* where files that it names are looked for first */
    const char *kept;   /* this folder from that of the design, as the use in hand names it: "",
                           "parts"; NULL: an installed model */
    const cJSON *quantities, *substrates, *correlations; /* NULL: the file has none */
    const cJSON *sections;
    fl_band valid; /* where its models hold; high 0: not said */
    bool open;     /* being opened out: a loop if met again */
    bool whole;    /* its path is used; else at most its substrates are */
} fl_source;

/** A node and the file it is in. */
typedef struct fl_spot {
    fl_source *source;
    const cJSON *node;
} fl_spot;

/** What a file's path is opened out into. */
typedef struct fl_scope {
    const struct fl_scope *outer; /* of the file that names this one; NULL for the design */
    fl_source *source;
    const char *prefix; /* of absolute names: "" or "package/" */
    size_t only_case;   /* FL_NONE, or the case that alone has it */
    fl_side side;       /* of sections without a side; not for the design */
    size_t depth;
    bool lent; /* only a substrate of the file is used */
} fl_scope;

/** A definition as written. */
typedef struct fl_definition {
    fl_spot spot;
    const fl_scope *scope; /* where "@name" is looked up */
    size_t only_case;
} fl_definition;

/** A definition from a `set`. */
typedef struct fl_override {
    fl_definition definition;
    const cJSON *under; /* what an inner `set` would put there; NULL: nothing */
    bool matched;       /* something has that name */
    bool dropped;       /* a plain value where a spread was */
} fl_override;

/** A named quantity of one case. */
typedef struct fl_binding {
    const char *name; /* absolute */
    fl_definition definition;
    enum { FL_UNREAD, FL_OPEN, FL_READ } state;
    const struct fl_binding *next; /* what it is being read from */
    fl_term term;
    fl_dimension dimension;
} fl_binding;

/** Whether something with a name is used in any case. */
typedef struct fl_usage {
    struct fl_usage *next;
    const char *what; /* "quantity", "substrate" */
    const char *name;
    fl_spot spot;
    const struct fl_usage *within; /* unused as a whole, it is named alone; may be NULL */
    bool used;
} fl_usage;

/** A section or a substrate, whose values are quantities named "name key". */
typedef struct fl_owner {
    const char *name; /* absolute */
    fl_definition definition;
    const struct fl_owner *under; /* of a substrate with "use": the entry of the file; else NULL */
} fl_owner;

/** A name by which the case in hand may set a value of a section or a substrate. */
typedef struct fl_claim {
    struct fl_claim *next; /* of substrates */
    const char *name;      /* absolute */
    const cJSON *owner;
    bool substrate;
} fl_claim;

/** A spread's component before draws are numbered. */
typedef struct fl_component {
    fl_spread spread;
    bool levelled;     /* a level was given */
    const char *group; /* NULL: none */
} fl_component;

/** A quantity of the design in the making. */
typedef struct fl_entry {
    fl_quantity quantity;
    fl_spot spot;
    fl_component *components; /* [quantity.spread_count] */
    unsigned sides;           /* a bit for each side that uses it */
    struct fl_entry *next;    /* of the same name */
} fl_entry;

typedef struct fl_reader {
    fl_design *design;
    fl_error *error;
    const fl_kind *const *kinds;
    size_t kind_count;
    fl_arena arena; /* lives as long as the reader */
    fl_arena draft; /* lives as long as the case in hand */
    fl_source *sources, *last_source;
    fl_source *main;
    fl_section *sections; /* of all cases, [FL_SECTION_LIMIT] */
    size_t section_count;
    fl_entry *entries; /* [FL_QUANTITY_LIMIT] */
    size_t entry_count;
    fl_lookup entry_names;
    fl_usage *usages, *last_usage;
    fl_lookup usage_names, warned, found_files, named_files, written_files;
    fl_named_file *last_file;
    size_t case_count;
    /* The case in hand. */
    size_t case_index;
    fl_binding *bindings; /* [FL_QUANTITY_LIMIT] */
    size_t binding_count;
    fl_lookup binding_names, overrides, replacements, section_names, claims, substrates;
    fl_claim *substrate_claims;
    size_t substrate_claim_count;
} fl_reader;

/* ---- value.c: words and numbers ---- */

/** A key of an object: how its value is read. */
typedef struct fl_key {
    const char *name;
    bool required;
    fl_status (*read)(fl_reader *reader, fl_spot spot, void *target); /* NULL: read elsewhere */
} fl_key;

fl_status fl_spot_fail(fl_reader *reader, fl_spot spot, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/** Adds the place to an error filled without one. */
fl_status fl_spot_fail_at(fl_reader *reader, fl_spot spot, fl_status status);
/** Adds a warning with its place, each text once. */
fl_status fl_spot_warn(fl_reader *reader, fl_spot spot, const char *text);
/** Value of a key; its node is NULL if the object has no such key. */
fl_spot fl_spot_child(fl_spot spot, const char *key);

/** Refuses unknown keys, demands the required ones, and reads in the order of keys [count]. */
fl_status fl_object_read(fl_reader *reader, fl_spot spot, const fl_key *keys, size_t count,
                         void *target);

enum { FL_EXCERPT_ROOM = 68 };

/** At most 60 bytes of text, cut between characters, for a message. */
const char *fl_excerpt(char excerpt[FL_EXCERPT_ROOM], const char *text);

/** Says that a word is unknown, with the nearest of words [count]: "no WHAT 'x', did you mean 'y'".
 */
fl_status fl_word_unknown(fl_reader *reader, fl_spot spot, const char *what, const char *word,
                          const char *const *words, size_t count);

/** Refuses what is no name: empty, longer than FL_NAME_LIMIT, control characters. */
fl_status fl_name_check(fl_reader *reader, fl_spot spot, const char *name);
/** A name or a title as a string of the tree. */
fl_status fl_name_read(fl_reader *reader, fl_spot spot, const char **name);
fl_status fl_string_read(fl_reader *reader, fl_spot spot, size_t limit, const char **string);
fl_status fl_flag_read(fl_reader *reader, fl_spot spot, bool *flag);
/** Index of a string among words [count]. */
fl_status fl_word_read(fl_reader *reader, fl_spot spot, const char *const *words, size_t count,
                       size_t *index);
fl_status fl_number_node_read(fl_reader *reader, fl_spot spot, double *number);
/** A whole number from low to high. */
fl_status fl_whole_read(fl_reader *reader, fl_spot spot, double low, double high, double *number);
/** A value of a dimension, finite. */
fl_status fl_value_read(fl_reader *reader, fl_spot spot, fl_dimension dimension, double *value);
/** As fl_value_read, and obeying a rule. */
fl_status fl_value_read_ruled(fl_reader *reader, fl_spot spot, fl_dimension dimension, fl_rule rule,
                              double *value);
/** "must be positive" and so on. */
const char *fl_rule_text(fl_rule rule);
/** "a length" and so on. */
const char *fl_dimension_text(fl_dimension dimension);

/* ---- quantity.c, entry.c, spread.c ---- */

/** A definition to be read, and what it came to. */
typedef struct fl_ask {
    const char *name; /* absolute */
    fl_definition definition;
    bool named;             /* an entry of quantities: its dimension is found, not expected */
    fl_dimension dimension; /* expected or found */
    fl_term term;           /* found */
} fl_ask;

fl_status fl_definition_read(fl_reader *reader, fl_ask *ask);
/** A definition with a value of its own (entry.c). */
fl_status fl_entry_read(fl_reader *reader, fl_ask *ask);
/** True for a number, or a string that is not a reference. */
bool fl_definition_plain(const cJSON *node);
/** True for a definition with a spread. */
bool fl_definition_spread(const cJSON *node);
/** Puts the definition that `set` gives for a name in the place of another. */
void fl_definition_choose(fl_reader *reader, const char *name, fl_definition *definition);
/** Names the quantities of a scope and reads them. */
fl_status fl_quantities_read(fl_reader *reader, const fl_scope *scope);
/** Keeps a copy of a usage under a key, unless there is one; its texts are borrowed. */
fl_status fl_usage_note(fl_reader *reader, const char *key, const fl_usage *usage);
/** Warns of quantities and substrates that no case uses. */
fl_status fl_usages_warn(fl_reader *reader);
/** Spread of an entry whose dimension is known. */
fl_status fl_spread_read(fl_reader *reader, fl_spot spot, fl_entry *entry);

/* ---- section.c, include.c, case.c ---- */

/** A section as it stands in the path of the case in hand. */
typedef struct fl_site {
    fl_owner owner;
    const fl_scope *scope; /* that it is in */
    fl_side side;
    bool sided; /* the file gives a side */
} fl_site;

/** Reads quantities and path of a scope. */
fl_status fl_scope_read(fl_reader *reader, const fl_scope *scope);
/** Opens a file; each is read once. */
fl_status fl_source_open(fl_reader *reader, const char *path, fl_source **source);
/** Makes a source of text [length], which needs a NUL behind it. */
fl_status fl_source_add(fl_reader *reader, const char *path, const char *text, size_t length,
                        fl_source **source);
/** Version, path and quantities of a source; the design and models have them. */
fl_status fl_source_check(fl_reader *reader, fl_source *source);
void fl_sources_release(fl_reader *reader);
/** A file that a string in a file names. */
fl_status fl_file_find(fl_reader *reader, fl_spot spot, fl_found *found);
/** Opens the file of the "use" of a section or a substrate. */
fl_status fl_use_open(fl_reader *reader, const fl_site *site, fl_scope **scope);
/** Adds to an error in a file that WHAT of the site uses the file; status is passed on. */
fl_status fl_use_blame(fl_reader *reader, const fl_site *site, const char *what, fl_status status);
/** Opens out a section with "use". */
fl_status fl_include_read(fl_reader *reader, const fl_site *site);
fl_status fl_cases_read(fl_reader *reader);

/* ---- set.c ---- */

/** Puts one definition of a `set` in force under prefix and its key. */
fl_status fl_override_add(fl_reader *reader, const fl_definition *definition, const char *prefix);
/** Puts the definitions of a `set` object in force for names that start with prefix. */
fl_status fl_overrides_add(fl_reader *reader, const fl_definition *set, const char *prefix);
/** Refuses keys that named nothing; first: sections from which names may be meant. */
fl_status fl_overrides_check(fl_reader *reader, const fl_definition *set, const char *prefix,
                             size_t first);
/** One warning for all spreads [count > 0] that plain values of a `set` drop, naming the first. */
fl_status fl_dropped_warn(fl_reader *reader, fl_spot set, const char *first, size_t count);

/* ---- substrate.c, stack.c ---- */

/** What any kind takes from a substrate, each key once; both lists have the same order. */
typedef struct fl_substrate_keys {
    const char **names;
    const fl_parameter **parameters;
    size_t count;
} fl_substrate_keys;

/** The "substrates" of a file; target is its fl_source. */
fl_status fl_substrates_read(fl_reader *reader, fl_spot spot, void *target);
/** Notes the substrates of a scope, and what of them varies, as not used so far; opens the files
 * they come from. */
fl_status fl_substrates_note(fl_reader *reader, const fl_scope *scope);
/** Notes that a value of a substrate is used; key "": the substrate itself. */
fl_status fl_substrate_use(fl_reader *reader, const fl_owner *substrate, const char *key);
/** The substrate that a section names: one of its file, else of the files that use it. */
fl_status fl_substrate_find(fl_reader *reader, const fl_site *site, fl_owner *substrate);
/** Opens the file that a substrate comes from, if it does, and puts its entry under the owner
 * (stack.c). */
fl_status fl_substrate_open(fl_reader *reader, fl_owner *substrate, const fl_substrate_keys *keys);
/** Adds to an error in a file that a substrate uses the file; status is passed on. */
fl_status fl_substrate_blame(fl_reader *reader, const fl_owner *substrate, fl_status status);
/** Definition of a value of a section or a substrate: the outermost; its spot may have no node. */
fl_definition fl_owner_value(const fl_owner *owner, const char *key);

/* ---- named.c: what of files a copy of the design needs ---- */

/** Notes a file that a string in a file names. */
fl_status fl_named_note(fl_reader *reader, fl_spot spot, const fl_found *found);
/** Says how the use in hand names the folder of a model file. */
fl_status fl_named_enter(fl_reader *reader, fl_spot spot, const fl_found *found, fl_source *source);

/* ---- body.c ---- */

/** Adds the "body" of a file to the design; target is not used. */
fl_status fl_body_read(fl_reader *reader, fl_spot spot, void *target);

/* ---- band.c, port.c, requirement.c, draws.c, yield.c: parts of the design ---- */

fl_status fl_band_read(fl_reader *reader, fl_spot spot, fl_band *band);
fl_status fl_ports_read(fl_reader *reader, fl_spot spot, void *target);
/** Bands and requirements; an implied one when the spot has no node. The design's band is known. */
fl_status fl_requirements_read(fl_reader *reader, fl_spot spot, const fl_band *band);
/** Turns the entries into quantities and draws, then reads the correlations. */
fl_status fl_draws_number(fl_reader *reader);
/** The "yield": samples, or a plan of lots; target is the fl_design. */
fl_status fl_yield_read(fl_reader *reader, fl_spot spot, void *target);
/** Warns of a plan without any draw that parts share; draws are numbered by then. */
fl_status fl_yield_warn(fl_reader *reader);

#endif
