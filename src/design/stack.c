/* Substrates from model files: found there, and what of their values is set. */
#include <string.h>

#include "base/file.h"
#include "base/text.h"
#include "design/reader.h"

/* ---- the entry of a file ---- */

static size_t count_entries(const cJSON *substrates)
{
    size_t count = 0;
    for (const cJSON *item = substrates ? substrates->child : NULL; item; item = item->next)
        count += strcmp(item->string, "comment") != 0;
    return count;
}

static fl_status fail_no_entry(fl_reader *reader, fl_spot use, const char *name,
                               const fl_source *source)
{
    char excerpt[FL_EXCERPT_ROOM], other[FL_EXCERPT_ROOM];
    const char *file = fl_path_name(source->json.file);
    const size_t count = count_entries(source->substrates);
    if (count == 0)
        return fl_spot_fail(reader, use, "'%s' has no substrates", file);
    const char **names = fl_arena_take(&reader->draft, count, sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    size_t at = 0;
    for (const cJSON *item = source->substrates->child; item != NULL; item = item->next) {
        if (strcmp(item->string, "comment") != 0)
            names[at++] = item->string;
    }
    const char *nearest = fl_nearest(name, names, count);
    return fl_spot_fail(reader, use, "'%s' has %zu substrates and none is named '%s', %s '%s'",
                        file, count, fl_excerpt(excerpt, name),
                        nearest ? "the nearest is" : "but one is",
                        fl_excerpt(other, nearest ? nearest : names[0]));
}

static const cJSON *only_entry(const cJSON *substrates)
{
    const cJSON *only = NULL;
    for (const cJSON *item = substrates ? substrates->child : NULL; item; item = item->next) {
        if (strcmp(item->string, "comment") == 0)
            continue;
        if (only != NULL)
            return NULL;
        only = item;
    }
    return only;
}

/* The entry of the substrate's own name, or else the only one. */
static fl_status find_entry(fl_reader *reader, fl_spot use, const char *name, fl_spot *entry)
{
    const cJSON *substrates = entry->source->substrates;
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(substrates, name);
    if (found == NULL)
        found = only_entry(substrates);
    if (found == NULL)
        return fail_no_entry(reader, use, name, entry->source);
    entry->node = found;
    return FL_OK;
}

/* ---- what is set ---- */

/* A substrate being opened: all its layers from the one in the outermost file. */
typedef struct opening {
    const fl_owner *top;
    const char *prefix; /* of its values, "board " */
    const fl_substrate_keys *keys;
} opening;

static bool is_key(const fl_substrate_keys *keys, const char *name)
{
    for (size_t i = 0; i < keys->count; i++) {
        if (strcmp(keys->names[i], name) == 0)
            return true;
    }
    return false;
}

/* Values of the substrate are found layer by layer; the other keys of a `set` are for quantities of
 * the file. A key of both is a value of the substrate. */
static fl_status set_quantities(fl_reader *reader, const fl_owner *owner, const char *prefix,
                                const fl_substrate_keys *keys)
{
    fl_definition definition = owner->definition;
    const fl_spot set = fl_spot_child(definition.spot, "set");
    fl_status status = FL_OK;
    for (const cJSON *item = set.node ? set.node->child : NULL; item != NULL && status == FL_OK;
         item = item->next) {
        definition.spot.node = item;
        if (strcmp(item->string, "comment") != 0 && !is_key(keys, item->string))
            status = fl_override_add(reader, &definition, prefix);
    }
    return status;
}

/* Offers what a `set` could have meant: keys of a substrate and quantities of the file. */
static fl_status fail_unmatched(fl_reader *reader, fl_spot spot, const char *prefix,
                                const fl_substrate_keys *keys)
{
    const size_t length = strlen(prefix);
    size_t count = keys->count;
    const char **names =
        fl_arena_take(&reader->draft, count + reader->binding_count, sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    memcpy(names, keys->names, count * sizeof *names);
    for (size_t i = 0; i < reader->binding_count; i++) {
        if (strncmp(reader->bindings[i].name, prefix, length) == 0)
            names[count++] = reader->bindings[i].name + length;
    }
    return fl_word_unknown(reader, spot, "value of a substrate or quantity", spot.node->string,
                           names, count);
}

/* Whether a plain value takes the place of a spread; not if an outer `set` has another in its own,
 * which then speaks for itself. */
static bool drops_value(const fl_reader *reader, const opening *of, const fl_owner *owner,
                        const cJSON *item)
{
    return fl_definition_plain(item) &&
           fl_definition_spread(fl_owner_value(owner->under, item->string).spot.node) &&
           fl_owner_value(of->top, item->string).spot.node == item &&
           fl_lookup_get(&reader->overrides, of->prefix, item->string) == NULL;
}

/* Once the file is read it is known which names are quantities of it. */
static fl_status check_set(fl_reader *reader, const opening *of, const fl_owner *owner,
                           const char *prefix)
{
    const fl_spot set = fl_spot_child(owner->definition.spot, "set");
    const char *first = NULL;
    size_t count = 0;
    for (const cJSON *item = set.node ? set.node->child : NULL; item != NULL; item = item->next) {
        if (strcmp(item->string, "comment") == 0)
            continue;
        bool drops = false;
        if (is_key(of->keys, item->string)) {
            drops = drops_value(reader, of, owner, item);
        } else {
            const fl_override *override = fl_lookup_get(&reader->overrides, prefix, item->string);
            if (override == NULL || !override->matched)
                return fail_unmatched(reader, (fl_spot){set.source, item}, prefix, of->keys);
            drops = override->dropped && override->definition.spot.node == item;
        }
        if (drops && count++ == 0)
            first = item->string;
    }
    return count ? fl_dropped_warn(reader, set, first, count) : FL_OK;
}

/* ---- layers ---- */

/* The substrate as the user of a file. Its own name is that in its file: within a file that lends
 * it, "board/rf laminate". */
static fl_status make_site(fl_reader *reader, const fl_owner *owner, const fl_site **site)
{
    const fl_definition *definition = &owner->definition;
    fl_site *made = fl_arena_take(&reader->draft, 1, sizeof *made);
    const char *name = fl_arena_print(&reader->draft, "%s%s", definition->scope->prefix,
                                      definition->spot.node->string);
    if (made == NULL || name == NULL)
        return fl_fail_memory(reader->error);
    *made = (fl_site){
        .owner = {name, *definition, NULL}, .scope = definition->scope, .side = FL_SIDE_PACKAGE};
    *site = made;
    return FL_OK;
}

/* Finds the file of a layer and its entry there, which is the layer under it. */
static fl_status open_file(fl_reader *reader, const fl_site *site, fl_owner *owner,
                           fl_owner **under)
{
    const fl_spot spot = owner->definition.spot;
    fl_scope *scope = NULL;
    fl_status status = fl_use_open(reader, site, &scope);
    if (status != FL_OK || scope == NULL)
        return status;
    fl_spot entry = {scope->source, NULL};
    status = find_entry(reader, fl_spot_child(spot, "use"), spot.node->string, &entry);
    if (status != FL_OK || entry.node == NULL)
        return status;
    fl_owner *made = fl_arena_take(&reader->draft, 1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(reader->error);
    scope->lent = true;
    *made = (fl_owner){.name = owner->name, .definition = {entry, scope, scope->only_case}};
    owner->under = made;
    *under = made;
    return FL_OK;
}

static fl_status open_layers(fl_reader *reader, const opening *of, fl_owner *owner);

/* An error in between ends the reading, so that the open mark need not be restored for it. */
static fl_status open_layer(fl_reader *reader, const opening *of, const fl_site *site,
                            fl_owner *owner)
{
    fl_owner *under = NULL;
    fl_status status = open_file(reader, site, owner, &under);
    if (status != FL_OK || under == NULL)
        return status;
    const fl_scope *scope = under->definition.scope;
    status = set_quantities(reader, owner, scope->prefix, of->keys);
    scope->source->open = true;
    if (status == FL_OK)
        status = fl_quantities_read(reader, scope);
    if (status == FL_OK)
        status = open_layers(reader, of, under);
    scope->source->open = false;
    return status ? status : check_set(reader, of, owner, scope->prefix);
}

/* From the layer in hand down to the one that has values of its own; a loop of files ends it. */
static fl_status open_layers(fl_reader *reader, const opening *of, fl_owner *owner)
{
    const fl_site *site = NULL;
    if (fl_spot_child(owner->definition.spot, "use").node == NULL)
        return FL_OK;
    const fl_status status = make_site(reader, owner, &site);
    return status ? status
                  : fl_use_blame(reader, site, "substrate", open_layer(reader, of, site, owner));
}

fl_status fl_substrate_open(fl_reader *reader, fl_owner *substrate, const fl_substrate_keys *keys)
{
    const char *prefix = fl_arena_print(&reader->draft, "%s ", substrate->name);
    const opening of = {substrate, prefix, keys};
    return prefix ? open_layers(reader, &of, substrate) : fl_fail_memory(reader->error);
}

fl_status fl_substrate_blame(fl_reader *reader, const fl_owner *substrate, fl_status status)
{
    const fl_site site = {.owner = *substrate, .scope = substrate->definition.scope};
    return substrate->under ? fl_use_blame(reader, &site, "substrate", status) : status;
}
