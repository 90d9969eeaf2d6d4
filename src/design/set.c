/* What a section or a case sets: definitions in the place of those of the files within. */
#include <string.h>

#include "design/reader.h"

/* Puts one definition of a `set` in force under the absolute name that it is for. */
fl_status fl_override_add(fl_reader *reader, const fl_definition *definition, const char *prefix)
{
    const fl_spot spot = definition->spot;
    const char *name = fl_arena_print(&reader->draft, "%s%s", prefix, spot.node->string);
    fl_override *override = fl_arena_take(&reader->draft, 1, sizeof *override);
    if (name == NULL || override == NULL)
        return fl_fail_memory(reader->error);
    /* What an outer file or the case sets counts before what an inner file sets. */
    fl_override *outer = fl_lookup_get(&reader->overrides, "", name);
    if (outer != NULL) {
        outer->under = outer->under ? outer->under : spot.node;
        return FL_OK;
    }
    override->definition = *definition;
    return fl_lookup_put(&reader->overrides, name, override) ? FL_OK
                                                             : fl_fail_memory(reader->error);
}

fl_status fl_overrides_add(fl_reader *reader, const fl_definition *set, const char *prefix)
{
    fl_status status = FL_OK;
    fl_definition definition = *set;
    if (!cJSON_IsObject(set->spot.node))
        return fl_spot_fail(reader, set->spot, "expected an object of quantities to set");
    for (const cJSON *item = set->spot.node->child; item != NULL && status == FL_OK;
         item = item->next) {
        if (strcmp(item->string, "comment") == 0)
            continue;
        definition.spot.node = item;
        status = fl_override_add(reader, &definition, prefix);
    }
    return status;
}

/* The text that follows a prefix; NULL if the name does not start with it. */
static const char *behind(const char *name, const char *prefix)
{
    const size_t length = strlen(prefix);
    return strncmp(name, prefix, length) == 0 ? name + length : NULL;
}

/* An upper bound for the names that the lists below hold. */
static size_t count_names(const fl_reader *reader, size_t first)
{
    size_t count = reader->binding_count + reader->substrate_claim_count;
    for (size_t i = first; i < reader->section_count; i++)
        count += reader->sections[i].kind->parameter_count;
    return count;
}

/* The lists of names that a `set` could have meant, as it would write them, without the prefix.
 * They are made only for a message. */
static size_t list_bindings(const fl_reader *reader, const char *prefix, const char **names)
{
    size_t count = 0;
    for (size_t i = 0; i < reader->binding_count; i++) {
        const char *name = behind(reader->bindings[i].name, prefix);
        if (name != NULL)
            names[count++] = name;
    }
    return count;
}

/* Values of a section that its file leaves out can be set too, hence all parameters of the kind.
 * Running out of memory here costs a suggestion, no more. */
static size_t list_parameters(fl_reader *reader, const char *prefix, size_t first,
                              const char **names)
{
    size_t count = 0;
    for (size_t i = first; i < reader->section_count; i++) {
        const fl_section *section = &reader->sections[i];
        const char *name = behind(section->name, prefix);
        for (size_t j = 0; name != NULL && j < section->kind->parameter_count; j++) {
            const fl_parameter *parameter = &section->kind->parameters[j];
            if (parameter->substrate)
                continue;
            names[count] = fl_arena_print(&reader->draft, "%s %s", name, parameter->name);
            count += names[count] != NULL;
        }
    }
    return count;
}

static size_t list_substrate_values(const fl_reader *reader, const char *prefix, const char **names)
{
    size_t count = 0;
    for (const fl_claim *claim = reader->substrate_claims; claim != NULL; claim = claim->next) {
        const char *name = behind(claim->name, prefix);
        if (name != NULL)
            names[count++] = name;
    }
    return count;
}

/* A key of a `set` that named nothing: says so, with the nearest of all that could be set. */
static fl_status fail_unmatched(fl_reader *reader, fl_spot spot, const char *prefix, size_t first)
{
    const char **names = fl_arena_take(&reader->draft, count_names(reader, first), sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    size_t count = list_bindings(reader, prefix, names);
    count += list_parameters(reader, prefix, first, names + count);
    count += list_substrate_values(reader, prefix, names + count);
    return fl_word_unknown(reader, spot, "quantity or parameter", spot.node->string, names, count);
}

fl_status fl_dropped_warn(fl_reader *reader, fl_spot set, const char *first, size_t count)
{
    char excerpt[FL_EXCERPT_ROOM];
    const char *text =
        count > 1
            ? fl_arena_print(&reader->draft, "plain values drop the spread of '%s' and of %zu more",
                             fl_excerpt(excerpt, first), count - 1)
            : fl_arena_print(&reader->draft, "a plain value drops the spread of '%s'",
                             fl_excerpt(excerpt, first));
    return text ? fl_spot_warn(reader, set, text) : fl_fail_memory(reader->error);
}

/* A key is matched once something took its definition. Dropped spreads are warned of only where the
 * definition in force is this one: an outer `set` of that name speaks for itself. */
fl_status fl_overrides_check(fl_reader *reader, const fl_definition *set, const char *prefix,
                             size_t first)
{
    const char *dropped = NULL;
    size_t dropped_count = 0;
    for (const cJSON *item = set->spot.node->child; item != NULL; item = item->next) {
        if (strcmp(item->string, "comment") == 0)
            continue;
        const fl_override *override = fl_lookup_get(&reader->overrides, prefix, item->string);
        if (override == NULL || !override->matched)
            return fail_unmatched(reader, (fl_spot){set->spot.source, item}, prefix, first);
        if (!override->dropped || override->definition.spot.node != item)
            continue;
        dropped = dropped_count++ == 0 ? item->string : dropped;
    }
    return dropped_count ? fl_dropped_warn(reader, set->spot, dropped, dropped_count) : FL_OK;
}
