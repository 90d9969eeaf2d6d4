/* Entries: quantities with a value of their own, fixed, to be sized, or with a spread. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "design/reader.h"

/* What the keys of a definition are read into. */
typedef struct target {
    fl_entry *entry;
    const fl_ask *ask;
} target;

static fl_status read_entry_value(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    fl_quantity *quantity = &to->entry->quantity;
    return fl_value_read(reader, spot, quantity->dimension, &quantity->value);
}

static fl_status read_entry_spread(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    return fl_spread_read(reader, spot, to->entry);
}

/* A range [low, high], both ends in reach. Its middle is the start unless one is given. */
static fl_status read_size(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    fl_quantity *quantity = &to->entry->quantity;
    const cJSON *low = cJSON_IsArray(spot.node) ? spot.node->child : NULL;
    const cJSON *high = low ? low->next : NULL;
    if (high == NULL || high->next != NULL)
        return fl_spot_fail(reader, spot, "expected a range [low, high]");
    fl_status status =
        fl_value_read(reader, (fl_spot){spot.source, low}, quantity->dimension, &quantity->low);
    if (status == FL_OK)
        status = fl_value_read(reader, (fl_spot){spot.source, high}, quantity->dimension,
                               &quantity->high);
    if (status == FL_OK && !(quantity->low < quantity->high))
        return fl_spot_fail(reader, spot, "the low end of a range must be below its high end");
    quantity->sized = true;
    quantity->value = 0.5 * quantity->low + 0.5 * quantity->high;
    return status;
}

/* A start off the range is refused rather than moved: the search would begin where no one asked. */
static fl_status read_start(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    fl_quantity *quantity = &to->entry->quantity;
    const fl_status status = fl_value_read(reader, spot, quantity->dimension, &quantity->value);
    if (status != FL_OK)
        return status;
    quantity->started = true;
    if (quantity->value >= quantity->low && quantity->value <= quantity->high)
        return FL_OK;
    char start[FL_UNIT_ROOM], low[FL_UNIT_ROOM], high[FL_UNIT_ROOM];
    fl_unit_text(start, quantity->value, quantity->dimension, 0);
    fl_unit_text(low, quantity->low, quantity->dimension, 0);
    fl_unit_text(high, quantity->high, quantity->dimension, 0);
    return fl_spot_fail(reader, spot, "the start %s is not within the range from %s to %s", start,
                        low, high);
}

/* One start, or for a size of each case a list of them in the order of the cases. */
static fl_status read_starts(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    size_t count = 0;
    fl_spot mine = {spot.source, NULL};
    if (!cJSON_IsArray(spot.node))
        return read_start(reader, spot, into);
    if (!to->entry->quantity.per_case)
        return fl_spot_fail(reader, spot, "a list of starts needs \"per case\": true");
    for (const cJSON *item = spot.node->child; item != NULL; item = item->next, count++) {
        if (count == reader->case_index)
            mine.node = item;
    }
    if (count != reader->case_count)
        return fl_spot_fail(reader, spot, "expected one start for each of the %zu cases, found %zu",
                            reader->case_count, count);
    return read_start(reader, mine, into);
}

/* Steps count from zero, not from the low end, as a mask's grid does. One step at least must be in
 * the range. */
static fl_status read_grid(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    fl_quantity *quantity = &to->entry->quantity;
    const fl_status status =
        fl_value_read_ruled(reader, spot, quantity->dimension, FL_POSITIVE, &quantity->grid);
    if (status != FL_OK)
        return status;
    /* Range ends that are meant to be on the grid are off it by rounding. */
    const double slack = 1e-9;
    const double low = quantity->low / quantity->grid, high = quantity->high / quantity->grid;
    const double first = ceil(low - slack * (1.0 + fabs(low)));
    const double last = floor(high + slack * (1.0 + fabs(high)));
    if (first <= last)
        return FL_OK;
    return fl_spot_fail(reader, spot, "no step of the grid is within the range");
}

/* Read as well when the entry is made, which must know whose it is; here it is checked to be a
 * flag. */
static fl_status read_per_case(fl_reader *reader, fl_spot spot, void *into)
{
    const target *to = into;
    bool flag = false;
    const fl_status status = fl_flag_read(reader, spot, &flag);
    to->entry->quantity.per_case = flag;
    return status;
}

/* Forms of a definition. The keys are read in this order: a start needs the range, a list of starts
 * must know of "per case", a spread the dimension. */
static const fl_key value_keys[] = {{"value", true, read_entry_value},
                                    {"spread", false, read_entry_spread}};
static const fl_key size_keys[] = {{"size", true, read_size},
                                   {"per case", false, read_per_case},
                                   {"start", false, read_starts},
                                   {"grid", false, read_grid},
                                   {"spread", false, read_entry_spread}};

/* Where a size is written, so that its start can be written back. Only the design's own text is
 * ever written, which is one reason that model files have no sizes. */
static fl_status note_span(fl_reader *reader, fl_entry *entry)
{
    const fl_spot spot = entry->spot;
    if (spot.source != reader->main)
        return fl_spot_fail(reader, spot,
                            "a model file has no sizes of its own: give the size in the \"set\" "
                            "of what uses it");
    if (!fl_json_span(&spot.source->json, spot.node, &entry->quantity.begin, &entry->quantity.end))
        return fl_fail(reader->error, FL_FAULT, NULL, "a definition is not in its file");
    return FL_OK;
}

