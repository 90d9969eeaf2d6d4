/* A design as bytes and back: what a study needs of it. */
#include <string.h>

#include "design/design.h"

/* No more sections, quantities and points than the design reader takes. */
enum { MOST_POINTS = 100000, LEAST_POINTS = 2 };

/* ---- what is named by an index ---- */

/* The file of a port or section, counted through: all of one design in a row. */
static const char *nth_named(const fl_design *design, size_t index)
{
    size_t at = index;
    if (at < FL_PORTS)
        return design->ports[at].file ? design->ports[at].file : "";
    at -= FL_PORTS;
    for (size_t i = 0; i < design->case_count; at -= design->cases[i].section_count, i++)
        if (at < design->cases[i].section_count) {
            const char *file = design->cases[i].sections[at].file;
            return file ? file : "";
        }
    return NULL;
}

/* Whether an earlier port or section has the same file. */
static bool named_before(const fl_design *design, size_t index, const char *name)
{
    for (size_t i = 0; i < index; i++)
        if (strcmp(nth_named(design, i), name) == 0)
            return true;
    return false;
}

const char *fl_design_data_file(const fl_design *design, size_t index)
{
    size_t count = 0;
    const char *name;
    for (size_t i = 0; (name = nth_named(design, i)) != NULL; i++)
        if (name[0] != '\0' && !named_before(design, i, name) && count++ == index)
            return name;
    return NULL;
}

/* None for those that have no file. */
static size_t file_index(const fl_design *design, const char *name)
{
    const char *file;
    for (size_t i = 0; name && (file = fl_design_data_file(design, i)) != NULL; i++)
        if (strcmp(file, name) == 0)
            return i;
    return FL_NONE;
}

/* The count where it is not listed. */
static size_t kind_index(const fl_kind *const *kinds, size_t count, const fl_kind *kind)
{
    size_t i = 0;
    while (i < count && kinds[i] != kind)
        i++;
    return i;
}

size_t fl_design_kinds(const fl_design *design, const fl_kind **kinds, size_t room)
{
    size_t count = 0;
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; j < design->cases[i].section_count; j++) {
            const fl_kind *kind = design->cases[i].sections[j].kind;
            const size_t listed = count < room ? count : room;
            if (kind_index(kinds, listed, kind) < listed)
                continue;
            if (count < room)
                kinds[count] = kind;
            count++;
        }
    return count;
}

/* ---- ports, bands, requirements ---- */

/* All forms have all numbers: they are few. */
static void pack_port(fl_text *text, const fl_design *design, const fl_port *port)
{
    const double numbers[] = {port->resistance, port->reactance, port->capacitance,
                              port->inductance};
    fl_pack_count(text, (size_t)port->form);
    fl_pack_numbers(text, numbers, 4);
    fl_pack_count(text, file_index(design, port->file));
    fl_pack_count(text, port->file_port);
}

/* A file's name is its index: where it lay is nobody's business. */
static const char *unpack_file(fl_unpack *from)
{
    const size_t index = fl_unpack_index_or_none(from, UINT32_MAX);
    if (index == FL_NONE || !fl_unpack_well(from))
        return NULL;
    const char *name = fl_arena_print(from->arena, "file %zu", index + 1);
    from->no_memory = from->no_memory || name == NULL;
    return name;
}

static void unpack_port(fl_port *port, fl_unpack *from, const char *place)
{
    *port = (fl_port){.form = (fl_port_form)fl_unpack_index(from, FL_PORT_FILE + 1)};
    port->resistance = fl_unpack_number(from);
    port->reactance = fl_unpack_number(from);
    port->capacitance = fl_unpack_number(from);
    port->inductance = fl_unpack_number(from);
    port->file = unpack_file(from);
    port->file_port = fl_unpack_index(from, UINT32_MAX);
    port->place = place;
    fl_unpack_must(from, (port->form == FL_PORT_FILE) == (port->file != NULL));
}

/* The first is the design's own. */
static void unpack_bands(fl_design *design, fl_unpack *from)
{
    design->band_count = fl_unpack_count(from, 2 * sizeof(double));
    fl_band *bands = fl_unpack_take(from, design->band_count, sizeof *bands);
    fl_unpack_must(from, design->band_count > 0);
    for (size_t i = 0; fl_unpack_well(from) && i < design->band_count; i++) {
        bands[i].low = fl_unpack_number(from);
        bands[i].high = fl_unpack_number(from);
        fl_unpack_must(from, bands[i].low > 0.0 && bands[i].low < bands[i].high);
    }
    design->bands = bands;
}

