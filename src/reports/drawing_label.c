/**
 * Names and values below the drawing, in columns, each at a leader line from its part. The leaders
 * keep the order of the parts; within a column the label of the last one is uppermost, and each
 * stands to the right of its own leader: so no two leaders cross, and none goes through a label.
 */
#include <math.h>
#include <string.h>

#include "reports/drawing.h"
#include "reports/layout.h"

/* User units: heights of a line; from leader to letters; between columns, between labels, from one
 * leader of a column to the next, at the picture's sides. */
static const double ROW = 14.0, SMALL_ROW = 12.0, INDENT = 4.0;
static const double GAP = 10.0, BELOW = 5.0, STEP = 5.0, SIDE = 6.0;
static const double LETTER = 12.0, SMALL = 10.0, BOLD = 1.1;

/* Lines of one label, and of those the ones for fixed values. */
enum { LINES = 20, FIXED_LINES = 3, NAME_COLUMNS = 26 };

/** A label being written. */
typedef struct writing {
    fl_drawing *drawing;
    fl_label *label;
    double most; /* width */
    bool failed;
} writing;

/** Adds a line; its text is in the arena. */
static void add_line(writing *to, const char *class, const char *words, double size)
{
    if (!words || to->label->line_count == LINES) {
        to->failed = to->failed || !words;
        return;
    }
    to->label->lines[to->label->line_count++] = (fl_label_line){class, words};
    to->label->width = fmax(to->label->width, INDENT + fl_svg_width(words, size));
    to->label->height += size == SMALL ? SMALL_ROW : ROW;
}

/** "width 185 um" with units as drawn; NULL when out of memory. */
static const char *value_words(writing *to, const fl_result_parameter *parameter)
{
    char value[FL_WORD_ROOM], shown[FL_WORD_ROOM];
    fl_value_text(value, parameter->value, parameter->dimension, 5);
    fl_svg_unit(shown, sizeof shown, value);
    return fl_arena_print(&to->drawing->arena, "%s %s", parameter->name, shown);
}

/** Whether a quantity goes by another name than the parameter's own. */
static bool is_named(const writing *to, const fl_part *part, const fl_result_parameter *parameter)
{
    const char *own =
        fl_arena_print(&to->drawing->arena, "%s %s", part->piece->name, parameter->name);
    return parameter->quantity && own && strcmp(own, parameter->quantity) != 0;
}

/** Every sized value has a line of its own, and below it the quantity it comes from. */
static void add_sized(writing *to, const fl_part *part)
{
    for (size_t i = 0; i < part->piece->parameter_count; i++) {
        const fl_result_parameter *parameter = &part->piece->parameters[i];
        char name[FL_NAME_ROOM];
        if (!parameter->sized)
            continue;
        add_line(to, "fl-value", value_words(to, parameter), BOLD * LETTER);
        if (!is_named(to, part, parameter))
            continue;
        fl_shorten(name, parameter->quantity, NAME_COLUMNS);
        add_line(to, "fl-small", fl_arena_print(&to->drawing->arena, "as '%s'", name), SMALL);
    }
}

/** Whether a fixed value says how a part is built. */
static bool shows_fixed(const fl_result_parameter *parameter)
{
    if (parameter->sized || !fl_part_shows(parameter))
        return false;
    return parameter->dimension == FL_LENGTH || parameter->dimension == FL_CAPACITANCE ||
           parameter->dimension == FL_INDUCTANCE || parameter->dimension == FL_RESISTANCE ||
           strcmp(parameter->name, "count") == 0;
}

/** Fixed values one behind the other, in a few lines. */
static void add_fixed(writing *to, const fl_part *part)
{
    fl_arena *arena = &to->drawing->arena;
    const char *line = "";
    size_t lines = 0;
    for (size_t i = 0; i < part->piece->parameter_count && lines < FIXED_LINES; i++) {
        const fl_result_parameter *parameter = &part->piece->parameters[i];
        const char *words = shows_fixed(parameter) ? value_words(to, parameter) : "";
        if (!words || !words[0])
            continue;
        const char *longer = fl_arena_print(arena, "%s%s%s", line, line[0] ? ", " : "", words);
        const bool fits = longer && fl_svg_width(longer, SMALL) < to->most - INDENT;
        if (!fits && line[0]) {
            add_line(to, "fl-small", line, SMALL);
            lines++;
            line = words;
        } else {
            line = longer ? longer : line;
        }
    }
    if (line[0] && lines < FIXED_LINES)
        add_line(to, "fl-small", line, SMALL);
}

/** Name, sized values, fixed values, and the file of data. */
static bool write_label(fl_drawing *drawing, size_t index, double most)
{
    const fl_part *part = &drawing->parts[index];
    writing to = {drawing, &drawing->labels[index], most, false};
    char name[FL_NAME_ROOM];
    to.label->lines = fl_arena_take(&drawing->arena, LINES, sizeof *to.label->lines);
    if (!to.label->lines)
        return false;
    fl_shorten(name, part->piece->name, NAME_COLUMNS);
    add_line(&to, "fl-name", fl_arena_print(&drawing->arena, "%s", name), BOLD * LETTER);
    add_sized(&to, part);
    if (part->piece->file) {
        fl_shorten(name, part->piece->file, NAME_COLUMNS);
        add_line(&to, "fl-small", fl_arena_print(&drawing->arena, "%s", name), SMALL);
    }
    add_fixed(&to, part);
    return !to.failed;
}

/** How wide and high a column of labels is, from one up to another; each leader stands a little to
 * the right of the one before it. */
