/* JSON text as a cJSON tree with places for messages. */
#include "design/json.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "design/json_check.h"

/* Line and column are kept once in so many bytes, so that a place costs the same anywhere. */
enum { MARK_STEP = 4096, PATH_ROOM = 512, FILE_SHOWN = 150 };

typedef struct fl_json_mark {
    uint32_t line, column; /* from 1 */
} fl_json_mark;

/* Moves a mark over the bytes from one offset to another. */
static void step(fl_json_mark *mark, const char *text, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        if (text[i] == '\n') {
            mark->line++;
            mark->column = 1;
        } else if (((unsigned char)text[i] & 0xC0U) != 0x80U) {
            mark->column++;
        }
    }
}

/* Marks for the whole text, one walk over it. */
static fl_status make_marks(fl_json *json, fl_error *error)
{
    size_t count = json->length / MARK_STEP + 1;
    json->marks = fl_memory_take(count, sizeof *json->marks);
    if (json->marks == NULL)
        return fl_fail_memory(error);
    fl_json_mark mark = {1, 1};
    size_t from = json->start;
    /* The byte-order mark is no character of the first line. */
    for (size_t i = 0; i < count; i++) {
        size_t to = i * MARK_STEP;
        step(&mark, json->text, from, to);
        from = to > from ? to : from;
        json->marks[i] = mark;
    }
    return FL_OK;
}

/* Line and column of an offset: from the mark before it, at most MARK_STEP bytes on. */
static fl_json_mark find_mark(const fl_json *json, size_t offset)
{
    size_t block = offset / MARK_STEP;
    fl_json_mark mark = json->marks[block];
    size_t from = block * MARK_STEP;
    step(&mark, json->text, from < json->start ? json->start : from, offset);
    return mark;
}

/* The end of a long file name; its beginning matters less than the line behind it. */
static const char *shown_file(const fl_json *json, const char **dots)
{
    const char *name = json->file;
    size_t length = strlen(name);
    *dots = length > FILE_SHOWN ? "..." : "";
    if (length > FILE_SHOWN)
        name += length - FILE_SHOWN;
    while (((unsigned char)*name & 0xC0U) == 0x80U)
        name++;
    return name;
}

/* Gives an error of the scan its place. The tree is not built yet, so there is no path. */
static fl_status fail_at_offset(fl_error *error, const fl_json *json, size_t offset)
{
    fl_json_mark mark = find_mark(json, offset);
    char place[PATH_ROOM];
    const char *dots;
    const char *file = shown_file(json, &dots);
    snprintf(place, sizeof place, "%s%s:%u:%u", dots, file, (unsigned)mark.line,
             (unsigned)mark.column);
    return fl_fail_within(error, FL_BAD_INPUT, place);
}

/* Gives each note its node: both are in the order of the text. */
static void assign_nodes(fl_json_note **note, const cJSON *node, const cJSON *parent)
{
    (*note)->node = node;
    (*note)->parent = parent;
    (*note)++;
    for (const cJSON *child = node->child; child != NULL; child = child->next)
        assign_nodes(note, child, node);
}

/* By number: comparing pointers into different objects is undefined. The order never shows. */
static int compare_addresses(const cJSON *a, const cJSON *b)
{
    return ((uintptr_t)a > (uintptr_t)b) - ((uintptr_t)a < (uintptr_t)b);
}

static int by_node(const void *a, const void *b)
{
    return compare_addresses(((const fl_json_note *)a)->node, ((const fl_json_note *)b)->node);
}

/* Members of one object with the same key, escapes resolved; elements of a list have none. */
static bool is_twin(const fl_json_note *a, const fl_json_note *b)
{
    return a->parent == b->parent && a->node->string != NULL && b->node->string != NULL &&
           strcmp(a->node->string, b->node->string) == 0;
}

/* Siblings together, by key, then in the order of the text. */
static int by_key(const void *a, const void *b)
{
    const fl_json_note *one = a;
    const fl_json_note *two = b;
    int order = compare_addresses(one->parent, two->parent);
    if (order == 0 && one->node->string != NULL && two->node->string != NULL)
        order = strcmp(one->node->string, two->node->string);
    return order != 0 ? order : (one->begin > two->begin) - (one->begin < two->begin);
}

/* Refuses the first key of the text that its object has already. Leaves the notes sorted by node.*/
static fl_status index_nodes(fl_json *json, fl_error *error)
{
    /* One sort finds all twins, where comparing each with each would take minutes on a hostile
     * file. */
    const fl_json_note *first = NULL;
    qsort(json->notes, json->note_count, sizeof *json->notes, by_key);
    for (size_t i = 1; i < json->note_count; i++) {
        const fl_json_note *note = &json->notes[i];
        if (is_twin(note - 1, note) && (first == NULL || note->begin < first->begin))
            first = note;
    }
    const cJSON *twice = first != NULL ? first->node : NULL;
    qsort(json->notes, json->note_count, sizeof *json->notes, by_node);
    if (twice == NULL)
        return FL_OK;
    return fl_json_fail(error, json, twice, "expected each key once, found '%s' again",
                        twice->string);
}

/* The scan has accepted the text, so that the parser must; notes and nodes then go side by side. */
static fl_status build_tree(fl_json *json, fl_error *error)
{
    const char *end = NULL;
    /* With its length and the NUL: the parser then reads no byte behind, and wants nothing after
     * the value. Its error pointer is shared by all threads and is not looked at. */
    json->root = cJSON_ParseWithLengthOpts(json->text + json->start, json->length - json->start + 1,
                                           &end, true);
    /* The text is known to be good, so that memory is all that can be missing. */
    if (json->root == NULL)
        return fl_fail_memory(error);
    fl_json_note *note = json->notes;
    assign_nodes(&note, json->root, NULL);
    return index_nodes(json, error);
}

