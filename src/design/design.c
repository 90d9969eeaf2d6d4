/* Designs: a file read from top to bottom, and what a finished design answers. */
#include <string.h>

#include "base/checksum.h"
#include "base/file.h"
#include "design/reader.h"

/* What the keys that may be read at once go into, apart from the design itself. */
typedef struct target {
    fl_design *design;
    fl_band band;
} target;

static fl_status read_title(fl_reader *reader, fl_spot spot, void *into)
{
    fl_design *design = ((target *)into)->design;
    const char *title = NULL;
    const fl_status status = fl_string_read(reader, spot, FL_TITLE_LIMIT, &title);
    if (status != FL_OK)
        return status;
    design->title = fl_arena_copy(&design->arena, title, strlen(title));
    return design->title ? FL_OK : fl_fail_memory(reader->error);
}

static fl_status read_band(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_band_read(reader, spot, &((target *)into)->band);
}

/* Two at least: the sweep holds both ends of the band. */
static fl_status read_points(fl_reader *reader, fl_spot spot, void *into)
{
    double points = 0.0;
    const fl_status status = fl_whole_read(reader, spot, 2.0, 100000.0, &points);
    ((target *)into)->design->points = (size_t)points;
    return status;
}

static fl_status read_ports(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_ports_read(reader, spot, ((target *)into)->design);
}

static fl_status read_yield(fl_reader *reader, fl_spot spot, void *into)
{
    return fl_yield_read(reader, spot, ((target *)into)->design);
}

/* In the order in which they are read. Those without a reader are checked with the keys of a model
 * file, or need the rest of the design: a requirement its band, a path all quantities. */
static const fl_key design_keys[] = {
    {"fairlead", true, NULL},       {"title", false, read_title}, {"band", true, read_band},
    {"points", false, read_points}, {"ports", true, read_ports},  {"require", false, NULL},
    {"quantities", false, NULL},    {"substrates", false, NULL},  {"path", true, NULL},
    {"body", false, NULL},          {"cases", false, NULL},       {"yield", false, read_yield},
    {"correlations", false, NULL}};

/* All that does not depend on a case. Requirements come last: the design's band is the first of the
 * bands. */
static fl_status read_top(fl_reader *reader)
{
    target to = {.design = reader->design};
    const fl_spot root = {reader->main, reader->main->json.root};
    fl_status status = fl_object_read(reader, root, design_keys, FL_COUNT(design_keys), &to);
    if (status == FL_OK)
        status = fl_source_check(reader, reader->main);
    if (status == FL_OK)
        status = fl_requirements_read(reader, fl_spot_child(root, "require"), &to.band);
    return status;
}

/* Draws can be numbered only when all cases are read: cases share them, and the side of a quantity
 * is known by then. */
static fl_status read_all(fl_reader *reader)
{
    fl_design *design = reader->design;
    fl_status status =
        fl_source_add(reader, design->file, design->text, design->length, &reader->main);
    if (status != FL_OK)
        return status;
    design->folder = fl_path_folder(&design->arena, design->file);
    if (design->folder == NULL)
        return fl_fail_memory(reader->error);
    reader->main->open = true;
    reader->main->kept = "";
    status = read_top(reader);
    if (status == FL_OK)
        status = fl_cases_read(reader);
    if (status == FL_OK)
        status = fl_draws_number(reader);
    if (status == FL_OK)
        status = fl_yield_warn(reader);
    return status ? status : fl_usages_warn(reader);
}

/* The tables have their full size from the start, as entries and bindings are pointed at. */
static fl_status prepare(fl_reader *reader)
{
    fl_arena_init(&reader->arena);
    fl_arena_init(&reader->draft);
    fl_lookup_init(&reader->entry_names, &reader->arena);
    fl_lookup_init(&reader->usage_names, &reader->arena);
    fl_lookup_init(&reader->warned, &reader->arena);
    fl_lookup_init(&reader->found_files, &reader->arena);
    fl_lookup_init(&reader->named_files, &reader->arena);
    fl_lookup_init(&reader->written_files, &reader->arena);
    reader->sections = fl_arena_take(&reader->arena, FL_SECTION_LIMIT, sizeof *reader->sections);
    reader->entries = fl_arena_take(&reader->arena, FL_QUANTITY_LIMIT, sizeof *reader->entries);
    reader->bindings = fl_arena_take(&reader->arena, FL_QUANTITY_LIMIT, sizeof *reader->bindings);
    return reader->sections && reader->entries && reader->bindings ? FL_OK
                                                                   : fl_fail_memory(reader->error);
}

/* A design with the defaults of all that may be left out. Text and names are copied, so that the
 * caller's may go; NULL when out of memory. */
static fl_design *make_design(const fl_design_source *source)
{
    const char *models = source->models_folder;
    fl_design *design = fl_memory_take(1, sizeof *design);
    if (design == NULL)
        return NULL;
    fl_arena_init(&design->arena);
    design->title = "";
    design->points = 61;
    design->samples = 10000;
    design->confidence = 0.95;
    design->seed = 1;
    design->checksum = FL_CHECKSUM_START;
    design->text = fl_arena_copy(&design->arena, source->text, source->length);
    design->length = source->length;
    design->file = fl_arena_copy(&design->arena, source->name, strlen(source->name));
    if (models != NULL)
        design->models = fl_arena_copy(&design->arena, models, strlen(models));
    if (design->text != NULL && design->file != NULL && (models == NULL || design->models))
        return design;
    fl_design_release(design);
    return NULL;
}

/* The caller's design is set last, so that it is unchanged on failure; sources and drafts go in any
 * case, as the design points to none of them. */
fl_status fl_design_resolve(fl_design **design, const fl_design_source *source, fl_error *error)
{
    fl_reader reader = {.error = error, .kinds = source->kinds, .kind_count = source->kind_count};
    if (source->length > FL_JSON_LIMIT)
        return fl_fail(error, FL_BAD_INPUT, source->name, "a file has at most %d bytes, found %zu",
                       FL_JSON_LIMIT, source->length);
    reader.design = make_design(source);
    if (reader.design == NULL)
        return fl_fail_memory(error);
    fl_status status = prepare(&reader);
    if (status == FL_OK)
        status = read_all(&reader);
    if (status == FL_OK)
        *design = reader.design;
    else
        fl_design_release(reader.design);
    fl_sources_release(&reader);
    fl_arena_release(&reader.draft);
    fl_arena_release(&reader.arena);
    return status;
}

void fl_design_release(fl_design *design)
{
    if (design == NULL)
        return;
    fl_arena_release(&design->arena);
    fl_memory_free(design);
}

fl_status fl_design_warn(fl_design *design, const char *text, fl_error *error)
{
    const size_t count = design->warning_count;
    const char *copy = fl_arena_copy(&design->arena, text, strlen(text));
    if (copy == NULL)
        return fl_fail_memory(error);
    if ((count & (count - 1)) == 0) { /* the room is the next power of two */
        const char **grown = fl_arena_take(&design->arena, count ? 2 * count : 1, sizeof *grown);
        if (grown == NULL)
            return fl_fail_memory(error);
        if (count > 0)
            memcpy(grown, design->warnings, count * sizeof *grown);
        design->warnings = grown;
    }
    design->warnings[design->warning_count++] = copy;
    return FL_OK;
}
