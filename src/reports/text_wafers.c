/** Text report: how yields and good dice differ between the wafers and lots of a plan. */
#include <math.h>

#include "reports/pages.h"

/** A cell with a share; one that is not quite all is not shown as all. */
static void add_share(fl_table *table, double share)
{
    char word[FL_WORD_ROOM];
    fl_yield_text(word, share);
    fl_table_add(table, word);
}

/** A cell with a number of dice; means are rounded. */
static void add_dice(fl_table *table, double dice)
{
    char word[FL_WORD_ROOM];
    fl_count_text(word, (uint64_t)llround(dice));
    fl_table_add(table, word);
}

/** Wafers or lots: how many, and how their yields lie. Of a run interrupted early there may
 * be none of either. */
static void add_yields(fl_table *table, const char *name, const fl_spreading *of)
{
    const double shares[] = {of->mean,   of->sigma, of->least, of->low,
                             of->middle, of->high,  of->best};
    if (of->count == 0)
        return;
    fl_table_add(table, name);
    add_dice(table, (double)of->count);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
        add_share(table, shares[i]);
}

/** The same in dice, which is what is ordered. */
static void add_good(fl_table *table, const char *name, const fl_spreading *of)
{
    const double shares[] = {1.0, of->mean, of->least, of->low, of->middle, of->high, of->best};
    if (of->count == 0)
        return;
    fl_table_add(table, name);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
        add_dice(table, shares[i] * (double)of->dice);
}

/** Percentiles of few lots are their extremes; their number stands beside. Two tables, as one would
 * be too wide: yields for who designs, good dice for who orders. */
void fl_page_wafers(fl_text *text, const fl_result *result)
{
    static const fl_column YIELDS[] = {
        {"yield of", FL_LEFT, false}, {"drawn", FL_RIGHT, false}, {"mean", FL_RIGHT, false},
        {"sigma", FL_RIGHT, false},   {"least", FL_RIGHT, false}, {"5 %", FL_RIGHT, false},
        {"50 %", FL_RIGHT, false},    {"95 %", FL_RIGHT, false},  {"best", FL_RIGHT, false}};
    static const fl_column GOOD[] = {{"good dice of", FL_LEFT, false}, {"dice", FL_RIGHT, false},
                                     {"mean", FL_RIGHT, false},        {"least", FL_RIGHT, false},
                                     {"5 %", FL_RIGHT, false},         {"50 %", FL_RIGHT, false},
                                     {"95 %", FL_RIGHT, false},        {"best", FL_RIGHT, false}};
    fl_table table;
    if (result->wafers.count == 0)
        return;
    fl_heading(text, "From wafer to wafer and from lot to lot: this share of them has no more");
    fl_table_init(&table, YIELDS, sizeof YIELDS / sizeof *YIELDS);
    add_yields(&table, "a wafer", &result->wafers);
    add_yields(&table, "a lot", &result->lots);
    fl_table_write(&table, text);
    fl_text_add(text, "\n");
    fl_table_init(&table, GOOD, sizeof GOOD / sizeof *GOOD);
    add_good(&table, "a wafer", &result->wafers);
    add_good(&table, "a lot", &result->lots);
    fl_table_write(&table, text);
}
