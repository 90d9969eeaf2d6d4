/** What the files of this folder know of the groundwork. Private. */
#ifndef FL_PATH_GROUNDWORK_H
#define FL_PATH_GROUNDWORK_H

#include "path/path.h"

typedef struct fl_data_file {
    const char *file; /* the design's */
    fl_network *network;
} fl_data_file;

/** Networks of the data files, each read once (files.c). */
typedef struct fl_data_files {
    fl_data_file *entries;
    size_t count;
} fl_data_files;

struct fl_groundwork {
    const fl_design *design;
    fl_arena arena;
    fl_setting setting;
    const fl_groundwork *plain; /* whose files these are; NULL: its own */
    fl_data_files files;
    fl_prepared ***prepared; /* [case_count][section_count], NULL before fits; else NULL entries */
    fl_prepared **owned;     /* [owned_count] of them */
    size_t owned_count;
    struct fl_solution **solutions; /* [solution_count] that they share */
    size_t solution_count;
    const char **warnings;
    size_t warning_count, warning_room;
};

/** Fills the setting from the design's bands. */
void fl_groundwork_init_setting(fl_groundwork *groundwork);

/** Adds a warning; text lives in the arena; NULL is out of memory. Each text once. */
fl_status fl_groundwork_warn(fl_groundwork *groundwork, const char *text, fl_error *error);

/** Takes the lists of prepared sections, all NULL. */
fl_status fl_groundwork_take_prepared(fl_groundwork *groundwork, fl_error *error);

/** Lays one section out, unless its model is one of closed formulas. */
fl_status fl_groundwork_prepare(fl_groundwork *groundwork, size_t case_index, size_t index,
                                const fl_vary *vary, fl_error *error);

/** Solves or fits all that was laid out, on so many threads. */
fl_status fl_groundwork_solve(fl_groundwork *groundwork, int threads, fl_error *error);

/** Warns of resonances of bodies in or near the bands (resonance.c). */
fl_status fl_resonances_warn(fl_groundwork *groundwork, fl_error *error);

fl_status fl_data_files_read(fl_groundwork *groundwork, fl_error *error);
void fl_data_files_release(fl_data_files *files);
uint64_t fl_data_files_checksum(const fl_data_files *files);
const fl_network *fl_data_files_find(const fl_data_files *files, const char *file);

/** Whether given parameters obey their rules and all fit together. */
bool fl_section_physical(const fl_section *section, const double *parameters);

/** A section in a study. */
typedef struct fl_varied {
    const fl_design *design;
    const fl_setting *setting;
    const fl_vary *vary;
    const fl_section *section;
} fl_varied;

/** Lays a costly section out, with a solution of its own that is not made yet (solution.h). */
fl_status fl_prepared_new(fl_prepared **prepared, const fl_varied *of, fl_error *error);

/** Frees all but the solution. */
void fl_prepared_free(fl_prepared *prepared);

struct fl_solution *fl_prepared_solution(const fl_prepared *prepared);

/** Takes another's solution, not made yet, in place of its own where both come to the same; else
 * false. */
bool fl_prepared_share(fl_prepared *prepared, struct fl_solution *solution);

/** The same values of FL_LANES samples, in rows of values; scratch as the fit needs it. */
void fl_prepared_lanes(const fl_prepared *prepared, const fl_path_block *block,
                       double (*values)[FL_LANES]);
size_t fl_prepared_room(const fl_prepared *prepared);

/** Whether the fit is good at the design's quantities. */
bool fl_prepared_covers(const fl_prepared *prepared, const double *quantities);

/** Error of the fit, 0 if nothing varies. */
double fl_prepared_error(const fl_prepared *prepared);

/**
 * Values [form_count][FL_VALUES] at the design's quantities, and their derivatives
 * jacobian [form_count][FL_VALUES][quantity_count], which is zero before; NULL: not wanted.
 * Outside the fit's range the model is solved anew, without derivatives. False if that fails.
 */
bool fl_prepared_values(const fl_prepared *prepared, const double *quantities,
                        double (*values)[FL_VALUES], double *jacobian);

#endif
