/** A writer of scalable vector graphics. */
#include "reports/svg.h"

#include <math.h>
#include <string.h>

#include "reports/reports.h"

static const char REPLACEMENT[] = "\xEF\xBF\xBD";

/** Two decimals are a hundredth of a pixel at most. */
void fl_svg_number(fl_text *text, double number)
{
    char digits[FL_NUMBER_ROOM];
    const double hundredths = isfinite(number) ? nearbyint(100.0 * number) : 0.0;
    fl_number_text(digits, hundredths == 0.0 ? 0.0 : hundredths / 100.0);
    fl_text_add(text, digits);
}

/** Length of a character of XML 1.0 at c; 0 of one that XML does not have: controls, and the two
 * last of the first plane. */
static size_t character(const char *c)
{
    const unsigned char first = (unsigned char)c[0];
    if (first < 0x20 && first != '\t' && first != '\n' && first != '\r')
        return 0;
    if (strncmp(c, "\xEF\xBF\xBE", 3) == 0 || strncmp(c, "\xEF\xBF\xBF", 3) == 0)
        return 0;
    size_t length = 1;
    while (((unsigned char)c[length] & 0xC0U) == 0x80U)
        length++;
    return length;
}

/** Bytes to leap over where XML has no such character. */
static size_t bad_length(const char *c)
{
    return (unsigned char)c[0] == 0xEF ? 3 : 1;
}

/** Quotes too, so that one function serves text and attributes. */
void fl_svg_escape(fl_text *text, const char *string)
{
    for (const char *c = string; *c;) {
        const size_t length = character(c);
        if (length == 0)
            fl_text_add(text, REPLACEMENT);
        else if (*c == '&')
            fl_text_add(text, "&amp;");
        else if (*c == '<')
            fl_text_add(text, "&lt;");
        else if (*c == '>')
            fl_text_add(text, "&gt;");
        else if (*c == '"')
            fl_text_add(text, "&quot;");
        else if (*c == '\'')
            fl_text_add(text, "&#39;");
        else
            fl_text_add_bytes(text, c, length);
        c += length ? length : bad_length(c);
    }
}

/** ` name="number"`. */
static void add_attribute(fl_text *text, const char *name, double number)
{
    fl_text_print(text, " %s=\"", name);
    fl_svg_number(text, number);
    fl_text_add(text, "\"");
}

