/**
 * Text report: the verdict, in full sentences. It is what is quoted in a review, so it says by
 * how much and where, not just whether.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "reports/pages.h"

/* Bytes of a sentence with names at their longest, and columns of a name within one. */
enum { SENTENCE_ROOM = 1024, NAME_WIDTH = 40 };

/** The case and requirement with the smallest margin; NULL when there is none. */
static const fl_result_worst *find_worst(const fl_result *result, const char **case_name)
{
    const fl_result_worst *worst = NULL;
    for (size_t c = 0; c < result->case_count; c++) {
        const fl_result_case *row = &result->cases[c];
        if (row->worst_count == 0 || (worst && row->worst[0].margin_db >= worst->margin_db))
            continue;
        worst = &row->worst[0];
        *case_name = row->name;
    }
    return worst;
}

/** Where in the band, and in which case if there are several. */
static void print_place(char to[SENTENCE_ROOM], const fl_result *result,
                        const fl_result_worst *worst, const char *case_name)
{
    char frequency[FL_WORD_ROOM], name[FL_NAME_ROOM];
    fl_value_text(frequency, worst->frequency, FL_FREQUENCY, 6);
    fl_shorten(name, case_name, NAME_WIDTH);
    snprintf(to, SENTENCE_ROOM, "at %s%s%s%s", frequency, result->case_count > 1 ? ", case '" : "",
             result->case_count > 1 ? name : "", result->case_count > 1 ? "'" : "");
}

/** "the return loss at the board port". */
static const char *subject(const fl_result_worst *worst)
{
    if (worst->asked == FL_INSERTION_LOSS)
        return "the insertion loss";
    if (worst->asked == FL_REJECTION)
        return "the rejection";
    return worst->port == FL_PORT_DIE ? "the return loss at the die port"
                                      : "the return loss at the board port";
}

/** Requirements that are missed, counted in each case, and how many there are. */
static size_t count_missed(const fl_result *result, size_t *total)
{
    size_t missed = 0;
    *total = 0;
    for (size_t c = 0; c < result->case_count; c++)
        for (size_t i = 0; i < result->cases[c].worst_count; i++, ++*total)
            missed += !fl_margin_met(result->cases[c].worst[i].margin_db);
    return missed;
}

/** The one sentence that must be read: met or missed, by how much, and where. */
static void write_limits(fl_text *text, const fl_result *result)
{
    const char *case_name = "";
    const fl_result_worst *worst = find_worst(result, &case_name);
    char place[SENTENCE_ROOM], value[FL_WORD_ROOM], limit[FL_WORD_ROOM], margin[FL_WORD_ROOM];
    char sentence[3 * SENTENCE_ROOM];
    if (!worst)
        return;
    print_place(place, result, worst, case_name);
    fl_decibel_text(value, worst->value_db);
    fl_decibel_text(limit, worst->limit_db);
    fl_decibel_text(margin, result->met ? result->margin_db : -result->margin_db);
    const char *weighted = worst->weight == 1.0 ? "" : " (weighted)";
    const char *bound = worst->at_least ? "at least" : "at most";
    if (result->implied)
        snprintf(sentence, sizeof sentence,
                 "Nothing is required; the worst return loss at the board port is %s, %s.", value,
                 place);
    else if (result->met)
        snprintf(sentence, sizeof sentence,
                 "Met: every requirement holds, by %s%s or more. Closest is %s: %s %s, where %s %s "
                 "is required.",
                 margin, weighted, subject(worst), value, place, bound, limit);
    else
        snprintf(sentence, sizeof sentence, "Missed by %s%s: %s is %s %s, where %s %s is required.",
                 margin, weighted, subject(worst), value, place, bound, limit);
    fl_heading(text, sentence);
}

/** How widely it is missed: one case or all of them. */
static void write_missed(fl_text *text, const fl_result *result)
{
    size_t total = 0;
    const size_t missed = count_missed(result, &total);
    if (result->has_margin && !result->met && total > 1)
        fl_text_print(text, "Of %zu requirements, counted in each case, %zu %s missed.\n", total,
                      missed, missed == 1 ? "is" : "are");
}

