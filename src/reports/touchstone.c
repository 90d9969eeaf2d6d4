/* The response of one case as a Touchstone 2.0 file. */
#include <math.h>

#include "base/complex.h"
#include "base/text.h"
#include "reports/reports.h"

/* Reference of both ports where their own impedances cannot stand in the file, ohm. */
static const double common_reference = 50.0;

/** S-parameters at one frequency. */
typedef struct scatter {
    fl_complex s[2][2]; /* [row][column] */
} scatter;

/* The parameters of one frequency as a matrix. */
static scatter scatter_at(const fl_scatter *response, size_t k)
{
    return (scatter){
        {{{response->s11[k][0], response->s11[k][1]}, {response->s12[k][0], response->s12[k][1]}},
         {{response->s21[k][0], response->s21[k][1]}, {response->s22[k][0], response->s22[k][1]}}}};
}

static fl_complex determinant(const scatter *m)
{
    return fl_subtract(fl_multiply(m->s[0][0], m->s[1][1]), fl_multiply(m->s[0][1], m->s[1][0]));
}

/* x such that x right = left, by Cramer's rule. A singular right has no finite x, which is seen
 * when a line is added. */
static scatter divide_right(const scatter *left, const scatter *right)
{
    const fl_complex whole = determinant(right);
    scatter x;
    for (int i = 0; i < 2; ++i) {
        const fl_complex *row = left->s[i];
        x.s[i][0] = fl_divide(
            fl_subtract(fl_multiply(row[0], right->s[1][1]), fl_multiply(row[1], right->s[1][0])),
            whole);
        x.s[i][1] = fl_divide(
            fl_subtract(fl_multiply(row[1], right->s[0][0]), fl_multiply(row[0], right->s[0][1])),
            whole);
    }
    return x;
}

/**
 * Power waves at port impedances z to waves at a common real reference r.
 *
 * With V = (z* a + z b) / sqrt(Re z) and I = (a - b) / sqrt(Re z) [Kurokawa1965], the waves of
 * the reference are, but for a factor common to both sides of one port,
 * a' = (z* + r) a + (z - r) b and b' = (z* - r) a + (z + r) b; then S' = B A^-1 from b = S a.
 */
static scatter renormalised(const scatter *from, const double impedance[2][2], double r)
{
    scatter incident, outgoing;
    for (int i = 0; i < 2; ++i) {
        const fl_complex z = {impedance[i][0], impedance[i][1]};
        const double root = sqrt(z.re);
        for (int j = 0; j < 2; ++j) {
            const fl_complex own = {i == j ? z.re : 0.0, i == j ? -z.im : 0.0};
            const fl_complex shift = {i == j ? r : 0.0, 0.0};
            const fl_complex a = fl_add(fl_add(own, shift),
                                        fl_multiply((fl_complex){z.re - r, z.im}, from->s[i][j]));
            const fl_complex b = fl_add(fl_subtract(own, shift),
                                        fl_multiply((fl_complex){z.re + r, z.im}, from->s[i][j]));
            incident.s[i][j] = (fl_complex){a.re / root, a.im / root};
            outgoing.s[i][j] = (fl_complex){b.re / root, b.im / root};
        }
    }
    return divide_right(&outgoing, &incident);
}

/** True when both port impedances are real and the same at every frequency. */
static bool plain_ports(const fl_result_case *one)
{
    for (size_t k = 0; k < one->response.count; ++k)
        for (int port = 0; port < 2; ++port) {
            const double *z = one->port_impedance[k][port];
            if (z[1] != 0.0 || z[0] != one->port_impedance[0][port][0])
                return false;
        }
    return true;
}

/** Text of others in a comment: one line of printable ASCII, as the format asks. */
static void add_plain(fl_text *text, const char *string)
{
    for (const char *p = string; *p; ++p) {
        const char c = *p >= ' ' && *p <= '~' ? *p : '?';
        fl_text_add_bytes(text, &c, 1);
    }
}

/* All digits that the number has: the file reads back the same. */
static void add_number(fl_text *text, double value)
{
    char number[FL_NUMBER_ROOM];
    fl_number_text(number, value);
    fl_text_add(text, number);
}

