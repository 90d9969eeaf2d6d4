/* Model files: found, read once each, opened out under the name of the section that uses them. */
#include <string.h>

#include "base/checksum.h"
#include "base/file.h"
#include "base/text.h"
#include "design/reader.h"

/* ---- files ---- */

/* Files are looked for beside the file that names them, then among the installed models. */
fl_status fl_file_find(fl_reader *reader, fl_spot spot, fl_found *found)
{
    fl_design *design = reader->design;
    const fl_folders search = {spot.source->folder, design->folder, design->models};
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected the name of a file in quotes");
    const fl_status status =
        fl_path_find(found, &design->arena, spot.node->valuestring, &search, reader->error);
    if (status == FL_OK)
        return fl_named_note(reader, spot, found);
    return status == FL_NO_MEMORY ? status : fl_spot_fail_at(reader, spot, status);
}

/* The source is in the list before its text is parsed, so that whatever the parser made is
 * released with the others. source is set even when the text is bad: the block is then the
 * source's to free. */
fl_status fl_source_add(fl_reader *reader, const char *path, const char *text, size_t length,
                        fl_source **source)
{
    fl_source *made = fl_arena_take(&reader->arena, 1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(reader->error);
    if (reader->last_source != NULL)
        reader->last_source->next = made;
    else
        reader->sources = made;
    reader->last_source = made;
    made->folder = fl_path_folder(&reader->arena, path);
    if (made->folder == NULL)
        return fl_fail_memory(reader->error);
    *source = made;
    reader->design->checksum = fl_checksum(reader->design->checksum, text, length);
    return fl_json_parse(&made->json, text, length, path, reader->error);
}

void fl_sources_release(fl_reader *reader)
{
    for (fl_source *source = reader->sources; source != NULL; source = source->next) {
        fl_json_release(&source->json);
        fl_memory_free(source->text);
    }
}

/* A later version may give keys another meaning, so that anything but 1 is refused. */
static fl_status read_version(fl_reader *reader, fl_spot spot, void *target)
{
    char text[FL_NUMBER_ROOM];
    double version = 0.0;
    (void)target;
    const fl_status status = fl_number_node_read(reader, spot, &version);
    if (status != FL_OK || version == 1.0)
        return status;
    fl_number_text(text, version);
    return fl_spot_fail(reader, spot, "expected version 1 of the format, found %s", text);
}

/* Only the node is kept: quantities have their values once names are known, in each case anew. */
static fl_status read_quantities(fl_reader *reader, fl_spot spot, void *target)
{
    fl_source *source = target;
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected an object of named quantities");
    source->quantities = spot.node;
    return FL_OK;
}

/* Kept for opening out; an empty path would have nothing to size. */
static fl_status read_path(fl_reader *reader, fl_spot spot, void *target)
{
    fl_source *source = target;
    if (!cJSON_IsArray(spot.node))
        return fl_spot_fail(reader, spot, "expected a list of sections");
    if (spot.node->child == NULL)
        return fl_spot_fail(reader, spot, "the path has no sections");
    source->sections = spot.node;
    return FL_OK;
}

/* Kept until all groups are known. */
static fl_status read_correlations(fl_reader *reader, fl_spot spot, void *target)
{
    fl_source *source = target;
    if (!cJSON_IsArray(spot.node))
        return fl_spot_fail(reader, spot, "expected a list of correlations [\"a\", \"b\", 0.6]");
    source->correlations = spot.node;
    return FL_OK;
}

/* A model's title is for its reader; it is checked and not kept. */
static fl_status read_title(fl_reader *reader, fl_spot spot, void *target)
{
    const char *title = NULL;
    (void)target;
    return fl_string_read(reader, spot, FL_TITLE_LIMIT, &title);
}

static fl_status read_valid_band(fl_reader *reader, fl_spot spot, void *target)
{
    return fl_band_read(reader, spot, &((fl_source *)target)->valid);
}

/* What the design and model files have in common. */
static const fl_key model_keys[] = {{"fairlead", true, read_version},
                                    {"title", false, read_title},
                                    {"quantities", false, read_quantities},
                                    {"substrates", false, fl_substrates_read},
                                    {"body", false, fl_body_read},
                                    {"path", false, read_path},
                                    {"correlations", false, read_correlations},
                                    {"valid band", false, read_valid_band}};

/* For the design, which has more keys than these; fl_object_read does the same for a model file.
 * The last is not among the keys of a design. */
fl_status fl_source_check(fl_reader *reader, fl_source *source)
{
    fl_status status = FL_OK;
    const fl_spot root = {source, source->json.root};
    for (size_t i = 0; i < FL_COUNT(model_keys) && status == FL_OK; i++) {
        const fl_spot child = fl_spot_child(root, model_keys[i].name);
        if (child.node != NULL)
            status = model_keys[i].read(reader, child, source);
        else if (model_keys[i].required)
            status = fl_spot_fail(reader, root, "'%s' is missing", model_keys[i].name);
    }
    return status;
}

/* Reads a model file that was not read before. Once the source has its text, releasing the sources
 * frees it, whatever fails later. */
static fl_status load(fl_reader *reader, const char *path, fl_source **source)
{
    char *text = NULL;
    size_t length = 0;
    fl_source *made = NULL;
    fl_status status = fl_file_read(&text, &length, path, FL_JSON_LIMIT, reader->error);
    if (status != FL_OK)
        return status;
    status = fl_source_add(reader, path, text, length, &made);
    if (made == NULL) {
        fl_memory_free(text);
        return status;
    }
    made->text = text;
    if (status == FL_OK)
        status = fl_object_read(reader, (fl_spot){made, made->json.root}, model_keys,
                                FL_COUNT(model_keys), made);
    if (status == FL_OK && made->sections == NULL && made->substrates == NULL)
        return fl_spot_fail(reader, (fl_spot){made, made->json.root},
                            "expected a \"path\" or \"substrates\"");
    if (status == FL_OK && !fl_lookup_put(&reader->found_files, path, made))
        return fl_fail_memory(reader->error);
    *source = made;
    return status;
}

fl_status fl_source_open(fl_reader *reader, const char *path, fl_source **source)
{
    fl_source *known = fl_lookup_get(&reader->found_files, "", path);
    if (known == NULL)
        return load(reader, path, source);
    *source = known;
    return FL_OK;
}

/* ---- use ---- */

/* "a.json -> b.json -> a.json": the files from the one met again to the innermost. */
static fl_status fail_loop(fl_reader *reader, fl_spot spot, const fl_scope *innermost,
                           const fl_source *again)
{
    const char *chain = fl_path_name(again->json.file);
    for (const fl_scope *scope = innermost; scope != NULL && chain != NULL; scope = scope->outer) {
        chain = fl_arena_print(&reader->draft, "%s -> %s", fl_path_name(scope->source->json.file),
                               chain);
        if (scope->source == again)
            break;
    }
    return chain ? fl_spot_fail(reader, spot, "model files use each other in a loop: %s", chain)
                 : fl_fail_memory(reader->error);
}

/* "optional" is a known key here only so that it gets a message of its own. */
static fl_status check_use(fl_reader *reader, const fl_site *site)
{
    static const fl_key keys[] = {{"name", false, NULL},
                                  {"use", true, NULL},
                                  {"set", false, NULL},
                                  {"side", false, NULL},
                                  {"optional", false, NULL}};
    const fl_spot optional = fl_spot_child(site->owner.definition.spot, "optional");
    if (optional.node != NULL)
        return fl_spot_fail(reader, optional,
                            "a section with \"use\" stands or falls as a whole: give \"optional\" "
                            "to sections with a kind");
    return fl_object_read(reader, site->owner.definition.spot, keys, FL_COUNT(keys), NULL);
}

/* A model is a simplification that holds up to some frequency, whoever uses it. */
static fl_status check_band(fl_reader *reader, fl_spot use, const fl_source *source)
{
    char from[FL_NUMBER_ROOM], to[FL_NUMBER_ROOM];
    const fl_design *design = reader->design;
    bool within = true;
    for (size_t i = 0; i < design->band_count && source->valid.high > 0.0; i++)
        within = within && design->bands[i].low >= source->valid.low &&
                 design->bands[i].high <= source->valid.high;
    if (within)
        return FL_OK;
    fl_number_text(from, source->valid.low / 1e9);
    fl_number_text(to, source->valid.high / 1e9);
    const char *text = fl_arena_print(
        &reader->draft, "the models of '%s' hold from %s to %s GHz, the design goes beyond",
        fl_path_name(source->json.file), from, to);
    return text ? fl_spot_warn(reader, use, text) : fl_fail_memory(reader->error);
}

/* Finds the file of a "use" and makes the scope of its path. The sections inherit the side and the
 * case of the section that uses the file. */
fl_status fl_use_open(fl_reader *reader, const fl_site *site, fl_scope **scope)
{
    if (site->scope->depth == FL_INCLUDE_LIMIT)
        return fl_spot_fail(reader, site->owner.definition.spot,
                            "model files within one another are at most %d deep", FL_INCLUDE_LIMIT);
    const fl_spot use = fl_spot_child(site->owner.definition.spot, "use");
    fl_found found = {NULL, false};
    fl_source *source = NULL;
    fl_status status = fl_file_find(reader, use, &found);
    if (status == FL_OK)
        status = fl_source_open(reader, found.path, &source);
    if (status == FL_OK && source->open)
        return fail_loop(reader, use, site->scope, source);
    if (status == FL_OK)
        status = fl_named_enter(reader, use, &found, source);
    if (status == FL_OK)
        status = check_band(reader, use, source);
    if (status != FL_OK)
        return status;
    fl_scope *made = fl_arena_take(&reader->draft, 1, sizeof *made);
    const char *prefix = fl_arena_print(&reader->draft, "%s/", site->owner.name);
    if (made == NULL || prefix == NULL)
        return fl_fail_memory(reader->error);
    *made = (fl_scope){.outer = site->scope,
                       .source = source,
                       .prefix = prefix,
                       .only_case = site->owner.definition.only_case,
                       .side = site->side,
                       .depth = site->scope->depth + 1};
    *scope = made;
    return FL_OK;
}

/* The place of an error starts with the file it is in. Only the colon behind tells "a.json" from
 * "a.json.old". */
static bool is_within(const fl_error *error, const fl_source *source)
{
    const size_t length = strlen(source->json.file);
    return strncmp(error->place, source->json.file, length) == 0 && error->place[length] == ':';
}

/* An error in a model file, which the user may not have written, also names who uses the file. */
fl_status fl_use_blame(fl_reader *reader, const fl_site *site, const char *what, fl_status status)
{
    const fl_spot spot = site->owner.definition.spot;
    fl_error *error = reader->error;
    if (status != FL_BAD_INPUT || error == NULL)
        return status;
    for (const fl_scope *scope = site->scope; scope != NULL; scope = scope->outer) {
        if (is_within(error, scope->source))
            return status;
    }
    const char *place = fl_json_place(&reader->draft, &spot.source->json, spot.node);
    const char *path = place ? strstr(place, ": ") : NULL;
    if (place == NULL)
        return fl_fail_memory(error);
    const int length = path ? (int)(path - place) : (int)strlen(place);
    return fl_fail(error, status, error->place, "%s, used by %s '%s' of %.*s", error->message, what,
                   site->owner.name, length, place);
}

/* Opens out the file's path in the section's place. The `set` is in force before the path is read
 * and checked after, when it is known what had a name; an error in between ends the reading, so
 * that the open mark need not be restored for it. */
static fl_status read_include(fl_reader *reader, const fl_site *site)
{
    fl_scope *scope = NULL;
    fl_definition set = site->owner.definition;
    const size_t first = reader->section_count;
    fl_status status = check_use(reader, site);
    if (status == FL_OK)
        status = fl_use_open(reader, site, &scope);
    if (status != FL_OK || scope == NULL)
        return status;
    if (scope->source->sections == NULL)
        return fl_spot_fail(reader, fl_spot_child(site->owner.definition.spot, "use"),
                            "'%s' has no path: it is a file for \"substrates\"",
                            fl_path_name(scope->source->json.file));
    set.spot = fl_spot_child(site->owner.definition.spot, "set");
    if (set.spot.node != NULL)
        status = fl_overrides_add(reader, &set, scope->prefix);
    scope->source->open = true;
    if (status == FL_OK)
        status = fl_scope_read(reader, scope);
    scope->source->open = false;
    if (status == FL_OK && set.spot.node != NULL)
        status = fl_overrides_check(reader, &set, scope->prefix, first);
    return status;
}

fl_status fl_include_read(fl_reader *reader, const fl_site *site)
{
    return fl_use_blame(reader, site, "section", read_include(reader, site));
}
