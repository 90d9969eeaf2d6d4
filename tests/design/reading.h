/** What the tests of the design reader share: a few kinds of their own, and reading a text. */
#ifndef FL_TESTS_DESIGN_READING_H
#define FL_TESTS_DESIGN_READING_H

#include "check.h"
#include "design/design.h"

#define COUNT_OF(table) (sizeof(table) / sizeof *(table))

static const fl_parameter sample_capacitor[] = {
    {"capacitance", FL_CAPACITANCE, FL_NOT_NEGATIVE, true, 0.0, NULL, false},
    {"resistance", FL_RESISTANCE, FL_NOT_NEGATIVE, false, 0.0, "quality factor", false},
    {"quality factor", FL_NUMBER, FL_POSITIVE, false, 0.0, "resistance", false}};
static const fl_parameter sample_line[] = {
    {"impedance", FL_RESISTANCE, FL_POSITIVE, true, 0.0, NULL, false},
    {"length", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, false},
    {"permittivity", FL_NUMBER, FL_AT_LEAST_ONE, false, 1.0, NULL, false},
    {"loss", FL_LOSS, FL_NOT_NEGATIVE, false, 0.0, NULL, false}};
static const fl_parameter sample_wires[] = {
    {"count", FL_NUMBER, FL_WHOLE, false, 1.0, NULL, false},
    {"diameter", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, false},
    {"span", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, false},
    {"loop height", FL_LENGTH, FL_NOT_NEGATIVE, false, 0.0, NULL, false},
    {"pitch", FL_LENGTH, FL_POSITIVE, false, 100e-6, NULL, false}};
static const fl_parameter sample_measured[] = {
    {"die port", FL_NUMBER, FL_WHOLE, false, 1.0, NULL, false},
    {"board port", FL_NUMBER, FL_WHOLE, false, 2.0, NULL, false}};

static const fl_parameter sample_strip[] = {
    {"width", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, false},
    {"length", FL_LENGTH, FL_POSITIVE, false, 1e-3, NULL, false},
    {"substrate height", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, true},
    {"substrate permittivity", FL_NUMBER, FL_AT_LEAST_ONE, true, 0.0, NULL, true},
    {"substrate roughness", FL_LENGTH, FL_NOT_NEGATIVE, false, 1e-7, NULL, true}};
static const fl_parameter sample_patch[] = {
    {"height", FL_LENGTH, FL_NOT_NEGATIVE, false, 0.0, NULL, false},
    {"substrate loss tangent", FL_NUMBER, FL_NOT_NEGATIVE, false, 0.0, NULL, true},
    {"substrate height", FL_LENGTH, FL_POSITIVE, true, 0.0, NULL, true}};

static const fl_kind sample_kind_list[] = {
    {"shunt capacitor", "", sample_capacitor, COUNT_OF(sample_capacitor), false},
    {"line", "", sample_line, COUNT_OF(sample_line), false},
    {"bond wires", "", sample_wires, COUNT_OF(sample_wires), false},
    {"measured", "", sample_measured, COUNT_OF(sample_measured), true},
    {"strip", "", sample_strip, COUNT_OF(sample_strip), false},
    {"patch", "", sample_patch, COUNT_OF(sample_patch), false}};
static const fl_kind *const sample_kinds[] = {&sample_kind_list[0], &sample_kind_list[1],
                                              &sample_kind_list[2], &sample_kind_list[3],
                                              &sample_kind_list[4], &sample_kind_list[5]};

#define SAMPLE_FOLDER FL_SOURCE_DIR "/tests/data/designs"

/** A text [length] as if it were that of the file name, with the sample kinds. */
static inline fl_design_source sample_source(const char *text, size_t length, const char *name)
{
    return (fl_design_source){.text = text,
                              .length = length,
                              .name = name,
                              .kinds = sample_kinds,
                              .kind_count = COUNT_OF(sample_kinds)};
}

/** Reads a text as if it were a file in the folder of sample designs. */
static inline fl_status sample_read(fl_design **design, const char *text, fl_error *error)
{
    const fl_design_source source = sample_source(text, strlen(text), SAMPLE_FOLDER "/design.json");
    memset(error, 0, sizeof *error);
    return fl_design_resolve(design, &source, error);
}

/** As sample_read, and it must succeed. */
__attribute__((unused)) static fl_design *sample_good(const char *text)
{
    fl_design *design = NULL;
    fl_error error;
    check_ok(sample_read(&design, text, &error), error);
    return design;
}

/** Reading must fail with the place's end and a part of the message. */
__attribute__((unused)) static void sample_bad(const char *text, const char *place,
                                               const char *message)
{
    fl_design *design = NULL;
    fl_error error;
    const fl_status status = sample_read(&design, text, &error);
    const size_t length = strlen(error.place);
    const size_t wanted = strlen(place);
    if (status != FL_BAD_INPUT || design != NULL || length < wanted ||
        strcmp(error.place + length - wanted, place) != 0 ||
        strstr(error.message, message) == NULL) {
        print_error("%s\nwanted at %s: %s\ngot %d at %s: %s\n", text, place, message, (int)status,
                    error.place, error.message);
        fl_design_release(design);
        fail();
    }
}

/** A design around its variable parts, in a static store. */
#define SAMPLE_TOP "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], "
#define SAMPLE_PORTS                                                                               \
    "\"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}}, "
#define SAMPLE_LINE                                                                                \
    "{\"name\": \"line\", \"kind\": \"line\", \"side\": \"board\", \"impedance\": \"50 ohm\", "    \
    "\"length\": \"1 mm\"}"
#define SAMPLE_PATH "\"path\": [" SAMPLE_LINE "]"
#define SAMPLE_HEAD SAMPLE_TOP SAMPLE_PORTS

/** A design with a shunt capacitor on the die whose capacitance is a JSON text. */
#define SAMPLE_CAPACITANCE(json)                                                                   \
    SAMPLE_HEAD "\"path\": [{\"name\": \"pad\", \"kind\": \"shunt capacitor\", \"side\": "         \
                "\"die\", \"capacitance\": " json "}]}"

/** A quantity by name and case; NULL if there is none. */
__attribute__((unused)) static const fl_quantity *
sample_quantity(const fl_design *design, const char *name, size_t only_case)
{
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        if (strcmp(quantity->name, name) == 0 && quantity->only_case == only_case)
            return quantity;
    }
    return NULL;
}

/** Every byte of a text from one on in turn gives way to one that means something in JSON: read or
 * refused, no more. */
__attribute__((unused)) static void sample_wrong_bytes(char *text, size_t from)
{
    for (size_t i = from; text[i] != '\0'; i++) {
        const char kept = text[i];
        for (const char *wrong = "\"{}[],:0@ "; *wrong != '\0'; wrong++) {
            fl_design *design = NULL;
            fl_error error;
            text[i] = *wrong;
            const fl_status status = sample_read(&design, text, &error);
            assert_true((status == FL_OK) == (design != NULL));
            assert_true(status == FL_OK || status == FL_BAD_INPUT);
            fl_design_release(design);
        }
        text[i] = kept;
    }
}

#endif
