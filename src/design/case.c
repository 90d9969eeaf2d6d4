/* Cases: the path opened out once for each, with what the case sets and replaces. */
#include <string.h>

#include "design/reader.h"

static const fl_key case_keys[] = {
    {"name", true, NULL}, {"set", false, NULL}, {"replace", false, NULL}};

/* Forgets all of the case before: what outlives a case is in the reader's arena or in the
 * design's. */
static void begin_case(fl_reader *reader, size_t index)
{
    fl_arena_release(&reader->draft);
    reader->case_index = index;
    reader->binding_count = 0;
    fl_lookup_init(&reader->binding_names, &reader->draft);
    fl_lookup_init(&reader->overrides, &reader->draft);
    fl_lookup_init(&reader->replacements, &reader->draft);
    fl_lookup_init(&reader->section_names, &reader->draft);
    fl_lookup_init(&reader->claims, &reader->draft);
    fl_lookup_init(&reader->substrates, &reader->draft);
    reader->substrate_claims = NULL;
    reader->substrate_claim_count = 0;
}

/* Notes the section that stands in for another. Its names are looked up in the design, where it is
 * written, even when it replaces a section within a model file. */
static fl_status add_replacement(fl_reader *reader, const fl_definition *definition)
{
    const fl_spot spot = definition->spot;
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected a section without a name");
    if (fl_spot_child(spot, "name").node != NULL)
        return fl_spot_fail(reader, fl_spot_child(spot, "name"),
                            "a section keeps its name when it is replaced");
    fl_override *other = fl_arena_take(&reader->draft, 1, sizeof *other);
    if (other == NULL)
        return fl_fail_memory(reader->error);
    other->definition = *definition;
    return fl_lookup_put(&reader->replacements, spot.node->string, other)
               ? FL_OK
               : fl_fail_memory(reader->error);
}

static fl_status add_replacements(fl_reader *reader, const fl_definition *replace)
{
    fl_status status = FL_OK;
    fl_definition definition = *replace;
    if (!cJSON_IsObject(replace->spot.node))
        return fl_spot_fail(reader, replace->spot, "expected an object of sections");
    for (const cJSON *item = replace->spot.node->child; item != NULL && status == FL_OK;
         item = item->next) {
        definition.spot.node = item;
        if (strcmp(item->string, "comment") != 0)
            status = add_replacement(reader, &definition);
    }
    return status;
}

/* Offers the sections of the design's own path; those within model files are too many to
 * suggest. */
