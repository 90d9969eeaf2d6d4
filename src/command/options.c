/**
 * The options of the command. The table says what each is called, what it takes and what help
 * prints; the fields of numbers are reached by their offset.
 */
#include "command/options.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/nearest.h"

/** One option; what it takes goes to the field at this offset of fl_line. */
typedef struct option_entry {
    fl_option bit;
    const char *name, *argument, *help; /* argument is NULL for a plain switch */
    int64_t low, high;                  /* of a number; both 0: a text */
    size_t field;
} option_entry;

static const option_entry OPTIONS[] = {
    {FL_OPTION_JSON, "json", NULL, "print the result as JSON", 0, 0, 0},
    {FL_OPTION_OUT, "out", "DIR", "write the result's files into this folder", 0, 0,
     offsetof(fl_line, out)},
    {FL_OPTION_AT, "at", "FREQ", "frequency, or several: \"24 GHz,40 GHz\"; may be repeated", 0, 0,
     offsetof(fl_line, at)},
    {FL_OPTION_SWEEP, "sweep", "RANGE", "table over a parameter: \"span=200um:400um:5\"", 0, 0,
     offsetof(fl_line, sweep)},
    {FL_OPTION_SAMPLES, "samples", "N", "Monte Carlo samples, instead of the design's", 1,
     1000000000000, offsetof(fl_line, samples)},
    {FL_OPTION_SEED, "seed", "N", "seed of random numbers, instead of the design's", 0, INT64_MAX,
     offsetof(fl_line, seed)},
    {FL_OPTION_THREADS, "threads", "N", "threads; the result is the same on any number", 1, 256,
     offsetof(fl_line, threads)},
    {FL_OPTION_CHECKPOINT, "checkpoint", "FILE", "write how far a yield has come, now and then", 0,
     0, offsetof(fl_line, checkpoint)},
    {FL_OPTION_RESUME, "resume", NULL, "go on from the checkpoint, if there is one", 0, 0, 0},
    {FL_OPTION_QUIET, "quiet", NULL, "no progress and no warnings", 0, 0, 0},
    {FL_OPTION_HELP, "help", NULL, "print help", 0, 0, 0},
    {FL_OPTION_VERSION, "version", NULL, "print the version", 0, 0, 0}};
enum { OPTION_COUNT = sizeof OPTIONS / sizeof OPTIONS[0] };

/** The message alone: the place is the command line itself. */
fl_status fl_usage_fail(fl_error *error, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(error->message, sizeof error->message, format, arguments);
    va_end(arguments);
    error->status = FL_BAD_INPUT;
    error->place[0] = '\0';
    return FL_BAD_INPUT;
}

/** Finds an option by the part of a text before its end; NULL if there is none. */
static const option_entry *find(const char *name, size_t length)
{
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (strncmp(OPTIONS[i].name, name, length) == 0 && !OPTIONS[i].name[length])
            return &OPTIONS[i];
    return NULL;
}

/** Names the argument as it was given, with its value. */
static fl_status fail_unknown(fl_error *error, const char *argument, size_t length)
{
    const char *names[OPTION_COUNT];
    for (size_t i = 0; i < OPTION_COUNT; i++)
        names[i] = OPTIONS[i].name;
    const char *nearest = fl_nearest_word(argument + 2, length, names, OPTION_COUNT);
    if (nearest)
        return fl_usage_fail(error, "unknown option '%s', did you mean '--%s'", argument, nearest);
    return fl_usage_fail(error, "unknown option '%s'; 'fairlead help' lists them", argument);
}

/** Digits alone: no sign, no blank, no exponent. */
static fl_status read_number(fl_line *line, const option_entry *option, const char *text,
                             fl_error *error)
{
    char *end = NULL;
    errno = 0;
    const long long number = strtoll(text, &end, 10);
    const bool digits = text[0] >= '0' && text[0] <= '9' && !*end;
    if (!digits || errno || number < option->low || number > option->high)
        return fl_usage_fail(error, "'--%s' expects a whole number from %lld to %lld, found '%s'",
                             option->name, (long long)option->low, (long long)option->high, text);
    const int64_t value = number;
    memcpy((char *)line + option->field, &value, sizeof value);
    return FL_OK;
}

