/**
 * Small plots for a terminal: return loss over the band with what is required of it, and how often
 * each worst return loss is among the samples. In block characters, or in plain ASCII.
 */
#include <math.h>
#include <string.h>

#include "reports/chart.h"
#include "reports/layout.h"
#include "reports/pages.h"

/* Columns of a plot: of all of it, of the numbers at its left. Rows; parts of a row that a curve
 * tells apart; rows of a histogram. */
enum { LEAST = 40, MARGIN = 8, ROWS = 11, HALVES = 2, BARS = 12 };

/** What a cell shows: halves of the curve, else the requirement's line. */
enum { LOWER = 1, UPPER = 2, LIMIT = 4 };

/** The characters of a plot. */
typedef struct glyphs {
    const char *cell[8]; /* by what the cell shows; the curve goes before the line */
    const char *axis, *tick, *corner, *floor, *rule;
    const char *bar[9]; /* eighths */
} glyphs;

static const glyphs ASCII = {{" ", "*", "*", "*", "-", "*", "*", "*"}, "|", "+", "+", "-", "-",
                             {"", "", "", "", "#", "#", "#", "#", "#"}};

static const glyphs BLOCKS = {{" ", "\xE2\x96\x84", "\xE2\x96\x80", "\xE2\x96\x88", "\xE2\x94\x80",
                               "\xE2\x96\x84", "\xE2\x96\x80", "\xE2\x96\x88"},
                              "\xE2\x94\x82",
                              "\xE2\x94\xA4",
                              "\xE2\x94\x94",
                              "\xE2\x94\x80",
                              "\xE2\x94\x80",
                              {"", "\xE2\x96\x8F", "\xE2\x96\x8E", "\xE2\x96\x8D", "\xE2\x96\x8C",
                               "\xE2\x96\x8B", "\xE2\x96\x8A", "\xE2\x96\x89", "\xE2\x96\x88"}};

typedef struct plot {
    fl_text *text;
    const fl_result *result;
    const glyphs *marks;
    size_t columns; /* of the curve */
    int port;
    double limit_db; /* NAN: nothing is required */
    double top_db;
    double worst[FL_LINE]; /* [columns] over cases and the frequencies of the column, dB */
    unsigned char cells[ROWS][FL_LINE];
} plot;

/** Adds a text so many times. */
static void repeat(fl_text *text, const char *mark, size_t count)
{
    for (; count > 0; count--)
        fl_text_add(text, mark);
}

/** Port and limit of the first return loss that is asked for. */
static void find_limit(plot *of)
{
    const fl_result_case *row = &of->result->cases[0];
    of->port = FL_PORT_BOARD;
    of->limit_db = (double)NAN;
    for (size_t i = row->worst_count; i-- > 0;)
        if (row->worst[i].asked == FL_RETURN_LOSS) {
            of->port = row->worst[i].port;
            of->limit_db = row->worst[i].has_limit ? row->worst[i].limit_db : (double)NAN;
        }
}

/** Return loss of a case at one of its frequencies, dB. */
static double loss_at(const plot *of, const fl_scatter *response, size_t index)
{
    const double *s = of->port == FL_PORT_DIE ? response->s11[index] : response->s22[index];
    return fl_loss_db(s[0] * s[0] + s[1] * s[1]);
}

/** The smaller of what a column has and a straight way between two frequencies gives in its middle;
 * points within a column count as they are. */
static void add_case(plot *of, const fl_scatter *response)
{
    const double last = (double)(response->count - 1);
    for (size_t c = 0; c < of->columns; c++) {
        const double at = last * (double)c / (double)(of->columns - 1);
        const size_t below = (size_t)fmin(floor(at), last - 1.0);
        const double share = at - (double)below;
        const double value =
            (1.0 - share) * loss_at(of, response, below) + share * loss_at(of, response, below + 1);
        of->worst[c] = fmin(of->worst[c], value);
    }
    for (size_t i = 0; i < response->count; i++) {
        const size_t c = (size_t)nearbyint((double)i * (double)(of->columns - 1) / last);
        of->worst[c] = fmin(of->worst[c], loss_at(of, response, i));
    }
}

