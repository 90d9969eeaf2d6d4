/**
 * Text report: losses over the band, a few lines of them. The table is for a first look; the
 * whole response is in the files.
 */
#include <math.h>
#include <stdio.h>

#include "reports/pages.h"

/* Lines of a table, and cases that get one. */
enum { LINES = 9, CASES = 2 };

/** A unit in which the band's frequencies have one to three digits before the point. */
typedef struct unit_scale {
    const char *title;
    double factor;
} unit_scale;

/** One unit for the whole table, so that the points stand below each other. */
static unit_scale find_scale(double high)
{
    if (high >= 1e9)
        return (unit_scale){"GHz", 1e-9};
    if (high >= 1e6)
        return (unit_scale){"MHz", 1e-6};
    return (unit_scale){"kHz", 1e-3};
}

/** Fixed decimals, for the same reason. */
static void add_number(fl_table *table, int decimals, double value)
{
    fl_table_add(table, fl_arena_print(&table->arena, "%.*f", decimals, value));
}

/** A perfect match has no finite loss: it is shown as being over the ceiling. */
static void add_loss(fl_table *table, const double s[2])
{
    const double loss = fl_loss_db(s[0] * s[0] + s[1] * s[1]);
    if (loss >= FL_CEILING_DB)
        fl_table_add(table, "over 200");
    else
        add_number(table, 2, fabs(loss) < 0.005 ? 0.0 : loss);
}

/** The edges of the band are always among the lines, the others evenly between them. */
static void write_table(fl_text *text, const fl_result_case *row, const unit_scale *scale)
{
    const fl_scatter *response = &row->response;
    const fl_column columns[] = {{scale->title, FL_RIGHT, false},
                                 {"return loss die", FL_RIGHT, false},
                                 {"return loss board", FL_RIGHT, false},
                                 {"insertion loss", FL_RIGHT, false}};
    const size_t lines = response->count < LINES ? response->count : LINES;
    fl_table table;
    fl_table_init(&table, columns, sizeof columns / sizeof columns[0]);
    for (size_t line = 0; line < lines; line++) {
        const size_t i =
            lines < 2 ? 0 : (line * (response->count - 1) + (lines - 1) / 2) / (lines - 1);
        add_number(&table, 3, scale->factor * response->frequencies[i]);
        add_loss(&table, response->s11[i]);
        add_loss(&table, response->s22[i]);
        add_loss(&table, response->s21[i]);
    }
    fl_table_write(&table, text);
}

/** The case is named only if there are others. */
static void write_case(fl_text *text, const fl_result *result, size_t index, bool worst)
{
    const fl_result_case *row = &result->cases[index];
    const unit_scale scale = find_scale(result->band_high);
    char heading[FL_NAME_ROOM + 64] = "Response in dB", name[FL_NAME_ROOM];
    fl_shorten(name, row->name, 40);
    if (result->case_count > 1)
        snprintf(heading, sizeof heading, "Response in dB, case '%s'%s", name,
                 worst ? ", the worst" : "");
    fl_heading(text, heading);
    write_table(text, row, &scale);
}

/** The worst cases only: the rest is in the files. */
void fl_page_response(fl_text *text, const fl_result *result)
{
    fl_arena arena;
    fl_arena_init(&arena);
    const size_t *order = fl_page_case_order(&arena, result);
    if (!order)
        text->failed = true;
    size_t written = 0;
    for (size_t c = 0; order && c < result->case_count && written < CASES; c++)
        if (result->cases[order[c]].response.count > 0)
            write_case(text, result, order[c], written++ == 0);
    if (written > 0 && written < result->case_count)
        fl_text_print(text, "  The other cases are in response.csv.\n");
    fl_arena_release(&arena);
}