static fl_status fail_no_section(fl_reader *reader, fl_spot spot)
{
    size_t count = 0;
    for (const cJSON *item = reader->main->sections->child; item != NULL; item = item->next)
        count++;
    const char **names = fl_arena_take(&reader->draft, count, sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    count = 0;
    for (const cJSON *item = reader->main->sections->child; item != NULL; item = item->next)
        names[count++] = cJSON_GetObjectItemCaseSensitive(item, "name")->valuestring;
    return fl_word_unknown(reader, spot, "section", spot.node->string, names, count);
}

/* Only after the path is opened out is it known which sections there are to be replaced. */
static fl_status check_replacements(fl_reader *reader, fl_spot replace)
{
    for (const cJSON *item = replace.node ? replace.node->child : NULL; item != NULL;
         item = item->next) {
        const fl_override *other = fl_lookup_get(&reader->replacements, "", item->string);
        if (other != NULL && !other->matched)
            return fail_no_section(reader, (fl_spot){replace.source, item});
    }
    return FL_OK;
}

/* Opens out the path with the definitions of a case; its spot has no node if there are no cases. */
static fl_status read_path(fl_reader *reader, fl_spot spot)
{
    const fl_scope root = {.source = reader->main, .prefix = "", .only_case = FL_NONE};
    fl_definition set = {fl_spot_child(spot, "set"), &root, reader->case_index};
    fl_definition replace = {fl_spot_child(spot, "replace"), &root, reader->case_index};
    const size_t first = reader->section_count;
    fl_status status = FL_OK;
    if (set.spot.node != NULL)
        status = fl_overrides_add(reader, &set, "");
    if (status == FL_OK && replace.spot.node != NULL)
        status = add_replacements(reader, &replace);
    if (status == FL_OK)
        status = fl_scope_read(reader, &root);
    if (status == FL_OK)
        status = check_replacements(reader, replace.spot);
    if (status == FL_OK && set.spot.node != NULL)
        status = fl_overrides_check(reader, &set, "", first);
    return status;
}

/* Checks the keys of a case and names it; comparing with each case before is cheap at 100 cases. */
static fl_status name_case(fl_reader *reader, fl_spot spot, const fl_case *cases, fl_case *named)
{
    const char *name = "nominal";
    fl_status status = FL_OK;
    if (spot.node != NULL) {
        status = fl_object_read(reader, spot, case_keys, FL_COUNT(case_keys), NULL);
        if (status == FL_OK)
            status = fl_name_read(reader, fl_spot_child(spot, "name"), &name);
    }
    for (const fl_case *other = cases; other < named && status == FL_OK; other++) {
        if (strcmp(other->name, name) == 0)
            status =
                fl_spot_fail(reader, fl_spot_child(spot, "name"), "two cases are named '%s'", name);
    }
    named->name = fl_arena_copy(&reader->design->arena, name, strlen(name));
    return status == FL_OK && named->name == NULL ? fl_fail_memory(reader->error) : status;
}

/* The count is needed before the first case is read: lists of starts are as long as it. */
static fl_status count_cases(fl_reader *reader, fl_spot spot)
{
    reader->case_count = 1;
    if (spot.node == NULL)
        return FL_OK;
    if (!cJSON_IsArray(spot.node) || spot.node->child == NULL)
        return fl_spot_fail(reader, spot, "expected a list of at least one case");
    for (const cJSON *item = spot.node->child->next; item != NULL; item = item->next) {
        if (++reader->case_count > FL_CASE_LIMIT)
            return fl_spot_fail(reader, spot, "a design has at most %d cases", FL_CASE_LIMIT);
    }
    return FL_OK;
}

/* Moves the sections of all cases into the design, cut to their number, and the cases' views with
 * them. */
static fl_status keep_sections(fl_reader *reader, fl_case *cases)
{
    const size_t bytes = reader->section_count * sizeof *reader->sections;
    fl_section *kept = fl_arena_take(&reader->design->arena, reader->section_count, sizeof *kept);
    if (kept == NULL)
        return fl_fail_memory(reader->error);
    memcpy(kept, reader->sections, bytes);
    for (size_t i = 0; i < reader->case_count; i++)
        cases[i].sections = kept + (cases[i].sections - reader->sections);
    reader->design->cases = cases;
    reader->design->case_count = reader->case_count;
    return FL_OK;
}

/* The case's sections are those that its path adds to the reader's. */
static fl_status read_case(fl_reader *reader, fl_spot spot, fl_case *cases, size_t index)
{
    const size_t first = reader->section_count;
    begin_case(reader, index);
    fl_status status = name_case(reader, spot, cases, &cases[index]);
    if (status == FL_OK)
        status = read_path(reader, spot);
    cases[index].sections = reader->sections + first;
    cases[index].section_count = reader->section_count - first;
    return status;
}

/* Without cases the path is opened out once, as the case "nominal" that sets nothing. */
fl_status fl_cases_read(fl_reader *reader)
{
    const fl_spot spot = fl_spot_child((fl_spot){reader->main, reader->main->json.root}, "cases");
    fl_spot item = {spot.source, spot.node ? spot.node->child : NULL};
    fl_status status = count_cases(reader, spot);
    if (status != FL_OK)
        return status;
    fl_case *cases = fl_arena_take(&reader->design->arena, reader->case_count, sizeof *cases);
    if (cases == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < reader->case_count && status == FL_OK; i++) {
        status = read_case(reader, item, cases, i);
        item.node = item.node ? item.node->next : NULL;
    }
    return status ? status : keep_sections(reader, cases);
}