/* Reads a definition into a new entry by its form; "from" has been dealt with before. */
static fl_status fill(fl_reader *reader, fl_entry *entry, const fl_ask *ask)
{
    target to = {entry, ask};
    const fl_spot spot = ask->definition.spot;
    if (!cJSON_IsObject(spot.node))
        return read_entry_value(reader, spot, &to);
    const bool value = fl_spot_child(spot, "value").node != NULL;
    const bool size = fl_spot_child(spot, "size").node != NULL;
    if (value == size)
        return fl_spot_fail(reader, spot, "expected \"value\", \"size\" or \"from\"%s",
                            value ? ", found two of them" : "");
    if (value)
        return fl_object_read(reader, spot, value_keys, FL_COUNT(value_keys), &to);
    const fl_status status = note_span(reader, entry);
    return status ? status : fl_object_read(reader, spot, size_keys, FL_COUNT(size_keys), &to);
}

/* The dimension of a named quantity is that of its first value. */
static fl_status find_dimension(fl_reader *reader, fl_ask *ask)
{
    fl_spot spot = ask->definition.spot;
    if (cJSON_IsObject(spot.node)) {
        const cJSON *size = fl_spot_child(spot, "size").node;
        spot.node = size ? size->child : fl_spot_child(spot, "value").node;
    }
    ask->dimension = FL_NUMBER;
    if (spot.node == NULL || cJSON_IsNumber(spot.node))
        return FL_OK;
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected a value, such as \"250 um\" or 3.9");
    if (fl_unit_dimension(&ask->dimension, spot.node->valuestring))
        return FL_OK;
    char excerpt[FL_EXCERPT_ROOM];
    return fl_spot_fail(reader, spot,
                        "expected a number and a unit, such as \"0.42 nH\", found '%s'",
                        fl_excerpt(excerpt, spot.node->valuestring));
}

/* The entry of the same definition in another case or place; first is the one of its name. */
static fl_entry *find_entry(fl_entry *first, const cJSON *node, size_t only_case)
{
    while (first != NULL && (first->spot.node != node || first->quantity.only_case != only_case))
        first = first->next;
    return first;
}

/* Whether a name is taken, for this case or for all: by a quantity, when it is a section's value,
 * or by another definition. */
static bool name_clashes(const fl_reader *reader, const fl_ask *ask, const fl_entry *first,
                         size_t only_case)
{
    if (!ask->named && fl_lookup_get(&reader->binding_names, "", ask->name) != NULL)
        return true;
    while (first != NULL && first->quantity.only_case != only_case)
        first = first->next;
    return first != NULL;
}

/* Puts a new entry at the head of those of its name. A failure leaves it half filled, but ends the
 * reading. */
static fl_status add_entry(fl_reader *reader, const fl_ask *ask, size_t only_case, fl_entry **made)
{
    const fl_spot spot = ask->definition.spot;
    fl_entry *first = fl_lookup_get(&reader->entry_names, "", ask->name);
    if (name_clashes(reader, ask, first, only_case))
        return fl_spot_fail(reader, spot, "two quantities are named '%s'", ask->name);
    if (reader->entry_count == FL_QUANTITY_LIMIT)
        return fl_spot_fail(reader, spot, "a design has at most %d quantities, all cases together",
                            FL_QUANTITY_LIMIT);
    fl_entry *entry = &reader->entries[reader->entry_count];
    const char *name = fl_arena_copy(&reader->design->arena, ask->name, strlen(ask->name));
    const char *place = fl_json_place(&reader->design->arena, &spot.source->json, spot.node);
    if (name == NULL || place == NULL || !fl_lookup_put(&reader->entry_names, name, entry))
        return fl_fail_memory(reader->error);
    *entry = (fl_entry){.quantity = {.name = name,
                                     .dimension = ask->dimension,
                                     .only_case = only_case,
                                     .side = FL_SIDE_PACKAGE,
                                     .place = place},
                        .spot = spot,
                        .next = first};
    reader->entry_count++;
    *made = entry;
    return fill(reader, entry, ask);
}

/* The first case that meets a definition makes its entry, later ones find it: so cases share
 * quantities, and their draws. A size for each case has an entry of its own in each. */
fl_status fl_entry_read(fl_reader *reader, fl_ask *ask)
{
    const fl_spot spot = ask->definition.spot;
    const bool per_case = cJSON_IsTrue(fl_spot_child(spot, "per case").node);
    const size_t only_case = per_case ? reader->case_index : ask->definition.only_case;
    fl_entry *entry =
        find_entry(fl_lookup_get(&reader->entry_names, "", ask->name), spot.node, only_case);
    fl_status status = FL_OK;
    if (entry == NULL && ask->named)
        status = find_dimension(reader, ask);
    if (entry == NULL && status == FL_OK)
        status = add_entry(reader, ask, only_case, &entry);
    if (status != FL_OK)
        return status;
    ask->dimension = entry->quantity.dimension;
    ask->term =
        (fl_term){.quantity = (size_t)(entry - reader->entries), .times = 1.0, .given = true};
    return FL_OK;
}
