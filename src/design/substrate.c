/* Substrates: named materials of a file, whose values all sections on them share. */
#include <string.h>

#include "design/reader.h"

/* A kind names its parameter "substrate height"; in the substrate itself the key is "height". */
static const char lead[] = "substrate ";

const char *fl_parameter_key(const fl_parameter *parameter)
{
    return parameter->substrate ? parameter->name + strlen(lead) : parameter->name;
}

bool fl_kind_has_substrate(const fl_kind *kind)
{
    for (size_t i = 0; i < kind->parameter_count; i++) {
        if (kind->parameters[i].substrate)
            return true;
    }
    return false;
}

/* ---- the key "substrates" ---- */

/* What any kind takes from a substrate, each key once; keys and parameters have the same order. */
typedef struct known {
    const char **keys;
    const fl_parameter **parameters;
    size_t count;
} known;

/* Kinds that share a substrate agree on the dimension of a key; the first one speaks for all. */
static void add_known(known *list, const fl_parameter *parameter)
{
    const char *key = fl_parameter_key(parameter);
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->keys[i], key) == 0)
            return;
    }
    list->keys[list->count] = key;
    list->parameters[list->count++] = parameter;
}

/* No more keys than parameters of all kinds. No kind with a substrate leaves the list empty, and
 * then a substrate may hold nothing. */
static fl_status list_known(fl_reader *reader, known *list)
{
    size_t most = 0;
    for (size_t i = 0; i < reader->kind_count; i++)
        most += reader->kinds[i]->parameter_count;
    list->keys = fl_arena_take(&reader->draft, most, sizeof *list->keys);
    list->parameters = fl_arena_take(&reader->draft, most, sizeof *list->parameters);
    list->count = 0;
    if (list->keys == NULL || list->parameters == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < reader->kind_count; i++) {
        for (size_t j = 0; j < reader->kinds[i]->parameter_count; j++) {
            if (reader->kinds[i]->parameters[j].substrate)
                add_known(list, &reader->kinds[i]->parameters[j]);
        }
    }
    return FL_OK;
}