static void pack_requirement(fl_text *text, const fl_requirement *requirement)
{
    fl_pack_count(text, (size_t)requirement->asked);
    fl_pack_count(text, (size_t)requirement->port);
    fl_pack_flag(text, requirement->at_least);
    fl_pack_number(text, requirement->limit_db);
    fl_pack_number(text, requirement->weight);
    fl_pack_count(text, requirement->band);
    fl_pack_flag(text, requirement->implied);
}

/* At least one, the implied one if no other was given. */
static void unpack_requirements(fl_design *design, fl_unpack *from)
{
    design->requirement_count = fl_unpack_count(from, 2 * sizeof(double));
    fl_requirement *all = fl_unpack_take(from, design->requirement_count, sizeof *all);
    fl_unpack_must(from, design->requirement_count > 0);
    for (size_t i = 0; fl_unpack_well(from) && i < design->requirement_count; i++) {
        fl_requirement *own = &all[i];
        own->asked = (fl_asked)fl_unpack_index(from, FL_REJECTION + 1);
        own->port = (int)fl_unpack_index(from, FL_PORTS);
        own->at_least = fl_unpack_flag(from);
        own->limit_db = fl_unpack_number(from);
        own->weight = fl_unpack_number(from);
        own->band = fl_unpack_index(from, design->band_count);
        own->implied = fl_unpack_flag(from);
        fl_unpack_must(from, own->weight > 0.0);
    }
    design->requirements = all;
}

/* ---- quantities and what they draw ---- */

/* The draw by its index; names are for messages. */
static void pack_spread(fl_text *text, const fl_spread *spread)
{
    fl_pack_count(text, (size_t)spread->shape);
    fl_pack_number(text, spread->amount);
    fl_pack_flag(text, spread->relative);
    fl_pack_number(text, spread->within);
    fl_pack_flag(text, spread->within_relative);
    fl_pack_count(text, (size_t)spread->level);
    fl_pack_count(text, spread->draw);
}

/* Of its definition only where it begins: sizes of several cases that share one are told by it. */
static void pack_quantity(fl_text *text, const fl_quantity *quantity, double value)
{
    const double numbers[] = {value, quantity->low, quantity->high, quantity->grid};
    fl_pack_string(text, quantity->name);
    fl_pack_count(text, (size_t)quantity->dimension);
    fl_pack_numbers(text, numbers, 4);
    fl_pack_flag(text, quantity->sized);
    fl_pack_flag(text, quantity->per_case);
    fl_pack_count(text, quantity->only_case);
    fl_pack_count(text, (size_t)quantity->side);
    fl_pack_whole(text, quantity->begin);
    fl_pack_count(text, quantity->spread_count);
    for (size_t i = 0; i < quantity->spread_count; i++)
        pack_spread(text, &quantity->spreads[i]);
}

static void unpack_spreads(fl_quantity *own, fl_unpack *from, size_t draw_count)
{
    own->spread_count = fl_unpack_count(from, 3 * sizeof(double));
    fl_spread *spreads = fl_unpack_take(from, own->spread_count, sizeof *spreads);
    for (size_t i = 0; fl_unpack_well(from) && i < own->spread_count; i++) {
        fl_spread *spread = &spreads[i];
        spread->shape = (fl_shape)fl_unpack_index(from, FL_UNIFORM + 1);
        spread->amount = fl_unpack_number(from);
        spread->relative = fl_unpack_flag(from);
        spread->within = fl_unpack_number(from);
        spread->within_relative = fl_unpack_flag(from);
        spread->level = (fl_level)fl_unpack_index(from, FL_LEVEL_COUNT);
        spread->draw = fl_unpack_index(from, draw_count);
        fl_unpack_must(from, spread->amount >= 0.0 && spread->within >= 0.0);
    }
    own->spreads = spreads;
}

/* Cases and draws are there already. */
static void unpack_quantity(fl_quantity *own, fl_unpack *from, const fl_design *design)
{
    own->name = fl_unpack_string(from);
    own->dimension = (fl_dimension)fl_unpack_index(from, FL_ANGLE + 1);
    own->value = fl_unpack_number(from);
    own->low = fl_unpack_number(from);
    own->high = fl_unpack_number(from);
    own->grid = fl_unpack_number(from);
    own->sized = fl_unpack_flag(from);
    own->per_case = fl_unpack_flag(from);
    own->only_case = fl_unpack_index_or_none(from, design->case_count);
    own->side = (fl_side)fl_unpack_index(from, FL_SIDE_BOARD + 1);
    own->begin = (size_t)fl_unpack_whole(from);
    own->place = "";
    fl_unpack_must(from, !own->sized || own->low < own->high);
    unpack_spreads(own, from, design->draw_count);
}

