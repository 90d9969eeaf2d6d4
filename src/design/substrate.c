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

/* Kinds that share a substrate agree on the dimension of a key; the first one speaks for all. */
static void add_key(fl_substrate_keys *list, const fl_parameter *parameter)
{
    const char *key = fl_parameter_key(parameter);
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->names[i], key) == 0)
            return;
    }
    list->names[list->count] = key;
    list->parameters[list->count++] = parameter;
}

/* No more keys than parameters of all kinds, and "use". No kind with a substrate leaves the list
 * empty, and then a substrate may hold nothing. */
static fl_status list_keys(fl_reader *reader, fl_substrate_keys *list)
{
    size_t most = 1;
    for (size_t i = 0; i < reader->kind_count; i++)
        most += reader->kinds[i]->parameter_count;
    list->names = fl_arena_take(&reader->draft, most, sizeof *list->names);
    list->parameters = fl_arena_take(&reader->draft, most, sizeof *list->parameters);
    list->count = 0;
    if (list->names == NULL || list->parameters == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < reader->kind_count; i++) {
        for (size_t j = 0; j < reader->kinds[i]->parameter_count; j++) {
            if (reader->kinds[i]->parameters[j].substrate)
                add_key(list, &reader->kinds[i]->parameters[j]);
        }
    }
    return FL_OK;
}

/* Plain values are read at once: those that no section uses are checked too. */
static fl_status check_values(fl_reader *reader, fl_spot spot, const fl_substrate_keys *list)
{
    double value = 0.0;
    fl_status status = FL_OK;
    for (size_t i = 0; i < list->count && status == FL_OK; i++) {
        const fl_spot item = fl_spot_child(spot, list->names[i]);
        if (item.node != NULL && fl_definition_plain(item.node))
            status = fl_value_read(reader, item, list->parameters[i]->dimension, &value);
    }
    return status;
}

/* Whether the rest of a `set` names quantities of the file is known once that is open. */
static fl_status check_used(fl_reader *reader, fl_spot spot, const fl_substrate_keys *list)
{
    static const char *const names[] = {"use", "set"};
    const fl_spot set = fl_spot_child(spot, "set");
    for (size_t i = 0; i < list->count; i++) {
        const fl_spot item = fl_spot_child(spot, list->names[i]);
        if (item.node != NULL)
            return fl_spot_fail(reader, item,
                                "a substrate with \"use\" has its values from the file: give '%s' "
                                "in its \"set\"",
                                list->names[i]);
    }
    const fl_status status =
        fl_json_keys(&spot.source->json, spot.node, names, FL_COUNT(names), reader->error);
    if (status != FL_OK || set.node == NULL)
        return status;
    return cJSON_IsObject(set.node)
               ? check_values(reader, set, list)
               : fl_spot_fail(reader, set, "expected an object of values to set");
}

static fl_status check_substrate(fl_reader *reader, fl_spot spot, const fl_substrate_keys *list)
{
    fl_status status = fl_name_check(reader, spot, spot.node->string);
    if (status == FL_OK && !cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected a substrate {\"%s\": ...}",
                            list->count ? list->names[0] : "comment");
    if (status != FL_OK)
        return status;
    if (fl_spot_child(spot, "use").node != NULL)
        return check_used(reader, spot, list);
    list->names[list->count] = "use"; /* a key too, in case it is the nearest */
    status =
        fl_json_keys(&spot.source->json, spot.node, list->names, list->count + 1, reader->error);
    return status ? status : check_values(reader, spot, list);
}

fl_status fl_substrates_read(fl_reader *reader, fl_spot spot, void *target)
{
    fl_source *source = target;
    fl_substrate_keys list = {0};
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected an object of named substrates");
    fl_status status = list_keys(reader, &list);
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

/* One value of a substrate that varies, to be warned of unless a section takes it. */
static fl_status note_value(fl_reader *reader, const fl_owner *owner, const cJSON *item)
{
    const char *name = fl_arena_print(&reader->arena, "%s %s", owner->name, item->string);
    const char *whole = usage_key(reader, owner->name, "");
    const char *key = usage_key(reader, owner->name, item->string);
    if (name == NULL || whole == NULL || key == NULL)
        return fl_fail_memory(reader->error);
    const fl_usage value = {.what = "value of a substrate",
                            .name = name,
                            .spot = {owner->definition.spot.source, item},
                            .within = fl_lookup_get(&reader->usage_names, "", whole)};
    return fl_usage_note(reader, key, &value);
}

/* A substrate that nothing uses is warned of as a whole, one that is used also for each value with
 * a size or a spread that no section on it takes; but a file that lends it is a data sheet, of
 * which only what is set counts. */
static fl_status note_usages(fl_reader *reader, const fl_owner *owner,
                             const fl_substrate_keys *keys)
{
    const fl_spot spot = owner->definition.spot;
    const bool used = fl_spot_child(spot, "use").node != NULL;
    const fl_spot values = used ? fl_spot_child(spot, "set") : spot;
    const char *key = usage_key(reader, owner->name, "");
    if (key == NULL)
        return fl_fail_memory(reader->error);
    const fl_usage whole = {.what = "substrate", .name = owner->name, .spot = spot};
    fl_status status = fl_usage_note(reader, key, &whole);
    for (size_t i = 0; i < keys->count && status == FL_OK; i++) {
        const cJSON *item = fl_spot_child(values, keys->names[i]).node;
        if (item != NULL && varies(item))
            status = note_value(reader, owner, item);
    }
    return status;
}

static fl_status note_substrate(fl_reader *reader, const fl_scope *scope, const cJSON *node,
                                const fl_substrate_keys *keys)
{
    const fl_definition definition = {{scope->source, node}, scope, scope->only_case};
    const char *name = fl_arena_print(&reader->arena, "%s%s", scope->prefix, node->string);
    fl_owner *owner = fl_arena_take(&reader->draft, 1, sizeof *owner);
    if (name == NULL || owner == NULL)
        return fl_fail_memory(reader->error);
    if (fl_lookup_get(&reader->substrates, "", name) != NULL)
        return fl_spot_fail(reader, definition.spot, "two substrates are named '%s'", name);
    if (!fl_lookup_put(&reader->substrates, name, owner))
        return fl_fail_memory(reader->error);
    *owner = (fl_owner){.name = name, .definition = definition};
    const fl_status status = note_usages(reader, owner, keys);
    return status ? status : fl_substrate_open(reader, owner, keys);
}

fl_status fl_substrates_note(fl_reader *reader, const fl_scope *scope)
{
    const cJSON *substrates = scope->source->substrates;
    fl_substrate_keys keys = {0};
    if (substrates == NULL)
        return FL_OK;
    fl_status status = list_keys(reader, &keys);
    for (const cJSON *item = substrates->child; item && status == FL_OK; item = item->next) {
        if (strcmp(item->string, "comment") != 0)
            status = note_substrate(reader, scope, item, &keys);
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
    *substrate = *(const fl_owner *)fl_lookup_get(&reader->substrates, scope->prefix, name);
    return fl_substrate_use(reader, substrate, "");
}

/* A value in a `set` comes before that of the file. */
fl_definition fl_owner_value(const fl_owner *owner, const char *key)
{
    fl_definition value = owner->definition;
    for (; owner != NULL; owner = owner->under) {
        value = owner->definition;
        const fl_spot values = owner->under ? fl_spot_child(value.spot, "set") : value.spot;
        value.spot = fl_spot_child(values, key);
        if (value.spot.node != NULL)
            break;
    }
    return value;
}
