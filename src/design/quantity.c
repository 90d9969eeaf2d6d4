/* Quantities: a definition as written, to a value of the design or a term on one. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "design/reader.h"

bool fl_definition_plain(const cJSON *node)
{
    return cJSON_IsNumber(node) || (cJSON_IsString(node) && node->valuestring[0] != '@');
}

bool fl_definition_spread(const cJSON *node)
{
    return cJSON_GetObjectItemCaseSensitive(node, "spread") != NULL;
}

/* The spread that is dropped may be in the definition of an inner `set`, which would be in force
 * now if the outer one were not there. */
void fl_definition_choose(fl_reader *reader, const char *name, fl_definition *definition)
{
    fl_override *override = fl_lookup_get(&reader->overrides, "", name);
    if (override == NULL)
        return;
    const cJSON *old = override->under ? override->under : definition->spot.node;
    override->matched = true;
    override->dropped =
        fl_definition_plain(override->definition.spot.node) && fl_definition_spread(old);
    *definition = override->definition;
}

/* ---- references ---- */

/* "a -> b -> a" of a loop that comes back to a binding; a long one loses its middle. */
static fl_status fail_loop(fl_reader *reader, fl_spot spot, const fl_binding *first)
{
    enum { SHOWN = 5 };
    char excerpt[FL_EXCERPT_ROOM];
    const char *chain = fl_arena_print(&reader->draft, "%s", fl_excerpt(excerpt, first->name));
    const fl_binding *at = first->next;
    for (size_t i = 0; at != first && at != NULL && chain != NULL && i <= SHOWN; i++) {
        const char *next = i < SHOWN ? fl_excerpt(excerpt, at->name) : "...";
        chain = fl_arena_print(&reader->draft, "%s -> %s", chain, next);
        at = at->next;
    }
    if (chain == NULL)
        return fl_fail_memory(reader->error);
    return fl_spot_fail(reader, spot, "quantities are defined in a loop: %s -> %s", chain,
                        fl_excerpt(excerpt, first->name));
}

/* Suggests names of the scope, as a definition there writes them. */
static fl_status fail_unknown(fl_reader *reader, const fl_definition *definition, const char *name)
{
    const size_t length = strlen(definition->scope->prefix);
    const char **names = fl_arena_take(&reader->draft, reader->binding_count, sizeof *names);
    size_t count = 0;
    if (names == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < reader->binding_count; i++) {
        if (strncmp(reader->bindings[i].name, definition->scope->prefix, length) == 0)
            names[count++] = reader->bindings[i].name + length;
    }
    return fl_word_unknown(reader, definition->spot, "quantity", name, names, count);
}

/* Reads a named quantity, which may read others first. While it is open, a reference that comes
 * back to it is a loop. */
static fl_status read_binding(fl_reader *reader, fl_binding *binding)
{
    fl_ask ask = {.name = binding->name, .definition = binding->definition, .named = true};
    binding->state = FL_OPEN;
    const fl_status status = fl_definition_read(reader, &ask);
    if (status != FL_OK)
        return status;
    binding->term = ask.term;
    binding->dimension = ask.dimension;
    binding->state = FL_READ;
    return FL_OK;
}

/* The binding that "@name" in a definition means, read. */
static fl_status follow(fl_reader *reader, const fl_ask *ask, fl_spot spot, fl_binding **found)
{
    if (!cJSON_IsString(spot.node) || spot.node->valuestring[0] != '@')
        return fl_spot_fail(reader, spot, "expected a quantity, such as \"@gap\"");
    const char *name = spot.node->valuestring + 1;
    const char *prefix = ask->definition.scope->prefix;
    fl_binding *binding = fl_lookup_get(&reader->binding_names, prefix, name);
    fl_definition definition = ask->definition;
    definition.spot = spot;
    if (binding == NULL)
        return fail_unknown(reader, &definition, name);
    fl_usage *usage = fl_lookup_get(&reader->usage_names, "", binding->name);
    if (usage != NULL)
        usage->used = true;
    fl_binding *from = ask->named ? fl_lookup_get(&reader->binding_names, "", ask->name) : NULL;
    if (from != NULL)
        from->next = binding;
    if (binding->state == FL_OPEN)
        return fail_loop(reader, spot, binding);
    *found = binding;
    return binding->state == FL_READ ? FL_OK : read_binding(reader, binding);
}

/* The term of a reference is that of the quantity, so that a chain of references ends at an entry
 * and never makes a quantity of its own. A section's parameter expects its dimension; a named
 * quantity takes over whichever it finds. */
static fl_status take_reference(fl_reader *reader, fl_ask *ask, fl_spot spot)
{
    char excerpt[FL_EXCERPT_ROOM];
    fl_binding *binding = NULL;
    const fl_status status = follow(reader, ask, spot, &binding);
    if (status != FL_OK || binding == NULL)
        return status;
    if (!ask->named && ask->dimension != binding->dimension)
        return fl_spot_fail(reader, spot, "expected %s, but '%s' is %s",
                            fl_dimension_text(ask->dimension), fl_excerpt(excerpt, binding->name),
                            fl_dimension_text(binding->dimension));
    ask->dimension = binding->dimension;
    ask->term = binding->term;
    return FL_OK;
}

/* {"from": "@name", "times": 0.5, "plus": "10 um"} */

static fl_status read_from(fl_reader *reader, fl_spot spot, void *target)
{
    return take_reference(reader, target, spot);
}

/* Of what "from" came to: times (a q + b) = (times a) q + times b. */
static fl_status read_times(fl_reader *reader, fl_spot spot, void *target)
{
    fl_ask *ask = target;
    double times = 0.0;
    const fl_status status = fl_number_node_read(reader, spot, &times);
    ask->term.times *= times;
    ask->term.plus *= times;
    return status;
}