fl_status fl_json_parse(fl_json *json, const char *text, size_t length, const char *file,
                        fl_error *error)
{
    /* Read aside, so that the caller's is unchanged on failure. */
    fl_json read = {.file = file, .text = text, .length = length};
    size_t at = 0;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        read.start = 3;
    fl_status status = make_marks(&read, error);
    if (status == FL_OK) {
        status = fl_json_check(&read, &at, error);
        if (status == FL_BAD_INPUT)
            status = fail_at_offset(error, &read, at);
    }
    if (status == FL_OK)
        status = build_tree(&read, error);
    if (status == FL_OK)
        *json = read;
    else
        fl_json_release(&read);
    return status;
}

void fl_json_release(fl_json *json)
{
    cJSON_Delete(json->root);
    fl_memory_free(json->notes);
    fl_memory_free(json->marks);
    *json = (fl_json){.root = NULL};
}

/* NULL for a node that is not in the tree. */
static const fl_json_note *find_note(const fl_json *json, const cJSON *node)
{
    fl_json_note wanted = {.node = node};
    if (node == NULL || json->note_count == 0)
        return NULL;
    return bsearch(&wanted, json->notes, json->note_count, sizeof wanted, by_node);
}

bool fl_json_span(const fl_json *json, const cJSON *node, size_t *begin, size_t *end)
{
    const fl_json_note *note = find_note(json, node);
    if (note == NULL)
        return false;
    *begin = note->begin;
    *end = note->end;
    return true;
}

/* One step of a path, cut at room; the new length. */
static size_t add_step(char *path, size_t room, size_t length, const fl_json_note *note)
{
    int added;
    if (note->node->string != NULL)
        added = snprintf(path + length, room - length, "%s%s", length > 0 ? "." : "",
                         note->node->string);
    else
        added = snprintf(path + length, room - length, "[%u]", (unsigned)note->index);
    size_t whole = length + (size_t)(added > 0 ? added : 0);
    return whole < room ? whole : room - 1;
}

void fl_json_path(char *path, size_t room, const fl_json *json, const cJSON *node)
{
    /* From the node up, then written from the root down. */
    const fl_json_note *steps[FL_JSON_DEPTH + 1];
    size_t count = 0;
    size_t length = 0;
    const fl_json_note *note = find_note(json, node);
    while (note != NULL && note->parent != NULL && count <= FL_JSON_DEPTH) {
        steps[count++] = note;
        note = find_note(json, note->parent);
    }
    path[0] = '\0';
    while (count > 0)
        length = add_step(path, room, length, steps[--count]);
    path[fl_text_valid_utf8(path, length)] = '\0'; /* a cut may have split a character */
}

const char *fl_json_place(fl_arena *arena, const fl_json *json, const cJSON *node)
{
    char path[PATH_ROOM];
    const char *dots;
    const char *file = shown_file(json, &dots);
    const fl_json_note *note = find_note(json, node);
    if (note == NULL)
        return fl_arena_print(arena, "%s%s", dots, file);
    fl_json_mark mark = find_mark(json, note->begin);
    fl_json_path(path, sizeof path, json, node);
    return fl_arena_print(arena, "%s%s:%u:%u%s%s", dots, file, (unsigned)mark.line,
                          (unsigned)mark.column, path[0] != '\0' ? ": " : "", path);
}

fl_status fl_json_fail_at(fl_error *error, const fl_json *json, const cJSON *node, fl_status status)
{
    /* Out of memory is no fault of the node. */
    if (error == NULL || status == FL_NO_MEMORY)
        return status;
    fl_arena arena;
    fl_arena_init(&arena);
    const char *place = fl_json_place(&arena, json, node);
    status = place != NULL ? fl_fail_within(error, status, place) : fl_fail_memory(error);
    fl_arena_release(&arena);
    return status;
}

fl_status fl_json_fail(fl_error *error, const fl_json *json, const cJSON *node, const char *format,
                       ...)
{
    if (error == NULL)
        return FL_BAD_INPUT;
    char message[sizeof error->message + 8]; /* longer, so that a cut is seen and marked */
    va_list arguments;
    va_start(arguments, format);
    fl_format(message, sizeof message, format, arguments);
    va_end(arguments);
    fl_fail(error, FL_BAD_INPUT, NULL, "%s", message);
    return fl_json_fail_at(error, json, node, FL_BAD_INPUT);
}

/* Case counts; "comment" is known everywhere. */
static bool is_known(const char *key, const char *const *keys, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(key, keys[i]) == 0)
            return true;
    return strcmp(key, "comment") == 0;
}

/* Refuses a key, with the nearest of those that the object may have. */
static fl_status fail_key(const fl_json *json, const cJSON *node, const char *const *keys,
                          size_t count, fl_error *error)
{
    const char *nearest = fl_nearest(node->string, keys, count);
    /* The key in the file comes last: it may be long, and the end is what is cut. */
    if (nearest != NULL)
        return fl_json_fail(error, json, node, "expected a known key such as '%s', found '%s'",
                            nearest, node->string);
    return fl_json_fail(error, json, node, "expected a known key, found '%s'", node->string);
}

fl_status fl_json_keys(const fl_json *json, const cJSON *node, const char *const *keys,
                       size_t count, fl_error *error)
{
    if (!cJSON_IsObject(node))
        return fl_json_fail(error, json, node, "expected an object in braces");
    for (const cJSON *child = node->child; child != NULL; child = child->next)
        if (!is_known(child->string, keys, count))
            return fail_key(json, child, keys, count, error);
    return FL_OK;
}
