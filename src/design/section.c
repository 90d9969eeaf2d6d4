/* Sections: a path, its sections in order, and what each takes of the design's quantities. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "design/reader.h"

/* ---- parameters ---- */

/* Six digits in the message: the value may be computed from others and have many that mean
 * nothing. */
static fl_status check_rule(fl_reader *reader, fl_spot spot, const fl_parameter *parameter,
                            double value, const char *where)
{
    char text[FL_UNIT_ROOM];
    if (fl_rule_holds(parameter->rule, value))
        return FL_OK;
    fl_unit_text(text, value, parameter->dimension, 6);
    return fl_spot_fail(reader, spot, "'%s' %s, found %s%s", parameter->name,
                        fl_rule_text(parameter->rule), text, where);
}

/* Every value that the term can come to, spreads apart, obeys the parameter's rule. The term is
 * linear, so that what holds at both ends holds between. A spread that leads outside is judged
 * sample by sample. */
static fl_status check_term(fl_reader *reader, fl_spot spot, const fl_parameter *parameter,
                            const fl_term *term)
{
    if (term->quantity == FL_NONE)
        return check_rule(reader, spot, parameter, term->plus, "");
    const fl_entry *entry = &reader->entries[term->quantity];
    const fl_quantity *quantity = &entry->quantity;
    if (fl_rule_whole(parameter->rule) && (quantity->sized || quantity->spread_count > 0))
        return fl_spot_fail(reader, spot, "'%s' is a whole number, neither sized nor spread",
                            parameter->name);
    fl_status status =
        check_rule(reader, spot, parameter, term->times * quantity->value + term->plus,
                   quantity->sized ? " at the start" : "");
    if (status == FL_OK && quantity->sized)
        status = check_rule(reader, spot, parameter, term->times * quantity->low + term->plus,
                            " at the low end of its range");
    if (status == FL_OK && quantity->sized)
        status = check_rule(reader, spot, parameter, term->times * quantity->high + term->plus,
                            " at the high end of its range");
    return status;
}

/* The first user's side is the quantity's; the bits tell whether there are several. */
static void note_use(fl_reader *reader, const fl_term *term, fl_side side)
{
    if (term->quantity == FL_NONE)
        return;
    fl_entry *entry = &reader->entries[term->quantity];
    if (entry->sides == 0)
        entry->quantity.side = side;
    entry->sides |= 1U << side;
}

/* A section and a substrate of one name may not both have a value of one name: "board height" in a
 * `set` would mean both. Several sections on one substrate are no conflict. */
static fl_status claim(fl_reader *reader, const fl_owner *owner, const char *name, bool substrate)
{
    const cJSON *node = owner->definition.spot.node;
    const fl_claim *known = fl_lookup_get(&reader->claims, "", name);
    if (known != NULL && known->owner != node && (substrate || known->substrate))
        return fl_spot_fail(reader, owner->definition.spot,
                            "'%s' is a value of a section and of a substrate: rename one of them",
                            name);
    if (known != NULL)
        return FL_OK;
    fl_claim *made = fl_arena_take(&reader->draft, 1, sizeof *made);
    if (made == NULL || !fl_lookup_put(&reader->claims, name, made))
        return fl_fail_memory(reader->error);
    *made = (fl_claim){.name = name, .owner = node, .substrate = substrate};
    if (substrate) {
        made->next = reader->substrate_claims;
        reader->substrate_claims = made;
        reader->substrate_claim_count++;
    }
    return FL_OK;
}

/* A value of a substrate is missing there, or in the file it comes from, but it is a section that
 * needs it. */
static fl_status fail_missing(fl_reader *reader, const fl_site *site, const fl_owner *owner,
                              const fl_parameter *parameter)
{
    if (!parameter->substrate)
        return fl_spot_fail(reader, owner->definition.spot, "'%s' is missing", parameter->name);
    while (owner->under != NULL)
        owner = owner->under;
    return fl_spot_fail(reader, owner->definition.spot, "'%s' is missing: section '%s' needs it",
                        fl_parameter_key(parameter), site->owner.name);
}