/* Plain values are read at once: those that no section uses are checked too. */
static fl_status check_substrate(fl_reader *reader, fl_spot spot, const known *list)
{
    double value = 0.0;
    fl_status status = fl_name_check(reader, spot, spot.node->string);
    if (status == FL_OK && !cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected a substrate {\"%s\": ...}",
                            list->count ? list->keys[0] : "comment");
    if (status == FL_OK)
        status =
            fl_json_keys(&spot.source->json, spot.node, list->keys, list->count, reader->error);
    for (size_t i = 0; i < list->count && status == FL_OK; i++) {
        const fl_spot item = fl_spot_child(spot, list->keys[i]);
        if (item.node != NULL && fl_definition_plain(item.node))
            status = fl_value_read(reader, item, list->parameters[i]->dimension, &value);
    }
    return status;
}

fl_status fl_substrates_read(fl_reader *reader, fl_spot spot, void *target)
{
    fl_source *source = target;
    known list = {0};
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected an object of named substrates");
    fl_status status = list_known(reader, &list);
    for (const cJSON *item = spot.node->child; item != NULL && status == FL_OK; item = item->next) {
        if (strcmp(item->string, "comment") != 0)
            status = check_substrate(reader, (fl_spot){spot.source, item}, &list);
    }
    source->substrates = spot.node;
    return status;
}

/* ---- what is used ---- */

/* No name has a line feed: substrates and their values cannot be taken for quantities. */
static const char *usage_key(fl_reader *reader, const char *name, const char *key)
{
    return fl_arena_print(&reader->arena, "\n%s\n%s", name, key);
}

/* Fixed values are not worth a warning when no section needs them: a substrate is a data sheet. */
static bool varies(const cJSON *node)
{
    return cJSON_GetObjectItemCaseSensitive(node, "size") != NULL ||
           cJSON_GetObjectItemCaseSensitive(node, "spread") != NULL;
}

/* A substrate that nothing uses is warned of as a whole, one that is used also for each value with
 * a size or a spread that no section on it takes. */
static fl_status note_substrate(fl_reader *reader, const fl_scope *scope, const cJSON *node)
{
    const char *name = fl_arena_print(&reader->arena, "%s%s", scope->prefix, node->string);
    const char *key = name ? usage_key(reader, name, "") : NULL;
    if (key == NULL)
        return fl_fail_memory(reader->error);
    const fl_usage whole = {.what = "substrate", .name = name, .spot = {scope->source, node}};
    fl_status status = fl_usage_note(reader, key, &whole);
    for (const cJSON *item = node->child; item != NULL && status == FL_OK; item = item->next) {
        if (!varies(item) || strcmp(item->string, "comment") == 0)
            continue;
        const fl_usage value = {.what = "value of a substrate",
                                .name = fl_arena_print(&reader->arena, "%s %s", name, item->string),
                                .spot = {scope->source, item},
                                .within = fl_lookup_get(&reader->usage_names, "", key)};
        const char *value_key = usage_key(reader, name, item->string);
        if (value.name == NULL || value_key == NULL)
            return fl_fail_memory(reader->error);
        status = fl_usage_note(reader, value_key, &value);
    }
    return status;
}

fl_status fl_substrates_note(fl_reader *reader, const fl_scope *scope)
{
    const cJSON *substrates = scope->source->substrates;
    fl_status status = FL_OK;
    for (const cJSON *item = substrates ? substrates->child : NULL; item && status == FL_OK;
         item = item->next) {
        if (strcmp(item->string, "comment") != 0)
            status = note_substrate(reader, scope, item);
    }
    return status;
}

fl_status fl_substrate_use(fl_reader *reader, const fl_owner *substrate, const char *key)
{
    const char *found = usage_key(reader, substrate->name, key);
    if (found == NULL)
        return fl_fail_memory(reader->error);
    fl_usage *usage = fl_lookup_get(&reader->usage_names, "", found);
    if (usage != NULL)
        usage->used = true;
    return FL_OK;
}

/* ---- the substrate of a section ---- */

/* A comment at the place of a substrate is none. */
static const cJSON *find_in(const fl_scope *scope, const char *name)
{
    return strcmp(name, "comment") == 0
               ? NULL
               : cJSON_GetObjectItemCaseSensitive(scope->source->substrates, name);
}

/* All names in reach from a scope outward; with names NULL it only counts them. */
static size_t list_names(const fl_scope *scope, const char **names)
{
    size_t count = 0;
    for (; scope != NULL; scope = scope->outer) {
        const cJSON *substrates = scope->source->substrates;
        for (const cJSON *item = substrates ? substrates->child : NULL; item; item = item->next) {
            if (strcmp(item->string, "comment") == 0)
                continue;
            if (names != NULL)
                names[count] = item->string;
            count++;
        }
    }
    return count;
}

static fl_status fail_unknown(fl_reader *reader, fl_spot spot, const fl_scope *scope)
{
    const size_t count = list_names(scope, NULL);
    const char **names = fl_arena_take(&reader->draft, count, sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    list_names(scope, names);
    return fl_word_unknown(reader, spot, "substrate", spot.node->valuestring, names, count);
}

/* Unlike quantities, substrates of the outer files are in reach: a model may be drawn for a board
 * that the design describes. The innermost of a name hides the others. */
fl_status fl_substrate_find(fl_reader *reader, const fl_site *site, fl_owner *substrate)
{
    const fl_spot spot = fl_spot_child(site->owner.definition.spot, "substrate");
    const fl_scope *scope = site->owner.definition.scope;
    const char *name = NULL;
    if (spot.node == NULL)
        return fl_spot_fail(reader, site->owner.definition.spot,
                            "'substrate' is missing: the name of one of the \"substrates\"");
    const fl_status status = fl_name_read(reader, spot, &name);
    if (status != FL_OK)
        return status;
    while (scope != NULL && find_in(scope, name) == NULL)
        scope = scope->outer;
    if (scope == NULL)
        return fail_unknown(reader, spot, site->owner.definition.scope);
    *substrate =
        (fl_owner){.name = fl_arena_print(&reader->draft, "%s%s", scope->prefix, name),
                   .definition = {{scope->source, find_in(scope, name)}, scope, scope->only_case}};
    return substrate->name ? fl_substrate_use(reader, substrate, "")
                           : fl_fail_memory(reader->error);
}
