/** The transition from above: widths, stubs, wires side by side, symbols of what has no size. */
#include <math.h>

#include "reports/drawing.h"

/** A part's width at one end, user units; a hair line at least. */
static double half_width(const fl_drawing *drawing, const fl_part *part, size_t end)
{
    return fmax(0.5 * part->width[end] * drawing->scale, 0.4);
}

/** Ground metal beside a line: on both sides at a gap, as deep as there is room. */
static void draw_beside(fl_text *text, const fl_drawing *drawing, const fl_part *part, double gap)
{
    const double near = half_width(drawing, part, 0) + gap * drawing->scale;
    const double depth = fmin(drawing->above, drawing->below) - near;
    if (depth <= 0.0)
        return;
    fl_svg_box(text, "fl-beside",
               &(fl_frame){part->x, drawing->plan - near - depth, part->span, depth}, 0.0);
    fl_svg_box(text, "fl-beside", &(fl_frame){part->x, drawing->plan + near, part->span, depth},
               0.0);
}

/** Ground leads, one or two, as wide as the lead. */
static void draw_ground_leads(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double width = part->width[0] * drawing->scale;
    const double near = 0.5 * width + fl_part_value(part, "spacing") * drawing->scale;
    const double count = fl_part_value(part, "ground leads");
    const double room[2] = {drawing->above - near, drawing->below - near};
    for (int i = 0; i < 2; i++) {
        const double depth = fmin(width, room[i]);
        if (count > i && depth > 0.0)
            fl_svg_box(text, "fl-beside",
                       &(fl_frame){part->x, i ? drawing->plan + near : drawing->plan - near - depth,
                                   part->span, depth},
                       0.0);
    }
}

/** Metal with straight edges between its two widths. */
static void draw_trace(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double half[2] = {half_width(drawing, part, 0), half_width(drawing, part, 1)};
    const double end = part->x + part->span, y = drawing->plan;
    const double gap = fl_part_value(part, "gap");
    if (gap > 0.0)
        draw_beside(text, drawing, part, gap);
    if (part->look == FL_LOOK_LEAD)
        draw_ground_leads(text, drawing, part);
    fl_svg_path(text, "fl-metal");
    fl_svg_move(text, (fl_point){part->x, y - half[0]});
    fl_svg_to(text, (fl_point){end, y - half[1]});
    fl_svg_to(text, (fl_point){end, y + half[1]});
    fl_svg_to(text, (fl_point){part->x, y + half[0]});
    fl_svg_path_end(text, true);
    fl_svg_line(text, "fl-seam", (fl_point){part->x, y - half[0]},
                (fl_point){part->x, y + half[0]});
    if (part->broken)
        fl_symbol_break(text, (fl_point){0.5 * (part->x + end), y}, half[0], false);
}

/** Upwards from the line; the symbol of ground is at the end of a shorted one. */
static void draw_stub(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const bool lean = part->look == FL_LOOK_STUB;
    const double half = lean ? 3.0 : half_width(drawing, part, 0);
    const double x = part->x + 0.5 * part->span, y = drawing->plan;
    fl_svg_line(text, "fl-wire", (fl_point){part->x, y}, (fl_point){part->x + part->span, y});
    fl_svg_box(text, lean ? "fl-outline" : "fl-metal",
               &(fl_frame){x - half, y - part->reach, 2.0 * half, part->reach}, 0.0);
    if (part->broken)
        fl_symbol_break(text, (fl_point){x, y - 0.5 * part->reach}, half, true);
    if (lean && part->piece->kind[0] == 's')
        fl_symbol_ground(text, (fl_point){x, y - part->reach}, -1.0);
}

/** Wires side by side, bonded at both ends; ground wires beside them. */
static void draw_wires(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double pitch = fl_part_value(part, "pitch") * drawing->scale;
    const double end = part->x + part->span;
    const int count = (int)fmin(fmax(fl_part_value(part, "count"), 1.0), 64.0);
    const int returns = (int)fmin(fl_part_value(part, "returns"), 2.0);
    const double first = drawing->plan - 0.5 * pitch * (count - 1);
    for (int i = returns > 1 ? -1 : 0; i < count + (returns > 0); i++) {
        const double y = first + pitch * i;
        const bool own = i >= 0 && i < count;
        fl_svg_line(text, own ? "fl-arc" : "fl-dash", (fl_point){part->x, y}, (fl_point){end, y});
        if (!own)
            continue;
        fl_svg_disc(text, "fl-metal", (fl_point){part->x, y}, 1.7);
        fl_svg_disc(text, "fl-metal", (fl_point){end, y}, 1.7);
    }
}