/* Reads a parameter from its owner, the section or its substrate, or takes the fallback when
 * neither file nor `set` gives it. Every value is thereby open to `set`, also one that the file
 * leaves out. */
static fl_status read_parameter(fl_reader *reader, const fl_site *site, const fl_owner *owner,
                                const fl_parameter *parameter, fl_term *term)
{
    const char *key = fl_parameter_key(parameter);
    const char *name = fl_arena_print(&reader->draft, "%s %s", owner->name, key);
    if (name == NULL)
        return fl_fail_memory(reader->error);
    fl_ask ask = {
        .name = name, .definition = fl_owner_value(owner, key), .dimension = parameter->dimension};
    fl_status status = claim(reader, owner, name, parameter->substrate);
    if (status == FL_OK && parameter->substrate)
        status = fl_substrate_use(reader, owner, key);
    if (status != FL_OK)
        return status;
    /* A quantity of that name comes first: then `set` means the quantity. */
    if (fl_lookup_get(&reader->binding_names, "", name) == NULL)
        fl_definition_choose(reader, name, &ask.definition);
    *term = (fl_term){.quantity = FL_NONE, .plus = parameter->fallback};
    if (ask.definition.spot.node == NULL)
        return parameter->required ? fail_missing(reader, site, owner, parameter) : FL_OK;
    status = fl_definition_read(reader, &ask);
    if (status == FL_OK)
        status = check_term(reader, ask.definition.spot, parameter, &ask.term);
    if (status != FL_OK)
        return status;
    *term = ask.term;
    note_use(reader, term, site->side);
    return FL_OK;
}

/* Alternatives such as a resistance and a quality factor. Kinds have few parameters. */
static fl_status check_exclusive(fl_reader *reader, const fl_site *site, const fl_kind *kind,
                                 const fl_term *terms)
{
    for (size_t i = 0; i < kind->parameter_count; i++) {
        const char *other = kind->parameters[i].excludes;
        if (!terms[i].given || other == NULL)
            continue;
        for (size_t j = 0; j < kind->parameter_count; j++) {
            if (terms[j].given && strcmp(kind->parameters[j].name, other) == 0)
                return fl_spot_fail(reader, site->owner.definition.spot,
                                    "'%s' and '%s' may not both be given", kind->parameters[i].name,
                                    other);
        }
    }
    return FL_OK;
}

/* Terms in the order of the kind's parameters, which is how models/ finds them. */
static fl_status read_terms(fl_reader *reader, const fl_site *site, fl_section *section)
{
    const fl_kind *kind = section->kind;
    fl_owner substrate = {0};
    fl_status status = FL_OK;
    fl_term *terms = fl_arena_take(&reader->design->arena, kind->parameter_count, sizeof *terms);
    if (terms == NULL)
        return fl_fail_memory(reader->error);
    if (fl_kind_has_substrate(kind))
        status = fl_substrate_find(reader, site, &substrate);
    for (size_t i = 0; i < kind->parameter_count && status == FL_OK; i++) {
        const fl_parameter *parameter = &kind->parameters[i];
        const fl_owner *owner = parameter->substrate ? &substrate : &site->owner;
        status = read_parameter(reader, site, owner, parameter, &terms[i]);
        if (parameter->substrate)
            status = fl_substrate_blame(reader, &substrate, status);
    }
    section->terms = terms;
    return status ? status : check_exclusive(reader, site, kind, terms);
}

/* ---- one section of a kind ---- */

/* Goes before the check of keys, which would only call them unknown: here the message can say where
 * they belong. */
static fl_status check_substrate_keys(fl_reader *reader, fl_spot spot, const fl_kind *kind)
{
    const fl_spot substrate = fl_spot_child(spot, "substrate");
    if (substrate.node != NULL && !fl_kind_has_substrate(kind))
        return fl_spot_fail(reader, substrate, "a section of kind '%s' has no substrate",
                            kind->name);
    for (size_t i = 0; i < kind->parameter_count; i++) {
        const fl_parameter *parameter = &kind->parameters[i];
        const fl_spot child = fl_spot_child(spot, parameter->name);
        if (parameter->substrate && child.node != NULL)
            return fl_spot_fail(reader, child, "'%s' is a value of the substrate: give it there",
                                fl_parameter_key(parameter));
    }
    return FL_OK;
}

