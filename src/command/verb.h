/**
 * The verbs of the command, one file each, and what they share. A verb's entry gives its usage and
 * help; most verbs are a study of a design, which study.c runs.
 */
#ifndef FL_COMMAND_VERB_H
#define FL_COMMAND_VERB_H

#include "command/options.h"

/** Exit codes. */
enum {
    FL_EXIT_DONE = 0,
    FL_EXIT_MISSED = 1, /* a requirement is not met */
    FL_EXIT_USAGE = 2,  /* bad usage or bad input */
    FL_EXIT_FAILED = 3, /* a file could not be read or written, or memory ran out */
    FL_EXIT_INTERRUPTED = 130
};

typedef struct fl_verb fl_verb;

struct fl_verb {
    const char *name, *operands; /* "size", "DESIGN" */
    const char *summary;         /* one line */
    const char *example;         /* a call */
    const char *details;         /* paragraphs of help, broken into lines */
    unsigned options;            /* bits of fl_option */
    bool judges;                 /* a requirement missed is an exit code */
    /** Makes the result; verbs of a design only. */
    fl_status (*study)(fl_result **result, const fl_design *design, const fl_options *options,
                       fl_error *error);
    /** Runs the verb; returns the exit code. */
    int (*run)(const fl_verb *verb, const fl_line *line);
    void (*more_help)(void); /* may be NULL */
};

extern const fl_verb fl_verb_check, fl_verb_response, fl_verb_size, fl_verb_sensitivity,
    fl_verb_yield, fl_verb_model;

/** study.c: reads the design, runs the verb's study and prints its result. */
int fl_run_study(const fl_verb *verb, const fl_line *line);

/** output.c: prints a result and writes its files, as the options ask; returns the status. */
fl_status fl_show_result(const fl_result *result, const fl_line *line, fl_error *error);

/** output.c: flushes and closes standard output, once, last of all. Bytes that could not be
 * written are an error, but nothing is said of a reader that went away. */
fl_status fl_close_output(fl_error *error);

/** output.c: "fairlead: PLACE: message" on standard error. */
void fl_print_error(const fl_error *error);

/** output.c: "fairlead: warning: message" on standard error. */
void fl_print_warning(const char *message);

/** output.c: exit code of a status; met is asked of FL_OK only. */
int fl_exit_code(fl_status status, bool met);

/** progress.c: catches interrupts, and sets a study to ask for them and to show progress. */
void fl_watch(fl_options *options, bool quiet);

/** terminal.c: whether standard output is a terminal. */
bool fl_is_terminal(void);

/** terminal.c: columns of the terminal: COLUMNS, else what it says, else 80. */
int fl_terminal_columns(void);

/** terminal.c: whether it shows block characters: a UTF-8 locale, and no dumb terminal. */
bool fl_terminal_blocks(void);

/** progress.c: clears the line of progress. */
void fl_watch_end(void);

#endif