/** A top of five round steps over the curve and the limit; what is over 40 dB is cut. */
static void find_top(plot *of)
{
    double most = 1.0;
    for (size_t c = 0; c < of->columns; c++)
        most = fmax(most, fmin(of->worst[c], 40.0));
    if (isfinite(of->limit_db))
        most = fmax(most, 1.2 * of->limit_db);
    of->top_db = 5.0 * fl_chart_step(most, 5);
}

/** Half of a row that a value is in, from the lowest up. */
static size_t half_of(const plot *of, double value)
{
    const double share = fmin(fmax(value / of->top_db, 0.0), 1.0);
    return (size_t)floor(HALVES * ((ROWS - 1) * share + 0.5));
}

/** Marks a half of a row; one above the other they make a line without gaps. */
static void mark(plot *of, size_t column, size_t half)
{
    const size_t highest = (size_t)HALVES * ROWS - 1;
    const size_t from_top = highest - (half < highest ? half : highest);
    of->cells[from_top / HALVES][column] |= from_top % HALVES ? LOWER : UPPER;
}

/** The line of the requirement, and the curve over it. */
static void fill_cells(plot *of)
{
    if (isfinite(of->limit_db)) {
        const size_t half = half_of(of, of->limit_db);
        for (size_t c = 0; c < of->columns; c++)
            of->cells[ROWS - 1 - half / HALVES][c] |= LIMIT;
    }
    for (size_t c = 0; c < of->columns; c++) {
        const size_t half = half_of(of, of->worst[c]);
        const size_t before = c > 0 ? half_of(of, of->worst[c - 1]) : half;
        mark(of, c, half);
        for (size_t h = before + 1; h < half; h++)
            mark(of, c, h);
        for (size_t h = half + 1; h < before; h++)
            mark(of, c, h);
    }
}

/** Every second row has its number. */
static void write_rows(const plot *of)
{
    for (size_t r = 0; r < ROWS; r++) {
        if (r % 2 == 0)
            fl_text_print(of->text, "%6.4g %s", of->top_db * (double)(ROWS - 1 - r) / (ROWS - 1),
                          of->marks->tick);
        else
            fl_text_print(of->text, "%6s %s", "", of->marks->axis);
        size_t end = of->columns;
        while (end > 0 && of->cells[r][end - 1] == 0)
            end--;
        for (size_t c = 0; c < end; c++)
            fl_text_add(of->text, of->marks->cell[of->cells[r][c]]);
        fl_text_add(of->text, "\n");
    }
}

/** The ends of the band below the first and the last column. */
static void write_band(const plot *of)
{
    char low[FL_WORD_ROOM], high[FL_WORD_ROOM];
    fl_value_text(low, of->result->band_low, FL_FREQUENCY, 6);
    fl_value_text(high, of->result->band_high, FL_FREQUENCY, 6);
    fl_text_print(of->text, "%6s %s", "", of->marks->corner);
    repeat(of->text, of->marks->floor, of->columns);
    fl_text_print(of->text, "\n%8s%s%*s\n", "", low, (int)(of->columns - strlen(low)), high);
}

/** What the curve and the line are. */
static void write_title(const plot *of)
{
    char limit[FL_WORD_ROOM];
    fl_text words;
    fl_text_init(&words);
    fl_value_text(limit, of->limit_db, FL_DECIBEL, 4);
    fl_text_print(
        &words, "Return loss, %s port, in dB%s%s%s", of->port == FL_PORT_DIE ? "die" : "board",
        of->result->case_count > 1 ? ", worst of all cases" : "",
        isfinite(of->limit_db) ? "; line: required " : "", isfinite(of->limit_db) ? limit : "");
    if (fl_text_failed(&words))
        of->text->failed = true;
    else
        fl_heading(of->text, words.bytes);
    fl_text_release(&words);
}

