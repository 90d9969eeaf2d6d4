/**
 * Text report: sized values, and all quantities with their spreads. Values are shown in units of
 * the trade, with five digits at most.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "reports/pages.h"

/* Digits of a chosen value, and of what stands beside it. */
enum { VALUE_DIGITS = 5, DIGITS = 4, SIGMA_DIGITS = 3 };

/** A cell with a value and its unit; "-" if it is not known. */
static void add_value(fl_table *table, double value, fl_dimension dimension, int digits)
{
    char word[FL_WORD_ROOM];
    fl_value_text(word, value, dimension, digits);
    fl_table_add(table, word);
}

/** In words: a value at its bound asks the reader whether the bound must be. */
static const char *bound_words(fl_bound bound)
{
    return bound == FL_BOUND_LOW    ? "at its lower bound"
           : bound == FL_BOUND_HIGH ? "at its upper bound"
                                    : "";
}

/** One chosen value between its bounds. */
static void add_sized(fl_table *table, const fl_result_sized_value *row)
{
    fl_table_add(table, fl_owned_name(&table->arena, row->name, row->case_name));
    add_value(table, row->value, row->dimension, VALUE_DIGITS);
    add_value(table, row->low, row->dimension, DIGITS);
    add_value(table, row->high, row->dimension, DIGITS);
    add_value(table, row->grid > 0.0 ? row->grid : (double)NAN, row->dimension, DIGITS);
    fl_table_add(table, bound_words(row->bound));
}

/** Whether any value had to be placed on a grid. */
static bool has_grid(const fl_result *result)
{
    for (size_t i = 0; i < result->sized_count; i++)
        if (result->sized[i].grid > 0.0)
            return true;
    return false;
}

/** What the process's steps cost, so that nobody pays for finer ones in vain. */
static void write_grid_cost(fl_text *text, const fl_result *result)
{
    char free_margin[FL_WORD_ROOM];
    char lost[FL_WORD_ROOM];
    if (!has_grid(result) || !isfinite(result->free_margin_db) || !isfinite(result->margin_db))
        return;
    const double loss = result->free_margin_db - result->margin_db;
    fl_decibel_text(free_margin, result->free_margin_db);
    fl_decibel_text(lost, loss);
    if (loss < 0.005)
        fl_text_add(text, "  The grids cost nothing that counts (under 0.01 dB).\n");
    else
        fl_text_print(text, "  The grids cost %s of margin: %s without them.\n", lost, free_margin);
}

/** Nothing to size is said in words: an empty table would look like a fault. */
void fl_page_sized(fl_text *text, const fl_result *result)
{
    static const fl_column COLUMNS[] = {{"quantity", FL_LEFT, true}, {"chosen", FL_RIGHT, false},
                                        {"lowest", FL_RIGHT, false}, {"highest", FL_RIGHT, false},
                                        {"grid", FL_RIGHT, false},   {"", FL_LEFT, false}};
    fl_table table;
    if (!result->has_sizing)
        return;
    if (result->sized_count == 0) {
        fl_heading(text, "Nothing to size: no value of the design has a \"size\". The rest is at "
                         "the present values.");
        return;
    }
    fl_heading(text, "Sized values");
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < result->sized_count; i++)
        add_sized(&table, &result->sized[i]);
    fl_table_write(&table, text);
    write_grid_cost(text, result);
}

/** One quantity at its present value. */
static void add_quantity(fl_table *table, const fl_result_quantity *row)
{
    fl_table_add(table, row->name);
    add_value(table, row->value, row->dimension, VALUE_DIGITS);
    add_value(table, row->sized ? row->low : (double)NAN, row->dimension, DIGITS);
    add_value(table, row->sized ? row->high : (double)NAN, row->dimension, DIGITS);
    add_value(table, row->sigma > 0.0 ? row->sigma : (double)NAN, row->dimension, SIGMA_DIGITS);
    fl_table_add(table, row->levels);
}

/** Writes the quantities of one case, or with NULL those of all cases. */
static void write_quantities(fl_text *text, const fl_result *result, const char *case_name)
{
    static const fl_column COLUMNS[] = {{"quantity", FL_LEFT, true}, {"present", FL_RIGHT, false},
                                        {"lowest", FL_RIGHT, false}, {"highest", FL_RIGHT, false},
                                        {"sigma", FL_RIGHT, false},  {"varies by", FL_LEFT, true}};
    char heading[FL_NAME_ROOM + 32] = "Quantities", name[FL_NAME_ROOM];
    fl_table table;
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < result->quantity_count; i++) {
        const fl_result_quantity *row = &result->quantities[i];
        if (!row->case_name == !case_name && (!case_name || strcmp(case_name, row->case_name) == 0))
            add_quantity(&table, row);
    }
    fl_shorten(name, case_name ? case_name : "", 40);
    if (case_name)
        snprintf(heading, sizeof heading, "Quantities of case '%s'", name);
    if (table.cell_count > 0)
        fl_heading(text, heading);
    fl_table_write(&table, text);
}

/** Those of all cases first, then those that a case has for itself. */
void fl_page_quantities(fl_text *text, const fl_result *result)
{
    if (result->quantity_count == 0)
        return;
    write_quantities(text, result, NULL);
    for (size_t c = 0; c < result->case_count; c++)
        write_quantities(text, result, result->cases[c].name);
}
