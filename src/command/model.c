/**
 * fairlead model: one section without a design file. The frequency is written like a parameter,
 * as it is one to who asks.
 */
#include <stdio.h>
#include <string.h>

#include "command/verb.h"

static const char FREQUENCY[] = "frequency=";

/** Moves "frequency=..." out of the assignments; returns its value or NULL. */
static const char *take_frequency(char **assignments, size_t *count)
{
    const char *frequency = NULL;
    size_t kept = 0;
    for (size_t i = 0; i < *count; i++) {
        if (strncmp(assignments[i], FREQUENCY, strlen(FREQUENCY)) == 0)
            frequency = assignments[i] + strlen(FREQUENCY);
        else
            assignments[kept++] = assignments[i];
    }
    *count = kept;
    return frequency;
}

/** No study, no progress: it is there at once. */
static int run_model(const fl_verb *verb, const fl_line *line)
{
    fl_result *result = NULL;
    fl_error error = {0};
    fl_status status = FL_OK;
    if (line->count < 2) {
        status =
            fl_usage_fail(&error, "expected a kind; 'fairlead help %s' lists them", verb->name);
    } else {
        char **assignments = line->operands + 2;
        size_t count = line->count - 2;
        const char *frequency = take_frequency(assignments, &count);
        status = fl_model(&result, line->operands[1], (const char *const *)assignments, count,
                          frequency, &error);
    }
    if (status == FL_OK)
        status = fl_show_result(result, line, &error);
    if (status != FL_OK)
        fl_print_error(&error);
    fl_result_free(result);
    return fl_exit_code(status, true);
}

/** All kinds but the one that needs a file. */
static void print_kinds(void)
{
    printf("\nKinds:\n");
    for (size_t i = 0; fl_kind_name(i); i++)
        if (strcmp(fl_kind_name(i), "measured") != 0)
            printf("  %s\n", fl_kind_name(i));
}

const fl_verb fl_verb_model = {
    .name = "model",
    .operands = "KIND NAME=VALUE ...",
    .summary = "one section's electrical values from its parameters",
    .example = "fairlead model \"bond wires\" count=2 diameter=\"25 um\" span=\"300 um\" \\\n"
               "           \"loop height=120 um\" \"pitch=100 um\"",
    .details = "Needs no design file. The parameters are those of a section of that kind in a\n"
               "design; frequency=\"40 GHz\" gives the frequency, 28 GHz if it is left out.\n",
    .options = FL_OPTIONS_RESULT,
    .run = run_model,
    .more_help = print_kinds};
