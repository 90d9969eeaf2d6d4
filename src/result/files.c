/**
 * The files that a design names: the sized design is of use in another folder only together with
 * them. Their bytes are read when a study begins, as near as can be to when the design was read.
 */
#include <string.h>

#include "base/file.h"
#include "result/parts.h"

/* Most bytes of a file that is kept: the result holds them all its life. */
enum { KEPT_LIMIT = 64 << 20 };

/** Copies of all texts, as for everything in a result. */
static bool add_file(fl_result *result, const fl_named_file *named)
{
    fl_result_file *file = &result->files[result->file_count++];
    file->installed = named->installed;
    return fl_result_text(result, &file->name, named->name) &&
           fl_result_text(result, &file->written, named->written) &&
           fl_result_text(result, &file->path, named->path) &&
           fl_result_text(result, &file->problem, named->problem);
}

/** Every result has the list: no report may write over one of these files. */
bool fl_result_files(fl_result *result, const fl_design *design)
{
    size_t count = 0;
    for (const fl_named_file *file = design->files; file; file = file->next)
        count++;
    result->files = fl_arena_take(&result->arena, count, sizeof *result->files);
    if (!result->files)
        return false;
    for (const fl_named_file *file = design->files; file; file = file->next)
        if (!add_file(result, file))
            return false;
    return true;
}

/** The same file under another name before it in the list; NULL if there is none. */
static const fl_result_file *find_kept(const fl_result *result, const fl_result_file *file)
{
    for (const fl_result_file *other = result->files; other < file; other++)
        if (other->text && strcmp(other->path, file->path) == 0)
            return other;
    return NULL;
}

/** A file that is gone or too large is said to be so when it is asked for. */
static fl_status read_file(fl_result *result, fl_result_file *file, fl_error *error)
{
    fl_error found = {0};
    char *text = NULL;
    size_t length = 0;
    const fl_status status = fl_file_read(&text, &length, file->path, KEPT_LIMIT, &found);
    if (status == FL_OK) {
        file->text = fl_arena_copy(&result->arena, text, length);
        file->length = length;
        fl_memory_free(text);
        return file->text ? FL_OK : fl_fail_memory(error);
    }
    if (status == FL_NO_MEMORY)
        return fl_fail_memory(error);
    const bool over = status == FL_BAD_INPUT;
    return fl_result_text(result, &file->problem, over ? "it is over 64 MiB" : found.message)
               ? FL_OK
               : fl_fail_memory(error);
}

/** Installed models are found by the copy as well. */
fl_status fl_result_keep_files(fl_result *result, fl_error *error)
{
    fl_status status = FL_OK;
    for (size_t i = 0; status == FL_OK && i < result->file_count; i++) {
        fl_result_file *file = &result->files[i];
        if (file->installed || file->problem || file->text)
            continue;
        const fl_result_file *kept = find_kept(result, file);
        if (!kept) {
            status = read_file(result, file, error);
            continue;
        }
        file->text = kept->text;
        file->length = kept->length;
    }
    return status;
}
