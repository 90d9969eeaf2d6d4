/** A small design of two cases, read, with the study that asks for it. */
#ifndef FL_TESTS_RESULT_ASKED_H
#define FL_TESTS_RESULT_ASKED_H

#include "check.h"

#include "result/result.h"

/* The first case has a capacitor of 20 fF at the die; the second has one of 40 fF and another line.
 * Of the quantities one is sized for each case, one is set by the second case, one carries spreads
 * of two levels. */
static const char asked_text[] =
    "{\"fairlead\": 1, \"title\": \"two cases\", \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 5,"
    " \"ports\": {\"die\": {\"resistance\": \"60 ohm\", \"parallel capacitance\": \"10 fF\"},"
    "             \"board\": {\"impedance\": [\"50 ohm\", \"5 ohm\"]}},"
    " \"require\": [{\"quantity\": \"insertion loss\", \"at most\": \"40 dB\"},"
    "               {\"quantity\": \"return loss\", \"at least\": \"8 dB\"}],"
    " \"quantities\": {\"cap\": {\"value\": \"20 fF\", \"spread\": ["
    "    {\"normal\": \"3 %\", \"level\": \"wafer\"}, {\"normal\": \"4 %\", \"level\": \"die\"}]}},"
    " \"path\": ["
    "  {\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": \"die\","
    "   \"capacitance\": \"@cap\"},"
    "  {\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    "   \"inductance\": {\"value\": \"0.1 nH\", \"spread\": {\"uniform\": \"10 pH\"}}},"
    "  {\"name\": \"stub\", \"kind\": \"open stub\", \"side\": \"board\", \"permittivity\": 2.9, "
    "\"impedance\": \"60 "
    "ohm\","
    "   \"length\": {\"size\": [\"0.1 mm\", \"0.5 mm\"], \"grid\": \"10 um\", \"per case\": "
    "true}}],"
    " \"cases\": [{\"name\": \"near\"}, {\"name\": \"far\", \"set\": {\"cap\": {\"value\": \"40 "
    "fF\","
    "   \"spread\": {\"normal\": \"3 %\", \"level\": \"wafer\"}}}}],"
    " \"yield\": {\"samples\": 100, \"seed\": 11, \"confidence\": \"90 %\"}}";

/** A design and its study; the present values in quantities. */
typedef struct asked {
    fl_design *design;
    fl_study study;
    double *quantities;
    fl_result *result;
} asked;

__attribute__((unused)) static void asked_read(asked *a, const char *text, const char *command)
{
    fl_error error = {0};
    memset(a, 0, sizeof *a);
    check_ok(fl_design_parse(&a->design, text, strlen(text), "asked.json", NULL, &error), error);
    fl_study_init(&a->study, a->design, a->design->groundwork, NULL);
    a->quantities = fl_memory_take(a->design->quantity_count, sizeof *a->quantities);
    fl_design_start(a->design, a->quantities);
    check_ok(fl_result_new(&a->result, command, &a->study, &error), error);
}

/** Frees the design and the study, and leaves the result, which must not need them. */
__attribute__((unused)) static void asked_forget(asked *a)
{
    fl_memory_free(a->quantities);
    fl_design_free(a->design);
    memset(&a->study, 0, sizeof a->study);
    a->design = NULL;
    a->quantities = NULL;
}

/** Index of a quantity of all cases (FL_NONE) or of one; fails if there is none. */
__attribute__((unused)) static size_t asked_index(const asked *a, const char *name,
                                                  size_t only_case)
{
    for (size_t i = 0; i < a->design->quantity_count; i++)
        if (strcmp(a->design->quantities[i].name, name) == 0 &&
            a->design->quantities[i].only_case == only_case)
            return i;
    print_error("no quantity '%s'\n", name);
    fail();
    return 0;
}

#endif
