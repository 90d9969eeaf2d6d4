/* Electrical values of many samples at once. */
#include <float.h>
#include <string.h>

#include "path/groundwork.h"

/* Fits are evaluated one after the other, in the same memory. */
size_t fl_path_room(const fl_path *path)
{
    size_t room = 1;
    for (size_t i = 0; i < path->stretch.count; i++) {
        const fl_prepared *prepared = fl_groundwork_prepared(
            path->groundwork, path->stretch.case_index, path->stretch.first + i);
        const size_t needed = prepared != NULL ? fl_prepared_room(prepared) : 0;
        room = needed > room ? needed : room;
    }
    return room;
}

/** Parameters of one section, and room for those that are not as they were drawn. */
typedef struct parameters {
    fl_row row[FL_PARTIALS];
    double room[FL_PARTIALS][FL_LANES];
} parameters;

/* Whether all lanes obey a rule; of one that says more than a least value it is not known. */
static bool obeyed(const fl_vector *vector, fl_rule rule, const double *row)
{
    switch (rule) {
    case FL_POSITIVE:
        return vector->reaches(row, DBL_TRUE_MIN);
    case FL_NOT_NEGATIVE:
        return vector->reaches(row, 0.0);
    case FL_AT_LEAST_ONE:
        return vector->reaches(row, 1.0);
    case FL_WHOLE:
    case FL_WHOLE_OR_NONE:
        return false;
    case FL_ANY:
        break;
    }
    return true;
}

/* A parameter that was left out keeps its fallback, which need not obey the rule; a fixed one obeys
 * it, or nothing would have been made. Hardly ever is a rule broken. */
static void check_rule(const fl_term *term, fl_rule rule, const double *row,
                       const fl_path_block *block)
{
    if (!term->given || obeyed(block->vector, rule, row))
        return;
    for (size_t i = 0; i < FL_LANES; i++)
        if (!fl_rule_holds(rule, row[i]))
            block->refused[i] = true;
}

/* The sum is that of fl_term_value, to the last bit. */
FL_WIDE static void fill_row(double *row, const double *quantity, const fl_term *term)
{
    const double times = term->times, plus = term->plus;
    for (size_t i = 0; i < FL_LANES; i++)
        row[i] = times * quantity[i] + plus;
}

/* Most parameters are numbers, or a quantity as it is. */
static void take_parameter(fl_row *row, double *room, const fl_term *term,
                           const fl_path_block *block)
{
    if (term->quantity == FL_NONE) {
        *row = (fl_row){&term->plus, true};
        return;
    }
    const double *quantity = block->quantities[term->quantity];
    *row = (fl_row){quantity, false};
    if (term->times == 1.0 && term->plus == 0.0)
        return;
    fill_row(room, quantity, term);
    row->at = room;
}

static void take_parameters(parameters *own, const fl_section *section, const fl_path_block *block)
{
    for (size_t k = 0; k < section->kind->parameter_count; k++) {
        take_parameter(&own->row[k], own->room[k], &section->terms[k], block);
        if (!own->row[k].same)
            check_rule(&section->terms[k], section->kind->parameters[k].rule, own->row[k].at,
                       block);
    }
}

/* A kind without operations on lanes: sample by sample. */
static void evaluate_one(const fl_path *path, const fl_section *section, const parameters *own,
                         size_t lane, const fl_path_block *block, double (*values)[FL_LANES])
{
    double found[FL_ELEMENTS][FL_VALUES] = {{0.0}}, at[FL_PARTIALS];
    const fl_physics *physics = fl_section_physics(section);
    for (size_t k = 0; k < section->kind->parameter_count; k++)
        at[k] = own->row[k].at[own->row[k].same ? 0 : lane];
    if (!fl_section_physical(section, at) ||
        fl_section_values(found, section, at, fl_groundwork_setting(path->groundwork), NULL) !=
            FL_OK) {
        block->refused[lane] = true;
        return;
    }
    for (size_t e = 0; e < physics->form_count; e++)
        for (size_t v = 0; v < fl_form_values(physics->forms[e]); v++)
            values[e * FL_VALUES + v][lane] = found[e][v];
}

/* Lanes with a broken rule are evaluated all the same: they are marked, and harm no other. */
static void evaluate_section(const fl_path *path, const fl_section *section,
                             const fl_path_block *block, double (*values)[FL_LANES])
{
    parameters own;
    const fl_physics *physics = fl_section_physics(section);
    take_parameters(&own, section, block);
    if (physics->evaluate_lanes != NULL) {
        physics->evaluate_lanes(values, own.row, fl_groundwork_setting(path->groundwork),
                                block->refused);
        return;
    }
    for (size_t i = 0; i < FL_LANES; i++)
        evaluate_one(path, section, &own, i, block, values);
}

/* Sections that are passed over keep their rows, so that an element finds its own by its number. */
void fl_path_lanes(const fl_path *path, const fl_path_block *block)
{
    double(*values)[FL_LANES] = block->values;
    for (size_t i = 0; i < path->stretch.count; i++) {
        const fl_section *section = &path->sections[i];
        const fl_prepared *prepared = fl_groundwork_prepared(
            path->groundwork, path->stretch.case_index, path->stretch.first + i);
        if (!block->steady[i] && prepared != NULL)
            fl_prepared_lanes(prepared, block, values);
        else if (!block->steady[i])
            evaluate_section(path, section, block, values);
        values += fl_section_physics(section)->form_count * FL_VALUES;
    }
}