static fl_status read_plus(fl_reader *reader, fl_spot spot, void *target)
{
    fl_ask *ask = target;
    double plus = 0.0;
    const fl_status status = fl_value_read(reader, spot, ask->dimension, &plus);
    ask->term.plus += plus;
    return status;
}

/* Read in this order: the factor scales what "from" came to, and the sum is added after it. */
static const fl_key derived_keys[] = {
    {"from", true, read_from}, {"times", false, read_times}, {"plus", false, read_plus}};

/* A chain of factors is bounded too: two numbers of 1e30 multiplied, beyond which values could
 * overflow. */
static fl_status read_derived(fl_reader *reader, fl_ask *ask)
{
    const fl_spot spot = ask->definition.spot;
    const fl_status status =
        fl_object_read(reader, spot, derived_keys, FL_COUNT(derived_keys), ask);
    if (status == FL_OK && !(fabs(ask->term.times) <= 1e60 && fabs(ask->term.plus) <= 1e60))
        return fl_spot_fail(reader, spot, "the value is too large to be used");
    return status;
}

/* A section's plain value is a constant, no quantity: only what is named, sized or spread can be
 * studied and is listed. */
fl_status fl_definition_read(fl_reader *reader, fl_ask *ask)
{
    const fl_spot spot = ask->definition.spot;
    if (fl_spot_child(spot, "from").node != NULL)
        return read_derived(reader, ask);
    if (cJSON_IsString(spot.node) && spot.node->valuestring[0] == '@')
        return take_reference(reader, ask, spot);
    if (ask->named || cJSON_IsObject(spot.node))
        return fl_entry_read(reader, ask);
    ask->term = (fl_term){.quantity = FL_NONE, .given = true};
    return fl_value_read(reader, spot, ask->dimension, &ask->term.plus);
}

/* ---- named quantities ---- */

fl_status fl_usage_note(fl_reader *reader, const char *key, const fl_usage *usage)
{
    if (fl_lookup_get(&reader->usage_names, "", key) != NULL)
        return FL_OK;
    fl_usage *kept = fl_arena_take(&reader->arena, 1, sizeof *kept);
    if (kept == NULL || !fl_lookup_put(&reader->usage_names, key, kept))
        return fl_fail_memory(reader->error);
    *kept = *usage;
    if (reader->last_usage != NULL)
        reader->last_usage->next = kept;
    else
        reader->usages = kept;
    reader->last_usage = kept;
    return FL_OK;
}

/* Names are copied, as bindings last for one case and usages for all. */
static fl_status note_usage(fl_reader *reader, const fl_binding *binding)
{
    const char *name = fl_arena_copy(&reader->arena, binding->name, strlen(binding->name));
    const fl_usage usage = {.what = "quantity", .name = name, .spot = binding->definition.spot};
    return name ? fl_usage_note(reader, name, &usage) : fl_fail_memory(reader->error);
}

/* Names a quantity without reading it: definitions may refer to ones further down. */
static fl_status bind(fl_reader *reader, const fl_scope *scope, fl_spot spot)
{
    const fl_status status = fl_name_check(reader, spot, spot.node->string);
    if (status != FL_OK)
        return status;
    if (reader->binding_count == FL_QUANTITY_LIMIT)
        return fl_spot_fail(reader, spot, "a design has at most %d quantities", FL_QUANTITY_LIMIT);
    fl_binding *binding = &reader->bindings[reader->binding_count];
    const char *name = fl_arena_print(&reader->draft, "%s%s", scope->prefix, spot.node->string);
    if (name == NULL)
        return fl_fail_memory(reader->error);
    if (fl_lookup_get(&reader->binding_names, "", name) != NULL)
        return fl_spot_fail(reader, spot, "two quantities are named '%s'", name);
    *binding = (fl_binding){.name = name, .definition = {spot, scope, scope->only_case}};
    fl_definition_choose(reader, name, &binding->definition);
    if (!fl_lookup_put(&reader->binding_names, name, binding))
        return fl_fail_memory(reader->error);
    reader->binding_count++;
    /* A file that lends a substrate may have more than that needs; what is set is meant for it. */
    if (scope->lent && binding->definition.scope == scope)
        return FL_OK;
    return note_usage(reader, binding);
}

/* All are named before any is read. Also those that nothing uses are read, so that their mistakes
 * show; but not those of a file that only lends a substrate: they would be values of the design. */
fl_status fl_quantities_read(fl_reader *reader, const fl_scope *scope)
{
    fl_status status = FL_OK;
    const size_t first = reader->binding_count;
    if (scope->source->quantities == NULL)
        return FL_OK;
    for (const cJSON *item = scope->source->quantities->child; item != NULL && status == FL_OK;
         item = item->next) {
        if (strcmp(item->string, "comment") != 0)
            status = bind(reader, scope, (fl_spot){scope->source, item});
    }
    for (size_t i = first; i < reader->binding_count && !scope->lent && status == FL_OK; i++) {
        if (reader->bindings[i].state == FL_UNREAD)
            status = read_binding(reader, &reader->bindings[i]);
    }
    return status;
}

/* Only when no case uses it is a name worth a warning; within an unused substrate the whole is
 * named and not each value. They come in the order in which they were met. */
fl_status fl_usages_warn(fl_reader *reader)
{
    fl_status status = FL_OK;
    for (const fl_usage *usage = reader->usages; usage && status == FL_OK; usage = usage->next) {
        if (usage->used || (usage->within && !usage->within->used))
            continue;
        const char *text =
            fl_arena_print(&reader->arena, "%s '%s' is not used", usage->what, usage->name);
        if (text == NULL)
            return fl_fail_memory(reader->error);
        status = fl_spot_warn(reader, usage->spot, text);
    }
    return status;
}