/* Keys of a section of a kind: those of every section and those of its kind. */
static fl_status check_keys(fl_reader *reader, const fl_site *site, const fl_kind *kind)
{
    static const char *const common[] = {"name", "kind", "side", "optional"};
    const fl_spot spot = site->owner.definition.spot;
    const char **keys =
        fl_arena_take(&reader->draft, kind->parameter_count + FL_COUNT(common) + 2, sizeof *keys);
    size_t count = 0;
    if (keys == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < FL_COUNT(common); i++)
        keys[count++] = common[i];
    for (size_t i = 0; i < kind->parameter_count; i++) {
        if (!kind->parameters[i].substrate)
            keys[count++] = kind->parameters[i].name;
    }
    if (fl_kind_has_substrate(kind))
        keys[count++] = "substrate";
    if (kind->takes_file)
        keys[count++] = "file";
    const fl_status status = check_substrate_keys(reader, spot, kind);
    return status ? status
                  : fl_json_keys(&spot.source->json, spot.node, keys, count, reader->error);
}

/* Kinds are known by name alone; what they compute is behind models/. */
static fl_status find_kind(fl_reader *reader, fl_spot spot, const fl_kind **kind)
{
    if (!cJSON_IsString(spot.node))
        return fl_spot_fail(reader, spot, "expected a kind of section, such as \"line\"");
    for (size_t i = 0; i < reader->kind_count; i++) {
        if (strcmp(reader->kinds[i]->name, spot.node->valuestring) == 0) {
            *kind = reader->kinds[i];
            return FL_OK;
        }
    }
    const char **names = fl_arena_take(&reader->draft, reader->kind_count, sizeof *names);
    if (names == NULL)
        return fl_fail_memory(reader->error);
    for (size_t i = 0; i < reader->kind_count; i++)
        names[i] = reader->kinds[i]->name;
    return fl_word_unknown(reader, spot, "kind of section", spot.node->valuestring, names,
                           reader->kind_count);
}

static fl_status read_file(fl_reader *reader, const fl_site *site, fl_section *section)
{
    const fl_spot file = fl_spot_child(site->owner.definition.spot, "file");
    if (!section->kind->takes_file)
        return FL_OK;
    if (file.node == NULL)
        return fl_spot_fail(reader, site->owner.definition.spot, "'file' is missing");
    fl_found found = {NULL, false};
    const fl_status status = fl_file_find(reader, file, &found);
    section->file = found.path;
    return status;
}

/* Whether the path may do without the section; false if not given. */
static fl_status read_optional(fl_reader *reader, const fl_site *site, fl_section *section)
{
    const fl_spot optional = fl_spot_child(site->owner.definition.spot, "optional");
    return optional.node ? fl_flag_read(reader, optional, &section->optional) : FL_OK;
}

/* Adds a section to the path. Only the design must give sides: a section of a model file has its
 * user's. */
static fl_status read_kind(fl_reader *reader, const fl_site *site)
{
    const fl_spot spot = site->owner.definition.spot;
    fl_arena *arena = &reader->design->arena;
    if (reader->section_count == FL_SECTION_LIMIT)
        return fl_spot_fail(reader, spot, "a design has at most %d sections, all cases together",
                            FL_SECTION_LIMIT);
    fl_section *section = &reader->sections[reader->section_count];
    fl_status status = find_kind(reader, fl_spot_child(spot, "kind"), &section->kind);
    if (status == FL_OK)
        status = check_keys(reader, site, section->kind);
    if (status == FL_OK && !site->sided && site->scope->outer == NULL)
        status = fl_spot_fail(reader, spot, "'side' is missing: 'die', 'package' or 'board'");
    if (status != FL_OK)
        return status;
    section->name = fl_arena_copy(arena, site->owner.name, strlen(site->owner.name));
    section->place = fl_json_place(arena, &spot.source->json, spot.node);
    section->side = site->side;
    if (section->name == NULL || section->place == NULL)
        return fl_fail_memory(reader->error);
    reader->section_count++;
    status = read_file(reader, site, section);
    if (status == FL_OK)
        status = read_optional(reader, site, section);
    return status ? status : read_terms(reader, site, section);
}

