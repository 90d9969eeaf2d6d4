/* Draws: which spreads move together, at what level, and how groups are correlated. */
#include <string.h>

#include "design/reader.h"

/* The lists in the making; draws and groups are found by keys and names. */
typedef struct listing {
    fl_draw *draws;
    const char **groups;
    fl_correlation *correlations;
    size_t draw_count, group_count, correlation_count;
    fl_lookup draw_keys, group_names, pairs;
} listing;

/* ---- levels ---- */

/* The level at which parts of one side vary together if the file does not say. */
static fl_level side_level(fl_side side)
{
    static const fl_level levels[] = {[FL_SIDE_DIE] = FL_LEVEL_DIE,
                                      [FL_SIDE_PACKAGE] = FL_LEVEL_ASSEMBLY,
                                      [FL_SIDE_BOARD] = FL_LEVEL_BOARD};
    return levels[side];
}

/* More than one bit is set. */
static bool several_sides(unsigned sides)
{
    return (sides & (sides - 1U)) != 0;
}

/* Gives a level to components without one. Where sides would disagree on it the user must choose:
 * silently taking one would change the yield. */
static fl_status set_levels(fl_reader *reader, fl_entry *entry)
{
    for (size_t i = 0; i < entry->quantity.spread_count; i++) {
        fl_component *component = &entry->components[i];
        if (!component->levelled && several_sides(entry->sides))
            return fl_spot_fail(reader, entry->spot,
                                "'%s' is used on several sides: its spread needs a \"level\"",
                                entry->quantity.name);
        if (!component->levelled)
            component->spread.level = side_level(entry->quantity.side);
    }
    return FL_OK;
}

static fl_status check_die(fl_reader *reader, const fl_entry *entry)
{
    if (entry->quantity.sized && entry->quantity.only_case != FL_NONE &&
        (entry->sides & (1U << FL_SIDE_DIE)) != 0)
        return fl_spot_fail(reader, entry->spot,
                            "'%s' is on the die side, which all cases share: a die has one mask",
                            entry->quantity.name);
    return FL_OK;
}

/* ---- draws ---- */

/* Index of a group of spreads, which is added when met first. Names of groups hold for all
 * files. */
static fl_status find_group(fl_reader *reader, listing *list, const char *name, size_t *index)
{
    const char **group = fl_lookup_get(&list->group_names, "", name);
    if (group == NULL) {
        group = &list->groups[list->group_count];
        *group = fl_arena_copy(&reader->design->arena, name, strlen(name));
        if (*group == NULL || !fl_lookup_put(&list->group_names, *group, group))
            return fl_fail_memory(reader->error);
        list->group_count++;
    }
    *index = (size_t)(group - list->groups);
    return FL_OK;
}

/* What components share when they move together: level and group, or level, place in the spread and
 * name of the quantity. Entries of one name, each for its own case, have the same key, as all cases
 * share the sample. */
static const char *draw_key(fl_reader *reader, const fl_entry *entry, size_t index)
{
    const fl_component *component = &entry->components[index];
    const int level = (int)component->spread.level;
    return component->group != NULL
               ? fl_arena_print(&reader->arena, "%d group %s", level, component->group)
               : fl_arena_print(&reader->arena, "%d %zu %s", level, index, entry->quantity.name);
}

/* Gives a component its draw. Draws are numbered in the order in which they are met, which the file
 * alone decides; random numbers are by that order. */
static fl_status number_draw(fl_reader *reader, listing *list, const fl_entry *entry, size_t index)
{
    fl_component *component = &entry->components[index];
    const char *key = draw_key(reader, entry, index);
    fl_draw *draw = key ? fl_lookup_get(&list->draw_keys, "", key) : NULL;
    if (draw == NULL) {
        draw = &list->draws[list->draw_count];
        *draw = (fl_draw){component->spread.level, FL_NONE, entry->quantity.name};
        if (component->group != NULL) {
            const fl_status status = find_group(reader, list, component->group, &draw->group);
            if (status != FL_OK)
                return status;
            draw->name = list->groups[draw->group];
        }
        if (key == NULL || !fl_lookup_put(&list->draw_keys, key, draw))
            return fl_fail_memory(reader->error);
        list->draw_count++;
    }
    component->spread.draw = (size_t)(draw - list->draws);
    return FL_OK;
}

