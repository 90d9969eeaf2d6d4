/**
 * Verbs that are a study of a design: read, run, show. They differ in the study alone, so that
 * each has the same options, outputs and exit codes.
 */
#include "command/verb.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char BESIDE[] = "/../share/fairlead/models";
enum { PATH_ROOM = 4096 };

/** Folder of the models beside the command's own, NULL if there is none there. */
static const char *models_folder(char folder[PATH_ROOM])
{
    struct stat status;
    const ssize_t length = readlink("/proc/self/exe", folder, PATH_ROOM - sizeof BESIDE);
    if (length <= 0 || (size_t)length >= PATH_ROOM - sizeof BESIDE)
        return NULL;
    folder[length] = '\0';
    char *slash = strrchr(folder, '/');
    if (!slash)
        return NULL;
    memcpy(slash, BESIDE, sizeof BESIDE);
    return stat(folder, &status) == 0 && S_ISDIR(status.st_mode) ? folder : NULL;
}

/** One design file, no more and no less. */
static fl_status read_design(fl_design **design, const fl_verb *verb, const fl_line *line,
                             fl_error *error)
{
    char folder[PATH_ROOM];
    if (line->count < 2)
        return fl_usage_fail(error, "expected a design file; try 'fairlead help %s'", verb->name);
    if (line->count > 2)
        return fl_usage_fail(error, "expected one design file, found '%s' too", line->operands[2]);
    return fl_design_read(design, line->operands[1], models_folder(folder), error);
}

/** Before the study: they may make its result not worth waiting for. */
static void print_warnings(const fl_design *design, const fl_line *line)
{
    if (line->given & FL_OPTION_QUIET)
        return;
    for (size_t i = 0; i < fl_design_warning_count(design); i++)
        fl_print_warning(fl_design_warning(design, i));
}

/** Behind the study: what it found since, such as a model fitted roughly. The design's own come
 * first in a result. */
static void print_later_warnings(const fl_result *result, const fl_design *design,
                                 const fl_line *line)
{
    if (line->given & FL_OPTION_QUIET)
        return;
    for (size_t i = fl_design_warning_count(design); i < fl_result_warning_count(result); i++)
        fl_print_warning(fl_result_warning(result, i));
}

/** Samples are kept, and pictures computed, only for a folder, as no other report shows them. */
static void set_options(fl_options *options, const fl_line *line)
{
    fl_options_init(options);
    options->samples = (uint64_t)line->samples;
    options->seed = line->seed;
    options->threads = (int)line->threads;
    options->keep_samples = line->out != NULL;
    options->checkpoint = line->checkpoint;
    options->resume = (line->given & FL_OPTION_RESUME) != 0;
    options->pictures = line->out != NULL;
    options->ranks = line->ranks;
    fl_watch(options, line->given & FL_OPTION_QUIET);
}

/** Resuming needs to know from what. */
static fl_status check_resume(const fl_line *line, fl_error *error)
{
    if (line->given & FL_OPTION_RESUME && !line->checkpoint)
        return fl_usage_fail(error, "'--resume' expects '--checkpoint FILE' too");
    return FL_OK;
}

/** Shows a result, of an interrupted study too. The first thing that went wrong is the status. Of
 * several ranks, all of which have the result, one shows it. */
static fl_status show(const fl_result *result, const fl_line *line, fl_status status,
                      fl_error *error)
{
    fl_error shown = {0};
    if (line->ranks && line->ranks->rank > 0)
        return status;
    const fl_status showing = fl_show_result(result, line, &shown);
    if (showing == FL_OK)
        return status;
    *error = shown;
    return showing;
}

/** An interrupted study has a result too, which is shown as any other; its exit code tells the
 * difference. */
int fl_run_study(const fl_verb *verb, const fl_line *line)
{
    fl_design *design = NULL;
    fl_result *result = NULL;
    fl_options options;
    fl_error error = {0};
    set_options(&options, line);
    fl_status status = check_resume(line, &error);
    if (status == FL_OK)
        status = read_design(&design, verb, line, &error);
    if (status == FL_OK) {
        print_warnings(design, line);
        status = verb->study(&result, design, &options, &error);
        fl_watch_end();
    }
    if (result) {
        print_later_warnings(result, design, line);
        status = show(result, line, status, &error);
    }
    if (status == FL_INTERRUPTED && line->checkpoint && !(line->given & FL_OPTION_QUIET))
        fprintf(stderr, "fairlead: interrupted; the same call with '--resume' goes on from %s\n",
                line->checkpoint);
    if (status != FL_OK && status != FL_INTERRUPTED)
        fl_print_error(&error);
    const int code = fl_exit_code(status, !verb->judges || (result && fl_result_met(result)));
    fl_result_free(result);
    fl_design_free(design);
    return code;
}
