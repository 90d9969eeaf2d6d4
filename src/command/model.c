/** fairlead model: one section without a design file. */
#include <stdio.h>
#include <string.h>

#include "command/verb.h"

enum { LINE = 80 };

/** After the kind, all that is no option is a parameter. */
static fl_status make(fl_result **result, const fl_verb *verb, const fl_line *line, fl_error *error)
{
    if (line->count < 2)
        return fl_usage_fail(error, "expected a kind; 'fairlead help %s' lists them", verb->name);
    const fl_model_options options = {.assignments = (const char *const *)line->operands + 2,
                                      .assignment_count = line->count - 2,
                                      .frequencies = line->at,
                                      .frequency_count = line->at_count,
                                      .sweep = line->sweep};
    return fl_model(result, line->operands[1], &options, error);
}

/** Where the model leaves its range; the text and JSON say it as well. */
static void print_warnings(const fl_result *result, const fl_line *line)
{
    if (line->given & FL_OPTION_QUIET)
        return;
    for (size_t i = 0; i < fl_result_warning_count(result); i++)
        fl_print_warning(fl_result_warning(result, i));
}

/** No study, no progress: it is there at once. */
static int run_model(const fl_verb *verb, const fl_line *line)
{
    fl_result *result = NULL;
    fl_error error = {0};
    fl_status status = make(&result, verb, line, &error);
    if (status == FL_OK) {
        print_warnings(result, line);
        status = fl_show_result(result, line, &error);
    }
    if (status != FL_OK)
        fl_print_error(&error);
    fl_result_free(result);
    return fl_exit_code(status, true);
}

/** Words broken into lines, each behind so many spaces. */
static void print_words(int indent, const char *words)
{
    int used = 0;
    while (*words) {
        const int length = (int)strcspn(words, " ");
        if (used > 0 && used + 1 + length > LINE) {
            printf("\n");
            used = 0;
        }
        used += used > 0 ? printf(" %.*s", length, words)
                         : printf("%*s%.*s", indent, "", length, words);
        words += length;
        words += strspn(words, " ");
    }
    printf("\n");
}

/** A line a parameter. */
static void print_parameters(size_t kind)
{
    fl_parameter_info info;
    for (size_t i = 0; fl_kind_parameter(&info, kind, i) == FL_OK; i++)
        printf("  %-26s %-5s %s\n", info.name, info.unit,
               info.required      ? "must be given"
               : info.fallback[0] ? info.fallback
                                  : "none");
}

/** All kinds but those that need a file. */
static void print_kinds(void)
{
    printf("\nKinds, and their parameters with unit and default:\n");
    for (size_t i = 0; fl_kind_name(i); i++) {
        if (fl_kind_takes_file(i))
            continue;
        printf("\n%s\n", fl_kind_name(i));
        print_words(2, fl_kind_summary(i));
        print_parameters(i);
    }
}

const fl_verb fl_verb_model = {
    .name = "model",
    .operands = "KIND NAME=VALUE ...",
    .summary = "one section's electrical values from its parameters",
    .example = "fairlead model \"bond wires\" count=2 diameter=25um pitch=100um \\\n"
               "           span=300um \"loop height=120um\" --at \"24 GHz,28 GHz,40 GHz\"",
    .details =
        "Needs no design file. The parameters are those of a section of that kind in a\n"
        "design, with units and their prefixes: span=300um, \"inductance=0.2 nH\". Those of\n"
        "a substrate are written \"substrate height=127um\". Prints the electrical values\n"
        "and the return loss of the section by itself between 50 ohm, at 28 GHz or at the\n"
        "frequencies of --at. With --sweep NAME=LOW:HIGH:N it prints a table of N values\n"
        "of a parameter, at the first frequency. Warns where the model leaves its range.\n",
    .options = FL_OPTIONS_RESULT | FL_OPTION_AT | FL_OPTION_SWEEP,
    .run = run_model,
    .more_help = print_kinds};
