/**
 * All that a result holds as files of one folder, so that the sized design can be used there: with
 * the files that it names. Names of cases come from the design and may hold anything, a path too:
 * they become file names of safe characters, each once.
 */
#include <string.h>

#include "base/file.h"
#include "reports/page.h"
#include "reports/reports.h"

/* Bytes of a case's name in a file name. */
enum { STEM_ROOM = 64 };

/** One file to write: its name, and the report that is in it. */
typedef struct output {
    const char *name;
    fl_status (*make)(fl_report *report, const fl_result *result, fl_error *error);
    size_t case_index;          /* of a response; make is NULL */
    const fl_result_file *kept; /* named by the design; NULL: the result's own */
} output;

typedef struct outputs {
    fl_arena arena;
    output *items;
    size_t count;
} outputs;

/** Adds a file that a report fills. */
static void add_output(outputs *files, const char *name,
                       fl_status (*make)(fl_report *, const fl_result *, fl_error *))
{
    files->items[files->count++] = (output){.name = name, .make = make};
}

/** Letters, digits and three signs that every file system takes. */
static bool is_safe(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '-' ||
           c == '_' || c == '.';
}

/** A case's name with '-' for every character that is not safe in a file name. */
static void make_stem(char stem[STEM_ROOM], const char *name)
{
    size_t length = 0;
    for (; *name && length + 1 < STEM_ROOM; name++)
        if (((unsigned char)*name & 0xC0U) != 0x80U)
            stem[length++] = is_safe(*name) ? *name : '-';
    stem[length] = '\0';
}

