/** A costly section apart from its length and from the names of its quantities, so that sections of
 * several cases share it. Private. */
#ifndef FL_PATH_SOLUTION_H
#define FL_PATH_SOLUTION_H

#include "path/groundwork.h"

/** Ranges that are tried, from the widest. */
enum { FL_REACHES = 3 };

/** In sigmas of a normal spread. */
extern const double fl_solution_reaches[FL_REACHES];

/** Lowest and highest value of a quantity, with normal spreads out to `reach` sigmas, less what
 * the rules of the section's parameters forbid. */
void fl_range(double ends[2], const fl_varied *of, size_t quantity, double reach);

/** Length of a line for which it is solved, m: one that no loss is too great for. */
extern const double fl_solution_length;

typedef struct fl_solution {
    fl_section section; /* terms by inputs; a length is fl_solution_length */
    fl_term terms[FL_PARTIALS];
    const fl_setting *setting;
    size_t input_count;
    double low[FL_REACHES][FL_FIT_INPUTS], high[FL_REACHES][FL_FIT_INPUTS];
    double longest[FL_REACHES]; /* length of a line, in fl_solution_length; 0: no line */
    /* What fl_solution_make finds. */
    size_t reach;
    double *constant; /* [form_count][FL_VALUES] when nothing varies */
    fl_fit *fit;      /* else */
    fl_status status;
    fl_error error;
} fl_solution;

/** A section made ready. */
struct fl_prepared {
    const fl_section *section;
    const fl_setting *setting;
    size_t quantity_count;      /* of the design */
    size_t varied[FL_PARTIALS]; /* quantities of the solution's inputs */
    fl_solution *solution;      /* shared */
    fl_term length;             /* in lengths of the solution; without a line always 1 */
    double shortest[FL_REACHES], longest[FL_REACHES]; /* as far as the study goes */
};

/**
 * Lays a solution out, with nothing solved yet.
 * @param[out] varied [FL_PARTIALS] the quantity of each input.
 */
void fl_solution_init(fl_solution *solution, size_t *varied, const fl_varied *of);

/** Whether two come to the same, but for the lengths of lines. */
bool fl_solution_alike(const fl_solution *a, const fl_solution *b);

/** Solves or fits; status and error tell how it went. Several may be made at once. */
void fl_solution_make(fl_solution *solution);
void fl_solution_free(fl_solution *solution);

#endif
