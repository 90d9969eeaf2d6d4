/**
 * The losses over the band as a picture of their own: what is required, the present response of
 * the worst cases, and, where they were computed, the uncompensated response and what production
 * makes of it. A panel a quantity that is required; return loss in any case.
 */
#include <math.h>
#include <string.h>

#include "reports/chart.h"
#include "reports/layout.h"
#include "reports/pages.h"

/* User units. */
static const double WIDTH = 560.0, LEFT = 40.0, RIGHT = 14.0, HEAD = 26.0, PANEL = 190.0,
                    FOOT = 26.0, ROW = 16.0;

/* Panels; cases with a dash of their own; return losses above this are as good as none. */
enum { PANELS = 4, CASES = 3 };
static const double MOST_DB = 40.0;

static const char *const CURVES[CASES] = {"fl-curve", "fl-curve fl-second", "fl-curve fl-third"};
static const char *const BARE[CASES] = {"fl-bare", "fl-bare fl-second", "fl-bare fl-third"};

/** What a panel shows. */
typedef struct panel {
    fl_asked asked;
    int port;
    fl_chart chart;
} panel;

typedef struct picture {
    fl_arena arena;
    const fl_result *result;
    const size_t *order; /* of the cases, worst first */
    size_t shown;        /* cases */
    panel panels[PANELS];
    size_t count;
} picture;

/** Present losses of a case in one panel, dB; NULL when out of memory. */
static double *present(picture *of, const panel *in, size_t case_index)
{
    const fl_scatter *response = &of->result->cases[case_index].response;
    double(*const s)[2] = in->asked != FL_RETURN_LOSS ? response->s21
                          : in->port == FL_PORT_DIE   ? response->s11
                                                      : response->s22;
    double *losses = fl_arena_take(&of->arena, response->count, sizeof *losses);
    for (size_t i = 0; losses && i < response->count; i++)
        losses[i] = fl_loss_db(s[i][0] * s[i][0] + s[i][1] * s[i][1]);
    return losses;
}

/** Losses as pictures have them, of the panel's quantity; NULL if they are of another port. */
static const double *losses_of(const picture *of, const panel *in, const fl_result_losses *losses)
{
    if (in->asked != FL_RETURN_LOSS)
        return losses->insertion_loss_db;
    return in->port == of->result->pictures->port ? losses->return_loss_db : NULL;
}

/** Envelopes likewise; index is one of those of FL_ENVELOPE_LIST. */
static const double *envelope_of(const picture *of, const panel *in, size_t index)
{
    const fl_result_pictures *pictures = of->result->pictures;
    const fl_result_envelope *envelope = pictures ? &pictures->cases[of->order[0]].envelope : NULL;
    if (!envelope)
        return NULL;
    if (in->asked != FL_RETURN_LOSS)
        return envelope->insertion_loss_db[index];
    return in->port == pictures->port ? envelope->return_loss_db[index] : NULL;
}

/** Adds a panel unless it is there. */
static void add_panel(picture *of, fl_asked asked, int port)
{
    for (size_t i = 0; i < of->count; i++)
        if (of->panels[i].asked == asked && (asked != FL_RETURN_LOSS || of->panels[i].port == port))
            return;
    if (of->count < PANELS)
        of->panels[of->count++] = (panel){.asked = asked, .port = port};
}

/** Return losses first, in the order of the requirements. */
static void choose_panels(picture *of)
{
    const fl_result_case *row = &of->result->cases[0];
    for (int losses = 1; losses >= 0; losses--) {
        for (size_t i = 0; i < row->worst_count; i++)
            if ((row->worst[i].asked == FL_RETURN_LOSS) == (losses == 1))
                add_panel(of, row->worst[i].asked, row->worst[i].port);
        if (losses && of->count == 0)
            add_panel(of, FL_RETURN_LOSS, FL_PORT_BOARD);
    }
}

/** Largest finite value. */
static double largest(const double *values, size_t count, double least)
{
    for (size_t i = 0; values && i < count; i++)
        if (isfinite(values[i]))
            least = fmax(least, values[i]);
    return least;
}

