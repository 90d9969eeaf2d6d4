/* Parts of paths, and files named in files. */
#define _XOPEN_SOURCE 700 /* realpath */

#include <limits.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

const char *fl_path_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

const char *fl_path_folder(fl_arena *arena, const char *path)
{
    /* Slashes at the end go, but the root folder keeps its own. */
    const char *name = fl_path_name(path);
    if (name == path)
        return fl_arena_copy(arena, ".", 1);
    size_t length = (size_t)(name - path);
    while (length > 1 && path[length - 1] == '/')
        length--;
    return fl_arena_copy(arena, path, length);
}

/* What lies below the folder of a path, links followed in both; NULL if it lies elsewhere. */
static const char *below(const char *folder, const char *real)
{
    /* A folder that is not there has nothing below it. */
    char real_folder[PATH_MAX];
    if (folder == NULL || realpath(folder, real_folder) == NULL)
        return NULL;
    size_t length = strlen(real_folder);
    if (length == 1) /* the root folder */
        return real + 1;
    /* "/a/design-other" begins like "/a/design" but is not below it. */
    bool inside = strncmp(real, real_folder, length) == 0 && real[length] == '/';
    return inside ? real + length + 1 : NULL;
}

/* Short names for what lies in the working folder: "a.s2p", not "./a.s2p". */
static char *join(fl_arena *arena, const char *folder, const char *name)
{
    if (strcmp(folder, ".") == 0)
        return fl_arena_copy(arena, name, strlen(name));
    size_t length = strlen(folder);
    const char *slash = length > 0 && folder[length - 1] == '/' ? "" : "/";
    return fl_arena_print(arena, "%s%s%s", folder, slash, name);
}

/* What is asked for, where it may lie, and the answer. */
typedef struct wanted_file {
    fl_arena *arena;
    const char *name;
    const fl_folders *search;
    const char *found; /* NULL until found */
    fl_error *error;
} wanted_file;

/* The same file has one name, however it was reached: the folder's and what lies below it. */
static fl_status accept_real(wanted_file *wanted, const char *real)
{
    /* The root first: a design may lie among the models. */
    const char *folder = wanted->search->root;
    const char *rest = below(folder, real);
    if (rest == NULL) {
        folder = wanted->search->models;
        rest = below(folder, real);
    }
    if (rest == NULL)
        return fl_fail(wanted->error, FL_BAD_INPUT, NULL,
                       "expected a file beside the design or among the models, '%s' leads outside",
                       wanted->name);
    /* The real path has no links left, so that nothing can be slipped in by one. */
    struct stat status;
    if (stat(real, &status) != 0 || !S_ISREG(status.st_mode))
        return fl_fail(wanted->error, FL_BAD_INPUT, NULL, "expected a file, '%s' is a %s",
                       wanted->name, S_ISDIR(status.st_mode) ? "folder" : "pipe or a device");
    wanted->found = join(wanted->arena, folder, rest);
    return wanted->found != NULL ? FL_OK : fl_fail_memory(wanted->error);
}

/* Looks in one folder; FL_OK with nothing found if it is not there. */
static fl_status look_in(wanted_file *wanted, const char *folder, const char *name)
{
    char real[PATH_MAX];
    /* realpath fails for what is not there and for what may not be seen alike: both are "cannot
     * find". */
    const char *path = join(wanted->arena, folder, name);
    if (path == NULL)
        return fl_fail_memory(wanted->error);
    return realpath(path, real) != NULL ? accept_real(wanted, real) : FL_OK;
}

/* An absolute path names another thing on every machine, whether it leads outside or not. */
static fl_status check_name(const char *name, fl_error *error)
{
    if (name[0] == '\0')
        return fl_fail(error, FL_BAD_INPUT, NULL, "expected the name of a file, found ''");
    if (name[0] == '/')
        return fl_fail(error, FL_BAD_INPUT, NULL,
                       "expected a path relative to this file, found the absolute '%s'", name);
    return FL_OK;
}

/* Designs write "models/part.json" for their own folder and for the installed one. */
static const char *inner_name(const char *name)
{
    static const char prefix[] = "models/";
    return strncmp(name, prefix, sizeof prefix - 1) == 0 ? name + sizeof prefix - 1 : name;
}

/* Looks among the installed models alone; FL_OK with nothing found if there are none. */
static fl_status look_in_models(wanted_file *wanted)
{
    const char *models = wanted->search->models;
    const char *inner = inner_name(wanted->name);
    return models != NULL && inner[0] != '\0' ? look_in(wanted, models, inner) : FL_OK;
}

/* Whether the installed models alone give what was found: who has no more than them finds it too.
 * What is wrong with them is no matter here. */
static fl_status find_installed(bool *installed, const wanted_file *found)
{
    const char *models = found->search->models;
    const fl_folders alone = {.root = models, .models = models};
    wanted_file wanted = {.arena = found->arena, .name = found->name, .search = &alone};
    if (look_in_models(&wanted) == FL_NO_MEMORY)
        return fl_fail_memory(found->error);
    *installed = wanted.found != NULL && fl_file_same(wanted.found, found->found);
    return FL_OK;
}

fl_status fl_path_find(fl_found *found, fl_arena *arena, const char *name, const fl_folders *search,
                       fl_error *error)
{
    wanted_file wanted = {.arena = arena, .name = name, .search = search, .error = error};
    const char *models = search->models;
    bool installed = false;
    fl_status status = check_name(name, error);
    if (status == FL_OK)
        status = look_in(&wanted, search->beside, name);
    if (status == FL_OK && wanted.found == NULL)
        status = look_in_models(&wanted);
    if (status != FL_OK)
        return status;
    if (wanted.found == NULL)
        return fl_fail(error, FL_BAD_INPUT, NULL, "cannot find '%s' in '%s'%s%s%s", name,
                       search->beside, models != NULL ? " or '" : "", models != NULL ? models : "",
                       models != NULL ? "'" : "");
    status = find_installed(&installed, &wanted);
    if (status == FL_OK)
        *found = (fl_found){wanted.found, installed};
    return status;
}