/* Groups, draws, and how they hang together. */
static void pack_draws(fl_text *text, const fl_design *design)
{
    fl_pack_count(text, design->group_count);
    for (size_t i = 0; i < design->group_count; i++)
        fl_pack_string(text, design->groups[i]);
    fl_pack_count(text, design->draw_count);
    for (size_t i = 0; i < design->draw_count; i++) {
        fl_pack_count(text, (size_t)design->draws[i].level);
        fl_pack_count(text, design->draws[i].group);
    }
    fl_pack_count(text, design->correlation_count);
    for (size_t i = 0; i < design->correlation_count; i++) {
        fl_pack_count(text, design->correlations[i].group[0]);
        fl_pack_count(text, design->correlations[i].group[1]);
        fl_pack_number(text, design->correlations[i].value);
    }
}

static void unpack_correlations(fl_design *design, fl_unpack *from)
{
    design->correlation_count = fl_unpack_count(from, 2 * sizeof(double));
    fl_correlation *all = fl_unpack_take(from, design->correlation_count, sizeof *all);
    for (size_t i = 0; fl_unpack_well(from) && i < design->correlation_count; i++) {
        all[i].group[0] = fl_unpack_index(from, design->group_count);
        all[i].group[1] = fl_unpack_index(from, design->group_count);
        all[i].value = fl_unpack_number(from);
        fl_unpack_must(from, all[i].group[0] != all[i].group[1] && all[i].value > -1.0 &&
                                 all[i].value < 1.0);
    }
    design->correlations = all;
}

static void unpack_draws(fl_design *design, fl_unpack *from)
{
    design->group_count = fl_unpack_count(from, sizeof(uint32_t));
    const char **groups = fl_unpack_take(from, design->group_count, sizeof *groups);
    for (size_t i = 0; fl_unpack_well(from) && i < design->group_count; i++)
        groups[i] = fl_unpack_string(from);
    design->groups = groups;
    design->draw_count = fl_unpack_count(from, 2 * sizeof(uint32_t));
    fl_draw *draws = fl_unpack_take(from, design->draw_count, sizeof *draws);
    for (size_t i = 0; fl_unpack_well(from) && i < design->draw_count; i++) {
        draws[i].level = (fl_level)fl_unpack_index(from, FL_LEVEL_COUNT);
        draws[i].group = fl_unpack_index_or_none(from, design->group_count);
        draws[i].name =
            draws[i].group != FL_NONE && fl_unpack_well(from) ? groups[draws[i].group] : "";
    }
    design->draws = draws;
    unpack_correlations(design, from);
}

/* ---- cases and their sections ---- */

/* What sections refer to. */
typedef struct reference {
    const fl_design *design;
    const fl_kind *const *kinds;
    size_t kind_count;
} reference;

/* A constant term has no factor. */
static void pack_section(fl_text *text, const fl_section *section, const reference *of)
{
    fl_pack_string(text, section->name);
    fl_pack_count(text, kind_index(of->kinds, of->kind_count, section->kind));
    fl_pack_count(text, (size_t)section->side);
    fl_pack_count(text, file_index(of->design, section->file));
    for (size_t i = 0; i < section->kind->parameter_count; i++) {
        const fl_term *term = &section->terms[i];
        fl_pack_count(text, term->quantity);
        if (term->quantity != FL_NONE)
            fl_pack_number(text, term->times);
        fl_pack_number(text, term->plus);
        fl_pack_flag(text, term->given);
    }
}

static void unpack_terms(fl_section *own, fl_unpack *from, const reference *of)
{
    fl_term *terms = fl_unpack_take(from, own->kind->parameter_count, sizeof *terms);
    for (size_t i = 0; fl_unpack_well(from) && i < own->kind->parameter_count; i++) {
        fl_term *term = &terms[i];
        const fl_rule rule = own->kind->parameters[i].rule;
        term->quantity = fl_unpack_index_or_none(from, of->design->quantity_count);
        if (term->quantity != FL_NONE)
            term->times = fl_unpack_number(from);
        term->plus = fl_unpack_number(from);
        term->given = fl_unpack_flag(from);
        /* Counts and ports of data are fixed, and used as they are. */
        if (fl_rule_whole(rule) && (term->given || own->kind->takes_file))
            fl_unpack_must(from, term->quantity == FL_NONE && fl_rule_holds(rule, term->plus) &&
                                     term->plus < (double)UINT32_MAX);
    }
    own->terms = terms;
}

