/* Which sections are the compensation of a path: the question is what it was like before. */
#include "studies/studies.h"

/* The design's own word goes before any guess, in every case alike. */
static bool has_optional(const fl_design *design)
{
    for (size_t c = 0; c < design->case_count; c++)
        for (size_t s = 0; s < design->cases[c].section_count; s++)
            if (design->cases[c].sections[s].optional)
                return true;
    return false;
}

/* What was sized was put there to be sized, unless the path needs it to hold together. A sized
 * substrate sizes all that lies on it, feed lines too. */
static bool is_compensation(const fl_design *design, const fl_section *section)
{
    if (!fl_section_physics(section)->spare)
        return false;
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const size_t quantity = section->terms[i].quantity;
        if (quantity != FL_NONE && design->quantities[quantity].sized &&
            !section->kind->parameters[i].substrate)
            return true;
    }
    return false;
}

/* Cases may differ in their sections, so that each is asked by itself. */
size_t fl_bare_mark(bool *left_out, const fl_design *design, size_t case_index)
{
    const fl_case *own = &design->cases[case_index];
    const bool told = has_optional(design);
    size_t count = 0;
    for (size_t i = 0; i < own->section_count; i++) {
        left_out[i] = told ? own->sections[i].optional : is_compensation(design, &own->sections[i]);
        count += left_out[i];
    }
    return count;
}
