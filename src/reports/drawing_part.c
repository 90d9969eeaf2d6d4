/**
 * From sections to parts that can be drawn: which measures they have, and on which level they lie.
 *
 * Levels go from the board to the die. The board's metal is as high above ground as its laminate; a
 * lead stands on its standoff; over a bump or a via the next part is higher by its height; wires
 * come down from the die by the difference of the heights of their ends, as their own heights are
 * above a plane that may be another one at either end.
 */
#include <math.h>
#include <string.h>

#include "reports/drawing.h"

/** How a kind is drawn, and which of its parameters are its measures; NULL: it has no such. */
typedef struct look_of {
    const char *kind;
    fl_look look;
    const char *length, *aside, *width, *board_width;
} look_of;

static const look_of LOOKS[] = {
    /* Of no size. */
    {.kind = "series inductor", .look = FL_LOOK_SERIES},
    {.kind = "series capacitor", .look = FL_LOOK_SERIES},
    {.kind = "series resistor", .look = FL_LOOK_SERIES},
    {.kind = "shunt inductor", .look = FL_LOOK_SHUNT},
    {.kind = "shunt capacitor", .look = FL_LOOK_SHUNT},
    {.kind = "shunt resistor", .look = FL_LOOK_SHUNT},
    {.kind = "ground", .look = FL_LOOK_RETURN},
    /* Lines of a given impedance have a length alone. */
    {.kind = "line", .look = FL_LOOK_LINE, .length = "length"},
    {.kind = "open stub", .look = FL_LOOK_STUB, .aside = "length"},
    {.kind = "shorted stub", .look = FL_LOOK_STUB, .aside = "length"},
    /* Metal on a substrate. */
    {.kind = "microstrip", .look = FL_LOOK_TRACE, .length = "length", .width = "width"},
    {.kind = "stripline", .look = FL_LOOK_TRACE, .length = "length", .width = "width"},
    {.kind = "grounded coplanar", .look = FL_LOOK_TRACE, .length = "length", .width = "width"},
    {.kind = "pad", .look = FL_LOOK_TRACE, .length = "length", .width = "width"},
    {.kind = "taper",
     .look = FL_LOOK_TRACE,
     .length = "length",
     .width = "die width",
     .board_width = "board width"},
    {.kind = "step", .look = FL_LOOK_STEP, .width = "die width", .board_width = "board width"},
    {.kind = "open microstrip stub",
     .look = FL_LOOK_TRACE_STUB,
     .length = "width", /* of the junction, along the path */
     .aside = "length",
     .width = "width"},
    /* From one level to another. */
    {.kind = "lead", .look = FL_LOOK_LEAD, .length = "length", .width = "width"},
    {.kind = "bond wires", .look = FL_LOOK_WIRES, .length = "span", .width = "diameter"},
    {.kind = "ribbon", .look = FL_LOOK_RIBBON, .length = "span", .width = "width"},
    {.kind = "bump", .look = FL_LOOK_BUMP, .length = "diameter", .width = "diameter"},
    {.kind = "via", .look = FL_LOOK_VIA, .length = "drill", .width = "drill"}};

/** A part's parameter; NULL if it has none of that name. */
static const fl_result_parameter *find(const fl_part *part, const char *name)
{
    for (size_t i = 0; i < part->piece->parameter_count; i++)
        if (strcmp(part->piece->parameters[i].name, name) == 0)
            return &part->piece->parameters[i];
    return NULL;
}

/** What is not finite is not drawn. */
double fl_part_value(const fl_part *part, const char *name)
{
    const fl_result_parameter *found = name ? find(part, name) : NULL;
    return found && isfinite(found->value) && found->value > 0.0 ? found->value : 0.0;
}

/** A sized value is shown wherever it comes from. */
bool fl_part_shows(const fl_result_parameter *parameter)
{
    return parameter->sized || (parameter->given && !parameter->substrate);
}

/** The look of a kind; a box for what is not known here, so that nothing is left out. */
static const look_of *look_for(const char *kind)
{
    static const look_of BOX = {.look = FL_LOOK_BOX};
    for (size_t i = 0; i < sizeof LOOKS / sizeof LOOKS[0]; i++)
        if (strcmp(LOOKS[i].kind, kind) == 0)
            return &LOOKS[i];
    return &BOX;
}