static fl_point column_size(const fl_drawing *drawing, size_t first, size_t end)
{
    fl_point size = {0.0, 0.0};
    for (size_t i = first; i < end; i++) {
        const fl_label *label = &drawing->labels[i];
        size.x = fmax(size.x, label->width + STEP * (double)(i - first));
        size.y += label->height + (i > first ? BELOW : 0.0);
    }
    return size;
}

/** Labels from first on that one column of a height holds, one at least; returns the next. */
static size_t column_end(const fl_drawing *drawing, size_t first, double height)
{
    size_t end = first + 1;
    while (end < drawing->count && column_size(drawing, first, end + 1).y <= height)
        end++;
    return end;
}

/** Width of all columns, if none is higher than a height. */
static double all_columns(const fl_drawing *drawing, double height)
{
    double width = 0.0;
    for (size_t first = 0, end; first < drawing->count; first = end) {
        end = column_end(drawing, first, height);
        width += column_size(drawing, first, end).x + (first > 0 ? GAP : 0.0);
    }
    return width;
}

/** The least height, about, at which all columns fit side by side. */
static double column_height(const fl_drawing *drawing)
{
    const double most = column_size(drawing, 0, drawing->count).y;
    double height = SMALL_ROW;
    while (height < most && all_columns(drawing, height) > drawing->width - 2.0 * SIDE)
        height += 0.5 * SMALL_ROW;
    return height;
}

/** Puts a column where its first leader goes straight down, if there is room for all others. */
static void place_column(fl_drawing *drawing, size_t first, size_t end, double left, double rest)
{
    const double right = drawing->width - SIDE - rest - column_size(drawing, first, end).x;
    const double x = fmax(fmin(drawing->labels[first].from_x, right), left);
    double y = 0.0;
    for (size_t i = end; i-- > first;) {
        fl_label *label = &drawing->labels[i];
        label->x = x + STEP * (double)(i - first);
        label->y = y;
        y += label->height + BELOW;
    }
}

/** Columns from left to right; the slanted part of the leaders is as high as the farthest one
 * needs. */
static void place(fl_drawing *drawing, double top)
{
    const double height = column_height(drawing);
    double rest = all_columns(drawing, height), left = SIDE, farthest = 0.0;
    for (size_t first = 0, end; first < drawing->count; first = end) {
        end = column_end(drawing, first, height);
        rest -= column_size(drawing, first, end).x;
        place_column(drawing, first, end, left, rest);
        left = drawing->labels[first].x + column_size(drawing, first, end).x + GAP;
        rest -= GAP;
    }
    for (size_t i = 0; i < drawing->count; i++)
        farthest = fmax(farthest, fabs(drawing->labels[i].x - drawing->labels[i].from_x));
    drawing->slant = fmin(fmax(14.0, 0.22 * farthest), 40.0);
    for (size_t i = 0; i < drawing->count; i++) {
        fl_label *label = &drawing->labels[i];
        label->y += top + drawing->slant;
        drawing->labels_end = fmax(drawing->labels_end, label->y + label->height);
    }
}

/** Where a leader begins: on the part, or below its symbol. */
static void aim(fl_drawing *drawing, size_t index)
{
    const fl_part *part = &drawing->parts[index];
    fl_label *label = &drawing->labels[index];
    label->from_x = part->x + 0.5 * part->span;
    label->from_y = drawing->plan + fl_symbol_depth(part);
    if (part->look == FL_LOOK_BOX)
        label->from_y += 14.0;
    if (part->look == FL_LOOK_SERIES)
        label->from_y += 10.0;
    if (part->look == FL_LOOK_WIRES)
        label->from_y += 0.5 * fl_part_value(part, "pitch") * drawing->scale *
                         fmax(fl_part_value(part, "count") - 1.0, 0.0);
}

/** All texts first, as the columns depend on every width. */
bool fl_drawing_label(fl_drawing *drawing, double top)
{
    const double most = fmin(0.42 * drawing->width, 200.0);
    drawing->labels = fl_arena_take(&drawing->arena, drawing->count, sizeof *drawing->labels);
    if (!drawing->labels)
        return false;
    for (size_t i = 0; i < drawing->count; i++) {
        if (!write_label(drawing, i, most))
            return false;
        aim(drawing, i);
    }
    place(drawing, top);
    return true;
}

/** A dot on the part, the leader down along the label, and its lines. */
static void draw_label(fl_text *text, const fl_drawing *drawing, const fl_label *label)
{
    const double bend = drawing->plan + drawing->below;
    const double end = label->y + label->height - 2.0;
    double y = label->y;
    fl_svg_disc(text, "fl-dot", (fl_point){label->from_x, label->from_y}, 1.8);
    fl_svg_path(text, "fl-leader");
    fl_svg_move(text, (fl_point){label->from_x, label->from_y});
    fl_svg_to(text, (fl_point){label->from_x, bend});
    fl_svg_to(text, (fl_point){label->x, bend + drawing->slant - 2.0});
    fl_svg_to(text, (fl_point){label->x, end});
    fl_svg_path_end(text, false);
    for (size_t i = 0; i < label->line_count; i++) {
        const bool small = strcmp(label->lines[i].class, "fl-small") == 0;
        y += small ? SMALL_ROW : ROW;
        fl_svg_text(text, label->lines[i].class, (fl_point){label->x + INDENT, y - 3.5},
                    FL_ANCHOR_START, label->lines[i].text);
    }
}

/** A label with a sized value has the colour of such values. */
void fl_drawing_labels(fl_text *text, const fl_drawing *drawing)
{
    for (size_t i = 0; i < drawing->count; i++) {
        fl_svg_open(text, drawing->parts[i].sized ? "fl-label fl-is-sized" : "fl-label");
        draw_label(text, drawing, &drawing->labels[i]);
        fl_svg_close(text);
    }
}
