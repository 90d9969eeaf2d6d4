/**
 * Response, kept samples and wafers as comma-separated values: RFC 4180, but lines end in a line
 * feed. Numbers read back the same; a value that is not known is an empty field.
 */
#include <inttypes.h>
#include <math.h>
#include <string.h>

#include "reports/reports.h"

/** Adds a field, quoted when it holds a comma, a quote or a line end. */
static void add_field(fl_text *text, const char *field)
{
    if (!strpbrk(field, ",\"\r\n")) {
        fl_text_add(text, field);
        return;
    }
    fl_text_add(text, "\"");
    for (const char *c = field; *c; c++) {
        if (*c == '"')
            fl_text_add(text, "\"");
        fl_text_add_bytes(text, c, 1);
    }
    fl_text_add(text, "\"");
}

/** Adds a comma and a number; nothing behind the comma if it is not known. */
static void add_number(fl_text *text, double number)
{
    char digits[FL_NUMBER_ROOM] = "";
    if (isfinite(number))
        fl_number_text(digits, number);
    fl_text_add(text, ",");
    fl_text_add(text, digits);
}

/** Loss of a wave, dB, under the same ceiling as everywhere. */
static double loss_db(const double s[2])
{
    return fl_loss_db(s[0] * s[0] + s[1] * s[1]);
}

/** One frequency of one case: the parameters as real and imaginary parts, then the losses that
 * people plot. */
static void add_response_line(fl_text *text, const fl_result_case *row, size_t i)
{
    const fl_scatter *r = &row->response;
    const double *const parameters[] = {r->s11[i], r->s21[i], r->s12[i], r->s22[i]};
    add_field(text, row->name);
    add_number(text, r->frequencies[i]);
    for (size_t p = 0; p < sizeof parameters / sizeof parameters[0]; p++) {
        add_number(text, parameters[p][0]);
        add_number(text, parameters[p][1]);
    }
    add_number(text, loss_db(r->s11[i]));
    add_number(text, loss_db(r->s22[i]));
    add_number(text, loss_db(r->s21[i]));
    fl_text_add(text, "\n");
}

/** The columns have names with units: a spreadsheet shows nothing else. */
fl_status fl_report_csv(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, "case,frequency Hz,s11 real,s11 imaginary,s21 real,s21 imaginary,"
                       "s12 real,s12 imaginary,s22 real,s22 imaginary,"
                       "return loss die dB,return loss board dB,insertion loss dB\n");
    for (size_t c = 0; c < result->case_count; c++)
        for (size_t i = 0; i < result->cases[c].response.count; i++)
            add_response_line(&text, &result->cases[c], i);
    return fl_report_take(report, &text, error);
}

/** Wafers in the order they were drawn, lots and wafers counted from 1. */
fl_status fl_report_wafers(fl_report *report, const fl_result *result, fl_error *error)
{
    const fl_plan *plan = &result->plan;
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, "lot,wafer,dice,passed,yield\n");
    for (uint64_t i = 0; i < result->wafers.count; i++) {
        const uint64_t passed = result->wafer_passed[i];
        fl_text_print(&text, "%" PRIu64 ",%" PRIu64 ",%" PRIu64 ",%" PRIu64, i / plan->wafers + 1,
                      i % plan->wafers + 1, plan->dice, passed);
        add_number(&text, (double)passed / (double)plan->dice);
        fl_text_add(&text, "\n");
    }
    return fl_report_take(report, &text, error);
}

/** A column title for each case. It is made apart, as the name in it may need quotes. */
static void add_case_titles(fl_text *text, const fl_result *result, const char *what)
{
    for (size_t c = 0; c < result->case_count; c++) {
        fl_text title;
        fl_text_init(&title);
        fl_text_print(&title, "%s dB, %s", what, result->cases[c].name);
        fl_text_add(text, ",");
        if (fl_text_failed(&title))
            text->failed = true;
        else
            add_field(text, title.bytes);
        fl_text_release(&title);
    }
}

/** One kept sample; pass or fail is 1 or 0, so that a column's mean is the yield. */
static void add_sample_line(fl_text *text, const fl_result *result, size_t i)
{
    fl_text_print(text, "%zu,%d", i, result->kept_passed[i] ? 1 : 0);
    for (size_t q = 0; q < result->kept_columns; q++)
        add_number(text, result->kept[i * result->kept_columns + q]);
    for (size_t c = 0; c < result->case_count; c++)
        add_number(text, result->kept_return_loss_db[i * result->case_count + c]);
    for (size_t c = 0; c < result->case_count; c++)
        add_number(text, result->kept_margin_db[i * result->case_count + c]);
    fl_text_add(text, "\n");
}

/** Columns: the values drawn, then worst return loss and margin of each case. */
fl_status fl_report_samples(fl_report *report, const fl_result *result, fl_error *error)
{
    fl_text text;
    fl_text_init(&text);
    fl_text_add(&text, "sample,passed");
    for (size_t q = 0; q < result->kept_columns; q++) {
        fl_text_add(&text, ",");
        add_field(&text, result->kept_names[q]);
    }
    add_case_titles(&text, result, "worst return loss");
    add_case_titles(&text, result, "margin");
    fl_text_add(&text, "\n");
    for (size_t i = 0; i < result->kept_count; i++)
        add_sample_line(&text, result, i);
    return fl_report_take(report, &text, error);
}