/** Measures of a part. A bump or a via takes the room of its pad. */
static void measure(fl_part *part)
{
    const look_of *look = look_for(part->piece->kind);
    part->look = look->look;
    part->length = fl_part_value(part, look->length);
    part->aside = fl_part_value(part, look->aside);
    part->width[0] = fl_part_value(part, look->width);
    part->width[1] = look->board_width ? fl_part_value(part, look->board_width) : part->width[0];
    if (look->look == FL_LOOK_BUMP || look->look == FL_LOOK_VIA)
        part->length = fmax(part->length, fl_part_value(part, "pad"));
    part->base = fl_part_value(part, "substrate height");
    for (size_t i = 0; i < part->piece->parameter_count; i++)
        part->sized = part->sized || part->piece->parameters[i].sized;
}

/** Height of a via: its own, or that of its substrate. */
static double via_height(const fl_part *part)
{
    const double own = fl_part_value(part, "height");
    return own > 0.0 ? own : part->base;
}

/** Level at the die's end of a part, from that at the board's end. */
static double level_before(const fl_part *part, double level)
{
    switch (part->look) {
    case FL_LOOK_WIRES:
    case FL_LOOK_RIBBON:
        return level + fl_part_value(part, "die height") - fl_part_value(part, "land height");
    case FL_LOOK_BUMP:
        return level + fl_part_value(part, "height");
    case FL_LOOK_VIA:
        return level + via_height(part);
    default:
        return level;
    }
}

/** Whether a level starts anew at a part: a lead stands on its own, and a substrate is not below
 * its ground. */
static double level_at(const fl_part *part, double level)
{
    if (part->look == FL_LOOK_LEAD)
        return fl_part_value(part, "standoff") + fl_part_value(part, "thickness");
    return part->look == FL_LOOK_VIA ? level : fmax(level, part->base);
}

/** Whether the first part that joins the die to the rest is a bump: it then lies face down. */
static bool faces_down(const fl_drawing *drawing, size_t index)
{
    if (drawing->parts[index].piece->side != FL_SIDE_DIE)
        return false;
    for (size_t i = index; i < drawing->count; i++) {
        const fl_look look = drawing->parts[i].look;
        if (look == FL_LOOK_BUMP)
            return true;
        if (look == FL_LOOK_WIRES || look == FL_LOOK_RIBBON || look == FL_LOOK_LEAD)
            return false;
    }
    return false;
}

/** Walks from the board to the die. Of a die face down the substrate is above its metal. */
static void find_levels(fl_drawing *drawing)
{
    double level = 0.0, least = 0.0;
    for (size_t i = drawing->count; i-- > 0;) {
        fl_part *part = &drawing->parts[i];
        part->flipped = faces_down(drawing, i);
        if (!part->flipped)
            level = level_at(part, level);
        part->level[1] = level;
        level = level_before(part, level);
        part->level[0] = level;
        least = fmin(least, fmin(part->level[0], part->level[1]));
    }
    for (size_t i = 0; i < drawing->count; i++)
        for (size_t end = 0; end < 2; end++)
            drawing->parts[i].level[end] -= least;
}

/** A part without a substrate of its own lies on that of its neighbour of the same side; vias keep
 * what they are in. */
static void share_bases(fl_drawing *drawing)
{
    fl_part *parts = drawing->parts;
    for (size_t i = 1; i < drawing->count; i++)
        if (parts[i].base == 0.0 && parts[i].look <= FL_LOOK_STEP &&
            parts[i].piece->side == parts[i - 1].piece->side && parts[i - 1].look <= FL_LOOK_STEP)
            parts[i].base = parts[i - 1].base;
    for (size_t i = drawing->count; i-- > 1;)
        if (parts[i - 1].base == 0.0 && parts[i - 1].look <= FL_LOOK_STEP &&
            parts[i].piece->side == parts[i - 1].piece->side && parts[i].look <= FL_LOOK_STEP)
            parts[i - 1].base = parts[i].base;
}

/** A die of unknown thickness is as thick as it is high, if it stands on the ground. */
static void stand_dies(fl_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++) {
        fl_part *part = &drawing->parts[i];
        if (part->base == 0.0 && part->piece->side == FL_SIDE_DIE && !part->flipped &&
            part->look <= FL_LOOK_STEP && drawing->has_side)
            part->base = part->level[0];
    }
}

/** Levels need the bases of all parts, and dies of unknown thickness the levels. */
void fl_drawing_measure(fl_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++) {
        drawing->parts[i].piece = &drawing->row->pieces[i];
        measure(&drawing->parts[i]);
        drawing->has_side = drawing->has_side || drawing->parts[i].base > 0.0 ||
                            drawing->parts[i].look >= FL_LOOK_LEAD;
    }
    share_bases(drawing);
    find_levels(drawing);
    stand_dies(drawing);
}