/** Small letter of a capital; others as they are, as only safe characters come here. */
static char folded(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/** Whether two names are one file, on systems that do not tell small letters from capitals too. */
static bool same_file(const char *a, const char *b)
{
    for (; *a && folded(*a) == folded(*b); a++)
        b++;
    return folded(*a) == folded(*b);
}

/** Whether the list has a file of that name. */
static bool is_taken(const outputs *files, const char *name)
{
    for (size_t i = 0; i < files->count; i++)
        if (same_file(files->items[i].name, name))
            return true;
    return false;
}

/** A name for the response of a case that no other file has; NULL when out of memory. */
static const char *response_name(outputs *files, const fl_result *result, size_t case_index)
{
    char stem[STEM_ROOM];
    if (result->case_count == 1)
        return "transition.s2p";
    make_stem(stem, result->cases[case_index].name);
    const char *name = fl_arena_print(&files->arena, "transition-%s.s2p", stem);
    for (size_t number = 2; name && is_taken(files, name); number++)
        name = fl_arena_print(&files->arena, "transition-%s-%zu.s2p", stem, number);
    return name;
}

/** A file for each case with a response. */
static bool add_responses(outputs *files, const fl_result *result)
{
    for (size_t c = 0; c < result->case_count; c++) {
        if (result->cases[c].response.count == 0)
            continue;
        const char *name = response_name(files, result, c);
        if (!name)
            return false;
        files->items[files->count++] = (output){.name = name, .case_index = c};
    }
    return true;
}

/** Adds the files of the result itself, but for the sized design. */
static bool add_own(outputs *files, const fl_result *result)
{
    add_output(files, "result.json", fl_report_json);
    if (fl_page_wanted(result) && !fl_report_page_left_out(result))
        add_output(files, "report.html", fl_report_page);
    if (result->case_count > 0 && result->cases[0].response.count > 0)
        add_output(files, "response.csv", fl_report_csv);
    if (result->kept_count > 0)
        add_output(files, "samples.csv", fl_report_samples);
    if (result->wafers.count > 0)
        add_output(files, "wafers.csv", fl_report_wafers);
    if (result->case_count > 0 && result->cases[0].response.count > 0)
        add_output(files, "response.svg", fl_report_losses);
    if (result->case_count > 0 && result->cases[0].piece_count > 0)
        add_output(files, "transition.svg", fl_report_transition);
    return add_responses(files, result);
}

/** Adds a file that the design names, unless it is there as it is. An installed model is found as
 * such again, if no file of the folder stands before it. */
static fl_status add_named(outputs *files, const fl_result_file *file, const char *folder,
                           fl_error *error)
{
    const char *target = fl_arena_print(&files->arena, "%s/%s", folder, file->written);
    if (!target)
        return fl_fail_memory(error);
    if (fl_file_same(target, file->path))
        return FL_OK;
    if (file->installed && fl_file_there(target))
        return fl_fail(error, FL_BAD_INPUT, target,
                       "hides the installed model of that name from the sized design: remove it");
    if (!file->installed)
        files->items[files->count++] = (output){.name = file->name, .kept = file};
    return FL_OK;
}

/** The result's own files may take the place of older ones, but of none that the design needs. */
static fl_status check_clashes(const outputs *files, const fl_result *result, fl_error *error)
{
    for (size_t i = 0; i < files->count; i++)
        for (size_t j = 0; !files->items[i].kept && j < result->file_count; j++) {
            const fl_result_file *file = &result->files[j];
            if (!file->installed && same_file(files->items[i].name, file->name))
                return fl_fail(error, FL_BAD_INPUT, file->path,
                               "the result has a file of this name too: rename it, or choose "
                               "another folder");
        }
    return FL_OK;
}

/** Lists the files that a result fills in a folder; release the arena in any case. The sized design
 * comes last: where it is, all that it names is there too. */
static fl_status list_outputs(outputs *files, const fl_result *result, const char *folder,
                              fl_error *error)
{
    const bool at_home = fl_file_same(result->folder, folder);
    const bool moves = result->sized_design && !at_home;
    fl_status status = FL_OK;
    *files = (outputs){0};
    fl_arena_init(&files->arena);
    files->items = fl_arena_take(&files->arena, result->case_count + result->file_count + 8,
                                 sizeof *files->items);
    if (!files->items || !add_own(files, result))
        return fl_fail_memory(error);
    for (size_t i = 0; status == FL_OK && moves && i < result->file_count; i++)
        status = add_named(files, &result->files[i], folder, error);
    if (result->sized_design)
        add_output(files, "sized.json", fl_report_design);
    if (status == FL_OK && (moves || at_home))
        status = check_clashes(files, result, error);
    return status;
}

/** Copies a file that the design names, with every folder on the way to it. */
static fl_status write_kept(const fl_result_file *file, const char *folder, const char *path,
                            fl_error *error)
{
    fl_arena arena;
    if (!file->text)
        return fl_fail(error, FL_IO, file->path, "cannot be kept with the sized design: %s",
                       file->problem ? file->problem : "nothing was sized");
    fl_arena_init(&arena);
    const char *written = fl_arena_print(&arena, "%s/%s", folder, file->written);
    const char *inner = written ? fl_path_folder(&arena, written) : NULL;
    fl_status status = inner ? fl_folder_make(inner, error) : fl_fail_memory(error);
    if (status == FL_OK)
        status = fl_file_write(path, file->text, file->length, error);
    fl_arena_release(&arena);
    return status;
}

/** Makes one report and writes it, whole or not at all. */
static fl_status write_report(const output *file, const fl_result *result, const char *path,
                              fl_error *error)
{
    fl_report report = {0};
    fl_status status = file->make ? file->make(&report, result, error)
                                  : fl_report_touchstone(&report, result, file->case_index, error);
    if (status == FL_OK)
        status = fl_file_write(path, report.text, report.length, error);
    fl_report_free(&report);
    return status;
}

/** Of either kind. */
static fl_status write_output(const output *file, const fl_result *result, const char *folder,
                              fl_error *error)
{
    fl_arena arena;
    fl_arena_init(&arena);
    const char *path = fl_arena_print(&arena, "%s/%s", folder, file->name);
    fl_status status = FL_OK;
    if (!path)
        status = fl_fail_memory(error);
    else if (file->kept)
        status = write_kept(file->kept, folder, path, error);
    else
        status = write_report(file, result, path, error);
    fl_arena_release(&arena);
    return status;
}

/** Stops at the first file that fails: those before it are whole, those after it as they were. */
fl_status fl_report_write(const fl_result *result, const char *folder, fl_error *error)
{
    outputs files;
    fl_status status = list_outputs(&files, result, folder, error);
    if (status == FL_OK)
        status = fl_folder_make(folder, error);
    for (size_t i = 0; status == FL_OK && i < files.count; i++)
        status = write_output(&files.items[i], result, folder, error);
    fl_arena_release(&files.arena);
    return status;
}

/** Whether a file is in the list before: one that the design names in two spellings. */
static bool is_listed(const outputs *files, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (strcmp(files->items[i].name, files->items[index].name) == 0)
            return true;
    return false;
}

/** From the same list as the writing, so that the two cannot differ. */
fl_status fl_report_files(fl_report *report, const fl_result *result, const char *folder,
                          fl_error *error)
{
    outputs files;
    fl_text text;
    fl_text_init(&text);
    fl_status status = list_outputs(&files, result, folder, error);
    for (size_t i = 0; status == FL_OK && i < files.count; i++)
        if (!is_listed(&files, i))
            fl_text_print(&text, "%s\n", files.items[i].name);
    if (status == FL_OK)
        status = fl_report_take(report, &text, error);
    fl_arena_release(&files.arena);
    return status;
}
