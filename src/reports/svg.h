/**
 * A writer of scalable vector graphics: elements go straight into a text. Colours are classes, so
 * that a style sheet sets them for light, dark and print; coordinates have at most two decimals.
 *
 * Whatever text is given, the XML is well-formed. Numbers that are not finite are written as 0.
 */
#ifndef FL_REPORTS_SVG_H
#define FL_REPORTS_SVG_H

#include "base/text.h"

/** A place or a size in user units: x to the right, y down. */
typedef struct fl_point {
    double x, y;
} fl_point;

/** A rectangle; width and height not negative. */
typedef struct fl_frame {
    double x, y, width, height;
} fl_frame;

/** Which part of a line of letters lies at its place. */
typedef enum fl_anchor { FL_ANCHOR_START, FL_ANCHOR_MIDDLE, FL_ANCHOR_END } fl_anchor;

/** What a picture is: its size, and its words for those who cannot see it. */
typedef struct fl_svg_head {
    double width, height;
    const char *title, *description;
    bool alone; /* a file of its own, with its style sheet; else to be put into a page */
} fl_svg_head;

void fl_svg_begin(fl_text *text, const fl_svg_head *head);
void fl_svg_end(fl_text *text);

/** Adds text as XML character data, also fit for a quoted attribute. Characters that XML does not
 * have become U+FFFD. */
void fl_svg_escape(fl_text *text, const char *string);

/** Adds a number with at most two decimals. */
void fl_svg_number(fl_text *text, double number);

/** A group; classes are separated by spaces. */
void fl_svg_open(fl_text *text, const char *class);
/** The same, all of it moved. */
void fl_svg_open_at(fl_text *text, const char *class, fl_point at);
void fl_svg_close(fl_text *text);

void fl_svg_line(fl_text *text, const char *class, fl_point from, fl_point to);
void fl_svg_box(fl_text *text, const char *class, const fl_frame *frame, double corner);
void fl_svg_disc(fl_text *text, const char *class, fl_point centre, double radius);

/** A path: begin, then moves and lines, then end. */
void fl_svg_path(fl_text *text, const char *class);
void fl_svg_move(fl_text *text, fl_point to);
void fl_svg_to(fl_text *text, fl_point to);
/** A curve of the third degree; bends are its two inner points. */
void fl_svg_curve(fl_text *text, const fl_point bends[2], fl_point to);
/** Half a circle to a place, bulging to the left of the way. */
void fl_svg_half_circle(fl_text *text, fl_point to, double radius);
void fl_svg_path_end(fl_text *text, bool closed);

/** A line of letters on its base line. */
void fl_svg_text(fl_text *text, const char *class, fl_point at, fl_anchor anchor,
                 const char *string);

/** The same of the first bytes of words, without a space at their end. */
void fl_svg_words(fl_text *text, const char *class, fl_point at, const char *words, size_t length);

/** End of the words, at a space, that fit into a width in letters of a size, a word at least; what
 * follows are the next line's. */
const char *fl_svg_line_end(const char *words, double width, double size);

/** What words are wide, about, in user units, in letters of a height of size units. */
double fl_svg_width(const char *string, double size);

/** The same with units as they are drawn: "185 um" as "185 µm", "50 ohm" as "50 Ω". */
void fl_svg_unit(char *to, size_t room, const char *from);

#endif