/** The names are in the element itself, as ids would clash in a page of several pictures. */
void fl_svg_begin(fl_text *text, const fl_svg_head *head)
{
    if (head->alone)
        fl_text_add(text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    fl_text_add(text,
                "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"fl-picture\" role=\"img\"");
    if (head->alone) {
        add_attribute(text, "width", head->width);
        add_attribute(text, "height", head->height);
    }
    fl_text_add(text, " viewBox=\"0 0 ");
    fl_svg_number(text, head->width);
    fl_text_add(text, " ");
    fl_svg_number(text, head->height);
    fl_text_add(text, "\" aria-label=\"");
    fl_svg_escape(text, head->title);
    fl_text_add(text, "\">\n<title>");
    fl_svg_escape(text, head->title);
    fl_text_add(text, "</title>\n<desc>");
    fl_svg_escape(text, head->description);
    fl_text_add(text, "</desc>\n");
    if (!head->alone)
        return;
    fl_text_add(text, "<style>\n");
    fl_report_svg_style(text);
    fl_text_add(text, "</style>\n");
    fl_svg_box(text, "fl-paper", &(fl_frame){0.0, 0.0, head->width, head->height}, 0.0);
}

/** Of a picture. */
void fl_svg_end(fl_text *text)
{
    fl_text_add(text, "</svg>\n");
}

/** What is in it takes its classes too. */
void fl_svg_open(fl_text *text, const char *class)
{
    fl_text_print(text, "<g class=\"%s\">\n", class);
}

/** By a transform, so that a drawing need not know where it stands. */
void fl_svg_open_at(fl_text *text, const char *class, fl_point at)
{
    fl_text_print(text, "<g class=\"%s\" transform=\"translate(", class);
    fl_svg_number(text, at.x);
    fl_text_add(text, " ");
    fl_svg_number(text, at.y);
    fl_text_add(text, ")\">\n");
}

/** Of the innermost group. */
void fl_svg_close(fl_text *text)
{
    fl_text_add(text, "</g>\n");
}

/** Straight. */
void fl_svg_line(fl_text *text, const char *class, fl_point from, fl_point to)
{
    fl_text_print(text, "<line class=\"%s\"", class);
    add_attribute(text, "x1", from.x);
    add_attribute(text, "y1", from.y);
    add_attribute(text, "x2", to.x);
    add_attribute(text, "y2", to.y);
    fl_text_add(text, "/>\n");
}

/** A size below nothing, by rounding, would be no XML that a reader draws. */
void fl_svg_box(fl_text *text, const char *class, const fl_frame *frame, double corner)
{
    fl_text_print(text, "<rect class=\"%s\"", class);
    add_attribute(text, "x", frame->x);
    add_attribute(text, "y", frame->y);
    add_attribute(text, "width", fmax(frame->width, 0.0));
    add_attribute(text, "height", fmax(frame->height, 0.0));
    if (corner > 0.0)
        add_attribute(text, "rx", corner);
    fl_text_add(text, "/>\n");
}

/** Of a radius that is not negative. */
void fl_svg_disc(fl_text *text, const char *class, fl_point centre, double radius)
{
    fl_text_print(text, "<circle class=\"%s\"", class);
    add_attribute(text, "cx", centre.x);
    add_attribute(text, "cy", centre.y);
    add_attribute(text, "r", fmax(radius, 0.0));
    fl_text_add(text, "/>\n");
}

/** "x y" of a path's data. */
static void add_spot(fl_text *text, const char *letter, fl_point at)
{
    fl_text_add(text, letter);
    fl_svg_number(text, at.x);
    fl_text_add(text, " ");
    fl_svg_number(text, at.y);
}

/** The data follow piece by piece. */
void fl_svg_path(fl_text *text, const char *class)
{
    fl_text_print(text, "<path class=\"%s\" d=\"", class);
}

/** Lifts the pen. */
void fl_svg_move(fl_text *text, fl_point to)
{
    add_spot(text, "M", to);
}

/** Draws on. */
void fl_svg_to(fl_text *text, fl_point to)
{
    add_spot(text, "L", to);
}

/** Of Bezier's kind. */
void fl_svg_curve(fl_text *text, const fl_point bends[2], fl_point to)
{
    add_spot(text, "C", bends[0]);
    add_spot(text, " ", bends[1]);
    add_spot(text, " ", to);
}

/** The sweep is with the clock, as y points down. */
void fl_svg_half_circle(fl_text *text, fl_point to, double radius)
{
    add_spot(text, "A", (fl_point){radius, radius});
    add_spot(text, " 0 0 1 ", to);
}

/** A closed path goes back to its first point. */
void fl_svg_path_end(fl_text *text, bool closed)
{
    fl_text_add(text, closed ? "Z\"/>\n" : "\"/>\n");
}

/** The letters stay letters, to be searched and read aloud. */
void fl_svg_text(fl_text *text, const char *class, fl_point at, fl_anchor anchor,
                 const char *string)
{
    static const char *const ANCHORS[] = {"", " fl-middle", " fl-end"};
    fl_text_print(text, "<text class=\"%s%s\"", class, ANCHORS[anchor]);
    add_attribute(text, "x", at.x);
    add_attribute(text, "y", at.y);
    fl_text_add(text, ">");
    fl_svg_escape(text, string);
    fl_text_add(text, "</text>\n");
}

/** Widths of an upright sans-serif, on the wide side: no reader's letters are known here. */
static double letter_width(unsigned char c)
{
    if (strchr("iIjl.,:;'|!", c))
        return 0.32;
    if (strchr("frt()[]-/ ", c))
        return 0.4;
    if (strchr("mwMW%@", c))
        return 0.95;
    return c >= 'A' && c <= 'Z' ? 0.72 : 0.6;
}

/** The same of a byte of UTF-8; its first byte stands for a character. */
static double width_of(const char *byte)
{
    const unsigned char c = (unsigned char)*byte;
    if (c < 0x80)
        return letter_width(c);
    return (c & 0xC0U) == 0x80U ? 0.0 : c < 0xE0 ? 0.65 : 1.1;
}

/** Copies the words, as the escaping wants them ended. */
void fl_svg_words(fl_text *text, const char *class, fl_point at, const char *words, size_t length)
{
    fl_text line;
    fl_text_init(&line);
    while (length > 0 && words[length - 1] == ' ')
        length--;
    fl_text_add_bytes(&line, words, length);
    fl_text_add(&line, "");
    if (fl_text_failed(&line))
        text->failed = true;
    else
        fl_svg_text(text, class, at, FL_ANCHOR_START, line.bytes);
    fl_text_release(&line);
}

/** Words of any length are taken whole, so that every call goes on. */
const char *fl_svg_line_end(const char *words, double width, double size)
{
    const char *end = words;
    double used = 0.0;
    while (*end) {
        const char *next = end + strcspn(end, " ");
        next += strspn(next, " ");
        for (const char *c = end; c < next; c++)
            used += size * width_of(c);
        if (end > words && used > width)
            break;
        end = next;
    }
    return end;
}

/** Letters beyond Latin, Greek and Cyrillic are taken as wide ones. */
double fl_svg_width(const char *string, double size)
{
    double width = 0.0;
    for (const char *c = string; *c; c++)
        width += width_of(c);
    return width * size;
}

/** Only in pictures: the text report is for terminals that may have no such letters. */
void fl_svg_unit(char *to, size_t room, const char *from)
{
    const char *unit = strchr(from, ' ');
    const size_t number = unit ? (size_t)(unit - from) + 1 : strlen(from);
    if (number >= room)
        return;
    memcpy(to, from, number);
    to[number] = '\0';
    if (!unit)
        return;
    const bool micro = unit[1] == 'u';
    const char *rest = unit + 1 + micro;
    const char *ohm = strstr(rest, "ohm");
    const size_t before = ohm ? (size_t)(ohm - rest) : strlen(rest);
    if (number + strlen(rest) + 4 > room)
        return;
    char *end = to + number;
    memcpy(end, "\xC2\xB5", micro ? 2 : 0);
    end += micro ? 2 : 0;
    memcpy(end, rest, before);
    end += before;
    memcpy(end, "\xCE\xA9", ohm ? 2 : 0);
    end[ohm ? 2 : 0] = '\0';
}
