/* Whole files in and out, and folders. */
#define _XOPEN_SOURCE 700 /* realpath */

#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <locale.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

/* Names tried for the file beside the target; each taken one is another writer's. */
enum { NAMES_TRIED = 1000 };

/* "cannot be opened: no such file or directory", in English whatever the host's language. */
static fl_status fail_system(fl_error *error, const char *file, const char *what, int code)
{
    char reason[128] = "unknown reason";
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (plain != (locale_t)0) {
        snprintf(reason, sizeof reason, "%s", strerror_l(code, plain));
        freelocale(plain);
    }
    if (reason[0] >= 'A' && reason[0] <= 'Z')
        reason[0] = (char)(reason[0] - 'A' + 'a');
    return fl_fail(error, FL_IO, file, "cannot be %s: %s", what, reason);
}

/* Reading a pipe or a device may never end. */
static fl_status want_regular(mode_t mode, const char *file, fl_error *error)
{
    if (S_ISREG(mode))
        return FL_OK;
    return fl_fail(error, FL_IO, file, "expected a file, found a %s",
                   S_ISDIR(mode) ? "folder" : "pipe or a device");
}

/* Opens a file of known kind for reading; size is what the system says, 0 if it does not know. */
static fl_status open_regular(int *descriptor, size_t *size, const char *file, fl_error *error)
{
    struct stat status;
    if (stat(file, &status) != 0)
        return fail_system(error, file, "opened", errno);
    fl_status result = want_regular(status.st_mode, file, error);
    if (result != FL_OK)
        return result;
    /* It may have become a pipe since: open without waiting, and look again. */
    int opened = open(file, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (opened < 0)
        return fail_system(error, file, "opened", errno);
    if (fstat(opened, &status) != 0)
        result = fail_system(error, file, "opened", errno);
    else
        result = want_regular(status.st_mode, file, error);
    if (result != FL_OK) {
        close(opened);
        return result;
    }
    *descriptor = opened;
    *size = status.st_size > 0 ? (size_t)status.st_size : 0;
    return FL_OK;
}

/* Said of size and of content alike: what a file says of its size need not be true. */
static fl_status fail_limit(fl_error *error, const char *file, size_t limit)
{
    return fl_fail(error, FL_BAD_INPUT, file, "expected at most %zu bytes, found more", limit);
}

/* Reads to the end: size is a guess, as a file may grow and some say 0. */
static fl_status read_all(char **text, size_t *length, int descriptor, size_t size, size_t limit)
{
    size_t room = (size < limit ? size : limit) + 2; /* one byte to see the end, one for the NUL */
    for (;;) {
        if (*text == NULL || *length + 1 >= room) {
            room = *text == NULL ? room : 2 * room;
            char *grown = fl_memory_grow(*text, *length, room, 1);
            if (grown == NULL)
                return FL_NO_MEMORY;
            *text = grown;
        }
        /* One byte of the room is kept for the NUL. */
        ssize_t got = read(descriptor, *text + *length, room - 1 - *length);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return FL_IO;
        *length += (size_t)got;
        if (*length > limit)
            return FL_BAD_INPUT;
        (*text)[*length] = '\0';
        if (got == 0)
            return FL_OK;
    }
}

fl_status fl_file_read(char **text, size_t *length, const char *file, size_t limit, fl_error *error)
{
    char *bytes = NULL;
    size_t count = 0;
    size_t size = 0;
    int descriptor = -1;
    fl_status result = open_regular(&descriptor, &size, file, error);
    if (result != FL_OK)
        return result;
    result = size > limit ? FL_BAD_INPUT : read_all(&bytes, &count, descriptor, size, limit);
    /* Closing may change errno, and a failed close of a file that was only read means nothing. */
    int code = errno;
    close(descriptor);
    if (result == FL_OK) {
        *text = bytes;
        *length = count;
        return FL_OK;
    }
    fl_memory_free(bytes);
    if (result == FL_BAD_INPUT)
        return fail_limit(error, file, limit);
    return result == FL_IO ? fail_system(error, file, "read", code) : fl_fail_memory(error);
}

/* A new file being written, and the target whose place it takes. */
typedef struct replacement {
    char target[PATH_MAX]; /* links followed, so that a link stays a link */
    char beside[PATH_MAX];
    int descriptor;
} replacement;

/* Target and permissions of the file: those of the old one, if there is one. */
static fl_status find_target(replacement *new_file, mode_t *mode, const char *file, fl_error *error)
{
    struct stat status;
    *mode = 0;
    /* Longer ones the system would refuse as well, but the copy below must not be asked to. */
    if (strlen(file) >= PATH_MAX)
        return fail_system(error, file, "written", ENAMETOOLONG);
    if (stat(file, &status) != 0) {
        if (errno != ENOENT)
            return fail_system(error, file, "written", errno);
        memcpy(new_file->target, file, strlen(file) + 1);
        return FL_OK;
    }
    fl_status result = want_regular(status.st_mode, file, error);
    if (result == FL_OK && realpath(file, new_file->target) == NULL)
        result = fail_system(error, file, "written", errno);
    *mode = status.st_mode & 0777;
    return result;
}

/* In the target's own folder, as a rename works within one file system only. The name has a fixed
 * length, so that a long target does not make one too long. 0 or the error's number. */
static int open_beside(replacement *new_file)
{
    const char *name = fl_path_name(new_file->target);
    int folder = (int)(name - new_file->target);
    for (int i = 0; i < NAMES_TRIED; i++) {
        int length = snprintf(new_file->beside, PATH_MAX, "%.*s.fairlead-%ld-%d", folder,
                              new_file->target, (long)getpid(), i);
        if (length >= PATH_MAX)
            return ENAMETOOLONG;
        new_file->descriptor =
            open(new_file->beside, O_WRONLY | O_CREAT | O_EXCL | O_NOCTTY | O_CLOEXEC, 0666);
        if (new_file->descriptor >= 0)
            return 0;
        if (errno != EEXIST)
            return errno;
    }
    return EEXIST;
}

/* Each step returns 0 or the error's number. */
static int write_all(int descriptor, const char *text, size_t length)
{
    while (length > 0) {
        ssize_t put = write(descriptor, text, length);
        /* A signal may interrupt, a full disk may take a part: go on until all is written or
         * refused. */
        if (put < 0 && errno != EINTR)
            return errno;
        if (put > 0) {
            text += put;
            length -= (size_t)put;
        }
    }
    /* Some file systems have nothing to flush and say so. */
    return fsync(descriptor) == 0 || errno == EINVAL ? 0 : errno;
}

static int fill_and_rename(replacement *new_file, mode_t mode, const char *text, size_t length)
{
    int code = write_all(new_file->descriptor, text, length);
    /* The mode of a new file is the mask's affair, that of a replaced one its owner's. */
    if (code == 0 && mode != 0 && fchmod(new_file->descriptor, mode) != 0)
        code = errno;
    /* Some file systems tell only now that the disk is full. */
    if (close(new_file->descriptor) != 0 && code == 0)
        code = errno;
    if (code == 0 && rename(new_file->beside, new_file->target) != 0)
        code = errno;
    if (code != 0)
        unlink(new_file->beside);
    return code;
}

fl_status fl_file_write(const char *file, const char *text, size_t length, fl_error *error)
{
    mode_t mode = 0;
    /* Two paths of full length are much for a stack. */
    replacement *new_file = fl_memory_take(1, sizeof *new_file);
    if (new_file == NULL)
        return fl_fail_memory(error);
    fl_status result = find_target(new_file, &mode, file, error);
    if (result == FL_OK) {
        int code = open_beside(new_file);
        if (code == 0)
            code = fill_and_rename(new_file, mode, text, length);
        if (code != 0)
            result = fail_system(error, file, "written", code);
    }
    fl_memory_free(new_file);
    return result;
}

bool fl_file_there(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0;
}

bool fl_file_same(const char *a, const char *b)
{
    struct stat first, second;
    return stat(a, &first) == 0 && stat(b, &second) == 0 && first.st_dev == second.st_dev &&
           first.st_ino == second.st_ino;
}

/* Links followed: a link to a folder serves as one. */
static bool is_folder(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

/* Makes the folder that path names; 0 or the error's number. */
static int make_one(const char *path)
{
    if (mkdir(path, 0777) == 0)
        return 0;
    /* It may be there, or another process may have made it just now; a parent that may not be
     * written is no matter then. */
    int code = errno;
    return is_folder(path) ? 0 : code;
}

fl_status fl_folder_make(const char *folder, fl_error *error)
{
    size_t length = strlen(folder);
    char *path = fl_memory_take(length + 1, 1);
    if (path == NULL)
        return fl_fail_memory(error);
    memcpy(path, folder, length);
    int code = 0;
    for (size_t i = 1; i < length && code == 0; i++) {
        /* Each parent in turn, the path cut short behind it. */
        if (path[i] != '/' || path[i - 1] == '/')
            continue;
        path[i] = '\0';
        code = make_one(path);
        path[i] = '/';
    }
    if (code == 0)
        code = make_one(path);
    fl_memory_free(path);
    if (code == EEXIST)
        return fl_fail(error, FL_IO, folder, "expected a folder, found a file of that name");
    return code == 0 ? FL_OK : fail_system(error, folder, "made", code);
}
