/**
 * The options of the command: one table gives parsing, usage and help. Options may stand anywhere
 * on the line, as "--name value" or "--name=value"; "--" ends them.
 */
#ifndef FL_COMMAND_OPTIONS_H
#define FL_COMMAND_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fairlead.h"

/** Options a verb may take: a bit for each. */
typedef enum fl_option {
    FL_OPTION_JSON = 1 << 0,
    FL_OPTION_OUT = 1 << 1,
    FL_OPTION_SAMPLES = 1 << 2,
    FL_OPTION_SEED = 1 << 3,
    FL_OPTION_THREADS = 1 << 4,
    FL_OPTION_QUIET = 1 << 5,
    FL_OPTION_HELP = 1 << 6,
    FL_OPTION_VERSION = 1 << 7,
    FL_OPTION_AT = 1 << 8,
    FL_OPTION_SWEEP = 1 << 9,
    FL_OPTION_CHECKPOINT = 1 << 10,
    FL_OPTION_RESUME = 1 << 11
} fl_option;

/** What each verb takes, those of results, and those of studies that draw or search. */
#define FL_OPTIONS_ALWAYS (FL_OPTION_HELP | FL_OPTION_VERSION)
#define FL_OPTIONS_RESULT (FL_OPTION_JSON | FL_OPTION_OUT | FL_OPTION_QUIET)
#define FL_OPTIONS_STUDY (FL_OPTION_SAMPLES | FL_OPTION_SEED | FL_OPTION_THREADS)

/** Times that an option may be repeated which can be. */
enum { FL_REPEATS = 32 };

/** A command line taken apart. */
typedef struct fl_line {
    unsigned given; /* bits of fl_option */
    const char *out, *sweep, *checkpoint;
    const char *at[FL_REPEATS]; /* [at_count] */
    size_t at_count;
    int64_t samples, seed, threads;
    const fl_ranks *ranks; /* that the process runs in; NULL: alone */
    char **operands;       /* [count], what is no option: the verb first; into the argument list */
    size_t count;
} fl_line;

/**
 * Takes the arguments apart; moves the operands to the front of argv.
 * @return FL_OK; FL_BAD_INPUT.
 */
fl_status fl_line_read(fl_line *line, int argc, char **argv, fl_error *error);

/** Fails if an option was given that is not among taken, bits of fl_option. */
fl_status fl_line_check(const fl_line *line, const char *verb, unsigned taken, fl_error *error);

/** Prints a line of help for each option among taken. */
void fl_options_print(unsigned taken);

/** Fills an error of bad usage; returns FL_BAD_INPUT. */
fl_status fl_usage_fail(fl_error *error, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#endif
