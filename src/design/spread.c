/* Spreads: how they are written, and the deviation they come to. */
#include <math.h>
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

/* Share of the variance that a standard normal keeps when cut at -c and c: the integral of x^2 f(x)
 * over that of f(x), f its density. By parts, 1 - 2 c f(c) / erf(c / sqrt 2) [Johnson1994]. Below
 * the switch this cancels; there the exponential is expanded under both integrals, and 14 terms are
 * exact to rounding. */
static double kept_variance(double cut)
{
    if (cut > 0.5) {
        const double density = exp(-0.5 * cut * cut) / sqrt(2.0 * acos(-1.0));
        return 1.0 - 2.0 * cut * density / erf(cut / sqrt(2.0)); /* [Johnson1994] section 13.10.1 */
    }
    const double half = 0.5 * cut * cut;
    double term = 1.0;
    double above = 0.0;
    double below = 0.0;
    for (int k = 0; k < 14; k++) {
        above += term / (2.0 * k + 3.0);
        below += term / (2.0 * k + 1.0);
        term *= -half / (k + 1.0);
    }
    return cut * cut * above / below;
}

/* A uniform's variance is half-width^2 / 3. Amounts relative to a negative nominal have its
 * size. */
static double component_variance(const fl_spread *spread, double nominal)
{
    const double size = fabs(nominal);
    const double amount = spread->amount * (spread->relative ? size : 1.0);
    const double within = spread->within * (spread->within_relative ? size : 1.0);
    if (spread->shape == FL_UNIFORM)
        return amount * amount / 3.0;
    if (spread->within == 0.0 || amount == 0.0)
        return amount * amount;
    return amount * amount * kept_variance(within / amount);
}

double fl_quantity_sigma(const fl_quantity *quantity, double nominal)
{
    double variance = 0.0;
    for (size_t i = 0; i < quantity->spread_count; i++)
        variance += component_variance(&quantity->spreads[i], nominal);
    return sqrt(variance);
}
