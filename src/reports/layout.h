/**
 * Words and numbers as the text report shows them: lines of at most FL_LINE columns, names cut to
 * the room there is, losses and frequencies with even decimals.
 */
#ifndef FL_REPORTS_LAYOUT_H
#define FL_REPORTS_LAYOUT_H

#include "base/text.h"
#include "result/result.h"

/** Columns of a line; room for a name of up to FL_LINE columns, cut, with its NUL. */
enum { FL_LINE = 80, FL_NAME_ROOM = 4 * FL_LINE + 4 };

/** Room for a number with its unit. */
enum { FL_WORD_ROOM = FL_UNIT_ROOM };

/** Columns that text takes on a terminal: wide characters take two, combining marks none. */
size_t fl_columns(const char *text);

/** Copies a text, cut with an ellipsis to at most width columns, 1 <= width <= FL_LINE. */
void fl_shorten(char to[FL_NAME_ROOM], const char *from, size_t width);

/** Adds a paragraph with a line end, broken at spaces, each line behind indent spaces;
 * a word longer than a line is cut. */
void fl_paragraph(fl_text *text, size_t indent, const char *words);

/** A heading with an empty line before it. */
void fl_heading(fl_text *text, const char *words);

/** "18.42 dB": two decimals, "-" if not known, "over 200 dB" at the ceiling of losses. */
void fl_decibel_text(char to[FL_WORD_ROOM], double value);

/** "+0.412": three decimals with their sign, "-" if not known; never "-0.000". */
void fl_change_text(char to[FL_WORD_ROOM], double value);

/** "96.71 %" of a share, "-" if not known. */
void fl_share_text(char to[FL_WORD_ROOM], double share, int decimals);

/** As fl_share_text with two decimals, but never "100.00 %" or "0.00 %" of what is not. */
void fl_yield_text(char to[FL_WORD_ROOM], double share);

/** A lower bound with two decimals, never "100.00 %" of what is not. */
void fl_bound_text(char to[FL_WORD_ROOM], double share);

/** A value with unit in digits significant digits, "-" if not known. */
void fl_value_text(char to[FL_WORD_ROOM], double value, fl_dimension dimension, int digits);

/** "20 000": thousands apart. */
void fl_count_text(char to[FL_WORD_ROOM], uint64_t count);

/** "return loss, board port". */
const char *fl_asked_text(fl_asked asked, int port);

/** "gap", or "gap (air cavity)" of a quantity that belongs to one case; in the arena. */
const char *fl_owned_name(fl_arena *arena, const char *name, const char *case_name);

#endif
