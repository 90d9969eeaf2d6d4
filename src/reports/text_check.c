/**
 * Text report: sections with their electrical values, a line a value. What cases have in common
 * is said once.
 */
#include <stdio.h>
#include <string.h>

#include "reports/pages.h"

enum { HEADING_ROOM = 256, DIGITS = 4 };

/** One row a value; name, kind and side stand in the first row only. */
static void add_section(fl_table *table, const fl_result_section *section)
{
    const char *names[] = {section->name, section->kind, fl_side_name(section->side)};
    char word[FL_WORD_ROOM];
    for (size_t i = 0; i <= section->property_count; i++) {
        for (size_t j = 0; j < sizeof names / sizeof names[0]; j++)
            fl_table_add(table, i == 0 ? names[j] : "");
        if (i < section->property_count) {
            const fl_property *property = &section->properties[i];
            fl_value_text(word, property->value, property->dimension, DIGITS);
            fl_table_add(table, property->name);
        } else {
            fl_decibel_text(word, section->return_loss_db);
            fl_table_add(table, "return loss alone");
        }
        fl_table_add(table, word);
    }
}

static const fl_column COLUMNS[] = {{"section", FL_LEFT, true},
                                    {"kind", FL_LEFT, true},
                                    {"side", FL_LEFT, false},
                                    {"electrical value", FL_LEFT, false},
                                    {"", FL_RIGHT, false}};

/** Whether a section belongs to the table of a case; the first has what all cases share too. */
static bool belongs(const fl_result *result, size_t case_index, const fl_result_section *section)
{
    if (!section->case_name)
        return case_index == 0;
    return strcmp(section->case_name, result->cases[case_index].name) == 0;
}

/** Whether a case's table would have rows. */
static bool has_any(const fl_result *result, size_t case_index)
{
    for (size_t i = 0; i < result->section_count; i++)
        if (belongs(result, case_index, &result->sections[i]))
            return true;
    return false;
}

/** The first case whole, in the order of the path; of the others what differs. */
static void write_case(fl_text *text, const fl_result *result, size_t case_index)
{
    char heading[HEADING_ROOM + FL_NAME_ROOM], name[FL_NAME_ROOM], centre[FL_WORD_ROOM];
    fl_table table;
    if (!has_any(result, case_index))
        return;
    fl_value_text(centre, result->centre, FL_FREQUENCY, 6);
    fl_shorten(name, result->cases[case_index].name, 30);
    if (case_index > 0)
        snprintf(heading, sizeof heading, "Case '%s', where it differs", name);
    else if (result->case_count > 1)
        snprintf(heading, sizeof heading, "Sections at %s, from the die to the board, case '%s'",
                 centre, name);
    else
        snprintf(heading, sizeof heading, "Sections at %s, from the die to the board", centre);
    fl_heading(text, heading);
    fl_table_init(&table, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < result->section_count; i++)
        if (belongs(result, case_index, &result->sections[i]))
            add_section(&table, &result->sections[i]);
    fl_table_write(&table, text);
}

/** The note below says what the last line of each section means, once for all. */
void fl_page_sections(fl_text *text, const fl_result *result)
{
    if (result->section_count == 0)
        return;
    for (size_t c = 0; c < result->case_count; c++)
        write_case(text, result, c);
    fl_text_add(text, "  \"Return loss alone\" is that of the section by itself between 50 ohm.\n");
}