/* The head of version 2.0 [Touchstone2009], which alone may give the ports references of their own.
 * Comments come first, where readers of any version skip them. */
static void add_head(fl_text *text, const fl_result *result, const fl_result_case *one,
                     const double reference[2], bool plain)
{
    fl_text_add(text, "! ");
    add_plain(text, result->title && *result->title ? result->title : "transition");
    fl_text_add(text, "\n! case: ");
    add_plain(text, one->name ? one->name : "");
    fl_text_add(text, "\n! port 1: die, port 2: board\n");
    if (!plain)
        fl_text_add(text, "! the design's port impedances are complex or vary with frequency: "
                          "renormalised to 50 ohm\n");
    fl_text_add(text, "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 2\n"
                      "[Two-Port Data Order] 12_21\n[Number of Frequencies] ");
    fl_text_print(text, "%zu", one->response.count);
    fl_text_add(text, "\n[Reference] ");
    add_number(text, reference[0]);
    fl_text_add(text, " ");
    add_number(text, reference[1]);
    fl_text_add(text, "\n[Network Data]\n");
}

/** One frequency; false if a number is not finite. */
static bool add_line(fl_text *text, double frequency, const scatter *values)
{
    add_number(text, frequency);
    for (int i = 0; i < 2; ++i)
        for (int j = 0; j < 2; ++j) {
            const fl_complex value = values->s[i][j];
            if (!isfinite(value.re) || !isfinite(value.im))
                return false;
            fl_text_add(text, " ");
            add_number(text, value.re);
            fl_text_add(text, " ");
            add_number(text, value.im);
        }
    fl_text_add(text, "\n");
    return true;
}

/* Rows S11 S12 S21 S22, as the head's order of data says. */
static fl_status add_data(fl_text *text, const fl_result_case *one, bool plain, fl_error *error)
{
    const fl_scatter *response = &one->response;
    for (size_t k = 0; k < response->count; ++k) {
        const double(*impedance)[2] = (const double(*)[2])one->port_impedance[k];
        scatter values = scatter_at(response, k);
        if (!plain)
            values = renormalised(&values, impedance, common_reference);
        if (add_line(text, response->frequencies[k], &values))
            continue;
        char frequency[FL_NUMBER_ROOM];
        fl_number_text(frequency, response->frequencies[k]);
        return fl_fail(error, FL_BAD_INPUT, one->name,
                       "the response at %s Hz has no finite S-parameters at 50 ohm", frequency);
    }
    return FL_OK;
}

/* A command may leave a result without a response: that is the caller's mistake, not a fault. */
static fl_status find_case(const fl_result_case **one, const fl_result *result, size_t case_index,
                           fl_error *error)
{
    if (case_index >= result->case_count)
        return fl_fail(error, FL_BAD_INPUT, NULL, "case %zu was asked for, the result has %zu",
                       case_index, result->case_count);
    const fl_result_case *found = &result->cases[case_index];
    if (found->response.count == 0 || !found->port_impedance)
        return fl_fail(error, FL_BAD_INPUT, found->name, "the result has no response");
    *one = found;
    return FL_OK;
}

/* Parameters stay as they are where each port has one real impedance: power waves are then those of
 * the format. Else all are turned to the common reference. */
fl_status fl_report_touchstone(fl_report *report, const fl_result *result, size_t case_index,
                               fl_error *error)
{
    const fl_result_case *one = NULL;
    fl_text text;
    fl_text_init(&text);
    fl_status status = find_case(&one, result, case_index, error);
    if (status != FL_OK)
        goto cleanup;
    const bool plain = plain_ports(one);
    const double reference[2] = {plain ? one->port_impedance[0][0][0] : common_reference,
                                 plain ? one->port_impedance[0][1][0] : common_reference};
    add_head(&text, result, one, reference, plain);
    status = add_data(&text, one, plain, error);
    fl_text_add(&text, "[End]\n");
    if (status == FL_OK)
        status = fl_report_take(report, &text, error);
cleanup:
    fl_text_release(&text);
    return status;
}
