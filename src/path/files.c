/* The data files of a design, each read once and judged. */
#include <string.h>

#include "base/checksum.h"
#include "path/groundwork.h"

/* Data over the limits of a passive, reciprocal network by rounding alone is no news. */
static const double gain_slack = 1e-6;
static const double skew_slack = 1e-6;

/* By the name as the design has it: two names of one file are two files here. */
const fl_network *fl_data_files_find(const fl_data_files *files, const char *file)
{
    for (size_t i = 0; i < files->count; i++)
        if (strcmp(files->entries[i].file, file) == 0)
            return files->entries[i].network;
    return NULL;
}

/* In the order of reading, which is that of the design. */
uint64_t fl_data_files_checksum(const fl_data_files *files)
{
    uint64_t sum = FL_CHECKSUM_START;
    for (size_t i = 0; i < files->count; i++)
        sum = fl_network_checksum(files->entries[i].network, sum);
    return sum;
}

/* Times that a file is named: no fewer than there are files. */
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

/* Data that amplifies, or passes more one way than the other, may be meant: it is told and used. */
static fl_status judge(fl_groundwork *groundwork, const fl_data_file *item, fl_error *error)
{
    fl_network_quality quality;
    fl_status status = FL_OK;
    fl_network_judge(item->network, &quality);
    if (quality.gain > 1.0 + gain_slack)
        status = fl_groundwork_warn(
            groundwork,
            fl_arena_print(&groundwork->arena, "%s: not passive: gains up to %.6g at %.6g GHz",
                           item->file, quality.gain, quality.gain_frequency / 1e9),
            error);
    if (status == FL_OK && quality.skew > skew_slack)
        status = fl_groundwork_warn(
            groundwork,
            fl_arena_print(&groundwork->arena,
                           "%s: not reciprocal: Sij and Sji differ by up to %.6g at "
                           "%.6g GHz",
                           item->file, quality.skew, quality.skew_frequency / 1e9),
            error);
    return status;
}

/* Reads a file that is not there yet, and checks that it has the ports and covers every band of the
 * design. Once in the list a network is freed with it, also when the check fails. */
static fl_status add(fl_groundwork *groundwork, const char *file, size_t ports, fl_error *error)
{
    const fl_design *design = groundwork->design;
    fl_data_files *files = &groundwork->files;
    fl_network *network = NULL;
    const fl_network *known = fl_data_files_find(files, file);
    if (known == NULL) {
        const fl_status status = fl_network_read(&network, file, error);
        if (status != FL_OK)
            return status;
        files->entries[files->count++] = (struct fl_data_file){file, network};
        if (judge(groundwork, &files->entries[files->count - 1], error) != FL_OK)
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

/* An error is placed in the section first and then in the file, so that it tells who needs what. */
static fl_status add_section(fl_groundwork *groundwork, const fl_section *section, fl_error *error)
{
    if (section->file == NULL)
        return FL_OK;
    const fl_status status = add(groundwork, section->file, ports_of_section(section), error);
    return status == FL_BAD_INPUT ? fl_fail_within(error, status, section->place) : status;
}

/* Ports first, then sections in the order of the cases: messages come in the same order in each
 * run. */
fl_status fl_data_files_read(fl_groundwork *groundwork, fl_error *error)
{
    const fl_design *design = groundwork->design;
    groundwork->files.entries =
        fl_arena_take(&groundwork->arena, count_files(design), sizeof *groundwork->files.entries);
    if (groundwork->files.entries == NULL)
        return fl_fail_memory(error);
    fl_status status = FL_OK;
    for (size_t i = 0; status == FL_OK && i < FL_PORTS; i++) {
        const fl_port *port = &design->ports[i];
        if (port->file == NULL)
            continue;
        status = add(groundwork, port->file, port->file_port, error);
        if (status == FL_BAD_INPUT)
            status = fl_fail_within(error, status, port->place);
    }
    for (size_t i = 0; i < design->case_count; i++)
        for (size_t j = 0; status == FL_OK && j < design->cases[i].section_count; j++)
            status = add_section(groundwork, &design->cases[i].sections[j], error);
    return status;
}

/* The names are the design's. */
void fl_data_files_release(fl_data_files *files)
{
    for (size_t i = 0; i < files->count; i++)
        fl_network_free(files->entries[i].network);
}
