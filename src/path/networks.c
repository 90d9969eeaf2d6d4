/* The data files of a design, each read once and judged. */
#include <stdio.h>
#include <string.h>

#include "path/path.h"

typedef struct entry {
    const char *file; /* the design's */
    fl_network *network;
} entry;

struct fl_networks {
    fl_arena arena;
    entry *entries;
    size_t count;
    const char **warnings;
    size_t warning_count;
};

/* A network over its gain limit by rounding alone is no news. */
static const double gain_slack = 1e-6;
static const double skew_slack = 1e-6;

const fl_network *fl_networks_find(const fl_networks *networks, const char *file)
{
    for (size_t i = 0; i < networks->count; i++)
        if (strcmp(networks->entries[i].file, file) == 0)
            return networks->entries[i].network;
    return NULL;
}

static size_t count_files(const fl_design *design)
{
    size_t count = 0;
    for (size_t i = 0; i < FL_PORTS; i++)
        count += design->ports[i].file != NULL;
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; j < design->cases[i].section_count; j++)
            count += design->cases[i].sections[j].file != NULL;
    return count;
}

static fl_status warn(fl_networks *networks, const char *text, fl_error *error)
{
    if (text == NULL)
        return fl_fail_memory(error);
    networks->warnings[networks->warning_count++] = text;
    return FL_OK;
}

static fl_status judge(fl_networks *networks, const entry *item, fl_error *error)
{
    fl_network_quality quality;
    fl_status status = FL_OK;
    fl_network_judge(item->network, &quality);
    if (quality.gain > 1.0 + gain_slack)
        status =
            warn(networks,
                 fl_arena_print(&networks->arena, "%s: not passive: gains up to %.6g at %.6g GHz",
                                item->file, quality.gain, quality.gain_frequency / 1e9),
                 error);
    if (status == FL_OK && quality.skew > skew_slack)
        status = warn(networks,
                      fl_arena_print(&networks->arena,
                                     "%s: not reciprocal: Sij and Sji differ by up to %.6g at "
                                     "%.6g GHz",
                                     item->file, quality.skew, quality.skew_frequency / 1e9),
                      error);
    return status;
}

/* Reads a file that is not there yet, and checks that it covers every band of the design. */
static fl_status add(fl_networks *networks, const fl_design *design, const char *file, size_t ports,
                     fl_error *error)
{
    fl_network *network = NULL;
    const fl_network *known = fl_networks_find(networks, file);
    if (known == NULL) {
        const fl_status status = fl_network_read(&network, file, error);
        if (status != FL_OK)
            return status;
        networks->entries[networks->count++] = (entry){file, network};
        if (judge(networks, &networks->entries[networks->count - 1], error) != FL_OK)
            return FL_NO_MEMORY;
        known = network;
    }
    for (size_t i = 0; i < design->band_count; i++) {
        const fl_band *band = &design->bands[i];
        if (fl_network_covers(known, ports, band->low, band->high, error) != FL_OK)
            return fl_fail_within(error, FL_BAD_INPUT, file);
    }
    return FL_OK;
}

/* Ports of the file that a measured section uses: its two port parameters are fixed numbers. */
static size_t ports_of_section(const fl_section *section)
{
    const double die = section->terms[0].plus, board = section->terms[1].plus;
    return (size_t)(die > board ? die : board);
}

static fl_status add_section(fl_networks *networks, const fl_design *design,
                             const fl_section *section, fl_error *error)
{
    if (section->file == NULL)
        return FL_OK;
    const fl_status status = add(networks, design, section->file, ports_of_section(section), error);
    return status == FL_BAD_INPUT ? fl_fail_within(error, status, section->place) : status;
}

static fl_status add_all(fl_networks *networks, const fl_design *design, fl_error *error)
{
    fl_status status = FL_OK;
    for (size_t i = 0; status == FL_OK && i < FL_PORTS; i++) {
        const fl_port *port = &design->ports[i];
        if (port->file == NULL)
            continue;
        status = add(networks, design, port->file, port->file_port, error);
        if (status == FL_BAD_INPUT)
            status = fl_fail_within(error, status, port->place);
    }
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = add_section(networks, design, &design->cases[i].sections[j], error);
    return status;
}

fl_status fl_networks_read(fl_networks **networks, const fl_design *design, fl_error *error)
{
    fl_networks *made = fl_memory_take(1, sizeof *made);
    if (made == NULL)
        return fl_fail_memory(error);
    fl_arena_init(&made->arena);
    const size_t files = count_files(design);
    made->entries = fl_arena_take(&made->arena, files, sizeof *made->entries);
    made->warnings = fl_arena_take(&made->arena, 2 * files, sizeof *made->warnings);
    fl_status status = FL_OK;
    if (made->entries == NULL || made->warnings == NULL)
        status = fl_fail_memory(error);
    else
        status = add_all(made, design, error);
    if (status != FL_OK) {
        fl_networks_free(made);
        return status;
    }
    *networks = made;
    return FL_OK;
}

void fl_networks_free(fl_networks *networks)
{
    if (networks == NULL)
        return;
    for (size_t i = 0; i < networks->count; i++)
        fl_network_free(networks->entries[i].network);
    fl_arena_release(&networks->arena);
    fl_memory_free(networks);
}

size_t fl_networks_warning_count(const fl_networks *networks)
{
    return networks->warning_count;
}

const char *fl_networks_warning(const fl_networks *networks, size_t index)
{
    return index < networks->warning_count ? networks->warnings[index] : NULL;
}
