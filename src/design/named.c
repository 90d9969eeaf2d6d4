/* Files that a design names, under the names by which a copy of the design would look for them. */
#include <string.h>

#include "design/reader.h"

/* The name of a file from the design's folder, as written; NULL when out of memory. */
static const char *written_name(fl_reader *reader, fl_spot spot)
{
    const char *folder = spot.source->kept;
    return fl_arena_print(&reader->design->arena, "%s%s%s", folder, folder[0] ? "/" : "",
                          spot.node->valuestring);
}

/* Takes back the last step of a name [length]; returns the new length. */
static size_t step_back(const char *name, size_t length)
{
    while (length > 0 && name[length - 1] != '/')
        length--;
    return length > 0 ? length - 1 : 0;
}

/* Writes a name without "." and "..", at most as long. False if a step leads above the folder it
 * starts from: the copy has another folder there. */
static bool straighten(char *name, const char *written)
{
    size_t length = 0;
    for (const char *step = written; *step != '\0';) {
        const size_t count = strcspn(step, "/");
        if (count == 2 && strncmp(step, "..", 2) == 0) {
            if (length == 0)
                return false;
            length = step_back(name, length);
        } else if (count > 0 && !(count == 1 && step[0] == '.')) {
            if (length > 0)
                name[length++] = '/';
            memcpy(name + length, step, count);
            length += count;
        }
        step += count + (step[count] == '/');
    }
    name[length] = '\0';
    return length > 0;
}

/* By way of links one name may mean different files in different folders; in a copy, which has no
 * links, it can mean one. */
static fl_status note_name(fl_reader *reader, fl_named_file *file)
{
    const fl_named_file *known = fl_lookup_get(&reader->named_files, "", file->name);
    if (known == NULL)
        return fl_lookup_put(&reader->named_files, file->name, file)
                   ? FL_OK
                   : fl_fail_memory(reader->error);
    if (strcmp(known->path, file->path) != 0)
        file->problem = "links make its name that of two files";
    return FL_OK;
}

static void append(fl_reader *reader, fl_named_file *file)
{
    if (reader->last_file != NULL)
        reader->last_file->next = file;
    else
        reader->design->files = file;
    reader->last_file = file;
}

/* Cases name the same files again and again: each is kept once. */
static fl_status note(fl_reader *reader, const char *written, const fl_found *found)
{
    const size_t length = strlen(written);
    fl_named_file *file = fl_arena_take(&reader->design->arena, 1, sizeof *file);
    char *name = fl_arena_take(&reader->design->arena, length + 1, 1);
    if (file == NULL || name == NULL || !fl_lookup_put(&reader->written_files, written, file))
        return fl_fail_memory(reader->error);
    *file = (fl_named_file){.name = name, .written = written, .path = found->path};
    file->installed = found->installed;
    append(reader, file);
    if (straighten(name, written))
        return note_name(reader, file);
    file->name = written;
    file->problem = "its name leads out of the design's folder and back";
    return FL_OK;
}

/* What an installed model names is installed with it. */
fl_status fl_named_note(fl_reader *reader, fl_spot spot, const fl_found *found)
{
    if (spot.source->kept == NULL)
        return FL_OK;
    const char *written = written_name(reader, spot);
    if (written == NULL)
        return fl_fail_memory(reader->error);
    if (fl_lookup_get(&reader->written_files, "", written) != NULL)
        return FL_OK;
    return note(reader, written, found);
}

/* A source is read once, but links may lead to it in several ways. */
fl_status fl_named_enter(fl_reader *reader, fl_spot spot, const fl_found *found, fl_source *source)
{
    source->kept = NULL;
    if (spot.source->kept == NULL || found->installed)
        return FL_OK;
    const char *written = written_name(reader, spot);
    const char *folder = written ? fl_path_folder(&reader->arena, written) : NULL;
    if (folder == NULL)
        return fl_fail_memory(reader->error);
    source->kept = strcmp(folder, ".") == 0 ? "" : folder;
    return FL_OK;
}
