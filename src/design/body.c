/* Bodies: a package's block of mould with its paddle, whose resonances are looked for. */
#include "design/reader.h"

/* All lengths of a body are of something that is there. */
static fl_status read_positive(fl_reader *reader, fl_spot spot, double *length)
{
    return fl_value_read_ruled(reader, spot, FL_LENGTH, FL_POSITIVE, length);
}

static fl_status read_length(fl_reader *reader, fl_spot spot, void *target)
{
    return read_positive(reader, spot, &((fl_body *)target)->length);
}

static fl_status read_width(fl_reader *reader, fl_spot spot, void *target)
{
    return read_positive(reader, spot, &((fl_body *)target)->width);
}

static fl_status read_height(fl_reader *reader, fl_spot spot, void *target)
{
    return read_positive(reader, spot, &((fl_body *)target)->height);
}

/* That of the mould, which fills the body. */
static fl_status read_permittivity(fl_reader *reader, fl_spot spot, void *target)
{
    return fl_value_read_ruled(reader, spot, FL_NUMBER, FL_AT_LEAST_ONE,
                               &((fl_body *)target)->permittivity);
}

/* The one length that may be left out. */
static fl_status read_paddle(fl_reader *reader, fl_spot spot, void *target)
{
    return read_positive(reader, spot, &((fl_body *)target)->paddle);
}

static const fl_key body_keys[] = {{"length", true, read_length},
                                   {"width", true, read_width},
                                   {"height", true, read_height},
                                   {"permittivity", true, read_permittivity},
                                   {"paddle", false, read_paddle}};

/* Each in the order of reading: warnings come in it. */
fl_status fl_body_read(fl_reader *reader, fl_spot spot, void *target)
{
    fl_arena *arena = &reader->design->arena;
    fl_body *body = NULL, **place = &reader->design->bodies;
    (void)target;
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected a body {\"length\": ..., \"width\": ...}");
    body = fl_arena_take(arena, 1, sizeof *body);
    if (body == NULL)
        return fl_fail_memory(reader->error);
    body->place = fl_json_place(arena, &spot.source->json, spot.node);
    if (body->place == NULL)
        return fl_fail_memory(reader->error);
    while (*place != NULL)
        place = &(*place)->next;
    *place = body;
    return fl_object_read(reader, spot, body_keys, FL_COUNT(body_keys), body);
}
