/* A fitted groundwork as bytes and back: data files and the sections made ready. */
#include <string.h>

#include "path/solution.h"

/* ---- writing ---- */

/* By the number that the packed design gives the file. */
static void pack_files(fl_text *text, const fl_groundwork *groundwork)
{
    const char *file;
    fl_pack_count(text, groundwork->files.count);
    for (size_t i = 0; (file = fl_design_data_file(groundwork->design, i)) != NULL; i++)
        fl_network_pack(text, fl_groundwork_network(groundwork, file));
}

static size_t value_count(const fl_section *section)
{
    return fl_section_physics(section)->form_count * FL_VALUES;
}

/* What was found; its section is one of those that have it. */
static void pack_solution(fl_text *text, const fl_solution *solution)
{
    fl_pack_count(text, solution->input_count);
    if (solution->fit != NULL)
        fl_fit_pack(text, solution->fit);
    else
        fl_pack_numbers(text, solution->constant, value_count(&solution->section));
}

static size_t solution_index(const fl_groundwork *groundwork, const fl_prepared *prepared)
{
    for (size_t i = 0; prepared != NULL && i < groundwork->solution_count; i++)
        if (groundwork->solutions[i] == prepared->solution)
            return i;
    return FL_NONE;
}

/* How a section takes its values from its solution; of the reaches the one that was had. */
static void pack_prepared(fl_text *text, const fl_prepared *prepared)
{
    const fl_term *length = &prepared->length;
    const size_t reach = prepared->solution->reach;
    const double numbers[] = {length->times, length->plus, prepared->shortest[reach],
                              prepared->longest[reach]};
    for (size_t i = 0; i < prepared->solution->input_count; i++)
        fl_pack_count(text, prepared->varied[i]);
    fl_pack_count(text, length->quantity);
    fl_pack_numbers(text, numbers, 4);
}

/* For each section which solution it has; one is written where it is first met. */
static void pack_sections(fl_text *text, const fl_groundwork *groundwork)
{
    const fl_design *design = groundwork->design;
    size_t written = 0;
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; j < design->cases[i].section_count; j++) {
            const fl_prepared *prepared = fl_groundwork_prepared(groundwork, i, j);
            const size_t index = solution_index(groundwork, prepared);
            fl_pack_count(text, index);
            if (prepared == NULL)
                continue;
            if (index == written) {
                pack_solution(text, groundwork->solutions[index]);
                written++;
            }
            pack_prepared(text, prepared);
        }
}

void fl_groundwork_pack(fl_text *text, const fl_groundwork *groundwork)
{
    pack_files(text, groundwork);
    fl_pack_count(text, groundwork->solution_count);
    pack_sections(text, groundwork);
}

/* ---- reading ---- */

/* What a reading holds. */
typedef struct reading {
    fl_groundwork *made;
    fl_unpack *from;
} reading;

static void unpack_files(const reading *at)
{
    fl_data_files *files = &at->made->files;
    const size_t count = fl_unpack_count(at->from, 2 * sizeof(double));
    files->entries = fl_unpack_take(at->from, count, sizeof *files->entries);
    for (size_t i = 0; fl_unpack_well(at->from) && i < count; i++) {
        files->entries[i].file = fl_design_data_file(at->made->design, i);
        files->entries[i].network = fl_network_unpack(at->from);
        fl_unpack_must(at->from, files->entries[i].file != NULL);
    }
    if (!fl_unpack_well(at->from))
        return;
    files->count = count;
    fl_unpack_must(at->from, fl_design_data_file(at->made->design, count) == NULL);
}

/* 0 for a file that is not there. */
static size_t ports_of(const fl_groundwork *groundwork, const char *file)
{
    const fl_network *network = fl_groundwork_network(groundwork, file);
    return network != NULL ? fl_network_ports(network) : 0;
}

/* The files have the ports that are asked of them. */
static void check_ports(const reading *at)
{
    const fl_design *design = at->made->design;
    for (size_t i = 0; i < FL_PORTS; i++)
        if (design->ports[i].file != NULL)
            fl_unpack_must(at->from, design->ports[i].file_port > 0 &&
                                         design->ports[i].file_port <=
                                             ports_of(at->made, design->ports[i].file));
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; j < design->cases[i].section_count; j++) {
            const fl_section *section = &design->cases[i].sections[j];
            const double ports = section->file ? (double)ports_of(at->made, section->file) : 0.0;
            if (section->file != NULL)
                fl_unpack_must(at->from,
                               section->terms[0].plus <= ports && section->terms[1].plus <= ports);
        }
}