/** The requirement of a panel; NULL if it has none. */
static const fl_result_worst *asked_of(const picture *of, const panel *in, size_t index)
{
    const fl_result_case *row = &of->result->cases[0];
    for (size_t i = 0; i < row->worst_count; i++)
        if (row->worst[i].asked == in->asked && row->worst[i].has_limit &&
            (in->asked != FL_RETURN_LOSS || row->worst[i].port == in->port) && index-- == 0)
            return &row->worst[i];
    return NULL;
}

/** From nothing up to a round number above all that is shown; peaks of a return loss are cut, as
 * what is over 40 dB is as good as it need be. */
static void find_range(picture *of, panel *in)
{
    double most = 0.0, limit = 0.0;
    for (size_t i = 0; asked_of(of, in, i); i++)
        limit = fmax(limit, asked_of(of, in, i)->limit_db);
    for (size_t i = 0; i < of->shown; i++) {
        const double *losses = present(of, in, of->order[i]);
        most = largest(losses, of->result->cases[of->order[i]].response.count, most);
    }
    if (of->result->pictures)
        most = largest(envelope_of(of, in, FL_ENVELOPE_PERCENTS - 2), of->result->pictures->count,
                       most);
    if (in->asked == FL_RETURN_LOSS)
        most = fmin(most, MOST_DB);
    most = fmax(fmax(most, 1.35 * limit), 0.1);
    const double step = fl_chart_step(most, 6);
    in->chart.x[0] = of->result->band_low;
    in->chart.x[1] = of->result->band_high;
    in->chart.y[1] = step * ceil(1.02 * most / step);
}

/** Kilo, mega or giga, whichever makes numbers of two or three digits. */
static double frequency_unit(const fl_result *result, const char **name)
{
    static const char *const NAMES[] = {"Hz", "kHz", "MHz", "GHz", "THz"};
    double unit = 1.0;
    size_t index = 0;
    for (; index < 4 && result->band_high >= 1e3 * unit; index++)
        unit *= 1e3;
    *name = NAMES[index];
    return unit;
}

/** The area that a requirement does not allow, and the line between; false if its band is not in
 * the chart. */
static bool find_limit(fl_point line[2], fl_frame *area, const panel *in,
                       const fl_result_worst *asked)
{
    const fl_chart *chart = &in->chart;
    const double band[2] = {fmax(asked->band_low, chart->x[0]),
                            fmin(asked->band_high, chart->x[1])};
    const double limit = fmin(fmax(asked->limit_db, chart->y[0]), chart->y[1]);
    const double edge = fl_chart_point(chart, band[0], chart->y[asked->at_least ? 0 : 1]).y;
    for (size_t i = 0; i < 2; i++)
        line[i] = fl_chart_point(chart, band[i], limit);
    *area =
        (fl_frame){line[0].x, fmin(line[0].y, edge), line[1].x - line[0].x, fabs(edge - line[0].y)};
    return band[0] < band[1];
}

/** Areas that are not allowed, behind the grid. */
static void draw_areas(fl_text *text, const picture *of, const panel *in)
{
    for (size_t i = 0; asked_of(of, in, i); i++) {
        fl_point line[2];
        fl_frame area;
        if (find_limit(line, &area, in, asked_of(of, in, i)))
            fl_svg_box(text, "fl-forbidden", &area, 0.0);
    }
}

/** What is asked, in words on the forbidden side of its line. */
static void draw_limit(fl_text *text, const panel *in, const fl_result_worst *asked)
{
    char value[FL_WORD_ROOM];
    fl_point line[2];
    fl_frame area;
    fl_text words;
    if (!find_limit(line, &area, in, asked))
        return;
    fl_svg_line(text, "fl-limit", line[0], line[1]);
    fl_value_text(value, asked->limit_db, FL_DECIBEL, 4);
    fl_text_init(&words);
    fl_text_print(&words, "%s %s", asked->at_least ? "at least" : "at most", value);
    if (!fl_text_failed(&words))
        fl_svg_text(text, "fl-limit-text",
                    (fl_point){line[0].x + 6.0, line[0].y + (asked->at_least ? 15.0 : -6.0)},
                    FL_ANCHOR_START, words.bytes);
    fl_text_release(&words);
}

