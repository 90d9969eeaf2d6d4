/**
 * The command: finds the verb, prints help, and closes standard output. What a verb does is in
 * the file of its name.
 */
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "command/nearest.h"
#include "command/ranks.h"
#include "command/verb.h"

static const fl_verb *const VERBS[] = {&fl_verb_check,       &fl_verb_response, &fl_verb_size,
                                       &fl_verb_sensitivity, &fl_verb_yield,    &fl_verb_model};
enum { VERB_COUNT = sizeof VERBS / sizeof VERBS[0] };

/** By its whole name: a shortened one may come to mean another. */
static const fl_verb *find_verb(const char *name)
{
    for (size_t i = 0; i < VERB_COUNT; i++)
        if (strcmp(VERBS[i]->name, name) == 0)
            return VERBS[i];
    return NULL;
}

/** Offers the nearest verb, but never runs it. */
static int fail_unknown(const char *name)
{
    fl_error error = {0};
    const char *names[VERB_COUNT + 1] = {"help"};
    for (size_t i = 0; i < VERB_COUNT; i++)
        names[i + 1] = VERBS[i]->name;
    const char *nearest = fl_nearest_word(name, strlen(name), names, VERB_COUNT + 1);
    if (nearest)
        fl_usage_fail(&error, "unknown verb '%s', did you mean '%s'", name, nearest);
    else
        fl_usage_fail(&error, "unknown verb '%s'; 'fairlead help' lists them", name);
    fl_print_error(&error);
    return FL_EXIT_USAGE;
}

/** An example first: most who ask want to start. */
static int print_help(void)
{
    printf("Example:\n  fairlead size absorb.json --out results\n\n"
           "Sizes compensation networks between a millimetre-wave chip and a board.\n\n"
           "Usage:\n  fairlead VERB ... [OPTION ...]\n  fairlead help [VERB]\n\nVerbs:\n");
    for (size_t i = 0; i < VERB_COUNT; i++)
        printf("  %-12s %s\n", VERBS[i]->name, VERBS[i]->summary);
    printf("\nOptions, of the verbs that use them:\n");
    fl_options_print(~0U);
    printf("\nExit codes:\n"
           "  0    done, and every requirement is met\n"
           "  1    done, but a requirement is not met\n"
           "  2    bad usage or bad input\n"
           "  3    a file could not be read or written, or memory ran out\n"
           "  130  interrupted; the best so far is printed\n");
    return FL_EXIT_DONE;
}

/** From the verb's entry and the table of options. */
static int print_verb_help(const fl_verb *verb)
{
    printf("Example:\n  %s\n\nUsage:\n  fairlead %s %s [OPTION ...]\n\n%s\nOptions:\n",
           verb->example, verb->name, verb->operands, verb->details);
    fl_options_print(verb->options | FL_OPTION_HELP);
    if (verb->more_help)
        verb->more_help();
    return FL_EXIT_DONE;
}

/** "help", "help VERB", "VERB --help", "--help" and nothing at all. */
static int help(const fl_line *line)
{
    const bool asked = line->count > 0 && strcmp(line->operands[0], "help") == 0;
    const size_t index = asked ? 1 : 0;
    if (line->count <= index)
        return print_help();
    const fl_verb *verb = find_verb(line->operands[index]);
    return verb ? print_verb_help(verb) : fail_unknown(line->operands[index]);
}

/** Help and version go before all else, so that they work on any line. */
static int run(const fl_line *line)
{
    fl_error error = {0};
    if (line->given & FL_OPTION_VERSION) {
        printf("fairlead %s\n", fl_version());
        return FL_EXIT_DONE;
    }
    if (line->count == 0 && line->given && !(line->given & FL_OPTION_HELP)) {
        fl_print_error(
            (fl_usage_fail(&error, "expected a verb; 'fairlead help' lists them"), &error));
        return FL_EXIT_USAGE;
    }
    if (line->count == 0 || line->given & FL_OPTION_HELP || strcmp(line->operands[0], "help") == 0)
        return help(line);
    const fl_verb *verb = find_verb(line->operands[0]);
    if (!verb)
        return fail_unknown(line->operands[0]);
    if (fl_line_check(line, verb->name, verb->options | FL_OPTIONS_ALWAYS, &error) != FL_OK) {
        fl_print_error(&error);
        return FL_EXIT_USAGE;
    }
    return verb->run(verb, line);
}

/** A reader that goes away is found out by the write that fails, after the files are written; the
 * signal would end the program before. */
int main(int argc, char **argv)
{
    fl_line line;
    fl_error error = {0};
    signal(SIGPIPE, SIG_IGN);
    const fl_ranks *ranks = fl_ranks_join(&argc, &argv);
    fl_status status = fl_line_read(&line, argc, argv, &error);
    if (status != FL_OK)
        fl_print_error(&error);
    line.ranks = ranks;
    int code = status == FL_OK ? run(&line) : fl_exit_code(status, false);
    status = fl_close_output(&error);
    if (status != FL_OK) {
        code = fl_exit_code(status, false);
        if (error.message[0])
            fl_print_error(&error);
    }
    return fl_ranks_leave(code);
}
