/** The transition from the side: substrates, ground, metal, arcs of wires, all to one scale. */
#include <math.h>
#include <string.h>

#include "reports/drawing.h"
#include "reports/layout.h"

/* How far a substrate goes beyond its parts, user units. */
static const double BRIM = 7.0;

/** A rectangle between two heights. */
static void draw_body(fl_text *text, const fl_drawing *drawing, const char *class,
                      const double x[2], const double height[2])
{
    const double upper = fl_drawing_y(drawing, height[1]);
    const double lower = fl_drawing_y(drawing, height[0]);
    if (lower - upper > 0.0 && x[1] > x[0])
        fl_svg_box(text, class, &(fl_frame){x[0], upper, x[1] - x[0], lower - upper}, 0.0);
}

/** Whether two neighbours lie on one substrate. */
static bool one_body(const fl_part *a, const fl_part *b)
{
    return a->base == b->base && a->piece->side == b->piece->side && a->look <= FL_LOOK_STEP &&
           b->look <= FL_LOOK_STEP && a->flipped == b->flipped && a->level[1] == b->level[0];
}

/** On a lead or a bump there is a substrate below, or above, that belongs to its neighbour. */
static bool goes_on(const fl_drawing *drawing, size_t index)
{
    return drawing->parts[index].look == FL_LOOK_BUMP || drawing->parts[index].look == FL_LOOK_LEAD;
}

/** The first and the last go on to the edge of the picture: there is more of die and board. */
void fl_drawing_extent(double x[2], const fl_drawing *drawing, size_t first, size_t last)
{
    const fl_part *parts = drawing->parts;
    size_t left = first, right = last;
    while (left > 0 && goes_on(drawing, left - 1))
        left--;
    while (right + 1 < drawing->count && parts[right + 1].look == FL_LOOK_BUMP)
        right++;
    x[0] = first == 0 ? 0.0 : fmax(parts[left].x - BRIM, 0.0);
    x[1] = last + 1 == drawing->count
               ? drawing->width
               : fmin(parts[right].x + parts[right].span + BRIM, drawing->width);
}

/** A die that does not stand on the ground stands on metal: a paddle, or its attach. */
static void draw_stand(fl_text *text, const fl_drawing *drawing, const fl_part *part,
                       const double x[2])
{
    const double height[2] = {0.0, part->level[0] - part->base};
    const double wider[2] = {fmax(x[0] - BRIM, 0.0), x[1] + BRIM};
    if (part->piece->side == FL_SIDE_DIE && !part->flipped)
        draw_body(text, drawing, "fl-stand", wider, height);
}

/** Substrates, each over all its parts; the board's lie first, as a lead or a ball is on them. */
static void draw_bodies(fl_text *text, const fl_drawing *drawing)
{
    for (size_t first = 0, last; first < drawing->count; first = last + 1) {
        const fl_part *part = &drawing->parts[first];
        double x[2];
        for (last = first; last + 1 < drawing->count && one_body(part, part + (last - first) + 1);)
            last++;
        if (part->base == 0.0 || part->look > FL_LOOK_STEP)
            continue;
        const double level = part->level[0], base = part->base;
        const double height[2] = {part->flipped ? level : level - base,
                                  part->flipped ? level + base : level};
        fl_drawing_extent(x, drawing, first, last);
        draw_stand(text, drawing, part, x);
        draw_body(text, drawing, part->piece->side == FL_SIDE_DIE ? "fl-die" : "fl-board", x,
                  height);
    }
}

/** What a via goes through. */
static void draw_via_body(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double x[2] = {part->x - BRIM, part->x + part->span + BRIM};
    const double height[2] = {part->level[1], part->level[0]};
    draw_body(text, drawing, "fl-board", x, height);
}

/** Permittivity of what covers a part; -1 if its kind has no such parameter. */
static double cover_of(const fl_part *part)
{
    for (size_t i = 0; i < part->piece->parameter_count; i++)
        if (strcmp(part->piece->parameters[i].name, "cover") == 0)
            return fl_part_value(part, "cover");
    return -1.0;
}

/** Whether a part is covered: one that cannot say so is as its neighbour of the same side. */
static bool is_covered(const fl_drawing *drawing, size_t index)
{
    const fl_side side = drawing->parts[index].piece->side;
    double found = cover_of(&drawing->parts[index]);
    for (size_t i = index; found < 0.0 && i-- > 0 && drawing->parts[i].piece->side == side;)
        found = cover_of(&drawing->parts[i]);
    for (size_t i = index + 1;
         found < 0.0 && i < drawing->count && drawing->parts[i].piece->side == side; i++)
        found = cover_of(&drawing->parts[i]);
    return found > 1.0;
}

