/**
 * What was not modelled, by the kinds of sections in use, and what to mind whatever the design: the
 * short forms of docs/theory.md and docs/cautions.md for a page that is passed on without them.
 */
#include <string.h>

#include "result/parts.h"

/* Most kinds that one text is about. */
enum { KINDS = 8 };

/** A text for designs that use one of the kinds; with none listed for every design. */
typedef struct note {
    const char *text;
    const char *kinds[KINDS];
} note;

static const note not_modelled[] = {
    {"Coupling between neighbouring sections, to other paths and to the supply.", {NULL}},
    {"Radiation and surface waves; resonances of lid, board and package body.", {NULL}},
    {"Grounds of die, package and board as anything but one ideal node, apart from ground "
     "sections.",
     {NULL}},
    {"Proximity effect in wires and ribbons, dielectric loss around them, the bonds themselves.",
     {"bond wires", "ribbon"}},
    {"Resonances of ground leads that end free.", {"lead"}},
    {"Bends and tees of lines, waves across wide strips, roughness beyond its average.",
     {"microstrip", "open microstrip stub", "grounded coplanar", "stripline", "taper", "step"}},
    {"Single vias along coplanar lines and between the planes of striplines.",
     {"grounded coplanar", "stripline"}},
    {"Change of impedance and permittivity with frequency in lines given by their impedance.",
     {"line", "open stub", "shorted stub"}},
    {"Change of resistance with frequency, and own resonances, in lumped elements.",
     {"series inductor", "shunt inductor", "series capacitor", "shunt capacitor", "series resistor",
      "shunt resistor"}},
    {"Spreads of measured data.", {"measured"}},
    {"Anisotropy of materials, and dielectrics that change with frequency, temperature, moisture "
     "or age.",
     {NULL}},
    {"Noise, gain, stability and harmonics of the device.", {NULL}},
};

static const note cautions[] = {
    {"A result is a calculation from the data given, no approval and no warranty: before masks, "
     "lead frames or boards are ordered, let a field solution and a measurement confirm it.",
     {NULL}},
    {"A yield knows the spreads that were given and nothing of any others.", {NULL}},
    {"Open ports at millimetre waves heat skin and eyes: end every port in a load before bias is "
     "switched on.",
     {NULL}},
    {"Tens of volts of static charge destroy millimetre-wave gates; check that the network leaves "
     "the bias path as the device needs it.",
     {NULL}},
    {"A series capacitor blocks direct current, and does not protect an input.",
     {"series capacitor"}},
    {"An element to ground may short direct current: mind the bias.",
     {"shunt inductor", "shunt resistor", "shorted stub"}},
};

/** Whether some case has a section of this kind. */
static bool uses_kind(const fl_design *design, const char *kind)
{
    for (size_t c = 0; c < design->case_count; c++)
        for (size_t s = 0; s < design->cases[c].section_count; s++)
            if (strcmp(design->cases[c].sections[s].kind->name, kind) == 0)
                return true;
    return false;
}

static bool applies(const note *own, const fl_design *design)
{
    for (size_t i = 0; i < KINDS && own->kinds[i]; i++)
        if (uses_kind(design, own->kinds[i]))
            return true;
    return !own->kinds[0];
}

/** The texts that apply, in the order of the table. */
static fl_status add_notes(fl_result *result, const char ***texts, size_t *count,
                           const fl_design *design, const note *from, size_t from_count)
{
    *texts = fl_arena_take(&result->arena, from_count, sizeof **texts);
    if (!*texts)
        return FL_NO_MEMORY;
    for (size_t i = 0; i < from_count; i++)
        if (applies(&from[i], design) &&
            !fl_result_text(result, &(*texts)[(*count)++], from[i].text))
            return FL_NO_MEMORY;
    return FL_OK;
}

/** Both lists. */
fl_status fl_result_notes(fl_result *result, fl_result_pictures *pictures, const fl_design *design,
                          fl_error *error)
{
    fl_status status =
        add_notes(result, &pictures->not_modelled, &pictures->not_modelled_count, design,
                  not_modelled, sizeof not_modelled / sizeof not_modelled[0]);
    if (status == FL_OK)
        status = add_notes(result, &pictures->cautions, &pictures->caution_count, design, cautions,
                           sizeof cautions / sizeof cautions[0]);
    return status == FL_OK ? FL_OK : fl_fail_memory(error);
}
