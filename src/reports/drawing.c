/** The transition drawn to scale from die to board: its rows one below the other, and its words. */
#include "reports/drawing.h"

#include <math.h>
#include <string.h>

#include "reports/layout.h"

/* User units: a row of small letters, the edge of the picture, width of the file's picture. */
static const double ROW = 15.0, EDGE = 6.0, ALONE = 560.0;

enum { TITLE_COLUMNS = 72, CASE_COLUMNS = 40 };

/** Whether the caption that names the case is there. */
static bool has_caption(const fl_drawing *drawing)
{
    return drawing->result->case_count > 1;
}

/** How far the parts reach above and below the line in the plan view. */
static void find_extent(fl_drawing *drawing)
{
    double half = 6.0, above = 0.0, below = 0.0;
    for (size_t i = 0; i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        double own = 0.5 * fmax(part->width[0], part->width[1]);
        if (part->look == FL_LOOK_WIRES)
            own += fl_part_value(part, "pitch") *
                   (0.5 * fl_part_value(part, "count") + fl_part_value(part, "returns") - 0.5);
        if (part->look == FL_LOOK_LEAD && fl_part_value(part, "ground leads") > 0.0)
            own += fl_part_value(part, "spacing") + 0.3 * part->width[0];
        own = fmax(own, 0.5 * fmax(fl_part_value(part, "pad"), fl_part_value(part, "antipad")));
        own = own * drawing->scale;
        if (fl_part_value(part, "gap") > 0.0)
            own += fl_part_value(part, "gap") * drawing->scale + 10.0;
        half = fmax(half, part->look == FL_LOOK_BOX ? 16.0 : own);
        above = fmax(above, part->reach + (part->look == FL_LOOK_STUB ? 8.0 : 2.0));
        below = fmax(below, fl_symbol_depth(part));
    }
    drawing->above = fmax(half, above) + EDGE;
    drawing->below = fmax(half, below) + EDGE;
}

/** Whether a part is of no size. */
static bool is_symbol(const fl_part *part)
{
    return part->look <= FL_LOOK_RETURN;
}

/** What must be known to read the drawing; in the arena, NULL when out of memory. */
static const char *write_note(fl_drawing *drawing)
{
    const char *note = drawing->scale > 0.0
                           ? "Lengths, widths and heights to one scale; thin metal as lines."
                           : "A circuit: nothing in it has a size.";
    bool symbols = false;
    size_t broken = 0;
    for (size_t i = 0; i < drawing->count; i++)
        symbols = symbols || is_symbol(&drawing->parts[i]);
    if (symbols && drawing->scale > 0.0)
        note = fl_arena_print(&drawing->arena, "%s Symbols and boxes have no size.", note);
    for (size_t i = 0; note && i < drawing->count; i++) {
        const fl_part *part = &drawing->parts[i];
        char value[FL_WORD_ROOM], shown[FL_WORD_ROOM], name[FL_NAME_ROOM];
        if (!part->broken)
            continue;
        fl_value_text(value, fmax(part->length, part->aside), FL_LENGTH, 4);
        fl_svg_unit(shown, sizeof shown, value);
        fl_shorten(name, part->piece->name, CASE_COLUMNS);
        note = fl_arena_print(&drawing->arena, "%s%s%s (%s)", note,
                              broken++ ? ", " : " Drawn shorter than it is: ", name, shown);
    }
    return note && broken ? fl_arena_print(&drawing->arena, "%s.", note) : note;
}

/** Everything but the letters: from the top, row by row. First the caption of the case and the
 * names of the sides, then the side view, the scale, the plan view, the labels, the note. Both
 * views share one x, so that each part is below itself. */
