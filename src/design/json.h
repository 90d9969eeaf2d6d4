/**
 * JSON text as a cJSON tree, made strict, with places for messages.
 *
 * cJSON builds the tree. It keeps no positions and lets some things pass that are not JSON, so a
 * scan goes over the text first (json_check.c). The scan refuses what cJSON would let pass:
 * numbers like 01 or 1., numbers that overflow, control characters, and \u0000. It also says what
 * was expected and where, and it notes the span of each value; the tree's nodes come in the same
 * order, so that each node finds its span. Duplicate keys, NUL bytes, invalid UTF-8 and texts over
 * the limits are refused too. A byte-order mark at the start is skipped.
 */
#ifndef FL_DESIGN_JSON_H
#define FL_DESIGN_JSON_H

#include <cJSON.h>
#include <stdbool.h>

#include "base/arena.h"
#include "base/error.h"

/** Longest file, bytes. */
enum { FL_JSON_LIMIT = 16 * 1024 * 1024 };

/** Deepest nesting, and most values in a file. */
enum { FL_JSON_DEPTH = 100, FL_JSON_VALUES = 1000000 };

typedef struct fl_json {
    cJSON *root;
    const char *file; /* name for messages; borrowed */
    const char *text; /* borrowed */
    size_t length;
    size_t start;               /* offset behind a byte-order mark */
    struct fl_json_note *notes; /* [note_count] one a value, sorted by node */
    size_t note_count;
    struct fl_json_mark *marks; /* line and column every so many bytes */
} fl_json;

/**
 * Parses and checks. text [length] and file are borrowed and must outlive the tree; text needs a
 * NUL behind it.
 * @return FL_OK; FL_BAD_INPUT with "file:line:column" or "file:line:column: path" as the place;
 *         FL_NO_MEMORY.
 */
fl_status fl_json_parse(fl_json *json, const char *text, size_t length, const char *file,
                        fl_error *error);

/** Frees the tree; an all-zero fl_json does nothing. */
void fl_json_release(fl_json *json);

/** Byte offsets of a node's value (end: behind its last byte). False if it is not in the tree. */
bool fl_json_span(const fl_json *json, const cJSON *node, size_t *begin, size_t *end);

/** Writes "path[3].length" into path [room], cut if too long; "" for the root. */
void fl_json_path(char *path, size_t room, const fl_json *json, const cJSON *node);

/** Fails with "file:line:column: path" of the node as the place. */
fl_status fl_json_fail(fl_error *error, const fl_json *json, const cJSON *node, const char *format,
                       ...) __attribute__((format(printf, 4, 5)));

/** As fl_json_fail, for an error already filled, without a place or with one to be extended. */
fl_status fl_json_fail_at(fl_error *error, const fl_json *json, const cJSON *node,
                          fl_status status);

/** "file:line:column: path" of a node, in the arena; NULL when out of memory. */
const char *fl_json_place(fl_arena *arena, const fl_json *json, const cJSON *node);

/**
 * Refuses keys of an object that are not among keys [count], naming the nearest; "comment" is
 * always allowed. Fails too when node is not an object.
 */
fl_status fl_json_keys(const fl_json *json, const cJSON *node, const char *const *keys,
                       size_t count, fl_error *error);

#endif
