/**
 * Text report: yield, its percentiles, what fails, and which values shift. Shares are never
 * rounded up to certainty.
 */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include "reports/pages.h"

/* Shifts beyond these are small, as the largest come first. */
enum { SHIFT_ROWS = 10 };

/* Bytes of a sentence. */
enum { SENTENCE_ROOM = 256 };

/** A cell with a count, thousands apart. */
static void add_count(fl_table *table, uint64_t count)
{
    char word[FL_WORD_ROOM];
    fl_count_text(word, count);
    fl_table_add(table, word);
}

/** A share so small that its zeros matter: "3.17e-05". */
static void add_small(fl_table *table, double share)
{
    fl_table_add(table, isfinite(share) ? fl_arena_print(&table->arena, "%.3g", share)
                                        : (const char *)"-");
}

/* A row of the table of yields; without a name where there is one case only, with the share that
 * fails where there is no count. shares are estimate, low and high. */
static void add_yield_row(fl_table *table, const char *name, const uint64_t *passed,
                          const double shares[3])
{
    char word[FL_WORD_ROOM];
    if (name)
        fl_table_add(table, name);
    if (passed)
        add_count(table, *passed);
    else
        add_small(table, 1.0 - shares[0]);
    fl_yield_text(word, shares[0]);
    fl_table_add(table, word);
    fl_bound_text(word, shares[1]);
    fl_table_add(table, word);
    fl_share_text(word, shares[2], 2);
    fl_table_add(table, word);
}

/** Each case by itself, then all together: a part must do in every package. */
static void write_shares(fl_text *text, const fl_result *result)
{
    const bool cases = result->case_count > 1;
    const bool counted = result->basis != FL_BASIS_WEIGHTS; /* weights count differently */
    const fl_column COLUMNS[] = {{"case", FL_LEFT, true},
                                 {counted ? "passed" : "fails", FL_RIGHT, false},
                                 {"yield", FL_RIGHT, false},
                                 {"from", FL_RIGHT, false},
                                 {"to", FL_RIGHT, false}};
    fl_table table;
    fl_table_init(&table, COLUMNS + (cases ? 0 : 1),
                  sizeof COLUMNS / sizeof COLUMNS[0] - (cases ? 0 : 1));
    for (size_t i = 0; cases && i < result->case_count && i < FL_PAGE_ROWS; i++) {
        const fl_result_case *row = &result->cases[i];
        add_yield_row(&table, row->name, counted ? &row->passed : NULL,
                      (double[]){row->yield, row->yield_low, row->yield_high});
    }
    add_yield_row(&table, cases ? "every case together" : NULL, counted ? &result->passed : NULL,
                  (double[]){result->estimate, result->low, result->high});
    fl_table_write(&table, text);
    if (cases)
        fl_page_more(text, result->case_count);
}

/** One row, a column a percentile: read as the spread of what will be measured. */
static void write_percentiles(fl_text *text, const fl_result *result)
{
    enum { MOST = FL_TABLE_COLUMNS };
    fl_column columns[MOST] = {{0}};
    fl_table table;
    const size_t count = result->percentile_count < MOST ? result->percentile_count : MOST;
    if (count == 0)
        return;
    fl_table_init(&table, columns, count);
    for (size_t i = 0; i < count; i++) {
        const fl_percentile *percentile = &result->percentiles[i];
        char word[FL_WORD_ROOM];
        fl_share_text(word, 0.01 * percentile->percent, 0);
        const char *title = fl_arena_print(&table.arena, "%s", word);
        table.failed = table.failed || !title;
        columns[i] = (fl_column){title, FL_RIGHT, false};
        fl_decibel_text(word, percentile->return_loss_db);
        fl_table_add(&table, word);
    }
    fl_heading(text, "Worst return loss: this share of parts has less");
    fl_table_write(&table, text);
}

/** Where in the band it fails tells which way the values have moved. */
static void write_failures(fl_text *text, const fl_result *result)
{
    static const fl_column COLUMNS[] = {
        {"case", FL_LEFT, true},      {"requirement", FL_LEFT, false},
        {"samples", FL_RIGHT, false}, {"low in band", FL_RIGHT, false},
        {"middle", FL_RIGHT, false},  {"high", FL_RIGHT, false}};
    const bool cases = result->case_count > 1;
    fl_table table;
    if (result->failure_count == 0)
        return;
    fl_heading(text, "What fails, most frequent first, and where in its band it is worst");
    fl_table_init(&table, COLUMNS + (cases ? 0 : 1),
                  sizeof COLUMNS / sizeof COLUMNS[0] - (cases ? 0 : 1));
    for (size_t i = 0; i < result->failure_count && i < FL_PAGE_ROWS; i++) {
        const fl_result_failure *row = &result->failures[i];
        if (cases)
            fl_table_add(&table, row->case_name);
        fl_table_add(&table, fl_asked_text(row->asked, row->port));
        add_count(&table, row->count);
        for (size_t t = 0; t < FL_BAND_THIRDS; t++)
            add_count(&table, row->third[t]);
    }
    fl_table_write(&table, text);
    fl_page_more(text, result->failure_count);
}