static bool lay_out(fl_drawing *drawing, const fl_result *result, size_t case_index, double width)
{
    *drawing = (fl_drawing){.result = result,
                            .row = &result->cases[case_index],
                            .count = result->cases[case_index].piece_count,
                            .width = fmin(fmax(width, FL_PICTURE_LEAST), FL_PICTURE_MOST)};
    fl_arena_init(&drawing->arena);
    drawing->parts = fl_arena_take(&drawing->arena, drawing->count, sizeof *drawing->parts);
    if (!drawing->parts)
        return false;
    fl_drawing_measure(drawing);
    fl_drawing_place(drawing);
    find_extent(drawing);
    double y = ROW * (has_caption(drawing) ? 2.0 : 1.0) + 4.0;
    drawing->side = y;
    if (drawing->has_side && drawing->scale > 0.0)
        y += fl_drawing_top(drawing) * drawing->scale + 3.0 * EDGE;
    else
        drawing->has_side = false;
    drawing->ground = y;
    y += drawing->scale > 0.0 ? ROW + 10.0 : EDGE;
    drawing->plan = y + drawing->above;
    drawing->note = write_note(drawing);
    if (!drawing->note || !fl_drawing_label(drawing, drawing->plan + drawing->below))
        return false;
    drawing->height = drawing->labels_end + 12.0;
    for (const char *rest = drawing->note; *rest;) {
        rest = fl_svg_line_end(rest, drawing->width - 2.0 * EDGE, 10.0);
        drawing->height += ROW;
    }
    return true;
}

/** "die", "package", "board" over their parts, with a line from edge to edge. */
static void draw_sides(fl_text *text, const fl_drawing *drawing)
{
    const double y = drawing->side - 6.0;
    double free = 0.0;
    for (size_t first = 0, last; first < drawing->count; first = last + 1) {
        const fl_part *parts = drawing->parts;
        for (last = first;
             last + 1 < drawing->count && parts[last + 1].piece->side == parts[first].piece->side;)
            last++;
        const double from = parts[first].x, to = parts[last].x + parts[last].span;
        const char *name = fl_side_name(parts[first].piece->side);
        const double half = 0.5 * fl_svg_width(name, 10.0), middle = 0.5 * (from + to);
        fl_svg_line(text, "fl-thin", (fl_point){from + 1.0, y + 3.0},
                    (fl_point){to - 1.0, y + 3.0});
        if (middle - half < free)
            continue;
        fl_svg_text(text, "fl-small", (fl_point){middle, y}, FL_ANCHOR_MIDDLE, name);
        free = middle + half + 4.0;
    }
}

/** A bar of a round length, and which view is which. */
static void draw_scale(fl_text *text, const fl_drawing *drawing)
{
    char value[FL_WORD_ROOM], shown[FL_WORD_ROOM];
    const double bar = fl_drawing_bar(drawing), y = drawing->ground + 13.0;
    const double x[2] = {EDGE, EDGE + bar * drawing->scale};
    fl_value_text(value, bar, FL_LENGTH, 3);
    fl_svg_unit(shown, sizeof shown, value);
    fl_svg_path(text, "fl-scale");
    fl_svg_move(text, (fl_point){x[0], y - 3.0});
    fl_svg_to(text, (fl_point){x[0], y});
    fl_svg_to(text, (fl_point){x[1], y});
    fl_svg_to(text, (fl_point){x[1], y - 3.0});
    fl_svg_path_end(text, false);
    fl_svg_text(text, "fl-small", (fl_point){x[1] + 5.0, y + 1.0}, FL_ANCHOR_START, shown);
    fl_svg_text(text, "fl-small", (fl_point){drawing->width - EDGE, y + 1.0}, FL_ANCHOR_END,
                drawing->has_side ? "side view; below, plan view" : "plan view");
}

/** The lines of the note below all. */
static void draw_note(fl_text *text, const fl_drawing *drawing)
{
    double y = drawing->labels_end + 12.0;
    for (const char *rest = drawing->note; *rest;) {
        const char *end = fl_svg_line_end(rest, drawing->width - 2.0 * EDGE, 10.0);
        fl_svg_words(text, "fl-small", (fl_point){EDGE, y + 6.0}, rest, (size_t)(end - rest));
        rest = end;
        y += ROW;
    }
}

/** All of it, in the order of the rows. */
static void draw(fl_text *text, const fl_drawing *drawing)
{
    if (has_caption(drawing)) {
        char name[FL_NAME_ROOM];
        fl_shorten(name, drawing->row->name, CASE_COLUMNS);
        fl_svg_text(text, "fl-name", (fl_point){EDGE, 13.0}, FL_ANCHOR_START, name);
    }
    draw_sides(text, drawing);
    if (drawing->has_side)
        fl_drawing_side(text, drawing);
    if (drawing->scale > 0.0)
        draw_scale(text, drawing);
    fl_drawing_plan(text, drawing);
    fl_drawing_labels(text, drawing);
    draw_note(text, drawing);
}