/** 1 to 99 % behind 5 to 95 %, of the worst case. */
static void draw_envelope(fl_text *text, const picture *of, const panel *in)
{
    static const char *const CLASSES[] = {"fl-band2", "fl-band1"};
    for (size_t i = 0; i < 2; i++) {
        const double *const ends[2] = {envelope_of(of, in, i),
                                       envelope_of(of, in, FL_ENVELOPE_PERCENTS - 1 - i)};
        if (ends[0] && ends[1])
            fl_chart_band(text, &in->chart, CLASSES[i], of->result->pictures->frequencies, ends,
                          of->result->pictures->count);
    }
}

/** Bands behind grid, curves before it. */
static void draw_curves(fl_text *text, picture *of, const panel *in)
{
    const fl_result_pictures *pictures = of->result->pictures;
    for (size_t i = 0; pictures && i < of->shown; i++) {
        const double *bare = losses_of(of, in, &pictures->cases[of->order[i]].uncompensated);
        if (bare)
            fl_chart_curve(text, &in->chart, BARE[i % CASES], pictures->frequencies, bare,
                           pictures->count);
    }
    for (size_t i = 0; i < of->shown; i++) {
        const fl_scatter *response = &of->result->cases[of->order[i]].response;
        const double *losses = present(of, in, of->order[i]);
        if (losses)
            fl_chart_curve(text, &in->chart, CURVES[i % CASES], response->frequencies, losses,
                           response->count);
        else
            text->failed = true;
    }
}

/** One panel at its height. */
static void draw_panel(fl_text *text, picture *of, panel *in, double y)
{
    const char *unit_name = NULL;
    const double unit = frequency_unit(of->result, &unit_name);
    in->chart.frame = (fl_frame){LEFT, y + HEAD, WIDTH - LEFT - RIGHT, PANEL};
    fl_text title;
    fl_text_init(&title);
    fl_text_print(&title, "%s, dB", fl_asked_text(in->asked, in->port));
    if (!fl_text_failed(&title))
        fl_svg_text(text, "fl-name", (fl_point){LEFT, y + HEAD - 8.0}, FL_ANCHOR_START,
                    title.bytes);
    fl_text_release(&title);
    draw_envelope(text, of, in);
    draw_areas(text, of, in);
    fl_chart_axes(text, &in->chart, unit);
    draw_curves(text, of, in);
    for (size_t i = 0; asked_of(of, in, i); i++)
        draw_limit(text, in, asked_of(of, in, i));
    fl_svg_text(text, "fl-small", (fl_point){WIDTH - RIGHT, y + HEAD - 8.0}, FL_ANCHOR_END,
                unit_name);
}

/** A sample and its words, in a row after the last; a new row where they do not fit. */
static void draw_entry(fl_text *text, fl_point *at, const char *class, const char *words)
{
    const double width = 34.0 + fl_svg_width(words, 12.0);
    if (at->x > LEFT && at->x + width > WIDTH - RIGHT) {
        at->x = LEFT;
        at->y += ROW;
    }
    if (strstr(class, "band"))
        fl_svg_box(text, class, &(fl_frame){at->x, at->y - 9.0, 20.0, 10.0}, 0.0);
    else
        fl_svg_line(text, class, (fl_point){at->x, at->y - 4.0},
                    (fl_point){at->x + 22.0, at->y - 4.0});
    fl_svg_text(text, "", (fl_point){at->x + 27.0, at->y}, FL_ANCHOR_START, words);
    at->x += width + 12.0;
}

/** Name of a case, or what there is when it is the only one; in the arena. */
static const char *case_words(picture *of, size_t index)
{
    char name[FL_NAME_ROOM];
    if (of->result->case_count == 1)
        return "present values";
    fl_shorten(name, of->result->cases[of->order[index]].name, 40);
    return fl_arena_print(&of->arena, "%s", name);
}