/* Checks an entry that now knows all its users and moves its spread into the design. */
static fl_status finish_entry(fl_reader *reader, listing *list, fl_entry *entry)
{
    const size_t count = entry->quantity.spread_count;
    fl_spread *spreads = fl_arena_take(&reader->design->arena, count, sizeof *spreads);
    fl_status status = check_die(reader, entry);
    if (status == FL_OK)
        status = set_levels(reader, entry);
    if (status == FL_OK && spreads == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < count && status == FL_OK; i++) {
        status = number_draw(reader, list, entry, i);
        spreads[i] = entry->components[i].spread;
    }
    entry->quantity.spreads = spreads;
    return status;
}

/* ---- correlations ---- */

/* A group that no spread names is an error, most likely a misspelling. */
static fl_status find_known_group(fl_reader *reader, const listing *list, fl_spot spot,
                                  size_t *index)
{
    const char *name = NULL;
    const fl_status status = fl_name_read(reader, spot, &name);
    if (status != FL_OK)
        return status;
    const char **group = fl_lookup_get(&list->group_names, "", name);
    if (group == NULL)
        return fl_word_unknown(reader, spot, "group", name, list->groups, list->group_count);
    *index = (size_t)(group - list->groups);
    return FL_OK;
}

/* Of a file that only lends a substrate, groups may be left out with the rest of it. */
static bool has_group(const listing *list, const cJSON *node)
{
    return !cJSON_IsString(node) || fl_lookup_get(&list->group_names, "", node->valuestring);
}

/* A pair given twice is an error in one file; two files may agree on it. */
static fl_status check_again(fl_reader *reader, fl_spot spot, const fl_correlation *known,
                             const fl_correlation *found, bool same_file)
{
    if (!same_file && known->value == found->value)
        return FL_OK;
    return fl_spot_fail(reader, spot, "the correlation of these two groups is given twice");
}

/* Keeps a pair once, in whatever order its groups are named. Correlations from file_first on are of
 * the file at hand. */
static fl_status keep_correlation(fl_reader *reader, listing *list, fl_spot spot,
                                  const fl_correlation *found, size_t file_first)
{
    const bool ordered = found->group[0] < found->group[1];
    const char *key =
        fl_arena_print(&reader->arena, "%zu %zu", found->group[!ordered], found->group[ordered]);
    const fl_correlation *known = key ? fl_lookup_get(&list->pairs, "", key) : NULL;
    if (known != NULL)
        return check_again(reader, spot, known, found,
                           (size_t)(known - list->correlations) >= file_first);
    fl_correlation *kept = &list->correlations[list->correlation_count];
    if (key == NULL || !fl_lookup_put(&list->pairs, key, kept))
        return fl_fail_memory(reader->error);
    *kept = *found;
    list->correlation_count++;
    return FL_OK;
}

/* ["a", "b", 0.6]. The ends -1 and 1 are refused: what always moves together is one group. Whether
 * the correlations of a level agree with each other is found when samples are drawn. */
/* Levels of a group, a bit for each at which it has a draw. */
static unsigned levels_of(const listing *list, size_t group)
{
    unsigned levels = 0;
    for (size_t i = 0; i < list->draw_count; i++)
        if (list->draws[i].group == group)
            levels |= 1U << list->draws[i].level;
    return levels;
}

/* "die", or "die, board". */
static const char *level_names(fl_reader *reader, unsigned levels)
{
    const char *names = "";
    for (int level = 0; names != NULL && level < (int)FL_LEVEL_COUNT; level++)
        if (levels & 1U << level)
            names = fl_arena_print(&reader->arena, "%s%s%s", names, names[0] ? ", " : "",
                                   fl_level_name((fl_level)level));
    return names;
}

/* Draws of different levels are never correlated: whoever gave one would wait for it in vain. */
static fl_status warn_apart(fl_reader *reader, const listing *list, fl_spot spot,
                            const fl_correlation *found)
{
    char excerpt[2][FL_EXCERPT_ROOM];
    const char *names[2];
    const unsigned levels[2] = {levels_of(list, found->group[0]), levels_of(list, found->group[1])};
    if (levels[0] & levels[1])
        return FL_OK;
    for (int i = 0; i < 2; i++) {
        fl_excerpt(excerpt[i], list->groups[found->group[i]]);
        names[i] = level_names(reader, levels[i]);
    }
    const char *text =
        fl_arena_print(&reader->arena,
                       "groups '%s' (%s) and '%s' (%s) share no level, so that their correlation "
                       "does nothing",
                       excerpt[0], names[0] ? names[0] : "", excerpt[1], names[1] ? names[1] : "");
    return text && names[0] && names[1] ? fl_spot_warn(reader, spot, text)
                                        : fl_fail_memory(reader->error);
}