/** The sections in words: what the drawing shows, for those who cannot see it. */
static void describe(fl_text *words, const fl_result_case *row)
{
    fl_text_add(words, "From the die to the board:");
    for (size_t i = 0; i < row->piece_count; i++) {
        const fl_result_piece *piece = &row->pieces[i];
        fl_text_print(words, "%s %s, %s", i ? ";" : "", piece->name, piece->kind);
        for (size_t p = 0; p < piece->parameter_count; p++) {
            char value[FL_WORD_ROOM];
            if (!fl_part_shows(&piece->parameters[p]))
                continue;
            fl_value_text(value, piece->parameters[p].value, piece->parameters[p].dimension, 5);
            fl_text_print(words, ", %s %s%s", piece->parameters[p].name, value,
                          piece->parameters[p].sized ? " (sized)" : "");
        }
    }
    fl_text_add(words, ".");
}

/** The head of the picture of one case, or of several. */
static void begin(fl_text *text, const fl_drawing *first, double height, bool alone)
{
    const fl_result *result = first->result;
    char title[FL_NAME_ROOM];
    fl_text name, words;
    fl_text_init(&name);
    fl_text_init(&words);
    fl_shorten(title, result->title[0] ? result->title : "the design", TITLE_COLUMNS);
    fl_text_print(&name, "The transition of %s, from die to board", title);
    if (!alone && has_caption(first))
        fl_text_print(&name, ", case %s", first->row->name);
    for (size_t c = 0; alone && c < result->case_count; c++)
        if (result->cases[c].built_as == c) {
            fl_text_print(&words, "%sCase %s. ", c ? " " : "", result->cases[c].name);
            describe(&words, &result->cases[c]);
        }
    if (!alone)
        describe(&words, first->row);
    if (fl_text_failed(&name) || fl_text_failed(&words))
        text->failed = true;
    else
        fl_svg_begin(text, &(fl_svg_head){first->width, height, name.bytes, words.bytes, alone});
    fl_text_release(&name);
    fl_text_release(&words);
}

/** A width out of bounds is taken to the nearest bound, so that a page that asks for nonsense still
 * has a picture. */
void fl_report_drawing_svg(fl_text *text, const fl_result *result, size_t case_index, double width)
{
    fl_drawing drawing;
    if (case_index >= result->case_count || result->cases[case_index].piece_count == 0)
        return;
    if (lay_out(&drawing, result, case_index, width)) {
        begin(text, &drawing, drawing.height, false);
        draw(text, &drawing);
        fl_svg_end(text);
    } else {
        text->failed = true;
    }
    fl_arena_release(&drawing.arena);
}

/** Drawings of all cases that are built in their own way, one below the other. */
static bool draw_all(fl_text *text, const fl_result *result, fl_drawing *drawings)
{
    double height = 0.0;
    for (size_t c = 0; c < result->case_count; c++) {
        if (result->cases[c].built_as != c)
            continue;
        if (!lay_out(&drawings[c], result, c, ALONE))
            return false;
        height += drawings[c].height + 2.0 * EDGE;
    }
    begin(text, &drawings[0], height, true);
    double y = 0.0;
    for (size_t c = 0; c < result->case_count; c++) {
        if (result->cases[c].built_as != c)
            continue;
        fl_svg_open_at(text, "fl-case", (fl_point){0.0, y});
        draw(text, &drawings[c]);
        fl_svg_close(text);
        y += drawings[c].height + 2.0 * EDGE;
    }
    fl_svg_end(text);
    return true;
}

/** A file of its own holds every case, as a document has one picture of a design. */
fl_status fl_report_transition(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    if (result->case_count == 0 || result->cases[0].piece_count == 0)
        return fl_fail(error, FL_BAD_INPUT, "", "the result of '%s' has no path to be drawn",
                       result->command);
    fl_drawing *drawings = fl_memory_take(result->case_count, sizeof *drawings);
    if (!drawings)
        return fl_fail_memory(error);
    fl_text_init(&text);
    if (!draw_all(&text, result, drawings))
        text.failed = true;
    for (size_t c = 0; c < result->case_count; c++)
        fl_arena_release(&drawings[c].arena);
    fl_memory_free(drawings);
    return fl_report_take(report, &text, error);
}
