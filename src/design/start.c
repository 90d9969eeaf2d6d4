/* Where the starts of sizes stand in the design's text. */
#include <stdlib.h>

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

/* Where the start is in its definition, or an empty place behind the size for one. */
static bool find_place(fl_start_place *found, const fl_json *json)
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

/* The place of one definition. It is parsed anew, alone, for the place of its keys: the design
 * keeps its text and no tree. */
static fl_status place_start(fl_start_place *place, const fl_design *design, const group *of,
                             fl_error *error)
{
    fl_json json = {0};
    fl_arena arena;
    const size_t length = of->end - of->begin;
    fl_arena_init(&arena);
    const char *definition = fl_arena_copy(&arena, design->text + of->begin, length);
    fl_status status = definition ? fl_json_parse(&json, definition, length, design->file, error)
                                  : fl_fail_memory(error);
    if (status != FL_OK)
        goto cleanup;
    *place = (fl_start_place){.quantity = of->first};
    if (!find_place(place, &json)) {
        status = fl_fail(error, FL_FAULT, NULL, "a size is not where it was read");
        goto cleanup;
    }
    place->begin += of->begin;
    place->end += of->begin;
cleanup:
    fl_json_release(&json);
    fl_arena_release(&arena);
    return status;
}

fl_status fl_start_list_find(fl_start_list *list, fl_arena *arena, const fl_design *design,
                             fl_error *error)
{
    group *groups = fl_arena_take(arena, design->quantity_count, sizeof *groups);
    fl_start_place *places = fl_arena_take(arena, design->quantity_count, sizeof *places);
    if (groups == NULL || places == NULL)
        return fl_fail_memory(error);
    const size_t count = list_groups(groups, design);
    for (size_t i = 0; i < count; i++) {
        const fl_status status = place_start(&places[i], design, &groups[i], error);
        if (status != FL_OK)
            return status;
    }
    *list = (fl_start_list){places, count};
    return FL_OK;
}

fl_status fl_design_with_starts(char **text, size_t *length, const fl_design *design,
                                const double *values, fl_error *error)
{
    fl_start_list list = {NULL, 0};
    fl_arena arena;
    fl_arena_init(&arena);
    fl_status status = fl_start_list_find(&list, &arena, design, error);
    if (status == FL_OK)
        status = fl_start_list_fill(text, length, design, &list, values, error);
    fl_arena_release(&arena);
    return status;
}