/** "The design can be used: ..." of a check. */
static void write_check(fl_text *text, const fl_result *result)
{
    size_t sized = 0, spread = 0;
    char sentence[SENTENCE_ROOM];
    for (size_t i = 0; i < result->quantity_count; i++) {
        sized += result->quantities[i].sized;
        spread += result->quantities[i].sigma > 0.0;
    }
    snprintf(sentence, sizeof sentence,
             "The design can be used. Of %zu quantities %zu %s to be sized and %zu %s a spread.",
             result->quantity_count, sized, sized == 1 ? "is" : "are", spread,
             spread == 1 ? "carries" : "carry");
    fl_heading(text, sentence);
}

/** A mean yield buys no wafer: what a bad one of twenty is like. Lots are too few for the like. */
static void write_wafers(fl_text *text, const fl_result *result)
{
    char yield[FL_WORD_ROOM], good[FL_WORD_ROOM], dice[FL_WORD_ROOM];
    char sentence[SENTENCE_ROOM];
    const fl_spreading *wafers = &result->wafers;
    if (wafers->count == 0)
        return;
    fl_yield_text(yield, wafers->low);
    fl_count_text(good, (uint64_t)llround(wafers->low * (double)wafers->dice));
    fl_count_text(dice, wafers->dice);
    snprintf(sentence, sizeof sentence,
             "One wafer in twenty yields %s or less, %s good dice of %s.", yield, good, dice);
    fl_paragraph(text, 0, sentence);
}

/** Where hardly a part fails, so that a yield would say nothing: less than shows in percent. */
static bool hardly_fails(const fl_result *result)
{
    return result->sampling == FL_SAMPLING_IMPORTANCE && result->rare.failing < 1e-4 &&
           result->rare.high > 0.0;
}

static void write_failing(fl_text *text, const fl_result *result, const char *confidence)
{
    char sentence[SENTENCE_ROOM];
    const fl_rarity *rare = &result->rare;
    snprintf(sentence, sizeof sentence,
             "Of all parts %.2g fail, between %.2g and %.2g with %s confidence.", rare->failing,
             rare->low, rare->high, confidence);
    fl_paragraph(text, 0, sentence);
}

/** The yield belongs to the verdict: a nominal value that passes says little of production. */
static void write_yield(fl_text *text, const fl_result *result)
{
    char estimate[FL_WORD_ROOM], low[FL_WORD_ROOM], high[FL_WORD_ROOM], confidence[FL_WORD_ROOM];
    char sentence[SENTENCE_ROOM];
    if (!result->has_yield)
        return;
    fl_value_text(confidence, result->confidence, FL_PERCENT, 4);
    if (hardly_fails(result)) {
        write_failing(text, result, confidence);
        return;
    }
    fl_yield_text(estimate, result->estimate);
    fl_bound_text(low, result->low);
    fl_share_text(high, result->high, 2);
    snprintf(sentence, sizeof sentence, "Yield %s, between %s and %s with %s confidence.", estimate,
             low, high, confidence);
    fl_paragraph(text, 0, sentence);
    write_wafers(text, result);
}

/** Each part is a sentence or two, so that the verdict fits above the first table. */
void fl_page_verdict(fl_text *text, const fl_result *result)
{
    if (result->sections && strcmp(result->command, "model") != 0)
        write_check(text, result);
    if (result->has_margin) {
        write_limits(text, result);
        write_missed(text, result);
    }
    if (!result->has_margin && (result->interrupted || result->has_yield))
        fl_text_add(text, "\n");
    write_yield(text, result);
    if (result->interrupted)
        fl_paragraph(text, 0,
                     result->has_sizing ? "Interrupted: the values are the best found so far."
                                        : "Interrupted: only what was finished is shown.");
}
