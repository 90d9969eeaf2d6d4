/** Designs built in memory, so that tests of models, path and response need no reader. */
#ifndef FL_TESTS_SAMPLE_H
#define FL_TESTS_SAMPLE_H

#include <stdlib.h>

#include "response/response.h"

enum { SAMPLE_SECTIONS = 24, SAMPLE_QUANTITIES = 96, SAMPLE_REQUIREMENTS = 4 };

/** One case; each given parameter of each section is a quantity of its own. */
typedef struct sample {
    fl_design design;
    fl_band band;
    fl_requirement requirements[SAMPLE_REQUIREMENTS];
    fl_quantity quantities[SAMPLE_QUANTITIES];
    fl_term terms[SAMPLE_SECTIONS][FL_PARTIALS];
    fl_section sections[SAMPLE_SECTIONS];
    fl_case only;
    double values[SAMPLE_QUANTITIES];
} sample;

__attribute__((unused)) static void sample_init(sample *s, double low, double high)
{
    memset(s, 0, sizeof *s);
    s->band = (fl_band){low, high};
    s->only = (fl_case){.name = "nominal", .sections = s->sections};
    s->design.file = "sample";
    s->design.points = 11;
    s->design.bands = &s->band;
    s->design.band_count = 1;
    s->design.requirements = s->requirements;
    s->design.quantities = s->quantities;
    s->design.cases = &s->only;
    s->design.case_count = 1;
    for (int port = 0; port < FL_PORTS; port++)
        s->design.ports[port] =
            (fl_port){.form = FL_PORT_IMPEDANCE, .resistance = 50.0, .place = "port"};
}

__attribute__((unused)) static const fl_kind *sample_kind(const char *name)
{
    for (size_t i = 0; fl_models[i] != NULL; i++)
        if (strcmp(fl_models[i]->kind.name, name) == 0)
            return &fl_models[i]->kind;
    print_error("no kind '%s'\n", name);
    abort();
}

/** Adds a section; its parameters take their fallbacks. */
__attribute__((unused)) static fl_section *sample_add(sample *s, const char *kind)
{
    const size_t index = s->only.section_count++;
    fl_section *section = &s->sections[index];
    *section = (fl_section){
        .name = kind, .kind = sample_kind(kind), .terms = s->terms[index], .place = "sample"};
    for (size_t i = 0; i < section->kind->parameter_count; i++)
        s->terms[index][i] =
            (fl_term){.quantity = FL_NONE, .plus = section->kind->parameters[i].fallback};
    return section;
}

/** Gives a parameter of the last section a value, as a new quantity unless it is a whole number.
 * Returns the quantity's index. */
__attribute__((unused)) static size_t sample_set(sample *s, const char *parameter, double value)
{
    const size_t section = s->only.section_count - 1;
    const fl_kind *kind = s->sections[section].kind;
    for (size_t i = 0; i < kind->parameter_count; i++) {
        if (strcmp(kind->parameters[i].name, parameter) != 0)
            continue;
        if (fl_rule_whole(kind->parameters[i].rule)) {
            s->terms[section][i] = (fl_term){.quantity = FL_NONE, .plus = value, .given = true};
            return FL_NONE;
        }
        const size_t quantity = s->design.quantity_count++;
        s->quantities[quantity] = (fl_quantity){
            .name = parameter, .value = value, .only_case = FL_NONE, .place = "sample"};
        s->values[quantity] = value;
        s->terms[section][i] = (fl_term){.quantity = quantity, .times = 1.0, .given = true};
        return quantity;
    }
    print_error("'%s' has no '%s'\n", kind->name, parameter);
    abort();
}

__attribute__((unused)) static void sample_require(sample *s, fl_asked asked, int port,
                                                   bool at_least, double limit_db)
{
    s->requirements[s->design.requirement_count++] = (fl_requirement){
        .asked = asked, .port = port, .at_least = at_least, .limit_db = limit_db, .weight = 1.0};
}

/** Deterministic numbers in (0, 1), one after the other. */
__attribute__((unused)) static double sample_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return ((double)(*state >> 12) + 0.5) / 4503599627370496.0;
}

__attribute__((unused)) static double sample_between(uint64_t *state, double low, double high)
{
    return low + (high - low) * sample_random(state);
}

#endif
