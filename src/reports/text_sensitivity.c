/**
 * Text report: what a change of each quantity does, in dB of the worst return loss. Both
 * directions of one sigma are computed apart, as the worst frequency may switch between them.
 */
#include <math.h>
#include <stdio.h>

#include "reports/pages.h"

/* Changes are shown to this; smaller differences are none. */
static const double LEAST_DB = 0.0005;

/** Which columns there are besides those of every table. */
typedef struct extra_columns {
    bool down;   /* one percent less is not the mirror of one percent more */
    bool spread; /* something varies */
} extra_columns;

/** Columns that would say nothing are left out, as names need the room. */
static extra_columns find_shown(const fl_result *result)
{
    extra_columns shown = {false, false};
    for (size_t i = 0; i < result->sensitivity_count && i < FL_PAGE_ROWS; i++) {
        const fl_slope *slope = &result->sensitivity[i].slope;
        shown.down = shown.down || fabs(slope->percent_up + slope->percent_down) > LEAST_DB;
        shown.spread = shown.spread || slope->sigma > 0.0;
    }
    return shown;
}

/** Without a spread there is room for the nominal value. */
static size_t make_columns(fl_column columns[FL_TABLE_COLUMNS], const extra_columns *shown)
{
    static const fl_column SPREAD[] = {{"sigma", FL_RIGHT, false},
                                       {"+sigma", FL_RIGHT, false},
                                       {"-sigma", FL_RIGHT, false},
                                       {"share", FL_RIGHT, false}};
    size_t count = 0;
    columns[count++] = (fl_column){"quantity", FL_LEFT, true};
    if (!shown->spread)
        columns[count++] = (fl_column){"nominal", FL_RIGHT, false};
    columns[count++] = (fl_column){"+1 %", FL_RIGHT, false};
    if (shown->down)
        columns[count++] = (fl_column){"-1 %", FL_RIGHT, false};
    for (size_t i = 0; shown->spread && i < sizeof SPREAD / sizeof SPREAD[0]; i++)
        columns[count++] = SPREAD[i];
    return count;
}

/** A cell with a change in dB. */
static void add_change(fl_table *table, double change)
{
    char word[FL_WORD_ROOM];
    fl_change_text(word, change);
    fl_table_add(table, word);
}

/** One quantity; the cells follow the columns of make_columns. */
static void add_row(fl_table *table, const fl_result_sensitivity *row, const extra_columns *shown)
{
    const fl_slope *slope = &row->slope;
    char word[FL_WORD_ROOM];
    fl_table_add(table, fl_owned_name(&table->arena, row->name, row->case_name));
    fl_value_text(word, slope->nominal, row->dimension, 4);
    if (!shown->spread)
        fl_table_add(table, word);
    add_change(table, slope->percent_up);
    if (shown->down)
        add_change(table, slope->percent_down);
    if (!shown->spread)
        return;
    fl_value_text(word, slope->sigma > 0.0 ? slope->sigma : (double)NAN, row->dimension, 3);
    fl_table_add(table, word);
    add_change(table, slope->sigma_up);
    add_change(table, slope->sigma_down);
    fl_share_text(word, slope->share, 1);
    fl_table_add(table, word);
}

/** Says what the changes are of, and what a column that was left out would have shown. */
static void write_heading(fl_text *text, const fl_result *result, const extra_columns *shown)
{
    char heading[256], base[FL_WORD_ROOM];
    fl_decibel_text(base, result->sensitivity_base_db);
    snprintf(heading, sizeof heading,
             "Sensitivity: change in dB of the %s (%s), plus is better%s%s",
             fl_page_asks_return_loss(result) ? "worst return loss" : "smallest margin", base,
             shown->down ? "" : "; one percent less is the mirror of one percent more",
             shown->spread ? "; share of the variance" : "");
    fl_heading(text, heading);
}

/** The study has put the largest effect first; the rest of a long list is noise. */
void fl_page_sensitivity(fl_text *text, const fl_result *result)
{
    fl_column columns[FL_TABLE_COLUMNS];
    fl_table table;
    if (!result->has_sensitivity)
        return;
    if (result->sensitivity_count == 0) {
        fl_heading(text, "Sensitivity: no quantity is sized or carries a spread.");
        return;
    }
    const extra_columns shown = find_shown(result);
    write_heading(text, result, &shown);
    fl_table_init(&table, columns, make_columns(columns, &shown));
    for (size_t i = 0; i < result->sensitivity_count && i < FL_PAGE_ROWS; i++)
        add_row(&table, &result->sensitivity[i], &shown);
    fl_table_write(&table, text);
    fl_page_more(text, result->sensitivity_count);
}
