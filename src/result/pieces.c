/** The path as it is built: each section of each case with the values of all its parameters. */
#include <string.h>

#include "base/file.h"
#include "result/parts.h"

/** One parameter at the given quantities, and which of them it comes from. */
static bool fill_parameter(fl_result_parameter *row, fl_result *result, const fl_design *design,
                           const fl_section *section, size_t index, const double *quantities)
{
    const fl_parameter *parameter = &section->kind->parameters[index];
    const fl_term *term = &section->terms[index];
    const fl_quantity *quantity =
        term->quantity == FL_NONE ? NULL : &design->quantities[term->quantity];
    *row = (fl_result_parameter){.dimension = parameter->dimension,
                                 .value = fl_term_value(term, quantities),
                                 .given = term->given,
                                 .sized = quantity && quantity->sized,
                                 .substrate = parameter->substrate};
    return fl_result_text(result, &row->name, parameter->name) &&
           fl_result_text(result, &row->quantity, quantity ? quantity->name : NULL);
}

/** A section with its parameters. */
static bool fill_piece(fl_result_piece *piece, fl_result *result, const fl_design *design,
                       const fl_section *section, const double *quantities)
{
    const size_t count = section->kind->parameter_count;
    piece->side = section->side;
    piece->parameter_count = count;
    piece->parameters = fl_arena_take(&result->arena, count, sizeof *piece->parameters);
    bool well =
        piece->parameters && fl_result_text(result, &piece->name, section->name) &&
        fl_result_text(result, &piece->kind, section->kind->name) &&
        fl_result_text(result, &piece->file, section->file ? fl_path_name(section->file) : NULL);
    for (size_t i = 0; well && i < count; i++)
        well = fill_parameter(&piece->parameters[i], result, design, section, i, quantities);
    return well;
}

/** Equal, or both not there. */
static bool same_text(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

/** Whether two sections are built alike: equal inputs give equal values, bit for bit. */
static bool same_piece(const fl_result_piece *a, const fl_result_piece *b)
{
    if (a->side != b->side || !same_text(a->name, b->name) || !same_text(a->kind, b->kind) ||
        !same_text(a->file, b->file))
        return false;
    for (size_t i = 0; i < a->parameter_count; i++)
        if (a->parameters[i].value != b->parameters[i].value)
            return false;
    return true;
}

/** Whether two cases are built alike. */
static bool same_path(const fl_result_case *a, const fl_result_case *b)
{
    bool same = a->piece_count == b->piece_count;
    for (size_t i = 0; same && i < a->piece_count; i++)
        same = same_piece(&a->pieces[i], &b->pieces[i]);
    return same;
}

/** Cases that are built alike are drawn once. */
static size_t find_alike(const fl_result *result, size_t index)
{
    for (size_t c = 0; c < index; c++)
        if (same_path(&result->cases[c], &result->cases[index]))
            return c;
    return index;
}

/** Every case stands whole, so that a report needs no other case to draw it. */
fl_status fl_result_add_pieces(fl_result *result, const fl_design *design, const double *quantities,
                               fl_error *error)
{
    fl_status status = fl_result_cases(result, design, error);
    for (size_t c = 0; status == FL_OK && c < result->case_count; c++) {
        fl_result_case *row = &result->cases[c];
        const fl_case *from = &design->cases[c];
        row->pieces = fl_arena_take(&result->arena, from->section_count, sizeof *row->pieces);
        if (!row->pieces)
            return fl_fail_memory(error);
        for (; row->piece_count < from->section_count; row->piece_count++)
            if (!fill_piece(&row->pieces[row->piece_count], result, design,
                            &from->sections[row->piece_count], quantities))
                return fl_fail_memory(error);
        row->built_as = find_alike(result, c);
    }
    return status;
}
