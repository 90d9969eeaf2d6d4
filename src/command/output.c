/**
 * What the command prints: results, files, errors, and what they mean as an exit code. Results
 * alone go to standard output.
 */
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "command/verb.h"

enum { LINE = 80 };

/** The one place where a status becomes an exit code. */
int fl_exit_code(fl_status status, bool met)
{
    switch (status) {
    case FL_OK:
        return met ? FL_EXIT_DONE : FL_EXIT_MISSED;
    case FL_BAD_INPUT:
        return FL_EXIT_USAGE;
    case FL_INTERRUPTED:
        return FL_EXIT_INTERRUPTED;
    case FL_IO:
    case FL_NO_MEMORY:
    case FL_FAULT:
        break;
    }
    return FL_EXIT_FAILED;
}

/** Arguments may hold anything: no control character goes to the terminal. */
static void print_safely(const char *text)
{
    for (; *text; text++)
        fputc((unsigned char)*text < 0x20 || *text == 0x7F ? '?' : *text, stderr);
}

/** In the form of compilers, "program: place: message", which editors can follow. */
void fl_print_error(const fl_error *error)
{
    fputs("fairlead: ", stderr);
    print_safely(error->place);
    fputs(error->place[0] ? ": " : "", stderr);
    print_safely(error->message[0] ? error->message : fl_status_text(error->status));
    fputc('\n', stderr);
}

/** On standard error, so that results stay clean. */
void fl_print_warning(const char *message)
{
    fputs("fairlead: warning: ", stderr);
    print_safely(message);
    fputc('\n', stderr);
}

/** What could not be written is found out when standard output is closed. */
static void print_report(const fl_report *report)
{
    (void)fwrite(report->text, 1, report->length, stdout);
}

/** Prints "Written to out: result.json, response.csv", broken into lines of at most LINE columns;
 * the names come a line each. */
static fl_status print_files(const fl_result *result, const char *folder, fl_error *error)
{
    fl_report names = {0};
    fl_status status = fl_report_files(&names, result, folder, error);
    if (status != FL_OK)
        return status;
    int used = printf("Written to %s:", folder);
    for (const char *name = names.text; *name;) {
        const int length = (int)strcspn(name, "\n");
        const bool last = !name[length + 1];
        if (used + length + 2 > LINE)
            used = printf("\n ") - 1;
        used += printf(" %.*s%s", length, name, last ? "" : ",");
        name += length + 1;
    }
    printf("\n");
    fl_report_free(&names);
    return FL_OK;
}

/** Small plots below the text, for whoever looks at a terminal. */
static fl_status print_plot(const fl_result *result, fl_error *error)
{
    fl_report report = {0};
    const fl_status status =
        fl_report_plot(&report, result, fl_terminal_columns(), fl_terminal_blocks(), error);
    if (status == FL_OK)
        print_report(&report);
    fl_report_free(&report);
    return status;
}

/** Prints first, then writes: a folder that cannot be written should not cost the result. */
fl_status fl_show_result(const fl_result *result, const fl_line *line, fl_error *error)
{
    fl_report report = {0};
    const bool json = line->given & FL_OPTION_JSON;
    fl_status status =
        json ? fl_report_json(&report, result, error) : fl_report_text(&report, result, error);
    if (status == FL_OK)
        print_report(&report);
    if (status == FL_OK && !json && !(line->given & FL_OPTION_QUIET) && fl_is_terminal())
        status = print_plot(result, error);
    if (status == FL_OK && line->out)
        status = fl_report_write(result, line->out, error);
    if (status == FL_OK && line->out && !(line->given & FL_OPTION_QUIET) &&
        fl_report_page_left_out(result))
        fl_print_warning("report.html is left out: this build has no page for it");
    if (status == FL_OK && line->out && !json)
        status = print_files(result, line->out, error);
    fl_report_free(&report);
    return status;
}

/** Bytes wait in a buffer until now: only here a full disk is found out. */
fl_status fl_close_output(fl_error *error)
{
    errno = 0;
    const bool failed = fflush(stdout) != 0 || ferror(stdout);
    const int reason = errno;
    if (fclose(stdout) == 0 && !failed)
        return FL_OK;
    error->status = FL_IO;
    error->place[0] = error->message[0] = '\0';
    if (reason != EPIPE && errno != EPIPE) {
        snprintf(error->place, sizeof error->place, "standard output");
        snprintf(error->message, sizeof error->message, "%s",
                 reason || errno ? strerror(reason ? reason : errno) : "could not be written");
    }
    return FL_IO;
}