/** Which curve is which; returns the y below. */
static double draw_legend(fl_text *text, picture *of, double y)
{
    const fl_result_pictures *pictures = of->result->pictures;
    fl_point at = {LEFT, y + ROW};
    for (size_t i = 0; i < of->shown; i++) {
        const char *words = case_words(of, i);
        if (words)
            draw_entry(text, &at, CURVES[i % CASES], words);
        else
            text->failed = true;
    }
    if (pictures && pictures->cases[of->order[0]].uncompensated.return_loss_db)
        draw_entry(text, &at, "fl-bare", "uncompensated");
    if (envelope_of(of, &of->panels[0], 0)) {
        const bool several = of->result->case_count > 1;
        const char *words = fl_arena_print(&of->arena, "5 to 95 %% of parts%s%s",
                                           several ? ", " : "", several ? case_words(of, 0) : "");
        if (words)
            draw_entry(text, &at, "fl-band1", words);
        draw_entry(text, &at, "fl-band2", "1 to 99 %");
    }
    if (of->shown < of->result->case_count) {
        fl_text words;
        fl_text_init(&words);
        fl_text_print(&words, "The %zu worst of %zu cases.", of->shown, of->result->case_count);
        at = (fl_point){LEFT, at.y + ROW};
        if (!fl_text_failed(&words))
            fl_svg_text(text, "fl-small", at, FL_ANCHOR_START, words.bytes);
        fl_text_release(&words);
    }
    return at.y + 10.0;
}

/** The worst values in words. */
static void describe(fl_text *words, const picture *of)
{
    for (size_t c = 0; c < of->result->case_count; c++) {
        const fl_result_case *row = &of->result->cases[c];
        for (size_t i = 0; i < row->worst_count; i++) {
            char value[FL_WORD_ROOM], at[FL_WORD_ROOM];
            fl_decibel_text(value, row->worst[i].value_db);
            fl_value_text(at, row->worst[i].frequency, FL_FREQUENCY, 6);
            fl_text_print(words, "%sCase %s: worst %s %s at %s.", words->length ? " " : "",
                          row->name, fl_asked_text(row->worst[i].asked, row->worst[i].port), value,
                          at);
        }
    }
    fl_text_add(words, "");
}

/** All of it; the legend is written apart first, as the height depends on its rows. */
static void draw(fl_text *text, picture *of)
{
    const double panel_height = HEAD + PANEL + FOOT;
    const double below = panel_height * (double)of->count;
    fl_text words, legend;
    fl_text_init(&words);
    fl_text_init(&legend);
    const double height = draw_legend(&legend, of, below);
    describe(&words, of);
    if (fl_text_failed(&words) || fl_text_failed(&legend)) {
        text->failed = true;
    } else {
        fl_svg_begin(text,
                     &(fl_svg_head){WIDTH, height, "Losses over the band", words.bytes, true});
        for (size_t i = 0; i < of->count; i++)
            draw_panel(text, of, &of->panels[i], panel_height * (double)i);
        fl_text_add(text, legend.bytes);
        fl_svg_end(text);
    }
    fl_text_release(&words);
    fl_text_release(&legend);
}

/** Of a result with a response. */
fl_status fl_report_losses(fl_report *report, const fl_result *result, fl_error *error)
{
    picture of = {.result = result};
    fl_text text;
    if (result->case_count == 0 || result->cases[0].response.count == 0)
        return fl_fail(error, FL_BAD_INPUT, "", "the result of '%s' has no response to be drawn",
                       result->command);
    fl_arena_init(&of.arena);
    fl_text_init(&text);
    of.shown = result->case_count < CASES ? result->case_count : CASES;
    of.order = fl_page_case_order(&of.arena, result);
    if (of.order) {
        choose_panels(&of);
        for (size_t i = 0; i < of.count; i++)
            find_range(&of, &of.panels[i]);
        draw(&text, &of);
    } else {
        text.failed = true;
    }
    fl_arena_release(&of.arena);
    return fl_report_take(report, &text, error);
}