/* Its place in messages is its name. */
static void unpack_section(fl_section *own, fl_unpack *from, const reference *of)
{
    own->name = own->place = fl_unpack_string(from);
    const size_t kind = fl_unpack_index(from, of->kind_count);
    own->side = (fl_side)fl_unpack_index(from, FL_SIDE_BOARD + 1);
    own->file = unpack_file(from);
    if (!fl_unpack_well(from))
        return;
    own->kind = of->kinds[kind];
    fl_unpack_must(from, own->kind->takes_file == (own->file != NULL));
    unpack_terms(own, from, of);
}

/* A section takes a name, kind, side and file at least. */
static void unpack_case(fl_case *own, fl_unpack *from, const reference *of)
{
    own->section_count = fl_unpack_count(from, 4 * sizeof(uint32_t));
    fl_section *sections = fl_unpack_take(from, own->section_count, sizeof *sections);
    for (size_t i = 0; fl_unpack_well(from) && i < own->section_count; i++)
        unpack_section(&sections[i], from, of);
    own->sections = sections;
}

/* ---- the whole ---- */

/* Names of cases first: quantities refer to them, and sections to quantities. */
void fl_design_pack(fl_text *text, const fl_design *design, const double *values,
                    const fl_kind *const *kinds, size_t kind_count)
{
    const reference of = {design, kinds, kind_count};
    fl_pack_string(text, design->title ? design->title : "");
    fl_pack_count(text, design->points);
    fl_pack_count(text, design->band_count);
    for (size_t i = 0; i < design->band_count; i++)
        fl_pack_numbers(text, (const double[]){design->bands[i].low, design->bands[i].high}, 2);
    for (size_t i = 0; i < FL_PORTS; i++)
        pack_port(text, design, &design->ports[i]);
    fl_pack_count(text, design->requirement_count);
    for (size_t i = 0; i < design->requirement_count; i++)
        pack_requirement(text, &design->requirements[i]);
    fl_pack_number(text, design->confidence);
    fl_pack_count(text, design->case_count);
    for (size_t i = 0; i < design->case_count; i++)
        fl_pack_string(text, design->cases[i].name);
    pack_draws(text, design);
    fl_pack_count(text, design->quantity_count);
    for (size_t i = 0; i < design->quantity_count; i++)
        pack_quantity(text, &design->quantities[i], values[i]);
    for (size_t i = 0; i < design->case_count; i++) {
        fl_pack_count(text, design->cases[i].section_count);
        for (size_t j = 0; j < design->cases[i].section_count; j++)
            pack_section(text, &design->cases[i].sections[j], &of);
    }
}

static void unpack_quantities(fl_design *design, fl_unpack *from)
{
    design->quantity_count = fl_unpack_count(from, 4 * sizeof(double));
    fl_quantity *quantities = fl_unpack_take(from, design->quantity_count, sizeof *quantities);
    for (size_t i = 0; fl_unpack_well(from) && i < design->quantity_count; i++)
        unpack_quantity(&quantities[i], from, design);
    design->quantities = quantities;
}

static void unpack_head(fl_design *design, fl_unpack *from)
{
    design->title = fl_unpack_string(from);
    design->file = design->title;
    design->folder = design->text = "";
    design->points = fl_unpack_index(from, MOST_POINTS + 1);
    fl_unpack_must(from, design->points >= LEAST_POINTS);
    unpack_bands(design, from);
    unpack_port(&design->ports[FL_PORT_DIE], from, "die port");
    unpack_port(&design->ports[FL_PORT_BOARD], from, "board port");
    unpack_requirements(design, from);
    design->confidence = fl_unpack_number(from);
    fl_unpack_must(from, design->confidence > 0.0 && design->confidence < 1.0);
}

/* As it was packed: each part is checked against those before it. */
fl_design *fl_design_unpack(fl_unpack *from, const fl_kind *const *kinds, size_t kind_count)
{
    fl_design *made = fl_unpack_take(from, 1, sizeof *made);
    if (made == NULL)
        return NULL;
    const reference of = {made, kinds, kind_count};
    unpack_head(made, from);
    made->case_count = fl_unpack_count(from, sizeof(uint32_t));
    fl_case *cases = fl_unpack_take(from, made->case_count, sizeof *cases);
    fl_unpack_must(from, made->case_count > 0);
    for (size_t i = 0; fl_unpack_well(from) && i < made->case_count; i++)
        cases[i].name = fl_unpack_string(from);
    made->cases = cases;
    unpack_draws(made, from);
    unpack_quantities(made, from);
    for (size_t i = 0; fl_unpack_well(from) && i < made->case_count; i++)
        unpack_case(&cases[i], from, &of);
    return fl_unpack_well(from) ? made : NULL;
}
