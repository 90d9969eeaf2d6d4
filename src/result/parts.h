/** What the files of result/ share. */
#ifndef FL_RESULT_PARTS_H
#define FL_RESULT_PARTS_H

#include <math.h>

#include "result/result.h"

/** A number that is not known, as a double: the macro of math.h is a float. */
#define FL_UNKNOWN ((double)NAN)

/** Copies a text into the result's arena; NULL stays NULL. False when out of memory. */
bool fl_result_text(fl_result *result, const char **copy, const char *text);

/** Copies the name of a quantity and of the case it belongs to (NULL: all cases). */
bool fl_result_name(fl_result *result, const char **name, const char **case_name,
                    const fl_design *design, size_t quantity);

/** Lists the files that the design names, without their bytes. False when out of memory. */
bool fl_result_files(fl_result *result, const fl_design *design);

/** Makes the list of cases, with their names and nothing known; does nothing if it is there. */
fl_status fl_result_cases(fl_result *result, const fl_design *design, fl_error *error);

/** Envelopes and levels of the pictures, whose frequencies are there; marks the result as
 * interrupted when it is. */
fl_status fl_result_production(fl_result *result, fl_result_pictures *pictures,
                               const fl_study *study, const double *quantities, fl_error *error);

/** What the kinds in use leave out, and what to mind whatever the design. */
fl_status fl_result_notes(fl_result *result, fl_result_pictures *pictures, const fl_design *design,
                          fl_error *error);

#endif
