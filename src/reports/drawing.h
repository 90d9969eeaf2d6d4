/**
 * The transition drawn to scale: what its files share. Sections become parts (drawing_part.c),
 * parts get their places (drawing_scale.c), then they are drawn from the side and from above
 * (drawing_side.c, drawing_plan.c) and named (drawing_label.c).
 *
 * Metres in the parts are those of the design; user units are those of the picture.
 */
#ifndef FL_REPORTS_DRAWING_H
#define FL_REPORTS_DRAWING_H

#include "reports/reports.h"
#include "reports/svg.h"

/** What a section is drawn as. */
typedef enum fl_look {
    FL_LOOK_BOX,    /* of no size: measured data, and whatever has no look of its own */
    FL_LOOK_SERIES, /* a symbol in the line */
    FL_LOOK_SHUNT,  /* a symbol from the line to ground */
    FL_LOOK_RETURN, /* a symbol in the return */
    FL_LOOK_LINE,   /* with a length but no width */
    FL_LOOK_STUB,   /* aside, with a length but no width */
    FL_LOOK_TRACE,  /* metal on a substrate, with length and width */
    FL_LOOK_TRACE_STUB,
    FL_LOOK_STEP, /* between two widths */
    FL_LOOK_LEAD,
    FL_LOOK_WIRES,
    FL_LOOK_RIBBON,
    FL_LOOK_BUMP,
    FL_LOOK_VIA
} fl_look;

/** A section with its measures; 0 of what it has not. */
typedef struct fl_part {
    const fl_result_piece *piece;
    fl_look look;
    bool sized;      /* a value of it is */
    bool flipped;    /* its metal is on the underside of its substrate */
    bool broken;     /* drawn shorter than it is */
    double length;   /* m, along the path */
    double aside;    /* m, of a stub */
    double width[2]; /* m, at the die's end and at the board's */
    double level[2]; /* m, of its metal at either end, above the lowest ground */
    double base;     /* m, its substrate's height */
    double x, span;  /* user units, along the path */
    double reach;    /* user units, of a stub */
} fl_part;

typedef struct fl_drawing {
    fl_arena arena;
    const fl_result *result;
    const fl_result_case *row;
    fl_part *parts;
    size_t count;
    double width, height;      /* user units, of the picture */
    double scale;              /* user units per metre; 0: nothing has a size */
    bool has_side;             /* something has a height */
    double side, ground;       /* y of the side view's upper edge, and of its ground */
    double plan, above, below; /* y of the line in the plan view, and how far it reaches */
    struct fl_label *labels;   /* [count], in the order of the parts */
    double slant;              /* height of the slanted part of their leaders */
    double labels_end;         /* y below the last */
    const char *note;          /* what must be known to read the drawing */
} fl_drawing;

/** Value of a part's parameter, SI; 0 if it has none. */
double fl_part_value(const fl_part *part, const char *name);

/** Whether a value of the part is to be shown: given, and not the substrate's. */
bool fl_part_shows(const fl_result_parameter *parameter);

/** Looks, measures and levels of all parts from their pieces. */
void fl_drawing_measure(fl_drawing *drawing);

/** Scale, breaks, and the places of all parts. */
void fl_drawing_place(fl_drawing *drawing);

/** Length of the bar that shows the scale: 1, 2 or 5 times a power of ten, m. */
double fl_drawing_bar(const fl_drawing *drawing);

/** Height of what lies highest in the side view, m. */
double fl_drawing_top(const fl_drawing *drawing);

/** Height in the side view as a y. */
double fl_drawing_y(const fl_drawing *drawing, double height);

/** Names and values of all parts, laid out in rows so that none lies over another; top is the y
 * where the leader lines may leave the plan view. False when out of memory. */
bool fl_drawing_label(fl_drawing *drawing, double top);

/** From where to where a substrate goes, of the parts first to last: somewhat beyond them, and on
 * below leads and over bumps. */
void fl_drawing_extent(double x[2], const fl_drawing *drawing, size_t first, size_t last);

void fl_drawing_side(fl_text *text, const fl_drawing *drawing);
void fl_drawing_plan(fl_text *text, const fl_drawing *drawing);
void fl_drawing_labels(fl_text *text, const fl_drawing *drawing);

/** A part's symbol about a place on the line, in the plan view. */
void fl_symbol_draw(fl_text *text, const fl_part *part, double y);

/** How far below the line a part's symbol reaches, user units. */
double fl_symbol_depth(const fl_part *part);

/** The sign of ground, its stem at a place, pointing down (1) or up (-1). */
void fl_symbol_ground(fl_text *text, fl_point at, double way);

/** Two slanted strokes across a part that is drawn shorter than it is. */
void fl_symbol_break(fl_text *text, fl_point at, double half, bool upright);

/** One label: a leader to its part, a name, values. */
typedef struct fl_label_line {
    const char *class, *text;
} fl_label_line;

typedef struct fl_label {
    double from_x, from_y; /* of the leader, on the part */
    double x, y;           /* of the upper left corner */
    double width, height;
    fl_label_line *lines;
    size_t line_count;
} fl_label;

#endif
