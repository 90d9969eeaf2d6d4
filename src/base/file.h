/**
 * Whole files in and out, and paths.
 *
 * Writing never leaves half a file: the text goes to a new file beside the target, is closed and
 * checked, and takes the target's place by a rename.
 */
#ifndef FL_BASE_FILE_H
#define FL_BASE_FILE_H

#include <stdbool.h>

#include "base/arena.h"
#include "base/error.h"

/**
 * Reads a whole file into a new block (free with fl_memory_free), a NUL behind its last byte.
 * @return FL_OK; FL_IO (missing, a folder, unreadable); FL_BAD_INPUT when over limit bytes;
 *         FL_NO_MEMORY.
 */
fl_status fl_file_read(char **text, size_t *length, const char *file, size_t limit,
                       fl_error *error);

/** Writes a file whole or not at all. */
fl_status fl_file_write(const char *file, const char *text, size_t length, fl_error *error);

/** Makes a folder and its missing parents; an existing one is well. */
fl_status fl_folder_make(const char *folder, fl_error *error);

/** Whether something is there under a path. */
bool fl_file_there(const char *path);

/** Whether two paths lead to one and the same file or folder; false if either is not there. */
bool fl_file_same(const char *a, const char *b);

/** Folder part of a path ("." when it has none), in the arena; NULL when out of memory. */
const char *fl_path_folder(fl_arena *arena, const char *path);

/** Last part of a path; points into path. */
const char *fl_path_name(const char *path);

/** Folders in which a file is looked for. */
typedef struct fl_folders {
    const char *beside; /* of the file that names it */
    const char *root;   /* of the design */
    const char *models; /* of installed models; may be NULL */
} fl_folders;

/** A file that was found. */
typedef struct fl_found {
    const char *path;
    bool installed; /* the installed models alone give the same file under this name */
} fl_found;

/**
 * Finds a file named in a file: first relative to beside, then (a leading "models/" dropped too)
 * in models. The file found must lie, links followed, inside root or models.
 *
 * @param[out] found its path is in the arena.
 * @return FL_OK; FL_BAD_INPUT for an absolute path, one that leaves the folders, or one that is
 *         not there (the message names the folders searched); FL_NO_MEMORY. error->place is "".
 */
fl_status fl_path_find(fl_found *found, fl_arena *arena, const char *name, const fl_folders *search,
                       fl_error *error);

#endif