/** A number or a text, by the table; the texts of an option that may be repeated are a list. */
static fl_status read_value(fl_line *line, const option_entry *option, const char *text,
                            fl_error *error)
{
    size_t field = option->field;
    if (option->high)
        return read_number(line, option, text, error);
    if (!*text)
        return fl_usage_fail(error, "'--%s' expects %s, found nothing", option->name,
                             option->argument);
    if (option->bit == FL_OPTION_AT && line->at_count == FL_REPEATS)
        return fl_usage_fail(error, "'--%s' is given more than %d times", option->name, FL_REPEATS);
    if (option->bit == FL_OPTION_AT)
        field += line->at_count++ * sizeof line->at[0];
    memcpy((char *)line + field, &text, sizeof text);
    return FL_OK;
}

/** Reads one option at argv[index]; *index is then that of its last argument. */
static fl_status read_option(fl_line *line, char **argv, int argc, int *index, fl_error *error)
{
    const char *argument = argv[*index];
    const size_t length = strcspn(argument + 2, "=");
    const char *value = argument[2 + length] ? argument + 3 + length : NULL;
    const option_entry *option = find(argument + 2, length);
    if (!option)
        return fail_unknown(error, argument, length);
    if (line->given & option->bit && option->argument && option->bit != FL_OPTION_AT)
        return fl_usage_fail(error, "'--%s' is given twice", option->name);
    line->given |= option->bit;
    if (!option->argument && value)
        return fl_usage_fail(error, "'--%s' takes no value, found '%s'", option->name, value);
    if (!option->argument)
        return FL_OK;
    if (!value && *index + 1 >= argc)
        return fl_usage_fail(error, "'--%s' expects %s, found nothing", option->name,
                             option->argument);
    return read_value(line, option, value ? value : argv[++*index], error);
}

/** Options may stand anywhere, so that one can be added at the end of the line before. */
fl_status fl_line_read(fl_line *line, int argc, char **argv, fl_error *error)
{
    bool ended = false;
    *line = (fl_line){.seed = -1, .operands = argv};
    for (int i = 1; i < argc; i++) {
        fl_status status = FL_OK;
        if (!ended && strcmp(argv[i], "--") == 0)
            ended = true;
        else if (!ended && strcmp(argv[i], "-h") == 0)
            line->given |= FL_OPTION_HELP;
        else if (!ended && strncmp(argv[i], "--", 2) == 0)
            status = read_option(line, argv, argc, &i, error);
        else if (!ended && argv[i][0] == '-' && argv[i][1])
            status =
                fl_usage_fail(error, "unknown option '%s'; 'fairlead help' lists them", argv[i]);
        else
            argv[line->count++] = argv[i];
        if (status != FL_OK)
            return status;
    }
    return FL_OK;
}

/** An option that does nothing would be taken to have done something. */
fl_status fl_line_check(const fl_line *line, const char *verb, unsigned taken, fl_error *error)
{
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (line->given & OPTIONS[i].bit & ~taken)
            return fl_usage_fail(error, "'%s' does not take '--%s'", verb, OPTIONS[i].name);
    return FL_OK;
}

/** From the table that parsing uses, so that help cannot drift from it. */
void fl_options_print(unsigned taken)
{
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        char name[32];
        if (!(taken & OPTIONS[i].bit))
            continue;
        snprintf(name, sizeof name, "--%s %s", OPTIONS[i].name,
                 OPTIONS[i].argument ? OPTIONS[i].argument : "");
        printf("  %-17s  %s\n", name, OPTIONS[i].help);
    }
}