/** Seen from above, with its pad, and the hole in the ground that it goes through. */
static void draw_post(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const fl_point at = {part->x + 0.5 * part->span, drawing->plan};
    const double pad = 0.5 * fl_part_value(part, "pad") * drawing->scale;
    const double antipad = 0.5 * fl_part_value(part, "antipad") * drawing->scale;
    fl_svg_line(text, "fl-wire", (fl_point){part->x, at.y}, (fl_point){part->x + part->span, at.y});
    if (antipad > 0.0)
        fl_svg_disc(text, "fl-thin fl-dotted", at, antipad);
    if (pad > 0.0)
        fl_svg_disc(text, "fl-outline", at, pad);
    fl_svg_disc(text, "fl-metal", at, half_width(drawing, part, 0));
}

/** A box for what has no shape, or a line for what has no width. */
static void draw_shapeless(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double half = part->look == FL_LOOK_LINE ? 4.0 : 14.0;
    const double inset = part->look == FL_LOOK_LINE ? 0.0 : 2.0;
    const double y = drawing->plan, x = part->x + 0.5 * part->span;
    if (part->look == FL_LOOK_STEP)
        return;
    fl_svg_box(
        text, part->look == FL_LOOK_LINE ? "fl-outline" : "fl-box",
        &(fl_frame){part->x + inset, y - half, fmax(part->span - 2.0 * inset, 0.0), 2.0 * half},
        part->look == FL_LOOK_LINE ? 0.0 : 3.0);
    if (part->look == FL_LOOK_BOX && part->span > 30.0)
        fl_svg_text(text, "fl-small", (fl_point){x, y + 3.5}, FL_ANCHOR_MIDDLE, "data");
    if (part->broken)
        fl_symbol_break(text, (fl_point){x, y}, half, false);
}

/** One part. */
static void draw_part(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    fl_svg_open(text, part->sized ? "fl-part fl-is-sized" : "fl-part");
    switch (part->look) {
    case FL_LOOK_SERIES:
    case FL_LOOK_SHUNT:
    case FL_LOOK_RETURN:
        fl_symbol_draw(text, part, drawing->plan);
        break;
    case FL_LOOK_STUB:
    case FL_LOOK_TRACE_STUB:
        draw_stub(text, drawing, part);
        break;
    case FL_LOOK_TRACE:
    case FL_LOOK_LEAD:
    case FL_LOOK_RIBBON:
        draw_trace(text, drawing, part);
        break;
    case FL_LOOK_WIRES:
        draw_wires(text, drawing, part);
        break;
    case FL_LOOK_BUMP:
    case FL_LOOK_VIA:
        draw_post(text, drawing, part);
        break;
    default:
        draw_shapeless(text, drawing, part);
    }
    fl_svg_close(text);
}

/** Die and board behind their parts, so that edges can be seen from above too. */
static void draw_grounds(fl_text *text, const fl_drawing *drawing)
{
    for (size_t first = 0, last; first < drawing->count; first = last + 1) {
        const fl_part *parts = drawing->parts;
        const fl_side side = parts[first].piece->side;
        for (last = first; last + 1 < drawing->count && parts[last + 1].piece->side == side;)
            last++;
        double x[2];
        fl_drawing_extent(x, drawing, first, last);
        const fl_frame frame = {x[0], drawing->plan - drawing->above, x[1] - x[0],
                                drawing->above + drawing->below};
        if (side != FL_SIDE_PACKAGE)
            fl_svg_box(text, side == FL_SIDE_DIE ? "fl-die" : "fl-board", &frame, 0.0);
    }
}

/** Both ports are small rings at the ends of the line. */
void fl_drawing_plan(fl_text *text, const fl_drawing *drawing)
{
    const fl_part *first = &drawing->parts[0], *last = &drawing->parts[drawing->count - 1];
    fl_svg_open(text, "fl-plan");
    draw_grounds(text, drawing);
    for (size_t i = 0; i < drawing->count; i++)
        draw_part(text, drawing, &drawing->parts[i]);
    fl_svg_disc(text, "fl-port", (fl_point){first->x - 3.0, drawing->plan}, 3.0);
    fl_svg_disc(text, "fl-port", (fl_point){last->x + last->span + 3.0, drawing->plan}, 3.0);
    fl_svg_close(text);
}
