/* The design's own text with new starts, all else as the user wrote it. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "design/design.h"
#include "design/json.h"

/* The sized quantities that share one definition: one, or a size of each case. */
typedef struct group {
    size_t begin, end; /* bytes of the definition */
    size_t first;      /* a quantity that has it */
} group;

/* In the order of the text; of one definition the first quantity comes first, so that it is
 * kept. */
static int compare_groups(const void *left, const void *right)
{
    const group *a = left;
    const group *b = right;
    if (a->begin != b->begin)
        return a->begin < b->begin ? -1 : 1;
    return a->first < b->first ? -1 : a->first > b->first;
}

/* Definitions in the order of the text, each once. */
static size_t list_groups(group *groups, const fl_design *design)
{
    size_t count = 0;
    size_t kept = 0;
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (quantity->sized)
            groups[count++] = (group){quantity->begin, quantity->end, i};
    }
    if (count > 0)
        qsort(groups, count, sizeof *groups, compare_groups);
    for (size_t i = 0; i < count; i++) {
        if (kept == 0 || groups[kept - 1].begin != groups[i].begin)
            groups[kept++] = groups[i];
    }
    return kept;
}

/* As the file would have it: with all digits, so that the value reads back the same. */
static void add_value(fl_text *text, const fl_quantity *quantity, double value)
{
    char word[FL_UNIT_ROOM];
    /* Rounding must not carry a value over the end of its range. */
    value = value < quantity->low ? quantity->low : value;
    value = value > quantity->high ? quantity->high : value;
    if (quantity->dimension == FL_NUMBER) {
        char number[FL_NUMBER_ROOM];
        fl_number_text(number, value);
        fl_text_add(text, number);
        return;
    }
    fl_unit_text(word, value, quantity->dimension, 0);
    fl_text_add(text, "\"");
    fl_text_add(text, word);
    fl_text_add(text, "\"");
}

/* The quantity of a case; where the case has none of this definition, the first will do. */
static size_t find_of_case(const fl_design *design, const group *of, size_t only_case)
{
    for (size_t i = of->first; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (quantity->sized && quantity->begin == of->begin && quantity->only_case == only_case)
            return i;
    }
    return of->first;
}

/* One value, or a list with one for each case. */
static void add_start(fl_text *text, const fl_design *design, const group *of, const double *values)
{
    const fl_quantity *first = &design->quantities[of->first];
    if (!first->per_case) {
        add_value(text, first, values[of->first]);
        return;
    }
    fl_text_add(text, "[");
    for (size_t i = 0; i < design->case_count; i++) {
        fl_text_add(text, i ? ", " : "");
        add_value(text, first, values[find_of_case(design, of, i)]);
    }
    fl_text_add(text, "]");
}

/* Bytes from begin to end of the definition give way to the start. */
typedef struct gap {
    size_t begin, end;
    bool fresh; /* there was no start: a key is needed too */
} gap;

/* Where the start is, or an empty gap behind the size for one. */
static bool find_gap(gap *found, const fl_json *json)
{
    size_t begin = 0;
    const cJSON *start = cJSON_GetObjectItemCaseSensitive(json->root, "start");
    const cJSON *size = cJSON_GetObjectItemCaseSensitive(json->root, "size");
    found->fresh = start == NULL;
    if (start != NULL)
        return fl_json_span(json, start, &found->begin, &found->end);
    if (size == NULL || !fl_json_span(json, size, &begin, &found->end))
        return false;
    found->begin = found->end;
    return true;
}

/* Adds a definition with its new start. The definition is parsed anew, alone, for the place of its
 * keys: the design keeps its text and no tree. */
static fl_status splice(fl_text *text, const fl_design *design, const group *of,
                        const double *values, fl_error *error)
{
    fl_json json = {0};
    fl_arena arena;
    gap at = {0, 0, false};
    const size_t length = of->end - of->begin;
    fl_arena_init(&arena);
    const char *definition = fl_arena_copy(&arena, design->text + of->begin, length);
    fl_status status = definition ? fl_json_parse(&json, definition, length, design->file, error)
                                  : fl_fail_memory(error);
    if (status != FL_OK)
        goto cleanup;
    if (!find_gap(&at, &json)) {
        status = fl_fail(error, FL_FAULT, NULL, "a size is not where it was read");
        goto cleanup;
    }
    fl_text_add_bytes(text, definition, at.begin);
    fl_text_add(text, at.fresh ? ", \"start\": " : "");
    add_start(text, design, of, values);
    fl_text_add_bytes(text, definition + at.end, length - at.end);
cleanup:
    fl_json_release(&json);
    fl_arena_release(&arena);
    return status;
}

/* Definitions do not overlap: between them the text goes over byte for byte, comments and layout
 * with it. */
fl_status fl_design_with_starts(char **text, size_t *length, const fl_design *design,
                                const double *values, fl_error *error)
{
    fl_text made;
    size_t done = 0;
    fl_status status = FL_OK;
    fl_text_init(&made);
    group *groups = fl_memory_take(design->quantity_count, sizeof *groups);
    const size_t count = groups ? list_groups(groups, design) : 0;
    if (groups == NULL)
        status = fl_fail_memory(error);
    for (size_t i = 0; i < count && status == FL_OK; i++) {
        fl_text_add_bytes(&made, design->text + done, groups[i].begin - done);
        status = splice(&made, design, &groups[i], values, error);
        done = groups[i].end;
    }
    fl_text_add_bytes(&made, design->text + done, design->length - done);
    if (status == FL_OK && fl_text_failed(&made))
        status = fl_fail_memory(error);
    if (status == FL_OK) {
        *text = made.bytes;
        *length = made.length;
        fl_text_init(&made);
    }
    fl_text_release(&made);
    fl_memory_free(groups);
    return status;
}
