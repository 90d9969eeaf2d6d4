/* Spreads, as they are written. */
#include <string.h>

#include "design/reader.h"

/* What the keys of a component are read into. */
typedef struct target {
    fl_entry *entry;
    fl_component *component;
} target;

/* "5 %" is a share of the nominal value, which may still be sized; all else is in the quantity's
 * own dimension. Zero is allowed: a spread may be switched off in a `set`. */
static fl_status read_amount(fl_reader *reader, fl_spot spot, fl_dimension dimension,
                             double *amount, bool *relative)
{
    fl_dimension found = dimension;
    *relative = cJSON_IsString(spot.node) && fl_unit_dimension(&found, spot.node->valuestring) &&
                found == FL_PERCENT;
    return fl_value_read_ruled(reader, spot, *relative ? FL_PERCENT : dimension, FL_NOT_NEGATIVE,
                               amount);
}

/* The key that names the shape carries its amount: one standard deviation of a normal before
 * truncation, or the half-width of a uniform. */
static fl_status read_shape(fl_reader *reader, fl_spot spot, target *into, fl_shape shape)
{
    fl_spread *spread = &into->component->spread;
    spread->shape = shape;
    return read_amount(reader, spot, into->entry->quantity.dimension, &spread->amount,
                       &spread->relative);
}

static fl_status read_normal(fl_reader *reader, fl_spot spot, void *into)
{
    return read_shape(reader, spot, into, FL_NORMAL);
}

static fl_status read_uniform(fl_reader *reader, fl_spot spot, void *into)
{
    return read_shape(reader, spot, into, FL_UNIFORM);
}

/* Truncation at nominal - within and nominal + within. */
static fl_status read_within(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    fl_spread *spread = &to->component->spread;
    const fl_status status = read_amount(reader, spot, to->entry->quantity.dimension,
                                         &spread->within, &spread->within_relative);
    if (status == FL_OK && !(spread->within > 0.0))
        return fl_spot_fail(reader, spot, "the limit of a spread must be positive");
    return status;
}

static fl_status read_level(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    const char *names[FL_LEVEL_COUNT];
    size_t index = 0;
    for (int i = 0; i < FL_LEVEL_COUNT; i++)
        names[i] = fl_level_name((fl_level)i);
    const fl_status status = fl_word_read(reader, spot, names, FL_LEVEL_COUNT, &index);
    to->component->spread.level = (fl_level)index;
    to->component->levelled = true;
    return status;
}

/* Components of one group and level move together in all quantities. */
static fl_status read_group(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    return fl_name_read(reader, spot, &to->component->group);
}

/* A uniform spread has its limits in its half-width: "within" is for normals alone. */
static const fl_key normal_keys[] = {{"normal", true, read_normal},
                                     {"within", false, read_within},
                                     {"level", false, read_level},
                                     {"group", false, read_group}};
static const fl_key uniform_keys[] = {
    {"uniform", true, read_uniform}, {"level", false, read_level}, {"group", false, read_group}};

/* Counted as soon as its shape is known, so that the next one goes behind it. */
static fl_status read_component(fl_reader *reader, fl_spot spot, fl_entry *entry)
{
    target to = {entry, &entry->components[entry->quantity.spread_count]};
    const bool normal = fl_spot_child(spot, "normal").node != NULL;
    const bool uniform = fl_spot_child(spot, "uniform").node != NULL;
    if (normal == uniform)
        return fl_spot_fail(reader, spot,
                            "expected a spread {\"normal\": deviation} or {\"uniform\": "
                            "half-width}%s",
                            normal ? ", found both in one" : "");
    entry->quantity.spread_count++;
    return normal ? fl_object_read(reader, spot, normal_keys, FL_COUNT(normal_keys), &to)
                  : fl_object_read(reader, spot, uniform_keys, FL_COUNT(uniform_keys), &to);
}

/* The list's length, counted no further than matters. */
static size_t count_components(const cJSON *node)
{
    size_t count = 0;
    if (!cJSON_IsArray(node))
        return 1;
    for (const cJSON *item = node->child; item != NULL && count <= FL_COMPONENT_LIMIT;
         item = item->next)
        count++;
    return count;
}

/* One component, or a list of them whose deviations add. */
fl_status fl_spread_read(fl_reader *reader, fl_spot spot, fl_entry *entry)
{
    fl_status status = FL_OK;
    const size_t count = count_components(spot.node);
    if (count > FL_COMPONENT_LIMIT)
        return fl_spot_fail(reader, spot, "a spread has at most %d components", FL_COMPONENT_LIMIT);
    entry->components = fl_arena_take(&reader->arena, count, sizeof *entry->components);
    if (entry->components == NULL)
        return fl_fail_memory(reader->error);
    if (!cJSON_IsArray(spot.node))
        return read_component(reader, spot, entry);
    for (const cJSON *item = spot.node->child; item != NULL && status == FL_OK; item = item->next)
        status = read_component(reader, (fl_spot){spot.source, item}, entry);
    return status;
}