/** What shifts are sorted by; those that are not known come last. */
static double weight_of(const fl_result_shift *row)
{
    return isfinite(row->shift.sigmas) ? fabs(row->shift.sigmas) : -1.0;
}

/** Indices of the shifts, the largest first, equal ones in order. */
static size_t *order_shifts(fl_arena *arena, const fl_result *result)
{
    size_t *order = fl_arena_take(arena, result->shift_count, sizeof *order);
    for (size_t s = 0; order && s < result->shift_count; s++) {
        size_t i = s;
        for (; i > 0 && weight_of(&result->shifts[order[i - 1]]) < weight_of(&result->shifts[s]);
             i--)
            order[i] = order[i - 1];
        order[i] = s;
    }
    return order;
}

/** Means of one value in parts that pass and that fail. */
static void add_shift(fl_table *table, const fl_result_shift *row)
{
    char word[FL_WORD_ROOM];
    fl_table_add(table, fl_owned_name(&table->arena, row->name, row->case_name));
    fl_value_text(word, row->shift.passing, row->dimension, 4);
    fl_table_add(table, word);
    fl_value_text(word, row->shift.failing, row->dimension, 4);
    fl_table_add(table, word);
    if (isfinite(row->shift.sigmas))
        fl_table_add(table, fl_arena_print(&table->arena, "%+.2f", row->shift.sigmas));
    else
        fl_table_add(table, "-");
    fl_share_text(word, row->shift.share, 1);
    fl_table_add(table, word);
}

/** Needs both parts that pass and parts that fail. */
static void write_shifts(fl_text *text, const fl_result *result)
{
    static const fl_column COLUMNS[] = {{"quantity", FL_LEFT, true},
                                        {"passing parts", FL_RIGHT, false},
                                        {"failing parts", FL_RIGHT, false},
                                        {"shift in sigma", FL_RIGHT, false},
                                        {"variance", FL_RIGHT, false}};
    fl_table table;
    if (result->shift_count == 0 || result->passed == 0 || result->passed == result->samples)
        return;
    fl_heading(text, "Mean values of parts that pass and that fail; share of the variance");
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    const size_t *order = order_shifts(&table.arena, result);
    table.failed = !order;
    for (size_t i = 0; order && i < result->shift_count && i < SHIFT_ROWS; i++)
        add_shift(&table, &result->shifts[order[i]]);
    fl_table_write(&table, text);
}

/** Samples and seed are printed, so that the figures can be had again. */
static void write_title(fl_text *text, const fl_result *result)
{
    const bool random = result->sampling == FL_SAMPLING_RANDOM;
    const char *sampling = random ? "" : fl_sampling_name(result->sampling);
    char samples[FL_WORD_ROOM], confidence[FL_WORD_ROOM];
    fl_count_text(samples, result->samples);
    fl_value_text(confidence, result->confidence, FL_PERCENT, 4);
    fl_text_print(text,
                  "\nYield of %s%s%s samples, seed %" PRIu64 ", with %s confidence intervals\n",
                  samples, random ? "" : " ", sampling, result->seed, confidence);
}

/** "20 lots of 25 wafers of 2 000 dice", as many as were begun. */
static void write_plan(fl_text *text, const fl_result *result)
{
    char lots[FL_WORD_ROOM], wafers[FL_WORD_ROOM], dice[FL_WORD_ROOM];
    const uint64_t each = fl_plan_dice(&result->plan);
    if (each == 0)
        return;
    const uint64_t count = (result->samples + each - 1) / each;
    fl_count_text(lots, count);
    fl_count_text(wafers, result->plan.wafers);
    fl_count_text(dice, result->plan.dice);
    fl_text_print(text, "  %s lot%s of %s wafer%s of %s dice\n", lots, count == 1 ? "" : "s",
                  wafers, result->plan.wafers == 1 ? "" : "s", dice);
}

/** Whether the interval is as narrow as was asked, or what it lacks. */
static void write_stopping(fl_text *text, const fl_result *result)
{
    const fl_stopping *stopping = &result->stopping;
    char half[FL_WORD_ROOM], asked[FL_WORD_ROOM];
    if (stopping->precision <= 0.0)
        return;
    fl_value_text(half, 0.5 * (result->high - result->low), FL_PERCENT, 3);
    fl_value_text(asked, stopping->precision, FL_PERCENT, 4);
    if (stopping->reached)
        fl_text_print(text, "  Half-width %s where %s was asked for; look %zu of at most %zu.\n",
                      half, asked, stopping->looks, stopping->most_looks);
    else
        fl_text_print(text, "  Half-width %s, not the %s asked for: it takes more samples.\n", half,
                      asked);
}

