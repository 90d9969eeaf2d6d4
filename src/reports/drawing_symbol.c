/** Symbols of what has no size, as in circuit diagrams, and the mark of what is broken. */
#include <math.h>
#include <string.h>

#include "reports/drawing.h"

/* Half the length of a symbol along its line, and the drop of a shunt one, user units. */
static const double HALF = 11.0, STEM = 6.0;

/** A turn of a symbol's own axes to the picture's: along the line, or down from it. */
typedef struct turn {
    fl_point at; /* the middle */
    double half;
    bool down;
} turn;

/** A place along and across the symbol's line. */
static fl_point spot(const turn *to, double along, double across)
{
    return to->down ? (fl_point){to->at.x - across, to->at.y + along}
                    : (fl_point){to->at.x + along, to->at.y + across};
}

/** Three half turns of a coil. */
static void draw_inductor(fl_text *text, const turn *to)
{
    const double radius = to->half / 3.0;
    fl_svg_path(text, "fl-wire");
    fl_svg_move(text, spot(to, -to->half, 0.0));
    for (int i = 1; i <= 3; i++)
        fl_svg_half_circle(text, spot(to, -to->half + 2.0 * radius * i, 0.0), radius);
    fl_svg_path_end(text, false);
}

/** Two plates, and what leads to them. */
static void draw_capacitor(fl_text *text, const turn *to)
{
    for (int way = -1; way <= 1; way += 2) {
        fl_svg_line(text, "fl-wire", spot(to, 2.0 * way, -7.0), spot(to, 2.0 * way, 7.0));
        fl_svg_line(text, "fl-wire", spot(to, 2.0 * way, 0.0), spot(to, to->half * way, 0.0));
    }
}

/** A zigzag. */
static void draw_resistor(fl_text *text, const turn *to)
{
    const double step = to->half / 6.0;
    fl_svg_path(text, "fl-wire");
    fl_svg_move(text, spot(to, -to->half, 0.0));
    for (int i = 0; i < 6; i++)
        fl_svg_to(text, spot(to, -to->half + step * (2.0 * i + 1.0), i % 2 ? 4.5 : -4.5));
    fl_svg_to(text, spot(to, to->half, 0.0));
    fl_svg_path_end(text, false);
}

/** By the last word of the kind; a ground's return is an inductance. */
static void draw_element(fl_text *text, const fl_part *part, const turn *to)
{
    if (strstr(part->piece->kind, "capacitor"))
        draw_capacitor(text, to);
    else if (strstr(part->piece->kind, "resistor"))
        draw_resistor(text, to);
    else
        draw_inductor(text, to);
}

/** Three strokes, each shorter than the one before. */
void fl_symbol_ground(fl_text *text, fl_point at, double way)
{
    for (int i = 0; i < 3; i++) {
        const double half = 6.0 - 2.0 * i, y = at.y + 3.0 * i * way;
        fl_svg_line(text, "fl-wire", (fl_point){at.x - half, y}, (fl_point){at.x + half, y});
    }
}

/** With a little room below the sign of ground, where the leader begins. */
double fl_symbol_depth(const fl_part *part)
{
    if (part->look == FL_LOOK_SHUNT)
        return STEM + 2.0 * HALF + 11.0;
    return part->look == FL_LOOK_RETURN ? 2.0 * STEM + 20.0 : 0.0;
}

/** From the line down to ground. */
static void draw_shunt(fl_text *text, const fl_part *part, double y)
{
    const double x = part->x + 0.5 * part->span;
    const turn to = {{x, y + STEM + HALF}, HALF, true};
    fl_svg_line(text, "fl-wire", (fl_point){part->x, y}, (fl_point){part->x + part->span, y});
    fl_svg_line(text, "fl-wire", (fl_point){x, y}, (fl_point){x, y + STEM});
    draw_element(text, part, &to);
    fl_symbol_ground(text, (fl_point){x, y + STEM + 2.0 * HALF}, 1.0);
}

/** Below the line, on a rail of its own that ends in ground. */
static void draw_return(fl_text *text, const fl_part *part, double y)
{
    const double low = y + 2.0 * STEM + 4.0, end = part->x + part->span;
    const turn to = {{part->x + 0.5 * part->span, low}, fmin(HALF, 0.4 * part->span), false};
    fl_svg_line(text, "fl-wire", (fl_point){part->x, y}, (fl_point){end, y});
    fl_svg_line(text, "fl-dash", (fl_point){part->x, low}, (fl_point){to.at.x - to.half, low});
    fl_svg_line(text, "fl-dash", (fl_point){to.at.x + to.half, low}, (fl_point){end, low});
    draw_element(text, part, &to);
    fl_symbol_ground(text, (fl_point){to.at.x, low + 6.0}, 1.0);
}

/** In the line. */
static void draw_series(fl_text *text, const fl_part *part, double y)
{
    const double x = part->x + 0.5 * part->span;
    const turn to = {{x, y}, fmin(HALF, 0.4 * part->span), false};
    draw_element(text, part, &to);
    fl_svg_line(text, "fl-wire", (fl_point){part->x, y}, (fl_point){x - to.half, y});
    fl_svg_line(text, "fl-wire", (fl_point){x + to.half, y}, (fl_point){part->x + part->span, y});
}

/** By the place of the element: in the line, from it to ground, or in the return. */
void fl_symbol_draw(fl_text *text, const fl_part *part, double y)
{
    if (part->look == FL_LOOK_SHUNT)
        draw_shunt(text, part, y);
    else if (part->look == FL_LOOK_RETURN)
        draw_return(text, part, y);
    else
        draw_series(text, part, y);
}

/** The gap has the colour of paper, and the strokes are its edges. */
void fl_symbol_break(fl_text *text, fl_point at, double half, bool upright)
{
    const turn to = {at, half, upright};
    fl_svg_line(text, "fl-gap", spot(&to, -1.5, half + 3.0), spot(&to, 1.5, -half - 3.0));
    for (int way = -1; way <= 1; way += 2)
        fl_svg_line(text, "fl-thin", spot(&to, 2.0 * way - 1.5, half + 3.0),
                    spot(&to, 2.0 * way + 1.5, -half - 3.0));
}