/** Return loss of the worst case at each frequency. */
static void write_curve(plot *of)
{
    for (size_t c = 0; c < of->columns; c++)
        of->worst[c] = FL_CEILING_DB;
    for (size_t c = 0; c < of->result->case_count; c++)
        if (of->result->cases[c].response.count > 1)
            add_case(of, &of->result->cases[c].response);
    find_top(of);
    fill_cells(of);
    write_title(of);
    write_rows(of);
    write_band(of);
}

/** Samples of so many bars from one on. */
static uint64_t count_bars(const fl_bars *bars, size_t first, size_t width)
{
    uint64_t count = 0;
    for (size_t i = first; i < first + width && i < bars->count; i++)
        count += bars->counts[i];
    return count;
}

/** A bar in eighths of a column; in ASCII a column is rounded. */
static void write_bar(const plot *of, double share)
{
    const size_t eighths = (size_t)nearbyint(8.0 * share);
    repeat(of->text, of->marks->bar[8], eighths / 8);
    fl_text_add(of->text, of->marks->bar[eighths % 8]);
}

/** One row: its range, its bar, its share of all samples. */
static void write_bar_row(const plot *of, size_t first, size_t width, uint64_t most)
{
    const fl_bars *bars = &of->result->bars;
    const double from = bars->from_db + (double)first * bars->step_db;
    const uint64_t count = count_bars(bars, first, width);
    char share[FL_WORD_ROOM];
    fl_share_text(share, (double)count / (double)of->result->samples, 1);
    fl_text_print(of->text, "%6.2f %s", from, of->marks->axis);
    write_bar(of, (double)count / (double)most * (double)(of->columns - 10));
    fl_text_print(of->text, "%s%s\n", count ? " " : "", count ? share : "");
}

/** A rule between the rows where the limit is. */
static void write_rule(const plot *of, double from, double to)
{
    char limit[FL_WORD_ROOM];
    if (!(from < of->limit_db && of->limit_db <= to))
        return;
    fl_value_text(limit, of->limit_db, FL_DECIBEL, 4);
    fl_text_print(of->text, "%6s %s", "", of->marks->tick);
    repeat(of->text, of->marks->rule, of->columns / 3);
    fl_text_print(of->text, " required %s\n", limit);
}

/** How often each worst return loss is among the samples, from the least up. */
static void write_bars(const plot *of)
{
    const fl_bars *bars = &of->result->bars;
    const size_t width = (bars->count + BARS - 1) / BARS;
    uint64_t most = 1;
    for (size_t i = 0; i < bars->count; i += width) {
        const uint64_t count = count_bars(bars, i, width);
        most = count > most ? count : most;
    }
    fl_heading(of->text, "Worst return loss of the samples, from so many dB up; share of all");
    write_rule(of, -HUGE_VAL, bars->from_db);
    for (size_t i = 0; i < bars->count; i += width) {
        const double from = bars->from_db + (double)i * bars->step_db;
        write_bar_row(of, i, width, most);
        write_rule(of, from, from + (double)width * bars->step_db);
    }
}

/** Whether a command ends with a plot: those that judge a design for production. */
static bool is_plotted(const fl_result *result)
{
    return (strcmp(result->command, "size") == 0 || strcmp(result->command, "yield") == 0) &&
           result->case_count > 0 && result->cases[0].response.count > 1;
}

/** Columns out of bounds are taken to the nearest bound. */
fl_status fl_report_plot(fl_report *report, const fl_result *result, int columns, int blocks,
                         fl_error *error)
{
    fl_text text;
    const int whole = columns < LEAST ? LEAST : columns > FL_LINE ? FL_LINE : columns;
    plot of = {.text = &text,
               .result = result,
               .marks = blocks ? &BLOCKS : &ASCII,
               .columns = (size_t)whole - MARGIN};
    fl_text_init(&text);
    if (is_plotted(result)) {
        find_limit(&of);
        write_curve(&of);
        if (result->has_yield && result->bars.count > 0 && result->samples > 0)
            write_bars(&of);
    }
    return fl_report_take(report, &text, error);
}