/** What evener points have gained. */
static void write_replicates(fl_text *text, const fl_result *result)
{
    char count[FL_WORD_ROOM], sentence[SENTENCE_ROOM];
    if (result->effective < 1.0)
        return;
    fl_count_text(count, (uint64_t)fmin(result->effective, 1e18));
    snprintf(
        sentence, sizeof sentence,
        "The intervals come from how much %d replicates differ, and are as wide as those of %s "
        "random samples.",
        FL_REPLICATES, count);
    fl_paragraph(text, 2, sentence);
}

/** What weighted samples tell. Their count of passes is no share, so that there is none. */
static void write_rare(fl_text *text, const fl_result *result)
{
    static const fl_column COLUMNS[] = {{"share that fails", FL_RIGHT, false},
                                        {"from", FL_RIGHT, false},
                                        {"to", FL_RIGHT, false},
                                        {"error", FL_RIGHT, false},
                                        {"failed samples", FL_RIGHT, false},
                                        {"of equal weight", FL_RIGHT, false}};
    const fl_rarity *rare = &result->rare;
    fl_table table;
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    add_small(&table, rare->failing);
    add_small(&table, rare->low);
    add_small(&table, rare->high);
    add_small(&table, rare->error);
    add_count(&table, rare->failed);
    add_count(&table, (uint64_t)rare->effective);
    fl_table_write(&table, text);
}

/** Where failure is nearest, and so what fails first. */
static void write_points(fl_text *text, const fl_result *result)
{
    static const fl_column COLUMNS[] = {
        {"case", FL_LEFT, true}, {"requirement", FL_LEFT, false}, {"sigmas", FL_RIGHT, false}};
    const bool cases = result->case_count > 1;
    fl_table table;
    if (result->rare.point_count == 0) {
        fl_paragraph(text, 2,
                     "No place to fail was found about nominal values that pass: these are random "
                     "samples.");
        return;
    }
    fl_heading(text, "Where failure is nearest: sigmas of all draws together");
    fl_table_init(&table, COLUMNS + (cases ? 0 : 1),
                  sizeof COLUMNS / sizeof COLUMNS[0] - (cases ? 0 : 1));
    for (size_t i = 0; i < result->rare.point_count && i < FL_PAGE_ROWS; i++) {
        const fl_result_failure *row = &result->failure_points[i];
        if (cases)
            fl_table_add(&table, row->case_name);
        fl_table_add(&table, fl_asked_text(row->asked, row->port));
        fl_table_add(&table, fl_arena_print(&table.arena, "%.2f", result->rare.points[i].sigmas));
    }
    fl_table_write(&table, text);
    fl_page_more(text, result->rare.point_count);
}

/** Where intervals do not come from single samples, and how much wider that makes them. */
static void write_basis(fl_text *text, const fl_result *result)
{
    char count[FL_WORD_ROOM], sentence[SENTENCE_ROOM];
    const bool lots = result->basis == FL_BASIS_LOTS;
    if (result->basis == FL_BASIS_SAMPLES || result->basis == FL_BASIS_WEIGHTS)
        return;
    if (result->basis == FL_BASIS_REPLICATES) {
        write_replicates(text, result);
        return;
    }
    fl_count_text(count, (uint64_t)result->effective);
    snprintf(sentence, sizeof sentence,
             "Dice of a %s are not independent: the intervals come from how much the %s differ, "
             "and are as wide as those of %s dice made one by one.",
             lots ? "lot" : "wafer", lots ? "lots" : "wafers", count);
    if (result->effective < 1.0)
        snprintf(sentence, sizeof sentence,
                 "Dice of a %s are not independent, and one %s says nothing of the next: there is "
                 "no interval.",
                 lots ? "lot" : "wafer", lots ? "lot" : "wafer");
    fl_paragraph(text, 2, sentence);
}

/** Yields first, then how they differ, then why parts fail. */
void fl_page_yield(fl_text *text, const fl_result *result)
{
    char count[FL_WORD_ROOM];
    if (!result->has_yield)
        return;
    write_title(text, result);
    write_plan(text, result);
    write_shares(text, result);
    write_stopping(text, result);
    write_basis(text, result);
    if (result->sampling == FL_SAMPLING_IMPORTANCE) {
        write_rare(text, result);
        write_points(text, result);
    }
    if (result->not_physical > 0) {
        fl_count_text(count, result->not_physical);
        fl_text_print(text, "  %s sample%s a value that cannot be; counted as failed.\n", count,
                      result->not_physical == 1 ? " has" : "s have");
    }
    fl_page_wafers(text, result);
    write_percentiles(text, result);
    write_failures(text, result);
    write_shifts(text, result);
}