/** From where to where a cover goes upwards; of what is over metal the height is not known, and the
 * drawing ends before it does. */
static void cover_heights(double height[2], const fl_drawing *drawing, const fl_part *part)
{
    const double thick = fl_part_value(part, "cover height");
    const double over = (drawing->ground - drawing->side) / drawing->scale;
    height[0] = fmin(part->level[0], part->level[1]);
    height[1] = thick > 0.0 ? fmin(height[0] + thick, over) : over;
    if (part->look == FL_LOOK_WIRES || part->look == FL_LOOK_RIBBON)
        height[0] = 0.0;
    if (part->look == FL_LOOK_LEAD)
        height[0] = fl_part_value(part, "standoff");
    if (part->look == FL_LOOK_BUMP)
        height[1] = part->level[0];
}

/** Mould, gel or underfill. */
static void draw_covers(fl_text *text, const fl_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        const double x[2] = {i == 0 ? 0.0 : part->x, part->x + part->span};
        double height[2];
        cover_heights(height, drawing, part);
        if (is_covered(drawing, i) && !part->flipped)
            draw_body(text, drawing, "fl-cover", x, height);
    }
}

/** The parabola of a wire, exactly: from its ends and its top follows the one inner point of a
 * curve of the second degree. */
static void draw_arc(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double rise = fl_part_value(part, "loop height") * drawing->scale;
    const double from = fl_drawing_y(drawing, part->level[0]);
    const double to = fl_drawing_y(drawing, part->level[1]);
    const double fall = fmax(rise + to - from, 0.0);
    const double top = part->span * sqrt(rise) / fmax(sqrt(rise) + sqrt(fall), 1e-9);
    const double inner = top > 0.0 ? from - rise * part->span / top : to;
    const double middle = part->x + 0.5 * part->span, end = part->x + part->span;
    const fl_point bends[2] = {{(part->x + 2.0 * middle) / 3.0, (from + 2.0 * inner) / 3.0},
                               {(end + 2.0 * middle) / 3.0, (to + 2.0 * inner) / 3.0}};
    fl_svg_path(text, "fl-arc");
    fl_svg_move(text, (fl_point){part->x, from});
    fl_svg_curve(text, bends, (fl_point){end, to});
    fl_svg_path_end(text, false);
}

/** The loop height as a dimension, where there is room for it. */
static void draw_loop_height(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    char value[FL_WORD_ROOM], shown[FL_WORD_ROOM];
    const double height = fl_part_value(part, "loop height"), rise = height * drawing->scale;
    const double land = fl_drawing_y(drawing, part->level[1]);
    const double from = fl_drawing_y(drawing, part->level[0]);
    const double fall = fmax(rise + land - from, 0.0);
    const double x = part->x + part->span * sqrt(rise) / fmax(sqrt(rise) + sqrt(fall), 1e-9);
    fl_value_text(value, height, FL_LENGTH, 4);
    fl_svg_unit(shown, sizeof shown, value);
    if (rise < 13.0 || part->x + 0.95 * part->span < x + 6.0 + fl_svg_width(shown, 10.0))
        return;
    fl_svg_line(text, "fl-thin", (fl_point){x, from}, (fl_point){x, from - rise});
    fl_svg_line(text, "fl-thin fl-dotted", (fl_point){part->x, from}, (fl_point){x + 4.0, from});
    for (int end = 0; end < 2; end++) {
        const double y = end ? from - rise : from, way = end ? 3.5 : -3.5;
        fl_svg_path(text, "fl-tip");
        fl_svg_move(text, (fl_point){x, y});
        fl_svg_to(text, (fl_point){x - 1.6, y + way});
        fl_svg_to(text, (fl_point){x + 1.6, y + way});
        fl_svg_path_end(text, true);
    }
    fl_svg_text(text, "fl-small", (fl_point){x + 3.0, from - 3.0}, FL_ANCHOR_START, shown);
}

