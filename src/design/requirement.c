/* Requirements, and the bands they are asked over. */
#include <string.h>

#include "design/reader.h"

/* What the keys of a requirement are read into. */
typedef struct target {
    fl_requirement *requirement;
    fl_band band;
    bool banded, limited, ported;
} target;

/* Read first, as the other keys depend on it. */
static fl_status read_asked(fl_reader *reader, fl_spot spot, void *into)
{
    static const fl_asked asked[] = {FL_RETURN_LOSS, FL_INSERTION_LOSS, FL_REJECTION};
    target *to = into;
    const char *names[FL_COUNT(asked)];
    size_t index = 0;
    for (size_t i = 0; i < FL_COUNT(asked); i++)
        names[i] = fl_asked_name(asked[i]);
    const fl_status status = fl_word_read(reader, spot, names, FL_COUNT(asked), &index);
    to->requirement->asked = asked[index];
    return status;
}

/* The other two go from port to port. */
static fl_status read_asked_port(fl_reader *reader, fl_spot spot, void *into)
{
    static const char *const names[FL_PORTS] = {[FL_PORT_DIE] = "die", [FL_PORT_BOARD] = "board"};
    target *to = into;
    size_t index = 0;
    if (to->requirement->asked != FL_RETURN_LOSS)
        return fl_spot_fail(reader, spot, "only a return loss is asked at a port");
    const fl_status status = fl_word_read(reader, spot, names, FL_PORTS, &index);
    to->requirement->port = (int)index;
    return status;
}

/* Either key sets the limit; at_least tells which one it was. */
static fl_status read_limit(fl_reader *reader, fl_spot spot, target *to, bool at_least)
{
    if (to->limited)
        return fl_spot_fail(reader, spot, "expected \"at least\" or \"at most\", found both");
    to->limited = true;
    to->requirement->at_least = at_least;
    return fl_value_read(reader, spot, FL_DECIBEL, &to->requirement->limit_db);
}

static fl_status read_at_least(fl_reader *reader, fl_spot spot, void *into)
{
    return read_limit(reader, spot, into, true);
}

static fl_status read_at_most(fl_reader *reader, fl_spot spot, void *into)
{
    return read_limit(reader, spot, into, false);
}

static fl_status read_own_band(fl_reader *reader, fl_spot spot, void *into)
{
    target *to = into;
    to->banded = true;
    return fl_band_read(reader, spot, &to->band);
}

static fl_status read_weight(fl_reader *reader, fl_spot spot, void *into)
{
    target *to = into;
    return fl_value_read_ruled(reader, spot, FL_NUMBER, FL_POSITIVE, &to->requirement->weight);
}

/* Read in this order: whether a port may be given depends on the quantity. */
static const fl_key requirement_keys[] = {
    {"quantity", true, read_asked},     {"port", false, read_asked_port},
    {"at least", false, read_at_least}, {"at most", false, read_at_most},
    {"band", false, read_own_band},     {"weight", false, read_weight}};

/* Index of a band in the design's list, where it is put if it is new: bands that several
 * requirements share are swept once. Bands are the same only if both ends are exactly equal. */
static size_t place_band(fl_design *design, fl_band *bands, fl_band band)
{
    size_t at = 0;
    while (at < design->band_count && (bands[at].low != band.low || bands[at].high != band.high))
        at++;
    if (at == design->band_count)
        bands[design->band_count++] = band;
    return at;
}

/* Without a band of its own it is asked over the design's, which is band 0. */
static fl_status read_requirement(fl_reader *reader, fl_spot spot, fl_requirement *requirement,
                                  fl_band *bands)
{
    target to = {.requirement = requirement};
    *requirement = (fl_requirement){.port = FL_PORT_BOARD, .weight = 1.0};
    const fl_status status =
        fl_object_read(reader, spot, requirement_keys, FL_COUNT(requirement_keys), &to);
    if (status != FL_OK)
        return status;
    if (!to.limited)
        return fl_spot_fail(reader, spot, "expected \"at least\" or \"at most\"");
    if (to.banded)
        requirement->band = place_band(reader->design, bands, to.band);
    return FL_OK;
}

/* Counted before anything is taken, so that lists have their full size at once. */
static fl_status count_requirements(fl_reader *reader, fl_spot spot, size_t *count)
{
    *count = 0;
    if (spot.node == NULL)
        return FL_OK;
    if (!cJSON_IsArray(spot.node))
        return fl_spot_fail(reader, spot, "expected a list of requirements");
    for (const cJSON *item = spot.node->child; item != NULL; item = item->next) {
        if (++*count > FL_REQUIREMENT_LIMIT)
            return fl_spot_fail(reader, spot, "a design has at most %d requirements",
                                FL_REQUIREMENT_LIMIT);
    }
    return FL_OK;
}

/* The implied requirement stands in the first place until a given one takes it. Bands have room for
 * one a requirement and the design's. */
fl_status fl_requirements_read(fl_reader *reader, fl_spot spot, const fl_band *band)
{
    fl_design *design = reader->design;
    size_t count = 0;
    fl_status status = count_requirements(reader, spot, &count);
    if (status != FL_OK)
        return status;
    fl_band *bands = fl_arena_take(&design->arena, count + 1, sizeof *bands);
    fl_requirement *requirements = fl_arena_take(&design->arena, count + 1, sizeof *requirements);
    if (bands == NULL || requirements == NULL)
        return fl_fail_memory(reader->error);
    design->bands = bands;
    place_band(design, bands, *band);
    design->requirements = requirements;
    design->requirement_count = count ? count : 1;
    requirements[0] = (fl_requirement){.asked = FL_RETURN_LOSS,
                                       .port = FL_PORT_BOARD,
                                       .at_least = true,
                                       .weight = 1.0,
                                       .implied = true};
    const cJSON *item = count ? spot.node->child : NULL;
    for (size_t i = 0; i < count && status == FL_OK; i++, item = item->next)
        status = read_requirement(reader, (fl_spot){spot.source, item}, &requirements[i], bands);
    return status;
}