/* ---- a section of any sort ---- */

/* The words in the order of the sides, so that the index of one is that of the other. */
static fl_status read_side(fl_reader *reader, fl_spot spot, fl_site *site)
{
    static const fl_side sides[] = {FL_SIDE_DIE, FL_SIDE_PACKAGE, FL_SIDE_BOARD};
    const char *names[FL_COUNT(sides)];
    size_t index = 0;
    for (size_t i = 0; i < FL_COUNT(sides); i++)
        names[i] = fl_side_name(sides[i]);
    const fl_status status = fl_word_read(reader, spot, names, FL_COUNT(sides), &index);
    site->side = sides[index];
    site->sided = true;
    return status;
}

/* A section is an element of the path itself, or stands for the path of a file. */
static fl_status read_site(fl_reader *reader, const fl_site *site)
{
    const fl_spot spot = site->owner.definition.spot;
    const bool kind = fl_spot_child(spot, "kind").node != NULL;
    const bool use = fl_spot_child(spot, "use").node != NULL;
    if (kind == use)
        return fl_spot_fail(reader, spot, "expected \"kind\" or \"use\"%s",
                            kind ? ", found both" : "");
    return kind ? read_kind(reader, site) : fl_include_read(reader, site);
}

/* Where a case has another section in this one's place, that one is read. It keeps the side of the
 * section replaced unless it has one of its own. */
static fl_status place_site(fl_reader *reader, fl_site *site)
{
    fl_override *other = fl_lookup_get(&reader->replacements, "", site->owner.name);
    fl_spot side = fl_spot_child(site->owner.definition.spot, "side");
    if (other != NULL) {
        other->matched = true;
        site->owner.definition = other->definition;
        const fl_spot own = fl_spot_child(site->owner.definition.spot, "side");
        side = own.node ? own : side;
    }
    site->side = site->scope->outer ? site->scope->side : FL_SIDE_PACKAGE;
    const fl_status status = side.node ? read_side(reader, side, site) : FL_OK;
    return status ? status : read_site(reader, site);
}

/* The site is in the arena, as scopes within point to what it holds until the case is read. */
static fl_status read_section(fl_reader *reader, const fl_scope *scope, fl_spot spot)
{
    const char *own = NULL;
    const fl_spot name = fl_spot_child(spot, "name");
    if (!cJSON_IsObject(spot.node))
        return fl_spot_fail(reader, spot, "expected a section {\"name\": ..., \"kind\": ...}");
    if (name.node == NULL)
        return fl_spot_fail(reader, spot, "'name' is missing");
    const fl_status status = fl_name_read(reader, name, &own);
    if (status != FL_OK)
        return status;
    fl_site *site = fl_arena_take(&reader->draft, 1, sizeof *site);
    char *full = fl_arena_print(&reader->draft, "%s%s", scope->prefix, own);
    if (site == NULL || full == NULL)
        return fl_fail_memory(reader->error);
    if (fl_lookup_get(&reader->section_names, "", full) != NULL)
        return fl_spot_fail(reader, name, "two sections are named '%s'", full);
    if (!fl_lookup_put(&reader->section_names, full, full))
        return fl_fail_memory(reader->error);
    *site = (fl_site){
        .owner = {.name = full,
                  .definition = {.spot = spot, .scope = scope, .only_case = scope->only_case}},
        .scope = scope};
    return place_site(reader, site);
}

/* Quantities and substrates first: sections refer to them by name. */
fl_status fl_scope_read(fl_reader *reader, const fl_scope *scope)
{
    fl_status status = fl_quantities_read(reader, scope);
    scope->source->whole = true;
    if (status == FL_OK)
        status = fl_substrates_note(reader, scope);
    for (const cJSON *item = scope->source->sections->child; item != NULL && status == FL_OK;
         item = item->next)
        status = read_section(reader, scope, (fl_spot){scope->source, item});
    return status;
}
