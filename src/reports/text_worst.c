/** Text report: each requirement of each case where it is worst, the case that decides first. */
#include <math.h>
#include <stdio.h>

#include "reports/pages.h"

/** By insertion: there are few cases, and equal ones must stay in the design's order. */
size_t *fl_page_case_order(fl_arena *arena, const fl_result *result)
{
    size_t *order = fl_arena_take(arena, result->case_count, sizeof *order);
    for (size_t c = 0; order && c < result->case_count; c++) {
        const fl_result_case *row = &result->cases[c];
        size_t i = c;
        for (; i > 0 && row->worst_count > 0; i--) {
            const fl_result_case *before = &result->cases[order[i - 1]];
            if (before->worst_count > 0 && before->worst[0].margin_db <= row->worst[0].margin_db)
                break;
            order[i] = order[i - 1];
        }
        order[i] = c;
    }
    return order;
}

/* Some tables are of the worst return loss, or of the margin where none is asked. */
bool fl_page_asks_return_loss(const fl_result *result)
{
    for (size_t c = 0; c < result->case_count; c++)
        for (size_t i = 0; i < result->cases[c].worst_count; i++)
            if (result->cases[c].worst[i].asked == FL_RETURN_LOSS)
                return true;
    return false;
}

/* What a table leaves out is said, so that no one takes its rows for all. */
void fl_page_more(fl_text *text, size_t total)
{
    if (total > FL_PAGE_ROWS)
        fl_text_print(text, "  ... and %zu more\n", total - FL_PAGE_ROWS);
}

/** Which columns there are besides those of every table. */
typedef struct extra_columns {
    bool cases, bands;
} extra_columns;

/* Columns that are alike in every row are left out. Cases have the same requirements, so that the
 * first case tells for all. */
static extra_columns find_shown(const fl_result *result)
{
    extra_columns shown = {.cases = result->case_count > 1};
    const fl_result_case *row = &result->cases[0];
    for (size_t i = 0; i < row->worst_count; i++)
        if (row->worst[i].band_low != result->band_low ||
            row->worst[i].band_high != result->band_high)
            shown.bands = true;
    return shown;
}

/** Whether margins are weighted, which their title must say then. */
static bool is_weighted(const fl_result *result)
{
    for (size_t i = 0; i < result->cases[0].worst_count; i++)
        if (result->cases[0].worst[i].weight != 1.0)
            return true;
    return false;
}

/** A limit with its sense, such as ">= 15 dB". */
static void add_limit(fl_table *table, const char *sign, double value)
{
    char number[FL_WORD_ROOM], word[FL_WORD_ROOM + 8];
    fl_value_text(number, value, FL_DECIBEL, 5);
    snprintf(word, sizeof word, "%s%s", sign, number);
    fl_table_add(table, word);
}

/** One requirement of one case; the cells follow the columns of make_columns. */
static void add_row(fl_table *table, const fl_result_worst *worst, const char *case_name,
                    const extra_columns *shown)
{
    char word[FL_WORD_ROOM], high[FL_WORD_ROOM];
    if (shown->cases)
        fl_table_add(table, case_name);
    fl_table_add(table, fl_asked_text(worst->asked, worst->port));
    if (shown->bands) {
        fl_value_text(word, worst->band_low, FL_FREQUENCY, 4);
        fl_value_text(high, worst->band_high, FL_FREQUENCY, 4);
        fl_table_add(table, fl_arena_print(&table->arena, "%s to %s", word, high));
    }
    if (worst->has_limit)
        add_limit(table, worst->at_least ? ">= " : "<= ", worst->limit_db);
    else
        fl_table_add(table, "-");
    fl_decibel_text(word, worst->value_db);
    fl_table_add(table, word);
    fl_value_text(word, worst->frequency, FL_FREQUENCY, 5);
    fl_table_add(table, word);
    fl_decibel_text(word, worst->has_limit ? worst->margin_db : (double)NAN);
    fl_table_add(table, word);
}

/** Names and bands may be cut, numbers never. */
static size_t make_columns(fl_column columns[FL_TABLE_COLUMNS], const fl_result *result,
                           const extra_columns *shown)
{
    size_t count = 0;
    if (shown->cases)
        columns[count++] = (fl_column){"case", FL_LEFT, true};
    columns[count++] = (fl_column){"requirement", FL_LEFT, false};
    if (shown->bands)
        columns[count++] = (fl_column){"band", FL_LEFT, true};
    columns[count++] = (fl_column){"asked", FL_RIGHT, false};
    columns[count++] = (fl_column){"worst", FL_RIGHT, false};
    columns[count++] = (fl_column){"at", FL_RIGHT, false};
    columns[count++] = (fl_column){is_weighted(result) ? "weighted" : "margin", FL_RIGHT, false};
    return count;
}

/** The case that decides stands first. */
void fl_page_worst(fl_text *text, const fl_result *result)
{
    fl_column columns[FL_TABLE_COLUMNS];
    fl_table table;
    size_t rows = 0;
    if (!result->has_margin || result->case_count == 0)
        return;
    const extra_columns shown = find_shown(result);
    fl_table_init(&table, columns, make_columns(columns, result, &shown));
    const size_t *order = fl_page_case_order(&table.arena, result);
    table.failed = !order;
    for (size_t c = 0; order && c < result->case_count; c++) {
        const fl_result_case *row = &result->cases[order[c]];
        for (size_t i = 0; i < row->worst_count; i++)
            if (rows++ < FL_PAGE_ROWS)
                add_row(&table, &row->worst[i], row->name, &shown);
    }
    fl_heading(text, "Requirements where they are worst");
    fl_table_write(&table, text);
    fl_page_more(text, rows);
}