static fl_status read_correlation(fl_reader *reader, listing *list, fl_spot spot, size_t file_first)
{
    fl_correlation found = {{0, 0}, 0.0};
    const cJSON *first = cJSON_IsArray(spot.node) ? spot.node->child : NULL;
    const cJSON *second = first ? first->next : NULL;
    const cJSON *value = second ? second->next : NULL;
    if (value == NULL || value->next != NULL)
        return fl_spot_fail(reader, spot,
                            "expected two groups and a number, such as [\"a\", "
                            "\"b\", 0.6]");
    if (!spot.source->whole && !(has_group(list, first) && has_group(list, second)))
        return FL_OK;
    fl_status status =
        find_known_group(reader, list, (fl_spot){spot.source, first}, &found.group[0]);
    if (status == FL_OK)
        status = find_known_group(reader, list, (fl_spot){spot.source, second}, &found.group[1]);
    if (status == FL_OK)
        status = fl_number_node_read(reader, (fl_spot){spot.source, value}, &found.value);
    if (status != FL_OK)
        return status;
    if (found.group[0] == found.group[1])
        return fl_spot_fail(reader, spot, "a group is not correlated with itself");
    if (!(found.value > -1.0 && found.value < 1.0))
        return fl_spot_fail(reader, (fl_spot){spot.source, value},
                            "a correlation is between -1 and 1");
    status = keep_correlation(reader, list, spot, &found, file_first);
    return status == FL_OK ? warn_apart(reader, list, spot, &found) : status;
}

static size_t count_correlations(const fl_reader *reader)
{
    size_t count = 0;
    for (const fl_source *source = reader->sources; source != NULL; source = source->next) {
        const cJSON *list = source->correlations;
        for (const cJSON *item = list ? list->child : NULL; item != NULL; item = item->next)
            count++;
    }
    return count;
}

static fl_status read_correlations(fl_reader *reader, listing *list)
{
    fl_status status = FL_OK;
    list->correlations = fl_arena_take(&reader->design->arena, count_correlations(reader),
                                       sizeof *list->correlations);
    if (list->correlations == NULL)
        return fl_fail_memory(reader->error);
    for (fl_source *source = reader->sources; source != NULL; source = source->next) {
        const size_t file_first = list->correlation_count;
        const cJSON *item = source->correlations ? source->correlations->child : NULL;
        for (; item != NULL && status == FL_OK; item = item->next)
            status = read_correlation(reader, list, (fl_spot){source, item}, file_first);
    }
    return status;
}

/* ---- all ---- */

/* No more draws and groups than components: the lists never move, so that lookups may point in. */
static fl_status make_lists(fl_reader *reader, listing *list)
{
    size_t count = 0;
    for (size_t i = 0; i < reader->entry_count; i++)
        count += reader->entries[i].quantity.spread_count;
    list->draws = fl_arena_take(&reader->design->arena, count, sizeof *list->draws);
    list->groups = fl_arena_take(&reader->design->arena, count, sizeof *list->groups);
    fl_lookup_init(&list->draw_keys, &reader->arena);
    fl_lookup_init(&list->group_names, &reader->arena);
    fl_lookup_init(&list->pairs, &reader->arena);
    return list->draws && list->groups ? FL_OK : fl_fail_memory(reader->error);
}

static void keep_lists(fl_design *design, const listing *list, const fl_quantity *quantities,
                       size_t count)
{
    design->quantities = quantities;
    design->quantity_count = count;
    design->draws = list->draws;
    design->draw_count = list->draw_count;
    design->groups = list->groups;
    design->group_count = list->group_count;
    design->correlations = list->correlations;
    design->correlation_count = list->correlation_count;
}

fl_status fl_draws_number(fl_reader *reader)
{
    listing list = {0};
    const size_t count = reader->entry_count;
    fl_quantity *quantities = fl_arena_take(&reader->design->arena, count, sizeof *quantities);
    fl_status status = quantities ? make_lists(reader, &list) : fl_fail_memory(reader->error);
    for (size_t i = 0; i < count && status == FL_OK; i++) {
        status = finish_entry(reader, &list, &reader->entries[i]);
        quantities[i] = reader->entries[i].quantity;
    }
    if (status == FL_OK)
        status = read_correlations(reader, &list);
    if (status == FL_OK)
        keep_lists(reader->design, &list, quantities, count);
    return status;
}