/** Metal between two levels: straight down in the middle of its room, joined at either end. */
static void draw_post(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double half = 0.5 * part->width[0] * drawing->scale;
    const double x = part->x + 0.5 * part->span, end = part->x + part->span;
    const double upper = fl_drawing_y(drawing, part->level[0]);
    const double lower = fl_drawing_y(drawing, part->level[1]);
    const double round = part->look == FL_LOOK_BUMP ? fmin(half, 0.5 * (lower - upper)) : 0.0;
    fl_svg_box(text, "fl-metal", &(fl_frame){x - half, upper, 2.0 * half, fmax(lower - upper, 0.0)},
               round);
    fl_svg_line(text, "fl-strip", (fl_point){part->x, upper}, (fl_point){x, upper});
    fl_svg_line(text, "fl-strip", (fl_point){x, lower}, (fl_point){end, lower});
}

/** A bar on its standoff. */
static void draw_lead(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const double x[2] = {part->x, part->x + part->span};
    const double height[2] = {part->level[0] - fl_part_value(part, "thickness"), part->level[0]};
    draw_body(text, drawing, "fl-metal", x, height);
    fl_svg_line(text, "fl-seam", (fl_point){x[0], fl_drawing_y(drawing, height[0])},
                (fl_point){x[0], fl_drawing_y(drawing, height[1])});
}

/** Metal of one level; thin as it is, it is drawn as a line. */
static void draw_strip(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    const bool symbol = part->look <= FL_LOOK_STUB && part->look != FL_LOOK_LINE;
    const double y = fl_drawing_y(drawing, part->level[0]);
    if (part->look == FL_LOOK_BOX)
        fl_svg_box(text, "fl-box", &(fl_frame){part->x + 2.0, y - 11.0, part->span - 4.0, 22.0},
                   3.0);
    else if (part->span > 0.0)
        fl_svg_line(text, symbol ? "fl-wire" : "fl-strip", (fl_point){part->x, y},
                    (fl_point){part->x + part->span, y});
    if (part->broken && part->aside == 0.0)
        fl_symbol_break(text, (fl_point){part->x + 0.5 * part->span, y}, 3.0, false);
}

/** One part with its metal. */
static void draw_part(fl_text *text, const fl_drawing *drawing, const fl_part *part)
{
    fl_svg_open(text, part->sized ? "fl-part fl-is-sized" : "fl-part");
    switch (part->look) {
    case FL_LOOK_WIRES:
    case FL_LOOK_RIBBON:
        draw_arc(text, drawing, part);
        break;
    case FL_LOOK_BUMP:
    case FL_LOOK_VIA:
        draw_post(text, drawing, part);
        break;
    case FL_LOOK_LEAD:
        draw_lead(text, drawing, part);
        break;
    default:
        draw_strip(text, drawing, part);
    }
    fl_svg_close(text);
}

/** What a cover is, once for neighbours of the same, above all that is drawn. */
static void name_covers(fl_text *text, const fl_drawing *drawing)
{
    double last = -1.0;
    for (size_t i = 0; i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        const double cover = is_covered(drawing, i) ? cover_of(part) : 0.0;
        const bool below = part->flipped || part->look == FL_LOOK_BUMP;
        fl_text words;
        if (cover < 0.0 || below || cover == last)
            continue;
        last = cover;
        fl_text_init(&words);
        fl_text_print(&words, "cover \xCE\xB5r %.3g", cover);
        if (cover > 1.0 && !fl_text_failed(&words))
            fl_svg_text(text, "fl-small", (fl_point){part->x + 3.0, drawing->side + 10.0},
                        FL_ANCHOR_START, words.bytes);
        fl_text_release(&words);
    }
}

/** From back to front. */
void fl_drawing_side(fl_text *text, const fl_drawing *drawing)
{
    fl_svg_open(text, "fl-side");
    draw_covers(text, drawing);
    draw_bodies(text, drawing);
    for (size_t i = 0; i < drawing->count; i++)
        if (drawing->parts[i].look == FL_LOOK_VIA)
            draw_via_body(text, drawing, &drawing->parts[i]);
    fl_svg_line(text, "fl-ground", (fl_point){0.0, drawing->ground},
                (fl_point){drawing->width, drawing->ground});
    for (size_t i = 0; i < drawing->count; i++)
        draw_part(text, drawing, &drawing->parts[i]);
    for (size_t i = 0; i < drawing->count; i++)
        if (drawing->parts[i].look == FL_LOOK_WIRES || drawing->parts[i].look == FL_LOOK_RIBBON)
            draw_loop_height(text, drawing, &drawing->parts[i]);
    name_covers(text, drawing);
    fl_svg_close(text);
}
