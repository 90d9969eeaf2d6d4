/**
 * One scale for all lengths, widths and heights, and the places of the parts. What has no size
 * takes a room of its own; what is far longer than the rest is broken, and said to be.
 */
#include <math.h>
#include <stdlib.h>

#include "reports/drawing.h"

/* User units. */
static const double MARGIN = 14.0;

/** Room along the path of a part without a length. */
static double room_of(const fl_part *part)
{
    switch (part->look) {
    case FL_LOOK_SERIES:
    case FL_LOOK_RETURN:
        return 36.0;
    case FL_LOOK_SHUNT:
        return 26.0;
    case FL_LOOK_BOX:
        return 58.0;
    case FL_LOOK_STUB:
        return 18.0;
    default:
        return 0.0;
    }
}

/** Rising, for qsort. */
static int by_size(const void *a, const void *b)
{
    const double first = *(const double *)a, second = *(const double *)b;
    return (first > second) - (first < second);
}

/** What a part may be long when drawn, m. The longest are broken if they are over four times the
 * rest together, and the rest are at least half of the parts. */
static double longest_drawn(double *lengths, size_t count)
{
    double rest = 0.0;
    qsort(lengths, count, sizeof *lengths, by_size);
    for (size_t i = 0; i < count; i++) {
        if (i > 0 && 2 * i >= count && lengths[i] > 4.0 * rest)
            return rest / (double)(count - i);
        rest += lengths[i];
    }
    return HUGE_VAL;
}

/** Lengths as they are drawn, m, and their sum. Without memory for it none is broken. */
static double break_lengths(fl_drawing *drawing)
{
    double *lengths = fl_arena_take(&drawing->arena, drawing->count, sizeof *lengths);
    size_t count = 0;
    double total = 0.0;
    for (size_t i = 0; lengths && i < drawing->count; i++)
        if (drawing->parts[i].length > 0.0)
            lengths[count++] = drawing->parts[i].length;
    const double most = lengths ? longest_drawn(lengths, count) : HUGE_VAL;
    for (size_t i = 0; i < drawing->count; i++) {
        fl_part *part = &drawing->parts[i];
        part->broken = part->length > most;
        part->span = fmin(part->length, most);
        total += part->span;
    }
    return total;
}

/** Widest of all parts, with what stands beside them, m. */
static double widest(const fl_drawing *drawing)
{
    double most = 0.0;
    for (size_t i = 0; i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        const double pitch = fl_part_value(part, "pitch");
        const double wires = part->look == FL_LOOK_WIRES ? fl_part_value(part, "count") - 1.0 +
                                                               fl_part_value(part, "returns")
                                                         : 0.0;
        most = fmax(most, fmax(part->width[0], part->width[1]) + fmax(wires, 0.0) * pitch);
        most = fmax(most, fmax(fl_part_value(part, "pad"), fl_part_value(part, "antipad")));
    }
    return most;
}

/** Arcs reach above their first bond, and a die face down above its metal. */
double fl_drawing_top(const fl_drawing *drawing)
{
    double top = 0.0;
    for (size_t i = 0; i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        const bool arc = part->look == FL_LOOK_WIRES || part->look == FL_LOOK_RIBBON;
        top = fmax(top, fmax(part->level[0], part->level[1]));
        top = fmax(top, part->level[0] + (arc ? fl_part_value(part, "loop height") : 0.0) +
                            (part->flipped ? part->base : 0.0));
    }
    return top;
}

/** Limits a scale so that an extent takes at most some room. */
static double limited(double scale, double extent, double room)
{
    return extent > 0.0 ? fmin(scale, room / extent) : scale;
}

/** Stubs go aside as far as there is room. */
static void reach_aside(fl_drawing *drawing)
{
    const double most = fmax(70.0, 0.25 * drawing->width);
    for (size_t i = 0; i < drawing->count; i++) {
        fl_part *part = &drawing->parts[i];
        part->reach = part->aside * drawing->scale;
        if (part->look == FL_LOOK_STUB && drawing->scale == 0.0)
            part->reach = 40.0;
        if (part->reach > most) {
            part->reach = most;
            part->broken = true;
        }
    }
}

/** Parts one behind the other, the whole in the middle. */
static void place_parts(fl_drawing *drawing, double fixed, double total)
{
    double x = 0.5 * (drawing->width - total);
    for (size_t i = 0; i < drawing->count; i++) {
        fl_part *part = &drawing->parts[i];
        part->x = x;
        part->span = part->span * drawing->scale + fixed * room_of(part);
        x += part->span;
    }
}

/** Lengths of stubs alone give a scale too, if nothing along the path has one. */
static double scale_of(const fl_drawing *drawing, double total, double room)
{
    double scale = total > 0.0 ? room / total : HUGE_VAL;
    if (total == 0.0)
        for (size_t i = 0; i < drawing->count; i++)
            scale = limited(scale, drawing->parts[i].aside, fmax(70.0, 0.25 * drawing->width));
    if (drawing->has_side)
        scale = limited(scale, fl_drawing_top(drawing), 0.4 * drawing->width);
    scale = limited(scale, widest(drawing), 0.4 * drawing->width);
    return isfinite(scale) ? scale : 0.0;
}

/** Room without a size takes at most about half of the width, so that what has a size is seen. */
void fl_drawing_place(fl_drawing *drawing)
{
    const double room = drawing->width - 2.0 * MARGIN;
    const double total = break_lengths(drawing);
    double fixed = 0.0;
    for (size_t i = 0; i < drawing->count; i++)
        fixed += room_of(&drawing->parts[i]);
    const double share = total > 0.0 ? 0.55 : 1.0;
    const double factor = fixed > share * room ? share * room / fixed : 1.0;
    drawing->scale = scale_of(drawing, total, room - factor * fixed);
    place_parts(drawing, factor, total * drawing->scale + factor * fixed);
    reach_aside(drawing);
}

/** The longest of its kind that is at most 90 units long. */
double fl_drawing_bar(const fl_drawing *drawing)
{
    static const double STEPS[] = {5.0, 2.0, 1.0};
    const double most = 90.0 / drawing->scale;
    const double decade = pow(10.0, floor(log10(most)));
    for (size_t i = 0; i < sizeof STEPS / sizeof STEPS[0]; i++)
        if (STEPS[i] * decade <= most)
            return STEPS[i] * decade;
    return decade;
}

/** y points down. */
double fl_drawing_y(const fl_drawing *drawing, double height)
{
    return drawing->ground - height * drawing->scale;
}
