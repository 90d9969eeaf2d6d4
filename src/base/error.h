/**
 * Errors as values: see fl_error in fairlead.h.
 *
 * The deepest function that knows writes the message; callers pass the status up and may only
 * prefix the place. Every function here accepts error == NULL.
 */
#ifndef FL_BASE_ERROR_H
#define FL_BASE_ERROR_H

#include "fairlead.h"

/** Fills the error (place "" when NULL is given) and returns status; text too long is cut. */
fl_status fl_fail(fl_error *error, fl_status status, const char *place, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/** Out of memory; needs no memory itself. */
fl_status fl_fail_memory(fl_error *error);

/** Puts "prefix: " (": " only if a place is there already) before the place. Returns status. */
fl_status fl_fail_within(fl_error *error, fl_status status, const char *prefix);

#endif