/* Only what is asked of it once it is made. */
static fl_solution *unpack_solution(const reading *at, const fl_section *section)
{
    fl_unpack *from = at->from;
    fl_solution *made = fl_unpack_take(from, 1, sizeof *made);
    if (made == NULL)
        return NULL;
    made->section = *section;
    made->setting = &at->made->setting;
    made->input_count = fl_unpack_index(from, FL_PARTIALS + 1);
    if (made->input_count == 0)
        made->constant = fl_unpack_numbers(from, value_count(section));
    else
        made->fit = fl_fit_unpack(from);
    if (made->fit != NULL)
        fl_unpack_must(from, fl_fit_inputs(made->fit) == made->input_count &&
                                 fl_fit_outputs(made->fit) == value_count(section));
    return fl_unpack_well(from) ? made : NULL;
}

/* Of the reaches there is the first alone, which is that of the solution. */
static void unpack_prepared(const reading *at, fl_prepared *made)
{
    fl_unpack *from = at->from;
    const size_t quantities = at->made->design->quantity_count;
    made->setting = &at->made->setting;
    made->quantity_count = quantities;
    for (size_t i = 0; i < made->solution->input_count; i++)
        made->varied[i] = fl_unpack_index(from, quantities);
    made->length.quantity = fl_unpack_index_or_none(from, quantities);
    made->length.times = fl_unpack_number(from);
    made->length.plus = fl_unpack_number(from);
    made->shortest[made->solution->reach] = fl_unpack_number(from);
    made->longest[made->solution->reach] = fl_unpack_number(from);
}

/* A solution comes with the first section that has it; others must have as many values. */
static void unpack_section(const reading *at, size_t case_index, size_t place, size_t count)
{
    fl_groundwork *made = at->made;
    const fl_section *section = &made->design->cases[case_index].sections[place];
    const size_t index = fl_unpack_index_or_none(at->from, count);
    const bool costly = fl_section_physics(section)->solve != NULL;
    if (!fl_unpack_must(at->from, costly == (index != FL_NONE)) || !costly ||
        !fl_unpack_must(at->from, index <= made->solution_count))
        return;
    if (index == made->solution_count) {
        made->solutions[index] = unpack_solution(at, section);
        made->solution_count += made->solutions[index] != NULL;
    }
    fl_prepared *prepared = fl_unpack_take(at->from, 1, sizeof *prepared);
    if (prepared == NULL ||
        !fl_unpack_must(at->from,
                        value_count(&made->solutions[index]->section) == value_count(section)))
        return;
    prepared->section = section;
    prepared->solution = made->solutions[index];
    unpack_prepared(at, prepared);
    made->prepared[case_index][place] = made->owned[made->owned_count++] = prepared;
}

/* Of all cases. */
static size_t section_count(const fl_design *design)
{
    size_t count = 0;
    for (size_t i = 0; i < design->case_count; i++)
        count += design->cases[i].section_count;
    return count;
}

static void unpack_sections(const reading *at)
{
    fl_groundwork *made = at->made;
    const fl_design *design = made->design;
    const size_t solutions = fl_unpack_count(at->from, sizeof(uint32_t));
    made->solutions = fl_unpack_take(at->from, solutions, sizeof *made->solutions);
    made->owned = fl_unpack_take(at->from, section_count(design), sizeof *made->owned);
    made->prepared = fl_unpack_take(at->from, design->case_count, sizeof *made->prepared);
    for (size_t i = 0; fl_unpack_well(at->from) && i < design->case_count; i++) {
        const size_t count = design->cases[i].section_count;
        made->prepared[i] = fl_unpack_take(at->from, count, sizeof *made->prepared[i]);
        for (size_t j = 0; fl_unpack_well(at->from) && j < count; j++)
            unpack_section(at, i, j, solutions);
    }
}

/* All of it belongs to the arena of what is read. */
fl_groundwork *fl_groundwork_unpack(fl_unpack *from, const fl_design *design)
{
    fl_groundwork *made = fl_unpack_take(from, 1, sizeof *made);
    const reading at = {made, from};
    if (made == NULL)
        return NULL;
    made->design = design;
    fl_groundwork_init_setting(made);
    unpack_files(&at);
    if (fl_unpack_well(from))
        check_ports(&at);
    if (fl_unpack_well(from))
        unpack_sections(&at);
    return fl_unpack_well(from) ? made : NULL;
}
